from typing import Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.desk.imports.columns import UnreadableError
from jobs.desk.imports.entries import READERS, REQUIRED, entry_read
from jobs.desk.imports.entry_changes import EntryPreviewLine
from jobs.desk.imports.entry_preview import line_for
from jobs.desk.imports.fields import ENTRY_FIELDS
from jobs.desk.imports.known import known_load
from jobs.garage.models import Bike
from jobs.people.form_fields import CountryField
from jobs.people.models import Rider
from jobs.tables.table import Row
from jobs.trackday.models import Entry, RunGroup, ServicePackage, Trackday

from .days import groups_of

LABELS = {field.name: field.label for field in ENTRY_FIELDS}
FIRST = ("group", "number", "name", "make", "model", "package")


class NewEntryForm(forms.Form):
    """One entry typed by hand. It is read as a row of a file would be, and refused as one."""

    def __init__(self, *args: Any, trackday: Trackday) -> None:
        super().__init__(*args)
        self.trackday = trackday
        self.line: EntryPreviewLine | None = None
        rest = [name for name in READERS if name not in FIRST]
        required = {*REQUIRED, "package"}
        for name in (*FIRST, *rest):
            self.fields[name] = forms.CharField(required=name in required, label=LABELS[name])
        self.fields["group"] = forms.ChoiceField(choices=groups_of(trackday), label=LABELS["group"])
        packages = [(p.code, p.name) for p in ServicePackage.objects.filter(active=True)]
        self.fields["package"] = forms.ChoiceField(choices=packages, label=LABELS["package"])
        self.has_packages = bool(packages)

        self.fields["country"] = CountryField(
            label=LABELS["country"], none_says=_("as the business")
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


class EntryForm(forms.ModelForm[Entry]):
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
        offered = ServicePackage.objects.filter(Q(active=True) | Q(pk=self.instance.package_id))
        self.fields["package"].queryset = offered  # type: ignore[attr-defined]


class BikeForm(forms.ModelForm[Bike]):
    class Meta:
        model = Bike
        fields = ("make", "model", "year", "colour", "frame_last4", "note")
        labels = {"frame_last4": LABELS["frame"]}


class RiderOfEntryForm(forms.ModelForm[Rider]):
    class Meta:
        model = Rider
        fields = ("name", "phone", "weight_in_kit_kg", "aim")
        labels = {"weight_in_kit_kg": LABELS["weight_kg"], "aim": LABELS["aim"]}
