"""What a page's form of an act holds, read into the payload of its kind.

A form posts text under the names of its fields. How these become a payload is written once
for a kind, and used by the page the form is posted to and by the address the tablets' queues
send to (``jobs/tablet/views.py``): a tablet keeps the fields under the kind's name and
version. A form whose fields are named like the payload's needs nothing; any other has a
reader beside it:

    @form_reader("count")
    def count_read(form: PostedForm) -> Payload:
        ...

A reader raises ValidationError in words for what it cannot read. When a kind gets a new
version, the reader of the version before stays: what a tablet kept before is read by it and
then brought up to today's version as any other payload.
"""

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import Model, QuerySet
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _
from rest_framework import serializers

from .registry import KINDS, Payload

Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True)
class PostedForm:
    """The fields of one form, the files that came with it, and the id of its act."""

    act_id: uuid.UUID
    fields: MultiValueDict[str, str]
    files: Mapping[str, UploadedFile[bytes]]

    def get(self, name: str, default: str = "") -> str:
        """The field's last value; ``default`` when the form has no such field."""
        value = self.fields.get(name)
        return default if value is None else value

    def getlist(self, name: str) -> list[str]:
        return self.fields.getlist(name)

    def row(self, rows: QuerySet[Row], name: str) -> Row:
        """The row whose id is in a field. Raises ValidationError where there is none."""
        try:
            return rows.get(pk=self.get(name))
        except (ObjectDoesNotExist, ValueError, ValidationError) as error:
            raise ValidationError(_("What this refers to does not exist here.")) from error


FormReader = Callable[[PostedForm], Payload]
DjangoForm = TypeVar("DjangoForm", bound=forms.Form)

READERS: dict[tuple[str, int], FormReader] = {}
WORKED_OUT: dict[tuple[str, int], frozenset[str]] = {}


def form_reader(
    *kinds: str, version: int = 1, works_out: tuple[str, ...] = ()
) -> Callable[[FormReader], FormReader]:
    """Register how the forms of these kinds are read.

    ``works_out`` are fields that the reader fills in from what the database holds at that
    moment: the same form read again may give others.
    """

    def register(reader: FormReader) -> FormReader:
        for kind in kinds:
            if (kind, version) in READERS:
                raise ValueError(f"the form of {kind!r} has two readers")
            READERS[kind, version] = reader
            WORKED_OUT[kind, version] = frozenset(works_out)
        return reader

    return register


def form_payload(kind: str, version: int, form: PostedForm) -> Payload:
    """The payload, in that version, of a form. Raises ValidationError in words.

    Of a kind nobody registered it is every field: such an act is refused and kept as it came.
    """
    if kind not in KINDS:
        return dict(form.fields.items())
    reader = READERS.get((kind, version))
    return reader(form) if reader else _same_names(KINDS[kind].payload(), form)


def checked(form: DjangoForm) -> DjangoForm:
    """The form, whose fields are read. Raises ValidationError that names each fault."""
    if form.is_valid():
        return form
    faults = [str(fault) for fault in form.non_field_errors()]
    faults += [
        f"{form[name].label}: {fault}"
        for name, found in form.errors.items()
        if name in form.fields
        for fault in found
    ]
    raise ValidationError(faults)


def _same_names(payload: serializers.BaseSerializer[Any], form: PostedForm) -> Payload:
    """Every field of the payload that the form has."""
    assert isinstance(payload, serializers.Serializer)
    return {
        name: form.getlist(name) if isinstance(inner, serializers.ListField) else form.get(name)
        for name, inner in payload.fields.items()
        if name in form.fields
    }
