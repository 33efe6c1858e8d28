"""The description of an archive: its README.txt, and docs/reference/archive.md.

``python -m levigate.records.archive_page`` writes the latter; with ``--check`` it says whether that is out of date.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

#: Where the page stands in a checkout.
PAGE = Path(__file__).parents[3] / "docs" / "reference" / "archive.md"

_TEXT = """# The archive of a workshop

One zip file that holds everything on record, in forms that can be read without this program.
`levigate records export FILE` writes it, `levigate records import FILE` brings it into an empty workshop.

| file | what it is |
| --- | --- |
| `README.txt` | this page |
| `manifest.json` | kind (`archive`), number of the format (1), version of the program, time of writing (UTC); \
size and SHA-256 of every other file |
| `formulas/<address>/version-<n>.toml` | a saved version of a formula, a formula file |
| `formulas/<address>/draft-<n>.toml` | a state of what is being worked on and not saved yet |
| `materials/<name>/text-<n>.toml` | a saved text of an own material: its table of a shelf file, without the header |
| `attachments/<ab>/<hash>` | a paper or picture as it was attached, named by the SHA-256 of what is in it |
| `tables/<name>.csv` | the other records, one row a line; the tables below |

## The tables

UTF-8, comma, one line of column names, quotes doubled. A column that has the name of another table's thing, as `batch`,
holds the `id` of its row; `parent` and `corrects` hold an `id` of the same table. `file` names the file of the archive
in which the text of the row stands. Times are ISO 8601 with their offset, dates `YYYY-MM-DD`, masses in grams, shares
as numbers from 0 to 1, yes and no are `yes` and `no`; an empty cell is nothing. `details` is JSON. Rows stand in the
order of their `id`.

A row that corrects another takes its place: in sums of weighings, leave out each row that another names in `corrects`.

| table | a row is | columns |
| --- | --- | --- |
{tables}

## What is not in it

The keys of scripts and scales, so that no key comes in with an archive. Make them anew.

## What is refused

A file with a name that this program does not write, a file that is not in the manifest or is not what the manifest
says, more than 200,000 files, more than 2 GB unpacked (unless the zip file itself is that large), more than 200 times
the packed size unpacked, another number of the format, a row that the records could not hold. Then nothing is brought
in at all.
"""


def page() -> str:
    """Return the page."""
    from levigate.records.tables import described  # models are loaded once Django is set up

    return _TEXT.format(tables="\n".join(described()))


def main(words: list[str]) -> int:
    """Write the page; with ``--check`` write nothing and return 1 where it is out of date."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"DJANGO_SETTINGS_MODULE": "levigate.web.settings", "LEVIGATE_DATA": folder}
        import django

        django.setup()
        text = page()
    if PAGE.exists() and PAGE.read_text(encoding="utf-8") == text:
        return 0
    if "--check" in words:
        print(f"{PAGE} is out of date: make docs", file=sys.stderr)
        return 1
    PAGE.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
