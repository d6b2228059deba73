"""An entry off the day: it keeps its row, and nothing is planned for it; or it is removed."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import ForeignObjectRel
from django.utils.translation import gettext as _

from ..enums import Absence
from ..models import Entry


def entry_absence_set(*, entry: Entry, absence: Absence | None) -> None:
    """Take an entry off the day; None: it is expected again."""
    Entry.objects.filter(pk=entry.pk).update(absence=absence or "")
    entry.absence = absence or ""


@transaction.atomic
def entry_remove(*, entry: Entry) -> None:
    """Remove an entry of which nothing is recorded. ValidationError where something is."""
    entry = Entry.objects.select_for_update(no_key=True).get(pk=entry.pk)
    if entry_has_rows(entry):
        raise ValidationError(
            _("Something is recorded of %(entry)s on this day: cancel it instead.")
            % {"entry": entry}
        )
    entry.delete()


def entry_has_rows(entry: Entry) -> bool:
    """Whether any row of any room names the entry: work, readings, charges, documents."""
    return any(
        relation.related_model._base_manager.filter(**{relation.field.name: entry.pk}).exists()
        for relation in entry._meta.get_fields(include_hidden=True)
        if isinstance(relation, ForeignObjectRel)
    )
