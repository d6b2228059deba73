from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class SetupsConfig(AppConfig):
    name = "jobs.setups"
    verbose_name = _("Setup book")
