"""A material as an entry of an encyclopaedia: every value beside the others of its kind, each with its source."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations

from levigate import units
from levigate.publish.materials import words_of
from levigate.quantities.saying import digits
from levigate.shelf.catalogue import Source, sources
from levigate.shelf.record import PROPERTIES, Caution, Flow, Limit, Material, Parts, Solubility, Sourced, Span, Value

#: Units as they are written in files, and as they are printed.
_PRINTED = (
    (re.compile(r"(?<=\d) ?C\b"), " °C"),
    (re.compile(r"(?<=\d) ?um\b"), " µm"),
    (re.compile(r"\b(m?)Pa[.*]s\b"), r"\1Pa·s"),
    (re.compile(r"\bmm2/s\b"), "mm²/s"),
    (re.compile(r"\bkJ/kg/K\b"), "kJ/(kg·K)"),
    (re.compile(r"(?<=\d)e-0?(\d)\b"), r" · 10⁻\1"),
)
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
#: Properties on a scale of their own, of which the difference says more than its share.
_ABSOLUTE = ("pka", "log_kow", "hansen", "ph", "hlb", "required_hlb")
#: From here on two values are said to differ by a factor; that is the share of their mean where one is twice the other.
_FACTOR = 2 / 3


@dataclass(frozen=True, slots=True)
class Told:
    """One value in words, on whose word it stands, and the mark of that source in the entry."""

    says: str
    grade: str
    note: str
    place: str
    mark: str


@dataclass(frozen=True, slots=True)
class Known:
    """All that is known of one property."""

    name: str
    values: tuple[Told, ...]
    #: How far the sources are apart, in words; empty where there is one, or they agree.
    apart: str = ""


@dataclass(frozen=True, slots=True)
class FlowRow:
    """One flow curve in words."""

    medium: str
    dose: str
    yield_stress: str
    consistency: str
    index: str
    told: Told


@dataclass(frozen=True, slots=True)
class Entry:
    """What an entry says, with its sources in the order in which it first names them."""

    values: tuple[Known, ...]
    dissolves: tuple[Known, ...]
    parts: tuple[tuple[str, tuple[tuple[str, str], ...], Told], ...]
    flows: tuple[FlowRow, ...]
    limits: tuple[tuple[Limit, Told], ...]
    cautions: tuple[tuple[Caution, Told], ...]
    #: Mark and work.
    sources: tuple[tuple[str, Source], ...]

    def of(self, name: str) -> Known | None:
        """Return what is known of one property."""
        return next((known for known in self.values if known.name == name), None)


@dataclass(slots=True)
class _Bibliography:
    """Numbers the sources as they are named."""

    named: list[str] = field(default_factory=list)

    def told(self, says: str, entry: Sourced) -> Told:
        if entry.source not in self.named:
            self.named.append(entry.source)
        return Told(says, entry.grade, printed(entry.note), entry.place, str(self.named.index(entry.source) + 1))

    def sources(self) -> tuple[tuple[str, Source], ...]:
        return tuple((str(i), _work(key)) for i, key in enumerate(self.named, 1))


def _work(key: str) -> Source:
    """Return a work; one's own text may name one that is not listed, which is then said as it stands there."""
    return sources().get(key) or Source(key, key, "page")


def entry_of(record: Material) -> Entry:
    """Return the entry of a material."""
    book = _Bibliography()
    values = tuple(_known(name, getattr(record, name), book) for name in ("cas", *PROPERTIES) if getattr(record, name))
    liquids = dict.fromkeys(entry.liquid for entry in record.solubility)
    dissolves = tuple(_known(name, [one for one in record.solubility if one.liquid == name], book) for name in liquids)
    return Entry(
        values=values,
        dissolves=dissolves,
        parts=tuple(_parts(name, getattr(record, name), book) for name in _MIXED if getattr(record, name) is not None),
        flows=tuple(_flow(flow, book) for flow in record.flow),
        limits=tuple((limit, book.told("", limit)) for limit in record.limits),
        cautions=tuple((caution, book.told(caution.text, caution)) for caution in record.cautions),
        sources=book.sources(),
    )


_MIXED = ("made_of", "fatty_acids")


def _known(name: str, values: Sequence[Value], book: _Bibliography) -> Known:
    told = tuple(book.told(printed(_bounded(value)), value) for value in values)
    says = apart(values, PROPERTIES[name], absolute=name in _ABSOLUTE) if name in PROPERTIES else ""
    return Known(name, told, says)


def _bounded(value: Value) -> str:
    bound = value.bound if isinstance(value, Solubility) else ""
    return f"at {bound} {words_of(value)}" if bound else words_of(value)


def _parts(name: str, parts: Parts, book: _Bibliography) -> tuple[str, tuple[tuple[str, str], ...], Told]:
    return name, tuple((part, f"{percent} %") for part, percent in parts.parts.items()), book.told("", parts)


def _flow(flow: Flow, book: _Bibliography) -> FlowRow:
    stress, consistency, index = _span(flow.yield_stress), _span(flow.consistency), _span(flow.index)
    return FlowRow(flow.medium, printed(flow.dose or ""), stress, consistency, index, book.told("", flow))


def _span(span: Span) -> str:
    return printed(str(span.low) if span.low == span.high else f"{span.low} to {span.high}")


def printed(text: str) -> str:
    """Return a value with its unit as it is printed: "106 C" as "106 °C"."""
    for pattern, as_printed in _PRINTED:
        text = pattern.sub(as_printed, text)
    return re.sub(r"(?<=10⁻)\d", lambda match: match.group().translate(_RAISED), text)


def apart(values: Sequence[Value], dimension: str, *, absolute: bool = False) -> str:
    """Return how far values of one property, at one temperature, are apart; empty where they agree or there is one.

    Values agree where one lies in the range, or within the spread, that the other gives.
    """
    widest, says = 0.0, ""
    for one, other in combinations(values, 2):
        if one.at != other.at:
            continue
        for (low, high), (least, most) in zip(_ends(one, dimension), _ends(other, dimension), strict=False):
            if low <= most and least <= high:
                continue
            share, words = _difference((low + high) / 2, (least + most) / 2, dimension, bare=absolute)
            if share > widest:
                widest, says = share, words
    return says


def _difference(a: float, b: float, dimension: str, *, bare: bool) -> tuple[float, str]:
    """Return how far two values are apart, to compare it and in words."""
    gap = abs(a - b)
    if dimension == "temperature":
        return gap, f"{digits(gap, 2)} °C"
    if bare:
        return gap, digits(gap, 2)
    share = 2 * gap / (abs(a) + abs(b))
    if share < _FACTOR or a * b <= 0:
        return share, f"{digits(100 * share, 2)} %"
    return share, f"a factor of {digits(max(a / b, b / a), 2)}"


def _ends(value: Value, dimension: str) -> tuple[tuple[float, float], ...]:
    """Return what a value allows, in SI; nothing where only one end is known."""
    if value.values:
        return tuple((number, number) for number in value.values)
    if value.value is None:
        if value.low is None or value.high is None:
            return ()
        return ((units.si(value.low, dimension), units.si(value.high, dimension)),)
    middle = units.si(value.value, dimension)
    half = _spread(value, dimension)
    return ((middle - half, middle + half),)


def _spread(value: Value, dimension: str) -> float:
    """Return the half-width that a value gives, in SI; nought where it gives none, or none that can be read."""
    if value.spread is None:
        return 0.0
    if dimension == "temperature":  # a difference: a kelvin is a degree
        number = re.match(r"[\d.]+", value.spread)
        return float(number.group()) * (5 / 9 if value.spread.strip().endswith("F") else 1.0) if number else 0.0
    return units.si(value.spread, dimension)
