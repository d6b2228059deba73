from importlib import import_module
from pkgutil import iter_modules

from django.apps import AppConfig


class ActsConfig(AppConfig):
    name = "jobs.acts"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        handlers = import_module("jobs.acts.handlers")
        for module in iter_modules(handlers.__path__):
            import_module(f"{handlers.__name__}.{module.name}")
