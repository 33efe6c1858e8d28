"""Up to four formulas or versions side by side."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from levigate.errors import RecordError
from levigate.formula.model import Formula as Composition
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.figure import Figure, figures
from levigate.quantities.graph import quantities
from levigate.quantities.inputs import gather
from levigate.records.formulas import draft_of
from levigate.records.models import Formula, Version
from levigate.records.shelf import shelf

#: So many fit beside each other.
MOST = 4


@dataclass(frozen=True, slots=True)
class Column:
    """One of the formulas."""

    key: str
    title: str
    composition: Composition
    figures: dict[str, Figure]


@dataclass(frozen=True, slots=True)
class Across:
    """One row: a material or a figure, one cell a column."""

    name: str
    cells: tuple[Any, ...]

    @property
    def differs(self) -> bool:
        """Whether the cells are not all the same."""
        return len({str(cell) for cell in self.cells}) > 1


def side_by_side(keys: list[str]) -> dict[str, Any]:
    """Return what the page of a comparison shows; a key is ``slug`` (its draft) or ``slug:number`` (a version)."""
    chosen = list(dict.fromkeys(key for key in keys if key))[:MOST]
    columns = [_column(key) for key in chosen]
    names = list(dict.fromkeys(name for column in columns for name in column.figures))
    plain = [name for name in names if not quantities()[name].each]
    return {
        "columns": columns,
        "lines": _lines(columns),
        "figures": [
            Across(_title(columns, name), tuple(_said(column.figures.get(name)) for column in columns))
            for name in plain
        ],
        "choices": Formula.objects.filter(put_away=False).prefetch_related("versions"),
        "chosen": chosen,
        "most": MOST,
    }


def _column(key: str) -> Column:
    slug, _, number = key.partition(":")
    record = Formula.objects.filter(slug=slug).first()
    if record is None or (number and not number.isdigit()):
        raise RecordError(f'There is no formula "{key}" to compare.')
    if number:
        version = Version.objects.filter(formula=record, number=int(number)).first()
        if version is None:
            raise RecordError(f'"{record.name}" has no version {number}.')
        text, title = version.text, f"{record.name}, {version.number}"
    else:
        text, title = draft_of(record).text, record.name
    composition = read_formula(text)
    return Column(key, title, composition, figures(gather(composition, own_shelf(composition, shelf()), draws=200)))


def _lines(columns: list[Column]) -> list[Across]:
    totals: list[dict[str, Decimal]] = []
    for column in columns:
        sums: dict[str, Decimal] = {}
        for _, line in column.composition.lines():
            sums[line.material] = sums.get(line.material, Decimal(0)) + line.percent
        totals.append(sums)
    names = list(dict.fromkeys(name for sums in totals for name in sums))
    return [Across(name, tuple(sums.get(name) for sums in totals)) for name in names]


def _title(columns: list[Column], name: str) -> str:
    return next(column.figures[name].title for column in columns if name in column.figures)


def _said(figure: Figure | None) -> str:
    return figure.say() if figure is not None else ""
