"""A browser that has opened the workshop."""

from __future__ import annotations

import pytest
from django.test import Client

from levigate.web.access import COOKIE


@pytest.fixture
def client(db: None) -> Client:
    """Return a browser that has shown the token of this start."""
    browser = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=False)
    browser.cookies[COOKIE] = "token-of-the-tests"
    return browser
