"""Writing what is known of a bike's or a model sheet's chassis."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from jobs.people.enums import EditVerb
from jobs.people.models import User
from jobs.people.services import edit_note

from ..models import Bike, ModelSheet


@transaction.atomic
def figures_write(
    *, chassis: Bike | ModelSheet, by: User, figures: Mapping[str, Any], typed_in: dict[str, str]
) -> list[str]:
    """Write the figures that differ, and keep who changed them; their names.

    ``figures``: fields of ``Chassis`` in the units they are kept in, None where not known.
    ``typed_in``: the unit of each group of ``figures.GROUPS``.
    """
    changed = [name for name, value in figures.items() if getattr(chassis, name) != value]
    if changed:
        edit_note(
            by=by,
            verb=EditVerb.CHANGED,
            what=str(chassis._meta.verbose_name),
            title=str(chassis),
            ref=chassis.pk,
            changes={n: [_words(getattr(chassis, n)), _words(figures[n])] for n in changed},
        )
    for name in changed:
        setattr(chassis, name, figures[name])
    chassis.typed_in = typed_in
    chassis.save(update_fields=[*changed, "typed_in"])
    return changed


def _words(value: object) -> str:
    return "" if value is None else str(value)
