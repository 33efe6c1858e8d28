"""Is anything above a legal limit?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction

from levigate.errors import PercentError
from levigate.formula.model import plain
from levigate.formula.percent import adjust
from levigate.formula.premix import substances
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.shelf.catalogue import plain as plain_name
from levigate.shelf.record import Limit

VERIFY = "Verify against the current text of the law."


@dataclass(frozen=True, slots=True)
class _Share:
    """What one line brings under one limit, counted as the law counts it. [%]"""

    position: int
    substance: str
    percent: Fraction
    limit: Limit


@rule("legal-limit", sources=("definition",))
def nothing_is_above_a_legal_limit(situation: Situation) -> Iterator[Finding]:
    """Some substances are allowed only up to a share, counted over all materials that bring them, premixes apart."""
    groups: dict[tuple[str, str, tuple[str, ...], Decimal | None], list[_Share]] = {}
    for share in _shares(situation):
        limit = share.limit
        groups.setdefault((limit.jurisdiction, limit.law, limit.applies, limit.percent), []).append(share)
    for (_, _, _, percent), shares in groups.items():
        if percent is None:
            continue
        total = sum((share.percent for share in shares), Fraction(0))
        if total > percent or (percent == 0 and total > 0):
            yield _above(situation, shares, total, percent)


def _shares(situation: Situation) -> Iterator[_Share]:
    for position, _, line, record in situation.lines():
        if record is None or line.percent <= 0:
            continue
        key = situation.shelf.key(line.material) or line.material
        for substance, share in {**substances(situation.shelf, line.material), key: Fraction(1)}.items():
            if substance not in situation.shelf:
                continue
            for limit in situation.shelf[substance].limits:
                if _applies(limit, situation):
                    counted = share * Fraction(line.percent) * Fraction(str(limit.factor))
                    yield _Share(position, substance, counted, limit)


def _applies(limit: Limit, situation: Situation) -> bool:
    """Return whether a limit speaks of this product; where the use is not known, it may."""
    use = situation.use
    said = plain_name(situation.formula.use)
    for word in limit.applies:
        if word == "all":
            return True
        if word in ("leave-on", "rinse-off"):
            if use is None or use.leave_on == (word == "leave-on"):
                return True
        elif (use is not None and plain_name(word) in map(plain_name, (use.name, use.where, *use.names))) or plain_name(
            word
        ) in said:
            return True
    return False


def _above(situation: Situation, shares: list[_Share], total: Fraction, percent: Decimal) -> Finding:
    limit = shares[0].limit
    names = " and ".join(dict.fromkeys(share.substance for share in shares))
    counted = f" counted as {limit.counted_as}" if limit.counted_as else ""
    uses = "" if limit.applies == ("all",) else f" for {', '.join(limit.applies)}"
    coming = bool(limit.begins and situation.today and limit.begins > situation.today.isoformat())
    level: Level = "care" if coming or (situation.use is None and limit.applies != ("all",)) else "stop"
    said = f"{_short(total)} %{counted}"
    if percent == 0:
        title = f"{names} may not be used in the {limit.jurisdiction}{uses}"
    else:
        title = f"{names} {said} is above the {limit.jurisdiction} limit of {plain(percent)} %{uses}"
    why = f"{limit.law}, as of {limit.as_of}."
    if limit.begins:
        why += f" It applies from {limit.begins}."
    if situation.use is None and limit.applies != ("all",):
        why += " The use of this product is not one we know, so the limit may or may not apply."
    if limit.note:
        why += f" {limit.note.rstrip('.')}."
    return Finding(
        "legal-limit",
        level,
        title,
        f"{why} {VERIFY}",
        limit.source,
        limit.place,
        tuple(dict.fromkeys(share.position for share in shares)),
        _down_to(situation, shares, total, percent),
    )


def _short(percent: Fraction) -> str:
    return f"{float(percent):.4g}"


def _down_to(situation: Situation, shares: list[_Share], total: Fraction, percent: Decimal) -> tuple[Remedy, ...]:
    """Return the change that brings all lines under the limit, each in proportion, rounded down to hundredths."""
    formula = situation.formula
    positions = list(dict.fromkeys(share.position for share in shares))
    if not formula.adds_up or formula.qs in positions:
        return ()
    scale = Fraction(percent) / total
    new = {}
    for position in positions:
        exact = Fraction(formula.percents[position]) * scale
        rounded = Decimal(exact.numerator) / Decimal(exact.denominator)
        new[position] = rounded.quantize(
            Decimal("0.01") if rounded >= Decimal("0.01") else Decimal("0.000001"), ROUND_DOWN
        )
    lines = [line.material for _, line in formula.lines()]
    said = " and ".join(f"{lines[i]} to {plain(value)} %" for i, value in new.items())
    try:
        return (Remedy(f"Set {said}.", adjust(formula, new)),)
    except PercentError:
        return ()
