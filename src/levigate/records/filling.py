"""Filling a batch: its yield, the sample kept back, the jars with their codes, and what their weights say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from levigate.errors import ConflictError, RecordError, SumError, UnitError
from levigate.formula.model import plain
from levigate.formula.text import read_makes
from levigate.quantities.figure import figures
from levigate.quantities.inputs import gather
from levigate.reckon.sums import Reckoned, reckon
from levigate.records.journal import note
from levigate.records.models import Batch, BatchEvent, Fill, FillWeight, Jar
from levigate.records.shelf import shelf
from levigate.records.weighed import as_weighed
from levigate.records.weighing import FINEST, locked, standing

_FILLING = ("made", "filled")
_MOST_JARS = 1000
_MOST = Decimal(1_000_000)  # g


@dataclass(frozen=True, slots=True)
class JarStanding:
    """One jar with its net weight, as far as it was weighed."""

    jar: Jar
    weight: FillWeight | None


@dataclass(frozen=True, slots=True)
class Filled:
    """One filling with its jars, and what their weights say."""

    fill: Fill
    jars: tuple[JarStanding, ...]
    #: What the rules of the e mark say of them; None where none is weighed or it cannot be said.
    verdict: Reckoned | None
    #: Why it cannot be said.
    unsaid: str = ""

    @property
    def weights(self) -> tuple[Decimal, ...]:
        """Net weights, as far as jars were weighed. [g]"""
        return tuple(one.weight.grams for one in self.jars if one.weight is not None)

    @property
    def kept(self) -> bool:
        """Whether every rule is kept by the jars weighed so far."""
        return self.verdict is not None and not any(text.startswith("Broken") for text in self.verdict.notes)

    @property
    def open(self) -> int:
        """Jars that were not weighed."""
        return len(self.jars) - len(self.weights)


def set_yield(batch: Batch, *, bulk: Decimal | None, retained: Decimal | None) -> Batch:
    """Write down what the bulk weighed, and what is kept back as a sample."""
    bulk, retained = _mass(bulk, "The bulk"), _mass(retained, "The sample")
    if bulk is not None and retained is not None and retained > bulk:
        raise RecordError("The sample kept back is more than the whole bulk.")
    with transaction.atomic():
        held = _to_fill(batch)
        before = {"bulk": _written(held.bulk_grams), "retained": _written(held.retained_grams)}
        held.bulk_grams, held.retained_grams = bulk, retained
        held.save(update_fields=["bulk_grams", "retained_grams"])
        after = {"bulk": _written(bulk), "retained": _written(retained)}
        if after != before:
            says = f"bulk {after['bulk'] or 'not weighed'}, kept back {after['retained'] or 'nothing'}"
            BatchEvent.objects.create(batch=held, state=held.state, note=says)
            note("batch", held.code, f"{held.code}: {says}", before=before, after=after)
    return held


def _mass(grams: Decimal | None, what: str) -> Decimal | None:
    if grams is None:
        return None
    if not grams.is_finite() or not 0 <= grams < _MOST or grams != grams.quantize(FINEST):
        raise RecordError(f"{what} is a mass in grams from nought up, at the finest 0.1 mg.")
    return grams


def _written(grams: Decimal | None) -> str:
    return "" if grams is None else f"{plain(grams)} g"


def _to_fill(batch: Batch) -> Batch:
    held = locked(batch)
    if held.state not in _FILLING:
        raise RecordError(f"Batch {held.code} is {held.state}; it is filled once it is made.")
    return held


def density(batch: Batch) -> tuple[float | None, str]:
    """Return the density of the batch as it was weighed, or what is missing to know it. [g/mL]"""
    formula = as_weighed(standing(batch))
    figure = figures(gather(formula, shelf()), ["density"])["density"]
    return (figure.value, "") if figure.known else (None, figure.unknown)


def fill(batch: Batch, *, container: str, nominal: str, count: int, tare: Decimal = Decimal(0)) -> Fill:
    """Put so many containers of one kind down, each with a code that stands on it.

    Parameters
    ----------
    batch : Batch
        A batch that is made.
    container : str
        What it is.
    nominal : str
        What its label says, as ``"50 mL"``.
    count : int
        How many.
    tare : Decimal
        Mass of the empty container with its closure, where jars are weighed with it. [g]
    """
    container = " ".join(container.split())[:200] or "container"
    tare = _mass(tare, "The empty container") or Decimal(0)
    if not 0 < count <= _MOST_JARS:
        raise RecordError(f"Fill from 1 to {_MOST_JARS} containers at a time.")
    grams = _nominal_grams(batch, nominal)
    with transaction.atomic():
        held = _to_fill(batch)
        made = Fill.objects.create(
            batch=held, container=container, nominal=nominal.strip()[:40], grams=grams, tare=tare
        )
        first = Jar.objects.filter(fill__batch=held).count() + 1
        Jar.objects.bulk_create(
            Jar(fill=made, code=f"{held.code}-{number:02d}") for number in range(first, first + count)
        )
        says = f"{count} x {made.nominal} filled into {container}, {held.code}-{first:02d} on"
        BatchEvent.objects.create(batch=held, state=held.state, note=says)
        note("batch", held.code, f"{held.code}: {says}")
    return made


def _nominal_grams(batch: Batch, nominal: str) -> Decimal:
    try:
        said = read_makes(nominal)
    except UnitError as trouble:
        raise RecordError(f"What the label says: {trouble}") from trouble
    if said.containers is not None:
        raise RecordError('Write what one container holds, as "50 mL", and beside it how many.')
    if said.mass is not None:
        return Decimal(repr(said.mass * 1000)).quantize(FINEST)
    known, missing = density(batch)
    if known is None or said.volume is None:
        raise RecordError(f"A volume is filled by weight, and the density is not known. {missing}")
    return Decimal(repr(said.volume * 1e6 * known)).quantize(FINEST)


def weigh_jar(jar: Jar, net: Decimal, *, key: UUID) -> FillWeight:
    """Keep the net weight of a jar; the same one sent twice is kept once."""
    with transaction.atomic():
        held = locked(jar.fill.batch)
        before = _kept_before(jar, key)
        if before is not None:
            if before.grams != net:
                raise ConflictError(f"This weight was kept already, as {plain(before.grams)} g; put that one right.")
            return before
        if held.state not in _FILLING:
            raise RecordError(f"Batch {held.code} is {held.state}; its jars are weighed while it is filled.")
        there = jar.weights.filter(corrected_by=None).first()
        if there is not None:
            raise ConflictError(
                f"Jar {jar.code} is weighed already: {plain(there.grams)} g. Put that right, saying why."
            )
        kept = FillWeight.objects.create(jar=jar, grams=_net(net), key=key)
        note("batch", held.code, f"{held.code}: jar {jar.code} holds {plain(net)} g")
    return kept


def _kept_before(jar: Jar, key: UUID) -> FillWeight | None:
    before = FillWeight.objects.filter(key=key).first()
    if before is not None and before.jar_id != jar.pk:
        raise ConflictError("This key belongs to the weight of another jar; open the page again.")
    return before


def _net(grams: Decimal) -> Decimal:
    checked = _mass(grams, "What a jar holds")
    if not checked:
        raise RecordError("The jar holds nothing after the empty one is taken off; is that what the scale shows?")
    return checked


def correct_jar(weight: FillWeight, net: Decimal, why: str, *, key: UUID) -> FillWeight:
    """Put a fill weight right that was typed wrongly: a new row that names the old one, and says why."""
    why = " ".join(why.split())
    if not why:
        raise RecordError("Say why the weight is put right: both stay on record.")
    with transaction.atomic():
        held = locked(weight.jar.fill.batch)
        before = _kept_before(weight.jar, key)
        if before is not None:
            return before
        if held.state == "discarded":
            raise RecordError(f"Batch {held.code} is discarded: its record is closed.")
        if FillWeight.objects.filter(corrects=weight).exists():
            raise ConflictError("This weight was put right meanwhile; look at the one that took its place.")
        kept = FillWeight.objects.create(jar=weight.jar, grams=_net(net), key=key, corrects=weight, why=why[:500])
        says = f"jar {weight.jar.code}: {plain(weight.grams)} g put right to {plain(net)} g: {why}"
        note("batch", held.code, f"{held.code}: {says}", before=plain(weight.grams), after=plain(net))
    return kept


def filled(batch: Batch) -> tuple[Filled, ...]:
    """Return every filling of a batch with its jars and what their weights say."""
    found = []
    for one in batch.fills.prefetch_related("jars__weights"):
        jars = tuple(JarStanding(jar, _stands(list(jar.weights.all()))) for jar in one.jars.all())
        weights = [entry.weight.grams for entry in jars if entry.weight is not None]
        found.append(Filled(one, jars, *_judged(one, weights, batch.scale)))
    return tuple(found)


def _stands(rows: Sequence[FillWeight]) -> FillWeight | None:
    replaced = {row.corrects_id for row in rows}
    return next((row for row in rows if row.pk not in replaced), None)


def _judged(one: Fill, weights: Sequence[Decimal], scale: Decimal) -> tuple[Reckoned | None, str]:
    """Return what the rules of the e mark say of net weights, by the same sum that the bench asks by hand."""
    if not weights:
        return None, ""
    told = {"weights": " ".join(plain(grams) for grams in weights), "nominal": one.nominal, "scale": f"{scale} g"}
    volume = read_makes(one.nominal).volume
    if volume is not None:
        told["density"] = f"{float(one.grams) / (volume * 1e6):.6g} g/mL"
    try:
        return reckon("fill-check", told), ""
    except SumError as trouble:
        return None, str(trouble)
