"""The shapes of what the commands print with ``--json``; docs/reference/json.md is made from them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from levigate import __version__
from levigate.bench.batch import Batch, Weigh
from levigate.bench.filling import Fill
from levigate.formula.difference import Difference
from levigate.formula.model import Formula
from levigate.publish.heat import heat_by_phase
from levigate.quantities.figure import FIGURE_GRADES, Figure
from levigate.quantities.saying import bench_unit, to_bench
from levigate.quantities.sourced import Input
from levigate.reckon.sums import QuickSum, Reckoned
from levigate.review.engine import Review
from levigate.review.findings import Finding, Level
from levigate.shelf.catalogue import sources


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)


Grade = Annotated[str, Field(json_schema_extra={"enum": list(FIGURE_GRADES)})]


class LineOut(_Out):
    """One line of a formula; percent by mass."""

    phase: str
    material: str
    percent: float
    qs: bool = False


class InputOut(_Out):
    """One value behind a figure; null where it is not known."""

    name: str
    value: float | None
    unit: str
    spread: float | None = None
    """Half-width of the interval that holds 95 %; null where the value is exact."""
    grade: Grade
    source: str
    """Key of the work in sources.toml; empty where the value is not known."""
    place: str = ""


class RowOut(_Out):
    """One entry of a figure that has a value for each line or substance."""

    name: str
    value: float | None
    low: float | None = None
    high: float | None = None


class FigureOut(_Out):
    """A figure: a computed quantity with what a person needs to judge it."""

    value: float | None
    """Null where it is not known or where there are rows."""
    low: float | None = None
    """Lower end of the interval that holds 95 %; null where every input is exact."""
    high: float | None = None
    unit: str
    grade: Grade
    """That of the weakest value behind it."""
    title: str
    method: str
    holds: str = ""
    """When the method holds."""
    seen_off: str = ""
    """How far off the method has been seen."""
    source: str
    """The work that the method stands in."""
    place: str = ""
    inputs: list[InputOut] = []
    working: list[str] = []
    """The equation with the numbers put in."""
    rows: list[RowOut] = []
    """Where it has a value for each line or each substance."""
    unknown: str = ""
    """What is missing and the bench test that would supply it; empty where it is known."""


class RemedyOut(_Out):
    """A change that would mend a finding."""

    id: str
    """For `levigate adjust --remedy`."""
    says: str
    lines: list[LineOut] | None = None
    """The lines of the mended formula; null where the change is not one of the formula."""


class FindingOut(_Out):
    """One thing the review says."""

    rule: str
    level: Level
    title: str
    why: str
    source: str
    place: str = ""
    lines: list[str] = []
    remedies: list[RemedyOut] = []


class FormulaOut(_Out):
    """A formula in short."""

    name: str
    use: str
    makes: str | None = None
    total_percent: float
    lines: list[LineOut]


class ReviewOut(_Out):
    """`levigate review`."""

    levigate: str
    formula: FormulaOut
    temperature_c: float
    """Temperature of all figures that name no other."""
    left_out: list[str]
    """What was measured too far from that temperature to stand for it."""
    figures: dict[str, FigureOut]
    findings: list[FindingOut]
    cautions: list[str]


class WeighOut(_Out):
    """One line to weigh."""

    phase: str
    material: str
    inci: str
    percent: float
    grams: float
    """In whole steps of the scale."""
    exact_grams: float
    """What the formula asks for before rounding."""
    error_percent: float | None
    """Expanded (k = 2) weighing error in percent of the line; null where the line rounds to nothing."""
    rounding_percent: float
    """What rounding to the scale changes, in percent of the line."""
    running_grams: float
    """What the scale shows when the vessel is tared once a phase."""
    too_small: bool
    """Whether the weighing error passes what is put up with."""


class SmallOut(_Out):
    """A line too small for the scale, with the ways out, the cheapest first."""

    material: str
    says: str
    ways: list[str]


class FillOut(_Out):
    """So many containers of one size; grams in each."""

    size: str
    grams: float
    count: int


class BatchOut(_Out):
    """`levigate batch`."""

    levigate: str
    formula: str
    code: str
    date: str
    makes: str
    stops: list[str] = []
    """What the review says stop to."""
    scale_g: float
    """One step of the scale."""
    loss_percent: float
    lines: list[WeighOut]
    total_g: float
    yield_g: float
    """What there is to fill after the loss."""
    fills: list[FillOut] = []
    """The mix of sizes that leaves the least; empty where none were asked for."""
    left_over_g: float | None = None
    """What the fills leave over; null where none were asked for."""
    volume_mL: float | None  # noqa: N815 (the litre is written with a capital)
    """Of the whole batch; null where the density is not known."""
    density: FigureOut
    smallest_batch_g: float
    """The least that weighs every line well enough on this scale."""
    smallest_batch_for: str
    """The line that asks for it."""
    too_small: list[SmallOut]
    cautions: list[str]
    heat: dict[str, str] = {}
    """Phase -> how warm the batch is once it has joined, and the water to top it up with, where that is foreseen."""


class LineChangeOut(_Out):
    """One line in two formulas; null where it does not stand."""

    material: str
    phases: tuple[str | None, str | None]
    percents: tuple[float | None, float | None]
    change: str


class SubstanceChangeOut(_Out):
    """One substance in two formulas, premixes taken apart."""

    substance: str
    percents: tuple[float, float]


class FigurePairOut(_Out):
    """One figure of two formulas."""

    unit: str
    values: tuple[float | None, float | None]


class CompareOut(_Out):
    """`levigate compare`."""

    names: tuple[str, str]
    head: list[tuple[str, str, str]]
    treatment: list[tuple[str, str, str]]
    lines: list[LineChangeOut]
    substances: list[SubstanceChangeOut]
    figures: dict[str, FigurePairOut]


class KeyOut(_Out):
    """One thing that a quick sum can be told; default is what it takes where it is not told."""

    key: str
    says: str
    default: str | None


class SumOut(_Out):
    """One quick sum, as `levigate reckon` lists it."""

    sum: str
    title: str
    example: str
    keys: list[KeyOut]


class ReckonOut(_Out):
    """`levigate reckon NAME`."""

    sum: str
    figures: dict[str, FigureOut]
    working: list[str]
    notes: list[str] = []


class DemoOut(_Out):
    """`levigate demo`: the files it wrote, the formulas to which the review says stop, the folder of records.

    The folder of records is null where a database server is set and nothing was put on record.
    """

    folder: str
    files: list[str]
    stopped: list[str]
    workshop: str | None


class NewOut(_Out):
    """`levigate new`: the file it wrote, null where the demo formulas were only listed."""

    file: str | None
    known: list[str]


def number(value: float | None) -> float | None:
    """Return a number for JSON, null for nan."""
    return None if value is None or not math.isfinite(value) else value


def lines_out(formula: Formula) -> list[LineOut]:
    """Return the lines of a formula."""
    return [
        LineOut(phase=phase.letter, material=line.material, percent=float(line.percent), qs=line.qs)
        for phase, line in formula.lines()
    ]


def _input_out(entry: Input) -> InputOut:
    unit = bench_unit(entry.unit)
    value = entry.value if math.isnan(entry.value) else to_bench(entry.value, entry.unit)
    spread = None if entry.spread is None else entry.spread * (to_bench(1.0, entry.unit) - to_bench(0.0, entry.unit))
    return InputOut(
        name=entry.name,
        value=number(value),
        unit=unit,
        spread=spread,
        grade=entry.grade,
        source=entry.source,
        place=entry.place,
    )


def figure_out(figure: Figure) -> FigureOut:
    """Return a figure with the full citation of its method."""
    known = sources()
    return FigureOut(
        value=number(figure.value),
        low=number(figure.low),
        high=number(figure.high),
        unit=figure.unit,
        grade=figure.grade,
        title=figure.title,
        method=figure.method,
        holds=figure.holds,
        seen_off=figure.seen_off,
        source=known[figure.source].cite,
        place=figure.place,
        inputs=[_input_out(entry) for entry in figure.inputs],
        working=list(figure.working()),
        unknown=figure.unknown,
        rows=[
            RowOut(name=row.name, value=number(row.value), low=number(row.low), high=number(row.high))
            for row in figure.rows
        ],
    )


def review_out(review: Review) -> ReviewOut:
    """Return a review."""
    formula = review.formula
    return ReviewOut(
        levigate=__version__,
        formula=FormulaOut(
            name=formula.name,
            use=formula.use,
            makes=formula.makes.text if formula.makes else None,
            total_percent=float(formula.total),
            lines=lines_out(formula),
        ),
        temperature_c=round(review.inputs.temperature - 273.15, 9),
        left_out=list(review.inputs.left_out),
        figures={name: figure_out(figure) for name, figure in review.figures.items()},
        findings=[_finding_out(finding, formula) for finding in review.findings],
        cautions=_cautions_out(review),
    )


def _finding_out(finding: Finding, formula: Formula) -> FindingOut:
    names = [line.material for _, line in formula.lines()]
    return FindingOut(
        rule=finding.rule,
        level=finding.level,
        title=finding.title,
        why=finding.why,
        source=sources()[finding.source].cite,
        place=finding.place,
        lines=[names[i] for i in finding.lines],
        remedies=[
            RemedyOut(id=remedy.id, says=remedy.says, lines=lines_out(remedy.formula) if remedy.formula else None)
            for remedy in finding.remedies
        ],
    )


def batch_out(
    batch: Batch, reviewed: Review, *, code: str, date: str, fills: Sequence[Fill] = (), left: float | None = None
) -> BatchOut:
    """Return a planned batch with what its review says stop to."""
    return BatchOut(
        levigate=__version__,
        formula=batch.formula.name,
        code=code,
        date=date,
        makes=batch.makes.text,
        stops=[f"{finding.title}. {finding.why}" for finding in reviewed.findings if finding.level == "stop"],
        scale_g=float(batch.scale.resolution),
        loss_percent=100 * batch.loss,
        lines=[_weigh_out(line) for line in batch.lines],
        total_g=float(batch.total),
        yield_g=batch.yield_grams,
        fills=[FillOut(size=fill.size, grams=fill.grams, count=fill.count) for fill in fills],
        left_over_g=left,
        volume_mL=number(batch.volume),
        density=figure_out(batch.density),
        smallest_batch_g=batch.smallest,
        smallest_batch_for=batch.smallest_for,
        too_small=[
            SmallOut(material=small.material, says=small.says, ways=[way.says for way in small.ways])
            for small in batch.small
        ],
        cautions=_cautions_out(reviewed),
        heat=heat_by_phase(reviewed),
    )


def _weigh_out(line: Weigh) -> WeighOut:
    return WeighOut(
        phase=line.phase,
        material=line.material,
        inci=line.inci,
        percent=float(line.percent),
        grams=float(line.grams),
        exact_grams=line.exact_grams,
        error_percent=line.error_percent,
        rounding_percent=line.rounding_percent,
        running_grams=float(line.running),
        too_small=line.too_small,
    )


def _cautions_out(review: Review) -> list[str]:
    return [*review.standing, *(f"{names}: {caution.text}" for names, caution in review.cautions)]


def compare_out(names: tuple[str, str], change: Difference, pairs: dict[str, FigurePairOut]) -> CompareOut:
    """Return what differs between two formulas."""

    def percent(value: Any) -> float | None:
        return None if value is None else float(value)

    return CompareOut(
        names=names,
        head=list(change.head),
        treatment=list(change.treatment),
        figures=pairs,
        lines=[
            LineChangeOut(
                material=line.material,
                phases=line.phase,
                change=line.word,
                percents=(percent(line.percent[0]), percent(line.percent[1])),
            )
            for line in change.lines
        ],
        substances=[
            SubstanceChangeOut(substance=one.substance, percents=(float(one.percent[0]), float(one.percent[1])))
            for one in change.substances
        ],
    )


def reckon_out(name: str, answer: Reckoned) -> ReckonOut:
    """Return the answer of a quick sum."""
    return ReckonOut(
        sum=name,
        figures={key: figure_out(one) for key, one in answer.figures.items()},
        working=list(answer.working),
        notes=list(answer.notes),
    )


def sum_out(one: QuickSum) -> SumOut:
    """Return what a quick sum can be told."""
    keys = [KeyOut(key=key, says=about.says, default=about.default) for key, about in one.keys.items()]
    return SumOut(sum=one.name, title=one.title, example=one.example, keys=keys)
