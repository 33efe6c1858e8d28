"""Where the API is, and the page that tells of it."""

from __future__ import annotations

from django.urls import include, path

from levigate.web.api import views
from levigate.web.api.api import api

_routes, _application, _instance = api.urls

urlpatterns = [
    path("docs", views.docs, name="api-docs"),
    path("", include((_routes, _application), _instance)),
]
