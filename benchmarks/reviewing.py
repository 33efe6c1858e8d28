"""Speed of the review: from a cold start, and warm."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from benchmarks.timing import Row, best
from levigate.bench.weighing import read_scale
from levigate.formula.text import read_formula
from levigate.review.engine import review

#: Twenty lines of six phases' worth of materials; an invented cream.
MATERIALS = """aqua|glycerin|propanediol|xanthan gum|sodium phytate|allantoin|caprylic/capric triglyceride|shea butter|
squalane|cetearyl alcohol|cetearyl olivate and sorbitan olivate|isoamyl laurate|jojoba oil|sweet almond oil|panthenol|
niacinamide|bisabolol|tocopherol|phenoxyethanol|ethylhexylglycerin""".replace("\n", "").split("|")


def twenty_lines() -> str:
    """Return the text of a formula of 20 lines."""
    shares = [4, 3, 0.3, 0.1, 0.2, 6, 4, 3, 3, 4, 2, 2, 2, 1, 3, 0.2, 0.2, 0.9, 0.3]
    lines = [f'  {{ material = "{MATERIALS[0]}", percent = "q.s." }},']
    lines += [f'  {{ material = "{name}", percent = {w} }},' for name, w in zip(MATERIALS[1:], shares, strict=True)]
    halves = (lines[:6], lines[6:14], lines[14:])
    phases = "".join(
        f'[[phase]]\nletter = "{letter}"\nhow = "stir"\nlines = [\n' + "\n".join(half) + "\n]\n"
        for letter, half in zip("ABC", halves, strict=True)
    )
    return f'levigate = 1\n[formula]\nname = "Bench cream"\nuse = "face cream"\nmakes = "500 g"\n{phases}'


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    text = twenty_lines()
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "cream.toml"
        file.write_text(text, encoding="utf-8")
        bare = best(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True))
        words = [sys.executable, "-m", "levigate", "review", str(file)]
        cold = best(lambda: subprocess.run(words, capture_output=True, check=False), repeats=9)
        loading = best(lambda: subprocess.run([sys.executable, "-c", _IMPORTS], check=True), repeats=9)
    yield Row("`levigate review`, 20 lines, cold start", f"{cold:.3f} s", "under 0.6 s", cold < 0.6)
    yield Row("of which starting Python and importing", f"{100 * loading / cold:.0f} %", "the most", loading > cold / 2)
    yield Row("the same over a bare `python -c pass`", f"{cold / bare:.1f} ×", "", None)
    formula = read_formula(text)
    scale, today = read_scale("0.1 g"), date(2026, 1, 1)
    warm = best(lambda: review(formula, scale=scale, today=today), repeats=40)
    yield Row("the same review warm, 1,000 draws", f"{1e3 * warm:.1f} ms", "under 10 ms", warm < 0.010)
    whole = best(lambda: review(read_formula(text), scale=scale, today=today), repeats=40)
    yield Row("with the file read anew each time", f"{1e3 * whole:.1f} ms", "", None)


_IMPORTS = "import levigate.cli.main, levigate.review.engine, levigate.review.rules, levigate.cli.reading"
