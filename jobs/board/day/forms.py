"""Forms of the day's tools. Times are typed as on the wall at the venue."""

from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.trackday.models import RunGroup, ServicePackage, Trackday

from ..fields import DecimalCommaField


def at_venue(trackday: Trackday, wall: time) -> datetime:
    """A time of the day at the venue as a moment."""
    return datetime.combine(trackday.date, wall, ZoneInfo(trackday.venue.timezone))


def _plain(cleaned: dict[str, Any]) -> dict[str, object]:
    """What a payload may hold: rows by id, decimals as text, nothing for what was left empty."""
    return {
        name: value.pk if hasattr(value, "pk") else str(value)
        for name, value in cleaned.items()
        if value not in (None, "")
    }


class ConditionsForm(forms.Form):
    track_c = DecimalCommaField(
        label=_("Track, °C"), required=False, max_digits=4, decimal_places=1
    )
    air_c = DecimalCommaField(label=_("Air, °C"), required=False, max_digits=4, decimal_places=1)
    wet = forms.ChoiceField(
        label=_("Surface"),
        choices=[("", _("dry")), ("1", _("wet"))],
        required=False,
        widget=forms.RadioSelect,
    )
    wind = forms.CharField(label=_("Wind, in words"), required=False, max_length=80)

    def payload(self) -> dict[str, object]:
        return _plain(self.cleaned_data)


class WalkUpForm(forms.Form):
    number = forms.CharField(label=_("Start number"), required=False, max_length=8)
    group = forms.ModelChoiceField(RunGroup.objects.none(), label=_("Group"), empty_label=None)
    name = forms.CharField(label=_("Rider's name"), max_length=120)
    phone = forms.CharField(
        label=_("Phone"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"type": "tel"}),
    )
    bike = forms.CharField(label=_("Bike, if there is time"), required=False, max_length=120)
    package = forms.ModelChoiceField(
        ServicePackage.objects.filter(active=True), label=_("Package"), empty_label=None
    )

    def __init__(self, *args: Any, trackday: Trackday, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        group = self.fields["group"]
        assert isinstance(group, forms.ModelChoiceField)
        group.queryset = trackday.groups.all()

    def payload(self) -> dict[str, object]:
        return _plain(self.cleaned_data)


class SessionAddForm(forms.Form):
    group = forms.ModelChoiceField(RunGroup.objects.none(), label=_("Group"), empty_label=None)
    start = forms.TimeField(label=_("Starts at"), widget=forms.TimeInput(attrs={"type": "time"}))
    minutes = forms.IntegerField(label=_("Minutes"), min_value=5, max_value=120, initial=20)

    def __init__(self, *args: Any, trackday: Trackday, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trackday = trackday
        group = self.fields["group"]
        assert isinstance(group, forms.ModelChoiceField)
        group.queryset = trackday.groups.all()

    def payload(self) -> dict[str, object]:
        start = at_venue(self.trackday, self.cleaned_data["start"])
        return {
            "group": self.cleaned_data["group"].pk,
            "planned_start": start.isoformat(),
            "minutes": self.cleaned_data["minutes"],
        }


class LunchForm(forms.Form):
    start = forms.TimeField(label=_("Not before"), widget=forms.TimeInput(attrs={"type": "time"}))
    end = forms.TimeField(label=_("Until"), widget=forms.TimeInput(attrs={"type": "time"}))
    least_minutes = forms.IntegerField(
        label=_("At least, minutes"), min_value=0, max_value=180, initial=30
    )

    def __init__(self, *args: Any, trackday: Trackday, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trackday = trackday

    def payload(self) -> dict[str, object]:
        return {
            "trackday": self.trackday.pk,
            "start": at_venue(self.trackday, self.cleaned_data["start"]).isoformat(),
            "end": at_venue(self.trackday, self.cleaned_data["end"]).isoformat(),
            "least_minutes": self.cleaned_data["least_minutes"],
        }
