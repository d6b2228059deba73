"""How an adjuster of this bike is counted; and the gauges readings are taken with."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.garage import services
from jobs.garage.models import Adjuster, Gauge
from jobs.garage.words import plain
from jobs.people.access import SignedIn
from jobs.setups.models import Adjustment
from jobs.tuning.units import symbol_of

from .bike_header import bike_header_of, entry_get

# Once the book holds a position, what it was counted in cannot become something else.
FIXED_BY_ROWS = ("end", "leg", "function", "unit", "origin", "labels")


class AdjusterForm(forms.ModelForm[Adjuster]):
    labels = forms.CharField(
        required=False,
        label=gettext_lazy("labelled positions, in order, separated by commas"),
    )

    class Meta:
        model = Adjuster
        fields = [
            "end", "leg", "function", "unit", "step", "origin", "firming", "lowest", "highest",
            "labels",
        ]  # fmt: skip
        labels = {
            "lowest": gettext_lazy("the number said at the end itself (0 or 1)"),
            "highest": gettext_lazy("the number at the other end"),
            "step": gettext_lazy("one step (0.25 for a quarter turn)"),
            "origin": gettext_lazy("counted"),
            "firming": gettext_lazy("effect"),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("step", "lowest", "highest"):
            if isinstance(value := self.initial.get(name), Decimal):
                self.initial[name] = plain(value)
        self.initial["labels"] = ", ".join(self.instance.labels or [])
        if self.instance.pk and Adjustment.objects.filter(adjuster=self.instance).exists():
            for name in FIXED_BY_ROWS:
                self.fields[name].disabled = True

    def clean_labels(self) -> list[str]:
        said = self.cleaned_data["labels"]
        return [word.strip() for word in said.split(",") if word.strip()]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        low, high = cleaned.get("lowest"), cleaned.get("highest")
        if low is not None and high is not None and high <= low:
            self.add_error("highest", _("The range must end above its start."))
        if cleaned.get("unit") == "label" and len(cleaned.get("labels") or []) < 2:
            self.add_error("labels", _("Name at least two positions."))
        return cleaned


class GaugeForm(forms.ModelForm[Gauge]):
    class Meta:
        model = Gauge
        fields = ["name", "quantity", "unit", "offset"]
        labels = {"offset": gettext_lazy("reads above the reference gauge by")}

    quantity = forms.ChoiceField(
        choices=[
            ("pressure", gettext_lazy("pressure")),
            ("temperature", gettext_lazy("temperature")),
            ("length", gettext_lazy("length")),
        ]
    )
    unit = forms.ChoiceField(
        choices=[(u, symbol_of(u)) for u in ("psi", "kPa", "bar", "degC", "degF", "mm")]
    )


def adjuster(request: SignedIn, entry_id: int, adjuster_id: int = 0) -> HttpResponse:
    """One adjuster's description; 0: a new one."""
    entry = entry_get(entry_id)
    found = (
        get_object_or_404(Adjuster, pk=adjuster_id, bike=entry.bike_id)
        if adjuster_id
        else Adjuster(bike=entry.bike)
    )
    form = AdjusterForm(request.POST or None, instance=found)
    if form.is_valid() and _described(form):
        messages.success(request, _("%(adjuster)s is described.") % {"adjuster": found})
        return redirect("board:sheet", entry_id=entry.pk)
    context = {"entry": entry, "head": bike_header_of(entry), "form": form, "adjuster": found}
    return render(request, "board/sheet/describe.html", context)


def _described(form: AdjusterForm) -> bool:
    try:
        services.adjuster_describe(adjuster=form.save(commit=False))
    except ValidationError as error:
        form.add_error(None, error.messages)
        return False
    return True


def gauges(request: SignedIn, gauge_id: int = 0) -> HttpResponse:
    """The instruments with their offsets; a gauge that reads high is corrected inside."""
    found = get_object_or_404(Gauge, pk=gauge_id) if gauge_id else Gauge()
    form = GaugeForm(request.POST or None, instance=found)
    if form.is_valid():
        gauge = services.gauge_save(gauge=form.save(commit=False))
        messages.success(request, _("%(gauge)s is kept.") % {"gauge": gauge})
        return redirect("board:gauges")
    context = {"gauges": Gauge.objects.all(), "form": form, "gauge": found}
    return render(request, "board/sheet/gauges.html", context)
