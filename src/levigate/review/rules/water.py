"""Is there water to preserve, and is it preserved?"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from levigate.formula.model import plain
from levigate.formula.premix import WATER
from levigate.quantities.saying import digits
from levigate.review.changes import added
from levigate.review.findings import Finding, Remedy, Situation, rule

#: Water below which a water-free product only has a trace, brought along by its materials.
_TRACE = 0.01
#: Ethanol, as a share of the whole, from which a product is taken to need no preservative.
_ETHANOL = 0.20
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
    if water <= 0 or _has_preservative(situation):
        return
    share = f"{digits(100 * water, 3)} % water"
    if water < _TRACE:
        yield Finding(
            "unpreserved-water",
            "care",
            f"A little water ({share}) and no preservative",
            "A trace of water that its materials bring along may be bound or may not; only a "
            "water-activity reading or a challenge test tells.",
            "ISO-29621",
        )
        return
    ethanol = float(situation.share_of("ethanol"))
    if ethanol > _ETHANOL:
        yield Finding(
            "unpreserved-water",
            "note",
            f"{share[:1].upper()}{share[1:]}, kept by {digits(100 * ethanol, 3)} % ethanol",
            "A product with more than 20 % alcohol is counted among those of low microbiological risk.",
            "ISO-29621",
        )
        return
    yield Finding(
        "unpreserved-water",
        "stop",
        f"{share[:1].upper()}{share[1:]} and no preservative",
        "Germs grow in it, on the bench and in the jar. Boosters, chelators, antioxidants and essential "
        "oils do not preserve. "
        "Whatever is chosen, only a challenge test proves it.",
        "ISO-29621",
        remedies=tuple(_additions(situation)),
    )


def _has_preservative(situation: Situation) -> bool:
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
            yield Remedy(
                f"Add {plain(percent)} % {name} to phase {grown.phases[-1].letter}; check its pH range.",
                grown,
            )


@rule("water-free", sources=("ISO-29621", "common-practice"))
def a_water_free_product_stays_so(situation: Situation) -> Iterator[Finding]:
    """Without water nothing grows, so no preservative is needed; but wet fingers and bathrooms bring water in."""
    if situation.water() != 0:
        return
    yield Finding(
        "water-free",
        "note",
        "No water to preserve",
        "It needs no preservative as it stands. Wet fingers, a wet spatula or steam bring water in: a "
        "pump or a tube is safer than a jar.",
        "ISO-29621",
    )
