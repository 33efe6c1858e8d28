"""Who may come in."""

from __future__ import annotations

import hashlib

import pytest
from django.test import Client

from levigate.records.models import Token
from levigate.web.access import COOKIE

pytestmark = pytest.mark.django_db
TOKEN = "token-of-the-tests"


def test_without_the_token_nothing_is_shown() -> None:
    answer = Client(HTTP_HOST="127.0.0.1").get("/")
    assert answer.status_code == 403 and b"locked" in answer.content


def test_a_wrong_token_opens_nothing() -> None:
    browser = Client(HTTP_HOST="127.0.0.1")
    assert browser.get("/?start=guess").status_code == 403 and COOKIE not in browser.cookies
    browser.cookies[COOKIE] = "guess"
    assert browser.get("/").status_code == 403


def test_the_address_of_this_start_opens_and_hides_the_token() -> None:
    browser = Client(HTTP_HOST="127.0.0.1")
    answer = browser.get(f"/?start={TOKEN}&q=kelp")
    assert answer.status_code == 302 and answer["Location"] == "/?q=kelp"
    cookie = browser.cookies[COOKIE]
    assert cookie["httponly"] and cookie["samesite"] == "Strict"
    assert browser.get("/").status_code == 200


@pytest.mark.parametrize("host", ["levigate.example", "127.0.0.1.example", "169.254.1.1"])
def test_another_host_is_refused(host: str) -> None:
    """A name of an attacker that resolves to the loopback address must not be answered."""
    browser = Client(HTTP_HOST=host)
    browser.cookies[COOKIE] = TOKEN
    assert browser.get("/").status_code == 400


def test_every_page_forbids_what_it_does_not_need(client: Client) -> None:
    policy = client.get("/")["Content-Security-Policy"]
    assert "default-src 'none'" in policy and "script-src 'self'" in policy and "unsafe" not in policy


def test_a_stored_token_reads_and_is_withdrawn() -> None:
    kept = Token.objects.create(name="scale", sha256=hashlib.sha256(b"secret").hexdigest())
    script = Client(HTTP_HOST="127.0.0.1", HTTP_AUTHORIZATION="Bearer secret")
    assert script.get("/api/nothing-here").status_code == 404
    assert script.post("/api/nothing-here").status_code == 401
    Token.objects.filter(pk=kept.pk).update(withdrawn=True)
    assert script.get("/api/nothing-here").status_code == 401


def test_the_cookie_cannot_write_through_the_api() -> None:
    """Else a form of another page, were its cookie sent, would have no CSRF token to show."""
    browser = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    browser.cookies[COOKIE] = TOKEN
    assert browser.post("/api/nothing-here").status_code == 401


def test_a_form_without_its_token_is_refused() -> None:
    browser = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    browser.cookies[COOKIE] = TOKEN
    assert browser.post("/").status_code == 403
