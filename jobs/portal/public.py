"""What somebody opens by a link that a customer gave them, without an account."""

from django.urls import path

from . import sharing

urlpatterns = [path("<str:token>/", sharing.shared, name="shared-day")]
