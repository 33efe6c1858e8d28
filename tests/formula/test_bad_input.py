"""Whatever is wrong with a file: a sentence that says file, line, what came and what would be right; never a crash."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from levigate.errors import LevigateError
from levigate.formula.model import Formula
from levigate.formula.text import LARGEST_FILE, load_formula, read_formula
from levigate.review.engine import review
from tests.formula.mutants import mutants

EXAMPLES = [
    path.read_text(encoding="utf-8") for path in sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
]

#: An own material with something of every shape.
OWN = """
[materials."house gel"]
inci = "Aqua (and) Xanthan Gum"
names = ["gel of the house"]
kind = "thickener"
density = { value = "1.01 g/mL", at = "20 C", spread = "0.01 g/mL", grade = "measured", source = "own-word" }
viscosity = { low = "2 Pa.s", high = "4 Pa.s" }
usual = { low = "1 %", high = "50 %" }
pka = { values = [3.1, 4.7] }
solubility = [{ liquid = "ethanol", value = "0 g/100 mL" }]
cautions = ["slippery"]
limits = [{ jurisdiction = "EU", law = "none", percent = 5, as_of = "2026-01", factor = 1.5 }]
made_of = { aqua = 98.5, "xanthan gum" = 1, phenoxyethanol = 0.5 }
price = "12 EUR/kg"
[materials.glycerin]
price = "4.50 EUR/kg"
[measured]
density = { value = "0.97 g/mL", spread = "0.01 g/mL", how = "syringe", date = 2026-03-01 }
"""

#: Line 9 holds glycerin, line 12 is the first below the phase.
GOOD = """\
levigate = 1
[formula]
name = "Test"
makes = "100 g"
[[phase]]
letter = "A"
lines = [
  { material = "aqua", percent = "q.s." },
  { material = "glycerin", percent = 4 },
]

"""


def percent(text: str) -> str:
    return GOOD.replace("percent = 4", f"percent = {text}")


def materials(text: str) -> str:
    return f"{GOOD}{text}\n"


def chain(length: int) -> str:
    return materials("\n".join(f"[materials.a{i}]\nmade_of = {{ a{i + 1} = 100 }}" for i in range(length)))


#: What is wrong -> the text, the line that the message names (None where there is none to name), words of the message.
BAD: dict[str, tuple[str, int | None, str]] = {
    "empty": ("", None, 'the file is empty; a formula begins with the line "levigate = 1"'),
    "blank": ("  \n\n", None, "the file is empty"),
    "a mark and nothing": ("\ufeff", None, "the file is empty"),
    "wrong TOML": (GOOD.replace('name = "Test"', 'name = "Test'), 3, "this is not TOML"),
    "a bracket open": (GOOD.replace("]\n\n", "\n"), None, "this is not TOML"),
    "not TOML at all": ("Dear friend,\nmelt the wax.\n", 1, "this is not TOML"),
    "a control letter": (GOOD.replace("Test", "Te\x00st"), 3, "this is not TOML"),
    "a table twice": (f'{GOOD}[formula]\nname = "x"\n', 12, "The same name stands twice"),
    "a key twice": (GOOD.replace('name = "Test"', 'name = "Test"\nname = "x"'), 4, "The same name stands twice"),
    "nested deep": (GOOD.replace('"Test"', "[" * 5000 + "]" * 5000), None, "nested too deep"),
    "nested less deep": (GOOD.replace('"Test"', "[" * 90 + "]" * 90), 3, '"name" must be text in quotes'),
    "no levigate line": (GOOD.replace("levigate = 1\n", ""), None, 'the line "levigate = 1" is missing'),
    "another form": (GOOD.replace("levigate = 1", "levigate = 2"), 1, "has form 2; this program reads form 1"),
    "the form in quotes": (GOOD.replace("levigate = 1", 'levigate = "1"'), 1, 'has form "1"; this program reads'),
    "no formula": (GOOD.replace("[formula]", "[container]").replace('makes = "100 g"', ""), None, 'lacks "formula"'),
    "no name": (GOOD.replace('name = "Test"\n', ""), 2, r'\[formula\] lacks "name"'),
    "an empty name": (GOOD.replace('"Test"', '""'), 3, '"name" must not be empty'),
    "a name that is a number": (GOOD.replace('"Test"', "5"), 3, '"name" must be text in quotes; what came is 5'),
    "a misspelt key": (GOOD.replace("makes", "make"), 4, '"make" is not a word .* did you mean "makes"'),
    "a misspelt key in a line": (percent("4, rol = 'x'"), 9, 'phase A, "glycerin": "rol" .* did you mean "role"'),
    "a misspelt percent": (GOOD.replace("percent = 4", "percnt = 4"), 9, '"percnt" .* did you mean "percent"'),
    "a key at the top": (f"colour = 1\n{GOOD}", 1, '"colour" is not a word .* known here: levigate, formula'),
    "no percent": (GOOD.replace(", percent = 4", ""), 9, 'phase A, "glycerin" lacks "percent"'),
    "no material": (GOOD.replace('material = "glycerin", ', ""), 9, 'phase A, line 2 lacks "material"'),
    "a material that is a list": (GOOD.replace('"glycerin"', "[1]"), 9, '"material" must be text in quotes'),
    "no lines": (re.sub(r"lines = \[.*\]", "lines = []", GOOD, flags=re.DOTALL), 7, '"lines" holds nothing'),
    "lines missing": (re.sub(r"lines = \[.*\]", "", GOOD, flags=re.DOTALL), 5, 'phase A lacks "lines"'),
    "one bracket for two": (GOOD.replace("[[phase]]", "[phase]"), 5, r'"phase" must be a list.* \[\[phase\]\]'),
    "a letter twice": (f'{GOOD}[[phase]]\nletter = "a"\nlines = [{{ material = "squalane", percent = 1 }}]\n', 12,
                       'two phases have the letter "a"'),
    "two q.s.": (percent('"q.s."'), 9, '"aqua" and "glycerin" are both q.s.; only one line can take what is left'),
    "negative": (percent("-1"), 9, "-1 is below nought; a line takes 0 to 100 %"),
    "above the whole": (percent("100.01"), 9, "100.01 is more than the whole"),
    "nan": (percent("nan"), 9, "NaN is not a percent; write a number such as 4 or 0.5"),
    "inf": (percent("inf"), 9, "Infinity is not a percent"),
    "minus inf": (percent("-inf"), 9, "-Infinity is not a percent"),
    "1e308": (percent("1e308"), 9, "more than the whole"),
    "an exponent beyond any": (percent("1e9999999999999999999"), None, "a number too long"),
    "1e-30": (percent("1e-30"), 9, "has more than 12 decimals; write fewer digits"),
    "1e-999999999": (percent("1e-999999999"), 9, "has more than 12 decimals"),
    "400 digits": (percent("9" * 400), 9, "more than the whole"),
    "5000 digits": (percent("9" * 5000), None, "a number too long"),
    "5000 digits in hex": (percent("0x" + "F" * 5000), 9, "more than the whole"),
    "a comma": (percent('"5,0"'), 9, '"5,0" has a comma; write the decimal point: 5.0'),
    "a bare comma": (percent("5,0"), 9, "this is not TOML"),
    "a word": (percent('"some"'), 9, '"some" is not a percent'),
    "true": (percent("true"), 9, "true is not a percent"),
    "a day": (percent("1979-05-27"), 9, "1979-05-27 is not a percent"),
    "a list": (percent("[4]"), 9, r"\[4\] is not a percent"),
    "a unit for a percent": (percent('"4 g"'), 9, '"4 g" is not a percent'),
    "twice in a phase": (GOOD.replace('"glycerin"', '"Aqua"'), 9, '"Aqua" stands twice in phase A'),
    "twice under two names": (GOOD.replace('"glycerin"', '"water"'), 9, '"aqua" and "water" in phase A are the same'),
    "an unknown unit": (GOOD.replace("100 g", "100 gramms"), 4, '"gramms"; did you mean grams or gram'),
    "no unit": (GOOD.replace("100 g", "100"), 4, "not an amount to make; write for example"),
    "an amount of nothing": (GOOD.replace("100 g", "0 g"), 4, "not an amount to make"),
    "no containers": (GOOD.replace("100 g", "0 x 50 g"), 4, "no number of containers"),
    "too many containers": (GOOD.replace("100 g", "9" * 5000 + " x 50 g"), 4, "too large a number"),
    "an amount in quotes only": (GOOD.replace('"100 g"', "100"), 4, '"makes" must be text in quotes'),
    "colder than cold": (GOOD.replace("lines", 'how = "cool to -500 C"\nlines'), 7, "below absolute zero"),
    "a grain without a unit": (percent('4, grain = { d50 = "12" }'), 9, 'has no unit: a length is needed'),
    "a grain of nothing": (percent('4, grain = { d50 = "0 um" }'), 9, "no size of a grain"),
    "d90 below d50": (percent('4, grain = { d50 = "12 um", d90 = "5 um" }'), 9, "d90 is smaller than d50"),
    "a grain that is a number": (percent("4, grain = 12"), 9, '"grain" must be a table'),
    "a sieve that is none": (percent('4, grain = { mesh = 210 }'), 9, "the nearest are 200 or 230"),
    "a sieve like a gate": (percent('4, grain = { sieve = "20 mm" }'), 9, "no test sieve for a powder"),
    "a sieve by a bare number": (percent('4, grain = { sieve = 63 }'), 9, "63 is no sieve; write for example"),
    "passing what": (percent('4, grain = { d50 = "5 um", passing = "95 %" }'), 9, "passing belongs to one sieve"),
    "all passes": (percent('4, grain = { sieve = "63 um", passing = "100 %" }'), 9, "the most you would vouch for"),
    "two sieves in one": (percent('4, grain = { mesh = 200, sieve = "63 um" }'), 9, "name one sieve, or each with"),
    "sieves without shares": (percent('4, grain = { sieves = ["45 um", "90 um"] }'), 9, "write each sieve with what"),
    "no sieves": (percent('4, grain = { sieves = [] }'), 9, "write each sieve with what"),
    "a wider sieve passes less": (
        percent('4, grain = { sieves = [["45 um", "60 %"], ["90 um", "50 %"]] }'), 9, "the wider must pass more"),
    "a sieve against its median": (
        percent('4, grain = { d50 = "90 um", sieve = "63 um", passing = "95 %" }'), 9, "the wider must pass more"),
    "ground by nothing known": (percent('4, grain = { ground = "morter" }'), 9, 'did you mean "mortar"'),
    "ground by nothing like": (percent('4, grain = { ground = "teeth" }'), 9, "known are mortar, coffee grinder"),
    "ground and measured": (percent('4, grain = { ground = "mortar", d50 = "9 um" }'), 9, "measured says more"),
    "a misspelt grain": (percent('4, grain = { d5 = "12 um" }'), 9, '"d5" .* did you mean "d50"'),
    "a container without a unit": (f'{GOOD}[container]\nbrimful = "60"\n', 13, "has no unit: a volume is needed"),
    "a container of nothing": (f'{GOOD}[container]\nbrimful = "0 mL"\n', 13, "holds nothing"),
    "a headspace of 200 %": (f'{GOOD}[container]\nheadspace = 2\n', 13, "2 is no share to leave empty"),
    "measured without a unit": (f"{GOOD}[measured]\ndensity = 0.96\n", 13, r"\[measured\] density: .* has no unit"),
    "measured without a value": (f'{GOOD}[measured]\ndensity = {{ how = "x" }}\n', 13, 'lacks "value"'),
    "measured nothing": (f'{GOOD}[measured]\ndensity = "0 g/mL"\n', 13, "is not above nought"),
    "measured with a wrong spread": (
        f'{GOOD}[measured]\ndensity = {{ value = "1 g/mL", spread = "?" }}\n', 13, '"[?]" does not begin with'),
    "measured by a misspelt name": (f'{GOOD}[measured]\ndensty = "1 g/mL"\n', 13, 'did you mean "density"'),
    "contains itself": (materials("[materials.x]\nmade_of = { x = 100 }"), 13, r'"x" contains itself \(x > x\)'),
    "contains itself by another": (
        materials("[materials.x]\nmade_of = { y = 100 }\n[materials.y]\nmade_of = { x = 100 }"), 13,
        r'"x" contains itself \(x > y > x\)'),
    "contains itself by two others": (
        materials("[materials.x]\nmade_of = { y = 50, aqua = 50 }\n[materials.y]\nmade_of = { z = 100 }\n"
                  "[materials.z]\nmade_of = { aqua = 1, x = 99 }"), 13, r"\(x > y > z > x\)"),
    "contains itself by another name": (
        materials('[materials.water]\nmade_of = { glycerin = 50, aqua = 50 }'), 13, r"\(aqua > aqua\)"),
    "premixes 2000 deep": (chain(2000), 13, "nested more than 30 deep"),
    "parts that do not add up": (materials("[materials.x]\nmade_of = { aqua = 50 }"), 13, "the parts add up to 50 %"),
    "a part of nan": (materials("[materials.x]\nmade_of = { aqua = nan }"), 13, 'record of "x"'),
    "a part of 1e999999": (materials("[materials.x]\nmade_of = { aqua = 9e999999, b = 9e999999 }"), 13, "each part"),
    "a part of 1e-400000": (materials("[materials.x]\nmade_of = { aqua = 1e-400000, b = 100 }"), 13, "12 decimals"),
    "two tables for one material": (materials("[materials.water]\n[materials.aqua]"), 12, "both stand for"),
    "a material that is a number": (materials("[materials]\nx = 5"), 13, '"x" must be a table'),
    "a density without a unit": (materials("[materials.x]\ndensity = 0.96"), 13, "has no unit: a density is needed"),
    "a density of nothing": (materials('[materials.x]\ndensity = "0 g/mL"'), 13, "is not above nought"),
    "a density below nothing": (materials('[materials.x]\ndensity = "-1 g/mL"'), 13, "is not above nought"),
    "a density of one end": (materials('[materials.x]\ndensity = { low = "1 g/mL" }'), 13, "a single value is needed"),
    "a density that is a day": (materials("[materials.x]\ndensity = 1979-05-27"), 13, "neither a number nor text"),
    "a density of 4000 digits": (materials(f"[materials.x]\ndensity = 1{'0' * 4000}"), 13, "neither a number nor"),
    "a volume for a density": (materials('[materials.x]\ndensity = "1 mL"'), 13, "but a density is needed"),
    "a misspelt property": (materials('[materials.x]\ndensty = "1 g/mL"'), 13, 'did you mean "density"'),
    "names that are a number": (materials("[materials.x]\nnames = 5"), 13, "is no list in brackets"),
    "a kind that is none": (materials('[materials.x]\nkind = "oill"'), 13, '"oill" is none of solvent, humectant, oil'),
    "a CAS number without a value": (materials("[materials.x]\ncas = { x = 1 }"), 13, 'record of "x"'),
    "a line end in a name": (GOOD.replace('"glycerin"', '"a\\nb"').replace("percent = 4", "percent = -4"), 9, '"a b"'),
    "a name of 1000 letters": (GOOD.replace('"glycerin"', f'"{"g" * 1000}"'), 9, "not be longer than 200 letters"),
    "a percent of 1000 letters": (percent(f'"{"4" * 1000}x"'), 9, "is not a percent"),
}  # fmt: skip


RICH = percent("4 },\n  { material = 'house gel', percent = 10").replace("'", '"') + OWN


def is_a_sentence(message: str) -> bool:
    return bool(message) and message[-1] in ".?" and "\n" not in message and "Traceback" not in message


@pytest.mark.parametrize("what", BAD)
def test_a_bad_text_is_told_in_a_sentence(what: str) -> None:
    text, line, said = BAD[what]
    with pytest.raises(LevigateError, match=said) as trouble:
        read_formula(text, file="f.toml")
    message = str(trouble.value)
    assert is_a_sentence(message)
    assert len(message) < 500
    assert message.startswith(f"f.toml, line {line}: " if line is not None else "f.toml")


@pytest.mark.parametrize("what", BAD)
def test_windows_line_ends_do_not_move_the_line(what: str) -> None:
    text, line, _ = BAD[what]
    with pytest.raises(LevigateError) as trouble:
        read_formula(text.replace("\n", "\r\n"), file="f.toml")
    assert str(trouble.value).startswith(f"f.toml, line {line}: " if line is not None else "f.toml")


def test_the_good_text_is_good() -> None:
    assert read_formula(GOOD).adds_up
    assert read_formula(RICH).adds_up
    assert "density" in review(read_formula(RICH), today=date(2026, 3, 1)).figures


#: What is wrong with the bytes of a file -> the bytes, words of the message.
BAD_BYTES: dict[str, tuple[bytes, str]] = {
    "not UTF-8": (GOOD.replace("Test", "Crème").encode("latin-1"), r"not UTF-8 text \(byte \d+ cannot be read\)"),
    "UTF-16": (GOOD.encode("utf-16"), "not UTF-8 text"),
    "10 MB": (GOOD.encode() + b"# more\n" * 1_500_000, "10.5 MB: a formula is a page of text, at most 1 MB"),
    "noise": (bytes(range(256)) * 16, "not UTF-8 text"),
    "zeroes": (bytes(4096), "this is not TOML"),
}


@pytest.mark.parametrize("what", BAD_BYTES)
def test_bad_bytes_are_told_in_a_sentence(what: str, tmp_path: Path) -> None:
    data, said = BAD_BYTES[what]
    path = tmp_path / "f.toml"
    path.write_bytes(data)
    with pytest.raises(LevigateError, match=said) as trouble:
        load_formula(path)
    assert is_a_sentence(str(trouble.value)) and str(path) in str(trouble.value)


def test_a_file_that_is_not_there_or_a_folder(tmp_path: Path) -> None:
    with pytest.raises(LevigateError, match=r"none.toml cannot be read: no such file or directory\."):
        load_formula(tmp_path / "none.toml")
    with pytest.raises(LevigateError, match=r"cannot be read: is a directory\."):
        load_formula(tmp_path)


def test_the_largest_file_is_read_in_time(tmp_path: Path) -> None:
    path = tmp_path / "f.toml"
    path.write_text(GOOD + "# [ { \" ' \n" * ((LARGEST_FILE - len(GOOD)) // 11), encoding="utf-8")
    assert load_formula(path).adds_up


def command(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-W", "error", "-m", "levigate", *words],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )


def test_the_command_says_one_sentence_and_leaves_with_2(tmp_path: Path) -> None:
    """Through the real command, for three of them: a start costs half a second."""
    texts = {what: BAD[what][0].encode() for what in ("two q.s.", "5000 digits in hex")}
    for what, data in {**texts, "not UTF-8": BAD_BYTES["not UTF-8"][0]}.items():
        path = tmp_path / "f.toml"
        path.write_bytes(data)
        done = command("review", "f.toml", folder=tmp_path)
        assert done.returncode == 2, what
        assert done.stdout == ""
        assert done.stderr.startswith("levigate: f.toml") and is_a_sentence(done.stderr.removesuffix("\n")), what
        assert path.read_bytes() == data and [*tmp_path.iterdir()] == [path]


def test_a_change_that_cannot_be_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "f.toml"
    path.write_text(GOOD)
    done = command("adjust", "f.toml", "--set", "glycerin=101", "--write", folder=tmp_path)
    assert done.returncode == 2 and is_a_sentence(done.stderr.removesuffix("\n"))
    done = command("adjust", "f.toml", "--set", "glycerin=5", "--out", "none/f.toml", folder=tmp_path)
    assert done.returncode == 2 and "cannot be written" in done.stderr
    assert path.read_text() == GOOD and [*tmp_path.iterdir()] == [path]


@given(text=mutants([*EXAMPLES, RICH, RICH]))
@settings(max_examples=300)
@example(text=GOOD + '[materials.glycerin]\nprice = "much"\n')
@example(text=GOOD + '[materials.glycerin]\nprice = "1 EUR/kg"\n[materials.aqua]\nprice = "1 GBP/kg"\n')
@example(text=GOOD + '[materials.x]\ncas = "56-81-5"\ninci = "Aqua"\nnames = ["-"]\n')
@example(text=GOOD + '[measured]\ndensity = "1e-300 g/mL"\n')
@example(text=percent("0").replace('"q.s."', "0"))
@example(text=percent("100").replace('"q.s."', "0.000000000001"))
@example(text=GOOD.replace("100 g", "1 x 1e-9 mL") + '[container]\nbrimful = "1e-12 mL"\n')
@example(text=GOOD.replace('"glycerin"', '" "'))
@example(text=GOOD.replace('"glycerin"', '"---"'))
def test_a_mutant_is_a_formula_or_a_sentence(text: str) -> None:
    """And whatever reads as a formula can be reviewed."""
    try:
        formula = read_formula(text, file="f.toml")
        assert isinstance(formula, Formula)
        review(formula, today=date(2026, 3, 1), draws=10)
    except LevigateError as trouble:
        assert is_a_sentence(str(trouble)), str(trouble)


@given(data=st.binary(max_size=60), text=st.sampled_from(EXAMPLES), at=st.integers(0, 2000))
def test_bytes_in_a_file_are_a_formula_or_a_sentence(
    data: bytes, text: str, at: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.getbasetemp() / "mutant.toml"
    raw = text.encode()
    path.write_bytes(raw[:at] + data + raw[at:])
    try:
        load_formula(path)
    except LevigateError as trouble:
        assert is_a_sentence(str(trouble)), str(trouble)
