"""Layers of a product that stands still: powder that settles, drops that cream, through time and in words."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from levigate.publish.pictures import central, stand
from levigate.quantities.emulsion import TOUCHING
from levigate.quantities.figure import Figure
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.review.engine import Review
from levigate.science import suspension
from levigate.science.column import Column

#: Height of a clear layer, or of a bed, from which it is seen. [m]
SEEN = 1e-3
#: Moments shown, and by how much the first comes before the last.
_MOMENTS, _FIRST = 60, 1e4
DAY = 86400.0
#: Height of a haze by thermal motion below which it is left out. [m]
_LIFTED = 1e-4
_NO_EMULSIFIER = (
    "No emulsifier is on record for its oil, so that what its drops do is not known: shake 20 g in a straight glass "
    "and look at it after an hour, a day and a week."
)


@dataclass(frozen=True, slots=True)
class Moment:
    """The layers at one moment: heights, and the lower edge of the clear one above the floor. [m]"""

    seconds: float
    clear: float
    clear_from: float
    sediment: float
    cream: float
    #: When it is, and what is to be seen, in words.
    when: str
    says: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time through which the same is to be seen, in words."""

    #: After how long, or from when to when.
    when: str
    says: str


@dataclass(frozen=True, slots=True)
class Layers:
    """What is foreseen to be seen while it stands."""

    #: Nothing where nothing moves, or where it is not known.
    moments: tuple[Moment, ...] = ()
    #: Why nothing is foreseen to move, or why that is not known; empty where something moves.
    still: str = ""
    #: Whether what moves is known; where it is not, nothing is drawn as if it stayed.
    known: bool = True
    #: When a clear layer is first seen; None where it never is. [s]
    first_seen: float | None = None
    #: What to know beside it: on what it rests, and what is not drawn.
    notes: tuple[str, ...] = ()

    @property
    def move(self) -> bool:
        """Whether something moves, as far as is known."""
        return self.known and bool(self.moments) and not self.still

    def stretches(self, most: int = 9) -> tuple[Stretch, ...]:
        """Return what is to be seen through time, moments that show the same as one stretch, and so many at most."""
        alike = [tuple(group) for _, group in itertools.groupby(self.moments, lambda moment: moment.says)]
        picked = np.unique(np.linspace(0, len(alike) - 1, min(most, len(alike))).round().astype(int))
        return tuple(_stretch(alike[i]) for i in picked)


def layers_of(review: Review, height: float, duration: float) -> Layers:
    """Return the layers of a formula that fills a jar to a height, through the time for which it should keep."""
    # What falls falls soon or late: moments spread over the powers of ten show both.
    times = np.concatenate([[0.0], np.geomspace(duration / _FIRST, duration, _MOMENTS)])
    powder, drops = _powder(review, height, times), _drops(review, height, times)
    if powder is None or drops is None:
        only = powder or drops
        return only or Layers(still="No powder and no drops hang in it, so that nothing can settle or rise.")
    return _together(powder, drops)


def _stretch(alike: tuple[Moment, ...]) -> Stretch:
    first, last = alike[0], alike[-1]
    if first is last:
        return Stretch(first.when, first.says)
    begins = first.when
    if first.seconds == 0:
        begins = "the first day" if last.seconds >= DAY else "the start"
    return Stretch(f"from {begins} to {last.when}", first.says)


def _powder(review: Review, height: float, times: Floats) -> Layers | None:
    speed = review.figures.get("settling_speed")
    if speed is None:
        return None
    if not speed.known:
        return Layers(still=f"What settles is not known. {speed.unknown}", known=False)
    column = stand(review.inputs, height, float(times[-1]), times=times)
    clear = "a layer without powder" if "creaming_speed" in review.figures else "a clear layer"
    moments = _moments(column, height, (clear, "of settled powder at the bottom", "of powder risen to the top"))
    still = "" if any(m.clear or m.sediment or m.cream for m in moments) else "Every grain is held where it is."
    return Layers(moments, still, first_seen=_seen(column))


def _drops(review: Review, height: float, times: Floats) -> Layers | None:
    inputs, speed = review.inputs, review.figures.get("creaming_speed")
    if speed is None:
        return Layers(still=_NO_EMULSIFIER, known=False) if inputs.asked.get("required_hlb") else None
    if float(evaluate(("drops_share",), central(inputs))["drops_share"]) >= TOUCHING:
        return Layers(still="The drops touch and stay where they are.")
    if not speed.known:
        return _unknown_drops(inputs, height, float(times[-1]), speed)
    central_speed, fastest = _per_second(speed.value), _fastest(speed)
    if central_speed == 0:
        soon = rise(inputs, height, fastest, times[[0, -1]]).clear_time if fastest else math.nan
        edge = () if math.isnan(soon) else (f"At the fast end of what is known a layer is seen after {when(soon)}.",)
        return Layers(still="Every drop is held where it is.", notes=edge)
    column = rise(inputs, height, central_speed, times)
    moments = _moments(column, height, ("a clear layer", "of dense drops sunk to the bottom", "of cream on top"))
    notes = (*_drops_rest_on(review, speed, height, times), "Drops that merge go faster; that is not foreseen.")
    return Layers(moments, first_seen=_seen(column), notes=notes)


def _unknown_drops(inputs: Inputs, height: float, duration: float, speed: Figure) -> Layers:
    """Return what can be said of drops in a liquid whose flow is not known: how fast they are at most."""
    given = central(inputs)
    bound = float(evaluate(("creaming_bound",), given)["creaming_bound"])
    still = f"How far its drops move is not known. {speed.unknown.rstrip('.')}."
    if math.isnan(bound):
        return Layers(still=still, known=False)
    soon = rise(inputs, height, bound, np.array([0.0, duration])).clear_time
    if math.isnan(soon):
        calm = f"Even if nothing thickened it, its drops would make no layer to be seen in {when(duration)}."
        return Layers(still=calm)
    most = f"If nothing thickened it, a layer would be seen after {when(soon)}; what thickens it makes it later."
    return Layers(still=still, known=False, notes=(most,))


def rise(inputs: Inputs, height: float, speed: float, times: Floats) -> Column:
    """Return how the drops of a formula stand in a still column, all of one size.

    Parameters
    ----------
    inputs : Inputs
        Inputs of the formula; their central values are used.
    height : float
        Height of the filling. [m]
    speed : float
        Velocity of the drops among their neighbours while it is fresh; positive sinks. [m/s]
    times : ndarray
        Moments to keep, from 0 to the last. [s]
    """
    given = central(inputs)
    found = evaluate(("drops_share", "phase_densities", "emulsion_type"), given)
    share, inner = float(found["drops_share"]), int(found["emulsion_type"])
    drop, liquid = found["phase_densities"][inner], found["phase_densities"][1 - inner]
    peclet = suspension.peclet_number(given["drop_diameter"], drop, liquid, given["temperature"])
    exponent = float(suspension.hindered_exponent(peclet))
    # What drags a drop as it rises drags it as heat stirs it (Einstein): Pe = v a/D, and D/v is how high heat lifts it.
    lifted = float(given["drop_diameter"]) / 2 / float(peclet)
    alone = speed / float(suspension.hindered_factor_richardson_zaki(share, exponent))
    return Column.settle(
        height,
        float(times[-1]),
        share,
        alone,
        exponent=exponent,
        packing_fraction=TOUCHING,
        diffusion_coefficient=abs(alone) * lifted if lifted > _LIFTED else 0.0,
        times=times,
    )


def _drops_rest_on(review: Review, speed: Figure, height: float, times: Floats) -> tuple[str, ...]:
    """Return on whose word the size of the drops stands, and how soon and how late a layer may be seen for it."""
    size = digits(1e6 * float(central(review.inputs)["drop_diameter"]), 2)
    stated = review.formula.droplets is not None
    said = (
        f"Drops of {size} µm as stated, all of one size: finer ones lag behind and blur the edge."
        if stated
        else f"The size of the drops is not stated: {size} µm is a usual one. A look through a microscope tells it."
    )
    if speed.low is None or speed.high is None:
        return (said,)
    ends = sorted((_per_second(speed.low), _per_second(speed.high)), key=abs, reverse=True)
    soon, late = (rise(review.inputs, height, end, times[[0, -1]]).clear_time if end else math.nan for end in ends)
    if math.isnan(soon):
        return (said,)
    never = f"not within {when(float(times[-1]))}" if math.isnan(late) else f"only after {when(late)}"
    return (said, f"A layer may be seen as soon as after {when(soon)}, or {never}.")


def _fastest(speed: Figure) -> float:
    return max((_per_second(end) for end in (speed.low, speed.high) if end is not None), key=abs, default=0.0)


def _per_second(shown: float) -> float:
    """Return a velocity in metres a second from one shown in µm/s."""
    return shown * 1e-6


def _together(powder: Layers, drops: Layers) -> Layers:
    """Return powder and drops in one jar: the one that is seen first, for each changes the liquid of the other."""
    if not powder.move and not drops.move:
        both = Layers(still=f"{powder.still} {drops.still}", known=powder.known and drops.known)
        return replace(both, moments=powder.moments if both.known else (), notes=powder.notes + drops.notes)
    if not (powder.move and drops.move):
        shown, other = (powder, drops) if powder.move else (drops, powder)
        notes = (*shown.notes, other.still, *other.notes)
        return replace(shown, known=other.known, notes=notes)
    named = [("powder", powder), ("drops", drops)]
    (name, first), (behind, other) = sorted(named, key=lambda one: _when_seen(one[1]))
    late = "shows no layer" if behind == "powder" else "show no layer"
    if other.first_seen is not None:
        late = f"{'shows' if behind == 'powder' else 'show'} one after {when(other.first_seen)}"
    note = (
        f"Powder and drops move against each other, and are not reckoned together: drawn is the {name}, seen first. "
        f"On {'its' if behind == 'powder' else 'their'} own the {behind} {late}."
    )
    return replace(first, notes=(note, *first.notes))


def _when_seen(one: Layers) -> tuple[float, float]:
    last = one.moments[-1]
    return (math.inf if one.first_seen is None else one.first_seen, -last.clear)


def _seen(column: Column) -> float | None:
    return None if np.isnan(column.clear_time) else float(column.clear_time)


def _moments(column: Column, height: float, words: tuple[str, str, str]) -> tuple[Moment, ...]:
    edges = _clear_from(column, height)
    return tuple(
        Moment(seconds, clear, edge, sediment, cream, when(seconds), _says(clear, edge, height, sediment, cream, words))
        for seconds, clear, edge, sediment, cream in zip(
            column.times.tolist(),
            column.clear_layer.tolist(),
            edges.tolist(),
            column.sediment.tolist(),
            column.cream.tolist(),
            strict=True,
        )
    )


def _clear_from(column: Column, height: float) -> Floats:
    """Return the lower edge of the clear layer at each moment: about the middle of what has cleared. [m]"""
    total = column.concentration.sum(1)
    cleared = total < total[:1].mean() / 2
    middle = (cleared * column.heights).sum(-1) / np.maximum(cleared.sum(-1), 1)
    # A layer thinner than half a cell has cleared none: it lies at the end that is the emptier.
    thin = np.where(total[:, 0] < total[:, -1], 0.0, height)
    edge = np.where(cleared.any(-1), middle, thin) - column.clear_layer / 2
    cell = height / total.shape[-1]
    edge = np.where(edge + column.clear_layer > height - cell, height - column.clear_layer, edge)
    return np.asarray(np.where(edge < cell, 0.0, edge))


def _says(clear: float, edge: float, height: float, sediment: float, cream: float, words: tuple[str, str, str]) -> str:
    where = "at the bottom" if edge == 0 else "on top" if math.isclose(edge + clear, height) else "in between"
    seen = [f"{words[0]} of {_mm(clear)} {where}"] if clear >= SEEN else []
    seen += [f"{_mm(size)} {what}" for size, what in zip((sediment, cream), words[1:], strict=True) if size >= SEEN]
    return "; ".join(seen) if seen else "no layer to be seen"


def _mm(size: float) -> str:
    return f"{digits(1000 * size, 2)} mm"


def when(seconds: float) -> str:
    """Return how long it has stood, as people say it."""
    for size, one, many in (
        (31557600.0, "a year", "years"),
        (2629800.0, "a month", "months"),
        (DAY, "a day", "days"),
        (3600.0, "an hour", "hours"),
        (60.0, "a minute", "minutes"),
    ):
        count = seconds / size
        if count >= 0.95:
            return one if round(count, 1) == 1 else f"{digits(count, 2)} {many}"
    return "fresh" if seconds == 0 else f"{digits(seconds, 2)} seconds"
