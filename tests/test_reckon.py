"""Quick sums: against printed values, by their working, and by what they refuse."""

from __future__ import annotations

import math
import re
import shlex

import pytest

from levigate.errors import SumError
from levigate.publish.forms import reckon_out
from levigate.reckon.sums import Key, QuickSum, Reckoned, quick_sums, reckon
from levigate.shelf.catalogue import sources

ALL = list(quick_sums().values())


def value(name: str, figure: str, **told: str) -> float:
    return reckon(name, told).figures[figure].value


def told_by(example: str) -> dict[str, str]:
    """Return the keys of an example as the command line would split it."""
    return dict(word.split("=", 1) for word in shlex.split(example))


# OIML R 22 (1975), general formula; cells of tables I and II as kept in physics.md 1.2.


def test_fifty_and_fifty_make_less_than_a_hundred() -> None:
    answer = reckon("ethanol-water", {"ethanol": "50 mL", "water": "50 mL"})
    assert answer.figures["volume"].value == pytest.approx(96.46, abs=0.005)
    assert answer.figures["contraction"].value == pytest.approx(3.54, abs=0.005)
    assert "shrinks by 1 - 96.46 mL / 100.0 mL = 3.54 %" in answer.working
    assert any("burns" in note for note in answer.notes)


def test_ethanol_water_away_from_20_degrees() -> None:
    """At 20 °C and in water no coefficient C is felt; p = 0.5 at 40 °C feels them: 897.44 kg/m³."""
    answer = reckon("ethanol-water", {"by_mass": "0.5", "temperature": "40C"})
    assert answer.figures["density"].value == pytest.approx(0.89744, abs=5e-6)
    assert answer.figures["density"].grade == "handbook"
    assert reckon("ethanol-water", {"by_mass": "50 %", "temperature": "104 F"}).figures[
        "density"
    ].value == pytest.approx(0.89744, abs=5e-6)


def test_forty_by_volume_is_a_third_by_mass() -> None:
    assert value("ethanol-water", "by_mass", by_volume="40%") == pytest.approx(33.300, abs=5e-4)
    assert value("ethanol-water", "by_volume", by_mass="33.300%") == pytest.approx(40.0, abs=1e-3)


@pytest.mark.parametrize(
    ("amount", "to", "printed", "digits"),
    [
        ("1 fl oz", "mL", 29.57353, 5e-6),  # NIST SP 811, appendix B
        ("1 oz", "g", 28.34952, 5e-6),
        ("1 lb", "g", 453.59237, 5e-6),
        ("1 imp fl oz", "mL", 28.41306, 5e-6),
        ("75 C", "F", 167.0, 1e-9),
        ("-40 F", "C", -40.0, 1e-9),
        ("1000 cP", "Pa.s", 1.0, 1e-12),
        ("1 gal", "L", 3.785412, 5e-7),
        ("12 um", "mm", 0.012, 1e-15),
        ("0.5", "%", 50.0, 1e-12),
    ],
)
def test_convert(amount: str, to: str, printed: float, digits: float) -> None:
    answer = reckon("convert", {"amount": amount, "to": to})
    (figure,) = answer.figures.values()
    assert figure.value == pytest.approx(printed, abs=digits)
    assert (figure.unit, figure.grade) == (to, "exact")
    assert figure.low is None


def test_convert_through_a_density() -> None:
    assert value("convert", "mass", amount="10 mL", to="g", density="0.92 g/mL") == pytest.approx(9.2, rel=1e-12)
    assert value("convert", "volume", amount="9.2 g", to="mL", density="0.92 g/mL") == pytest.approx(10.0, rel=1e-12)
    assert reckon("convert", {"amount": "9.2 g", "to": "mL", "density": "0.92 g/mL"}).working == (
        "9.2 g / 0.9200 g/mL",
        "9.2 g = 10.00000 mL",
    )


def test_weighing() -> None:
    """U = 2 √(2/12) d = 0.0816 g for d = 0.1 g: 1.63 % of 5 g, and 1.63 g is the least within 5 %."""
    answer = reckon("weighing", {"mass": "5 g", "scale": "0.1 g"})
    floor = 2 * math.sqrt(2 / 12) * 0.1
    assert answer.figures["error"].value == pytest.approx(100 * floor / 5, rel=1e-12)
    assert answer.figures["least_mass"].value == pytest.approx(floor / 0.05, rel=1e-12)
    assert set(reckon("weighing", {"scale": "0.01"}).figures) == {"least_mass"}
    poor = reckon("weighing", {"mass": "5 g", "scale": "0.1 g", "repeatability": "0.2 g", "within": "10%"})
    assert poor.figures["error"].value == pytest.approx(8.0, rel=1e-12)
    assert poor.figures["least_mass"].value == pytest.approx(4.0, rel=1e-12)
    assert poor.working[0] == "U = 2 s = 2 × 0.200 g = 0.4000 g"


def test_density_by_syringe() -> None:
    """9.52 g in 10 mL, mark within 0.2 mL, 0.01 g scale: U/ρ = √((2 √(2/12) 0.01/9.52)² + 0.02²)."""
    figure = reckon("density", {"mass": "9.52 g", "volume": "10 mL", "volume_error": "0.2 mL"}).figures["density"]
    assert figure.value == pytest.approx(0.952, rel=1e-12)
    share = math.hypot(2 * math.sqrt(2 / 12) * 0.01 / 9.52, 0.02)
    assert figure.high == pytest.approx(0.952 * (1 + share), rel=1e-12)
    assert figure.low == pytest.approx(0.952 * (1 - share), rel=1e-12)
    assert figure.grade == "measured"
    rough = reckon("density", {"mass": "9.52 g", "volume": "10 mL"})
    assert rough.notes and "within 1 %" in rough.notes[0]


def test_density_of_a_mixture() -> None:
    """The catalogue's own densities, volumes added, spread by first order; a name with a comma is one name."""
    from levigate.quantities.swelling import density_of
    from levigate.shelf.catalogue import catalogue

    parts = {"aqua": 0.70, "glycerin": 0.05, "isopropyl myristate": 0.25}
    text = ", ".join(f"{100 * share:g}% {name}" for name, share in parts.items())
    figure = reckon("density", {"of": text}).figures["density"]
    known = {name: density_of(catalogue(), name) for name in parts}
    specific = sum(share / known[name].value for name, share in parts.items())
    half = math.sqrt(sum((share * (known[n].spread or 0) / known[n].value ** 2) ** 2 for n, share in parts.items()))
    assert figure.value == pytest.approx(1 / specific / 1000, rel=1e-12)
    assert figure.high == pytest.approx((1 / specific + half / specific**2) / 1000, rel=1e-12)
    assert reckon("density", {"of": "50% 1,2-hexanediol, 50 % aqua"}).figures["density"].value > 0.9


# Refusals teach.


@pytest.mark.parametrize(
    ("name", "told", "says"),
    [
        ("etanol-water", {}, 'There is no quick sum "etanol-water". Did you mean "ethanol-water"?'),
        ("xyz", {}, 'There is no quick sum "xyz". `levigate reckon` lists them.'),
        ("ethanol-water", {"by_mas": "0.5"}, 'takes no "by_mas". Did you mean "by_mass"? It takes by_mass, by_volume'),
        ("ethanol-water", {}, "Say one of by_mass, by_volume, or ethanol with water"),
        ("ethanol-water", {"by_mass": "0.5", "by_volume": "0.5"}, "Say one of by_mass, by_volume"),
        (
            "ethanol-water",
            {"ethanol": "50 mL"},
            "ethanol-water needs water, for example: levigate reckon ethanol-water",
        ),
        ("ethanol-water", {"ethanol": "50 mL", "water": "0 mL"}, "water must be above nought."),
        ("ethanol-water", {"by_mass": "1.2"}, "by_mass is a share of the whole, 0 to 1 or 0% to 100%; 1.2 is not."),
        ("ethanol-water", {"by_mass": "0.5", "temperature": "41 C"}, "holds from -20 to 40 °C; 41 °C is outside."),
        ("ethanol-water", {"by_mass": "0,5"}, 'write the decimal point, as in "0.5".'),
        ("ethanol-water", {"by_mass": "5 g"}, "by_mass: "),
        ("density", {"mass": "9.52 g"}, "density needs volume, for example: levigate reckon density mass=9.52g"),
        ("density", {"mass": "9.52", "volume": "10 mL"}, "has no unit: a mass is needed"),
        ("density", {"mass": "-1 g", "volume": "10 mL"}, "mass must be above nought."),
        (
            "density",
            {"mass": "1 g", "volume": "1 mL", "of": "100% aqua"},
            "Say either mass and volume, or of a mixture",
        ),
        ("density", {"of": "70% aqua, 20% glycerin"}, "The parts add up to 90 %, not to 100 %."),
        ("density", {"of": "70% aqua, 30% glycerine vegtable"}, 'No material is called "glycerine vegtable". Did you'),
        ("density", {"of": "aqua"}, '"aqua" is no share of a material; write for example "70% aqua, 30% glycerin".'),
        ("density", {"of": "-10% aqua, 110% glycerin"}, "A share below nought (aqua) is none."),
        ("density", {"of": ""}, "is no share of a material"),
        ("convert", {"amount": "1 fl oz"}, "convert needs to, for example"),
        ("convert", {"amount": "1 fl oz", "to": "C"}, '"1 fl oz" is a volume, but "C" is a unit of temperature.'),
        ("convert", {"amount": "1 fl oz", "to": "flurb"}, "has a unit that is not known"),
        ("convert", {"amount": "10 g", "to": "mL"}, "Between mass and volume the density is needed"),
        ("convert", {"amount": "10 g", "to": "mL", "density": "0 g/mL"}, "density must be above nought."),
        ("convert", {"amount": "5,0 g", "to": "mg"}, "write the decimal point"),
        ("convert", {"amount": "1e400 g", "to": "mg"}, "too large a number"),
        ("weighing", {"mass": "5 g"}, "weighing needs scale"),
        ("weighing", {"mass": "5 g", "scale": "5 kg"}, '"5 kg" is no resolution of a scale'),
        ("weighing", {"mass": "0 g", "scale": "0.1 g"}, "mass must be above nought."),
        ("weighing", {"scale": "0.1 mL"}, "is a volume, but a mass is needed"),
    ],
)
def test_a_refusal_says_what_would_be_right(name: str, told: dict[str, str], says: str) -> None:
    with pytest.raises(SumError, match=re.escape(says)):
        reckon(name, told)


def test_an_answer_outside_the_method_is_refused_not_shown() -> None:
    from levigate.reckon.sums import figure

    with pytest.raises(SumError, match=r"Density cannot be worked out from this"):
        figure("density", "Density", math.nan, "g/mL", method="m", source="definition")


# Every sum, those to come included.


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_every_sum_does_its_own_example(one: QuickSum) -> None:
    answer = reckon(one.name, told_by(one.example))
    check(answer)
    form = reckon_out(one.name, answer)
    assert form.sum == one.name
    assert set(form.model_dump()["figures"]) == set(answer.figures)
    assert all(figure.value is not None for figure in form.figures.values())


def check(answer: Reckoned) -> None:
    assert answer.figures and answer.working
    for name, figure in answer.figures.items():
        assert figure.name == name and figure.title and figure.method
        assert figure.source in sources()
        assert math.isfinite(figure.value) and figure.known
        assert "not known" not in figure.say()


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_every_sum_can_be_told_by_plain_names(one: QuickSum) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", one.name)
    assert one.title.endswith(".") and one.keys
    for key, about in one.keys.items():
        assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", key)
        assert isinstance(about, Key) and about.says
    assert set(told_by(one.example)) <= set(one.keys)


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
@pytest.mark.parametrize("rubbish", ["", "5,0", "nan", "1e308 g", "💧", "-", "g", "99999999999999999999 kg"])
def test_rubbish_is_refused_in_a_sentence(one: QuickSum, rubbish: str) -> None:
    for key in one.keys:
        told = {**told_by(one.example), key: rubbish}
        try:
            check(reckon(one.name, told))
        except SumError as trouble:
            assert len(str(trouble)) > 15
            assert str(trouble)[-1] in ".?" or "for example" in str(trouble)
