"""Is it put together in an order that works?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice

from levigate.review.balance import salt_of
from levigate.review.changes import moved
from levigate.review.findings import Finding, Remedy, Situation, rule
from levigate.review.held import TRACE, Part, headed, names, percents, positions, total
from levigate.words import tr

#: Notes on order in one review: more would not be read.
_AT_MOST = 3
#: Water below which none of it matters. [%]
_DRY = 1.0
#: Words of the treatment that say it is minded already.
_WETTED = ("scatter", "sprinkle", "slurry", "wet", "disperse", "strew", "dust", "sift")
_SWELLS = (*_WETTED, "swell", "hydrate", "overnight")
_FIRST = ("first", "mix", "premix", "before")
_GENTLY = ("gentl", "fold", "slow", "stir", "last")
_DISSOLVED = ("dissolve", "little of the water")


def _minded(situation: Situation, part: Part, words: tuple[str, ...]) -> bool:
    said = f"{situation.formula.phases[part.phase].how} {_note(situation, part)}".lower()
    return any(word in said for word in words)


def _note(situation: Situation, part: Part) -> str:
    return [line.note for _, line in situation.formula.lines()][part.position]


def _note_on(parts: tuple[Part, ...], title: str, why: str, *remedies: Remedy) -> Finding:
    return Finding("order", "note", headed(title), why, "common-practice", "", positions(parts), remedies)


@rule("order", sources=("common-practice",))
def it_goes_together_in_order(situation: Situation) -> Iterator[Finding]:
    """Put in at the wrong moment, gums lump, gels stay thin, preservatives drop out and vitamins fade."""
    if situation.held.water < _DRY:
        return
    yield from islice((found for check in _CHECKS for found in check(situation)), _AT_MOST)


def _acid_on_preservative(situation: Situation) -> Iterator[Finding]:
    salts = tuple(part for part in situation.held.of("acid preservative salts") if part.percent >= TRACE)
    acids = situation.held.where(
        lambda part: part.record is not None and part.record.kind == "acid" and part.percent >= TRACE
    )
    for salt in salts:
        before = tuple(acid for acid in acids if acid.phase == salt.phase and acid.position < salt.position)
        if before and not _minded(situation, salt, _DISSOLVED):
            yield _note_on(
                (*before, salt),
                tr("{names} before the acid").format(names=names((salt,))),
                tr(
                    "{percents} in one phase. Where strong acid meets it, its acid drops out as crystals that "
                    "dissolve again only slowly."
                ).format(percents=percents((salt, *before))),
                Remedy(
                    tr(
                        "Dissolve it in a little of the water and stir that in first; then the acid, by drops, at the "
                        "end."
                    )
                ),
            )
            return


def _gel_after_salt(situation: Situation) -> Iterator[Finding]:
    gels = tuple(part for part in situation.held.of("acid gels") if part.percent >= TRACE)
    for gel in gels:
        salts = tuple(part for part in situation.held.parts if part.position < gel.position and salt_of(part) > TRACE)
        if salts:
            yield _note_on(
                (gel, *salts),
                tr("swell {names} before the salts go in").format(names=names((gel,))),
                tr("{percents} stand before it. In salt water its grains do not open, and lumps stay.").format(
                    percents=percents(salts)
                ),
                Remedy(
                    tr("Scatter {name} onto the water alone, let it swell, then the salts, and the base last.").format(
                        name=gel.line
                    )
                ),
            )
            return


def _gum(situation: Situation) -> Iterator[Finding]:
    gums = tuple(
        part for part in situation.held.of("gums") if part.percent >= TRACE and not _minded(situation, part, _SWELLS)
    )
    if gums:
        yield _note_on(
            gums,
            tr("wet {names} before it meets the water").format(names=names(gums)),
            tr("Thrown into water a gum makes lumps that are dry inside and stay."),
            Remedy(
                tr(
                    "Stir it into three to ten times as much glycerin or glycol, then pour the water on; or scatter "
                    "it into fast-stirred water."
                )
            ),
        )


def _hyaluronate(situation: Situation) -> Iterator[Finding]:
    found = tuple(part for part in situation.held.of("hyaluronates") if not _minded(situation, part, _SWELLS))
    if found and total(found) >= TRACE:
        yield _note_on(
            found,
            tr("let the hyaluronate swell by itself"),
            tr("{percents}. Stirred hard it lumps and draws in air; long chains are cut by fast blades.").format(
                percents=percents(found)
            ),
            Remedy(tr("Sprinkle it onto the water, cover, leave overnight, then stir slowly.")),
        )


def _fragrance(situation: Situation) -> Iterator[Finding]:
    scents = situation.held.where(lambda part: part.record is not None and part.record.kind == "fragrance")
    carriers = situation.held.where(lambda part: part.record is not None and part.record.kind == "solubiliser")
    oily = situation.held.where(
        lambda part: part.record is not None and part.record.kind in ("oil", "ester", "hydrocarbon", "butter", "wax")
    )
    if scents and carriers and total(oily) < total(carriers):
        apart = {part.phase for part in scents} - {part.phase for part in carriers}
        if apart or not any(_minded(situation, part, _FIRST) for part in scents):
            yield _note_on(
                (*scents, *carriers),
                tr("mix the scent with its solubiliser first"),
                tr(
                    "{scents}; {carriers}. A solubiliser takes oil up before it is let down with water, hardly after."
                ).format(scents=percents(scents), carriers=percents(carriers)),
                Remedy(tr("Stir both together until clear, then add the water to them, little by little.")),
            )


def _vitamin_c_last(situation: Situation) -> Iterator[Finding]:
    last = len(situation.formula.phases) - 1
    for part in situation.held.of("free ascorbate"):
        if part.phase < last and part.percent >= TRACE:
            letter = situation.formula.phases[last].letter
            yield _note_on(
                (part,),
                tr("{names} goes in last").format(names=part.line),
                tr("{percents}. Each hour in warm water with air costs some of it.").format(percents=percents((part,))),
                Remedy(
                    tr("Move {name} to phase {letter}.").format(name=part.line, letter=letter),
                    moved(situation.formula, situation.shelf, part.position, letter),
                ),
            )
            return


def _pearl(situation: Situation) -> Iterator[Finding]:
    last = len(situation.formula.phases) - 1
    pearls = tuple(
        part
        for part in situation.held.of("pearls")
        if part.phase < last and part.percent >= TRACE and not _minded(situation, part, _GENTLY)
    )
    if pearls:
        letter = situation.formula.phases[last].letter
        formula = moved(situation.formula, situation.shelf, pearls[0].position, letter)
        yield _note_on(
            pearls,
            tr("{names} goes in last").format(names=names(pearls)),
            tr("{percents}. Its plates shine while they are whole; a fast blade breaks them.").format(
                percents=percents(pearls)
            ),
            Remedy(
                tr("Move {name} to phase {letter} and fold it in gently.").format(name=pearls[0].line, letter=letter),
                formula if len(pearls) == 1 else None,
            ),
        )


_CHECKS: tuple[Callable[[Situation], Iterator[Finding]], ...] = (
    _acid_on_preservative,
    _gel_after_salt,
    _vitamin_c_last,
    _gum,
    _hyaluronate,
    _fragrance,
    _pearl,
)
