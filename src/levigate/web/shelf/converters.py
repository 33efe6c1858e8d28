"""A material in an address: its key, whatever stands in it."""

from __future__ import annotations

import re

#: Words of the room itself; a material that is called so is written with its first letter as a number.
TAKEN = ("new", "bring", "lots", "names")


class KeyConverter:
    """Keys hold blanks, commas and percent signs, which an address can carry, and sometimes what it cannot."""

    regex = "[^/]+"

    def to_python(self, value: str) -> str:
        """Return the key."""
        return re.sub("~([0-9A-F]{2})", lambda match: chr(int(match.group(1), 16)), value)

    def to_url(self, value: str) -> str:
        """Return the key as it stands in an address: "/" and "~" by number, and a first letter that would mislead."""
        written = re.sub("[/~]", lambda match: f"~{ord(match.group()):02X}", value)
        if written in TAKEN or written.startswith("."):
            written = f"~{ord(written[0]):02X}{written[1:]}"
        return written
