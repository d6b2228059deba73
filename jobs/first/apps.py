from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class FirstConfig(AppConfig):
    name = "jobs.first"
    verbose_name = _("Beginning")
