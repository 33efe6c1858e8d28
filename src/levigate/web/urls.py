"""Where each page is."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from levigate.web.views import start

urlpatterns: list[URLPattern | URLResolver] = [
    path("", start.start, name="start"),
]
