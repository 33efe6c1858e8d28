"""Does the formula add up?"""

from __future__ import annotations

from collections.abc import Iterator

from levigate.formula.model import HUNDRED, plain
from levigate.formula.percent import ways_to_mend
from levigate.review.findings import Finding, Remedy, Situation, rule


@rule("sum", sources=("definition",))
def the_lines_sum_to_100(situation: Situation) -> Iterator[Finding]:
    """Percent by mass must sum to exactly 100: every other number is wrong by what is short or over."""
    formula = situation.formula
    if formula.adds_up:
        return
    qs = formula.qs
    if qs is not None:
        line = [line for _, line in formula.lines()][qs]
        taken = HUNDRED - formula.percents[qs]
        title = f"Nothing is left for {line.material}"
        why = f"The other lines take {plain(taken)} %, {plain(taken - HUNDRED)} % more than the whole."
    else:
        gap = HUNDRED - formula.total
        title = f"The lines add up to {plain(formula.total)} %"
        word = "missing" if gap > 0 else "too much"
        why = f"{plain(abs(gap))} % is {word}; without a q.s. line they must sum to exactly 100."
    remedies = tuple(Remedy(f"{says[:1].upper()}{says[1:]}.", mended) for says, mended in ways_to_mend(formula))
    yield Finding("sum", "stop", title, why, "definition", remedies=remedies)
