from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class PaperConfig(AppConfig):
    name = "jobs.paper"
    verbose_name = _("Paper")
