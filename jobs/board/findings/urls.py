from django.urls import path

from . import views

urlpatterns = [
    path("findings/", views.listed, name="findings"),
    path("findings-as-text/", views.as_text, name="findings-text"),
    path("findings-new/", views.edit, name="finding-new"),
    path("findings/<slug:code>/", views.edit, name="finding-own"),
    path("findings/<slug:code>/drop/", views.drop, name="finding-drop"),
    path("findings/<slug:code>/as-text/", views.as_text, name="finding-text"),
]
