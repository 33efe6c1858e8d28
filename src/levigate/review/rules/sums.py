"""Does the formula add up?"""

from __future__ import annotations

from collections.abc import Iterator

from levigate.formula.model import HUNDRED, plain
from levigate.formula.percent import ways_to_mend
from levigate.review.findings import Finding, Remedy, Situation, rule
from levigate.words import tr


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
        title = tr("Nothing is left for {material}").format(material=line.material)
        why = tr("The other lines take {taken} %, {over} % more than the whole.").format(
            taken=plain(taken), over=plain(taken - HUNDRED)
        )
    else:
        gap = HUNDRED - formula.total
        title = tr("The lines add up to {total} %").format(total=plain(formula.total))
        missing = tr("{percent} % is missing; without a q.s. line they must sum to exactly 100.")
        too_much = tr("{percent} % is too much; without a q.s. line they must sum to exactly 100.")
        why = (missing if gap > 0 else too_much).format(percent=plain(abs(gap)))
    remedies = tuple(Remedy(f"{says[:1].upper()}{says[1:]}.", mended) for says, mended in ways_to_mend(formula))
    yield Finding("sum", "stop", title, why, "definition", remedies=remedies)
