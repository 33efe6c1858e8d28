"""Where the pages of this room are."""

from __future__ import annotations

from django.urls import path

from levigate.web.bench import filling, planning, views, weighing

urlpatterns = [
    path("", views.index, name="bench"),
    path("new/", planning.new, name="batch-new"),
    path("new/save/", planning.save, name="batch-save-first"),
    path("<slug:code>/", views.batch, name="batch"),
    path("<slug:code>/step/", views.step, name="batch-step"),
    path("<slug:code>/remark/", views.remark, name="batch-remark"),
    path("<slug:code>/record/", views.record, name="batch-record"),
    path("<slug:code>/record.pdf", views.record_pdf, name="batch-record-pdf"),
    path("<slug:code>/weigh/", weighing.weigh, name="batch-weigh"),
    path("<slug:code>/weigh/now/", weighing.now, name="batch-now"),
    path("<slug:code>/weigh/leave/", weighing.leave, name="batch-leave"),
    path("<slug:code>/weigh/raise/", weighing.raise_rest, name="batch-raise"),
    path("<slug:code>/weigh/tare/", weighing.tare, name="batch-tare"),
    path("<slug:code>/weighing/<int:number>/", weighing.correct, name="batch-correct"),
    path("<slug:code>/fill/", filling.fill, name="batch-fill"),
    path("<slug:code>/fill/yield/", filling.set_yield, name="batch-yield"),
    path("<slug:code>/fill/jar/", filling.jar, name="batch-jar"),
    path("<slug:code>/fill/weight/<int:number>/", filling.correct, name="batch-jar-correct"),
]
