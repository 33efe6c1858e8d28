"""The built-in catalogue: every key resolves, every value is plausible and agrees with an outside reference."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

import pytest
from chemicals.heat_capacity import CRC_standard_data
from chemicals.identifiers import MW
from chemicals.phase_change import Hfus
from pydantic import ValidationError

from levigate import units
from levigate.errors import UnitError
from levigate.shelf.catalogue import DATA, Blocks, Names, catalogue, fill_in, load, plain, sources, with_defaults
from levigate.shelf.record import PROPERTIES, Flow, Material, Sourced, Value

SHELF = catalogue()
KEYS = list(SHELF)

#: Outer fence of what a raw material of this trade can be; a value outside is a slip of the pen.
PLAUSIBLE = {
    "density": (600.0, 8000.0), "bulk_density": (30.0, 3500.0), "viscosity": (3e-4, 1e4),
    "kinematic_viscosity": (3e-7, 1.0),
    "melting_point": (100.0, 3300.0), "molar_mass": (0.016, 3000.0), "hlb": (0.0, 45.0), "required_hlb": (3.0, 18.0),
    "heat_limit": (298.0, 480.0), "iodine_value": (0.0, 220.0), "saponification_value": (0.0, 450.0),
    "solids": (0.0001, 1.0),
    "particle_d50": (1e-8, 2e-3), "usual": (0.0, 1.0), "ph": (0.0, 14.0),
    "specific_heat": (400.0, 5000.0), "melting_heat": (1e4, 4e5), "max_packing": (0.02, 0.75),
    "expansion": (1e-4, 1.6e-3),
    "log_kow": (-5.0, 11.0), "hansen": (0.0, 45.0),
}  # fmt: skip


def sourced(record: Material) -> Iterator[tuple[str, Sourced]]:
    for name in Material.model_fields:
        held = getattr(record, name)
        for entry in held if isinstance(held, tuple) else (held,):
            if isinstance(entry, Sourced):
                yield name, entry


def test_there_are_enough_materials() -> None:
    assert len(KEYS) >= 220


def test_no_key_stands_in_two_files() -> None:
    counted = Counter(key for path in DATA.glob("*.toml") for key in load(path))
    assert [key for key, times in counted.items() if times > 1] == []


def test_an_everyday_name_means_one_material() -> None:
    claimed: dict[str, set[str]] = {}
    for key in KEYS:
        for name in (key, *SHELF[key].names):
            claimed.setdefault(plain(name), set()).add(key)
    assert {name: keys for name, keys in claimed.items() if len(keys) > 1} == {}


@pytest.mark.parametrize("key", KEYS)
def test_record(key: str) -> None:
    record = SHELF[key]
    record.check_units()
    known = sources()
    assert key == key.lower() and key == " ".join(key.split())
    for name, entry in sourced(record):
        assert entry.source in known, f"{name} names the source {entry.source!r}, which sources.toml lacks"
        if entry.source == "memory":
            assert entry.grade == "memory", name
    for name, dimension in PROPERTIES.items():
        for value in getattr(record, name):
            for number in numbers(value, dimension):
                low, high = PLAUSIBLE.get(name, (-3.0, 17.0))
                assert low <= number <= high, f"{name} of {key}: {number} SI"
            if value.low is not None and value.high is not None:
                assert units.si(value.low, dimension) <= units.si(value.high, dimension), name
    for cas in record.cas:
        assert cas_is_sound(str(cas.value)), f"CAS number {cas.value} of {key} fails its check digit"


def numbers(value: Value, dimension: str) -> list[float]:
    given = [entry for entry in (value.value, value.low, value.high) if entry is not None]
    return [*(units.si(entry, dimension) for entry in given), *value.values]


def cas_is_sound(number: str) -> bool:
    """Check digit: the last digit is the sum of the others, weighted 1, 2, 3 ... from the right, modulo 10."""
    if not re.fullmatch(r"\d{2,7}-\d{2}-\d", number):
        return False
    digits = number.replace("-", "")
    return sum(i * int(d) for i, d in enumerate(reversed(digits[:-1]), 1)) % 10 == int(digits[-1])


@pytest.mark.parametrize("key", KEYS)
def test_every_material_can_be_computed_with(key: str) -> None:
    """Density is what every figure needs; without one the catalogue must say the parts it can be computed from."""
    record = SHELF[key]
    assert record.density or record.made_of, f"{key} has neither a density nor a composition"
    assert record.usual, f"{key} has no usual range"


def ends(flow: Flow) -> list[tuple[float, float]]:
    return [flow.yield_stress.si("pressure"), flow.consistency.si("pressure"), flow.index.si("share")]


@pytest.mark.parametrize("key", [key for key in KEYS if SHELF[key].flow])
def test_more_thickener_is_thicker(key: str) -> None:
    flows = SHELF[key].flow
    for medium in dict.fromkeys(flow.medium for flow in flows):
        curves = [flow for flow in flows if flow.medium == medium]
        doses = [flow.share() or 1.0 for flow in curves]
        assert doses == sorted(set(doses)), medium
        for thin, thick in itertools.pairwise(curves):
            for low, high in zip(ends(thin)[:2], ends(thick)[:2], strict=True):
                assert low[0] <= high[0] and low[1] <= high[1], f"{key}: {thin.dose} and {thick.dose}"
    strongest = max((ends(flow)[0][1] for flow in flows if flow.dose), default=0.0)
    assert all(ends(flow)[0][1] >= strongest for flow in flows if flow.dose is None)


@pytest.mark.parametrize("key", [key for key in KEYS if SHELF[key].flow])
def test_a_flow_curve_is_plausible_and_no_bare_guess(key: str) -> None:
    for flow in SHELF[key].flow:
        stress, consistency, index = ends(flow)
        assert 0 <= stress[0] <= stress[1] <= 1e4
        assert 1e-3 <= consistency[0] <= consistency[1] <= 5e3
        assert 0.05 <= index[0] <= index[1] <= 1
        if flow.grade == "memory":
            assert all(high >= 3 * low for low, high in (stress, consistency)), f"{flow.dose} is too sure of itself"


#: Viscosity at the rate a spindle turns at, roughly. [Pa·s] [1/s] Handbook of Pharmaceutical Excipients, 5th edition,
#: monographs of the materials, from memory: carbomer 934 to 940 at pH 7.5, xanthan 1 %, guar 1 %, bentonite 5.5 %,
#: the grades of magnesium aluminum silicate at 5 %.
SPINDLE = [
    ("carbomer", "0.5 %", 5.0, (29.4, 60.0)),
    ("xanthan gum", "1 %", 12.0, (1.2, 1.6)),
    ("guar gum", "1 %", 5.0, (4.86, 4.86)),
    ("bentonite", "5 %", 12.0, (0.075, 0.225)),
    ("magnesium aluminum silicate", "5 %", 12.0, (0.1, 2.2)),
]


@pytest.mark.parametrize(("key", "dose", "rate", "printed"), SPINDLE)
def test_flow_curves_span_the_viscosities_of_the_handbook(
    key: str, dose: str, rate: float, printed: tuple[float, float]
) -> None:
    stress, consistency, index = ends(next(flow for flow in SHELF[key].flow if flow.dose == dose))
    thin, thick = ((stress[i] + consistency[i] * rate ** index[i]) / rate for i in (0, 1))
    assert thin <= printed[0] and printed[1] <= thick


GEL = {"medium": "as supplied", "yield_stress": "12 Pa", "consistency": {"low": "3 Pa", "high": "9 Pa"}, "index": 0.4}


def own(flow: dict[str, object]) -> Material:
    return Material.model_validate(with_defaults("my gel", fill_in({"flow": [flow]}, "own.toml")))


def test_a_flow_of_ones_own_may_be_bare() -> None:
    record = own(GEL)
    record.check_units()
    assert (record.flow[0].source, record.flow[0].grade) == ("own.toml", "supplier")
    assert ends(record.flow[0]) == [(12.0, 12.0), (3.0, 9.0), (0.4, 0.4)]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"yield_stress": "-1 Pa"}, "no yield stress"),
        ({"yield_stress": "5"}, "has no unit"),
        ({"yield_stress": "5 mPa.s"}, "a pressure is needed"),
        ({"yield_stress": {"low": "5 Pa", "high": "2 Pa"}}, "no range"),
        ({"consistency": "0 Pa"}, "no consistency"),
        ({"index": "nan"}, "does not begin with a number"),
        ({"medium": "water", "dose": "120 %"}, "no dose"),
    ],
)
def test_a_flow_that_cannot_be_is_refused(wrong: dict[str, object], says: str) -> None:
    with pytest.raises(UnitError, match=says):
        own({**GEL, **wrong}).check_units()


@pytest.mark.parametrize("wrong", [{"dose": "5 %"}, {"medium": "water"}])
def test_a_dose_goes_with_a_medium(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match="dose"):
        own({**GEL, **wrong})


@pytest.mark.parametrize(
    ("key", "value"),
    [(key, value) for key in KEYS for value in SHELF[key].melting_heat if value.source == "CRC-fusion"],
)
def test_melting_heat_is_that_of_the_library(key: str, value: Value) -> None:
    """Molar heat of fusion of the CRC Handbook, as chemicals has it, over its own molar mass."""
    cas = str(SHELF[key].cas[0].value)
    assert value.si("specific energy") == pytest.approx(Hfus(cas, method="CRC") / MW(cas) * 1e3, abs=500)


@pytest.mark.parametrize(
    ("key", "value"),
    [(key, value) for key in KEYS for value in SHELF[key].specific_heat if value.source == "CRC-thermodynamic"],
)
def test_specific_heat_is_that_of_the_library(key: str, value: Value) -> None:
    """Molar heat capacity of the CRC Handbook at 25 °C; its solid where the material is solid then."""
    cas = str(SHELF[key].cas[0].value)
    state = "Cpl" if SHELF[key].form == "liquid" else "Cps"
    molar = float(CRC_standard_data.loc[cas, state])
    assert value.si("heat capacity") == pytest.approx(molar / MW(cas) * 1e3, rel=0.004)


def test_expansion_is_that_of_printed_densities() -> None:
    """Volumes per kelvin between two printed densities: IAPWS-95, OIML R 22, Bosart and Snoddy (20 and 30 °C)."""
    for key, cold, hot, kelvin in (
        ("aqua", 998.207, 995.650, 10),
        ("ethanol", 793.51, 784.95, 10),
        ("glycerin", 1261.08, 1254.95, 10),
    ):
        printed = SHELF[key].expansion[0].si("thermal expansion")
        assert printed == pytest.approx(2 * (cold - hot) / (cold + hot) / kelvin, rel=0.005), key


def test_reading_block_by_block_is_reading_whole() -> None:
    """The catalogue is cut at its headers and read a material at a time; TOML read whole must say the same."""
    for path in DATA.glob("*.toml"):
        whole = load(path)
        blocks = Blocks([path.read_text(encoding="utf-8")])
        assert list(blocks) == list(whole)
        for key, table in whole.items():
            assert blocks[key] == table
            cas = table.get("cas", [])
            numbers = [entry["value"] for entry in (cas if isinstance(cas, list) else [cas])]
            assert blocks.names(key) == Names(table["inci"], tuple(table.get("names", ())), tuple(numbers)), key


def test_a_flow_of_an_own_file_may_hold_bare_numbers() -> None:
    """A formula file is read with decimals; a bare index is one."""
    span = Flow.model_validate(
        {"medium": "oil", "dose": "3 %", "yield_stress": "5 Pa", "consistency": "2 Pa", "index": Decimal("0.5"),
         "source": "own-word", "grade": "supplier"}
    ).index  # fmt: skip
    assert span.si("share") == (0.5, 0.5)
