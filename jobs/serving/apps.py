from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class ServingConfig(AppConfig):
    name = "jobs.serving"
    verbose_name = _("Serving")
