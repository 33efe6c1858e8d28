"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path, register_converter

from levigate.web.shelf import changing, lots, views
from levigate.web.shelf.converters import KeyConverter

register_converter(KeyConverter, "material")

urlpatterns = [
    path("", views.index, name="shelf"),
    path("names/", views.names, name="shelf-names"),
    path("new/", views.new, name="material-new"),
    path("bring/", views.bring, name="material-bring"),
    path("lots/", lots.index, name="lots"),
    path("lots/<int:number>/", lots.lot, name="lot"),
    path("lots/<int:number>/amend/", lots.amend, name="lot-amend"),
    path("lots/<int:number>/stock/", lots.stock, name="lot-stock"),
    path("lots/<int:number>/close/", lots.close, name="lot-close"),
    path("lots/<int:number>/paper/", lots.paper, name="lot-paper"),
    path("<material:key>/", views.material, name="material"),
    path("<material:key>/receive/", lots.receive, name="lot-receive"),
    path("<material:key>/measure/", changing.measure, name="material-measure"),
    path("<material:key>/measure/<int:number>/", changing.correct, name="material-correct"),
    path("<material:key>/text/", changing.text, name="material-text"),
    path("<material:key>/note/", changing.note, name="material-note"),
    path("<material:key>/put-away/", changing.put_away, name="material-put-away"),
    path("<material:key>/paper/", changing.paper, name="material-paper"),
    path("<material:key>/use/", changing.use, name="material-use"),
]
