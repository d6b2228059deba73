"""What a customer opens by a signed link, without an account: one document each."""

from django.urls import path

from .views import shown

urlpatterns = [
    path("logo.png", shown.logo, name="document-logo"),
    path("<str:token>/", shown.document, name="document"),
    path("<str:token>/accept/", shown.accept, name="document-accept"),
    path("<str:token>/<str:kind>/", shown.file, name="document-file"),
]
