"""Forms of the day's crew: from when to when somebody is here, and when at lunch."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.people.enums import CREW
from jobs.people.models import User
from jobs.trackday.models import CrewDay, Trackday

from .forms import at_venue

LUNCH_MINUTES = 30


def wall_time(label: Any, required: bool = False) -> forms.TimeField:
    return forms.TimeField(
        label=label, required=required, widget=forms.TimeInput(attrs={"type": "time"})
    )


class CrewTimesForm(forms.Form):
    """From when to when one person is here, and at lunch. What is left empty is no limit."""

    joins = wall_time(_("Here from"))
    leaves = wall_time(_("Leaves at"))
    lunch = wall_time(_("Lunch from"))
    minutes = forms.IntegerField(
        label=_("Lunch, minutes"), min_value=10, max_value=120, required=False, initial=30
    )

    def __init__(self, data: QueryDict | None, *, member: CrewDay) -> None:
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
    """Everybody's lunch, in turns."""

    start = wall_time(_("Lunch from"), required=True)
    end = wall_time(_("Until"), required=True)
    minutes = forms.IntegerField(
        label=_("Each, minutes"), min_value=10, max_value=120, initial=LUNCH_MINUTES
    )

    def __init__(self, data: QueryDict | None, *, trackday: Trackday) -> None:
        initial: dict[str, Any] = {}
        if trackday.lunch_from and trackday.lunch_to:
            zone = ZoneInfo(trackday.venue.timezone)
            initial = {
                "start": trackday.lunch_from.astimezone(zone).time(),
                "end": trackday.lunch_to.astimezone(zone).time(),
                "minutes": _each(trackday.lunch_to - trackday.lunch_from),
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


def _each(whole: timedelta) -> int:
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
