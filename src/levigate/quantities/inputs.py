"""From a formula and a shelf to the arrays that the graph takes, with random draws and where each value came from."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np

from levigate import units
from levigate.errors import UnitError
from levigate.formula.model import Formula
from levigate.formula.premix import WATER
from levigate.quantities.amounts import put_makes, put_use
from levigate.quantities.dissolved import dissolved
from levigate.quantities.emulsified import emulsified
from levigate.quantities.gathered import Contents, Gathered, Materials, materials_of
from levigate.quantities.graph import Floats, evaluate, leaves
from levigate.quantities.heating_inputs import heating
from levigate.quantities.measured import plain_liquid, put_measured
from levigate.quantities.oil_fit import oil_fit
from levigate.quantities.physical import physical
from levigate.quantities.preserved import preserved
from levigate.quantities.solutes import solutes
from levigate.quantities.sourced import EXACT, NORMAL_95, ROOM, UNKNOWN, Input
from levigate.quantities.swelling import DENSITY_SPREAD, density_read, named, swelling_arrays, swelling_of, unknown
from levigate.quantities.washed import washed
from levigate.quantities.watery_inputs import water_binding
from levigate.shelf.catalogue import Shelf

#: Draws behind the spread of a figure.
DRAWS = 1000
#: How `substances` names what a composition leaves unsaid.
REST = "rest of "

#: What is measured -> the quantity it stands for, its unit, and the half-width (95 %) where none is stated, as a share.
MEASURED = {
    "density": ("density", "kg/m³", DENSITY_SPREAD["measured"]),
    "viscosity": ("thickness", "Pa s", 0.2),
    "yield_stress": ("yield_stress", "Pa", 0.3),
    "consistency": ("consistency", "Pa", 0.3),
    "flow_index": ("flow_index", "-", 0.1),
    "pH": ("ph", "-", 0.0),
}

#: What would supply a missing input; {names} and {first} are what lacks it.
_DESCRIBE = (
    'describe {names} in the formula file: [materials."{first}"] with affinity, and made_of where it is a premix'
)
SUPPLY = {
    "mass_fraction": "make the lines sum to 100 %",
    "density_reading": (
        "weigh a syringe filled to a mark with {names}, work it out with `levigate reckon density mass=... "
        'volume=...` and write it into the formula file: [materials."{first}"] density = "... g/mL"'
    ),
    "material_price": 'write what you pay into the formula file: [materials."{first}"] price = "12 EUR/kg"',
    "material_composition": _DESCRIBE,
    "material_water": _DESCRIBE,
    "material_oil": _DESCRIBE,
    "powder_d50": 'write it on the line: grain = {{ d50 = "12 um", d90 = "25 um" }} from the supplier, '
    '{{ sieve = "63 um", passing = "95 %" }} from a sieve, or {{ ground = "mortar" }}',
    "powder_bulk": (
        "pour {names} loosely into a measuring cylinder that stands on the scale, read mass and volume, work it out "
        'with `levigate reckon density mass=... volume=...` and write it into the formula file: [materials."{first}"] '
        'bulk_density = "0.5 g/mL"; tapped on the table until it sinks no more it gives the tapped density'
    ),
    "powder_sigma": 'write the coarse tenth too: grain = {{ d50 = "12 um", d90 = "25 um" }}, from supplier or sieve',
    "daily_mass": 'say how much is used in a day: daily = "0.4 g" under [formula]',
    "line_active": 'write the strength on its label: [materials."{first}"] solids = "30 %"',
    "residue_share": 'name a container: [container] shape = "jar 50 mL"',
    "substance_acidity": "measure the finished product with a pH meter and write [measured] pH = {{ value = 5.4, how = "
    '"meter" }}',
    "filled_volume": 'write how much you make: makes = "500 g" under [formula]',
    "phase_temperature": 'write it into its how, for example how = "heat to 75 °C"',
    "cool_down": 'write it into the how of the phase that comes last, for example how = "below 40 °C"',
    "heated_water": _DESCRIBE,
    **dict.fromkeys(
        (
            "phase_lines",
            "phase_joins_at",
            "phase_held",
            "material_specific_heat",
            "room_temperature",
            "melting_line",
            "melting_part",
            "melting_temperature",
            "melting_heat",
            "cooled_phase",
            "heat_transfer",
            "relative_humidity",
            "evaporation_factor",
        ),
        'say to what a phase is heated, for example how = "heat to 75 °C, hold 20 min"',
    ),
    "brimful_volume": 'say how much it holds to the brim: [container] shape = "jar 50 mL", or brimful = "62 mL"',
    "fill_temperature": 'say how warm it is filled: [container] fill_at = "45 C"',
    "container_volume": 'write what you fill: makes = "12 x 50 mL" under [formula]',
    **dict.fromkeys(
        ("solvent_of", "solvent_density", "coldest", "solute_of", "solute_in", "solute_capacity", "solute_heat"),
        "it is asked for only where a solid is meant to dissolve in a liquid whose solubility is on record",
    ),
    **dict.fromkeys(
        ("acid_of", "acid_in", "acid_capacity", "acid_heat", "acid_pka"),
        "it is asked for only where an acid that water takes up little of, or its salt, meets water",
    ),
    **dict.fromkeys(
        ("blend_volume", "blend_hansen", "oily_hansen"),
        "it is asked for only where a solid stands in oils and the Hansen parameters of both are on record",
    ),
}
#: Inputs that are always there, and why; what of them is blank is said by the quantity that rests on it.
_OF_THE_SHELF = "read off the record of each substance; a substance without a record counts as none of it"
ALWAYS_GIVEN = {
    **dict.fromkeys(
        ("substance_water", "substance_wet", "substance_aqueous", "substance_polyol", "substance_glycerol",
         "substance_oil", "substance_silicone", "substance_shrinks", "substance_melts"),
        _OF_THE_SHELF,
    ),
    **dict.fromkeys(
        ("kinematic_reading", "kinematic_reading_temperature", "walther_slope", "flow_activation", "substance_density",
         "substance_expansion"),
        "the blend of oils says which test supplies it (clear_viscosity)",
    ),
    **dict.fromkeys(
        ("density_reading_temperature", "material_expansion", "material_melt_swelling", "material_as_water",
         "material_melting_start", "material_melting_end"),
        "read off the record of each material, else usual for its kind; the density says where there is no record",
    ),
    "temperature": "that of a warm room where none is asked for",
    "substance_melting_start": "a melting range that is not on record makes the solid share not known",
    "substance_melting_end": "a melting range that is not on record makes the solid share not known",
    "line_body": "what is not known of a line counts as body, which makes flow not known (unforeseen_body)",
    "line_liquid": "told from which lines are powders",
    "powder_pick": "told from which lines are powders",
    "powder_packing": "the range between plates and spheres where none is on record",
    "thickener_share": "told from the lines and their compositions",
    "thickener_phase": "told from the lines and their compositions",
    "thickener_medium": "told from the flow curves on the shelf",
    "flow_dose": "a dose outside the table makes flow not known, and names the test (yield_stress)",
    "flow_yield": "as the dose",
    "flow_consistency": "as the dose",
    "flow_exponent": "as the dose",
    **dict.fromkeys(
        ("oil_rated", "oil_unrated", "emulsifier_rated", "emulsifier_own", "rated_sides", "own_sides"),
        "told from the lines and their records",
    ),
    "oil_asks": "too much oil without one makes the required HLB not known, and names the trials (required_hlb)",
    "line_hlb": "an emulsifier without one goes by its own rules",
    "hlb_doubt": "follows from the grade of each HLB",
    "drop_diameter": "the usual range for the way of stirring where the file states none",
    "line_charge": "told from the lines and their records",
    "line_salt": "told from the lines and their compositions",
    "substance_particles": "what binds an unknown amount of water has the range of its kind",
    "substance_norrish": "as the particles",
    "substance_salt": "told from the table of salts; others are told from their ions",
    "water_activity_off": "how far the equations have been seen to be off",
    "preservative_share": "told from the preservatives in it",
    "preservative_pka": "infinite for what is no acid",
    "preservative_log_kow": "where it is not known, what the oil leaves says so (preservative_taken)",
    "preservative_limit": "told from the limits on the shelf",
    "substance_takers": _OF_THE_SHELF,
    "taker_offset": "the range between the oils in print",
    **dict.fromkeys(
        ("acid_pick", "acid_purity", "acid_solutes", "acid_water", "solute_pka", "solute_charge", "free_pick",
         "free_molar_mass"),
        "told from the substances and the table of acids, bases and salts; where there are none the pH says so",
    ),
    **dict.fromkeys(("davies_constant", "ph_error"), "the spread of the method itself"),
    "substance_trace_half": "as the traces",
    "substance_trace": "nought, with a spread for what gums and plain water may bring along",
    "measured_ph": "a pH that is not measured is computed",
}  # fmt: skip
#: Inputs that have a row of draws whatever the formula.
#: What brings inputs of a subject of its own.
_SUBJECTS: tuple[Callable[[Contents], Gathered], ...] = (
    dissolved,
    emulsified,
    heating,
    washed,
    water_binding,
    preserved,
    oil_fit,
    solutes,
)


@dataclass(frozen=True, slots=True)
class Inputs:
    """Arrays for the graph: row 0 holds the values as they stand, the other rows random draws.

    A line of 0 % is not part of the composition, so that what is not known of it makes nothing unknown.
    """

    formula: Formula
    #: Material of each line of more than 0 %.
    materials: tuple[str, ...]
    substances: tuple[str, ...]
    given: dict[str, Floats]
    #: Leaf of the graph -> the values behind it.
    behind: dict[str, tuple[Input, ...]]
    #: Which of the arrays have a leading axis of draws.
    drawn: frozenset[str] = frozenset()
    currency: str = ""
    #: Leaf -> parts of the lines of which it is not known.
    unnamed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    #: Positions of the lines whose powder stays solid, and of those that bring a thickener with a flow curve.
    powder_positions: tuple[int, ...] = ()
    thickener_lines: tuple[int, ...] = ()
    powders: tuple[str, ...] = ()
    thickeners: tuple[str, ...] = ()
    #: Whether something in it melts and sets.
    waxy: bool = False
    #: Position of each line of more than 0 %.
    positions: tuple[int, ...] = ()
    #: What there is one of for each row of a quantity, beside lines, substances, powders and thickeners -> their names.
    names: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    #: Figure -> whether this formula asks for it.
    asked: Mapping[str, bool] = field(default_factory=dict)
    #: The formula taken apart.
    contents: Contents | None = field(default=None, repr=False, compare=False)
    #: Temperature of the figures. [K]
    temperature: float = ROOM
    #: What was measured at a temperature too far from that to stand for it.
    left_out: tuple[str, ...] = ()
    #: What was computed of it, of all draws and of the central row: asked again, it is not computed again.
    _of_draws: dict[str, Floats] = field(default_factory=dict, init=False, repr=False, compare=False)
    _of_centre: dict[str, Floats] = field(default_factory=dict, init=False, repr=False, compare=False)
    #: What was computed of the central row with one line at other percents, by the line and these.
    along: dict[tuple[Hashable, ...], dict[str, Floats]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    #: Leaf -> whether something of it is not known.
    _blank: dict[str, bool] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def centre(self) -> dict[str, Floats]:
        """The inputs with their central values only."""
        return {name: array[0] if name in self.drawn else array for name, array in self.given.items()}

    def is_blank(self, leaf: str) -> bool:
        """Return whether something of an input is not known."""
        if leaf not in self._blank:
            self._blank[leaf] = bool(np.isnan(self.given[leaf]).any())
        return self._blank[leaf]

    def evaluate(self, *names: str) -> dict[str, Floats]:
        """Return quantities of all draws."""
        return evaluate(names, self.given, self._of_draws)

    def central(self, *names: str) -> dict[str, Floats]:
        """Return the central values of quantities."""
        if not self._of_centre:
            self._of_centre.update(self.centre)
        draws = 0 if self.contents is None else self.contents.draws
        for name, array in self._of_draws.items() if draws else ():
            if name not in self._of_centre:  # what was computed of all draws is not computed again
                rests = any(leaf in self.drawn for leaf in leaves(name, self.given))
                has_draws = rests and array.ndim > 0 and len(array) == draws + 1
                self._of_centre[name] = array[0] if has_draws else array
        return evaluate(names, {}, self._of_centre)

    def measured(self, quantity: str) -> bool:
        """Return whether a quantity stands on what was measured on the product."""
        return any(entry.grade == "measured" and entry.source == "own-word" for entry in self.behind.get(quantity, ()))


def gather(formula: Formula, shelf: Shelf, *, draws: int = DRAWS, seed: int = 1, temperature: float = ROOM) -> Inputs:
    """Return all inputs of a formula.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf
        Its shelf, own materials included. A material that the shelf lacks has unknown properties: nan.
    draws : int
        Random draws beside the central row; 0 for none. [1]
    seed : int
        Seed of the draws, fixed so that the same file gives the same figures. [1]
    temperature : float
        Temperature of the figures; a warm room if not given. [K]
    """
    lines = [(i, line) for i, (_, line) in enumerate(formula.lines()) if line.percent or not formula.adds_up]
    names, positions = tuple(line.material for _, line in lines), tuple(i for i, _ in lines)
    fractions = np.array([float(line.percent) / 100 if formula.adds_up else math.nan for _, line in lines])
    of = materials_of(shelf, names, positions, draws, seed, temperature)
    contents = Contents(formula, of, tuple(lines), fractions)
    shares = tuple(
        Input(f"share of {name}", i, share, "1", EXACT, "own-word")
        for i, name, share in zip(positions, names, fractions.tolist(), strict=True)
    )
    plain: _OfTheLines = of.once(_of_the_lines)
    given = {"mass_fraction": fractions, **plain.given}
    behind = {"mass_fraction": shares, **plain.behind}
    for figure in ("density_by_climate", "warm_volume", "warm_level"):  # they reach further than the others
        behind[figure] = (*shares, *plain.warmed)
    put_makes(formula, given, behind)
    used = put_use(formula, given, behind, np.random.default_rng((seed, 2)), draws)
    bodily = physical(contents)
    subjects: list[Gathered] = [subject(contents) for subject in _SUBJECTS]
    for subject in (bodily, *subjects):
        given |= subject.given
        behind |= subject.behind
    measured = put_measured(formula, given, behind, MEASURED, temperature, of.random("measured"), draws)
    stands = measured.names
    if "density" in stands:
        for figure in ("density_by_climate", "warm_volume", "warm_level"):
            behind[figure] = (*behind["density"], *behind[figure])
    if "thickness" in stands and not bodily.thickeners:
        stands += plain_liquid(given, behind)
    drawn = frozenset({*plain.drawn, *used, *bodily.drawn, *stands}.union(*(one.drawn for one in subjects)))
    unnamed = dict(plain.unnamed)
    for one in subjects:
        unnamed |= one.unnamed
    return Inputs(
        formula, names, of.substances, given, behind, drawn, plain.currency, unnamed,
        tuple(positions[i] for i in bodily.solid), tuple(positions[i] for i in bodily.thickened), bodily.powders,
        bodily.thickeners, bodily.waxy, positions,
        _names(subjects),
        {name: wanted for one in subjects for name, wanted in one.asked.items()}, contents, temperature,
        measured.left_out,
    )  # fmt: skip


@dataclass
class _OfTheLines(Gathered):
    """What each line is of itself: its density and how that changes, its price, its composition."""

    currency: str = ""
    #: Densities and how they change with warmth, all of them.
    warmed: tuple[Input, ...] = ()


def _of_the_lines(of: Materials) -> _OfTheLines:
    shelf, names, positions, parts = of.shelf, of.names, of.positions, of.substances
    readings = [density_read(shelf, name) for name in names]
    densities = tuple(replace(entry, line=i) for i, (entry, _) in zip(positions, readings, strict=True))
    prices, currency = _prices(shelf, names, positions)
    of_part = {
        "material_water": np.array([_watery(shelf, names, part) for part in parts]),
        "material_oil": np.array([_oily(shelf, part) for part in parts]),
    }
    compositions = tuple(_composition_input(shelf, name, i) for i, name in zip(positions, names, strict=True))
    found = _OfTheLines(currency=currency)
    found.given = {
        "density_reading": _drawn(densities, of.keys, of.random("density"), of.draws),
        "temperature": np.asarray(of.temperature),
        "material_price": np.array([entry.value for entry in prices]),
        "material_composition": of.composition,
        **{leaf: of.composition @ values for leaf, values in of_part.items()},
    }
    found.behind = {
        "density_reading": densities,
        "material_price": prices,
        **dict.fromkeys(("material_composition", "material_water", "material_oil", "line_body"), compositions),
    }
    found.unnamed = {leaf: tuple(parts[i] for i in np.flatnonzero(np.isnan(each))) for leaf, each in of_part.items()}
    _add_swelling(found, of, densities, [at for _, at in readings])
    melts = found.given["material_melt_swelling"].ndim > 1
    found.drawn = {"density_reading", "material_expansion"} | ({"material_melt_swelling"} if melts else set())
    return found


def _names(subjects: Sequence[Gathered]) -> dict[str, tuple[str, ...]]:
    """Return what the rows of quantities are called; no two subjects may call different rows by one word."""
    found: dict[str, tuple[str, ...]] = {}
    for each, names in (entry for subject in subjects for entry in subject.names.items()):
        if each in found:
            raise ValueError(f'two subjects both bring rows called "{each}"')
        found[each] = tuple(names)
    return found


def _add_swelling(found: _OfTheLines, of: Materials, densities: tuple[Input, ...], read_at: Sequence[float]) -> None:
    """Put how the lines swell with warmth; the doubt of a material is one draw for its expansion and its melting."""
    swelling, kinds = [swelling_of(of.shelf, key) for key in of.keys], list(dict.fromkeys(of.keys))
    chance = of.random("swelling").standard_normal((of.draws, len(kinds)))
    if len(kinds) < len(of.keys):
        chance = chance[:, [kinds.index(key) for key in of.keys]]
    found.given |= swelling_arrays(swelling, densities, read_at, chance)
    found.behind["material_expansion"] = named(swelling, densities, read_at, of.temperature)
    found.warmed = (*densities, *named(swelling, densities, read_at, None))


def _drawn(entries: Sequence[Input], keys: Sequence[str], rng: np.random.Generator, draws: int) -> Floats:
    """Return the values in row 0 and lognormal draws below: a density is positive, and its spread is a share of it.

    Lines of one material share its draws: what is wrong about it is wrong in both phases.
    """
    centre = np.array([entry.value for entry in entries])
    relative = np.array([(entry.spread or 0.0) / entry.value / NORMAL_95 for entry in entries])
    kinds = list(dict.fromkeys(keys))
    chance = rng.standard_normal((draws, len(kinds)))[:, [kinds.index(key) for key in keys]]
    scatter = np.zeros((draws + 1, len(entries)))
    scatter[1:] = chance * relative
    return np.asarray(centre * np.exp(scatter))


def _composition_input(shelf: Shelf, name: str, line: int) -> Input:
    if name not in shelf:
        return replace(unknown(f"composition of {name}", "1"), line=line)
    made_of = shelf[name].made_of
    if made_of is None:
        return Input(f"composition of {name}", line, 1.0, "1", EXACT, "definition")
    return Input(f"composition of {name}", line, 1.0, "1", made_of.grade, made_of.source, made_of.place)


def _watery(shelf: Shelf, lines: Sequence[str], part: str) -> float:
    """Return 1 for water, 0 for what is named as something else, nan for what may hold water for all one knows."""
    if part == WATER:
        return 1.0
    unnamed = part.startswith(REST) or (part in lines and part not in shelf)
    return math.nan if unnamed else 0.0


def _oily(shelf: Shelf, name: str) -> float:
    """Return 1 for a substance that belongs in the oil phase, 0 for one that does not, nan for one not on the shelf."""
    if name not in shelf:
        return math.nan
    affinity = shelf[name].affinity
    return math.nan if affinity == "unknown" else float(affinity in ("oil", "silicone"))


def _prices(shelf: Shelf, names: tuple[str, ...], positions: tuple[int, ...]) -> tuple[tuple[Input, ...], str]:
    found: list[Input] = []
    currencies: set[str] = set()
    for i, name in zip(positions, names, strict=True):
        record, label = shelf.get(name), f"price of {name}"
        if record is not None and record.price is not None:
            price, currency = read_price(record.price)
            currencies.add(currency)
            found.append(Input(label, i, price, "money/kg", "supplier", "own-word"))
        elif shelf.key(name) == WATER:
            place = "water from the tap or the still costs next to nothing"
            found.append(Input(label, i, 0.0, "money/kg", "typical", "common-practice", place))
        else:
            found.append(Input(label, i, math.nan, "money/kg", UNKNOWN, ""))
    if len(currencies) > 1:
        raise UnitError(f"Prices stand in {' and '.join(sorted(currencies))}; write them in one currency.")
    return tuple(found), next(iter(currencies), "")


@cache
def read_price(text: str) -> tuple[float, str]:
    """Return a price per kilogram and its currency, from ``"12 EUR/kg"`` or ``"4.50 GBP/100 g"``."""
    amount, slash, per = text.partition("/")
    parts = amount.split()
    try:
        if not slash or len(parts) != 2:
            raise ValueError
        number = float(parts[0])
        mass = units.si(per if per.strip()[:1].isdigit() else f"1 {per}", "mass")
        if not (0 <= number < 1e9 and mass > 0):
            raise ValueError
    except ValueError:
        raise UnitError(f'"{text}" is no price; write for example "12 EUR/kg" or "4.50 GBP/100 g".') from None
    return number / mass, parts[1]
