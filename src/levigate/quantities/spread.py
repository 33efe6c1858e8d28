"""The interval that holds nineteen draws in twenty."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats

#: Ends of a 95 % interval, as shares of the draws below them.
ENDS = (0.025, 0.975)


def interval(draws: Floats) -> tuple[Floats, Floats]:
    """Return the ends of the 95 % interval of draws along the first axis; nan where there is no draw that is known.

    Draws that are nan are left out. Between two draws it goes in a straight line, as `numpy.quantile` does, which
    costs several times as much for the few numbers asked of it here.
    """
    if not len(draws):
        return np.full(draws.shape[1:], np.nan), np.full(draws.shape[1:], np.nan)
    ordered = np.sort(draws, axis=0)  # what is nan comes last
    if np.isnan(ordered[-1]).any():
        return _of_the_known(ordered)
    low, high = (_between(ordered, share * (len(ordered) - 1)) for share in ENDS)
    return low, high


def _between(ordered: Floats, place: float) -> Floats:
    below = int(place)
    low, high = ordered[below], ordered[min(below + 1, len(ordered) - 1)]
    with np.errstate(invalid="ignore"):  # between two infinities
        return np.asarray(np.where(low == high, low, low + (place - below) * (high - low)))


def _of_the_known(ordered: Floats) -> tuple[Floats, Floats]:
    columns = ordered.reshape(len(ordered), -1).T
    found = np.full((2, len(columns)), np.nan)
    for i, column in enumerate(columns):
        known = column[: len(column) - np.count_nonzero(np.isnan(column))]
        if known.size:
            found[:, i] = [_between(known, share * (known.size - 1)) for share in ENDS]
    low, high = found.reshape(2, *ordered.shape[1:])
    return low, high
