"""How a phase is treated, read out of the words of its ``how``: heated to what, held how long, added to what."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from levigate import units

#: A hyphen after a digit is a dash: "70-75 C" names 75.
TEMPERATURE = re.compile(
    r"(?<![\w.])(-?\d{1,4}(?:\.\d+)?)\s*(?:°|deg(?:rees?)?)?\s*(C|F|K)(?:elsius|ahrenheit|elvin)?\b",
    re.IGNORECASE,
)
_CLAUSE = re.compile(r"[;:,]|\.(?!\d)|\band\b|\bthen\b", re.IGNORECASE)
_NOT = r"(?<!not )(?<!never )(?<!without )(?<!no )"
_HEAT = re.compile(rf"{_NOT}\b(?:heat|melt|warm|boil)\b(?!-)|\bwater bath\b|\buntil (?:\w+ )*melted\b", re.IGNORECASE)
_COOL = re.compile(r"\b(?:below|under|above|cool\w*|chill\w*|down to|at most|(?:less|more|hotter|warmer) than)\b",
                   re.IGNORECASE)  # fmt: skip
_POUR = re.compile(r"\b(?:pour|fill|cast|press)\b", re.IGNORECASE)
_ADD = re.compile(r"\b(?:add|(?:stir|fold|mix|beat|drop)(?: \w+)? in|into|once|when)\b", re.IGNORECASE)
_HOLD = re.compile(r"\b(?:hold|held|keep|kept)\b", re.IGNORECASE)
_TIME = re.compile(r"(?<![\w.])(\d{1,4}(?:\.\d+)?)\s*(min(?:ute)?s?|h(?:ou)?rs?|h)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Treatment:
    """What is done to a phase and to what it joins."""

    #: To what the phase itself is brought; None where it is not heated, nan where it does not say to what. [K]
    heated: float | None = None
    #: To what the batch has cooled before this phase joins it. [K]
    joins_at: float | None = None
    #: To what the phase, and all that it joined, is cooled in the end. [K]
    cooled: float | None = None
    #: How long it is held hot. [s]
    held: float | None = None


@lru_cache(maxsize=1024)
def treatment(how: str) -> Treatment:
    """Return what is read out of the words; a temperature without any such word is that of the phase itself."""
    own: list[float] = []
    joins_at = cooled = held = None
    for clause in _CLAUSE.split(_unbroken(how)):
        if held is None and (time := _TIME.search(clause)) and (_HOLD.search(clause) or TEMPERATURE.search(clause)):
            held = float(time[1]) * (60.0 if time[2].lower().startswith("m") else 3600.0)
        for found in TEMPERATURE.finditer(clause):
            lead, kelvin = clause[: found.start()], units.si(f"{found[1]} {found[2].upper()}", "temperature")
            if _HEAT.search(lead):
                own.append(kelvin)
            elif _COOL.search(lead):
                if own:
                    cooled = kelvin
                else:
                    joins_at = kelvin
            elif _POUR.search(lead):
                continue
            elif _ADD.search(lead):
                joins_at = kelvin
            else:
                own.append(kelvin)
    heated = max(own, default=math.nan if _HEAT.search(how) else None)
    return Treatment(heated, joins_at, cooled, held)


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to do in the words of a ``how`` that names a temperature or a time."""

    words: str
    #: [K]
    temperature: float | None = None
    #: [s]
    time: float | None = None


@lru_cache(maxsize=1024)
def prompts(how: str) -> tuple[Prompt, ...]:
    """Return what of a ``how`` asks for a thermometer or a clock, in its own words and order."""
    found = []
    for clause in _CLAUSE.split(_unbroken(how)):
        time = _TIME.search(clause)
        seconds = float(time[1]) * (60.0 if time[2].lower().startswith("m") else 3600.0) if time else None
        kelvin = hottest(clause)
        if seconds or kelvin is not None:
            found.append(Prompt(" ".join(clause.split()), kelvin, seconds or None))
    return tuple(found)


def hottest(how: str) -> float | None:
    """Return the highest temperature that the words name; None where they name none. [K]"""
    found = [units.si(f"{number} {unit.upper()}", "temperature") for number, unit in TEMPERATURE.findall(how)]
    return max(found, default=None)


def _unbroken(how: str) -> str:
    """Return the words with decimal commas as points, so that a number is not taken for two clauses."""
    return re.sub(r"(?<=\d),(?=\d)", ".", how)
