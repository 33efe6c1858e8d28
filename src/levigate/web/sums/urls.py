"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.sums import views

urlpatterns = [
    path("", views.index, name="sums"),
    path("<slug:name>/", views.one, name="sum"),
]
