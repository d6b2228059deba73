"""The addresses with those of the demo, which exist with DEMO=1 only."""

from django.urls import include, path

from paddock.urls import urlpatterns as without

urlpatterns = [*without, path("demo/", include("jobs.desk.demo.urls"))]
