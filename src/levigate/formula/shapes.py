"""The shapes of a formula file: what each table may hold, and the sentence for what it may not."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

from levigate import units
from levigate.errors import PercentError, came
from levigate.formula.grinds import grind_of, read_sieve
from levigate.formula.model import Grain, Sieve
from levigate.formula.percent import read_percent

_QS = re.compile(r"q\.?\s*s\.?(\s*(ad|to)\s*100\s*%?)?\s*$", re.IGNORECASE)


#: Between a freezer and a hot room. [K]
_COLDEST, _WARMEST = 253.15, 313.15


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", arbitrary_types_allowed=True)


class GrainShape(_Shape):
    """Size of a powder, as it stands on a line."""

    d50: float | None = None
    d90: float | None = None
    mesh: Sieve | None = None
    sieve: Sieve | None = None
    passing: float | None = None
    sieves: list[Sieve] = []
    ground: str = ""

    @field_validator("d50", "d90", mode="before")
    @classmethod
    def _size(cls, value: Any) -> float:
        size = units.si(value, "length")
        if not 0 < size < 0.01:
            raise ValueError(f'{came(value)} is no size of a grain; write for example "12 um"')
        return size

    @field_validator("mesh", mode="before")
    @classmethod
    def _mesh(cls, value: Any) -> Sieve:
        said = str(value).strip()
        return _sieve(f"{said} mesh" if said.replace(".", "", 1).isdigit() else value)

    @field_validator("sieve", mode="before")
    @classmethod
    def _one(cls, value: Any) -> Sieve:
        return _sieve(value)

    @field_validator("passing", mode="before")
    @classmethod
    def _passing(cls, value: Any) -> float:
        return _share_passing(value)

    @field_validator("sieves", mode="before")
    @classmethod
    def _stack(cls, value: Any) -> list[Sieve]:
        if not isinstance(value, list) or not value or not all(isinstance(x, list) and len(x) == 2 for x in value):
            raise ValueError('write each sieve with what passes: sieves = [["45 um", "60 %"], ["90 um", "98 %"]]')
        return [replace(_sieve(name), passing=_share_passing(share)) for name, share in value]

    @field_validator("ground")
    @classmethod
    def _ground(cls, value: str) -> str:
        return grind_of(value).name

    def model_post_init(self, _: Any) -> None:
        """Refuse what contradicts itself: ways that cannot stand together, shares that do not rise with the size."""
        if self.d50 is not None and self.d90 is not None and self.d90 < self.d50:
            raise ValueError(
                "d90 is smaller than d50: nine tenths of the powder are finer than d90, so it is the larger"
            )
        sieves = [one for one in (self.mesh, self.sieve, *self.sieves) if one is not None]
        if self.ground and (sieves or self.d50 is not None or self.d90 is not None):
            raise ValueError("write either how it was ground or its sizes and sieves; what was measured says more")
        if self.passing is not None and (self.sieves or not sieves):
            raise ValueError('passing belongs to one sieve: sieve = "63 um", passing = "95 %"')
        if len(sieves) > 1 and len(self.sieves) < len(sieves):
            raise ValueError(
                'name one sieve, or each with what passes: sieves = [["45 um", "60 %"], ["90 um", "98 %"]]'
            )
        points = [(one.opening, one.passing or self.passing, one.says) for one in sieves]
        points += [(x, y, word) for x, y, word in ((self.d50, 0.5, "d50"), (self.d90, 0.9, "d90")) if x is not None]
        _check_rising(sorted((x, y, word) for x, y, word in points if y is not None))

    def grain(self) -> Grain:
        """Return the grain that is meant."""
        one = self.mesh or self.sieve
        sieves = (replace(one, passing=self.passing),) if one is not None else tuple(self.sieves)
        return Grain(self.d50, self.d90, sieves, self.ground)


def _sieve(value: Any) -> Sieve:
    if not isinstance(value, str):
        raise ValueError(f'{came(value)} is no sieve; write for example "63 um" or "200 mesh"')
    opening = read_sieve(value)
    if not 5e-6 <= opening < 0.01:
        raise ValueError(f'there is no test sieve for a powder with an opening of {came(value)}; write "63 um"')
    return Sieve(" ".join(value.split()), opening)


def _share_passing(value: Any) -> float:
    share = units.si(value, "share")
    if not 0 < share < 1:
        raise ValueError(
            f"{came(value)} is no share that passes a sieve: sizes have no sharp end, so write the most you would "
            'vouch for, as "99 %"'
        )
    return share


def _check_rising(points: list[tuple[float, float, str]]) -> None:
    for (size, share, word), (larger, more, other) in pairwise(points):
        if larger <= size or more <= share:
            raise ValueError(
                f"{100 * share:g} % is finer than {word}, {100 * more:g} % finer than {other}: the wider must pass more"
            )


class LineShape(_Shape):
    """One line of a phase."""

    material: str = Field(min_length=1, max_length=200)
    percent: Decimal | Literal["q.s."]
    grain: GrainShape | None = None
    note: str = ""
    role: str = ""

    @field_validator("percent", mode="before")
    @classmethod
    def _percent(cls, value: Any) -> Decimal | str:
        if isinstance(value, str) and _QS.match(value.strip()):
            return "q.s."
        try:
            return read_percent(value)
        except PercentError as trouble:
            raise ValueError(str(trouble)) from trouble


class PhaseShape(_Shape):
    """One phase."""

    letter: str = Field(min_length=1, max_length=12)
    how: str = ""
    lines: list[LineShape] = Field(min_length=1)


class ContainerShape(_Shape):
    """What it is filled into."""

    name: str = ""
    shape: str = ""
    brimful: float | None = None
    headspace: float | None = None
    height: float | None = None
    fill_at: float | None = None

    @field_validator("fill_at", mode="before")
    @classmethod
    def _warm(cls, value: Any) -> float:
        temperature = units.si(value, "temperature")
        if not 273.15 <= temperature <= 373.15:
            raise ValueError(f'{came(value)} is no temperature to fill at; write one from 0 to 100 °C, as "45 C"')
        return temperature

    @field_validator("height", mode="before")
    @classmethod
    def _length(cls, value: Any) -> float:
        height = units.si(value, "length")
        if not 0 < height < 2:
            raise ValueError(f'{came(value)} is no height of a filling; write for example "45 mm"')
        return height

    @field_validator("brimful", mode="before")
    @classmethod
    def _volume(cls, value: Any) -> float:
        volume = units.si(value, "volume")
        if volume <= 0:
            raise ValueError(f'{came(value)} holds nothing; write the volume to the brim, as "60 mL"')
        return volume

    @field_validator("headspace", mode="before")
    @classmethod
    def _share(cls, value: Any) -> float:
        share = units.si(value, "share")
        if not 0 <= share < 1:
            raise ValueError(f'{came(value)} is no share to leave empty; write for example "5 %"')
        return share


class HeadShape(_Shape):
    """The table [formula]."""

    name: str = Field(min_length=1, max_length=200)
    use: str = ""
    makes: str | None = None
    note: str = ""
    author: str = ""
    version: str | int | Decimal = ""
    date: Any = None
    keeps: float | None = None
    daily: float | None = None
    droplets: float | None = None

    @field_validator("droplets", mode="before")
    @classmethod
    def _size(cls, value: Any) -> float:
        size = units.si(value, "length")
        if not 0 < size < 0.01:
            raise ValueError(f'{came(value)} is no size of a drop; write for example "3 um", as the microscope shows')
        return size

    coldest: float | None = None

    @field_validator("coldest", mode="before")
    @classmethod
    def _cold(cls, value: Any) -> float:
        cold = units.si(value, "temperature")
        if not _COLDEST <= cold <= _WARMEST:
            raise ValueError(
                f'{came(value)} is no temperature at which a product is kept; write the coldest, as coldest = "5 C"'
            )
        return cold

    @field_validator("daily", mode="before")
    @classmethod
    def _mass(cls, value: Any) -> float:
        mass = units.si(value, "mass")
        if not 0 < mass < 1:
            raise ValueError(f'{came(value)} is no amount a person uses in a day; write for example "0.4 g"')
        return mass

    @field_validator("keeps", mode="before")
    @classmethod
    def _time(cls, value: Any) -> float:
        time = units.si(value, "time")
        if not 0 < time < 1e10:
            raise ValueError(f'{came(value)} is no time to keep; write for example "12 months"')
        return time


class MeasuredShape(_Shape):
    """One value of the table [measured]."""

    value: str | int | Decimal
    spread: str | int | Decimal | None = None
    #: Temperature at which it was measured; a warm room where none is given.
    at: str | None = None
    how: str = ""
    date: Any = None
    note: str = ""


class FileShape(_Shape):
    """A formula file."""

    levigate: int
    formula: HeadShape
    phase: list[PhaseShape] = Field(min_length=1)
    materials: dict[str, dict[str, Any]] = {}
    measured: dict[str, MeasuredShape] = {}
    container: ContainerShape | None = None

    @field_validator("measured", mode="before")
    @classmethod
    def _bare(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        return {name: entry if isinstance(entry, dict) else {"value": entry} for name, entry in value.items()}
