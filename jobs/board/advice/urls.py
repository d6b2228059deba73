from django.urls import path

from . import acting, evidence, seeing, views

urlpatterns = [
    path("bikes/<int:entry_id>/advice/", views.page, name="advice"),
    path("bikes/<int:entry_id>/advice/<slug:kind>/", acting.one_tap, name="advice-act"),
    path("bikes/<int:entry_id>/see/", seeing.see, name="see"),
    path("evidence/", evidence.evidence_page, name="evidence"),
]
