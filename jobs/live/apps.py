from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class LiveConfig(AppConfig):
    name = "jobs.live"
    verbose_name = _("Live updates")
