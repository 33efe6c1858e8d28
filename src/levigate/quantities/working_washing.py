"""The workings of a wash."""

from __future__ import annotations

from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.washed import CHARGES
from levigate.quantities.working import central, number, summed, works


@works("active_matter")
def _active(inputs: Inputs) -> list[str]:
    return summed(inputs, central(inputs, "line_active"), "A", "active_matter")


@works("salt_share")
def _salt(inputs: Inputs) -> list[str]:
    return summed(inputs, central(inputs, "line_salt"), "w(NaCl)", "salt_share")


@works("active_by_charge")
def _charges(inputs: Inputs) -> list[str]:
    share, active = central(inputs, "mass_fraction"), central(inputs, "line_active")
    found = []
    for charge, column in zip(CHARGES, central(inputs, "line_charge").T, strict=True):
        terms = [
            f"{digits(w)} × {digits(a * part)}"
            for w, a, part in zip(share, active, column, strict=True)
            if a * part
        ]  # fmt: skip
        total = float((share * active) @ column)
        found.append(f"A({charge}) = {' + '.join(terms)} = {digits(total)}" if terms else f"A({charge}) = 0")
    return found


@works("amphoteric_per_anionic")
def _ratio(inputs: Inputs) -> list[str]:
    anionic, amphoteric, _, _ = central(inputs, "active_by_charge")
    ratio = number(inputs, "amphoteric_per_anionic")
    return [f"m = {digits(amphoteric)} / {digits(anionic)} = {digits(ratio)}"]
