from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class CalculatorsConfig(AppConfig):
    name = "jobs.calculators"
    verbose_name = _("Calculators")
