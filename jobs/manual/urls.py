from django.urls import path

from . import views
from .screens import MANUALS

app_name = "manual"
urlpatterns = [
    path("", views.home, name="home"),
    *(path(f"{job}/", views.manual, {"job": job}, name=job) for job in MANUALS),
]
