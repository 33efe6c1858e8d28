"""Filling a batch: yield, jars, their weights."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from levigate.errors import LevigateError, RecordError
from levigate.formula.text import read_formula
from levigate.records import filling
from levigate.records.models import Batch, FillWeight, Jar
from levigate.records.weighing import standing
from levigate.shelf.containers import containers
from levigate.web.bench.asking import batch_of, grams_of, key_of, whole


def _shown(request: HttpRequest, batch: Batch, says: str = "") -> HttpResponse:
    """Show the page; what was typed stays in its fields where something was wrong with it."""
    batch = batch_of(batch.code)
    makes, found = read_formula(batch.version.text).makes, filling.filled(batch)
    held = sum((one.fill.grams * len(one.jars) for one in found), Decimal(0))
    context = {
        "room": "bench", "batch": batch, "filled": found, "says": says, "now": standing(batch), "key": uuid4(),
        "makes": makes, "containers": containers(), "typed": request.POST if says else {},
        "over": None if batch.bulk_grams is None else batch.bulk_grams - (batch.retained_grams or 0) - held,
    }  # fmt: skip
    part = request.htmx  # type: ignore[attr-defined]
    return render(request, f"bench/{'_fill' if part else 'fill'}.html", context, status=422 if says else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def fill(request: HttpRequest, code: str) -> HttpResponse:
    """Show the filling, or put containers down."""
    batch = batch_of(code)
    if request.method != "POST":
        return _shown(request, batch)
    try:
        filling.fill(
            batch,
            container=request.POST.get("container", ""),
            nominal=request.POST.get("nominal", ""),
            count=whole(request, "count") or 0,
            tare=grams_of(request.POST.get("tare", "")) or Decimal(0),
        )
    except LevigateError as trouble:
        return _shown(request, batch, str(trouble))
    return _done(request, batch)


def _done(request: HttpRequest, batch: Batch) -> HttpResponse:
    return _shown(request, batch) if request.htmx else redirect("batch-fill", code=batch.code)  # type: ignore[attr-defined]


@require_POST
def set_yield(request: HttpRequest, code: str) -> HttpResponse:
    """Write the yield and the sample down."""
    batch = batch_of(code)
    try:
        bulk, retained = (grams_of(request.POST.get(word, "")) for word in ("bulk", "retained"))
        filling.set_yield(batch, bulk=bulk, retained=retained)
    except LevigateError as trouble:
        return _shown(request, batch, str(trouble))
    return _done(request, batch)


@require_POST
def jar(request: HttpRequest, code: str) -> HttpResponse:
    """Keep the weight of a jar: what the scale shows, less the empty container."""
    batch = batch_of(code)
    one = get_object_or_404(Jar.objects.select_related("fill__batch"), fill__batch=batch, code=request.POST.get("jar"))
    try:
        reading = grams_of(request.POST.get("reading", ""))
        if reading is None:
            raise RecordError('Type what the scale shows, for example "52.4".')
        filling.weigh_jar(one, reading - one.fill.tare, key=key_of(request))
    except LevigateError as trouble:
        return _shown(request, batch, str(trouble))
    return _done(request, batch)


@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, code: str, number: int) -> HttpResponse:
    """Put a fill weight right that was typed wrongly."""
    batch = batch_of(code)
    row = get_object_or_404(FillWeight.objects.select_related("jar__fill__batch"), pk=number, jar__fill__batch=batch)
    says = ""
    if request.method == "POST":
        try:
            grams = grams_of(request.POST.get("grams", ""))
            if grams is None:
                raise RecordError('Type what the jar holds, for example "50.2".')
            filling.correct_jar(row, grams, request.POST.get("why", ""), key=key_of(request))
            return redirect("batch-fill", code=code)
        except RecordError as trouble:
            says = str(trouble)
    context = {"room": "bench", "batch": batch, "row": row, "says": says, "key": uuid4(), "what": row.jar.code}
    context |= {"grams": request.POST.get("grams", ""), "why": request.POST.get("why", "")}
    return render(request, "bench/correct.html", context, status=422 if says else 200)
