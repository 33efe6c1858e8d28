"""Pages of formulas: all of them, a new one, the ledger, working, charts, side by side."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from levigate.errors import RecordError
from levigate.formula.uses import uses
from levigate.publish.jar import jar_of
from levigate.publish.pictures import pictures
from levigate.records import formulas as records
from levigate.records.models import Formula
from levigate.web.formulas.beginning import begin, outlines
from levigate.web.formulas.comparing import side_by_side
from levigate.web.formulas.drawing import drawing
from levigate.web.formulas.listing import listed
from levigate.web.formulas.reading import page_of, reviewed

#: A formula is a page of text. [bytes]
_LARGEST = 1_000_000


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show all formulas."""
    put_away = "put-away" in request.GET
    context = {"room": "formulas", "formulas": listed(put_away=put_away), "put_away": put_away}
    return render(request, "formulas/index.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Begin a formula by family."""
    if request.method == "POST":
        made = begin(request.POST.get("name", ""), request.POST.get("family", ""))
        return redirect("formula", slug=made.slug)
    return render(request, "formulas/new.html", {"room": "formulas", "outlines": outlines()})


@require_http_methods(["GET", "HEAD", "POST"])
def bring(request: HttpRequest) -> HttpResponse:
    """Bring in a formula file, as a file or as text."""
    if request.method == "POST":
        sent = request.FILES.get("file")
        if sent is not None and (sent.size or 0) > _LARGEST:
            raise RecordError("The file is too large: a formula is a page of text.")
        raw = sent.read() if sent is not None else request.POST.get("text", "").encode()
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError as trouble:
            raise RecordError("The file is not UTF-8 text; save it as UTF-8 in the editor.") from trouble
        made = records.create(text.replace("\r\n", "\n") if sent is None else text, says="brought in")
        return redirect("formula", slug=made.slug)
    return render(request, "formulas/bring.html", {"room": "formulas"})


@require_safe
def formula(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the ledger of a formula."""
    page = page_of(get_object_or_404(Formula, slug=slug), request.preferences["scale"])  # type: ignore[attr-defined]
    return render(request, "formulas/formula.html", {"room": "formulas", "page": page, "uses": uses()})


@require_safe
def file(request: HttpRequest, slug: str) -> HttpResponse:
    """Hand the formula back as its file."""
    state = records.draft_of(get_object_or_404(Formula, slug=slug))
    answer = HttpResponse(state.text, content_type="application/toml; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{slug}.toml"'
    return answer


@require_safe
def working(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Show the working of one figure."""
    state = records.draft_of(get_object_or_404(Formula, slug=slug))
    figure = reviewed(state.text, request.preferences["scale"]).figures.get(name)  # type: ignore[attr-defined]
    if figure is None:
        raise Http404(name)
    context = {"room": "formulas", "figure": figure, "slug": slug}
    return render(request, f"formulas/{'_working' if request.htmx else 'working'}.html", context)  # type: ignore[attr-defined]


@require_safe
def jar(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the jar: drawn, through time, in words and as a table."""
    record = get_object_or_404(Formula, slug=slug)
    found = reviewed(records.draft_of(record).text, request.preferences["scale"])  # type: ignore[attr-defined]
    context = {"room": "formulas", "record": record, "jar": drawing(jar_of(found))}
    return render(request, f"formulas/{'_jar_drawn' if request.htmx else 'jar'}.html", context)  # type: ignore[attr-defined]


@require_safe
def charts(request: HttpRequest, slug: str) -> HttpResponse:
    """Show which charts the formula has, each a picture that loads when it is seen."""
    state = records.draft_of(get_object_or_404(Formula, slug=slug))
    found = reviewed(state.text, request.preferences["scale"])  # type: ignore[attr-defined]
    context = {"room": "formulas", "slug": slug, "charts": [name for name, _ in pictures(found)], "state": state}
    return render(request, f"formulas/{'_charts' if request.htmx else 'charts'}.html", context)  # type: ignore[attr-defined]


@require_safe
def chart(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Show one chart."""
    state = records.draft_of(get_object_or_404(Formula, slug=slug))
    found = dict(pictures(reviewed(state.text, request.preferences["scale"])))  # type: ignore[attr-defined]
    if name not in found:
        raise Http404(name)
    answer = HttpResponse(found[name], content_type="image/svg+xml")
    answer["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return answer


@require_safe
def compare(request: HttpRequest) -> HttpResponse:
    """Show up to four formulas or versions side by side."""
    context = {"room": "formulas", **side_by_side(request.GET.getlist("with"))}
    return render(request, "formulas/compare.html", context)
