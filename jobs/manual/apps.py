from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class ManualConfig(AppConfig):
    name = "jobs.manual"
    verbose_name = _("Manual")
