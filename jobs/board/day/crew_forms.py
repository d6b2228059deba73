"""Forms of the day's crew: from when to when somebody is here, and when at lunch."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from jobs.people.enums import CREW
from jobs.people.models import User
from jobs.trackday.clock import local
from jobs.trackday.models import CrewDay, Trackday

from .forms import at_venue

LUNCH_MINUTES = 30
Fields = MultiValueDict[str, str]


def time_of_day_field(label: Any, required: bool = False) -> forms.TimeField:
    return forms.TimeField(
        label=label, required=required, widget=forms.TimeInput(attrs={"type": "time"})
    )


class CrewTimesForm(forms.Form):
    """From when to when one person is here, and at lunch. What is left empty is no limit."""

    joins = time_of_day_field(_("Here from"))
    leaves = time_of_day_field(_("Leaves at"))
    lunch = time_of_day_field(_("Lunch from"))
    minutes = forms.IntegerField(
        label=_("Lunch, minutes"), min_value=10, max_value=120, required=False, initial=30
    )

    def __init__(self, data: Fields | None, *, member: CrewDay) -> None:
        zone = ZoneInfo(member.trackday.venue.timezone)
        moments = {"joins": member.joins_at, "leaves": member.leaves_at, "lunch": member.lunch_from}
        initial: dict[str, Any] = {
            name: moment.astimezone(zone).time() for name, moment in moments.items() if moment
        }
        if member.lunch_from and member.lunch_to:
            initial["minutes"] = (member.lunch_to - member.lunch_from).seconds // 60
        super().__init__(data, initial=initial, auto_id=f"{member.pk}-%s")
        self.member = member

    def payload(self) -> dict[str, object]:
        given, day = self.cleaned_data, self.member.trackday
        at = {
            name: at_venue(day, given[name]) for name in ("joins", "leaves", "lunch") if given[name]
        }
        payload: dict[str, object] = {"trackday": day.pk, "user": self.member.user_id}
        for name, key in (("joins", "joins_at"), ("leaves", "leaves_at"), ("lunch", "lunch_from")):
            if name in at:
                payload[key] = at[name].isoformat()
        if "lunch" in at:
            ends = at["lunch"] + timedelta(minutes=given["minutes"] or LUNCH_MINUTES)
            payload["lunch_to"] = ends.isoformat()
        return payload


class LunchesForm(forms.Form):
    """Everybody's lunch, in turns. ``lunch``: when it is expected, which it starts from."""

    start = time_of_day_field(_("Lunch from"), required=True)
    end = time_of_day_field(_("Until"), required=True)
    minutes = forms.IntegerField(
        label=_("Each, minutes"), min_value=10, max_value=120, initial=LUNCH_MINUTES
    )

    def __init__(
        self,
        data: Fields | None,
        *,
        trackday: Trackday,
        lunch: tuple[datetime, datetime] | None = None,
    ) -> None:
        initial: dict[str, Any] = {}
        if lunch is not None:
            start, end = (local(trackday, moment) for moment in lunch)
            initial = {
                "start": start.time(),
                "end": end.time(),
                "minutes": _lunch_minutes_each(end - start),
            }
        super().__init__(data, initial=initial, auto_id="lunches-%s")
        self.trackday = trackday

    def payload(self) -> dict[str, object]:
        return {
            "trackday": self.trackday.pk,
            "start": at_venue(self.trackday, self.cleaned_data["start"]).isoformat(),
            "end": at_venue(self.trackday, self.cleaned_data["end"]).isoformat(),
            "minutes": self.cleaned_data["minutes"],
        }


def _lunch_minutes_each(whole: timedelta) -> int:
    """Half an hour, or less where two turns would not fit."""
    return max(10, min(LUNCH_MINUTES, int(whole.total_seconds() // 120) // 5 * 5))


def crew_absent(trackday: Trackday, at: datetime) -> list[User]:
    """Tuners and helpers who are not on the day's list, or have left."""
    here = trackday.crew.exclude(leaves_at__lte=at).values("user_id")
    return list(
        User.objects.filter(role__in=CREW, is_active=True)
        .exclude(pk__in=here)
        .order_by("first_name")
    )
