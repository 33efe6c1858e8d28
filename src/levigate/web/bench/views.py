"""Pages of the bench: all batches, one batch, its record."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from levigate.publish.batch_record import pdf_record
from levigate.records import batches, weighing
from levigate.records.filling import filled
from levigate.web.bench.asking import batch_of
from levigate.web.bench.recording import record_of
from levigate.web.bench.showing import BatchPage, closed_batches, open_batches


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show the batches that wait for somebody, and those that are done with."""
    every = "all" in request.GET
    context = {"room": "bench", "open": open_batches(), "closed": closed_batches(every=every), "every": every}
    return render(request, "bench/index.html", context)


@require_safe
def batch(request: HttpRequest, code: str) -> HttpResponse:
    """Show a batch: where it stands, what was weighed, what it was filled into, what was done."""
    one = batch_of(code)
    context = {"room": "bench", "page": BatchPage(one), "batch": one, "filled": filled(one)}
    return render(request, "bench/batch.html", context)


@require_POST
def step(request: HttpRequest, code: str) -> HttpResponse:
    """Take a batch a step further."""
    one = batches.step(batch_of(code), request.POST.get("to", ""), request.POST.get("why", ""))
    if one.state == "weighing":
        return redirect("batch-weigh", code=code)
    if one.state == "made":
        return redirect("batch-fill", code=code)
    messages.success(request, _("Batch %(code)s: %(state)s.") % {"code": code, "state": _(one.state)})
    return redirect("batch", code=code)


@require_POST
def remark(request: HttpRequest, code: str) -> HttpResponse:
    """Put a word into the record."""
    weighing.remark(batch_of(code), request.POST.get("text", ""))
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "bench/_noted.html")
    return redirect("batch-weigh" if "weigh" in request.POST else "batch", code=code)


@require_safe
def record(request: HttpRequest, code: str) -> HttpResponse:
    """Show the record of a batch, as it is printed and kept."""
    one = batch_of(code)
    return render(request, "bench/record.html", {"room": "bench", "batch": one, "record": record_of(one)})


@require_safe
def record_pdf(request: HttpRequest, code: str) -> HttpResponse:
    """Hand the record out as PDF."""
    answer = HttpResponse(pdf_record(record_of(batch_of(code))), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="batch-{code}.pdf"'
    return answer
