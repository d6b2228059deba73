from django.urls import path

from . import views

app_name = "demo"
urlpatterns = [
    path("enter/", views.enter, name="enter"),
    path("load/", views.load, name="load"),
    path("loading/", views.loading, name="loading"),
]
