"""What every sum of grains in a liquid is told: the grain, the liquid, and how many neighbours the grain has."""

from __future__ import annotations

from levigate.errors import SumError
from levigate.reckon.readings import Reading, error_key, take, unequal
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Told
from levigate.science.suspension import hindered_exponent, peclet_number

GRAIN_KEYS = {
    "diameter": Key("length", "diameter of the grain, drop or bubble"),
    "particle_density": Key("density", "its density"),
    "liquid_density": Key("density", "density of the liquid"),
}
GRAIN_ERRORS = {
    "diameter_error": error_key("the diameter", "10 %"),
    "density_error": error_key("each density", "0.5 %"),
}
SOLIDS_KEYS = {
    "solids": Key("share", "volume of all grains over the volume of the whole"),
    "solids_by_mass": Key("share", "mass of all grains over the mass of the whole, in place of solids"),
    "packing": Key("share", "share by volume at which the grains are packed; equal balls 64 %, plates less", "64 %"),
    "solids_error": error_key("the share of solids", "5 %"),
    "temperature": Key("temperature", "temperature, for the stirring by heat", "25 C"),
}
#: Volume share of equal balls poured together, where the law of neighbours ends.
_BALLS = 0.64
#: Péclet number of the step between the two branches of that law; within a power of ten of it both count.
_STEP = 1e8
_BRANCHES = (5.6, 4.48)


def take_grain(told: Told, name: str) -> tuple[Reading, Reading, Reading]:
    """Return diameter and density of the grain, and density of the liquid; refuse what would not move."""
    grain, heavy, light = take(
        told, name, diameter="diameter_error", particle_density="density_error", liquid_density="density_error"
    )
    unequal(heavy, light)
    return grain, heavy, light


def take_solids(told: Told, name: str, heavy: Reading, light: Reading) -> Reading:
    """Return the share of grains by volume; refuse one above the packing, and a packing above that of equal balls."""
    if "solids" in told and "solids_by_mass" in told:
        raise SumError("Say solids by volume or solids_by_mass, not both.")
    packing = told["packing"]
    if not 0 < packing <= _BALLS:
        raise SumError(f"A packing of {said(packing, 'share')} is outside what the law takes: above 0, and up to 64 %.")
    key = "solids_by_mass" if "solids_by_mass" in told else "solids"
    share = told[key]
    if not 0 < share < 1:
        raise SumError(f"{key} is a share of the whole, above 0 and below 100 %; {said(share, 'share')} is not.")
    (as_told,) = take(told, name, **{key: "solids_error"})
    if key == "solids_by_mass":
        share = share / heavy.value / (share / heavy.value + (1 - share) / light.value)
    if share >= packing:
        raise SumError(
            f"Grains that fill {said(share, 'share')} of the volume are packed (at {said(packing, 'share')}): "
            "that is a paste, in which nothing settles."
        )
    return Reading("solids", share, share * as_told.half / as_told.value, "share", as_told.assumed)


def peclet_and_exponent(told: Told, grain: Reading, heavy: Reading, light: Reading) -> tuple[float, float]:
    """Return the Péclet number of a grain and the exponent by which its neighbours slow it."""
    peclet = float(peclet_number(grain.value, heavy.value, light.value, told["temperature"]))
    return peclet, float(hindered_exponent(peclet))


def both_branches(peclet: float, solids: Reading, exponent: float) -> tuple[str, ...]:
    """Return a note where a grain is so near the step between the two branches that the other one may hold."""
    if not _STEP / 10 <= peclet <= _STEP * 10:
        return ()
    other = next(n for n in _BRANCHES if n != exponent)
    ratio = (1 - solids.value) ** (other - exponent)
    return (f"Near a Péclet number of 1e8 the exponent may as well be {other:g}: {ratio:.2f} times the velocity.",)
