from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class BoardConfig(AppConfig):
    name = "jobs.board"
    verbose_name = _("Board")
