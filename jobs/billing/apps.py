from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.core import checks
from django.db import models
from django.utils.translation import gettext_lazy as _


class BillingConfig(AppConfig):
    name = "jobs.billing"
    verbose_name = _("Billing")

    def ready(self) -> None:
        from . import triggers

        # Django's own moments around a migration; no room hears another by them.
        models.signals.pre_migrate.connect(
            triggers.drop_all, sender=self, dispatch_uid="billing guards down"
        )
        models.signals.post_migrate.connect(
            triggers.create_all, sender=self, dispatch_uid="billing guards up"
        )
        checks.register(checks.Tags.database)(_check_triggers)


def _check_triggers(
    databases: Sequence[str] | None = None, **_options: Any
) -> list[checks.Warning]:
    """With ``manage.py check --database default``. A warning: migrate, the cure, checks first."""
    from . import triggers

    return [
        checks.Warning(
            f"{len(gone)} of the database's guards on documents and payments are missing.",
            hint="Run manage.py migrate.",
            id="billing.W001",
        )
        for using in databases or []
        if triggers.tables_exist(using) and (gone := triggers.missing(using))
    ]
