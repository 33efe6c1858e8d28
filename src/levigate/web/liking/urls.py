"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.liking import views

urlpatterns = [
    path("", views.index, name="preferences"),
    path("keys/", views.make_key, name="key-make"),
    path("keys/<int:number>/withdraw/", views.withdraw_key, name="key-withdraw"),
]
