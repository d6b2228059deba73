from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class GarageConfig(AppConfig):
    name = "jobs.garage"
    verbose_name = _("Garage")
