"""Formulas on record: drafts with undo, saved versions, and what happens when two save at once."""

from __future__ import annotations

import re
import unicodedata

from django.db import transaction
from django.db.models import Max

from levigate import __version__
from levigate.errors import ConflictError, RecordError
from levigate.formula.text import read_formula
from levigate.records.journal import note
from levigate.records.models import Draft, DraftState, Formula, Version

#: States of a draft that undo can go back over.
STATES_KEPT = 200


def create(text: str, *, says: str = "new") -> Formula:
    """Bring a formula in, as a draft that is not saved yet.

    Raises
    ------
    FormulaError
        When the text is no formula.
    """
    name = read_formula(text).name[:200]
    with transaction.atomic():
        formula = Formula.objects.create(name=name, slug=_free_slug(name))
        draft = Draft.objects.create(formula=formula)
        DraftState.objects.create(draft=draft, number=0, text=text, says=says)
        note("formula", formula.slug, f"{name}: begun")
    return formula


def _free_slug(name: str) -> str:
    ascii_name = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    word = re.sub(r"[^a-z0-9]+", "-", ascii_name.lower()).strip("-")[:60] or "formula"
    taken = set(Formula.objects.filter(slug__startswith=word).values_list("slug", flat=True))
    if word not in taken:
        return word
    return next(f"{word}-{n}" for n in range(2, len(taken) + 3) if f"{word}-{n}" not in taken)


def draft_of(formula: Formula) -> DraftState:
    """Return the state of a formula that is being worked on; it begins at the version saved last."""
    with transaction.atomic():
        _locked(formula)
        draft = Draft.objects.filter(formula=formula).first()
        if draft is None:
            latest = formula.latest
            if latest is None:
                raise RecordError(f'"{formula.name}" has neither a version nor a draft.')
            draft = Draft.objects.create(formula=formula, base=latest)
            DraftState.objects.create(draft=draft, number=0, text=latest.text, says=f"as in version {latest.number}")
        return _shown(draft)


def text_of(formula: Formula) -> str:
    """Return the file of a formula as it is worked on; nothing is written."""
    draft = Draft.objects.filter(formula=formula).first()
    if draft is not None:
        return _shown(draft).text
    latest = formula.latest
    if latest is None:
        raise RecordError(f'"{formula.name}" has neither a version nor a draft.')
    return latest.text


def _locked(formula: Formula) -> Formula:
    """Return the formula, no one else writing to it until the transaction ends."""
    return Formula.objects.select_for_update().get(pk=formula.pk)


def _shown(draft: Draft) -> DraftState:
    return DraftState.objects.select_related("draft", "draft__base", "draft__formula").get(
        draft=draft, number=draft.shown
    )


def edit(formula: Formula, text: str, says: str, *, seen: int) -> DraftState:
    """Put a new state on the draft; what had been undone is let go.

    Parameters
    ----------
    formula : Formula
        The formula.
    text : str
        Its file as it shall be.
    says : str
        What was done.
    seen : int
        Number of the state that was on the screen when it was done.

    Raises
    ------
    ConflictError
        When another window changed it since.
    FormulaError
        When the text is no formula.
    """
    read_formula(text)
    with transaction.atomic():
        _locked(formula)
        state = draft_of(formula)
        if state.number != seen:
            raise ConflictError(
                f'"{formula.name}" was changed in another window since ({state.says}); look at it as it is now, '
                "then change it again."
            )
        if state.text == text:
            return state
        draft = state.draft
        draft.states.filter(number__gt=state.number).delete()
        draft.states.filter(number__lt=state.number - STATES_KEPT).delete()
        new = DraftState.objects.create(draft=draft, number=state.number + 1, text=text, says=says[:300])
        draft.shown = new.number
        draft.save(update_fields=["shown"])
        return _shown(draft)


def step(formula: Formula, by: int) -> DraftState:
    """Undo (-1) or redo (+1); the state stays where it is at either end."""
    with transaction.atomic():
        _locked(formula)
        state = draft_of(formula)
        target = state.draft.states.filter(number=state.number + by).first()
        if target is None:
            return state
        state.draft.shown = target.number
        state.draft.save(update_fields=["shown"])
        return _shown(state.draft)


def save(formula: Formula, *, seen: int, knew: int | None, note_text: str = "", branch: bool = False) -> Version:
    """Save the draft as a version.

    Parameters
    ----------
    formula : Formula
        The formula.
    seen : int
        Number of the state on the screen.
    knew : int, optional
        Number of the newest version that the saver knew of; None where there was none.
    note_text : str
        What changed, and why.
    branch : bool
        Save it beside a version that another saved since, as a child of the one that the saver knew of.

    Raises
    ------
    ConflictError
        When another saved a version since and this is not to be a branch, or another window changed the draft.
    """
    with transaction.atomic():
        _locked(formula)
        state = draft_of(formula)
        if state.number != seen:
            raise ConflictError(f'"{formula.name}" was changed in another window since ({state.says}).')
        latest = formula.latest
        if (latest.number if latest else None) != knew and not branch:
            raise ConflictError(
                f'"{formula.name}" has a newer version {latest.number if latest else 0}, saved since you began; '
                "nothing is lost: compare the two, then save yours beside it."
            )
        parent = state.draft.base
        if branch and knew is not None:
            parent = formula.versions.filter(number=knew).first()
        version = _keep(formula, state.text, parent, note_text)
        draft = state.draft
        draft.base = version
        draft.save(update_fields=["base"])
        return version


def add_version(formula: Formula, text: str, *, parent: Version | None, note_text: str = "") -> Version:
    """Keep a text as a version with the parent that its writer had before them; the draft is left alone."""
    read_formula(text)
    with transaction.atomic():
        _locked(formula)
        return _keep(formula, text, parent, note_text)


def _keep(formula: Formula, text: str, parent: Version | None, note_text: str) -> Version:
    highest = formula.versions.aggregate(highest=Max("number"))["highest"] or 0
    version = Version.objects.create(
        formula=formula, number=highest + 1, parent=parent, text=text, note=note_text, program=__version__
    )
    name = read_formula(text).name[:200]
    if name != formula.name:
        Formula.objects.filter(pk=formula.pk).update(name=name)
    note("formula", formula.slug, f"{name}: version {version.number} saved" + (f" ({note_text})" if note_text else ""))
    return version


def let_go(formula: Formula) -> DraftState:
    """Let the draft go and begin again at the version saved last; its states stay to be undone to."""
    with transaction.atomic():
        _locked(formula)
        state = draft_of(formula)
        latest = formula.latest
        if latest is None:
            raise RecordError(f'"{formula.name}" has no saved version to go back to.')
        state.draft.base = latest
        state.draft.save(update_fields=["base"])
        return edit(formula, latest.text, f"back to version {latest.number}", seen=state.number)


def take_up(version: Version) -> DraftState:
    """Go on from a version: the draft becomes it, and what is saved next grows from it."""
    formula = version.formula
    with transaction.atomic():
        _locked(formula)
        state = draft_of(formula)
        state.draft.base = version
        state.draft.save(update_fields=["base"])
        return edit(formula, version.text, f"on from version {version.number}", seen=state.number)


def set_put_away(formula: Formula, *, put_away: bool) -> None:
    """Put a formula away, or bring it back; nothing of it is lost."""
    with transaction.atomic():
        _locked(formula)
        Formula.objects.filter(pk=formula.pk).update(put_away=put_away)
        note("formula", formula.slug, f"{formula.name}: {'put away' if put_away else 'brought back'}")
