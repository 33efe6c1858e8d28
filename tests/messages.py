"""Words of pages and library: taken from templates and code, laid beside their German: ``python -m tests.messages``.

The pages have one file, the library one for each of its rooms, which `levigate.words` looks up in turn.

A new message stands in the file with nothing behind it until somebody translates it; tests/web/test_messages.py fails
or tests/test_words.py fails until then. What nothing says any more is taken out.
"""

from __future__ import annotations

import datetime
import io
import os
import sys
from dataclasses import dataclass
from pathlib import Path

import django
from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

import levigate.words
from levigate.words import CATALOGUES

LANGUAGE = "de"
_LIBRARY = Path(levigate.words.__file__).parent
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
_Keywords = dict[str, tuple[int | tuple[int, str], ...] | None]
_OF_PAGES: _Keywords = {
    **dict.fromkeys(("_", "gettext", "gettext_lazy", "gettext_noop"), None),
    **dict.fromkeys(("ngettext", "ngettext_lazy"), (1, 2)),
    **dict.fromkeys(("pgettext", "pgettext_lazy"), ((1, "c"), 2)),
    **dict.fromkeys(("npgettext", "npgettext_lazy"), ((1, "c"), 2, 3)),
}
_OF_ROOMS: _Keywords = {"tr": None, "marked": None, "trn": (1, 2)}


@dataclass(frozen=True)
class Book:
    """The translation of the pages, or of one room of the library."""

    name: str
    #: A folder, or one module.
    root: Path
    po: Path
    keywords: _Keywords

    @property
    def mo(self) -> Path:
        """The translation as programs read it."""
        return self.po.with_suffix(".mo")

    def files(self) -> list[Path]:
        """Return what may say something."""
        return sorted([*self.root.rglob("*.html"), *self.root.rglob("*.py")]) if self.root.is_dir() else [self.root]


PAGES = Book(
    "pages",
    _LIBRARY / "web",
    _LIBRARY / "web" / "locale" / LANGUAGE / "LC_MESSAGES" / "django.po",
    _OF_PAGES,
)


def rooms() -> list[Book]:
    """Return a book for each room of the library that says something."""
    folder = CATALOGUES / LANGUAGE / "LC_MESSAGES"
    each = [path for path in sorted(_LIBRARY.iterdir()) if path.suffix == ".py" or (path / "__init__.py").exists()]
    books = [Book(path.stem, path, folder / f"{path.stem}.po", _OF_ROOMS) for path in each if path != PAGES.root]
    return [book for book in books if len(template(book))]


def template(book: Book) -> Catalog:
    """Return every message of templates and code, with the files that say it."""
    found = _empty(book)
    for path in book.files():
        source = path.read_text(encoding="utf-8")
        code = _as_code(source, path) if path.suffix == ".html" else source
        for _, message, _, context in extract("python", io.BytesIO(code.encode()), book.keywords):
            # The line would make the file change with every page; the name of the file is enough to find it.
            name = path.name if path == book.root else path.relative_to(book.root).as_posix()
            found.add(message, None, [(name, 0)], context=context)
    return found


def _empty(book: Book) -> Catalog:
    made = Catalog(locale=LANGUAGE, project="levigate", charset="utf-8", fuzzy=False)
    made.header_comment = f"# Words of {book.name}, kept up by `make messages`."
    if book is PAGES:
        made.header_comment = "# Words of the pages, kept up by `make messages`."
    return made


def _as_code(source: str, path: Path) -> str:
    """Return the messages of a template as calls, each line without its indent, which code could not have."""
    from django.utils.translation.template import templatize

    return "\n".join(line.strip() for line in templatize(source, origin=str(path)).splitlines())


def kept(book: Book) -> Catalog:
    """Return the translation on file."""
    return _read(book.po)


def _read(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=LANGUAGE)


def compiled(catalogue: Catalog) -> bytes:
    """Return the translation as programs read it; its head says no day, which would change with every run."""
    catalogue.creation_date = catalogue.revision_date = _NO_DAY
    out = io.BytesIO()
    write_mo(out, catalogue)
    return out.getvalue()


def brought_up(book: Book, *before: Catalog) -> Catalog:
    """Return the messages of today with the translations that there are, the first that has one."""
    after = _empty(book)
    for message in template(book):
        if not message.id:
            continue
        old = [one for each in before if (one := each.get(message.id, message.context)) and _said(one.string)]
        string = old[0].string if old else ("" if isinstance(message.id, str) else ("", ""))
        files = sorted({name for name, _ in message.locations})
        added = after.add(message.id, string, [(name, 0) for name in files], context=message.context)
        if book is not PAGES:  # a percent sign in a sentence of the library is one
            added.flags -= {"python-format", "python-brace-format"}
    return after


def written(catalogue: Catalog) -> bytes:
    """Return the translation as a file for people."""
    out = io.BytesIO()
    write_po(out, catalogue, width=116, sort_output=True, omit_header=False, include_lineno=False)
    lines = out.getvalue().decode().splitlines()
    return ("\n".join(line for line in lines if not line.startswith(_MOVING)) + "\n").encode()


def main(lent: list[str]) -> None:
    """Bring the files up to the words; further files of translations may be lent for what is missing."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    for book in (PAGES, *rooms()):
        catalogue = brought_up(book, *[_read(path) for path in (book.po, *map(Path, lent)) if path.exists()])
        book.po.parent.mkdir(parents=True, exist_ok=True)
        book.po.write_bytes(written(catalogue))
        book.mo.write_bytes(compiled(kept(book)))
        missing = [message.id for message in catalogue if message.id and not _said(message.string)]
        print(f"{book.name}: {len(catalogue)} messages, {len(missing)} without their German")


def _said(german: object) -> bool:
    """Return whether there is a translation, of one and of many."""
    return bool(german) if isinstance(german, str) else all(german)  # type: ignore[arg-type]


if __name__ == "__main__":
    main(sys.argv[1:])
