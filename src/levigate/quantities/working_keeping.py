"""The workings of water activity and of preservation."""

from __future__ import annotations

import numpy as np

from levigate.quantities.inputs import Inputs
from levigate.quantities.preserved import TAKERS
from levigate.quantities.saying import digits
from levigate.quantities.watery import OFF_THICK, OFF_THIN, SALT_NAMES
from levigate.quantities.working import central, number, works
from levigate.science.salts import water_activity_salts
from levigate.science.water_activity import GROWTH_MINIMA


@works("water_activity")
def _activity(inputs: Inputs) -> list[str]:
    share, water = central(inputs, "substance_fraction"), number(inputs, "water_content")
    particles, constants = central(inputs, "substance_particles"), central(inputs, "substance_norrish")
    found, terms = [], []
    for i in np.flatnonzero((particles > 0) & (share > 0)):
        ratio = share[i] * particles[i] / water
        x = float(ratio / (1 + ratio))
        alone = float((1 - x) * np.exp(-constants[i] * x**2))
        exponent = f"{digits(-constants[i])} x²"
        found.append(f"{inputs.substances[i]}: x = {digits(x)}, (1 - x) exp({exponent}) = {digits(alone, 6)}")
        terms.append(alone)
    salts = central(inputs, "substance_salt")
    salty = np.flatnonzero((salts > 0) & (share > 0))
    if salty.size:
        names = [SALT_NAMES[int(salts[i]) - 1] for i in salty]
        terms.append(float(water_activity_salts(names, share[salty], water)))
        found.append(f"{', '.join(names)}: {digits(terms[-1], 6)} by Pitzer's equation")
    product = " × ".join(digits(term, 6) for term in terms) or "1"
    return [
        *found,
        f"a = {product} = {digits(number(inputs, 'water_activity'), 5)}",
        f"spread of ln a: {100 * OFF_THIN:.0f} % of it, {100 * OFF_THICK:.0f} % more for as many particles as water",
    ]


@works("growth_room")
def _room(inputs: Inputs) -> list[str]:
    activity = number(inputs, "water_activity")
    return [
        f"{one.organism}: {digits(activity)} - {digits(one.lowest, 2)} = {digits(activity - one.lowest, 2)}"
        for one in GROWTH_MINIMA
    ]


@works("preservative_dose")
def _dose(inputs: Inputs) -> list[str]:
    share, worth = central(inputs, "substance_fraction"), central(inputs, "preservative_share")
    doses = central(inputs, "preservative_dose")
    found = []
    for p, name in enumerate(inputs.names["preservatives"]):
        terms = [
            f"{digits(share[i])} × {digits(worth[i, p])} ({inputs.substances[i]})" for i in np.flatnonzero(worth[:, p])
        ]
        found.append(f"w({name}) = {' + '.join(terms)} = {digits(doses[p])}")
    return found


def _each(inputs: Inputs, name: str) -> list[tuple[str, float]]:
    return list(zip(inputs.names["preservatives"], central(inputs, name).tolist(), strict=True))


@works("preservative_of_limit")
def _of_limit(inputs: Inputs) -> list[str]:
    doses, limits = central(inputs, "preservative_dose"), central(inputs, "preservative_limit")
    return [
        f"l({name}) = {digits(100 * doses[i])} % / {digits(100 * limits[i])} % = {digits(value)}"
        for i, (name, value) in enumerate(_each(inputs, "preservative_of_limit"))
    ]


@works("preservative_charged")
def _charged(inputs: Inputs) -> list[str]:
    if "preservative_charged" in inputs.given:
        return ["r = 0: none of them is an acid"]
    ph, pka = number(inputs, "ph"), central(inputs, "preservative_pka")
    return [
        f"r({name}) = 10^({digits(ph)} - {digits(pka[i])}) = {digits(value)}"
        if np.isfinite(pka[i])
        else f"r({name}) = 0"
        for i, (name, value) in enumerate(_each(inputs, "preservative_charged"))
    ]


@works("preservative_uncharged")
def _uncharged(inputs: Inputs) -> list[str]:
    charged = central(inputs, "preservative_charged")
    return [
        *_charged(inputs),
        *(
            f"u({name}) = 1/(1 + {digits(charged[i])}) = {digits(value)}"
            for i, (name, value) in enumerate(_each(inputs, "preservative_uncharged"))
        ),
    ]


@works("preservative_taken")
def _taken(inputs: Inputs) -> list[str]:
    share, takers = central(inputs, "substance_fraction"), central(inputs, "substance_takers")
    water, offset = float(share @ central(inputs, "substance_aqueous")), central(inputs, "taker_offset")
    parts = share @ takers
    here = [j for j in range(len(TAKERS)) if parts[j] > 0]
    if not here:
        return ["b = 0: there is neither oil nor nonionic surfactant"]
    found = [
        f"{TAKERS[j]}: w/w_water = {digits(parts[j])}/{digits(water)}, offset {digits(offset[j], 3)}" for j in here
    ]
    kow = central(inputs, "preservative_log_kow")
    for i, (name, value) in enumerate(_each(inputs, "preservative_taken")):
        terms = [f"10^({digits(kow[i], 3)} + {digits(offset[j], 3)}) × {digits(parts[j] / water)}" for j in here]
        found.append(f"b({name}) = {' + '.join(terms).replace('+ -', '- ')} = {digits(value)}")
    return found


@works("preservative_in_water")
def _in_water(inputs: Inputs) -> list[str]:
    charged, taken = central(inputs, "preservative_charged"), central(inputs, "preservative_taken")
    return [
        *_charged(inputs),
        *_taken(inputs),
        *(
            f"s({name}) = {digits(1 + charged[i])}/({digits(1 + charged[i])} + {digits(taken[i])}) = {digits(value)}"
            for i, (name, value) in enumerate(_each(inputs, "preservative_in_water"))
        ),
    ]


@works("preservative_working")
def _working(inputs: Inputs) -> list[str]:
    charged, taken = central(inputs, "preservative_charged"), central(inputs, "preservative_taken")
    share, dose = central(inputs, "substance_fraction"), central(inputs, "preservative_dose")
    water = float(share @ central(inputs, "substance_aqueous"))
    return [
        *_charged(inputs),
        *_taken(inputs),
        *(
            f"c({name}) = {digits(dose[i])}/{digits(water)} / (1 + {digits(charged[i])} + {digits(taken[i])}) = "
            f"{digits(value)}"
            for i, (name, value) in enumerate(_each(inputs, "preservative_working"))
        ),
    ]
