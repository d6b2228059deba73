"""Simple records of the office: a checked form written, with who and when."""

from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model
from django.forms import ModelForm

from jobs.people.enums import EditVerb
from jobs.people.models import User
from jobs.people.services import edit_note

AnyRecord = TypeVar("AnyRecord", bound=Model)


@transaction.atomic
def record_create(*, form: ModelForm[AnyRecord], by: User) -> AnyRecord:
    record = form.save()
    _note(record, EditVerb.NEW, by, {})
    return record


@transaction.atomic
def record_update(
    *, form: ModelForm[AnyRecord], by: User, fields: list[str] | None = None
) -> AnyRecord:
    """Write only what differs, so that two people on one record do not overwrite each other."""
    record = form.instance
    names = _changed(form) if fields is None else fields
    if not names:
        return record
    record.save(update_fields=names)
    changes = {n: [_words(form.initial.get(n)), _words(getattr(record, n))] for n in names}
    _note(record, EditVerb.CHANGED, by, changes)
    return record


@transaction.atomic
def record_remove(*, record: Model, by: User) -> None:
    _note(record, EditVerb.REMOVED, by, {})
    record.delete()


def _changed(form: ModelForm[Any]) -> list[str]:
    return [name for name in form.changed_data if name in (form._meta.fields or ())]


def _words(value: object) -> str:
    return "" if value is None else str(value)


def _note(record: Model, verb: EditVerb, by: User, changes: dict[str, Any]) -> None:
    what = record._meta.verbose_name or record._meta.model_name or ""
    edit_note(by=by, verb=verb, what=str(what), title=str(record), ref=record.pk, changes=changes)
