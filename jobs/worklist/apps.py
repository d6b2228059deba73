from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class WorklistConfig(AppConfig):
    name = "jobs.worklist"
    verbose_name = _("Work")
