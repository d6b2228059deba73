from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class TabletConfig(AppConfig):
    name = "jobs.tablet"
    verbose_name = _("Tablet")
