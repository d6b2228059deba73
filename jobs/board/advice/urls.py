from django.urls import path

from . import button_acts, entering_findings, evidence, views

urlpatterns = [
    path("bikes/<int:entry_id>/advice/", views.page, name="advice"),
    path("bikes/<int:entry_id>/advice/<slug:kind>/", button_acts.button_act, name="advice-act"),
    path("bikes/<int:entry_id>/see/", entering_findings.see, name="see"),
    path("evidence/", evidence.evidence_page, name="evidence"),
]
