"""A device at the bench, without a browser: it shows the token once, and sends forms over one connection."""

from __future__ import annotations

import http.client
import re
from urllib.parse import urlencode, urlsplit

from tests.web.driving import Workshop

_HIDDEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')


class Device:
    """One that opens a page of the workshop, and can send its form again and again."""

    def __init__(self, workshop: Workshop) -> None:
        self._connection = http.client.HTTPConnection(urlsplit(workshop.address).netloc, timeout=60)
        self._cookies: dict[str, str] = {}
        self._token, self._hidden = workshop.token, ""

    def open(self, page: str) -> None:
        """Show the token, and open a page with a form."""
        self._send("GET", f"/?start={self._token}")
        status, text = self._send("GET", page)
        assert status == 200, text[:500]
        found = _HIDDEN.search(text)
        assert found is not None
        self._hidden = found.group(1)

    def post(self, path: str, **form: object) -> tuple[int, str]:
        """Send a form; return status and page."""
        return self._send("POST", path, urlencode({"csrfmiddlewaretoken": self._hidden, **form}))

    def _send(self, method: str, path: str, body: str | None = None) -> tuple[int, str]:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self._cookies.items())}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self._connection.request(method, path, body, headers)
        answer = self._connection.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = cookie.partition(";")[0].partition("=")
            self._cookies[name] = value
        return answer.status, answer.read().decode()

    def close(self) -> None:
        """Hang up."""
        self._connection.close()
