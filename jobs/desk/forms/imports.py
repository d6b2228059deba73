from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.desk.imports.fields import ENTRY_FIELDS, TIMETABLE_FIELDS
from jobs.tables.forms import ListForm
from jobs.trackday.models import RunGroup, ServicePackage, Trackday


class TimetableListForm(ListForm):
    kind = "timetable"
    list_fields = TIMETABLE_FIELDS


class EntriesListForm(ListForm):
    """An entries list, with what is chosen for rows that do not say it themselves."""

    kind = "entries"
    list_fields = ENTRY_FIELDS

    package = forms.ModelChoiceField(
        ServicePackage.objects.filter(active=True),
        required=False,
        empty_label=_("none: every row must name one"),
        label=_("Service package of rows that name none"),
    )
    group = forms.ModelChoiceField(
        RunGroup.objects.none(),
        required=False,
        to_field_name="letter",
        empty_label=_("none: every row must name one"),
        label=_("Run group of rows that name none"),
    )

    def __init__(self, *args: Any, trackday: Trackday) -> None:
        super().__init__(*args)
        groups = RunGroup.objects.filter(trackday=trackday)
        self.fields["group"].queryset = groups  # type: ignore[attr-defined]
        packages = ServicePackage.objects.filter(active=True)
        if self.is_bound and "package" not in self.data and len(only := packages[:2]) == 1:
            # The page of the file alone does not ask: where there is one package it is meant.
            data = cast(QueryDict, self.data).copy()
            data["package"] = str(only[0].pk)
            self.data = data

    @property
    def makes_of_two_words(self) -> list[str]:
        """What was ticked on the page: first words that are one make."""
        return cast(QueryDict, self.data).getlist("makes") if self.is_bound else []
