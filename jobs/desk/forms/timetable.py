"""A regular timetable, and a day made from another, as forms."""

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.trackday.copying import DayPart
from jobs.trackday.models import Trackday

from .days import ClockField, moment_at


class RegularTimetableForm(forms.Form):
    """How many groups take turns, from when to when."""

    groups = forms.TypedChoiceField(
        choices=[(n, str(n)) for n in range(1, 7)],
        coerce=int,
        initial=3,
        label=gettext_lazy("Run groups"),
    )
    minutes = forms.IntegerField(
        min_value=5, max_value=120, initial=20, label=gettext_lazy("Minutes of a session")
    )
    start = ClockField(initial="09:00", label=gettext_lazy("First session"))
    close = ClockField(initial="17:00", label=gettext_lazy("Track closes"))
    lunch_start = ClockField(initial="12:00", required=False, label=gettext_lazy("Lunch from"))
    lunch_end = ClockField(initial="13:00", required=False, label=gettext_lazy("Lunch to"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        start, end = data.get("lunch_start"), data.get("lunch_end")
        if (start is None) != (end is None) or (start and end and end <= start):
            self.add_error("lunch_end", _("Lunch needs a start, and an end after it."))
        first, close = data.get("start"), data.get("close")
        if first and close and close <= first:
            self.add_error("close", _("The track closes before the first session."))
        return data

    def moments(self, day: date, timezone: str) -> dict[str, Any]:
        """What ``timetable_make`` takes; call it once the form is valid."""
        data, zone = self.cleaned_data, ZoneInfo(timezone)
        found: dict[str, datetime | None] = {
            name: moment_at(self, name, day, data[name], zone)
            for name in ("start", "close", "lunch_start", "lunch_end")
        }
        lunch = (found["lunch_start"], found["lunch_end"])
        return {
            "groups": data["groups"],
            "minutes": data["minutes"],
            "start": found["start"],
            "close": found["close"],
            "lunch": lunch if all(lunch) else None,
        }


class CopyForm(forms.Form):
    """Another day made from this one."""

    date = forms.DateField(
        label=gettext_lazy("Date"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    name = forms.CharField(max_length=120, label=gettext_lazy("Name"))
    event = forms.CharField(
        max_length=120,
        required=False,
        label=gettext_lazy("Event"),
        help_text=gettext_lazy("The same words on both days join them to one event"),
    )
    parts = forms.MultipleChoiceField(
        choices=DayPart.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=gettext_lazy("Take over"),
    )

    def __init__(self, *args: Any, source: Trackday, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.source = source

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        on, name = data.get("date"), data.get("name")
        same = Trackday.objects.filter(venue=self.source.venue_id, name=name or "")
        if on is not None and same.filter(date=on).exists():
            self.add_error("date", _("There is already a day of this name on that date."))
        return data
