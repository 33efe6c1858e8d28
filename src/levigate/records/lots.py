"""Lots: received, amended, corrected, closed; each change with its line in the journal."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from levigate.errors import RecordError
from levigate.formula.model import plain
from levigate.records.journal import note
from levigate.records.models import Lot, StockCorrection
from levigate.records.shelf import shelf
from levigate.records.stock import left_of

#: What may be amended; the material may not: its weighings are of what was delivered.
AMENDABLE = ("number", "supplier", "received", "opened", "best_before", "grams", "pack", "price", "note")


def receive(material: str, number: str, **rest: Any) -> Lot:
    """Take a delivery in.

    Parameters
    ----------
    material : str
        Its name; one that the shelf knows is kept under its key there.
    number : str
        Number of the lot, as it stands on the pack.
    **rest
        ``grams`` and ``received``, and what else is known: ``supplier``, ``opened``, ``best_before``, ``pack``,
        ``price``, ``note``.

    Raises
    ------
    RecordError
        When something is missing or cannot be, or the lot is on record already.
    """
    _only_amendable(rest)
    name = " ".join(material.split())
    lot = Lot(material=shelf().key(name) or name, number=number.strip(), **rest)
    with transaction.atomic():
        _check(lot)
        _write(lot)
        note("lot", lot.pk, f"{lot}: {plain(lot.grams)} g received", after=_said(lot, AMENDABLE))
    return lot


def amend(lot: Lot, why: str = "", **changes: Any) -> Lot:
    """Set right what is said of a lot; what stood there before stays in the journal.

    Raises
    ------
    RecordError
        When something is not to be amended, or cannot be.
    """
    _only_amendable(changes)
    with transaction.atomic():
        found = _locked(lot)
        before = _said(found, changes)
        for name, value in changes.items():
            setattr(found, name, value)
        _check(found)
        after = _said(found, changes)
        changed = [name for name in changes if before[name] != after[name]]
        if not changed:
            return found
        _write(found, changed)
        what = ", ".join(_words(name) for name in changed)
        note(
            "lot",
            found.pk,
            f"{found}: {what} amended" + (f" ({why})" if why else ""),
            before={name: before[name] for name in changed},
            after={name: after[name] for name in changed},
        )
    return found


def correct(lot: Lot, grams: Decimal, why: str) -> StockCorrection:
    """Keep that there is so much more of a lot than the weighings say, or less.

    Raises
    ------
    RecordError
        When the reason is missing, or the amount is nothing.
    """
    with transaction.atomic():
        return _correct(_locked(lot), grams, why)


def count(lot: Lot, grams: Decimal, why: str = "counted") -> StockCorrection | None:
    """Set the stock of a lot to what was found there; None where that is what it said.

    Raises
    ------
    RecordError
        When less than nothing is said to be there.
    """
    if grams < 0:
        raise RecordError(f"There cannot be {plain(grams)} g of a lot; write what is there, 0 or more.")
    with transaction.atomic():
        found = _locked(lot)
        more = grams - left_of(found)
        return _correct(found, more, why) if more else None


def _correct(lot: Lot, grams: Decimal, why: str) -> StockCorrection:
    if not why.strip():
        raise RecordError("Say why the stock is corrected, as: spilt, given away, counted again.")
    if grams == 0:
        raise RecordError("A correction of nothing changes nothing; write what is to be added or taken away.")
    correction = StockCorrection(lot=lot, grams=grams, why=why.strip())
    _check(correction)
    correction.save()
    sign = "+" if correction.grams > 0 else ""
    note("lot", lot.pk, f"{lot}: stock {sign}{plain(correction.grams)} g ({correction.why})")
    return correction


def set_closed(lot: Lot, *, closed: bool, why: str = "") -> Lot:
    """Close a lot, so that it is no longer offered at the bench, or open it again."""
    with transaction.atomic():
        found = _locked(lot)
        if found.closed != closed:
            found.closed = closed
            found.save(update_fields=["closed"])
            note("lot", found.pk, f"{found}: {'closed' if closed else 'open again'}" + (f" ({why})" if why else ""))
    return found


def _locked(lot: Lot) -> Lot:
    return Lot.objects.select_for_update().get(pk=lot.pk)


def _only_amendable(names: dict[str, Any]) -> None:
    for name in names:
        if name not in AMENDABLE:
            raise RecordError(f'"{name}" of a lot is not for changing; these are: {", ".join(AMENDABLE)}.')


def _check(row: Lot | StockCorrection) -> None:
    """Refuse what the database could not hold or a person could not mean, in a sentence."""
    try:
        row.clean_fields()
    except ValidationError as trouble:
        name, messages = next(iter(trouble.message_dict.items()))
        raise RecordError(f'"{_words(name)}": {messages[0]}') from trouble
    if isinstance(row, StockCorrection):
        return
    if not row.material or not row.number:
        raise RecordError("A lot needs the name of its material and the number on its pack.")
    if row.grams <= 0:
        raise RecordError(f"A lot of {plain(row.grams)} g holds nothing; write how much came, in grams.")
    if row.best_before is not None and row.best_before < row.received:
        raise RecordError(f"{row} was best before {row.best_before}, and came on {row.received}: look at the years.")
    if row.opened is not None and not row.received <= row.opened <= timezone.localdate():
        raise RecordError(f"{row} came on {row.received}; it cannot have been opened on {row.opened}.")


def _write(lot: Lot, names: list[str] | None = None) -> None:
    try:
        with transaction.atomic():
            lot.save(update_fields=names)
    except IntegrityError as trouble:
        raise RecordError(f"{lot}, received on {lot.received}, is on record already; amend that one.") from trouble


def _words(name: str) -> str:
    return {"grams": "grams received", "number": "lot number"}.get(name, name.replace("_", " "))


def _said(lot: Lot, names: Any) -> dict[str, str]:
    """Return what stands in some fields of a lot, as text that JSON can hold and a person can read."""
    found: dict[str, str] = {}
    for name in names:
        field: models.Field[Any, Any] = Lot._meta.get_field(name)  # type: ignore[assignment]
        value = field.to_python(getattr(lot, name))
        found[name] = "" if value is None else plain(value) if isinstance(value, Decimal) else str(value)
    return found
