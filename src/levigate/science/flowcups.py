"""Flow cups: kinematic viscosity from the seconds that a cup takes to run empty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.errors import SumError
from levigate.science.constants import ArrayLike, Floats

__all__ = ["FLOW_CUPS", "FlowCup", "kinematic_viscosity_from_flow_cup"]


@dataclass(frozen=True, slots=True)
class FlowCup:
    """One cup: nu = slope (t - offset) - inverse/t in mm²/s, between two times in s."""

    slope: float
    offset: float
    inverse: float
    shortest: float
    longest: float
    #: Key of the standard in sources.toml.
    source: str


_ZAHN, _FORD, _DIN, _ISO = "ASTM-D4212", "ASTM-D1200", "DIN-53211", "ISO-2431"

#: Formulas at 25 °C, seen second hand. That they are those of the standards named is from memory.
FLOW_CUPS = {
    "zahn 1": FlowCup(1.1, 29, 0, 35, 80, _ZAHN),
    "zahn 2": FlowCup(3.5, 14, 0, 20, 80, _ZAHN),
    "zahn 3": FlowCup(11.7, 7.5, 0, 20, 80, _ZAHN),
    "zahn 4": FlowCup(14.8, 5, 0, 20, 80, _ZAHN),
    "zahn 5": FlowCup(23, 0, 0, 20, 80, _ZAHN),
    "shell 1": FlowCup(0.226, 13, 0, 20, 80, _ZAHN),
    "shell 2": FlowCup(0.576, 5, 0, 20, 80, _ZAHN),
    "shell 2.5": FlowCup(0.925, 3, 0, 20, 80, _ZAHN),
    "shell 3": FlowCup(1.51, 2, 0, 20, 80, _ZAHN),
    "shell 3.5": FlowCup(2.17, 1.5, 0, 20, 80, _ZAHN),
    "shell 4": FlowCup(3.45, 1, 0, 20, 80, _ZAHN),
    "shell 5": FlowCup(6.5, 1, 0, 20, 80, _ZAHN),
    "shell 6": FlowCup(16.2, 0.5, 0, 20, 80, _ZAHN),
    "ford 1": FlowCup(0.49, 35, 0, 55, 100, _FORD),
    "ford 2": FlowCup(1.44, 18, 0, 40, 100, _FORD),
    "ford 3": FlowCup(2.31, 6.58, 0, 20, 100, _FORD),
    "ford 4": FlowCup(3.85, 4.49, 0, 20, 100, _FORD),
    "ford 5": FlowCup(12.1, 2, 0, 20, 100, _FORD),
    "din 4": FlowCup(4.57, 0, 452, 25, 150, _DIN),
    "iso 3": FlowCup(0.443, 0, 200, 30, 100, _ISO),
    "iso 4": FlowCup(1.37, 0, 200, 30, 100, _ISO),
    "iso 5": FlowCup(3.28, 0, 220, 30, 100, _ISO),
    "iso 6": FlowCup(6.90, 0, 570, 30, 100, _ISO),
}


# Impossible elements come out as nan or infinite by what is asked of them below; numpy need not warn as well.
@np.errstate(all="ignore")
def kinematic_viscosity_from_flow_cup(cup: str, time: ArrayLike) -> Floats:
    r"""Return the kinematic viscosity of a liquid from the seconds a flow cup takes to run empty.

    .. math:: \nu = a (t - t_0) - b / t

    Parameters
    ----------
    cup : str
        Name of the cup, a key of `FLOW_CUPS` such as "ford 4". [-]
    time : array_like
        Time until the stream breaks. [s]

    Returns
    -------
    numpy.ndarray
        Kinematic viscosity at 25 °C. [m²/s]

    Notes
    -----
    Simple liquids at 25 °C; nan outside the times of the cup (20 to 80 s for most). Zahn cups are made to
    no one drawing and differ between makers and batches, and another conversion table gives up to twice as
    much (22.6 instead of 12.1 mm²/s for number 1 at 40 s), so name the table and check the cup with an oil.
    A cream or a gel has no number here. A public program has 0.567 for the 0.576 of Shell 2.

    Source: ASTM-D4212, ASTM-D1200, DIN-53211, ISO-2431.
    """
    if cup not in FLOW_CUPS:
        raise SumError(f'There is no flow cup called "{cup}"; known are {", ".join(FLOW_CUPS)}.')
    known = FLOW_CUPS[cup]
    t = np.asarray(time, float)
    t = np.where((t >= known.shortest) & (t <= known.longest), t, np.nan)
    return np.asarray((known.slope * (t - known.offset) - known.inverse / t) * 1e-6)
