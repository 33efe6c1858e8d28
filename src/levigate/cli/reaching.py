"""What is said when a formula was brought to a pH: grams, a first portion, and what to mind."""

from __future__ import annotations

import math

from levigate.cli.say import say
from levigate.formula.model import Formula
from levigate.quantities.figure import figures
from levigate.quantities.inputs import gather
from levigate.quantities.saying import digits
from levigate.reckon.acids import METER
from levigate.review.reaching import FIRST, Reached, Reagent, minded
from levigate.shelf.catalogue import Shelf


def print_reached(before: Formula, shelf: Shelf, reagent: Reagent, reached: Reached) -> None:
    """Print how much to add of what stands on the shelf, half of it first, and the cautions of acid and lye."""
    say()
    places = 1 if reached.beyond else 2
    start = "what holds no pH" if math.isnan(reached.before) else f"pH {reached.before:.{places}f}"
    say(f"From {start} to pH {reached.after:.{places}f}, computed.")
    if reached.beyond:
        say("The ionic strength is beyond 0.5 mol/kg, where no computed pH is good to more than one decimal.")
    if not reached.change:
        say("Nothing needs adding.")
        return
    say(_amount(before, shelf, reagent, reached))
    if "pH" in before.measured:
        say("[measured] pH is that of the formula before: measure again, and write the new one.")
    for caution in (*minded(reagent.material, shelf), METER):
        say(f"· {caution}")


def _amount(before: Formula, shelf: Shelf, reagent: Reagent, reached: Reached) -> str:
    """Return how much of the reagent to add for the whole batch, or for 100 g, and how much of it first."""
    if reached.change < 0:
        return f"Weigh {digits(-float(reached.change))} % less of {reagent.material}."
    mass = figures(gather(before, shelf, draws=0), ["batch_mass"])["batch_mass"] if before.makes else None
    whole, of = (mass.value, "the batch") if mass is not None and mass.known else (100.0, "100 g")
    grams = whole * float(reached.change) / 100 / float(reagent.strength)
    first = grams * float(FIRST)
    said = f"For {of} of {digits(whole)} g" if of == "the batch" else f"For {of}"
    text = (
        f"{said}: {digits(grams, 3)} g of {reagent.text} in all. Add {digits(first, 3)} g first, stir until it is "
        "even, and measure; then go on by drops to the meter."
    )
    if reagent.strength != 1:
        water = grams * (1 - float(reagent.strength))
        text += (
            f" The line is that of {reagent.material} itself: its stock brings {digits(water, 3)} g of water, to be "
            "left out of the water line."
        )
    return text
