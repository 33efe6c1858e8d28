"""The routes of the API; access is looked after before they are reached, by `levigate.web.access`."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import HttpError, ValidationError

from levigate import __version__
from levigate.errors import ConflictError, LevigateError
from levigate.web.api import forms, reading, writing
from levigate.web.api.forms import (
    TROUBLE,
    Closed,
    Code,
    Limit,
    Material,
    Number,
    Offset,
    Position,
    PutAway,
    Slug,
    State,
    VersionNumber,
)

api = NinjaAPI(
    title="levigate",
    version=__version__,
    description="Read formulas, figures, findings, batches and lots of this workshop; write weighings.",
    docs_url=None,
    openapi_extra={
        "components": {"securitySchemes": {"token": {"type": "http", "scheme": "bearer"}}},
        "security": [{"token": []}],
    },
)


@api.get("/formulas", response={200: list[forms.FormulaEntry], **TROUBLE}, tags=["formulas"])
def formulas(request: HttpRequest, put_away: PutAway, offset: Offset, limit: Limit) -> Any:
    """List the formulas, those worked on last first."""
    return reading.formulas(put_away=put_away, offset=offset, limit=limit)


@api.get("/formulas/{slug}", response={200: forms.FormulaRecord, **TROUBLE}, tags=["formulas"])
def formula(request: HttpRequest, slug: Slug) -> Any:
    """Read a formula: its draft as a file, and its versions."""
    return reading.formula(slug)


@api.get("/formulas/{slug}/versions/{number}", response={200: forms.VersionRecord, **TROUBLE}, tags=["formulas"])
def version(request: HttpRequest, slug: Slug, number: Number) -> Any:
    """Read a saved version."""
    return reading.version(slug, number)


@api.get("/formulas/{slug}/figures", response={200: forms.Figures, **TROUBLE}, tags=["formulas"])
def figures(request: HttpRequest, slug: Slug, version: VersionNumber) -> Any:
    """Read the figures of a formula, each with its spread, working and source."""
    return reading.figures(slug, version, request.preferences["scale"])  # type: ignore[attr-defined]


@api.get("/formulas/{slug}/findings", response={200: forms.Findings, **TROUBLE}, tags=["formulas"])
def findings(request: HttpRequest, slug: Slug, version: VersionNumber) -> Any:
    """Read what the review says of a formula."""
    return reading.findings(slug, version, request.preferences["scale"])  # type: ignore[attr-defined]


@api.get("/batches", response={200: list[forms.BatchEntry], **TROUBLE}, tags=["batches"])
def batches(request: HttpRequest, state: State, offset: Offset, limit: Limit) -> Any:
    """List the batches, the newest first."""
    return reading.batches(state=state, offset=offset, limit=limit)


@api.get("/batches/{code}", response={200: forms.BatchRecord, **TROUBLE}, tags=["batches"])
def batch(request: HttpRequest, code: Code) -> Any:
    """Read a batch with its lines and what was weighed."""
    return reading.batch(code)


@api.post(
    "/batches/{code}/lines/{position}/weighings",
    response={200: forms.WeighingOut, 201: forms.WeighingOut, 400: forms.Trouble, 409: forms.Trouble, **TROUBLE},
    tags=["batches"],
)
def weigh(request: HttpRequest, code: Code, position: Position, sent: forms.WeighingIn) -> Any:
    """Keep what the scale shows: 201 for a new reading, 200 for one that was kept before."""
    return writing.weigh(request, code, position, sent)


@api.get("/lots", response={200: list[forms.LotOut], **TROUBLE}, tags=["lots"])
def lots(request: HttpRequest, material: Material, closed: Closed, offset: Offset, limit: Limit) -> Any:
    """List the lots by material, the first to expire first."""
    return reading.lots(material=material, closed=closed, offset=offset, limit=limit)


@api.get("/lots/{number}", response={200: forms.LotOut, **TROUBLE}, tags=["lots"])
def lot(request: HttpRequest, number: Number) -> Any:
    """Read a lot by its id."""
    return reading.lot(number)


def _trouble(request: HttpRequest, says: str, status: int) -> HttpResponse:
    return api.create_response(request, {"detail": says}, status=status)


@api.exception_handler(Http404)
def not_found(request: HttpRequest, trouble: Http404) -> HttpResponse:
    """Say that there is no such thing."""
    return _trouble(request, str(trouble) or "There is nothing here.", 404)


@api.exception_handler(LevigateError)
def told(request: HttpRequest, trouble: LevigateError) -> HttpResponse:
    """Say what is wrong."""
    return _trouble(request, str(trouble), 409 if isinstance(trouble, ConflictError) else 422)


@api.exception_handler(HttpError)
def not_json(request: HttpRequest, trouble: HttpError) -> HttpResponse:
    """Say that what was sent cannot be read at all."""
    return _trouble(request, str(trouble), trouble.status_code)


@api.exception_handler(ValidationError)
def unreadable(request: HttpRequest, trouble: ValidationError) -> HttpResponse:
    """Say which part of the question cannot be read."""
    said = "; ".join(f"{'.'.join(str(word) for word in one['loc'])}: {one['msg']}" for one in trouble.errors)
    return _trouble(request, said, 422)
