"""Percent arithmetic: set some lines and let others give way, exactly.

Three ways to give way, as the trade has them: the q.s. line absorbs the change; all other lines keep their
proportions; or named lines give way in proportion. Lines may be held. All sums are exact: shares are fractions,
and the rounding to decimals is dealt out by largest remainder, so that the total stays what it was, to the last
digit.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from levigate.errors import PercentError, came
from levigate.formula.model import HUNDRED, Formula, plain
from levigate.shelf.catalogue import Shelf

#: Decimals of a percent that was computed, unless more or fewer are asked for.
PLACES = 6
#: Decimals that a percent may have.
MOST_PLACES = 12
#: Words for `give`.
ALL, QS = "all", "q.s."


def read_percent(value: object) -> Decimal:
    """Return a percent as a person wrote it: a number, or text as ``"4"`` or ``"4 %"``.

    Raises
    ------
    PercentError
        When it is not a number from 0 to 100 with at most `MOST_PLACES` decimals.
    """
    text = value.strip().removesuffix("%").strip() if isinstance(value, str) else value
    if isinstance(text, str) and "," in text and text.replace(",", "").lstrip("-").isdigit():
        raise PercentError(f"{came(value)} has a comma; write the decimal point: {text.replace(',', '.', 1)}.")
    try:
        if isinstance(value, bool) or not isinstance(text, (str, int, float, Decimal)):
            raise InvalidOperation
        percent = Decimal(min(max(text, -1000), 1000) if isinstance(text, int) else str(text))
    except InvalidOperation:
        percent = Decimal("nan")
    if not percent.is_finite():
        raise PercentError(f"{came(value)} is not a percent; write a number such as 4 or 0.5.")
    if percent < 0:
        raise PercentError(f"{came(value)} is below nought; a line takes 0 to 100 %.")
    if percent > HUNDRED:
        raise PercentError(f"{came(value)} is more than the whole; a line takes 0 to 100 %.")
    if decimals(percent) > MOST_PLACES:
        raise PercentError(f"{came(value)} has more than {MOST_PLACES} decimals; write fewer digits.")
    return percent


def set_percents(
    percents: Sequence[Decimal],
    new: Mapping[int, Decimal | Fraction],
    givers: Collection[int],
    *,
    places: int = PLACES,
) -> tuple[Decimal, ...]:
    """Return the percents with some set anew and the givers taking up the difference in proportion.

    Parameters
    ----------
    percents : sequence of Decimal
        The lines as they are. [%]
    new : mapping
        Position -> its new percent. [%]
    givers : collection of int
        Positions that may change, in proportion to what they are; all others are held.
    places : int
        Decimals to which the givers are rounded. [1]

    Returns
    -------
    tuple of Decimal
        New percents, which sum to exactly 100. [%]

    Raises
    ------
    PercentError
        When what is set or held leaves less than nothing, or there is nothing to give way.
    """
    movable = [i for i in range(len(percents)) if i in givers and i not in new]
    whole = [_written(Fraction(new[i])) if i in new else percents[i] for i in range(len(percents))]
    fixed = sum((Fraction(whole[i]) for i in range(len(percents)) if i not in movable), Fraction(0))
    left = 100 - fixed
    if any(Fraction(value) < 0 for value in new.values()):
        raise PercentError("A line cannot be set below nought.")
    if left < 0:
        raise PercentError(
            f"What is set and held takes {plain(fixed)} %, so {plain(-left)} % too much: set less, hold fewer lines, "
            "or let more lines give way."
        )
    before = sum((Fraction(percents[i]) for i in movable), Fraction(0))
    if before == 0 and left > 0 and len(movable) != 1:
        raise PercentError(
            f"{plain(left)} % is left over and no line may take it: name lines that give way, or make one line q.s."
        )
    exact = [Fraction(percents[i]) * left / before if before else left for i in movable]
    finest = max([places, *(decimals(whole[i]) for i in range(len(whole)) if i not in movable)])
    for i, value in zip(movable, deal_out(exact, finest), strict=True):
        whole[i] = value
    return tuple(whole)


def deal_out(exact: Sequence[Fraction], places: int) -> list[Decimal]:
    """Return fractions rounded to decimals so that their sum, itself a number of so many decimals, is kept exactly.

    Each is rounded down or up by less than one unit of the last place, the largest remainders up.
    """
    unit = Fraction(1, 10**places)
    floors = [value // unit for value in exact]
    missing = round(sum(exact, Fraction(0)) / unit) - sum(floors)
    by_remainder = sorted(range(len(exact)), key=lambda i: (floors[i] - exact[i] / unit, i))
    up = set(by_remainder[:missing])
    return [_trim(Decimal(floors[i] + (i in up)).scaleb(-places)) for i in range(len(exact))]


def _written(value: Fraction) -> Decimal:
    """Return a fraction as a decimal: exact where it ends in time, else to as many places as a percent may have."""
    return deal_out([value], MOST_PLACES)[0]


def _trim(value: Decimal) -> Decimal:
    return Decimal(plain(value))


def decimals(value: Decimal) -> int:
    """Return how many decimals a number is written with. [1]"""
    exponent = value.as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def find_line(formula: Formula, name: str, shelf: Shelf) -> int:
    """Return the position of a line named as a person does: ``"glycerin"``, or ``"B:glycerin"`` where it stands twice.

    Raises
    ------
    PercentError
        When no line, or more than one, goes by that name.
    """
    letter, colon, rest = name.partition(":")
    phases = [phase.letter for phase in formula.phases if phase.letter.casefold() == letter.strip().casefold()]
    wanted = rest.strip() if colon and phases else name.strip()
    key = shelf.key(wanted)
    lines = list(formula.lines())
    there = [i for i, (phase, _) in enumerate(lines) if not (colon and phases) or phase.letter in phases]
    found = [i for i in there if lines[i][1].material.casefold() == wanted.casefold()]
    if not found and key is not None:
        found = [i for i in there if shelf.key(lines[i][1].material) == key]
    if len(found) == 1:
        return found[0]
    if found:
        ways = " or ".join(f'"{lines[i][0].letter}:{wanted}"' for i in found)
        raise PercentError(f'"{wanted}" stands in more than one phase: say {ways}.')
    import difflib

    names = [line.material for _, line in lines]
    close = difflib.get_close_matches(wanted.casefold(), names, n=1, cutoff=0.5)
    hint = f'did you mean "{close[0]}"?' if close else f"its lines are {', '.join(names)}."
    raise PercentError(f'The formula has no line "{name}"; {hint}')


def adjust(
    formula: Formula,
    new: Mapping[int, Decimal | Fraction],
    *,
    give: str | Iterable[int] | None = None,
    hold: Collection[int] = (),
    places: int = PLACES,
) -> Formula:
    """Return the formula with some lines set anew and the others giving way.

    Parameters
    ----------
    formula : Formula
        The formula; it need not add up yet.
    new : mapping
        Position of a line -> its new percent. [%]
    give : "q.s.", "all", positions, or None
        Who gives way. None means the q.s. line where there is one, else all lines in proportion.
    hold : collection of int
        Positions that must stay as they are.
    places : int
        Decimals of the lines that give way. [1]
    """
    count = len(formula.percents)
    if give is None:
        give = QS if formula.qs is not None and formula.qs not in new else ALL
    if give == QS:
        if formula.qs is None:
            raise PercentError("The formula has no q.s. line to take up the change; say which lines give way.")
        givers = {formula.qs}
    elif give == ALL:
        givers = set(range(count))
    else:
        givers = {int(i) for i in give}
    if clash := sorted(set(hold) & set(new)):
        names = [line.material for _, line in formula.lines()]
        raise PercentError(f'"{names[clash[0]]}" cannot be both set and held.')
    # A q.s. line that the others have pushed below nought weighs nothing when lines give way in proportion.
    percents = [percent if percent > 0 else Decimal(0) for percent in formula.percents]
    return formula.with_percents(set_percents(percents, new, givers - set(hold), places=places))


def tidy(formula: Formula, places: int) -> Formula:
    """Return the formula rounded to fewer decimals, still summing to exactly 100."""
    exact = [Fraction(percent) for percent in formula.percents]
    if sum(exact) != 100:
        raise PercentError(f"The lines add up to {plain(formula.total)} %, not to 100 %; mend that first.")
    return formula.with_percents(tuple(deal_out(exact, places)))


def ways_to_mend(formula: Formula) -> list[tuple[str, Formula]]:
    """Return the honest ways to make a formula sum to 100, each in words with the formula it gives."""
    total = formula.total
    lines = [line for _, line in formula.lines()]
    qs = formula.qs
    ways: list[tuple[str, Formula]] = []
    if qs is not None:
        others = [percent for i, percent in enumerate(formula.percents) if i != qs]
        taken = sum(others, Decimal(0))
        if taken > HUNDRED:
            scaled = set_percents([*formula.percents], {qs: Decimal(0)}, set(range(len(lines))) - {qs})
            ways.append(
                (
                    f"scale the other lines from {plain(taken)} % down to 100 %, leaving no {lines[qs].material}",
                    formula.with_percents(scaled),
                )
            )
        return ways
    if total <= 0:
        return ways
    largest = max(range(len(lines)), key=lambda i: formula.percents[i])
    gap = HUNDRED - total
    if formula.percents[largest] + gap > 0:
        word = "add" if gap > 0 else "take"
        ways.append(
            (
                f"{word} {plain(abs(gap))} % {'to' if gap > 0 else 'from'} {lines[largest].material} "
                f"({plain(formula.percents[largest])} to {plain(formula.percents[largest] + gap)} %); "
                "writing it as q.s. keeps it so",
                adjust(formula, {}, give=[largest]),
            )
        )
    ways.append((f"scale every line by 100/{plain(total)}", adjust(formula, {}, give=ALL)))
    return ways
