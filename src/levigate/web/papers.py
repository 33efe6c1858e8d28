"""Papers, as downloads: the browser keeps the file and never opens it as a page of ours."""

from __future__ import annotations

from django.http import FileResponse, HttpRequest
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from levigate.records import papers
from levigate.records.models import Attached


@require_safe
def download(request: HttpRequest, number: int) -> FileResponse:
    """Give a paper under the name it was attached under."""
    put = get_object_or_404(Attached.objects.select_related("attachment"), pk=number)
    return FileResponse(papers.read(put.attachment), as_attachment=True, filename=put.name, content_type=papers.UNKNOWN)
