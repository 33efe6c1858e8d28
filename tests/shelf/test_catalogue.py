"""The built-in catalogue: every key resolves, every value is plausible and agrees with an outside reference."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

import pytest

from levigate import units
from levigate.shelf.catalogue import DATA, Blocks, Names, catalogue, load, plain, sources
from levigate.shelf.record import PROPERTIES, Material, Sourced, Value

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
    for number in record.cas:
        assert cas_is_sound(str(number.value)), f"CAS number {number.value} of {key} fails its check digit"


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
