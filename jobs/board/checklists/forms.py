"""Forms of the checklist editor."""

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.garage.enums import End, TyreState
from jobs.setups.reading_kinds import READING_KINDS, reading_kind
from jobs.trackday.models import ServicePackage
from jobs.worklist.enums import ItemKind
from jobs.worklist.models import Checklist, ChecklistItem


def _askable() -> Iterator[dict[str, str]]:
    """Every reading that a task can ask for, as an item of a checklist keeps it."""
    for kind in READING_KINDS.values():
        if kind.as_lap_times:
            continue
        for state in kind.checklist_tyre_states or [""]:
            for end in kind.ends or [""]:
                yield {
                    "kind": kind.name,
                    **({"end": str(end)} if end else {}),
                    **({"tyre_state": str(state)} if state else {}),
                }


def _chosen(asked: Mapping[str, str]) -> str:
    """ "pressure front cold": a reading as one choice of the form."""
    parts = (asked["kind"], asked.get("end", ""), asked.get("tyre_state", ""))
    return " ".join(part for part in parts if part)


def _asked_words(asked: Mapping[str, str]) -> str:
    end, state = asked.get("end"), asked.get("tyre_state")
    kind = reading_kind(asked["kind"])
    parts = (End(end).label if end else "", kind.label, TyreState(state).label if state else "")
    return " ".join(str(part) for part in parts if part)


class ChecklistForm(forms.Form):
    name = forms.CharField(label=gettext_lazy("Name"), max_length=80)
    packages = forms.ModelMultipleChoiceField(
        ServicePackage.objects.filter(active=True),
        label=gettext_lazy("Only for these packages (none: for all)"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )


class ItemForm(forms.ModelForm[ChecklistItem]):
    """One item. Points are written one a line; readings are chosen."""

    points_text = forms.CharField(
        label=gettext_lazy("Points, one a line"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
    )
    readings_asked = forms.MultipleChoiceField(
        label=gettext_lazy("Readings"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    after = forms.MultipleChoiceField(
        label=gettext_lazy("Not before these are over"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = ChecklistItem
        fields = (
            "text", "help", "kind", "points_text", "readings_asked", "safety", "cadence",
            "before_session", "only_if", "opens_from", "opens_minutes", "closes_from",
            "closes_minutes", "must_start", "after", "minutes", "minutes_by_hand", "people",
            "skill", "rider_needed", "movable", "for_advice", "miss_cost", "order",
        )  # fmt: skip
        labels = {
            "text": gettext_lazy("What is to be done"),
            "help": gettext_lazy("How, and the caution that belongs to it"),
            "kind": gettext_lazy("What is entered"),
            "safety": gettext_lazy("A safety check: a failed point holds the bike"),
            "cadence": gettext_lazy("When it is asked"),
            "before_session": gettext_lazy("If once: by the roll of the bike's session number"),
            "only_if": gettext_lazy("Only if"),
            "opens_from": gettext_lazy("Opens, counted from"),
            "opens_minutes": gettext_lazy("plus minutes (minus: before)"),
            "closes_from": gettext_lazy("Closes, counted from"),
            "closes_minutes": gettext_lazy("plus minutes (minus: before)"),
            "must_start": gettext_lazy("It must start in the window, not end in it"),
            "minutes_by_hand": gettext_lazy("Plan with these minutes, whatever was learned"),
            "miss_cost": gettext_lazy("What missing it costs, against the others"),
            "movable": gettext_lazy("May be moved to a gap between later sessions"),
            "for_advice": gettext_lazy("Also where the package is advice only"),
            "rider_needed": gettext_lazy("The rider is needed"),
        }

    def __init__(self, *args: Any, checklist: Checklist, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.checklist = checklist
        others = ChecklistItem.objects.filter(checklist__retired_at=None)
        after = self.fields["after"]
        assert isinstance(after, forms.MultipleChoiceField)
        after.choices = [(i.code, i.text) for i in others if i.code != self.instance.code]
        self.fields["points_text"].initial = "\n".join(p["text"] for p in self.instance.points)
        self.askable = {_chosen(one): one for one in (*_askable(), *self.instance.readings)}
        readings = self.fields["readings_asked"]
        assert isinstance(readings, forms.MultipleChoiceField)
        readings.choices = [(name, _asked_words(one)) for name, one in self.askable.items()]
        readings.initial = [_chosen(one) for one in self.instance.readings]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        kind = data.get("kind")
        if kind == ItemKind.POINTS and not data.get("points_text", "").strip():
            self.add_error("points_text", _("Write at least one point."))
        if kind == ItemKind.READING and not data.get("readings_asked"):
            self.add_error("readings_asked", _("Choose at least one reading."))
        if not data.get("minutes"):
            self.add_error("minutes", _("It takes at least a minute."))
        self._check_window(data)
        return data

    def _check_window(self, data: dict[str, Any]) -> None:
        """Where both ends are counted from one moment, the work must fit between them."""
        names = ("opens_from", "closes_from", "opens_minutes", "closes_minutes", "minutes")
        if any(data.get(name) is None for name in names):
            return
        room = data["closes_minutes"] - data["opens_minutes"]
        needed = 0 if data.get("must_start") else data["minutes"]
        if data["opens_from"] == data["closes_from"] and room < needed:
            self.add_error(
                "closes_minutes",
                _("The window is %(room)d min long, the work takes %(needed)d.")
                % {"room": room, "needed": needed},
            )

    def item(self) -> ChecklistItem:
        """The item as the form says it, unsaved, its code kept."""
        item: ChecklistItem = self.instance
        item.points = self._points()
        item.readings = [self.askable[name] for name in self.cleaned_data["readings_asked"]]
        item.after = self.cleaned_data["after"]
        if not item.code:
            item.code = slugify(item.text)[:40] or "item"
        return item

    def _points(self) -> list[dict[str, str]]:
        """A point keeps its code as long as its text stays."""
        known = {p["text"]: p["code"] for p in self.instance.points}
        lines = [line.strip() for line in self.cleaned_data["points_text"].splitlines()]
        return [
            {"code": known.get(line) or f"{slugify(line)[:32]}-{number}", "text": line}
            for number, line in enumerate((line for line in lines if line), 1)
        ]
