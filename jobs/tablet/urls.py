"""Trackside devices. The service worker and the manifest answer at the root: see paddock/urls."""

from django.urls import path

from . import views

app_name = "tablet"
urlpatterns = [
    path("", views.home, name="home"),
    path("hello/", views.hello, name="hello"),
    path("act/", views.act, name="act"),
    path("pages/", views.pages, name="pages"),
    path("code/", views.enrol, name="enrol"),
    path("pin/", views.pin, name="pin"),
    path("switch/", views.switch, name="switch"),
    path("devices/new/", views.prepare, name="prepare"),
    path("crew/", views.pins, name="pins"),
]
