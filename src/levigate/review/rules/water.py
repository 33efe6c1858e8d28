"""Is there water to preserve, and is it preserved?"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from levigate.formula.model import plain
from levigate.formula.premix import WATER
from levigate.quantities.saying import digits
from levigate.review.changes import added
from levigate.review.findings import Finding, Remedy, Situation, rule
from levigate.review.keepers import TRACE, ph_of
from levigate.words import joined, marked, tr

#: Limits of ISO 29621: ethanol as a share of the whole, water activity, pH, aluminium chlorohydrate. [1]
_ETHANOL, _ACTIVITY, _SOUR, _ALKALINE, _ALUMINIUM = 0.20, 0.75, 3.0, 10.0, 0.25
#: Broad blends offered as a first step, with a common dose; taken only where the shelf has them. [%]
_OFFERED = (
    ("phenoxyethanol and ethylhexylglycerin", Decimal("1")),
    ("benzyl alcohol and dehydroacetic acid", Decimal("0.8")),
)


@rule("unpreserved-water", sources=("ISO-29621", "common-practice"))
def water_is_preserved(situation: Situation) -> Iterator[Finding]:
    """Bacteria, yeasts and moulds grow in whatever holds water; unpreserved, a jar can spoil unseen within days."""
    # A material that is not known may bring more, so what is known to be there is the least there is.
    water = float(situation.share_of(WATER))
    if water <= 0 or has_preservative(situation):
        return
    percent = digits(100 * water, 3)
    if water < TRACE:
        yield Finding(
            "unpreserved-water",
            "care",
            tr("A little water ({percent} % water) and no preservative").format(percent=percent),
            tr(
                "A trace of water that its materials bring along may be bound or may not; only a "
                "water-activity reading or a challenge test tells."
            ),
            "ISO-29621",
        )
        return
    if kept := low_risk(situation):
        yield Finding(
            "unpreserved-water",
            "note",
            tr("{percent} % water, kept by {kept}").format(percent=percent, kept=joined(kept)),
            tr(
                "{low_risk} Not growing is not dying: what a wet finger or condensed water thins grows there. "
                "Whatever is chosen, only a challenge test proves it."
            ).format(low_risk=tr(LOW_RISK)),
            "ISO-29621",
        )
        return
    yield Finding(
        "unpreserved-water",
        "stop",
        tr("{percent} % water and no preservative").format(percent=percent),
        tr(
            "Germs grow in it, on the bench and in the jar. Boosters, chelators, antioxidants and essential "
            "oils do not preserve. Whatever is chosen, only a challenge test proves it."
        ),
        "ISO-29621",
        remedies=tuple(_additions(situation)),
    )


#: What the standard says, in our words.
LOW_RISK = marked(
    "ISO 29621 counts a product as of low microbiological risk with more than 20 % ethanol, a pH below 3 or above 10, "
    "a water activity below 0.75, more than 25 % aluminium chlorohydrate, without water, or filled above 65 °C."
)


def low_risk(situation: Situation) -> list[str]:
    """Return what makes a product one of low microbiological risk, each in words; all of its spread must lie there."""
    found = []
    ethanol, aluminium = (
        float(situation.share_of(name)) if name in situation.inputs.substances else 0.0
        for name in ("ethanol", "aluminum chlorohydrate")
    )
    if ethanol > _ETHANOL:
        found.append(tr("{percent} % ethanol").format(percent=digits(100 * ethanol, 3)))
    activity = situation.figures.get("water_activity")
    if activity is not None and activity.known and (activity.high or activity.value) < _ACTIVITY:
        found.append(tr("a water activity of {activity}").format(activity=activity.say()))
    ph, low, high = ph_of(situation.inputs)
    if high < _SOUR or low > _ALKALINE:
        found.append(tr("a pH of {ph}").format(ph=digits(ph, 3)))
    if aluminium > _ALUMINIUM:
        found.append(tr("{percent} % aluminium chlorohydrate").format(percent=digits(100 * aluminium, 3)))
    return found


def has_preservative(situation: Situation) -> bool:
    """Return whether a line is a preservative, or sold as one."""
    for _, _, line, record in situation.lines():
        if record is None or line.percent <= 0:
            continue
        # What a supplier put into an extract keeps the extract, not the product: the preservative must be a line.
        if record.kind == "preservative":
            return True
    return False


def _additions(situation: Situation) -> Iterator[Remedy]:
    formula = situation.formula
    if not formula.adds_up:
        return
    for name, percent in _OFFERED:
        if name not in situation.shelf:
            continue
        grown = added(formula, situation.shelf, name, percent)
        if grown is not None:
            says = tr("Add {percent} % {name} to phase {letter}; check its pH range.")
            letter = grown.phases[-1].letter
            yield Remedy(says.format(percent=plain(percent), name=name, letter=letter), grown)


@rule("water-free", sources=("ISO-29621", "common-practice"))
def a_water_free_product_stays_so(situation: Situation) -> Iterator[Finding]:
    """Without water nothing grows, so no preservative is needed; but wet fingers and bathrooms bring water in."""
    if situation.water() != 0:
        return
    yield Finding(
        "water-free",
        "note",
        tr("No water to preserve"),
        tr(
            "It needs no preservative as it stands. Wet fingers, a wet spatula or steam bring water in: a "
            "pump or a tube is safer than a jar."
        ),
        "ISO-29621",
    )
