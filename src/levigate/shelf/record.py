"""The shape of a material: what is known of it, each value with its source, place and grade.

Catalogue files (``data/*.toml``), a person's own shelf and the ``[materials.*]`` tables of a formula file share
this shape. In one's own files a value may be given bare (``density = "0.96 g/mL"``); it is then graded
``supplier`` (it came from the bag or its data sheet) with the file as its source.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, FiniteFloat, field_validator, model_validator

from levigate import units
from levigate.errors import UnitError, came

#: From best to least. ``measured``: here, on this lot. ``supplier``: data sheet. ``handbook``: an edited table or a
#: standard. ``typical``: usual for the kind of material. ``memory``: not yet seen in print.
GRADES: tuple[str, ...] = ("measured", "supplier", "handbook", "typical", "memory")
Grade = Literal["measured", "supplier", "handbook", "typical", "memory"]
Kind = Literal[
    "solvent", "humectant", "oil", "butter", "wax", "fatty alcohol or acid", "ester", "hydrocarbon", "silicone",
    "emulsifier", "surfactant", "conditioner", "thickener", "film former", "powder", "colourant", "preservative",
    "preservative booster", "antioxidant", "chelator", "acid", "base", "salt", "active", "extract",
    "fragrance", "solubiliser", "propellant", "other",
]  # fmt: skip
Form = Literal["liquid", "solid", "powder", "wax", "gel", "paste"]
#: Where it belongs; ``unknown`` for an own material of which it has not been said.
Affinity = Literal["water", "oil", "silicone", "ethanol", "insoluble", "unknown"]
Charge = Literal["none", "anionic", "cationic", "amphoteric"]
Hazard = Literal[
    "dust", "flammable", "hot wax", "strong acid", "lye", "oxidiser", "sensitiser", "irritant", "eye damage",
    "fumes", "pregnancy", "sunlight", "stains", "slippery", "other",
]  # fmt: skip


def _as_tuple(value: Any) -> Any:
    return value if value is None or isinstance(value, (list, tuple)) else (value,)


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Sourced(_Shape):
    """Anything that says on whose word it stands."""

    source: str = Field(min_length=1)
    place: str = ""
    grade: Grade
    note: str = ""


class Value(Sourced):
    """One value, as text with its unit: a ``value``, or ``low`` and ``high``, or ``values`` (the pKa of an acid)."""

    value: str | float | None = None
    low: str | float | None = None
    high: str | float | None = None
    values: tuple[FiniteFloat, ...] = ()
    #: Temperature at which it holds, as ``"25 C"``.
    at: str | None = None
    #: Half-width of the 95 % interval, in the unit of the value; without it the spread follows from the grade.
    spread: str | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Value:
        ways = [self.value is not None, self.low is not None or self.high is not None, bool(self.values)]
        if sum(ways) != 1:
            raise ValueError('give a "value", or "low" and "high", or "values": one of the three')
        return self

    def si(self, dimension: str) -> float:
        """Return the value, or the middle of its range, in SI."""
        if self.value is not None:
            return units.si(self.value, dimension)
        if self.low is not None and self.high is not None:
            return (units.si(self.low, dimension) + units.si(self.high, dimension)) / 2
        raise UnitError('a single value is needed here, or both "low" and "high".')


class Solubility(Value):
    """How much dissolves in a named liquid; or ``miscible`` or ``insoluble``."""

    liquid: str = "water"
    #: Whether 100 mL are of the liquid or of the finished solution; empty where the source does not say.
    per: Literal["", "liquid", "solution"] = ""
    #: Whether it is the least or the most that is known to dissolve; empty for a limit that was measured.
    bound: Literal["", "least", "most"] = ""


class Span(_Shape):
    """The 95 % range of a value, as text with its unit: ``low`` and ``high``, or one bare value for both."""

    low: str | float
    high: str | float

    @model_validator(mode="before")
    @classmethod
    def _both_ends(cls, given: Any) -> Any:
        if isinstance(given, Decimal):  # a bare number of a formula file
            given = float(given)
        return {"low": given, "high": given} if isinstance(given, (str, int, float)) else given

    def si(self, dimension: str) -> tuple[float, float]:
        """Return both ends, in SI."""
        low, high = units.si(self.low, dimension), units.si(self.high, dimension)
        if low > high:
            raise UnitError(f"{came(self.low)} to {came(self.high)} is no range: the low end is above the high end.")
        return low, high


class Flow(Sourced):
    """Flow curve of a medium that holds this material: stress = yield stress + consistency * (rate in 1/s) ^ index.

    That is Herschel and Bulkley's law. It holds at about 20 to 25 °C, for the medium with nothing else in it: salts,
    alcohol, surfactants and droplets change it.
    """

    medium: Literal["water", "oil", "silicone", "as supplied"]
    #: Share of the material in that medium, by mass, as ``"0.5 %"``; none for a gel as supplied.
    dose: str | None = None
    #: Stress below which it stands still [Pa].
    yield_stress: Span
    #: Stress that flowing at 1/s adds to it [Pa].
    consistency: Span
    #: 1 for a liquid whose viscosity does not change with the rate; less for one that thins [1].
    index: Span

    @model_validator(mode="after")
    def _has_a_dose(self) -> Flow:
        if (self.dose is None) != (self.medium == "as supplied"):
            raise ValueError('give the "dose" in a medium, and none for a gel "as supplied"')
        return self

    def share(self) -> float | None:
        """Return the dose as a mass fraction of the medium."""
        return None if self.dose is None else units.si(self.dose, "share")

    def check_units(self) -> None:
        """Raise UnitError when a value has no unit, or one of another kind, or cannot be."""
        share = self.share()
        if share is not None and not 0 < share <= 1:
            raise UnitError(f"{came(self.dose)} is no dose: it must be above 0 and no more than 100 %.")
        if self.yield_stress.si("pressure")[0] < 0:
            raise UnitError(f"{came(self.yield_stress.low)} is below nought, so it is no yield stress.")
        for name, dimension in (("consistency", "pressure"), ("index", "share")):
            span: Span = getattr(self, name)
            if span.si(dimension)[0] <= 0:
                raise UnitError(f"{came(span.low)} is not above nought, so it is no {name}.")


class Limit(Sourced):
    """A legal limit. Always to be checked against the current text of the law."""

    jurisdiction: str
    law: str
    #: Largest share of the finished product, in percent; 0 forbids it; absent means a condition in words only.
    percent: Decimal | None = None
    #: What the percent is counted as, where it is not the material itself ("benzoic acid"), and grams of that per
    #: gram of the material.
    counted_as: str = ""
    factor: FiniteFloat = Field(default=1.0, gt=0)
    #: Where it applies: "all", "leave-on", "rinse-off", or a use family of the formula file ("hand cream"), or words
    #: such as "spray".
    applies: tuple[str, ...] = ("all",)
    as_of: str = Field(pattern=r"^\d{4}-\d{2}(-\d{2})?$")
    #: Date from which it applies, where that is later than the law.
    begins: str | None = Field(default=None, pattern=r"^\d{4}-\d{2}(-\d{2})?$")


class Caution(Sourced):
    """Something to mind, with the kind of hazard."""

    text: str
    hazard: Hazard = "other"


class Parts(Sourced):
    """Composition in percent by mass (must sum to 100 within 0.5 where ``complete``)."""

    parts: dict[str, Decimal]
    complete: bool = True

    @model_validator(mode="after")
    def _adds_up(self) -> Parts:
        if not self.parts or any(not share.is_finite() or not 0 < share <= 101 for share in self.parts.values()):
            raise ValueError("each part needs a percent above 0, and no more than 100")
        if any(int(share.as_tuple().exponent) < -_PLACES for share in self.parts.values()):
            raise ValueError(f"a percent is kept to at most {_PLACES} decimals; write fewer digits")
        total = sum(self.parts.values(), Decimal(0))
        if total > Decimal("100.5") or (self.complete and total < Decimal("99.5")):
            raise ValueError(f"the parts add up to {total} %, not to 100 %")
        return self


Values = Annotated[tuple[Value, ...], BeforeValidator(_as_tuple)]

#: Decimals of the percent of a part.
_PLACES = 12
#: Properties that cannot be nought or below, and that figures are computed from: one value, or both ends of a range.
_POSITIVE = (
    "density", "bulk_density", "max_packing", "viscosity", "kinematic_viscosity", "melting_heat", "specific_heat",
    "molar_mass", "particle_d50",
)  # fmt: skip

#: Shares of the whole.
_OF_THE_WHOLE = ("usual", "solids", "max_packing")

#: property -> dimension of its values; the unit in brackets is SI.
PROPERTIES: dict[str, str] = {
    "density": "density",  # of the material itself, without pores or air between grains [kg/m³]
    "bulk_density": "density",  # of a powder as poured [kg/m³]
    "expansion": "thermal expansion",  # of volume with temperature, per volume [1/K]
    "max_packing": "share",  # volume fraction of a powder at which its slurry no longer flows [1]
    "viscosity": "viscosity",  # [Pa·s]
    "kinematic_viscosity": "kinematic viscosity",  # [m²/s]
    "melting_point": "temperature",  # [K]
    "melting_heat": "specific energy",  # [J/kg]
    "specific_heat": "heat capacity",  # at constant pressure [J/(kg·K)]
    "molar_mass": "molar mass",  # [kg/mol]
    "hlb": "share",  # Griffin's number [1]
    "required_hlb": "share",  # for an oil-in-water emulsion [1]
    "pka": "share",  # at 25 °C, infinite dilution [1]
    "log_kow": "share",  # decimal logarithm of the partition coefficient between octanol and water, uncharged [1]
    "hansen": "share",  # solubility parameters of dispersion, polarity, hydrogen bonds near 25 °C [MPa½]
    "usual": "share",  # usual share of a formula [1]
    "ph": "share",  # pH of the product in which it keeps and works [1]
    "heat_limit": "temperature",  # highest temperature it bears for half an hour [K]
    "iodine_value": "share",  # g I2 per 100 g [1]
    "saponification_value": "share",  # mg KOH per g [1]
    "solids": "share",  # active matter or dry residue of the material as supplied [1]
    "particle_d50": "length",  # median size by mass [m]
}


class Material(_Shape):
    """A raw material: what one buys and weighs."""

    inci: str = Field(min_length=1)
    names: tuple[str, ...] = ()
    about: str = ""
    kind: Kind
    does: tuple[str, ...] = ()
    form: Form
    affinity: Affinity
    charge: Charge = "none"
    cas: Values = ()
    density: Values = ()
    bulk_density: Values = ()
    expansion: Values = ()
    max_packing: Values = ()
    viscosity: Values = ()
    kinematic_viscosity: Values = ()
    flow: Annotated[tuple[Flow, ...], BeforeValidator(_as_tuple)] = ()
    melting_point: Values = ()
    melting_heat: Values = ()
    specific_heat: Values = ()
    molar_mass: Values = ()
    hlb: Values = ()
    required_hlb: Values = ()
    pka: Values = ()
    log_kow: Values = ()
    hansen: Values = ()
    usual: Values = ()
    ph: Values = ()
    heat_limit: Values = ()
    iodine_value: Values = ()
    saponification_value: Values = ()
    solids: Values = ()
    particle_d50: Values = ()
    solubility: Annotated[tuple[Solubility, ...], BeforeValidator(_as_tuple)] = ()
    limits: tuple[Limit, ...] = ()
    cautions: tuple[Caution, ...] = ()
    made_of: Parts | None = None
    fatty_acids: Parts | None = None
    #: Price as one pays it, "12 EUR/kg"; own shelves only.
    price: str | None = None

    @field_validator("names")
    @classmethod
    def _lower(cls, names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(" ".join(name.lower().split()) for name in names)

    def check_units(self) -> None:
        """Raise UnitError when a value has no unit, or one of another kind, or cannot be."""
        for name in (*PROPERTIES, "flow"):
            self.check_unit(name)

    def check_unit(self, name: str) -> None:
        """Raise UnitError when a value of one property has no unit, or one of another kind, or cannot be."""
        try:
            if name == "flow":
                for flow in self.flow:
                    flow.check_units()
            else:
                self._check_unit(name, PROPERTIES[name])
        except UnitError as trouble:
            raise UnitError(f"{name}: {trouble}", about=name) from trouble

    def _check_unit(self, name: str, dimension: str) -> None:
        for entry in getattr(self, name):
            for given in (entry.value, entry.low, entry.high):
                if given is not None and units.si(given, dimension) <= 0 and name in _POSITIVE:
                    raise UnitError(f"{came(given)} is not above nought.")
                if given is not None and name in _OF_THE_WHOLE and not 0 <= units.si(given, dimension) <= 1:
                    raise UnitError(f"{came(given)} is no share of the whole: it must be from 0 to 100 %.")
            ends = [units.si(given, dimension) for given in (entry.low, entry.high) if given is not None]
            if ends != sorted(ends):
                raise UnitError(f"{came(entry.low)} to {came(entry.high)} begins above its end.")
            if name in (*_POSITIVE, "solids"):
                entry.si(dimension)
            if entry.spread is not None and dimension != "temperature":
                units.si(entry.spread, dimension)
            if entry.at is not None:
                units.si(entry.at, "temperature")
