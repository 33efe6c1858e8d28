"""How like the oils of a formula are to the solids among them, in Hansen's space."""

from __future__ import annotations

import numpy as np

from levigate.quantities.gathered import Contents, Gathered
from levigate.quantities.graph import Floats, quantity
from levigate.quantities.sourced import Input, si_of
from levigate.science.solubility import distance_hansen, hansen_blend

#: Share of the volume of the oils of which the parameters must be known. [1]
_MOST = 0.8


@quantity(
    unit="MPa½",
    title="Distance of solids to the oils",
    equation="Ra² = 4 (δD - δD′)² + (δP - δP′)² + (δH - δH′)², δ′ = Σ fᵢ δᵢ of the oils",
    source="Hansen-1967",
    holds="near 25 °C; the nearer the more dissolves, but how much only a solubility tells; oils without parameters on "
    "record left out",
    seen_off="tables differ by 1 to 2 MPa½ for one liquid; added up from groups, polarity comes out 2 too low",
    each="oily solids",
)
def oil_distance(substance_fraction: Floats, blend_volume: Floats, blend_hansen: Floats, oily_hansen: Floats) -> Floats:
    """Return the distance of each solid of the oil phase to the blend of its oils. [MPa½]"""
    blend = hansen_blend(substance_fraction * blend_volume, blend_hansen)
    return distance_hansen(blend[..., None, :], oily_hansen)


def oil_fit(contents: Contents) -> Gathered:
    """Return the inputs of the distance between solids and the blend of oils."""
    found, whole = Gathered(asked={"oil_distance": False}), contents.whole()
    volume, place = np.zeros(len(contents.substances)), np.zeros((len(contents.substances), 3))
    all_oils, oily, behind = 0.0, {}, []
    for i, name in enumerate(contents.substances):
        record = contents.records.get(name)
        if record is None or record.affinity != "oil" or not whole[i] > 0:
            continue
        parameters = record.hansen[0].values if record.hansen else None
        if record.form == "liquid" and record.density:
            room = 1 / si_of(record.density[0], "density")
            all_oils += float(whole[i]) * room
            if parameters is not None:
                volume[i], place[i] = room, parameters
        elif record.form != "liquid" and parameters is not None:
            oily[name] = parameters
        if parameters is not None:
            value = record.hansen[0]
            behind.append(
                Input(f"Hansen parameters of {name}, the first", None, parameters[0], "MPa½", value.grade, value.source,
                      value.place)
            )  # fmt: skip
    if oily and all_oils and float(whole @ volume) >= _MOST * all_oils:
        found.asked["oil_distance"] = True
        found.given = {"blend_volume": volume, "blend_hansen": place, "oily_hansen": np.array(list(oily.values()))}
        found.behind = {"blend_hansen": tuple(behind)}
        found.names["oily solids"] = list(oily)
    return found
