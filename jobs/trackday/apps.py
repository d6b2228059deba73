from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class TrackdayConfig(AppConfig):
    name = "jobs.trackday"
    verbose_name = _("Trackday")
