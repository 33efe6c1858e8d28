"""A formula read from its text and written back: nothing is lost, and only what changed changes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from levigate import units
from levigate.errors import FileError
from levigate.formula.model import HUNDRED, Formula, Grain, Line, Phase, Sieve
from levigate.formula.percent import ALL, adjust
from levigate.formula.strength import with_material
from levigate.formula.text import BOM, load_formula, own_shelf, read_formula, read_makes
from levigate.formula.write import rewrite

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))

GRAIN = Grain(units.si("12 um", "length"), units.si("25 um", "length"))

CREAM = """\
# A cream for the test.
levigate = 1            # the form of this file

[formula]
name = "Test cream"
use = "hand cream"
makes = "500 g"         # a first batch
note = "for the test"

[container]
name = "jar"
brimful = "60 mL"
headspace = "4 %"

# The water phase
[[phase]]
letter = "A"
how = "heat to 70-75 °C, hold 20 min"
lines = [
  # what is left
  { material = "aqua", percent = "q.s. to 100 %", note = "boiled" },   # water
  { material = "glycerin", percent = 4.0 },  # not more
  { material = "house gel", percent = "2.5 %", role = "body" },
]

[[phase]]
letter = "B"
how = "below 40 C"
lines = [ { material = "zinc oxide", percent = 1, grain = { d50 = "0.5 um", d90 = "2 um" } }, ]

# What only this bench has
[materials."house gel"]
inci = "Cyclopentasiloxane (and) Dimethicone Crosspolymer"
density = "0.96 g/mL"
made_of = { "cyclopentasiloxane" = 87, "dimethicone crosspolymer" = 13 }

[measured]
density = { value = "0.97 g/mL", date = 2026-03-01, how = "syringe" }
"""

#: The same lines as tables of their own.
TABLES = """\
levigate = 1
[formula]
name = "Tables"
[[phase]]
letter = "A"
[[phase.lines]]
material = "aqua"    # water
percent = "q.s."

[[phase.lines]]
material = "glycerin"
percent = 4
note = "the pure one"
[[phase]]
letter = "B"
[[phase.lines]]
material = "zinc oxide"
percent = 1
"""


def read(text: str) -> Formula:
    return read_formula(text, file="f.toml")


def bare(formula: Formula) -> Formula:
    """Return a formula without what only its file knows: where its lines stand."""
    phases = tuple(
        replace(phase, lines=tuple(replace(line, number=None) for line in phase.lines)) for phase in formula.phases
    )
    return replace(formula, phases=phases, file="")


def moved(formula: Formula, material: str, letter: str) -> Formula:
    """Return a formula with a line at the end of another phase."""
    (line,) = (line for _, line in formula.lines() if line.material == material)
    phases = tuple(
        replace(
            phase,
            lines=(*(one for one in phase.lines if one != line), *([line] if phase.letter == letter else [])),
        )
        for phase in formula.phases
    )
    return replace(formula, phases=phases)


class TestReading:
    formula = read(CREAM)

    def test_the_head(self) -> None:
        assert (self.formula.name, self.formula.use, self.formula.note) == ("Test cream", "hand cream", "for the test")
        assert self.formula.makes is not None and self.formula.makes.mass == pytest.approx(0.5)
        box = self.formula.container
        assert box is not None and (box.name, box.headspace) == ("jar", 0.04)
        assert box.brimful == pytest.approx(60e-6)

    def test_percents_are_exact_and_qs_takes_what_is_left(self) -> None:
        assert self.formula.percents == (Decimal("92.5"), Decimal("4.0"), Decimal("2.5"), Decimal(1))
        assert self.formula.qs == 0 and self.formula.adds_up and self.formula.total == HUNDRED

    def test_each_line_knows_where_it_stands(self) -> None:
        lines = CREAM.splitlines()
        for _, line in self.formula.lines():
            assert line.number is not None and f'"{line.material}"' in lines[line.number - 1]

    def test_grain_role_and_note(self) -> None:
        water, _, gel, zinc = (line for _, line in self.formula.lines())
        assert (water.note, gel.role) == ("boiled", "body")
        assert zinc.grain is not None
        assert (zinc.grain.d50, zinc.grain.d90) == pytest.approx((0.5e-6, 2e-6))

    def test_own_materials_and_what_was_measured(self) -> None:
        assert "house gel" in own_shelf(self.formula)
        assert self.formula.measured["density"]["value"] == "0.97 g/mL"

    def test_tables_of_lines_read_like_lists_of_lines(self) -> None:
        formula = read(TABLES)
        assert formula.percents == tuple(map(Decimal, ("95", "4", "1")))
        assert [(phase.letter, line.material, line.number) for phase, line in formula.lines()] == [
            ("A", "aqua", 6),
            ("A", "glycerin", 10),
            ("B", "zinc oxide", 16),
        ]

    @pytest.mark.parametrize("windows", [False, True])
    @pytest.mark.parametrize("mark", ["", BOM])
    def test_line_ends_and_a_mark_of_the_editor_make_no_difference(
        self, tmp_path: Path, mark: str, windows: bool
    ) -> None:
        path = tmp_path / "f.toml"
        path.write_bytes((mark + (CREAM.replace("\n", "\r\n") if windows else CREAM)).encode())
        assert replace(load_formula(path), file="f.toml") == self.formula

    @pytest.mark.parametrize("written", ["q.s.", "qs", "Q.S.", "q.s. to 100", "q.s. ad 100 %", "q. s.", " qs "])
    def test_qs_as_it_is_written_in_the_trade(self, written: str) -> None:
        assert read(CREAM.replace("q.s. to 100 %", written)).qs == 0

    @pytest.mark.parametrize(
        ("how", "celsius"),
        [
            ("heat to 75 C, hold", 75),
            ("heat to 70-75 °C", 75),  # a dash, not a minus
            ("heat to 70–75°C", 75),
            ("between 70 and 75 degrees C, then 60 C", 75),
            ("75°c", 75),
            ("heat to 167 F", 75),
            ("heat to 348.15 K", 75),
            ("chill to -5 C", -5),
            ("stir 20 min at 300 rpm", None),
            ("add C to A and B", None),
            ("phase 2 Cool down", None),
            ("pass sieve no. 60 Compact", None),
            ("", None),
        ],
    )
    def test_the_hottest_temperature_named(self, how: str, celsius: float | None) -> None:
        phase = read(CREAM.replace("heat to 70-75 °C, hold 20 min", how)).phases[0]
        assert phase.temperature == (None if celsius is None else pytest.approx(celsius + 273.15))

    @pytest.mark.parametrize(
        ("text", "mass", "volume", "containers"),
        [
            ("500 g", 0.5, None, None),
            ("250 mL", None, 250e-6, None),
            ("12 x 50 mL", None, 50e-6, 12),
            ("12 × 50 mL", None, 50e-6, 12),
            ("12x50g", 0.05, None, 12),
            ("3 * 1 fl oz", None, 29.5735295625e-6, 3),
        ],
    )
    def test_how_much_it_makes(
        self, text: str, mass: float | None, volume: float | None, containers: int | None
    ) -> None:
        makes = read_makes(text)
        assert makes.mass == (None if mass is None else pytest.approx(mass))
        assert makes.volume == (None if volume is None else pytest.approx(volume))
        assert makes.containers == containers


@pytest.mark.parametrize("text", [CREAM, TABLES, *(path.read_text() for path in EXAMPLES)])
@pytest.mark.parametrize("windows", [False, True])
@pytest.mark.parametrize("mark", ["", BOM])
def test_nothing_changed_nothing_changes(text: str, mark: str, windows: bool) -> None:
    text = mark + (text.replace("\n", "\r\n") if windows else text)
    assert rewrite(text, read(text)) == text


def test_nothing_changes_even_where_the_writer_would_lay_it_out_anew() -> None:
    """tomlkit 0.13 swallows the blank between a date and a bracket."""
    text = CREAM.replace('date = 2026-03-01, how = "syringe" }', 'how = "syringe", date = 2026-03-01 }')
    assert rewrite(text, read(text)) == text


def test_a_percent_changes_on_its_line_alone() -> None:
    changed = rewrite(CREAM, adjust(read(CREAM), {1: Decimal("5.25")}))
    assert changed == CREAM.replace("percent = 4.0 },  # not more", "percent = 5.25 },  # not more")


def test_all_percents_change_and_every_comment_stays() -> None:
    before = read(CREAM)
    after = adjust(before, {3: Decimal(2)}, give=ALL)
    text = rewrite(CREAM, after)
    assert bare(read(text)) == bare(after)
    for line in CREAM.splitlines():
        if "#" in line:
            assert line[line.index("#") :] in text
    assert '"q.s. to 100 %"' in text


def test_how_much_it_makes_changes() -> None:
    formula = replace(read(CREAM), makes=read_makes("12 x 40 mL"))
    assert rewrite(CREAM, formula) == CREAM.replace('"500 g" ', '"12 x 40 mL" ')


def test_a_material_is_renamed_where_it_stands() -> None:
    after = with_material(read(CREAM), 1, "propanediol")
    assert rewrite(CREAM, after) == CREAM.replace('"glycerin"', '"propanediol"')


@pytest.mark.parametrize("text", [CREAM, TABLES])
def test_a_line_moves_to_another_phase_with_all_it_has(text: str) -> None:
    after = moved(read(text), "glycerin", "B")
    written = rewrite(text, after)
    assert bare(read(written)) == bare(after)
    assert written.count("glycerin") == 1


def test_another_order_in_a_phase_is_left_to_the_file() -> None:
    """And no comment comes to stand beside another material."""
    formula = read(CREAM)
    first = formula.phases[0]
    turned = replace(formula, phases=(replace(first, lines=first.lines[::-1]), *formula.phases[1:]))
    assert rewrite(CREAM, turned) == CREAM


def test_lines_that_change_places_keep_their_own_notes() -> None:
    """As many lines in each phase as before: a name in the same place must not be taken for a new name."""
    after = moved(moved(read(CREAM), "house gel", "B"), "zinc oxide", "A")
    written = rewrite(CREAM, after)
    assert bare(read(written)) == bare(after)
    (gel,) = (line for _, line in read(written).lines() if line.material == "house gel")
    assert gel.role == "body" and gel.grain is None


@pytest.mark.parametrize("text", [CREAM, TABLES, *(path.read_text() for path in EXAMPLES)])
@pytest.mark.parametrize("windows", [False, True])
def test_a_line_is_added(text: str, windows: bool) -> None:
    text = text.replace("\n", "\r\n") if windows else text
    formula = read(text)
    new = Line("allantoin", Decimal("0.2"), False, GRAIN, 'says "soft"', "soothes")
    last = formula.phases[-1]
    grown = replace(formula, phases=(*formula.phases[:-1], replace(last, lines=(*last.lines, new))))
    after = adjust(grown, {len(grown.percents) - 1: Decimal("0.2")}, give=ALL)
    written = rewrite(text, after)
    assert bare(read(written)) == bare(after)
    assert written.count("\r\n") == (written.count("\n") if windows else 0)
    assert "allantoin" in written and "#" not in written.split("allantoin")[1].split("\n")[0]


HEAD_OF_ORDER = 'levigate = 1\n[formula]\nname = "T"\n[[phase]]\nletter = "A"\nlines = {}\n'


def test_a_line_is_taken_out() -> None:
    formula = read(CREAM)
    first = formula.phases[0]
    fewer = replace(formula, phases=(replace(first, lines=(first.lines[0], first.lines[2])), *formula.phases[1:]))
    after = fewer.with_percents((Decimal("96.5"), Decimal("2.5"), Decimal(1)))
    written = rewrite(CREAM, after)
    assert bare(read(written)) == bare(after)
    assert "glycerin" not in written and "# water" in written


def test_a_line_is_renamed_while_another_is_taken_out() -> None:
    """What is renamed stays in its place, though all below it move up."""
    text = HEAD_OF_ORDER.format(
        '[ { material = "a", percent = "q.s." }, { material = "b", percent = 1, note = "n" }, '
        '{ material = "c", percent = 2 }, { material = "d", percent = 3 } ]'
    )
    before = read_formula(text)
    phase = before.phases[0]
    a, b, _, d = phase.lines
    after = replace(before, phases=(replace(phase, lines=(a, replace(b, material="x"), d)),))
    again = rewrite(text, after)
    assert [line.material for _, line in read_formula(again).lines()] == ["a", "x", "d"]
    assert '{ material = "x", percent = 1, note = "n" }' in again


def test_qs_becomes_a_number_and_a_number_qs() -> None:
    formula = read(CREAM)
    first = formula.phases[0]
    lines = (replace(first.lines[0], qs=False), replace(first.lines[1], qs=True), first.lines[2])
    after = replace(formula, phases=(replace(first, lines=lines), *formula.phases[1:]))
    written = rewrite(CREAM, after)
    assert bare(read(written)) == bare(after)
    assert '"aqua", percent = 92.5' in written and '"glycerin", percent = "q.s." }' in written


def test_notes_and_grain_change_and_go() -> None:
    formula = read(CREAM)
    zinc = replace(formula.phases[1].lines[0], grain=None, note="coated")
    after = replace(formula, phases=(formula.phases[0], replace(formula.phases[1], lines=(zinc,))))
    written = rewrite(CREAM, after)
    assert bare(read(written)) == bare(after)
    assert "grain" not in written


GRAINS = {
    "{ mesh = 200 }": Grain(sieves=(Sieve("200 mesh", 75e-6),)),
    '{ mesh = "No. 325", passing = "99 %" }': Grain(sieves=(Sieve("No. 325", 45e-6, 0.99),)),
    '{ sieve = "63 um" }': Grain(sieves=(Sieve("63 um", 63e-6),)),
    '{ d50 = "12 um", sieve = "#325", passing = 0.98 }': Grain(12e-6, sieves=(Sieve("#325", 45e-6, 0.98),)),
    '{ sieves = [["45 um", "60 %"], ["170 mesh", "98 %"]] }': Grain(
        sieves=(Sieve("45 um", 45e-6, 0.6), Sieve("170 mesh", 90e-6, 0.98))
    ),
    '{ ground = "Pestle" }': Grain(ground="mortar"),
}


@pytest.mark.parametrize(("written", "meant"), GRAINS.items(), ids=list(GRAINS))
def test_a_grain_by_sieve_or_grind_is_read_and_written(written: str, meant: Grain) -> None:
    """Left alone it keeps every byte; moved to another phase it is written anew and means the same."""
    text = CREAM.replace('{ d50 = "0.5 um", d90 = "2 um" }', written)
    formula = read(text)
    (zinc,) = formula.phases[1].lines
    assert zinc.grain is not None and rounded(zinc.grain) == meant
    assert rewrite(text, formula) == text
    first = replace(formula.phases[0], lines=(*formula.phases[0].lines, zinc))
    moved = replace(formula, phases=(first, *formula.phases[2:]))
    assert bare(read(rewrite(text, moved))) == bare(moved)


def rounded(grain: Grain) -> Grain:
    """Return a grain without the last bits of its lengths."""
    sieves = tuple(replace(one, opening=float(f"{one.opening:.12g}")) for one in grain.sieves)
    return replace(grain, sieves=sieves, d50=None if grain.d50 is None else float(f"{grain.d50:.12g}"))


def test_a_text_that_is_not_toml_is_refused() -> None:
    with pytest.raises(FileError, match="cannot be changed in place"):
        rewrite("levigate = [", read(CREAM))


@st.composite
def changes(draw: st.DrawFn) -> tuple[str, Formula]:
    """Draw an example and what may become of it: lines in any phase, in any order, some new, all percents new."""
    text = draw(st.sampled_from([CREAM, TABLES, *(path.read_text() for path in EXAMPLES)]))
    formula = read(text)
    lines = draw(st.permutations([line for _, line in formula.lines()]))
    lines = lines[: draw(st.integers(len(formula.phases), len(lines)))]
    if draw(st.booleans()):
        lines.append(
            Line(
                "allantoin",
                Decimal(0),
                False,
                draw(st.none() | st.just(Grain(units.si("12 um", "length"), units.si("25 um", "length")))),
            )
        )
    ends = draw(st.permutations(range(1, len(lines))))[: len(formula.phases) - 1]
    cuts = [0, *sorted(ends), len(lines)]
    phases = tuple(
        Phase(phase.letter, phase.how, tuple(lines[start:end]), phase.temperature)
        for phase, start, end in zip(formula.phases, cuts, cuts[1:], strict=False)
    )
    changed = replace(formula, phases=phases)
    weights = draw(st.lists(st.integers(0, 1000), min_size=len(lines), max_size=len(lines)))
    assume(any(weights))
    changed = changed.with_percents(tuple(map(Decimal, weights)))
    return text, adjust(changed, {}, give=ALL)


@given(change=changes(), windows=st.booleans())
def test_what_is_written_reads_as_what_was_meant(change: tuple[str, Formula], windows: bool) -> None:
    """Lines may come in another order, since what stays in the text stays where it is; nothing else may differ."""
    text, after = change
    written = rewrite(text.replace("\n", "\r\n") if windows else text, after)
    again = read(written)

    def sorted_lines(formula: Formula) -> list[tuple[str, str, Line]]:
        return sorted(
            ((phase.letter, line.material, replace(line, number=None)) for phase, line in formula.lines()),
            key=lambda entry: entry[:2],
        )

    assert sorted_lines(again) == sorted_lines(after)
    assert replace(bare(again), phases=()) == replace(bare(after), phases=())
