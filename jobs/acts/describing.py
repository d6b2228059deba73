"""What a payload holds, as data: for the API's list of kinds, and to notice a change of it."""

from typing import Any

from rest_framework import serializers

from .fields import MomentField, TextField, tables_named
from .registry import Kind

Field = serializers.Field[Any, Any, Any, Any]


def payload_described(kind: Kind) -> dict[str, dict[str, Any]]:
    """Each field by its name: its type, whether it must be there, what it may hold.

    A field that names a row says of which table (``names``), a free text whether it may tell
    who somebody is (``personal``); ``of`` describes what stands in a list.
    """
    return _fields(kind.payload())


def _fields(payload: Field) -> dict[str, dict[str, Any]]:
    assert isinstance(payload, serializers.Serializer)
    return {name: _field(field) for name, field in payload.fields.items()}


def _field(field: Field) -> dict[str, Any]:
    tables = tables_named(field)
    said: dict[str, Any] = {"type": _type(field), "required": field.required}
    if tables:
        said |= {"names": [str(table._meta.verbose_name) for table in tables]}
    if isinstance(field, TextField):
        said["personal"] = field.personal
    if field.help_text:
        said["help"] = str(field.help_text)
    if isinstance(field, serializers.ChoiceField):
        said["choices"] = list(field.choices)
    if isinstance(field, serializers.ListSerializer) and field.child is not None:
        said["of"] = _fields(field.child)
    elif isinstance(field, serializers.ListField | serializers.DictField):
        said["of"] = _field(field.child)
    return said


def _type(field: Field) -> str:
    if isinstance(field, serializers.ListSerializer):
        return "list"
    if isinstance(field, serializers.ChoiceField):
        return "choice"
    if tables_named(field):
        return "row"
    if isinstance(field, MomentField):
        return "datetime"
    return type(field).__name__.removesuffix("Field").lower()
