"""The shapes of what the commands print with ``--json``; docs/reference/json.md is made from them."""

from __future__ import annotations

import math
from typing import Any

from pydantic import BaseModel, ConfigDict

from levigate import __version__
from levigate.bench.batch import Batch
from levigate.formula.difference import Difference
from levigate.formula.model import Formula
from levigate.quantities.figure import Figure
from levigate.quantities.inputs import Input
from levigate.quantities.saying import bench_unit, to_bench
from levigate.reckon.sums import Reckoned
from levigate.review.engine import Review
from levigate.shelf.catalogue import sources


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid")


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
    grade: str
    source: str
    place: str = ""


class RowOut(_Out):
    """One entry of a figure that has a value for each line or substance."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None


class FigureOut(_Out):
    """A figure; value is null where it is not known (see unknown) or where there are rows; low to high holds 95 %."""

    value: float | None
    low: float | None = None
    high: float | None = None
    unit: str
    grade: str
    title: str
    method: str
    holds: str = ""
    seen_off: str = ""
    source: str
    place: str = ""
    inputs: list[InputOut] = []
    working: list[str] = []
    rows: list[RowOut] = []
    unknown: str = ""


class RemedyOut(_Out):
    """A remedy; lines is the formula it gives, null where the change is not one of the formula."""

    id: str
    says: str
    lines: list[LineOut] | None = None


class FindingOut(_Out):
    """One thing the review says: level is stop, care or note."""

    rule: str
    level: str
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
    figures: dict[str, FigureOut]
    findings: list[FindingOut]
    cautions: list[str]


class WeighOut(_Out):
    """One line to weigh; error_percent is the expanded (k = 2) weighing error in percent of the line."""

    phase: str
    material: str
    inci: str
    percent: float
    grams: float
    exact_grams: float
    error_percent: float | None
    rounding_percent: float
    running_grams: float
    too_small: bool


class SmallOut(_Out):
    """A line too small for the scale, with the ways out, the cheapest first."""

    material: str
    says: str
    ways: list[str]


class BatchOut(_Out):
    """`levigate batch`."""

    levigate: str
    formula: str
    code: str
    date: str
    makes: str
    scale_g: float
    loss_percent: float
    lines: list[WeighOut]
    total_g: float
    yield_g: float
    volume_mL: float | None  # noqa: N815 (the litre is written with a capital)
    density: FigureOut
    smallest_batch_g: float
    smallest_batch_for: str
    too_small: list[SmallOut]
    cautions: list[str]


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


class ReckonOut(_Out):
    """`levigate reckon`."""

    sum: str
    figures: dict[str, FigureOut]
    working: list[str]
    notes: list[str] = []


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
        rows=[RowOut(name=row.name, value=row.value, low=row.low, high=row.high) for row in figure.rows],
    )


def review_out(review: Review) -> ReviewOut:
    """Return a review."""
    formula = review.formula
    names = [line.material for _, line in formula.lines()]
    return ReviewOut(
        levigate=__version__,
        formula=FormulaOut(
            name=formula.name,
            use=formula.use,
            makes=formula.makes.text if formula.makes else None,
            total_percent=float(formula.total),
            lines=lines_out(formula),
        ),
        figures={name: figure_out(figure) for name, figure in review.figures.items()},
        findings=[
            FindingOut(
                rule=finding.rule,
                level=finding.level,
                title=finding.title,
                why=finding.why,
                source=sources()[finding.source].cite,
                place=finding.place,
                lines=[names[i] for i in finding.lines],
                remedies=[
                    RemedyOut(
                        id=remedy.id, says=remedy.says, lines=lines_out(remedy.formula) if remedy.formula else None
                    )
                    for remedy in finding.remedies
                ],
            )
            for finding in review.findings
        ],
        cautions=[*review.standing, *(f"{name}: {caution.text}" for name, caution in review.cautions)],
    )


def batch_out(batch: Batch, *, code: str, date: str, cautions: list[str]) -> BatchOut:
    """Return a planned batch."""
    return BatchOut(
        levigate=__version__,
        formula=batch.formula.name,
        code=code,
        date=date,
        makes=batch.makes.text,
        scale_g=float(batch.scale.resolution),
        loss_percent=100 * batch.loss,
        lines=[
            WeighOut(
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
            for line in batch.lines
        ],
        total_g=float(batch.total),
        yield_g=batch.yield_grams,
        volume_mL=number(batch.volume),
        density=figure_out(batch.density),
        smallest_batch_g=batch.smallest,
        smallest_batch_for=batch.smallest_for,
        too_small=[
            SmallOut(material=small.material, says=small.says, ways=[way.says for way in small.ways])
            for small in batch.small
        ],
        cautions=cautions,
    )


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
