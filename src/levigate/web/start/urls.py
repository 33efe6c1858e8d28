"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.start import views

urlpatterns = [
    path("", views.index, name="start"),
    path("demo/", views.demo, name="start-demo"),
]
