from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class TablesConfig(AppConfig):
    name = "jobs.tables"
    verbose_name = _("Lists from files")
