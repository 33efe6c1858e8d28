"""Do its substances bear each other?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from levigate.quantities.saying import digits
from levigate.review.balance import spare_base
from levigate.review.changes import added
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.review.held import (
    TRACE,
    Part,
    headed,
    names,
    percents,
    positions,
    stands_in,
    swap_says,
    swapped,
    total,
    without,
)
from levigate.words import joined, tr

#: Water below which charged substances hardly meet. [%]
_DRY = 1.0
#: Chelators offered, with a common dose; the first that the shelf has. [%]
_CHELATORS = (("sodium phytate", "0.1"), ("disodium edta", "0.1"))
#: Formaldehyde in the product from which the law of the EU asks for a warning. [%]
_RELEASES = 0.001
#: pH between which niacinamide keeps, and beyond which it is said. [1]
_NIACINAMIDE, _NIACINAMIDE_AT_MOST = (5.0, 7.0), (4.5, 7.5)
#: Kinds that make a product what it is: the larger side is not left out where it is of them.
_CARRIES = ("surfactant", "emulsifier", "thickener")
#: Acid left over from which niacinamide is spoken of where the pH is not known. [mol/kg]
_SOUR = 0.01


@dataclass(frozen=True, slots=True)
class _Clash:
    """Two sides of a formula that do not bear each other, told in the language of the reader."""

    rule: str
    one: tuple[Part, ...]
    other: tuple[Part, ...]
    level: Level
    title: str
    why: str
    source: str
    place: str = ""
    #: What helps beside a change of the formula.
    advice: tuple[str, ...] = ()

    def finding(self, situation: Situation) -> Finding:
        """Return it as a finding, a trace being worth a note."""
        level = "note" if min(total(self.one), total(self.other)) < TRACE else self.level
        why = f"{percents(self.one)}; {percents(self.other)}. {self.why}"
        remedies = (*_ways(situation, self.one, self.other), *map(Remedy, self.advice))
        lines = positions(self.one, self.other)
        return Finding(self.rule, level, self.title, why, self.source, self.place, lines, remedies)


def _ways(situation: Situation, one: tuple[Part, ...], other: tuple[Part, ...]) -> Iterator[Remedy]:
    """Yield what rids a formula of either side: something in its place, or nothing."""
    formula, shelf = situation.formula, situation.shelf
    for side in (one, other):
        for instead in stands_in(shelf, side):
            changed = swapped(formula, shelf, side, instead)
            if changed is not None:
                yield Remedy(swap_says(side, instead), changed)
    smaller = min(one, other, key=total)
    for side in (one, other):
        if side is not smaller and _of_kind(side, *_CARRIES):
            continue
        left = without(formula, positions(side))
        if left is not None:
            kept = any(part.record is not None and part.record.kind == "preservative" for part in side)
            says = tr("Leave out {lines}, and preserve it otherwise.") if kept else tr("Leave out {lines}.")
            yield Remedy(says.format(lines=joined(dict.fromkeys(part.line for part in side))), left)


def _charged(situation: Situation, charge: str) -> tuple[Part, ...]:
    return situation.held.where(lambda part: part.record is not None and part.record.charge == charge)


def _of_kind(parts: tuple[Part, ...], *kinds: str) -> tuple[Part, ...]:
    return tuple(part for part in parts if part.record is not None and part.record.kind in kinds)


@rule("charges", sources=("oppositely-charged-surfactants", "coacervation-in-shampoo", "DAZ-2018"))
def opposite_charges_do_not_meet(situation: Situation) -> Iterator[Finding]:
    """Large ions of opposite charge join into salts that do not dissolve: strings, cloud, lost foam, preservation."""
    if situation.held.water < _DRY:
        return
    anionic, cationic = _charged(situation, "anionic"), _charged(situation, "cationic")
    if not anionic or not cationic:
        return
    soaps = _of_kind(anionic, "surfactant", "emulsifier", "solubiliser")
    gels = tuple(part for part in anionic if part not in soaps)
    polymers = tuple(part for part in cationic if part in situation.held.of("cationic polymers"))
    keepers = _of_kind(cationic, "preservative")
    small = tuple(part for part in cationic if part not in polymers and part not in keepers)
    for clash in _charge_clashes(soaps, gels, polymers, keepers, small):
        if clash.one and clash.other:
            yield clash.finding(situation)


def _charge_clashes(
    soaps: tuple[Part, ...],
    gels: tuple[Part, ...],
    polymers: tuple[Part, ...],
    keepers: tuple[Part, ...],
    small: tuple[Part, ...],
) -> Iterator[_Clash]:
    yield _Clash(
        "charges", keepers, soaps + gels, "care",
        tr("A cationic preservative is bound by what is anionic"),
        tr("The two join into a salt that hardly dissolves, so that less of the preservative is left to work."),
        "DAZ-2018",
    )  # fmt: skip
    yield _Clash(
        "charges", small, soaps, "care",
        tr("A cationic and an anionic surfactant or emulsifier meet"),
        tr("Over a wide range of shares they drop out together; foam, conditioning and the emulsion suffer. Nonionic "
           "and amphoteric surfactants bridge some of it."),
        "oppositely-charged-surfactants",
        advice=(tr("Build it with surfactants of one charge, nonionic or amphoteric ones beside them."),),
    )  # fmt: skip
    yield _Clash(
        "charges", small + polymers, gels, "care",
        tr("A cationic and an anionic polymer or clay meet"),
        tr("They join into strings or a cloud, and the thickening goes."),
        "DAZ-2018",
    )  # fmt: skip
    if total(polymers) < total(soaps):
        yield _Clash(
            "charges", polymers, soaps, "note",
            tr("A cationic polymer with anionic surfactants"),
            tr("With much more surfactant than polymer it stays clear and settles on hair when rinsed: that is how "
               "washes condition. Near equal charges it drops out; a betaine makes the deposit softer."),
            "coacervation-in-shampoo",
            advice=(
                tr("Look at it at full strength and in ten parts of water; strings or lumps ask for less polymer."),
            ),
        )  # fmt: skip
    else:
        yield _Clash(
            "charges", polymers, soaps, "care",
            tr("More cationic polymer than anionic surfactant"),
            tr("Near equal charges the two drop out together as strings or lumps."),
            "coacervation-in-shampoo",
        )  # fmt: skip


@rule("benzene", sources=("Gardner-Lawrence-1993", "FDA-benzene-2006"))
def no_benzoate_with_free_vitamin_c(situation: Situation) -> Iterator[Finding]:
    """Vitamin C, air and a trace of iron or copper turn a little benzoic acid into benzene, which causes cancer."""
    one, other = situation.held.of("benzoates"), situation.held.of("free ascorbate")
    if one and other:
        yield _Clash(
            "benzene", one, other, "stop",
            headed(tr("{one} and {other} can form benzene").format(one=names(one), other=names(other))),
            tr("Vitamin C and traces of metal make hydroxyl radicals, which split benzoic acid to benzene: parts per "
               "billion, more with heat and light. A chelator slows it and does not rule it out."),
            "Gardner-Lawrence-1993",
        ).finding(situation)  # fmt: skip


@rule("nitrosamines", sources=("EU-1223-2009", "Eisenbrand-1991"))
def no_amine_with_a_nitrosating_agent(situation: Situation) -> Iterator[Finding]:
    """Alkanolamines and their amides hold secondary amines, which nitrosating agents turn into nitrosamines."""
    one, other = situation.held.of("nitrosating agents"), situation.held.of("nitrosatable amines")
    if one and other:
        yield _Clash(
            "nitrosamines", one, other, "stop",
            headed(tr("{one} and {other} can form nitrosamines").format(one=names(one), other=names(other))),
            tr("As it breaks down it gives nitrite, which turns secondary amines, also those that are traces in other "
               "amines, into nitrosamines; most of these cause cancer. The law of the EU forbids the two together."),
            "EU-1223-2009", "Annex III, entries 60 to 62; Annex V, entry 21",
        ).finding(situation)  # fmt: skip


@rule("metals", sources=("Shen-2021", "memory"))
def what_oxidises_is_kept_from_metals(situation: Situation) -> Iterator[Finding]:
    """Millionths of iron or copper let the air take vitamin C and other phenols: brown, and the effect is gone."""
    if situation.held.water < _DRY:
        return
    weak = tuple(part for part in situation.held.of("oxidisable") if part.percent >= TRACE)
    if not weak:
        return
    metals, bound = situation.held.of("active metals"), situation.held.of("chelators")
    if metals:
        why = tr("Iron, copper and manganese let the air oxidise it, and coloured complexes form.")
        slows = tr("The chelator in it slows this; it cannot bind a pigment or clay.")
        yield _Clash(
            "metals", metals, weak, "care",
            headed(tr("{one} with {other}").format(one=names(metals), other=names(weak))),
            f"{why} {slows}" if bound else why,
            "Shen-2021",
        ).finding(situation)  # fmt: skip
    elif not bound:
        yield Finding(
            "metals",
            "note",
            headed(tr("{names} without a chelator").format(names=names(weak))),
            tr(
                "{percents}. Traces of iron and copper from water, plants and tools are enough to let the air take "
                "it; a chelator binds them. Demineralised water, little air and no light help as much."
            ).format(percents=percents(weak)),
            "Shen-2021",
            lines=positions(weak),
            remedies=tuple(_chelated(situation)),
        )


def _chelated(situation: Situation) -> Iterator[Remedy]:
    for name, percent in _CHELATORS:
        if situation.formula.adds_up and name in situation.shelf:
            grown = added(situation.formula, situation.shelf, name, Decimal(percent))
            if grown is not None:
                says = tr("Add {percent} % {name}; check the pH afterwards.")
                yield Remedy(says.format(percent=percent, name=name), grown)


@rule("peroxide", sources=("HSDB-hydrogen-peroxide",))
def a_peroxide_stands_alone(situation: Situation) -> Iterator[Finding]:
    """Metals, alkali, enzymes and what takes up oxygen make peroxide break down into gas and heat: it can burst."""
    peroxide = situation.held.of("peroxides")
    if not peroxide:
        return
    metals, reducers = situation.held.of("active metals"), situation.held.of("reducers")
    bases = tuple(part for part in situation.held.parts if part.record is not None and part.record.kind == "base")
    enzymes = situation.held.where(lambda part: part.key == "papain")
    others = (
        (
            reducers,
            tr("They use each other up, with heat. In a closed container the gas can burst it."),
        ),
        (
            metals,
            tr("Metals break peroxide down into gas and heat. In a closed container the gas can burst it."),
        ),
        (
            bases,
            tr(
                "Above about pH 5 it breaks down much faster; it is kept at pH 3 to 4.5. In a closed container the gas "
                "can burst it."
            ),
        ),
        (
            enzymes,
            tr("Enzymes break peroxide down, or it them. In a closed container the gas can burst it."),
        ),
    )
    vented = tr("Bring it to pH 3 to 4.5 and close it with a vented cap.")
    for other, why in others:
        if other:
            yield _Clash(
                "peroxide", peroxide, other, "note" if other is bases else "stop",
                headed(tr("{one} with {other}").format(one=names(peroxide), other=names(other))),
                why,
                "HSDB-hydrogen-peroxide",
                advice=(vented,) if other is bases else (),
            ).finding(situation)  # fmt: skip


@rule("releasers", sources=("EU-2022-1181", "computed-from-formula"))
def a_formaldehyde_releaser_is_said(situation: Situation) -> Iterator[Finding]:
    """Some preservatives work by giving off formaldehyde, to which many people are allergic; the label must say so."""
    found = situation.held.of("releasers")
    most = 100 * situation.held.amount("releasers")
    if not found or most <= _RELEASES:
        return
    proteins = situation.held.where(lambda part: "hydrolyzed" in (part.record.inci.lower() if part.record else ""))
    eaten = tr("{percents}: protein takes formaldehyde up, which leaves less to preserve.")
    why = tr(
        "{percents}, which binds {most} % of formaldehyde and can give off as much at most. In the EU a product with "
        'more than {limit} % set free must say "releases formaldehyde"; only a measurement tells how much is.'
    ).format(percents=percents(found), most=digits(most, 2), limit=_RELEASES)
    if proteins:
        why = f"{why} {eaten.format(percents=percents(proteins))}"
    swaps = [
        (one, swapped(situation.formula, situation.shelf, found, one)) for one in stands_in(situation.shelf, found)
    ]
    yield Finding(
        "releasers",
        "care",
        headed(tr("{names} gives off formaldehyde").format(names=names(found))),
        why,
        "EU-2022-1181",
        "Annex V, preamble, point 2",
        positions(found),
        (
            *(Remedy(swap_says(found, one), changed) for one, changed in swaps if changed is not None),
            Remedy(tr('Write "releases formaldehyde" on the label, and check the law where it is sold.')),
        ),
    )


@rule("niacinamide-acid", sources=("niacinamide-hydrolysis", "common-practice"))
def niacinamide_is_kept_from_acid(situation: Situation) -> Iterator[Finding]:
    """In acid or alkali, and faster when hot, niacinamide turns into nicotinic acid, which flushes the skin."""
    mine = situation.held.where(lambda part: part.key == "niacinamide")
    if total(mine) < TRACE:
        return
    figure = situation.figures.get("ph")
    known = figure is not None and figure.known
    low, high = _NIACINAMIDE_AT_MOST
    if figure is not None and known:
        if low <= figure.value <= high:
            return
        said = tr("Niacinamide at pH {ph}").format(ph=figure.say())
    else:
        if spare_base(situation.held.parts) > -_SOUR:
            return
        said = tr("Niacinamide with acid left over")
    least, most = (f"{end:g}" for end in _NIACINAMIDE)
    yield Finding(
        "niacinamide-acid",
        "care" if known else "note",
        said,
        tr(
            "{percents}. It keeps best at pH {least} to {most}; beyond, it slowly turns into nicotinic acid, of "
            "which little is enough to redden skin. Slow at room temperature, fast when heated."
        ).format(percents=percents(mine), least=least, most=most),
        "niacinamide-hydrolysis",
        lines=positions(mine),
        remedies=(
            Remedy(
                tr("Bring it to pH {least} to {most} by a meter, and add the niacinamide below 40 °C.").format(
                    least=least, most=most
                )
            ),
        ),
    )
