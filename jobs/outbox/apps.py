from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules
from django.utils.translation import gettext_lazy as _


class OutboxConfig(AppConfig):
    name = "jobs.outbox"
    verbose_name = _("Deferred work")

    def ready(self) -> None:
        autodiscover_modules("tasks")  # every room's handlers register themselves there
