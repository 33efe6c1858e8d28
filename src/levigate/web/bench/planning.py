"""Planning a batch from a saved version."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from levigate.errors import LevigateError, RecordError
from levigate.formula.text import read_formula
from levigate.records import batches, formulas
from levigate.records.models import DraftState, Formula, Version
from levigate.web.bench.asking import whole


@dataclass(frozen=True)
class PlanPage:
    """What is asked for, and the plan that follows from it."""

    formula: Formula
    state: DraftState
    #: The version to make; None where none is saved.
    version: Version | None
    asked: dict[str, str]
    planned: batches.Planned | None = None
    #: Why there is no plan.
    trouble: str = ""
    versions: tuple[Version, ...] = field(default=())

    @property
    def unsaved(self) -> bool:
        """Whether the draft says something else than the version saved last."""
        latest = self.versions[0] if self.versions else None
        return latest is None or latest.text != self.state.text


def _page(request: HttpRequest, told: QueryDict) -> PlanPage:
    formula = get_object_or_404(Formula, slug=told.get("formula", ""))
    state, versions = formulas.draft_of(formula), tuple(formula.versions.order_by("-number"))
    number = told.get("version", "")
    version = next((one for one in versions if str(one.number) == number), versions[0] if versions else None)
    asked = {"scale": request.preferences["scale"], "tare": "each", "loss": ""}  # type: ignore[attr-defined]
    if version is None:
        return PlanPage(formula, state, None, asked, versions=versions)
    made = read_formula(version.text)
    asked["makes"] = made.makes.text if made.makes else ""
    asked["container"] = made.container.name if made.container else ""
    asked.update({word: told[word] for word in ("makes", "scale", "loss", "container", "tare", "note") if word in told})
    try:
        planned = batches.planned(version, makes=asked["makes"], scale=asked["scale"], loss=asked["loss"])
    except LevigateError as trouble:
        return PlanPage(formula, state, version, asked, None, str(trouble), versions)
    return PlanPage(formula, state, version, asked, planned, "", versions)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Plan a batch: what to weigh, from which lots, what lacks."""
    if request.method == "POST":
        return _begun(request)
    if not request.GET.get("formula"):
        listed = Formula.objects.filter(put_away=False)
        return render(request, "bench/choose.html", {"room": "bench", "formulas": listed})
    page = _page(request, request.GET)
    context = {"room": "bench", "page": page, "scales": ("0.1 g", "0.01 g", "0.001 g", "0.5 g", "1 g")}
    return render(request, f"bench/{'_plan' if request.htmx else 'new'}.html", context)  # type: ignore[attr-defined]


def _begun(request: HttpRequest) -> HttpResponse:
    page = _page(request, request.POST)
    if page.version is None:
        raise RecordError("Save a version first: a batch says for good what it was made from.")
    if page.planned is None:
        return render(request, "bench/new.html", {"room": "bench", "page": page}, status=422)
    asked = page.asked
    lots = {line.weigh.position: whole(request, f"lot-{line.weigh.position}") for line in page.planned.lines}
    made = batches.begin(
        page.version,
        makes=asked["makes"],
        scale=asked["scale"],
        loss=asked["loss"],
        container=asked["container"],
        tare=asked["tare"],
        lots=lots,
        note_text=asked.get("note", ""),
    )
    return redirect("batch", code=made.code)


@require_POST
def save(request: HttpRequest) -> HttpResponse:
    """Save the draft as a version, so that a batch can be made from it."""
    formula = get_object_or_404(Formula, slug=request.POST.get("formula", ""))
    seen = whole(request, "seen")
    if seen is None:
        raise RecordError("The form does not say which state it was made from; open the page again.")
    version = formulas.save(
        formula, seen=seen, knew=whole(request, "knew"), note_text=request.POST.get("note", "").strip()
    )
    messages.success(request, _("Saved as version %(number)s.") % {"number": version.number})
    return redirect(f"{reverse('batch-new')}?formula={formula.slug}")
