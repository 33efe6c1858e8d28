"""The line on which each value of a TOML file stands, whatever stands round it."""

from __future__ import annotations

import tomli
from hypothesis import given
from hypothesis import strategies as st

from levigate.formula.locate import Path, line_of, lines_of

#: What could be taken for something else: brackets, hashes, quotes and equals signs inside strings.
TRICKY = st.text(alphabet="ab\"'[]{}#=,.\\ é", max_size=8)
BARE = st.text(alphabet="abcXYZ019-_", min_size=1, max_size=6)
COMMENT = st.sampled_from(["", " # plain", ' # [a] = { "b" ] #', "# '''", ' # """'])
#: Blank lines and comments between statements.
GAP = st.sampled_from(["", "\n", "# note\n", "\n# a = [ { ] }\n\n", "   # indented\n"])


def quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


@st.composite
def keys(draw: st.DrawFn) -> tuple[str, str]:
    """Draw a key: what it is and how it is written."""
    if draw(st.booleans()):
        key = draw(BARE)
        return key, draw(st.sampled_from([key, f'"{key}"', f"'{key}'"]))
    key = draw(TRICKY)
    literal = [f"'{key}'"] if "'" not in key else []
    return key, draw(st.sampled_from([quoted(key), *literal]))


@st.composite
def strings(draw: st.DrawFn) -> str:
    text = draw(TRICKY)
    ways = [quoted(text)]
    if "'" not in text:
        ways += [f"'{text}'", f"'''{text}'''", f"'''\n{text}\n # [x]\n'''"]
    # Up to two quotes may stand before the three that end it, and an escaped one never ends it.
    ways += [f'"""{quoted(text)[1:-1]}\n[no] = "header" # none\n\\""" """', '"""two at the end"""""', '""""""']
    return draw(st.sampled_from(ways))


class Writer:
    """A TOML text as it grows, and the line on which each thing began."""

    def __init__(self) -> None:
        self.text = ""
        self.lines: dict[Path, int] = {}

    def put(self, text: str, *paths: Path) -> None:
        line = self.text.count("\n") + 1
        for path in paths:
            self.lines.setdefault(path, line)
        self.text += text

    def value(self, draw: st.DrawFn, path: Path, depth: int) -> None:
        kind = draw(st.sampled_from(["number", "string", "string", *(["array", "table"] if depth else [])]))
        if kind == "number":
            self.put(draw(st.sampled_from(["1", "-0.5", "true", "1979-05-27", "1e3", "0x1F"])))
        elif kind == "string":
            self.put(draw(strings()))
        elif kind == "array":
            self.put("[")
            for index in range(draw(st.integers(0, 3))):
                self.put(draw(st.sampled_from([" ", "\n  ", " # [ , {\n  ", "\n\n"])))
                self.put("", (*path, index))
                self.value(draw, (*path, index), depth - 1)
                self.put(draw(st.sampled_from([",", " ,", "\n,", " # ]\n,"])))
            self.put(draw(st.sampled_from(["]", "\n]", " # ]\n]"])))
        else:
            self.put("{ ")
            self.pairs(draw, path, depth - 1, separator=", ", end="")
            self.put(" }")

    def pairs(self, draw: st.DrawFn, path: Path, depth: int, *, separator: str, end: str) -> None:
        named = draw(st.lists(keys(), max_size=3, unique_by=lambda key: key[0]))
        for position, (key, first) in enumerate(named):
            here, written = (*path, key), first
            if draw(st.booleans()):  # a dotted key
                rest, second = draw(keys())
                here, written = (*here, rest), f"{first}{draw(st.sampled_from(['.', ' . ']))}{second}"
            self.put("", *(here[:length] for length in range(len(path) + 1, len(here) + 1)))
            self.put(f"{written} = ")
            self.value(draw, here, depth)
            self.put(end if end else separator if position < len(named) - 1 else "")


@st.composite
def files(draw: st.DrawFn) -> Writer:
    writer = Writer()
    writer.put(draw(GAP))
    writer.pairs(draw, (), 2, separator="", end=draw(COMMENT) + "\n")
    top = {path[0] for path in writer.lines}
    tables = draw(st.lists(keys(), max_size=4, unique_by=lambda key: key[0]))
    for key, written in tables:
        if key in top:
            continue
        writer.put(draw(GAP))
        many = draw(st.booleans())
        for index in range(draw(st.integers(1, 2)) if many else 1):
            path: Path = (key, index) if many else (key,)
            writer.put("", (key,), path)
            spaced = draw(st.sampled_from([written, f" {written} "]))
            writer.put(f"{'[[' if many else '['}{spaced}{']]' if many else ']'}{draw(COMMENT)}\n")
            writer.pairs(draw, path, 2, separator="", end=draw(COMMENT) + "\n")
            if many and draw(st.booleans()):
                inner = "in.ner"
                if (*path, inner) not in writer.lines:
                    for number in range(2):
                        writer.put(draw(GAP))
                        writer.put("", (*path, inner), (*path, inner, number))
                        writer.put(f'[[{written}."{inner}"]]\n')
                        writer.pairs(draw, (*path, inner, number), 1, separator="", end="\n")
    return writer


@given(writer=files(), windows=st.booleans())
def test_every_key_and_element_is_on_its_line(writer: Writer, windows: bool) -> None:
    text = writer.text.replace("\n", "\r\n") if windows else writer.text
    tomli.loads(text)  # the generator writes TOML, or the test says nothing
    found = lines_of(text)
    assert {path: found.get(path) for path in writer.lines} == writer.lines


def test_a_path_that_is_not_there_is_on_the_line_of_what_holds_it() -> None:
    positions = lines_of("a = 1\n[b]\nc = [\n 1,\n 2 ]\n")
    assert line_of(positions, ("b", "c", 1)) == 5
    assert line_of(positions, ("b", "c", 7)) == 3
    assert line_of(positions, ("b", "z", 0)) == 2
    assert line_of(positions, ("z",)) is None
    assert line_of(positions, ()) is None


def test_a_long_text_is_scanned_in_a_moment() -> None:
    text = 'a = """' + "x [ # \\\" '''\n" * 60_000 + '"""\nb = [' + "1,\n" * 60_000 + "]\nc = 1\n"
    assert lines_of(text)[("c",)] == 120_003
