"""The fields of payloads: free text that is personal or not, kinds, and ids of rows."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from rest_framework import serializers

from jobs.files.models import Photo
from jobs.setups.reading_kinds import reading_kind_choices
from jobs.trackday.models import Entry, RunGroup, Session, Trackday

if TYPE_CHECKING:
    from .registry import Context

LONGEST_TEXT = 2000
LARGEST_ROW = 2**63 - 1
EARLIEST_YEAR, LATEST_YEAR = 2000, 2099
LEFT_OUT: dict[str, Any] = {"required": False, "allow_null": True, "default": None}


class TextField(serializers.CharField):
    """Free text. ``personal``: it may tell who somebody is, and goes when they are removed.

    Every free text of a payload says it, one way or the other; see registry.personal_fields.
    """

    def __init__(self, *, personal: bool, **options: Any) -> None:
        options.setdefault("max_length", LONGEST_TEXT)
        super().__init__(**options)
        self.personal = personal


def text_field(max_length: int, *, personal: bool) -> TextField:
    """Free text that may be left out or empty."""
    return TextField(
        personal=personal, max_length=max_length, required=False, allow_blank=True, default=""
    )


class UUIDRowField(serializers.UUIDField):
    """The id of a row of one of these tables; the handler looks it up where it may be."""

    def __init__(self, *tables: type[Model], optional: bool = False, **options: Any) -> None:
        super().__init__(**options, **(LEFT_OUT if optional else {}))
        self.tables = tables


class NumberRowField(serializers.IntegerField):
    """The same for tables whose rows are numbered."""

    default_error_messages = {"max_value": gettext_lazy("there is no row of this number.")}

    def __init__(self, *tables: type[Model], optional: bool = False, **options: Any) -> None:
        options.setdefault("max_value", LARGEST_ROW)
        super().__init__(**options, **(LEFT_OUT if optional else {}))
        self.tables = tables


def tables_named(field: serializers.Field[Any, Any, Any, Any]) -> tuple[type[Model], ...]:
    """The tables one of whose rows a field names; none for a field of another sort."""
    if isinstance(field, UUIDRowField | NumberRowField):
        return field.tables
    if isinstance(field, PhotoField):
        return (Photo,)
    if not isinstance(field, serializers.PrimaryKeyRelatedField):
        return ()
    rows = field.get_queryset()
    return () if rows is None else (rows.model,)


class MomentField(serializers.DateTimeField):
    """A moment in a year in which a trackday may be: the calendar's ends fit no time zone."""

    default_error_messages = {"year": gettext_lazy("the year must be from {earliest} to {latest}.")}

    def __init__(
        self, *, earliest: int = EARLIEST_YEAR, latest: int = LATEST_YEAR, **options: Any
    ) -> None:
        super().__init__(**options)
        self.earliest, self.latest = earliest, latest

    def enforce_timezone(self, value: datetime) -> datetime:
        if not self.earliest <= value.year <= self.latest:
            self.fail("year", earliest=self.earliest, latest=self.latest)
        return super().enforce_timezone(value)


class PhotoField(serializers.UUIDField):
    """A photo that comes with the act; its file was stored first, under this id.

    ``essential``: without it the act says nothing, so it is refused when the file cannot be
    kept; otherwise what it was to show stands without it.
    """

    def __init__(self, *, essential: bool = False, **options: Any) -> None:
        super().__init__(**options)
        self.essential = essential


def photo_field(*, essential: bool = False) -> PhotoField:
    """A photo that may be left out."""
    return PhotoField(essential=essential, required=False, allow_null=True, default=None)


class ReadingKindField(serializers.ChoiceField):
    """A kind of reading: one of those that stand in their table now."""

    def __init__(self, **options: Any) -> None:
        super().__init__(reading_kind_choices(), **options)


class EntryField(serializers.PrimaryKeyRelatedField[Entry]):
    """The entry an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("this bike is not entered here.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "queryset",
            Entry.objects.select_related("trackday__venue", "group", "bike", "rider", "package"),
        )
        super().__init__(**options)


class SessionField(serializers.PrimaryKeyRelatedField[Session]):
    """The session an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such session.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "queryset", Session.objects.select_related("trackday__venue", "group__trackday")
        )
        super().__init__(**options)


class GroupField(serializers.PrimaryKeyRelatedField[RunGroup]):
    """The run group an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such run group.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault("queryset", RunGroup.objects.select_related("trackday__venue"))
        super().__init__(**options)


class TrackdayField(serializers.PrimaryKeyRelatedField[Trackday]):
    """The day an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such trackday.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault("queryset", Trackday.objects.select_related("venue"))
        super().__init__(**options)


def day_set(context: Context, trackday_id: int) -> None:
    """Set the trackday of an act. Raises ValidationError if it was sent from another day's page."""
    if context.trackday_id not in (None, trackday_id):
        raise ValidationError(_("This belongs to another day than the screen it was sent from."))
    context.trackday_id = trackday_id
