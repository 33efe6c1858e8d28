"""From a formula and its shelf to the inputs of heat: what its phases are heated to, hold of heat, and lose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from levigate.formula.premix import WATER
from levigate.formula.treatment import Treatment, treatment
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.physical import WAXY, drawn_ranges, range_of
from levigate.quantities.sourced import EXACT, NORMAL_95, UNKNOWN, Input, si_of
from levigate.quantities.swelling import melting_range
from levigate.science.constants import ZERO_CELSIUS
from levigate.shelf.record import Material, Value

#: A phase that is brought beyond this is heated. [K]
WARM = ZERO_CELSIUS + 30
#: The room in which a batch is made and left to cool. [K]
_ROOM = Value(low="20 C", high="25 C", source="common-practice", grade="typical")
#: Half-width of the 95 % interval of a temperature that was aimed at with a kitchen thermometer. [K]
_AIM = 2.0
#: Specific heats by class, where the shelf has none: the class, and what of it is in print.
_HEATS = {
    "water": Value(low="4.17 kJ/kg/K", high="4.20 kJ/kg/K", source="IAPWS-95", grade="handbook", place="20 to 80 °C"),
    "oil": Value(low="1.67 kJ/kg/K", high="2.24 kJ/kg/K", source="Fasina-Colley-2008", grade="typical",
                 place="the range of vegetable oils at 35 °C"),
    "silicone": Value(low="1.4 kJ/kg/K", high="1.8 kJ/kg/K", source="memory", grade="memory"),
    "wax": Value(low="1.8 kJ/kg/K", high="2.7 kJ/kg/K", source="memory", grade="memory"),
    "polyol": Value(low="2.3 kJ/kg/K", high="2.6 kJ/kg/K", source="memory", grade="memory",
                    place="glycerol, propylene glycol and ethanol lie in it"),
    "mineral": Value(low="0.7 kJ/kg/K", high="1.1 kJ/kg/K", source="memory", grade="memory"),
    "solid": Value(low="1.0 kJ/kg/K", high="1.8 kJ/kg/K", source="memory", grade="memory"),
    "anything": Value(low="0.8 kJ/kg/K", high="4.2 kJ/kg/K", source="memory", grade="memory",
                      place="between a dry powder and water: nothing is known of it"),
}  # fmt: skip
#: Heat of melting of what melts and sets, where the shelf has none.
_FUSION = Value(low="50 kJ/kg", high="230 kJ/kg", source="memory", grade="memory", place="butters to hard waxes")
#: Heat that leaves a beaker of hot product by area of its whole surface, water vapour from the open top counted in;
#: the low end is for a thick product under a film of oil, the high one for a stirred one in a draught.
_TRANSFER = Value(low="8", high="30", source="memory", grade="memory", place="beaker on a table, W/(m² K)")
#: Factor on what evaporates from still open water: the wall of the beaker, a spoon for a lid, a draught, a stirrer.
_OPEN = Value(low="0.4", high="2.5", source="memory", grade="memory", place="beaker beside open water")
_DAMP = Value(low="0.3", high="0.7", source="common-practice", grade="typical", place="air of a room")
#: How long a phase is held hot where its ``how`` does not say. [s]
_HELD = Value(
    low="10 min", high="40 min", source="common-practice", grade="typical", place="not stated; 20 min is usual"
)


@dataclass(frozen=True, slots=True)
class _Part:
    """A phase with something in it, what is done to it, and where its lines stand among those of more than 0 %."""

    letter: str
    told: Treatment
    lines: tuple[int, ...]

    @property
    def hot(self) -> bool:
        """Whether it is heated, or is said to be without saying to what."""
        return self.told.heated is not None and not self.told.heated <= WARM


def heating(contents: Contents) -> Gathered:
    """Return the inputs of heat; empty, and no figure asked for, where nothing is heated."""
    phases = [(phase.letter, phase.how) for phase in contents.formula.phases]
    told = tuple(phases[number] for number in contents.phases)
    return contents.of.once(_heating, told, contents.formula.makes is not None)


def _heating(of: Materials, told: tuple[tuple[str, str], ...], makes: bool) -> Gathered:
    """Return the inputs of heat of lines that stand in such phases, each by its letter and how it is treated."""
    found = Gathered()
    parts = _parts(told)
    hot = any(part.hot for part in parts)
    aim = _cool_down(of, parts)
    watery = _heated_water(of, parts) if hot else np.zeros(0)
    wet = bool(np.any(watery != 0))
    found.asked |= {
        "joined_temperature": hot and len(parts) > 1,
        "cooling_time": hot and makes and aim is not None,
        **dict.fromkeys(("water_evaporated", "water_evaporated_share"), hot and makes and wet),
    }
    if not hot:
        return found
    rng = of.random("heating")
    letters = [part.letter for part in parts]
    found.names |= {"phases": [f"phase {one}" for one in letters], "joins": [f"after {one}" for one in letters[1:]]}
    member = np.zeros((len(parts), len(of.names)))
    for row, part in enumerate(parts):
        member[row, list(part.lines)] = 1.0
    found.given |= {"phase_lines": member, "heated_water": watery}
    _temperatures(found, of, parts, rng)
    _specific_heats(found, of, rng)
    _melting(found, of, parts, rng)
    _held(found, of, parts, rng)
    for leaf, title, value, dimension, unit in (
        ("heat_transfer", "heat that leaves the beaker", _TRANSFER, "share", "W/(m² K)"),
        ("evaporation_factor", "evaporation from the beaker", _OPEN, "share", "1"),
        ("relative_humidity", "humidity of the air", _DAMP, "share", "1"),
    ):
        _put_one(found, leaf, title, value, dimension, unit, rng, of.draws)
    if aim is not None:
        at, kelvin, said = aim
        found.given |= {"cooled_phase": np.array(float(at)), "cool_down": np.array(kelvin)}
        found.behind["cool_down"] = (said,)
    return found


def _parts(told: Sequence[tuple[str, str]]) -> list[_Part]:
    return [
        _Part(letter, treatment(how), tuple(column for column, one in enumerate(told) if one == (letter, how)))
        for letter, how in dict.fromkeys(told)
    ]


def _cool_down(of: Materials, parts: Sequence[_Part]) -> tuple[int, float, Input] | None:
    """Return how many phases are joined when it has cooled, to what, and on whose word; None where nothing says.

    What a later cold phase names, else to what it is cooled in the end, else what the most delicate of what is added
    cold bears.
    """
    after = next((i for i, part in enumerate(parts) if part.hot), len(parts)) + 1
    for i in range(after, len(parts)):
        if (kelvin := parts[i].told.joins_at) is not None:
            return i, kelvin, _own("cool-down temperature", kelvin)
    for i, part in enumerate(parts):
        if part.hot and part.told.cooled is not None:
            return i + 1, part.told.cooled, _own("cool-down temperature", part.told.cooled)
    found: list[tuple[float, int, Value, str]] = []
    for i in range(after, len(parts)):
        for column in () if parts[i].hot else parts[i].lines:
            record = of.records[of.keys[column]]
            if record is not None and record.heat_limit:
                limit = record.heat_limit[0]
                found.append((limit.si("temperature"), i, limit, of.names[column]))
    if not found:
        return None
    kelvin, i, limit, name = min(found, key=lambda one: one[:2])
    return i, kelvin, Input(f"heat that {name} bears", None, kelvin, "K", limit.grade, limit.source, limit.place)


def _own(title: str, value: float, spread: float | None = None) -> Input:
    return Input(title, None, value, "K", EXACT, "own-word", "how of the phase", spread)


def _temperatures(found: Gathered, of: Materials, parts: Sequence[_Part], rng: np.random.Generator) -> None:
    """Put the temperature of each phase, and that of the batch when each is added: that of the room if not heated."""
    low, high = range_of(_ROOM, "temperature")
    room = np.full(of.draws + 1, (low + high) / 2)
    room[1:] = rng.uniform(low, high, of.draws)
    entry = Input("room", None, float(room[0]), "K", _ROOM.grade, _ROOM.source, "20 to 25 °C", (high - low) / 2)
    columns, behind, joins = [], [], []
    off = np.zeros(of.draws + 1)
    off[1:] = rng.standard_normal(of.draws) * _AIM / NORMAL_95
    before: float | None = None
    for part in parts:
        own, title = part.told.heated, f"temperature of phase {part.letter}"
        if own is None:
            columns.append(room)
            behind.append(replace(entry, name=f"{title}: not heated, the room"))
        else:
            column = np.full(of.draws + 1, own)
            column[1:] += rng.standard_normal(of.draws) * _AIM / NORMAL_95
            columns.append(column)
            known = not math.isnan(own)
            behind.append(_own(title, own, _AIM) if known else Input(title, None, math.nan, "K", UNKNOWN, ""))
        named = [one for one in (before, part.told.joins_at) if one is not None]
        joins.append(min(named, default=math.inf))
        before = part.told.cooled
    found.given |= {
        "room_temperature": room,
        "phase_temperature": np.stack(columns, axis=-1),
        "phase_joins_at": np.array(joins) + off[:, None],
    }
    found.drawn |= {"room_temperature", "phase_temperature", "phase_joins_at"}
    found.behind |= {"room_temperature": (entry,), "phase_temperature": tuple(behind)}


def _specific_heats(found: Gathered, of: Materials, rng: np.random.Generator) -> None:
    """Put the specific heat of each line: its own, else that of its parts, else that of its class."""
    values = [_heat_of(name, of.records.get(name)) for name in of.substances]
    heats = _drawn(values, "heat capacity", rng, of.draws) @ of.composition.T
    behind = []
    for column, key in enumerate(of.keys):
        record, name = of.records[key], of.names[column]
        value = values[int(of.composition[column].argmax())]  # of a premix, that of what there is most of
        if record is not None and record.specific_heat and key not in of.substances:
            value = record.specific_heat[0]
            heats[:, column] = _drawn([value], "heat capacity", rng, of.draws)[:, 0]
        low, high = range_of(value, "heat capacity")
        title = f"specific heat of {name}"
        behind.append(
            Input(
                title, of.positions[column], float(heats[0, column]), "J/(kg K)", value.grade, value.source,
                value.place, (high - low) / 2,
            )
        )  # fmt: skip
    found.given["material_specific_heat"] = heats
    found.drawn.add("material_specific_heat")
    found.behind["material_specific_heat"] = tuple(behind)


def _heat_of(name: str, record: Material | None) -> Value:
    if name == WATER:
        return _HEATS["water"]
    if record is None:
        return _HEATS["anything"]
    return record.specific_heat[0] if record.specific_heat else _HEATS[_class_of(record)]


def _class_of(record: Material) -> str:
    """Return the class by which the specific heat of a material is told."""
    flows = record.form in ("liquid", "gel", "paste")
    if record.affinity == "silicone":
        return "silicone"
    if record.kind in WAXY or record.form == "wax":
        return "wax"
    if record.affinity == "oil":
        return "oil" if flows else "wax"
    if record.affinity == "insoluble":
        return "mineral" if record.kind in ("powder", "colourant") else "solid"
    if record.kind in ("humectant", "solvent") and flows:
        return "polyol"
    return "anything" if flows or record.affinity == "unknown" else "solid"


def _melting(found: Gathered, of: Materials, parts: Sequence[_Part], rng: np.random.Generator) -> None:
    """Put what melts or sets between the room and the hottest phase: where it is, at what temperature, with what heat.

    A range of melting is drawn from, so that the spread of what follows holds it.
    """
    hottest = max(part.told.heated or 0.0 for part in parts)
    floor = range_of(_ROOM, "temperature")[0]
    lines, shares, points, fusions, behind = [], [], [], [], []
    for column, share in zip(*np.nonzero(of.composition), strict=True):
        name = of.substances[share]
        record = of.records.get(name)
        span = _melts(record)
        if record is None or span is None or span[1] < floor or span[0] > hottest:
            continue
        fusion = record.melting_heat[0] if record.melting_heat else _FUSION
        lines.append(float(column))
        shares.append(of.composition[column, share])
        points.append(span)
        fusions.append(fusion)
        low, high = range_of(fusion, "specific energy")
        at, title = of.positions[column], f"melting heat of {name}"
        behind.append(
            Input(title, at, math.sqrt(low * high), "J/kg", fusion.grade, fusion.source, fusion.place, (high - low) / 2)
        )
    ends = np.array(points).reshape(-1, 2)
    share_up = np.full((of.draws + 1, len(points)), 0.5)
    share_up[1:] = rng.uniform(size=(of.draws, len(points)))
    found.given |= {
        "melting_line": np.array(lines),
        "melting_part": np.array(shares),
        "melting_temperature": ends[:, 0] + share_up * (ends[:, 1] - ends[:, 0]),
        "melting_heat": _drawn(fusions, "specific energy", rng, of.draws),
    }
    found.drawn |= {"melting_temperature", "melting_heat"}
    found.behind["melting_heat"] = tuple(behind)


def _melts(record: Material | None) -> tuple[float, float] | None:
    """Return between which temperatures a material melts; None for one that is not known to melt in a beaker."""
    if record is None or record.form in ("liquid", "gel") or record.affinity not in ("oil", "silicone"):
        return None
    if not record.melting_point or not (record.melting_heat or record.kind in WAXY or record.form == "wax"):
        return None
    return melting_range(record.melting_point[0])


def _heated_water(of: Materials, parts: Sequence[_Part]) -> Floats:
    """Return the water in each line of a heated phase, nan for what may hold water for all one knows. [1]"""
    water = np.zeros(len(of.names))
    for part in parts:
        for column in part.lines if part.hot else ():
            shares = of.composition[column]
            names = [of.substances[i] for i in np.flatnonzero(shares)]
            unknown = any(of.records.get(name) is None and name != WATER for name in names)
            is_water = np.array([float(name == WATER) for name in of.substances])
            water[column] = math.nan if unknown else float(shares @ is_water)
    return water


def _held(found: Gathered, of: Materials, parts: Sequence[_Part], rng: np.random.Generator) -> None:
    """Put how long each phase is held hot: as stated, else as is usual; not at all where it is not heated."""
    low, high = range_of(_HELD, "time")
    usual = np.full(of.draws + 1, math.sqrt(low * high))
    usual[1:] = np.exp(rng.uniform(math.log(low), math.log(high), of.draws))
    columns, behind = [], []
    for part in parts:
        title = f"phase {part.letter} held hot"
        if not part.hot:
            columns.append(np.zeros(of.draws + 1))
        elif part.told.held is not None:
            columns.append(np.full(of.draws + 1, part.told.held))
            behind.append(Input(title, None, part.told.held, "s", EXACT, "own-word", "how of the phase"))
        else:
            columns.append(usual)
            behind.append(
                Input(title, None, float(usual[0]), "s", _HELD.grade, _HELD.source, _HELD.place, (high - low) / 2)
            )
    found.given["phase_held"] = np.stack(columns, axis=-1)
    found.drawn.add("phase_held")
    found.behind["phase_held"] = tuple(behind)


def _drawn(values: Sequence[Value], dimension: str, rng: np.random.Generator, draws: int) -> Floats:
    """Return values, or the geometric middles of ranges, in row 0 and lognormal draws below."""
    centre, scatter = drawn_ranges([range_of(value, dimension) for value in values], rng, draws)
    stated = [si_of(value, dimension) if value.value is not None else math.nan for value in values]
    return np.asarray(np.where(np.isnan(stated), centre, stated) * scatter)


def _put_one(
    found: Gathered,
    leaf: str,
    title: str,
    value: Value,
    dimension: str,
    unit: str,
    rng: np.random.Generator,
    draws: int,
) -> None:
    low, high = range_of(value, dimension)
    found.given[leaf] = _drawn([value], dimension, rng, draws)[:, 0]
    found.drawn.add(leaf)
    found.behind[leaf] = (
        Input(title, None, float(found.given[leaf][0]), unit, value.grade, value.source, value.place, (high - low) / 2),
    )
