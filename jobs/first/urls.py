"""The beginning of a place. The names have no space of their own: others lead to ``first``."""

from django.urls import path

from . import views

urlpatterns = [
    path("", views.first, name="first"),
    path("code/", views.code, name="first-code"),
]
