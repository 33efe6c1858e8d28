"""Formula files with something wrong in them, drawn from good ones."""

from __future__ import annotations

import re
from collections.abc import Sequence

from hypothesis import strategies as st

#: Values that are TOML and mean something, or nothing, in a formula file.
VALUES = st.sampled_from(
    ["0", "-1", "100", "1e308", "1e-30", "nan", "inf", "true", "1979-05-27", "[]", "{}", "[1]", "{ x = 1 }", '""',
     '"q.s."', '"5,0"', '"5 %"', '"0 g"', '"-300 C"', '"50 mL"', '"12 x 50 mL"', '"1e300 kg"', '"1e-300 mL"', '"nan"',
     '"aqua"', '"water"', '"glycerin"', '"ethanol"', '"-"', "'\u2028'", "9" * 50, '"A"', '"1 EUR/kg"', '"1 GBP/g"',
     '"0 g/mL"', '"1e-300 g/mL"', '"1e300 g/mL"', '"""\n"""', "{ aqua = 100 }", "{ aqua = 1e-12, x = 100 }",
     '{ low = "1 g/mL", high = "0.5 g/mL" }', '{ value = "1 g/mL", spread = "9 g/mL" }', "[{ aqua = 50 }, 5]", '" "']
)  # fmt: skip
WORDS = st.sampled_from(
    ["name", "use", "makes", "container", "brimful", "headspace", "phase", "letter", "how", "lines", "material",
     "percent", "grain", "d50", "sieves", "ground",
      "role", "note", "materials", "measured", "density", "made_of", "price", "inci", "cas"]
)  # fmt: skip
LINES = st.sampled_from(
    ["[[phase]]\n", "[formula]\n", "[measured]\n", "[materials.x]\n", "[materials.water]\n", "[container]\n",
     "lines = [\n", "]\n", '{ material = "x", percent = 1 },\n', "made_of = { x = 50, aqua = 50 }\n",
     'density = "0.9 g/mL"\n', "# }\n", "\n"]
)  # fmt: skip

#: What of each kind is found in a text, and what may take its place.
KINDS = {
    "value": (re.compile(r'(?<== )(?:"[^"\n]*"|[^\s,\]}]+)'), VALUES),
    "word": (re.compile(r"\b[a-z_]+\d*(?= = )"), WORDS),
    "line": (re.compile(r".*\n"), LINES),
}


@st.composite
def mutants(draw: st.DrawFn, texts: Sequence[str]) -> str:
    """Draw a text with values, words and lines changed for others, or letters taken out, doubled, put in."""
    text = draw(st.sampled_from(texts))
    for _ in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(["value", "value", "value", "word", "line", "letters"]))
        if kind == "letters":
            start = draw(st.integers(0, len(text)))
            end = min(len(text), start + draw(st.integers(0, 40)))
            piece = draw(st.sampled_from(["", text[start:end] * 2]) | st.text(max_size=6))
        else:
            pattern, others = KINDS[kind]
            found = [match.span() for match in pattern.finditer(text)] or [(0, 0)]
            start, end = draw(st.sampled_from(found))
            other = text[slice(*draw(st.sampled_from(found)))]
            piece = draw(others | st.sampled_from(["", other, other * 2]))
        text = text[:start] + piece + text[end:]
    return text
