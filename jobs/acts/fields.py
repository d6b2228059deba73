"""Payload fields that name a row of the day: an id in, the row out."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from rest_framework import serializers

from jobs.trackday.models import Entry, RunGroup, Session, Trackday

from .registry import Context


class EntryField(serializers.PrimaryKeyRelatedField):
    """The entry an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("this bike is not entered here.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "queryset",
            Entry.objects.select_related("trackday__venue", "group", "bike", "rider", "package"),
        )
        super().__init__(**options)


class SessionField(serializers.PrimaryKeyRelatedField):
    """The session an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such session.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "queryset", Session.objects.select_related("trackday__venue", "group__trackday")
        )
        super().__init__(**options)


class GroupField(serializers.PrimaryKeyRelatedField):
    """The run group an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such run group.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault("queryset", RunGroup.objects.select_related("trackday__venue"))
        super().__init__(**options)


class TrackdayField(serializers.PrimaryKeyRelatedField):
    """The day an act is about."""

    default_error_messages = {"does_not_exist": gettext_lazy("there is no such trackday.")}

    def __init__(self, **options: Any) -> None:
        options.setdefault("queryset", Trackday.objects.select_related("venue"))
        super().__init__(**options)


def on_day(context: Context, trackday_id: int) -> None:
    """Say which day an act turned out to belong to; refused when the screen was another day's."""
    if context.trackday_id not in (None, trackday_id):
        raise ValidationError(_("This belongs to another day than the screen it was sent from."))
    context.trackday_id = trackday_id
