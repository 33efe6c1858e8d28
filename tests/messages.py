"""Words of the pages: taken from templates and code, laid beside their German, compiled: ``python -m tests.messages``.

A new message stands in the file with nothing behind it until somebody translates it; tests/web/test_messages.py fails
until then. What no page says any more is taken out.
"""

from __future__ import annotations

import datetime
import io
import os
import sys
from pathlib import Path

import django
from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import levigate.web

ROOT = Path(levigate.web.__file__).parent
LANGUAGE = "de"
PO = ROOT / "locale" / LANGUAGE / "LC_MESSAGES" / "django.po"
MO = PO.with_suffix(".mo")
#: Lines of the head that would change with every run, or say nothing.
_MOVING = tuple(
    f'"{word}:'
    for word in (
        "POT-Creation-Date",
        "PO-Revision-Date",
        "Last-Translator",
        "Language-Team",
        "Report-Msgid-Bugs-To",
        "Generated-By",
    )
)
_NO_DAY = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
KEYWORDS: dict[str, tuple[int | tuple[int, str], ...] | None] = {
    **dict.fromkeys(("_", "gettext", "gettext_lazy", "gettext_noop"), None),
    **dict.fromkeys(("ngettext", "ngettext_lazy"), (1, 2)),
    **dict.fromkeys(("pgettext", "pgettext_lazy"), ((1, "c"), 2)),
    **dict.fromkeys(("npgettext", "npgettext_lazy"), ((1, "c"), 2, 3)),
}


def template() -> Catalog:
    """Return every message of templates and code, with the files that say it."""
    found = _empty()
    for path in sorted([*ROOT.rglob("*.html"), *ROOT.rglob("*.py")]):
        source = path.read_text(encoding="utf-8")
        code = _as_code(source, path) if path.suffix == ".html" else source
        for _, message, _, context in extract("python", io.BytesIO(code.encode()), KEYWORDS):
            # The line would make the file change with every page; the name of the file is enough to find it.
            found.add(message, None, [(path.relative_to(ROOT).as_posix(), 0)], context=context)
    return found


def _empty() -> Catalog:
    made = Catalog(locale=LANGUAGE, project="levigate", charset="utf-8", fuzzy=False)
    made.header_comment = "# Words of the pages, kept up by `make messages`."
    return made


def _as_code(source: str, path: Path) -> str:
    """Return the messages of a template as calls, each line without its indent, which code could not have."""
    from django.utils.translation.template import templatize

    return "\n".join(line.strip() for line in templatize(source, origin=str(path)).splitlines())


def kept() -> Catalog:
    """Return the translation on file."""
    return _read(PO)


def _read(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=LANGUAGE)


def compiled(catalogue: Catalog) -> bytes:
    """Return the translation as programs read it; its head says no day, which would change with every run."""
    catalogue.creation_date = catalogue.revision_date = _NO_DAY
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def brought_up(*before: Catalog) -> Catalog:
    """Return the messages of today with the translations that there are, the first that has one."""
    after = _empty()
    for message in template():
        if not message.id:
            continue
        old = [one for each in before if (one := each.get(message.id, message.context)) and one.string]
        string = old[0].string if old else ""
        files = sorted({name for name, _ in message.locations})
        after.add(message.id, string, [(name, 0) for name in files], context=message.context)
    return after


def written(catalogue: Catalog) -> bytes:
    """Return the translation as a file for people."""
    out = io.BytesIO()
    write_po(out, catalogue, width=116, sort_output=True, omit_header=False, include_lineno=False)
    lines = out.getvalue().decode().splitlines()
    return ("\n".join(line for line in lines if not line.startswith(_MOVING)) + "\n").encode()


def main(lent: list[str]) -> None:
    """Bring the files up to the pages; further files of translations may be lent for what is missing."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    catalogue = brought_up(*[_read(path) for path in (PO, *map(Path, lent)) if path.exists()])
    PO.parent.mkdir(parents=True, exist_ok=True)
    PO.write_bytes(written(catalogue))
    MO.write_bytes(compiled(kept()))
    missing = [message.id for message in catalogue if message.id and not message.string]
    print(f"{len(catalogue)} messages, {len(missing)} without their German")


if __name__ == "__main__":
    main(sys.argv[1:])
