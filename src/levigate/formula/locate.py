"""Find the line of a TOML file on which a value stands, so that a message can name it.

TOML readers give no positions for values. This scanner knows just enough of TOML (headers, keys, strings,
comments, arrays and inline tables) to say where each key and each array element begins; it judges nothing, because
the file has already been read by a real TOML reader.
"""

from __future__ import annotations

import re

import tomli

Path = tuple[str | int, ...]
#: Line, from 1, on which each key and each array element of a text begins.
Positions = dict[Path, int]

_NAME = r"""(?:"(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)"""
_NAMES = rf"{_NAME}(?:[ \t]*\.[ \t]*{_NAME})*"
_HEADER = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_NAMES})[ \t]*\]\]?")
_KEY = re.compile(rf"[ \t]*({_NAMES})[ \t]*=")
_PART = re.compile(r"""\s*(?:"((?:\\.|[^"\\\n])*)"|'([^'\n]*)'|([A-Za-z0-9_-]+))\s*\.?""")


#: Strings of many lines end at the last of up to five quotes.
_LONG = {'"': re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}', re.DOTALL), "'": re.compile(r"'''.*?'{3,5}", re.DOTALL)}
_SHORT = {'"': re.compile(r'"(?:[^"\\\n]|\\.)*"'), "'": re.compile(r"'[^'\n]*'")}


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(_unescaped(*match.groups()) for match in _PART.finditer(dotted))


def _unescaped(basic: str | None, literal: str | None, bare: str | None) -> str:
    if basic is not None and "\\" in basic:
        return str(tomli.loads(f'key = "{basic}"')["key"])
    return next(name for name in (basic, literal, bare) if name is not None)


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
        for length in range(since + 1, len(path) + 1):
            self.found.setdefault(path[:length], self.line)
        return path[since:]

    def header(self, match: re.Match[str]) -> Path:
        path: Path = ()
        parts = _parts(match.group(2))
        for depth, part in enumerate(parts, 1):
            path = (*path, part)
            if depth == len(parts) and match.group(1) == "[[":
                self.counts[path] = self.counts.get(path, -1) + 1
            self.found.setdefault(path, self.line)
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
        long = self.text.startswith(quote * 3, self.at)
        match = (_LONG if long else _SHORT)[quote].match(self.text, self.at)
        end = match.end() if match else len(self.text)
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
