"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.finding import views

urlpatterns = [
    path("", views.index, name="find"),
    path("/jar/", views.jar, name="jar"),
]
