"""Reading what a form says: a percent, a line, who gives way."""

from __future__ import annotations

from decimal import Decimal

from django.http import HttpRequest

from levigate.errors import PercentError, RecordError
from levigate.formula.percent import ALL, QS, read_percent
from levigate.formula.text import read_formula


def percent_of(text: str) -> Decimal:
    """Return a percent as a person writes it, with a decimal point or a comma."""
    written = text.strip()
    if not written:
        raise PercentError('Write a percent, for example "5" or "0.5".')
    return read_percent(written.replace(",", "."))


def position_of(request: HttpRequest, text: str, field: str = "position", *, checked: bool = True) -> int:
    """Return a position that a form names."""
    written = request.POST.get(field, "")
    if not written.isdigit() or len(written) > 4:
        raise RecordError("The form does not say which line it means; open the page again.")
    position = int(written)
    if checked and position >= len(read_formula(text).percents):
        raise RecordError("That line is no longer there: the formula has changed since.")
    return position


def says_of(text: str, position: int) -> str:
    """Return what the line is called."""
    return [line.material for _, line in read_formula(text).lines()][position]


def givers(words: list[str]) -> str | list[int] | None:
    """Return who gives way: the q.s. line, all, some lines, or as usual where nothing is said."""
    said = [word for word in words if word]
    if not said:
        return None
    if said == ["qs"]:
        return QS
    if said == ["all"]:
        return ALL
    if all(word.isdigit() for word in said):
        return [int(word) for word in said]
    raise RecordError("The form does not say who gives way; open the page again.")
