"""Quantities of what melts: how much of the oil phase is solid in the cold, the room, on the skin, in the heat."""

from __future__ import annotations

from levigate.quantities.graph import Floats, quantity
from levigate.science.melting import FOUR_CLIMATES, share_solid_blend

#: The four temperatures as they are called.
CLIMATES = ("5 °C", "20 °C", "32 °C", "45 °C")


@quantity(
    unit="1",
    title="Solid share of the oil phase (rough)",
    equation="S(T) = Σ wᵢ sᵢ(T), sᵢ from 1 to 0 over the melting range",
    source="common-practice",
    holds="a rough figure: each part melts as it would alone; liquids are taken as liquid down to 5 °C; powders are "
    "not counted",
    seen_off="waxes dissolve in oils, so a real balm softens well below: beeswax in oil is solid here up to 60 °C",
    each="climates",
)
def solid_share(
    substance_fraction: Floats, substance_melts: Floats, substance_melting_start: Floats, substance_melting_end: Floats
) -> Floats:
    """Return the solid share of the oil phase at 5, 20, 32 and 45 °C. [1]"""
    pick = substance_melts > 0
    share = substance_fraction[..., None, pick]
    return share_solid_blend(share, substance_melting_start[pick], substance_melting_end[pick], FOUR_CLIMATES)
