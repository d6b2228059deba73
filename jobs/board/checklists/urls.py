from django.urls import path

from . import views

urlpatterns = [
    path("checklists/", views.checklists, name="checklists"),
    path("checklists/<slug:code>/", views.checklist, name="checklist"),
    path("checklists/<slug:code>/new/", views.item, name="checklist-item-new"),
    path("checklists/<slug:code>/<slug:item_code>/", views.item, name="checklist-item"),
    path("checklists/<slug:code>/<slug:item_code>/remove/", views.remove, name="checklist-remove"),
]
