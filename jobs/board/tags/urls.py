from django.urls import path

from . import views

urlpatterns = [
    path("b/<int:bike_id>/", views.scanned, name="tag"),
    path("bikes/", views.find, name="find"),
    path("day/<int:trackday_id>/tags/", views.tags, name="tags"),
]
