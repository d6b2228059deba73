from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class PaddockConfig(AppConfig):
    name = "paddock"
    verbose_name = _("Paddock")

    def ready(self) -> None:
        from . import checks  # noqa: F401  (registers itself)
