"""Is anything above a legal limit?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from levigate.errors import PercentError
from levigate.formula.model import plain
from levigate.formula.percent import PLACES, adjust
from levigate.formula.premix import substances
from levigate.formula.uses import speaks_of
from levigate.review.findings import LEVELS, Finding, Level, Remedy, Situation, rule, sentence
from levigate.shelf.record import Limit
from levigate.words import joined, marked, tr

VERIFY = marked("Verify against the current text of the law.")


#: A factor is kept to four decimals, so what is counted with it may be this much of the material less. [1]
_HALF_DIGIT = Fraction(1, 20000)


@dataclass(frozen=True, slots=True)
class _Share:
    """What one line brings under one limit, counted as the law counts it. [%]"""

    position: int
    substance: str
    percent: Fraction
    #: The least it can be, for all that the factor was rounded. [%]
    least: Fraction
    limit: Limit


@dataclass(frozen=True, slots=True)
class _Sum:
    """All that counts under one limit."""

    shares: tuple[_Share, ...]
    limit: Limit
    allowed: Fraction

    @property
    def total(self) -> Fraction:
        return sum((share.percent for share in self.shares), Fraction(0))

    @property
    def above(self) -> bool:
        return sum((share.least for share in self.shares), Fraction(0)) > self.allowed

    @property
    def positions(self) -> tuple[int, ...]:
        return tuple(dict.fromkeys(share.position for share in self.shares))

    def mended_by(self, other: _Sum) -> bool:
        """Return whether bringing another sum of the same law-giver under its limit brings this one under as well."""
        return (
            other is not self
            and other.limit.jurisdiction == self.limit.jurisdiction
            and set(self.positions) <= set(other.positions)
            and (other.allowed / other.total, other.limit.law) < (self.allowed / self.total, self.limit.law)
        )


@rule("legal-limit", sources=("definition",))
def nothing_is_above_a_legal_limit(situation: Situation) -> Iterator[Finding]:
    """Some substances are allowed only up to a share, counted over all materials that bring them, premixes apart."""
    groups: dict[tuple[str, str, tuple[str, ...], Decimal], list[_Share]] = {}
    for share in _shares(situation):
        limit = share.limit
        if limit.percent is not None:
            counted = limit.counted_as or share.substance
            groups.setdefault((limit.jurisdiction, counted, limit.applies, limit.percent), []).append(share)
    sums = [_Sum(tuple(shares), shares[0].limit, Fraction(key[3])) for key, shares in groups.items()]
    above = [(one, LEVELS.index(_level(situation, one.limit))) for one in sums if one.above]
    for one, level in above:
        if not any(one.mended_by(other) and worse <= level for other, worse in above):
            yield _finding(situation, one)


def _shares(situation: Situation) -> Iterator[_Share]:
    for position, _, line, record in situation.lines():
        if record is None or line.percent <= 0:
            continue
        key = situation.shelf.key(line.material) or line.material
        for substance, share in {**substances(situation.shelf, line.material), key: Fraction(1)}.items():
            if substance not in situation.shelf:
                continue
            brought = share * Fraction(line.percent)
            for limit in situation.shelf[substance].limits:
                if speaks_of(limit.applies, situation.formula.use, situation.use):
                    factor = Fraction(str(limit.factor))
                    less = Fraction(0) if factor == 1 else _HALF_DIGIT
                    yield _Share(position, substance, brought * factor, brought * (factor - less), limit)


def _level(situation: Situation, limit: Limit) -> Level:
    if limit.begins and situation.today and limit.begins > situation.today.isoformat():
        return "care"
    return "care" if situation.use is None and limit.applies != ("all",) else "stop"


def _finding(situation: Situation, above: _Sum) -> Finding:
    limit = above.limit
    why = [tr("{law}, as of {day}.").format(law=limit.law, day=limit.as_of)]
    if limit.begins:
        why.append(tr("It applies from {day}.").format(day=limit.begins))
    if situation.use is None and limit.applies != ("all",):
        why.append(tr("The use of this product is not one we know, so the limit may or may not apply."))
    if limit.note:
        why.append(sentence(limit.note))
    why.append(tr(VERIFY))
    level = _level(situation, limit)
    mended = _down_to(situation, above)
    return Finding(
        "legal-limit", level, _title(above), " ".join(why), limit.source, limit.place, above.positions, mended
    )


def _title(above: _Sum) -> str:
    limit = above.limit
    everywhere = limit.applies == ("all",)
    counted = [share.limit.counted_as for share in above.shares if share.limit.counted_as]
    if above.allowed == 0:
        says = marked("{names} may not be used in the {law} for {uses}")
        if everywhere:
            says = marked("{names} may not be used in the {law}")
    elif counted:
        says = marked("{names} {percent} % counted as {counted} is above the {law} limit of {allowed} % for {uses}")
        if everywhere:
            says = marked("{names} {percent} % counted as {counted} is above the {law} limit of {allowed} %")
    else:
        says = marked("{names} {percent} % is above the {law} limit of {allowed} % for {uses}")
        if everywhere:
            says = marked("{names} {percent} % is above the {law} limit of {allowed} %")
    return tr(says).format(
        names=joined(dict.fromkeys(share.substance for share in above.shares)),
        law=limit.jurisdiction,
        uses=", ".join(map(tr, limit.applies)),
        percent=_short(above.total, above.allowed),
        counted=(counted or [""])[0],
        allowed=plain(above.allowed),
    )


def _short(percent: Fraction, allowed: Fraction) -> str:
    """Return a percent with three digits, and as many more as it takes to see that it is not the limit."""
    said = (f"{float(percent):.{figures}g}" for figures in range(3, 16))
    return next((one for one in said if Fraction(one) > allowed), f"{float(percent):.15g}")


def _down_to(situation: Situation, above: _Sum) -> tuple[Remedy, ...]:
    """Return the change that brings all lines under the limit, each in proportion, rounded down to hundredths."""
    formula = situation.formula
    if not formula.adds_up or formula.qs in above.positions:
        return ()
    new = {i: _rounded_down(Fraction(formula.percents[i]) * above.allowed / above.total) for i in above.positions}
    lines = [line.material for _, line in formula.lines()]
    each = tr("{name} to {percent} %")
    said = joined(each.format(name=lines[i], percent=plain(value)) for i, value in new.items())
    try:
        return (Remedy(tr("Set {lines}.").format(lines=said), adjust(formula, new)),)
    except PercentError:
        return ()


def _rounded_down(percent: Fraction) -> Decimal:
    places = 2 if percent >= Fraction(1, 100) else PLACES
    return Decimal(percent * 10**places // 1).scaleb(-places)
