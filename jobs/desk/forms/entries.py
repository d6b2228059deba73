from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.desk.imports.columns import ENTRY_COLUMNS, UnreadableError
from jobs.desk.imports.entries import entry_read
from jobs.desk.imports.entry_changes import EntryLine
from jobs.desk.imports.entry_preview import line_for
from jobs.desk.imports.known import known_load
from jobs.desk.imports.table import Row
from jobs.garage.models import Bike
from jobs.people.models import Rider
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Trackday

from .days import groups_of

LABELS = {
    "number": _("Start number"),
    "group": _("Run group"),
    "name": _("Rider"),
    "make": _("Make"),
    "model": _("Model"),
    "year": _("Year"),
    "colour": _("Colour"),
    "frame": _("Frame, last four"),
    "package": _("Service package"),
    "bay": _("Bay"),
    "complaint": _("Booked for"),
    "weight_kg": _("Weight in kit, kg"),
    "aim": _("Aim of the day"),
    "email": _("E-mail"),
    "phone": _("Phone"),
    "owner": _("Owner, if not the rider"),
    "payer": _("Payer, if not the owner"),
    "payer_email": _("Payer's e-mail"),
    "street": _("Street"),
    "postcode": _("Postcode"),
    "city": _("City"),
    "country": _("Country code"),
    "note": _("Note"),
    "ref": _("Organiser's ref"),
}
FIRST = ("group", "number", "name", "make", "model", "package")


class NewEntryForm(forms.Form):
    """One entry typed by hand. It is read as a row of a file would be, and refused as one."""

    def __init__(self, *args: Any, trackday: Trackday) -> None:
        super().__init__(*args)
        self.trackday = trackday
        self.line: EntryLine | None = None
        rest = [c.name for c in ENTRY_COLUMNS if c.name not in FIRST]
        required = {c.name for c in ENTRY_COLUMNS if c.required} | {"package"}
        for name in (*FIRST, *rest):
            self.fields[name] = forms.CharField(required=name in required, label=LABELS[name])
        self.fields["group"] = forms.ChoiceField(choices=groups_of(trackday), label=LABELS["group"])
        self.fields["package"] = forms.ChoiceField(
            choices=[(p.code, p.name) for p in ServicePackage.objects.filter(active=True)],
            label=LABELS["package"],
        )

    def first_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in FIRST]

    def further_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name not in FIRST]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            return data
        row, faults = entry_read(Row(1, {name: str(value) for name, value in data.items()}))
        for fault in faults:
            self.add_error(fault.column, fault.words)
        if faults:
            return data
        known = known_load(trackday=self.trackday, rows=[row])
        try:
            self.line = line_for(known, row, None)
        except UnreadableError as why:
            self.add_error(None, str(why))
            return data
        if self.line.entry is not None:
            self.add_error(None, _("This bike and rider are already entered for this day."))
        return data


class EntryForm(forms.ModelForm):
    """What may be changed of an entry; bike and rider have their own forms."""

    class Meta:
        model = Entry
        fields = ("group", "number", "package", "bay", "payer", "complaint", "note", "ref")
        labels = {name: LABELS[name] for name in fields if name in LABELS}
        help_texts = dict.fromkeys(fields, "")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        groups = RunGroup.objects.filter(trackday=self.instance.trackday_id)
        self.fields["group"].queryset = groups  # type: ignore[attr-defined]
        self.fields["payer"].label = _("Who pays")


class BikeForm(forms.ModelForm):
    class Meta:
        model = Bike
        fields = ("make", "model", "year", "colour", "frame_last4", "note")
        labels = {"frame_last4": LABELS["frame"]}


class RiderOfEntryForm(forms.ModelForm):
    class Meta:
        model = Rider
        fields = ("name", "phone", "weight_in_kit_kg", "aim")
        labels = {"weight_in_kit_kg": LABELS["weight_kg"], "aim": LABELS["aim"]}
