"""Where each room is."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from levigate.web import papers

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("levigate.web.start.urls")),
    path("find", include("levigate.web.finding.urls")),
    path("shelf/", include("levigate.web.shelf.urls")),
    path("formulas/", include("levigate.web.formulas.urls")),
    path("bench/", include("levigate.web.bench.urls")),
    path("sums/", include("levigate.web.sums.urls")),
    path("papers/<int:number>/", papers.download, name="paper"),
    path("preferences/", include("levigate.web.liking.urls")),
    path("api/", include("levigate.web.api.urls")),
]
