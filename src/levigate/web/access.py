"""Who may come in: the browser that opened the address of this start, and scripts with a token.

Loopback is shared by all users of a machine, and any page in the browser can send requests to it. So each start makes
a token; the address that `levigate open` prints carries it once, and a cookie carries it on. A cookie that other sites
cannot make the browser send (SameSite=Strict), the check of the host, and the CSRF token of each form do the rest.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render

COOKIE = "levigate_start"
#: Name in the query of the address that opens the workshop.
PARAMETER = "start"


class TokenMiddleware:
    """Let in who shows the token of this start; `/api/` takes it, or a stored one, as a bearer."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or refuse."""
        request.get_host()  # refuse a host that is not this machine before a token is looked at
        if request.path.startswith("/static/"):
            return self.get_response(request)
        if request.path.startswith("/api/"):
            return self._api(request)
        given = request.GET.get(PARAMETER)
        if given is not None and request.method == "GET" and is_start_token(given):
            return _welcome(request, given)
        if not is_start_token(request.COOKIES.get(COOKIE, "")):
            return render(request, "web/locked.html", status=403)
        return self.get_response(request)

    def _api(self, request: HttpRequest) -> HttpResponse:
        word, _, token = request.headers.get("Authorization", "").partition(" ")
        cookie = is_start_token(request.COOKIES.get(COOKIE, "")) and request.method in ("GET", "HEAD")
        if cookie or (word == "Bearer" and (is_start_token(token) or _stored(request, token))):
            # A bearer is sent by a script, never by a browser on its own, so that no other site can have it sent.
            request._dont_enforce_csrf_checks = True  # type: ignore[attr-defined]
            return self.get_response(request)
        return JsonResponse({"detail": "Show a token: Authorization: Bearer ..."}, status=401)


def is_start_token(given: str) -> bool:
    """Return whether this is the token of this start."""
    token = settings.LEVIGATE_TOKEN
    return bool(token) and hmac.compare_digest(given.encode(), token.encode())


def _stored(request: HttpRequest, given: str) -> bool:
    from levigate.records.models import Token

    if not given:
        return False
    found = Token.objects.filter(sha256=hashlib.sha256(given.encode()).hexdigest(), withdrawn=False).first()
    if found is None:
        return False
    return found.writes or request.method in ("GET", "HEAD")


def _welcome(request: HttpRequest, token: str) -> HttpResponse:
    """Put the token into a cookie and take it out of the address."""
    rest = request.GET.copy()
    del rest[PARAMETER]
    query = f"?{urlencode(list(rest.lists()), doseq=True)}" if rest else ""
    answer = HttpResponseRedirect(request.path + query)
    answer.set_cookie(COOKIE, token, httponly=True, samesite="Strict")
    return answer
