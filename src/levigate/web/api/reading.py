"""What is read for the API, in the shapes that it gives."""

from __future__ import annotations

from django.db.models import Prefetch
from django.http import Http404

from levigate import __version__
from levigate.formula.model import plain
from levigate.formula.text import read_formula
from levigate.publish.forms import FormulaOut, lines_out, review_out
from levigate.records.formulas import text_of
from levigate.records.models import Batch, BatchLine, Formula, Lot, Version, Weighing
from levigate.review.engine import Review
from levigate.web.api import forms
from levigate.web.formulas.listing import listed
from levigate.web.formulas.reading import reviewed


def formulas(*, put_away: bool, offset: int, limit: int) -> list[forms.FormulaEntry]:
    """Return formulas, those worked on last first."""
    return [
        forms.FormulaEntry(
            slug=one.slug,
            name=one.name,
            version=one.newest,
            saved=one.saved,
            changed=one.draft_text is not None and one.draft_text != one.newest_text,
            put_away=one.put_away,
        )
        for one in listed(put_away=put_away)[offset : offset + limit]
    ]


def formula(slug: str) -> forms.FormulaRecord:
    """Return one formula."""
    found = _formula(slug)
    return forms.FormulaRecord(
        slug=found.slug,
        name=found.name,
        note=found.note,
        put_away=found.put_away,
        text=text_of(found),
        versions=[
            forms.VersionEntry(number=one.number, parent=_parent(one), saved=one.at, note=one.note)
            for one in found.versions.select_related("parent").order_by("number")
        ],
    )


def version(slug: str, number: int) -> forms.VersionRecord:
    """Return one saved version."""
    one = _version(slug, number)
    read = read_formula(one.text)
    return forms.VersionRecord(
        number=one.number,
        parent=_parent(one),
        saved=one.at,
        note=one.note,
        program=one.program,
        text=one.text,
        formula=FormulaOut(
            name=read.name,
            use=read.use,
            makes=read.makes.text if read.makes else None,
            total_percent=float(read.total),
            lines=lines_out(read),
        ),
    )


def figures(slug: str, number: int | None, scale: str) -> forms.Figures:
    """Return the figures of a version, or of the draft."""
    out = review_out(_reviewed(slug, number, scale))
    return forms.Figures(levigate=__version__, version=number, figures=out.figures)


def findings(slug: str, number: int | None, scale: str) -> forms.Findings:
    """Return the findings of a version, or of the draft."""
    out = review_out(_reviewed(slug, number, scale))
    return forms.Findings(levigate=__version__, version=number, findings=out.findings, cautions=out.cautions)


def lots(*, material: str | None, closed: bool, offset: int, limit: int) -> list[forms.LotOut]:
    """Return lots, of one material where one is named."""
    found = Lot.objects.filter(closed=closed)
    found = found.filter(material__iexact=material) if material else found
    return [_lot(one) for one in found.order_by("material", "best_before", "received", "pk")[offset : offset + limit]]


def lot(number: int) -> forms.LotOut:
    """Return one lot."""
    found = Lot.objects.filter(pk=number).first()
    if found is None:
        raise Http404("There is no such lot.")
    return _lot(found)


def batches(*, state: str | None, offset: int, limit: int) -> list[forms.BatchEntry]:
    """Return batches, the newest first."""
    found = Batch.objects.select_related("version__formula").order_by("-created", "-pk")
    found = found.filter(state=state) if state else found
    return [forms.BatchEntry(**_entry(one)) for one in found[offset : offset + limit]]


def batch(code: str) -> forms.BatchRecord:
    """Return one batch with its lines and readings."""
    one = _batch(code)
    lines = one.lines.order_by("position").prefetch_related(
        Prefetch("weighings", Weighing.objects.order_by("at", "pk"))
    )
    return forms.BatchRecord(
        **_entry(one), scale=plain(one.scale), tare=one.tare, note=one.note, lines=[_line(line) for line in lines]
    )


def weighing(row: Weighing) -> forms.WeighingOut:
    """Return one reading."""
    return forms.WeighingOut(
        id=row.pk,
        key=row.key,
        grams=plain(row.grams),
        lot=row.lot_id,
        at=row.at,
        corrects=row.corrects_id,
        why=row.why,
        who=row.who,
    )


def _formula(slug: str) -> Formula:
    found = Formula.objects.filter(slug=slug).first()
    if found is None:
        raise Http404("There is no such formula.")
    return found


def _version(slug: str, number: int) -> Version:
    found = Version.objects.select_related("parent").filter(formula=_formula(slug), number=number).first()
    if found is None:
        raise Http404("The formula has no such version.")
    one: Version = found
    return one


def _batch(code: str) -> Batch:
    found = Batch.objects.select_related("version__formula").filter(code=code).first()
    if found is None:
        raise Http404("There is no such batch.")
    return found


def _parent(one: Version) -> int | None:
    return one.parent.number if one.parent is not None else None


def _reviewed(slug: str, number: int | None, scale: str) -> Review:
    text = text_of(_formula(slug)) if number is None else _version(slug, number).text
    return reviewed(text, scale)


def _lot(one: Lot) -> forms.LotOut:
    return forms.LotOut(
        id=one.pk,
        material=one.material,
        number=one.number,
        supplier=one.supplier,
        received=one.received,
        opened=one.opened,
        best_before=one.best_before,
        grams=plain(one.grams),
        pack=one.pack,
        price=one.price,
        closed=one.closed,
    )


def _entry(one: Batch) -> dict[str, object]:
    return {
        "code": one.code,
        "formula": one.version.formula.slug,
        "version": one.version.number,
        "state": one.state,
        "makes": one.makes,
        "created": one.created,
        "best_before": one.best_before,
    }


def _line(line: BatchLine) -> forms.LineOfBatch:
    return forms.LineOfBatch(
        position=line.position,
        phase=line.phase,
        material=line.material,
        percent=plain(line.percent),
        planned=plain(line.planned),
        target=plain(line.target),
        lot=line.lot_id,
        weighings=[weighing(row) for row in line.weighings.all()],
    )
