"""The shelf of the workshop: the catalogue, own materials on it, and above all what was measured at this bench."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from typing import Any

import tomli
from django.db import transaction

from levigate.errors import RecordError, ShelfError
from levigate.records.journal import note
from levigate.records.models import Kept, MaterialText, Measured, OwnMaterial
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
    """Save an own material, or a new text of one.

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
    check_material(key, text)
    with transaction.atomic():
        material, _ = OwnMaterial.objects.get_or_create(key=key)
        OwnMaterial.objects.select_for_update().get(pk=material.pk)
        number = material.texts.count() + 1
        saved = MaterialText.objects.create(material=material, number=number, text=text, why=why)
        note("material", key, f"{key}: text {number} saved" + (f" ({why})" if why else ""))
    return saved


def check_material(key: str, text: str) -> None:
    """Raise ShelfError where a text is no record of a material."""
    try:
        table = tomli.loads(text)
    except (tomli.TOMLDecodeError, RecursionError, ValueError) as trouble:
        raise ShelfError(f"The text is not TOML: {str(trouble).rstrip('.')}.") from trouble
    same_as(catalogue(), key, table)
    below = catalogue()
    _ = Shelf({key: table}, origin=ORIGIN, below=below)[key]


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
