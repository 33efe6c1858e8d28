"""The shapes of a formula file: what each table may hold, and the sentence for what it may not."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

from levigate import units
from levigate.errors import PercentError, came
from levigate.formula.percent import read_percent

_QS = re.compile(r"q\.?\s*s\.?(\s*(ad|to)\s*100\s*%?)?\s*$", re.IGNORECASE)


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", arbitrary_types_allowed=True)


class GrainShape(_Shape):
    """Size of a powder, as it stands on a line."""

    d50: float | None = None
    d90: float | None = None

    @field_validator("*", mode="before")
    @classmethod
    def _size(cls, value: Any) -> float:
        size = units.si(value, "length")
        if not 0 < size < 0.01:
            raise ValueError(f'{came(value)} is no size of a grain; write for example "12 um"')
        return size

    def model_post_init(self, _: Any) -> None:
        if self.d50 is not None and self.d90 is not None and self.d90 < self.d50:
            raise ValueError(
                "d90 is smaller than d50: nine tenths of the powder are finer than d90, so it is the larger"
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
