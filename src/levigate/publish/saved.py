"""The shape of what the commands on whole records print with ``--json``."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class SavedOut(BaseModel):
    """Records that were written to a file, or brought back from one."""

    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)

    file: str
    kind: str = Field(json_schema_extra={"enum": ["archive", "backup"]})
    """An archive can be read without this program; a backup is a copy of the embedded records."""
    rows: dict[str, int]
    """Rows of each table, by the name it has in an archive."""
    papers: int
    """Attached papers and pictures."""
    missing: list[str]
    """SHA-256 of papers on record whose files were not to be found."""
    aside: str | None = None
    """Where the records lie that were there before; null where there were none."""
