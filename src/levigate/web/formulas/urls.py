"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.formulas import changing, keeping, views

urlpatterns = [
    path("", views.index, name="formulas"),
    path("new/", views.new, name="formula-new"),
    path("bring/", views.bring, name="formula-bring"),
    path("compare/", views.compare, name="formula-compare"),
    path("<slug:slug>/", views.formula, name="formula"),
    path("<slug:slug>/file/", views.file, name="formula-file"),
    path("<slug:slug>/text/", changing.text, name="formula-text"),
    path("<slug:slug>/working/<str:name>/", views.working, name="formula-working"),
    path("<slug:slug>/jar/", views.jar, name="formula-jar"),
    path("<slug:slug>/charts/", views.charts, name="formula-charts"),
    path("<slug:slug>/charts/<str:name>.svg", views.chart, name="formula-chart"),
    path("<slug:slug>/percent/", changing.percent, name="formula-percent"),
    path("<slug:slug>/sentence/", changing.sentence, name="formula-sentence"),
    path("<slug:slug>/line/", changing.line, name="formula-line"),
    path("<slug:slug>/add/", changing.add, name="formula-add"),
    path("<slug:slug>/phase/", changing.phase, name="formula-phase"),
    path("<slug:slug>/head/", changing.head, name="formula-head"),
    path("<slug:slug>/measured/", changing.measured, name="formula-measured"),
    path("<slug:slug>/remedy/", changing.remedy, name="formula-remedy"),
    path("<slug:slug>/mend/", changing.mend, name="formula-mend"),
    path("<slug:slug>/step/", changing.step, name="formula-step"),
    path("<slug:slug>/save/", keeping.save, name="formula-save"),
    path("<slug:slug>/let-go/", keeping.let_go, name="formula-let-go"),
    path("<slug:slug>/put-away/", keeping.put_away, name="formula-put-away"),
    path("<slug:slug>/versions/", keeping.versions, name="formula-versions"),
    path("<slug:slug>/versions/<int:number>/", keeping.version, name="formula-version"),
    path("<slug:slug>/versions/<int:number>/take-up/", keeping.take_up, name="formula-take-up"),
]
