"""What is known of a chassis: springs, travel, geometry, weights; of a bike or a model sheet."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.calculators.catalogue.sag import points_of
from jobs.garage import figures
from jobs.garage.models import Bike, ModelSheet
from jobs.garage.services import figures_write
from jobs.people.access import SignedIn
from jobs.tuning import Refused, geometry, linkage

from ..fields import DecimalCommaField
from .bike_header import bike_header_of, entry_get

# Rake, radius and offset give a trail; a tape and a level are good to about this.
TRAILS_AGREE_MM = 5


class FiguresForm(forms.Form):
    """Every figure of ``jobs.garage.figures``, in the units chosen beside them."""

    linkage_curve = forms.CharField(
        required=False,
        label=gettext_lazy("linkage curve: wheel mm and shock mm, a pair to a line"),
        widget=forms.Textarea(attrs={"rows": 4, "inputmode": "text"}),
    )

    def __init__(self, chassis: Bike | ModelSheet, data: Any = None) -> None:
        super().__init__(data)
        for group in figures.GROUPS.values():
            self.fields[f"unit_{group.name}"] = forms.ChoiceField(
                choices=[(unit, unit) for unit in group.units],
                initial=chassis.typed_in.get(group.name, group.units[0]),
                label=str(group.words),
            )
        for figure in figures.FIGURES:
            self.fields[figure.name] = DecimalCommaField(
                required=False,
                label=str(figure.words),
                initial=figure.as_typed(chassis),
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )
        self.initial["linkage_curve"] = "\n".join(f"{z:g} {s:g}" for z, s in chassis.linkage_curve)

    def typed_in(self) -> dict[str, str]:
        return {name: self.cleaned_data[f"unit_{name}"] for name in figures.GROUPS}

    def clean_linkage_curve(self) -> list[list[float]]:
        typed = self.cleaned_data["linkage_curve"].strip()
        if not typed:
            return []
        try:
            points = points_of(typed)
            linkage.from_points(points=points)
        except Refused as refusal:
            raise ValidationError(str(refusal.words)) from refusal
        return points

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if any(f"unit_{name}" not in cleaned for name in figures.GROUPS):
            return cleaned
        typed_in = self.typed_in()
        for figure in figures.FIGURES:
            typed: Decimal | None = cleaned.get(figure.name)
            if typed is None:
                continue
            try:
                cleaned[figure.name] = figure.in_kept_unit(typed, typed_in)
            except ValidationError as error:
                self.add_error(figure.name, error)
        return cleaned

    def values(self) -> dict[str, Any]:
        names = [*(figure.name for figure in figures.FIGURES), "linkage_curve"]
        return {name: self.cleaned_data[name] for name in names}

    # What the page lays out.

    def units(self) -> list[forms.BoundField]:
        return [self[f"unit_{name}"] for name in figures.GROUPS]

    def at_both_ends(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        for front, rear in figures.AT_BOTH_ENDS:
            yield self[front.name], self[rear.name]

    def springs(self) -> list[forms.BoundField]:
        return [self[figure.name] for figure in figures.SPRINGS]

    def geometry(self) -> list[forms.BoundField]:
        return [self[figure.name] for figure in figures.GEOMETRY]


def of_bike(request: SignedIn, entry_id: int) -> HttpResponse:
    entry = entry_get(entry_id)
    form = FiguresForm(entry.bike, request.POST or None)
    if form.is_valid():
        _write(request, entry.bike, form)
        return redirect("board:sheet", entry_id=entry.pk)
    context = {"entry": entry, "head": bike_header_of(entry), "form": form, "chassis": entry.bike}
    return render(request, "board/sheet/figures.html", context)


def of_sheet(request: SignedIn, sheet_id: int) -> HttpResponse:
    sheet = get_object_or_404(ModelSheet, pk=sheet_id)
    form = FiguresForm(sheet, request.POST or None)
    if form.is_valid():
        _write(request, sheet, form)
        return redirect("board:model-sheet", sheet_id=sheet.pk)
    return render(request, "board/sheet/figures.html", {"form": form, "chassis": sheet})


def _write(request: SignedIn, chassis: Bike | ModelSheet, form: FiguresForm) -> None:
    figures_write(chassis=chassis, by=request.user, figures=form.values(), typed_in=form.typed_in())
    messages.success(request, _("The figures of %(name)s are kept.") % {"name": chassis})
    if doubt := _trails_apart(chassis):
        messages.warning(request, doubt)


def _trails_apart(chassis: Bike | ModelSheet) -> str:
    """A trail that does not go with rake, offset and radius is said, and kept."""
    known = (chassis.rake_deg, chassis.offset_mm, chassis.front_wheel_radius_mm)
    if chassis.trail_mm is None or any(one is None for one in known):
        return ""
    rake, offset, radius = (float(one) for one in known if one is not None)
    try:
        worked_out = geometry.trail(rake_deg=rake, offset_mm=offset, wheel_radius_mm=radius)
    except Refused:
        return ""
    if abs(worked_out - float(chassis.trail_mm)) <= TRAILS_AGREE_MM:
        return ""
    return _(
        "Rake, offset and wheel radius give a trail of %(found).0f mm, not %(typed).0f: one of "
        "the four is not as measured."
    ) % {"found": worked_out, "typed": chassis.trail_mm}
