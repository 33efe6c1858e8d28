"""The page of a material, put together from the shelf, the stock and the records."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from levigate.publish.entry import Entry, FlowRow, Known, Told, entry_of, printed
from levigate.publish.materials import words_of
from levigate.quantities.alike import held_against
from levigate.records.models import Attached, Formula, Lot, MaterialText, Measured, OwnMaterial
from levigate.records.papers import attached_to
from levigate.records.shelf import shelf
from levigate.records.stock import SOON, Left, left
from levigate.records.uses import Use, formulas_with
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import PROPERTIES, Material
from levigate.shelf.related import Related, Relatives, related
from levigate.web.shelf.drawing import Drawing, drawing
from levigate.web.shelf.words import BELONGS, DIFFERS, GRADES, MEDIUM, MIXED, TITLES

#: Properties that say how to use it; the rest say what it is.
_USE = ("usual", "ph", "heat_limit", "melting_point", "solids")


@dataclass(frozen=True, slots=True)
class Shown:
    """One property as the page shows it."""

    title: str | Promise
    known: Known

    @property
    def first(self) -> Told:
        """The value that outranks the others."""
        return self.known.values[0]

    @property
    def grade(self) -> Promise:
        """On whose word it stands."""
        return GRADES[self.first.grade]

    @property
    def rows(self) -> list[tuple[Told, Promise]]:
        """Each value with its grade."""
        return [(told, GRADES[told.grade]) for told in self.known.values]

    @property
    def span(self) -> str:
        """Rows that its title stands beside."""
        return str(len(self.known.values) + bool(self.known.apart))


@dataclass(frozen=True, slots=True)
class Own:
    """A value measured here, and whether another has taken its place."""

    value: Measured
    replaced: bool

    @property
    def says(self) -> str:
        """The value as it is printed."""
        return printed(self.value.value)

    @property
    def within(self) -> str:
        """Its spread and temperature."""
        spread = f" ± {self.value.spread}" if self.value.spread else ""
        return printed(spread + (f" at {self.value.at_temperature}" if self.value.at_temperature else ""))


@dataclass(frozen=True, slots=True)
class Kin:
    """A material that is like this one, as the page shows it."""

    one: Related
    differs: tuple[str | Promise, ...]
    usual: str
    ph: str
    #: What else would be another, of bodies and what they dissolve.
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stocked:
    """A lot on the page of its material, or in the list of all."""

    lot: Lot
    grams: Decimal
    #: "past", "soon" or nothing.
    due: str


@dataclass(frozen=True, slots=True)
class MaterialPage:
    """All that the page of a material shows."""

    key: str
    record: Material
    entry: Entry
    own: OwnMaterial | None
    in_catalogue: bool
    kin: Relatives
    uses: tuple[Use, ...]
    lots: tuple[Stocked, ...]
    measured: tuple[Measured, ...]
    texts: tuple[MaterialText, ...]
    papers: tuple[Attached, ...]

    @property
    def belongs(self) -> Promise:
        """Which phase it goes into."""
        return BELONGS[self.record.affinity]

    @property
    def how(self) -> list[Shown]:
        """How to use it."""
        by_name = {shown.known.name: shown for shown in self.values}
        return [by_name[name] for name in _USE if name in by_name]

    @property
    def values(self) -> list[Shown]:
        """Every property of which something is known."""
        return [Shown(TITLES[known.name], known) for known in self.entry.values if known.name != "cas"]

    @property
    def dissolves(self) -> list[Shown]:
        """In what it dissolves, and how much."""
        return [Shown(_("In %(liquid)s") % {"liquid": known.name}, known) for known in self.entry.dissolves]

    @property
    def all_values(self) -> list[Shown]:
        """Everything that is known with a number."""
        return [*self.values, *self.dissolves]

    @property
    def mixed(self) -> list[tuple[Promise, tuple[tuple[str, str], ...], Told]]:
        """What it is made of."""
        return [(MIXED[name], parts, told) for name, parts, told in self.entry.parts]

    @property
    def flows(self) -> list[tuple[FlowRow, Promise, Promise]]:
        """Flow curves, where they hold and on whose word."""
        return [(row, MEDIUM[row.medium], GRADES[row.told.grade]) for row in self.entry.flows]

    @property
    def drawings(self) -> list[Drawing]:
        """Flow curves, drawn: one drawing a medium."""
        media = dict.fromkeys(flow.medium for flow in self.record.flow)
        return [
            drawing([flow for flow in self.record.flow if flow.medium == medium], str(MEDIUM[medium]))
            for medium in media
        ]

    @property
    def own_measured(self) -> list[tuple[Own, str | Promise]]:
        """What was measured here, the latest first, with what was corrected since."""
        replaced = {value.corrects_id for value in self.measured}
        return [(Own(value, value.pk in replaced), TITLES.get(value.name, value.name)) for value in self.measured]

    @property
    def formulas(self) -> QuerySet[Formula]:
        """Formulas that it may be put into, the latest first."""
        return Formula.objects.filter(put_away=False).order_by("-created")[:200]

    @property
    def cas(self) -> list[str]:
        """CAS numbers."""
        known = self.entry.of("cas")
        return [told.says for told in known.values] if known is not None else []

    @property
    def also(self) -> tuple[str, ...]:
        """Other names."""
        return tuple(name for name in self.record.names if name.casefold() != self.key.casefold())

    @property
    def grams(self) -> Decimal:
        """What is left in open lots. [g]"""
        return sum((one.grams for one in self.lots if not one.lot.closed), Decimal(0))

    @property
    def stand_ins(self) -> list[Kin]:
        """What can stand in for it."""
        return [_kin(one, self.key) for one in self.kin.stand_ins]

    @property
    def nearest(self) -> list[Kin]:
        """What comes nearest by purpose."""
        return [_kin(one) for one in self.kin.nearest]

    @property
    def measurable(self) -> list[tuple[str, Promise]]:
        """What may be measured."""
        return [(name, TITLES[name]) for name in PROPERTIES if name not in ("usual", "pka", "hansen")]

    @property
    def text(self) -> str:
        """The text of one's own that holds now."""
        return self.texts[0].text if self.texts else ""


def material_page(key: str) -> MaterialPage:
    """Return the page of a material."""
    known = shelf()
    record = known[key]
    own = OwnMaterial.objects.filter(key=key).first()
    return MaterialPage(
        key=key,
        record=record,
        entry=entry_of(record),
        own=own,
        in_catalogue=catalogue().key(key) == key,
        kin=related(known, key),
        uses=tuple(formulas_with(key)),
        lots=tuple(stocked(left(Lot.objects.filter(material=key)), timezone.localdate())),
        measured=tuple(Measured.objects.filter(material=key).select_related("lot").order_by("-at")),
        texts=tuple(own.texts.order_by("-number")) if own is not None else (),
        papers=tuple(attached_to("material", key)),
    )


def stocked(lots: list[Left], today: date) -> list[Stocked]:
    """Return lots with whether they are past their date: open ones first, what expires first in front."""
    found = [Stocked(one.lot, one.grams, _due(one, today)) for one in lots]
    return sorted(found, key=lambda one: (one.lot.closed, one.lot.best_before or date.max, one.lot.received))


def _due(one: Left, today: date) -> str:
    day = one.lot.best_before
    if day is None or one.lot.closed or one.grams <= 0:
        return ""
    return "past" if day < today else "soon" if day <= today + SOON else ""


def _kin(one: Related, key: str = "") -> Kin:
    usual, ph = (_first(one.record, name) for name in ("usual", "ph"))
    because = held_against(shelf(), key, one.key).because if key else ()
    # What is not known of either is said on their own pages.
    known = tuple(clause for clause in because if "on record" not in clause)
    return Kin(one, tuple(_differs(one.record, name) for name in one.differs), usual, ph, known)


def _first(record: Material, name: str) -> str:
    values = getattr(record, name)
    return printed(words_of(values[0])) if values else ""


def _differs(record: Material, name: str) -> str | Promise:
    if name == "affinity":
        return BELONGS[record.affinity]
    return str(getattr(record, name)) if name in ("kind", "form") else DIFFERS[name]
