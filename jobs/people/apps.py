from django.apps import AppConfig
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.tuning import words


class PeopleConfig(AppConfig):
    name = "jobs.people"
    verbose_name = _("People")

    def ready(self) -> None:
        words.translate_by(gettext)
