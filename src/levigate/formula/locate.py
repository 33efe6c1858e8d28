"""Find the line of a TOML file on which a value stands, so that a message can name it.

TOML readers give no positions for values. This scanner knows just enough of TOML (headers, keys, strings,
comments, arrays and inline tables) to say where each key and each array element begins; it judges nothing, because
the file has already been read by a real TOML reader.
"""

from __future__ import annotations

import re

Path = tuple[str | int, ...]
#: Line, from 1, on which each key and each array element of a text begins.
Positions = dict[Path, int]

_HEADER = re.compile(r"[ \t]*(\[\[|\[)([^\[\]\n]+)(\]\]|\])")
_NAME = r"""(?:"(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)"""
_KEY = re.compile(rf"[ \t]*({_NAME}(?:[ \t]*\.[ \t]*{_NAME})*)[ \t]*=")
_PART = re.compile(r"""\s*(?:"((?:\\.|[^"\\\n])*)"|'([^'\n]*)'|([A-Za-z0-9_-]+))\s*\.?""")


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(next(g for g in match.groups() if g is not None) for match in _PART.finditer(dotted))


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text, self.at, self.line = text, 0, 1
        self.found: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def run(self) -> Positions:
        table: Path = ()
        while self.at < len(self.text):
            self.skip_blank()
            if self.at >= len(self.text):
                break
            if header := _HEADER.match(self.text, self.at):
                table = self.header(header)
            elif key := _KEY.match(self.text, self.at):
                self.at = key.end()
                self.value((*table, *self.note((*table, *_parts(key.group(1))), len(table))))
            else:
                self.to_line_end()
        return self.found

    def note(self, path: Path, since: int) -> Path:
        self.found.setdefault(path, self.line)
        return path[since:]

    def header(self, match: re.Match[str]) -> Path:
        path: Path = ()
        parts = _parts(match.group(2))
        for depth, part in enumerate(parts, 1):
            path = (*path, part)
            if depth == len(parts) and match.group(1) == "[[":
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
        self.found.setdefault(path, self.line)
        self.at = match.end()
        return path

    def value(self, path: Path) -> None:
        self.skip_space()
        here = self.text[self.at : self.at + 1]
        if here == "[":
            self.array(path)
        elif here == "{":
            self.inline(path)
        elif here in ('"', "'"):
            self.string()
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}#\n":
                self.at += 1

    def array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while self.at < len(self.text):
            self.skip_blank()
            here = self.text[self.at : self.at + 1]
            if here == "]" or not here:
                self.at += 1
                return
            if here == ",":
                self.at += 1
                continue
            self.found.setdefault((*path, index), self.line)
            before = self.at
            self.value((*path, index))
            self.at += self.at == before
            index += 1

    def inline(self, path: Path) -> None:
        self.at += 1
        while self.at < len(self.text):
            self.skip_blank()
            here = self.text[self.at : self.at + 1]
            if here == "}" or not here:
                self.at += 1
                return
            if key := _KEY.match(self.text, self.at):
                self.at = key.end()
                self.value((*path, *self.note((*path, *_parts(key.group(1))), len(path))))
            else:
                self.at += 1

    def string(self) -> None:
        quote = self.text[self.at]
        long = quote * 3
        if self.text.startswith(long, self.at):
            end = self.text.find(long, self.at + 3)
            end = len(self.text) if end < 0 else end + 3
        else:
            end = self.at + 1
            while end < len(self.text) and self.text[end] not in (quote, "\n"):
                end += 2 if quote == '"' and self.text[end] == "\\" else 1
            end += 1
        self.line += self.text.count("\n", self.at, end)
        self.at = end

    def skip_space(self) -> None:
        while self.text[self.at : self.at + 1] in (" ", "\t") and self.at < len(self.text):
            self.at += 1

    def skip_blank(self) -> None:
        while self.at < len(self.text):
            here = self.text[self.at]
            if here == "\n":
                self.line += 1
            elif here == "#":
                self.to_line_end()
                continue
            elif here not in " \t\r":
                return
            self.at += 1

    def to_line_end(self) -> None:
        end = self.text.find("\n", self.at)
        self.at = len(self.text) if end < 0 else end


def lines_of(text: str) -> Positions:
    """Return the line (from 1) on which each key and each array element of a TOML text begins, by its path."""
    return _Scanner(text).run()


def line_of(positions: Positions, path: Path) -> int | None:
    """Return the line of a path, or of the nearest thing that holds it; None when nothing is known."""
    for length in range(len(path), 0, -1):
        if path[:length] in positions:
            return positions[path[:length]]
    return None
