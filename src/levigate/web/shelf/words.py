"""What the shelf calls things: properties, grades, where a material belongs."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

#: Property of a material -> what an entry calls it.
TITLES: dict[str, Promise] = {
    "cas": _("CAS number"),
    "density": _("Density"),
    "bulk_density": _("Density as poured"),
    "expansion": _("Grows with heat, of its volume"),
    "max_packing": _("Fullest packing, of the volume"),
    "viscosity": _("Viscosity"),
    "kinematic_viscosity": _("Viscosity by density"),
    "melting_point": _("Melts at"),
    "melting_heat": _("Heat to melt it"),
    "specific_heat": _("Heat to warm it"),
    "molar_mass": _("Molar mass"),
    "hlb": _("HLB"),
    "required_hlb": _("HLB it asks for"),
    "pka": _("Acid strengths, pKa"),
    "log_kow": _("Oil before water, log P"),
    "hansen": _("Hansen parameters, MPa½"),
    "usual": _("Usual in products"),
    "ph": _("pH it keeps and works at"),
    "heat_limit": _("Bears for half an hour"),
    "iodine_value": _("Iodine value"),
    "saponification_value": _("Saponification value"),
    "solids": _("Active matter"),
    "particle_d50": _("Median grain"),
}
GRADES: dict[str, Promise] = {
    "measured": _("measured here"),
    "supplier": _("supplier"),
    "handbook": _("handbook"),
    "typical": _("usual for its kind"),
    "memory": _("from memory"),
}
BELONGS: dict[str, Promise] = {
    "water": _("Into the water phase"),
    "oil": _("Into the oil phase"),
    "silicone": _("With silicones"),
    "ethanol": _("Dissolved in ethanol first"),
    "insoluble": _("Dissolves in neither water nor oil: spread it as fine grains"),
    "unknown": _("Where it belongs has not been said"),
}
DIFFERS: dict[str, Promise] = {
    "kind": _("another kind"),
    "affinity": _("belongs elsewhere"),
    "form": _("another form"),
    "charge": _("another charge"),
}
MIXED: dict[str, Promise] = {"made_of": _("Made of"), "fatty_acids": _("Fatty acids")}
MEDIUM: dict[str, Promise] = {
    "water": _("in water"),
    "oil": _("in oil"),
    "silicone": _("in silicone"),
    "as supplied": _("as supplied"),
}
#: How a text of one's own is written.
EXAMPLE = '''density = "0.92 g/mL"
price = "12 EUR/kg"
names = ["kelp oil"]

[[cautions]]
hazard = "stains"
text = "Stains cloth."'''
#: How a table of materials is written.
TABLE = _(
    "The first row names them; only “name” must be there. Other names are parted by a vertical bar, a range reads "
    "“1 to 5 %”, and what it is made of “aqua 40 | sodium lactate 60”. A name that the catalogue knows adds to that "
    "material."
)
#: Field of a lot -> what its history calls it.
LOT_WORDS: dict[str, str | Promise] = {
    "number": _("lot number"),
    "supplier": _("supplier"),
    "received": _("received"),
    "opened": _("opened"),
    "best_before": _("best before"),
    "grams": _("grams received"),
    "pack": _("pack"),
    "price": _("price"),
    "note": _("note"),
}
