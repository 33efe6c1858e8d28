"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.shelf import views

urlpatterns = [
    path("", views.index, name="shelf"),
    path("names/", views.names, name="shelf-names"),
]
