"""The shelf of the workshop: the catalogue, own materials on it, and above all what was measured at this bench."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from typing import Any

import tomli
from django.db import IntegrityError, transaction

from levigate.errors import ConflictError, RecordError, ShelfError
from levigate.records.journal import note
from levigate.records.models import Kept, MaterialText, Measured, OwnMaterial
from levigate.records.progress import Progress, Steps
from levigate.shelf.catalogue import Shelf, catalogue, same_as
from levigate.shelf.record import PROPERTIES

#: Said of values that stand in an own material of the workshop.
ORIGIN = "own-word"


def shelf() -> Shelf:
    """Return the catalogue with own materials and measured values over it; made anew only when one was added."""
    return _shelf(_last(MaterialText), _last(Measured))


def _last(model: type[Kept]) -> tuple[int, datetime] | None:
    """Return number and time of the newest row: rows are only added, except where an archive is brought in."""
    return model.objects.order_by("-pk").values_list("pk", "at").first()


@lru_cache(maxsize=2)
def _shelf(_newest_text: tuple[int, datetime] | None, _newest_value: tuple[int, datetime] | None) -> Shelf:
    latest: dict[str, str] = {}
    for key, text in MaterialText.objects.order_by("material", "number").values_list("material__key", "text"):
        latest[key] = text
    tables: dict[str, dict[str, Any]] = {key: dict(tomli.loads(text)) for key, text in latest.items()}
    measured = Measured.objects.filter(corrected_by=None).order_by("at")
    below = Shelf(tables, origin=ORIGIN, below=catalogue()) if tables else catalogue()
    if not measured:
        return below
    return Shelf(_measured_over(below, measured), origin=ORIGIN, below=below)


def _measured_over(below: Shelf, measured: Any) -> Mapping[str, dict[str, Any]]:
    """Return tables whose properties are what was measured, the latest first, over what the shelf has."""
    found: dict[str, dict[str, Any]] = {}
    for value in measured:
        key = below.key(value.material) or value.material
        table = found.setdefault(key, {})
        entry = {"value": value.value, "source": ORIGIN, "grade": "measured", "place": f"measured {value.on}"}
        entry |= {"spread": value.spread} if value.spread else {}
        entry |= {"at": value.at_temperature} if value.at_temperature else {}
        entry |= {"note": value.how} if value.how else {}
        if value.name not in table:
            record = below.get(key)
            old = getattr(record, value.name, ()) if record is not None else ()
            table[value.name] = [one.model_dump(exclude_defaults=True, mode="json") for one in old]
        table[value.name].insert(0, entry)
    return found


def save_material(key: str, text: str, why: str = "") -> MaterialText:
    """Save an own material, or a new text of one; what adds to one of the catalogue is kept under its key there.

    Raises
    ------
    ShelfError
        When the text is no record of a material.
    RecordError
        When the key is empty or too long.
    """
    key = " ".join(key.split())
    if not 0 < len(key) <= 200:
        raise RecordError("Give the material a name of 1 to 200 letters.")
    key = check_material(key, text)
    with transaction.atomic():
        material = _locked(key)
        number = material.texts.count() + 1
        saved = MaterialText.objects.create(material=material, number=number, text=text, why=why)
        note("material", key, f"{key}: text {number} saved" + (f" ({why})" if why else ""))
    return saved


def _locked(key: str) -> OwnMaterial:
    """Return the own material, no one else writing to it until the transaction ends."""
    material, _ = OwnMaterial.objects.get_or_create(key=key)
    return OwnMaterial.objects.select_for_update().get(pk=material.pk)


def check_material(key: str, text: str) -> str:
    """Return the key under which a text stands on the shelf; raise ShelfError where it is no record of a material."""
    try:
        table = tomli.loads(text)
    except (tomli.TOMLDecodeError, RecursionError, ValueError) as trouble:
        raise ShelfError(f"The text is not TOML: {str(trouble).rstrip('.')}.") from trouble
    below = catalogue()
    _ = Shelf({key: table}, origin=ORIGIN, below=below)[key]
    return same_as(below, key, table) or key


def begin_material(key: str, text: str) -> MaterialText:
    """Save a material that the shelf does not have yet.

    Raises
    ------
    RecordError
        When something on the shelf goes by that name already.
    """
    there = shelf().key(" ".join(key.split()))
    if there is not None:
        raise RecordError(f'"{there}" is on the shelf already; what you know of it is added on its own page.')
    return save_material(key, text, "new")


def written(words: Mapping[str, str]) -> str:
    """Return the text of a material from words of a form; what is empty is left out, names are parted by commas."""
    import tomlkit

    table: dict[str, Any] = {name: " ".join(word.split()) for name, word in words.items() if word.strip()}
    if "names" in table:
        table["names"] = [name.strip() for name in table["names"].split(",") if name.strip()]
    return tomlkit.dumps(table)


def bring_csv(raw: bytes, called: str, *, replace: bool = False, progress: Progress | None = None) -> list[str]:
    """Bring own materials in from a CSV file, all rows or none; return their keys.

    Parameters
    ----------
    raw : bytes
        The file.
    called : str
        Its name, for what is said of it.
    replace : bool
        Whether a new text may follow those that a material has already.
    progress : callable, optional
        Told how many rows are checked and kept, and of how many of both; what it raises stops the work, and no row is
        kept.

    Raises
    ------
    FileError, ShelfError
        When the file, a column or a value is not right; says the row.
    RecordError
        When a material has texts of its own already and none is to be added.
    """
    import tomlkit

    from levigate.shelf.importing import read_csv

    checked = (lambda done, total: progress(done, 2 * total)) if progress is not None else None
    rows = read_csv(raw, called, checked)
    steps = Steps(progress, 2 * len(rows), len(rows))
    with transaction.atomic():
        there = set(MaterialText.objects.values_list("material__key", flat=True))
        for row in rows:
            if row.key in there and not replace:
                raise RecordError(
                    f'{called}, row {row.number}: you have a text of "{row.key}" already; '
                    "say that the file may take its place, and the text of before stays among its versions."
                )
            save_material(row.key, tomlkit.dumps(row.table), f"from {called}"[:500])
            steps.on()
    return [row.key for row in rows]


def set_note(key: str, text: str) -> OwnMaterial:
    """Keep one's own words about a material; what stood there before stays in the journal."""
    with transaction.atomic():
        material = _locked(key)
        before, material.note = material.note, text.strip()
        if before != material.note:
            material.save(update_fields=["note"])
            note("material", key, f"{key}: note changed", before=before, after=material.note)
    return material


def set_put_away(key: str, *, away: bool) -> OwnMaterial:
    """Put an own material away, or bring it back; formulas that name it find it all the same."""
    with transaction.atomic():
        material = _locked(key)
        if material.put_away != away:
            material.put_away = away
            material.save(update_fields=["put_away"])
            note("material", key, f"{key}: {'put away' if away else 'brought back'}")
    return material


def measure(material: str, name: str, value: str, **rest: Any) -> Measured:
    """Keep a value of a material that was measured here.

    Raises
    ------
    ShelfError
        When the property or the unit is not one of that material.
    """
    if name not in PROPERTIES:
        raise ShelfError(f'"{name}" is not a property of a material; write one of {", ".join(PROPERTIES)}.')
    entry = {"value": value, "grade": "measured", "source": ORIGIN}
    entry |= {"spread": rest["spread"]} if rest.get("spread") else {}
    entry |= {"at": rest["at_temperature"]} if rest.get("at_temperature") else {}
    below = shelf()
    key = below.key(material) or material
    Shelf({key: {name: [entry]}}, origin=ORIGIN, below=below)[key].check_unit(name)
    with transaction.atomic():
        kept = Measured.objects.create(material=key, name=name, value=value, **rest)
        note("material", key, f"{name} of {key} measured: {value}")
    return kept


def correct(wrong: Measured, value: str, why: str, **rest: Any) -> Measured:
    """Keep a value that takes the place of one measured before; that one stays on record.

    Raises
    ------
    RecordError
        When no reason is given.
    ConflictError
        When it was corrected before.
    """
    if not why.strip():
        raise RecordError("Say why the value is corrected, as: read the wrong line.")
    kept = {"spread": wrong.spread, "at_temperature": wrong.at_temperature, "how": wrong.how, "on": wrong.on}
    kept |= {"lot": wrong.lot} | rest
    try:
        with transaction.atomic():
            return measure(wrong.material, wrong.name, value, corrects=wrong, why=why.strip()[:500], **kept)
    except IntegrityError as trouble:
        raise ConflictError("That value was corrected before; look at the one that took its place.") from trouble
