"""Changes of a draft: each is a form that works without JavaScript, and gives back the sheet where htmx asks."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from levigate.errors import PercentError, RecordError
from levigate.formula import edit
from levigate.formula.percent import ways_to_mend
from levigate.formula.text import read_formula
from levigate.formula.uses import uses
from levigate.formula.write import rewrite
from levigate.records import formulas as records
from levigate.records.models import DraftState, Formula
from levigate.web.formulas.asking import givers, percent_of, position_of, says_of
from levigate.web.formulas.reading import page_of, reviewed


def _begin(request: HttpRequest, slug: str) -> tuple[Formula, DraftState, int]:
    """Return the formula, its draft, and the number of the state that was on the screen."""
    record = get_object_or_404(Formula, slug=slug)
    seen = request.POST.get("seen", "")
    if not seen.isdigit():
        raise RecordError("The form does not say which state it was made from; open the page again.")
    return record, records.draft_of(record), int(seen)


def _answer(request: HttpRequest, record: Formula, state: DraftState) -> HttpResponse:
    """Return the sheet as it is now, or go to the page."""
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("formula", slug=record.slug)
    page = page_of(record, request.preferences["scale"], state)  # type: ignore[attr-defined]
    return render(request, "formulas/_sheet.html", {"page": page, "uses": uses()})


@require_POST
def percent(request: HttpRequest, slug: str) -> HttpResponse:
    """Set one line where it stands."""
    record, before, seen = _begin(request, slug)
    position, wanted = position_of(request, before.text), request.POST.get("percent", "").strip()
    if wanted.casefold().replace(".", "").startswith("qs"):
        text, says = edit.as_qs(before.text, position), "q.s."
    else:
        value = percent_of(wanted)
        text, says = edit.set_percent(before.text, position, value, _give(request)), f"{value} %"
    state = records.edit(record, text, f"{says_of(before.text, position)} to {says}", seen=seen)
    return _answer(request, record, state)


def _give(request: HttpRequest) -> str | list[int] | None:
    return givers(request.POST.getlist("give"))


@require_POST
def sentence(request: HttpRequest, slug: str) -> HttpResponse:
    """Carry out the sentence: set ... to ... and let ... give way."""
    record, before, seen = _begin(request, slug)
    position, value = position_of(request, before.text), percent_of(request.POST.get("percent", ""))
    text = edit.set_percent(before.text, position, value, _give(request))
    state = records.edit(record, text, f"{says_of(before.text, position)} to {value} %", seen=seen)
    return _answer(request, record, state)


@require_POST
def line(request: HttpRequest, slug: str) -> HttpResponse:
    """Move, take out, rename or describe a line."""
    record, before, seen = _begin(request, slug)
    position = position_of(request, before.text)
    name, what = says_of(before.text, position), request.POST.get("do", "")
    if what == "move":
        place = position_of(request, before.text, "place", checked=False)
        text, says = edit.move_line(before.text, position, request.POST.get("phase", ""), place), f"{name} moved"
    elif what == "remove":
        text, says = edit.remove_line(before.text, position), f"{name} taken out"
    elif what == "rename":
        new = request.POST.get("material", "").strip()
        text, says = edit.rename_line(before.text, position, new), f"{name} becomes {new}"
    elif what == "describe":
        words = {word: request.POST.get(word, "") for word in ("role", "note") if word in request.POST}
        text, says = edit.describe_line(before.text, position, words), f"{name} described"
    else:
        raise RecordError(f'"{what}" is nothing that can be done to a line.')
    return _answer(request, record, records.edit(record, text, says, seen=seen))


@require_POST
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """Put a line in, in a phase or in a new one."""
    record, before, seen = _begin(request, slug)
    material = " ".join(request.POST.get("material", "").split())
    if not material:
        raise PercentError("Name the material to put in.")
    value = percent_of(request.POST.get("percent") or "0")
    letter = request.POST.get("phase", "")
    if letter:
        text = edit.add_line(before.text, letter, material, value)
    else:
        text = edit.add_phase(before.text, material, value)
    return _answer(request, record, records.edit(record, text, f"{material} put in", seen=seen))


@require_POST
def phase(request: HttpRequest, slug: str) -> HttpResponse:
    """Change how a phase is treated."""
    record, before, seen = _begin(request, slug)
    letter = request.POST.get("phase", "")
    text = edit.set_how(before.text, letter, request.POST.get("how", ""))
    return _answer(request, record, records.edit(record, text, f"phase {letter} treated anew", seen=seen))


@require_POST
def head(request: HttpRequest, slug: str) -> HttpResponse:
    """Change name, use, amount, container or note."""
    record, before, seen = _begin(request, slug)
    text = edit.set_head(before.text, {word: request.POST[word] for word in edit.HEAD if word in request.POST})
    words = {word: request.POST[f"container-{word}"] for word in edit.CONTAINER if f"container-{word}" in request.POST}
    if words:
        text = edit.set_container(text, words)
    return _answer(request, record, records.edit(record, text, "what it is and makes", seen=seen))


@require_POST
def measured(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep a value measured on the product."""
    record, before, seen = _begin(request, slug)
    name = request.POST.get("name", "")
    words = {word: request.POST.get(word, "").strip() for word in ("value", "spread", "how", "date")}
    text = edit.set_measured(before.text, name, words)
    says = f"{name} measured: {words['value']}" if words["value"] else f"{name} no longer measured"
    return _answer(request, record, records.edit(record, text, says, seen=seen))


@require_POST
def remedy(request: HttpRequest, slug: str) -> HttpResponse:
    """Apply a remedy of the review."""
    record, before, seen = _begin(request, slug)
    found = reviewed(before.text, request.preferences["scale"]).remedy(request.POST.get("id", ""))  # type: ignore[attr-defined]
    if found is None or found.formula is None:
        raise RecordError("That remedy is no longer there: the formula has changed since. Look at the findings again.")
    text = rewrite(before.text, found.formula)
    return _answer(request, record, records.edit(record, text, found.says, seen=seen))


@require_POST
def mend(request: HttpRequest, slug: str) -> HttpResponse:
    """Make the lines sum to 100 in one of the honest ways."""
    record, before, seen = _begin(request, slug)
    ways = dict(ways_to_mend(read_formula(before.text)))
    wanted = request.POST.get("way", "")
    if wanted not in ways:
        raise RecordError("That way is no longer there: the formula has changed since.")
    state = records.edit(record, rewrite(before.text, ways[wanted]), wanted, seen=seen)
    return _answer(request, record, state)


@require_POST
def step(request: HttpRequest, slug: str) -> HttpResponse:
    """Undo or redo."""
    record = get_object_or_404(Formula, slug=slug)
    state = records.step(record, +1 if request.POST.get("do") == "redo" else -1)
    return _answer(request, record, state)


@require_http_methods(["GET", "HEAD", "POST"])
def text(request: HttpRequest, slug: str) -> HttpResponse:
    """Change the whole text."""
    if request.method == "POST":
        record, _, seen = _begin(request, slug)
        new = request.POST.get("text", "").replace("\r\n", "\n")
        return _answer(request, record, records.edit(record, new, "text changed", seen=seen))
    record = get_object_or_404(Formula, slug=slug)
    return render(
        request, "formulas/text.html", {"room": "formulas", "state": records.draft_of(record), "record": record}
    )
