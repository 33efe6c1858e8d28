"""Weighing a batch, one line at a time; every action works as a plain form and on two devices at once."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from levigate.errors import ConflictError, LevigateError, RecordError
from levigate.records import batches, weighing
from levigate.records.models import Batch, BatchLine, Weighing
from levigate.web.bench.asking import batch_of, grams_of, key_of, line_of, lot_of, whole
from levigate.web.bench.showing import WeighPage, next_position, weigh_page


@require_http_methods(["GET", "HEAD", "POST"])
def weigh(request: HttpRequest, code: str) -> HttpResponse:
    """Show one line at the scale, or keep a reading of it."""
    batch = batch_of(code)
    if request.method == "POST":
        return _keep(request, batch)
    if batch.state != "weighing":
        return redirect("batch", code=code)
    asked = request.GET.get("line", "")
    return _shown(request, weigh_page(batch, int(asked) if asked.isdecimal() and len(asked) < 6 else None))


def _shown(request: HttpRequest, page: WeighPage, status: int = 200) -> HttpResponse:
    part = request.htmx  # type: ignore[attr-defined]
    context = {"room": "bench", "page": page, "batch": page.batch}
    answer = render(request, f"bench/{'_weigh' if part else 'weigh'}.html", context, status=status)
    if part and page.one is not None:
        answer["HX-Push-Url"] = f"{reverse('batch-weigh', args=[page.batch.code])}?line={page.one.line.position}"
    return answer


def _keep(request: HttpRequest, batch: Batch) -> HttpResponse:
    line = line_of(request, batch)
    try:
        key, typed = key_of(request), grams_of(request.POST.get("reading", ""))
        if request.POST.get("take") == "out" and typed is not None:
            typed = -abs(typed)
        runs = batch.tare == "running" and request.POST.get("take") != "out"
        if request.POST.get("tare", batch.tare) != batch.tare:
            raise ConflictError("Another device changed how the scale is read; look at what it shall show now.")
        reading = {"reading": typed} if runs and typed is not None else {"grams": typed}
        weighing.keep(line, key=key, lot=lot_of(request), seen=whole(request, "seen"), **reading)
    except LevigateError as trouble:
        words: dict[str, Any] = {"says": str(trouble), "key": _same_key(request)}
        if request.POST.get("take") != "out":
            words["typed"] = request.POST.get("reading", "")
        page = weigh_page(batch, line.position, **words)
        return _shown(request, page, 409 if isinstance(trouble, ConflictError) else 422)
    return _on(request, batch, line)


def _same_key(request: HttpRequest) -> UUID:
    try:
        return key_of(request)
    except RecordError:
        return uuid4()


def _on(request: HttpRequest, batch: Batch, line: BatchLine) -> HttpResponse:
    """Go on with the line while it is not done, else with the next."""
    position = next_position(batch, line.position)
    if request.htmx:  # type: ignore[attr-defined]
        return _shown(request, weigh_page(batch, position))
    query = "" if position is None else f"?line={position}"
    return redirect(f"{reverse('batch-weigh', args=[batch.code])}{query}")


@require_safe
def now(request: HttpRequest, code: str) -> HttpResponse:
    """Say how a line stands when anything about the weighing changed since; nothing otherwise."""
    batch, asked, mark = batch_of(code), request.GET.get("line", ""), request.GET.get("mark", "")
    if not asked.isdecimal():
        raise Http404(asked)
    page = weigh_page(batch, int(asked))
    if page.now.mark == mark:
        return HttpResponse(status=204)
    newest = mark.rpartition(".")[2]
    known = int(newest) if newest.isdecimal() else 0
    fresh = tuple(row for one in page.now.lines for row in one.weighings if row.pk > known)
    page = WeighPage(page.batch, page.now, page.one, page.key, meanwhile=fresh)
    return render(request, "bench/_now.html", {"page": page, "batch": batch, "polled": True})


@require_POST
def leave(request: HttpRequest, code: str) -> HttpResponse:
    """Leave a line as it stands."""
    batch = batch_of(code)
    line = line_of(request, batch)
    weighing.leave(line, seen=whole(request, "seen"))
    return _on(request, batch, line)


@require_POST
def raise_rest(request: HttpRequest, code: str) -> HttpResponse:
    """Scale the rest up to an over-poured line."""
    batch = batch_of(code)
    line = line_of(request, batch)
    weighing.raise_rest(line, seen=whole(request, "seen"))
    return _on(request, batch, line)


@require_POST
def tare(request: HttpRequest, code: str) -> HttpResponse:
    """Switch between taring each line and a running total."""
    batch = batch_of(code)
    batches.set_tare(batch, request.POST.get("tare", ""))
    batch.refresh_from_db()
    position = whole(request, "line")
    if request.htmx:  # type: ignore[attr-defined]
        return _shown(request, weigh_page(batch, position))
    return redirect(f"{reverse('batch-weigh', args=[code])}?line={position or ''}")


@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """Put a reading right that was typed wrongly."""
    batch = batch_of(code)
    row = get_object_or_404(Weighing.objects.select_related("line__batch", "lot"), pk=number, line__batch=batch)
    if request.method != "POST":
        return _correcting(request, batch, row)
    try:
        grams = grams_of(request.POST.get("grams", ""))
        if grams is None:
            raise RecordError('Type what went in, for example "62.4"; 0 where nothing did.')
        weighing.correct(row, grams, request.POST.get("why", ""), key=key_of(request))
    except RecordError as trouble:
        return _correcting(request, batch, row, str(trouble))
    if batch.state == "weighing":
        return redirect(f"{reverse('batch-weigh', args=[code])}?line={row.line.position}")
    return redirect("batch", code=code)


def _correcting(request: HttpRequest, batch: Batch, row: Weighing, says: str = "") -> HttpResponse:
    context = {"room": "bench", "batch": batch, "row": row, "says": says, "key": _same_key(request)}
    context |= {"grams": request.POST.get("grams", ""), "why": request.POST.get("why", ""), "what": row.line.material}
    return render(request, "bench/correct.html", context, status=422 if says else 200)
