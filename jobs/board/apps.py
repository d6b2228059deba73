from importlib import import_module

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

# Where the screens' forms are read into acts: see jobs/acts/forms.py.
FORM_READERS = (
    "advice.form_readers",
    "day.form_readers",
    "round.form_readers",
    "sheet.change_readers",
    "sheet.form_readers",
)


class BoardConfig(AppConfig):
    name = "jobs.board"
    verbose_name = _("Board")

    def ready(self) -> None:
        for name in FORM_READERS:
            import_module(f"{self.name}.{name}")
