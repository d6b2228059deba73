from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.desk.imports.columns import UnreadableError
from jobs.desk.imports.timetable import moment
from jobs.people.models import NamedCrew
from jobs.trackday.enums import Pace
from jobs.trackday.models import RunGroup, Session, Trackday


class ClockField(forms.TimeField):
    """A time of day at the venue."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class TrackdayForm(forms.ModelForm[Trackday]):
    """A day with its times as the venue's clock shows them."""

    TIMES = {"lunch_start": "lunch_from", "lunch_end": "lunch_to", "closes": "closes_at"}

    lunch_start = ClockField(required=False, label=gettext_lazy("Lunch from"))
    lunch_end = ClockField(required=False, label=gettext_lazy("Lunch to"))
    closes = ClockField(required=False, label=gettext_lazy("Track closes"))

    class Meta:
        model = Trackday
        fields = ("venue", "name", "date", "event", "named_crew", "lunch_least_minutes")
        labels = {
            "event": gettext_lazy("Event"),
            "named_crew": gettext_lazy("Crew"),
            "lunch_least_minutes": gettext_lazy("Shortest lunch, minutes"),
        }
        widgets = {"date": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if NamedCrew.objects.exists():
            self.fields["named_crew"].empty_label = _("not said")  # type: ignore[attr-defined]
        else:  # of one crew alone nobody is asked
            del self.fields["named_crew"]
        if self.instance.pk:
            zone = ZoneInfo(self.instance.venue.timezone)
            for shown, kept in self.TIMES.items():
                if at := getattr(self.instance, kept):
                    self.initial[shown] = at.astimezone(zone).time()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        venue, day = data.get("venue"), data.get("date")
        if venue is None or day is None:
            return data
        zone = ZoneInfo(venue.timezone)
        for shown, kept in self.TIMES.items():
            data[kept] = moment_at(self, shown, day, data.get(shown), zone)
            setattr(self.instance, kept, data[kept])
        start, end = data["lunch_from"], data["lunch_to"]
        if (start is None) != (end is None) or (start and end and end <= start):
            self.add_error("lunch_end", _("Lunch needs a start, and an end after it."))
        return data

    @property
    def changed_fields(self) -> list[str]:
        """The day's own fields that differ from what was there."""
        if "date" in self.changed_data or "venue" in self.changed_data:
            return ["venue", "name", "date", "event", "lunch_least_minutes", *self.TIMES.values()]
        return [self.TIMES.get(name, name) for name in self.changed_data]


class SessionForm(forms.Form):
    """One session typed by hand: the same refusals as a timetable file's."""

    letter = forms.CharField(max_length=4, label=gettext_lazy("Run group"))
    start = ClockField(label=gettext_lazy("Start"))
    end = ClockField(label=gettext_lazy("End"))

    def __init__(
        self, data: Any = None, *, trackday: Trackday, session: Session | None = None
    ) -> None:
        zone = ZoneInfo(trackday.venue.timezone)
        initial = {}
        if session is not None:
            initial = {
                "letter": session.group.letter,
                "start": session.planned_start.astimezone(zone).time(),
                "end": session.planned_end.astimezone(zone).time(),
            }
        super().__init__(data, initial=initial)
        self.trackday, self.session, self.zone = trackday, session, zone
        if session is not None:
            self.fields["letter"].disabled = True

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not {"letter", "start", "end"} <= data.keys():
            return data
        day = self.trackday.date
        data["planned_start"] = moment_at(self, "start", day, data["start"], self.zone)
        data["planned_end"] = moment_at(self, "end", day, data["end"], self.zone)
        start, end = data["planned_start"], data["planned_end"]
        if start and end and end <= start:
            self.add_error("end", _("The end is not after the start."))
        elif start and end:
            self._refuse_overlap(data["letter"], start, end)
        return data

    def _refuse_overlap(self, letter: str, start: datetime, end: datetime) -> None:
        others = Session.objects.filter(
            trackday=self.trackday,
            group__letter__iexact=letter,
            cancelled_at=None,
            planned_start__lt=end,
            planned_end__gt=start,
        )
        if self.session is not None:
            others = others.exclude(pk=self.session.pk)
        if other := others.select_related("group").first():
            words = _("This overlaps with %(session)s of the same group.")
            self.add_error("start", words % {"session": other})


def moment_at(
    form: forms.BaseForm, field: str, day: date, at: time | None, zone: ZoneInfo
) -> datetime | None:
    if at is None:
        return None
    try:
        return moment(day, at, zone)
    except UnreadableError as why:
        form.add_error(field, str(why))
        return None


class RunGroupsForm(forms.Form):
    """How fast each run group of a day rides; a field for each group, named by its letter."""

    def __init__(self, trackday: Trackday, data: Any = None) -> None:
        super().__init__(data)
        self.groups = list(RunGroup.objects.filter(trackday=trackday))
        for group in self.groups:
            self.fields[group.letter] = forms.ChoiceField(
                choices=[("", _("not said")), *Pace.choices],
                required=False,
                initial=group.pace,
                label=_("Group %(letter)s rides")
                % {"letter": f"{group.letter} {group.name}".strip()},
            )

    def changed(self) -> list[tuple[RunGroup, str]]:
        said = ((group, self.cleaned_data[group.letter]) for group in self.groups)
        return [(group, pace) for group, pace in said if pace != group.pace]


def groups_of(trackday: Trackday) -> list[tuple[str, str]]:
    """Run groups as a select offers them: by letter."""
    return [
        (g.letter, f"{g.letter} {g.name}".strip())
        for g in RunGroup.objects.filter(trackday=trackday)
    ]
