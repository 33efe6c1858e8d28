"""Papers: kept once, under the hash of what is in them, served as downloads."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from levigate.errors import RecordError
from levigate.records import papers
from levigate.records.models import Attached, Attachment, Journal
from levigate.web.access import COOKIE
from tests.records.workshop import a_batch, a_lot

pytestmark = pytest.mark.django_db
TEXT = b"certificate of analysis"


def files() -> list[Path]:
    return [path for path in papers.folder().rglob("*") if path.is_file()]


def test_a_paper_lies_under_its_hash_once() -> None:
    first = papers.store([TEXT[:5], TEXT[5:]])
    assert papers.store(io.BytesIO(TEXT)) == first
    sha256 = hashlib.sha256(TEXT).hexdigest()
    assert files() == [papers.folder() / sha256[:2] / sha256]
    with papers.read(first) as file:
        assert (first.sha256, first.size, file.read()) == (sha256, len(TEXT), TEXT)


def test_an_empty_or_too_large_file_is_refused_and_leaves_nothing(settings: LazySettings) -> None:
    settings.LEVIGATE_LARGEST_PAPER = 1_000_000
    with pytest.raises(RecordError, match="empty"):
        papers.store([])
    with pytest.raises(RecordError, match="larger than 1 MB"):
        papers.store(b"x" * 100_000 for _ in range(11))
    assert files() == [] and not Attachment.objects.exists()


def test_a_paper_is_put_to_a_lot_once_and_taken_away_again() -> None:
    lot, paper = a_lot(), papers.store([TEXT])
    put = papers.attach("lot", lot.pk, paper, "coa G1.pdf")
    assert papers.attach("lot", lot.pk, paper, "coa G1.pdf") == put
    assert put.media_type == "application/pdf" and papers.attached_to("lot", lot.pk) == [put]
    papers.detach(put)
    assert papers.attached_to("lot", lot.pk) == [] and len(files()) == 1
    assert [line.says for line in Journal.objects.filter(subject=lot.pk)][:2] == [
        "coa G1.pdf taken away",
        "coa G1.pdf attached",
    ]


@pytest.mark.parametrize(
    ("kind", "subject"),
    [
        ("lot", "1e3"), ("lot", 10**30), ("lot", ""), ("lot", "٣"), ("batch", "X"), ("formula", "x"),
        ("material", "x y z"), ("user", 1),
    ],
)  # fmt: skip
def test_a_paper_is_not_put_to_what_is_not_there(kind: str, subject: object) -> None:
    with pytest.raises(RecordError, match="There is no"):
        papers.attach(kind, subject, papers.store([TEXT]), "a.pdf")


def test_batches_formulas_and_materials_have_papers_too() -> None:
    batch, paper = a_batch(), papers.store([TEXT])
    for kind, subject in (("batch", "T-1"), ("formula", batch.version.formula.slug), ("material", "glycerin")):
        assert papers.attach(kind, subject, paper, "photo.png").subject == subject


@given(st.text(max_size=400))
def test_a_name_never_holds_a_folder_or_what_steers(name: str) -> None:
    try:
        shown = papers.plain_name(name)
    except RecordError:
        return
    assert 0 < len(shown) <= 200 and not shown.startswith(".")
    assert not set(shown) & set("/\\\r\n\t\x00\x1b\u202e")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/passwd", "passwd"), (r"C:\docs\coa.pdf", "coa.pdf"), ("a\r\nb.pdf", "a b.pdf"),
        ("é" * 300 + ".pdf", "é" * 196 + ".pdf"),
    ],
)  # fmt: skip
def test_names_of_files(name: str, shown: str) -> None:
    assert papers.plain_name(name) == shown


@pytest.mark.parametrize("sha256", ["", "../../../etc/passwd", "A" * 64, "0" * 63, "0" * 64 + "\n"])
def test_no_path_is_made_of_what_is_no_hash(sha256: str) -> None:
    with pytest.raises(RecordError, match="not the hash"):
        papers.path_of(sha256)


def test_a_missing_file_is_said() -> None:
    paper = papers.store([TEXT])
    files()[0].unlink()
    with pytest.raises(RecordError, match="its file is missing"):
        papers.read(paper)


def test_a_page_in_disguise_is_downloaded_not_opened() -> None:
    put = papers.attach("lot", a_lot().pk, papers.store([b"<script>alert(1)</script>"]), 'é";x=".html')
    browser = Client(HTTP_HOST="127.0.0.1")
    browser.cookies[COOKIE] = "token-of-the-tests"
    answer = browser.get(f"/papers/{put.pk}/")
    assert answer.getvalue() == b"<script>alert(1)</script>"
    assert answer["Content-Type"] == "application/octet-stream" and answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"].startswith("attachment; ") and "\n" not in answer["Content-Disposition"]
    assert browser.get("/papers/999999/").status_code == 404
    assert Client(HTTP_HOST="127.0.0.1").get(f"/papers/{put.pk}/").status_code == 403
    assert Attached.objects.count() == 1
