"""What to mind: the standing cautions of every product, and those of the materials and hazards in this one."""

from __future__ import annotations

from collections.abc import Iterator

from levigate.review.findings import Situation
from levigate.shelf.record import Caution, Material
from levigate.words import marked, tr

#: Said with every review and on every sheet.
STANDING = (
    marked("This does not replace a safety assessment, local law or a qualified person."),
    marked(
        "No medicines and no sun protection are made with it; nothing for broken skin, eyes or infants "
        "without a qualified person."
    ),
    marked(
        "Patch test: a little on the inner forearm twice a day for two weeks, stop at a reaction. It finds an "
        "allergy, it proves no safety."
    ),
)

#: What to do at the bench about each kind of hazard.
AT_THE_BENCH = {
    "dust": marked("Fine powder: no draught, dust mask (P2), wet it first."),
    "flammable": marked("Flammable: no flame, close the cap, air the room."),
    "hot wax": marked("Hot wax or oil: water bath, never leave it, no water drops into it."),
    "strong acid": marked("Strong acid: gloves and goggles; acid into water, never water into acid."),
    "lye": marked(
        "Lye burns skin and eyes: goggles, long gloves; lye into water, never water onto lye; no aluminium; "
        "never neutralise in a closed container."
    ),
    "oxidiser": marked("Oxidiser: no metal, no organic dust, a vented container."),
    "fumes": marked("Gives off fumes: air the room, do not breathe them."),
    "eye damage": marked("Can damage eyes: goggles."),
    "pregnancy": marked("Not to be handled by, or made for, pregnant people."),
    "sunlight": marked("Makes skin sensitive to the sun: say so on the label."),
    "sensitiser": marked("Can cause allergy: gloves, and the lowest dose that works."),
    "irritant": marked("Irritates: gloves, no skin contact neat."),
}

#: Said where acid and base meet and no lye is about, whose caution says it already.
_NEUTRALISING = marked(
    "Acid meets base: slowly, in an open vessel; it gets warm. Never neutralise in a closed container."
)
_GAS = marked("Acid on a carbonate gives gas: a tall open vessel, small portions. Never close it before it is still.")
_METER = marked("A computed pH is a foresight: a meter, calibrated the same day, outranks it.")


def cautions_of(situation: Situation) -> tuple[tuple[str, ...], tuple[tuple[str, Caution], ...]]:
    """Return the standing cautions with those of the hazards at the bench, and each caution of the materials in it.

    What is said of several materials is said once, with their names before it.
    """
    found: dict[str, tuple[dict[str, None], Caution]] = {}
    hot = any(phase.temperature is not None and phase.temperature > 333.15 for phase in situation.formula.phases)
    hazards: dict[str, None] = {}
    for _, _, line, record in situation.lines():
        if record is None or line.percent <= 0:
            continue
        for caution in record.cautions:
            found.setdefault(caution.text, ({}, caution))[0][line.material] = None
            if caution.hazard != "hot wax" or hot:
                hazards[caution.hazard] = None
        if hot and record.kind in ("wax", "butter", "fatty alcohol or acid"):
            hazards["hot wax"] = None
    bench = tuple(text for hazard, text in AT_THE_BENCH.items() if hazard in hazards)
    standing = STANDING + bench + tuple(_of_acids(situation, "lye" in hazards))
    return tuple(tr(text) for text in standing), tuple((", ".join(names), caution) for names, caution in found.values())


def cautions_at_line(record: Material | None, hot: bool) -> tuple[str, ...]:
    """Return what to mind when one material is weighed: what to do at the bench first, then its own cautions.

    Parameters
    ----------
    record : Material, optional
        The material; None where the shelf does not have it.
    hot : bool
        Whether its phase is heated: a wax that stays cold burns nobody.
    """
    if record is None:
        return ()
    hazards = {caution.hazard for caution in record.cautions if hot or caution.hazard != "hot wax"}
    if hot and record.kind in ("wax", "butter", "fatty alcohol or acid"):
        hazards.add("hot wax")
    do = [tr(text) for hazard, text in AT_THE_BENCH.items() if hazard in hazards]
    return tuple(dict.fromkeys(do + [caution.text for caution in record.cautions]))


def _of_acids(situation: Situation, lye: bool) -> Iterator[str]:
    """Yield what to mind where acid and base meet, and where a pH was computed."""
    kinds = {part.record.kind for part in situation.held.parts if part.record is not None}
    acid = "acid" in kinds or bool(situation.held.of("acid gels"))
    carbonates = situation.held.of("carbonates")
    if acid and carbonates:
        yield _GAS
    elif acid and "base" in kinds and not lye:
        yield _NEUTRALISING
    figure = situation.figures.get("ph")
    if figure is not None and figure.known and "pH" not in situation.formula.measured:
        yield _METER
