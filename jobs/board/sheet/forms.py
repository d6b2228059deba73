"""What the sheet's forms carry, read into what the acts want."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import End, FittingKind, OilState, TyreState
from jobs.garage.models import Adjuster
from jobs.setups.measures import PRESSURE, units

from ..fields import DecimalCommaField


def _words(length: int = 300) -> forms.CharField:
    return forms.CharField(max_length=length, required=False)


def _choice(choices: Any) -> forms.ChoiceField:
    return forms.ChoiceField(choices=[("", ""), *choices.choices], required=False)


class ChangeForm(forms.Form):
    """A step tapped (``by``) or a position typed (``to``), and what goes with it."""

    by = DecimalCommaField(required=False)
    to = DecimalCommaField(required=False)
    rebound_by = DecimalCommaField(required=False)  # of a preload change, its rebound check
    preload_by = DecimalCommaField(required=False)  # of other springs, the preload with them
    alone = forms.BooleanField(required=False)  # this leg only
    why = _words(400)  # a reason tapped: “the id of its finding, or nothing: its words”
    reason = _words()  # typed instead
    step_reason = _words(200)
    second_reason = _words(200)
    expectation = _words()
    condition = _words(120)
    expects = _words()  # tapped instead of typed: changed, read back, and this to be seen
    oil = _choice(OilState)
    oil_reason = _words(200)
    tyre_state = _choice(TyreState)
    order = forms.UUIDField(required=False)
    how = forms.ChoiceField(
        choices=[("changed", ""), ("read_back", ""), ("order", "")], required=False
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        nowhere = cleaned.get("by") is None and cleaned.get("to") is None
        if nowhere and cleaned.get("order") is None and not self.errors:
            raise forms.ValidationError(_("Choose a step, or type the new position."))
        if cleaned.get("expects"):
            cleaned |= {"expectation": cleaned["expects"], "how": "read_back"}
        return cleaned

    def moves(self, legs: list[Adjuster]) -> list[dict[str, Any]]:
        """One move per leg, from where the page showed it."""
        moves = []
        for leg in legs:
            start = Decimal(self.data[f"from_{leg.pk}"])
            by, to = self.cleaned_data["by"], self.cleaned_data["to"]
            end = to if to is not None else start + by
            moves.append({"adjuster": leg.pk, "from_position": str(start), "to_position": str(end)})
        return moves

    def moves_with_it(self, by: Decimal | None, legs: list[Adjuster]) -> list[dict[str, Any]]:
        """The rebound moved with its preload, the preload with its springs: one change of mind."""
        if not by:
            return []
        starts = [(leg, Decimal(self.data[f"from_{leg.pk}"])) for leg in legs]
        return [
            {"adjuster": leg.pk, "from_position": str(start), "to_position": str(start + by)}
            for leg, start in starts
        ]

    def ordered_moves(self) -> list[dict[str, Any]]:
        """Every leg of an order, from and to where the page showed it."""
        legs = [name.removeprefix("to_") for name in self.data if name.startswith("to_")]
        return [
            {
                "adjuster": int(leg),
                "from_position": str(Decimal(self.data[f"from_{leg}"])),
                "to_position": str(Decimal(self.data[f"to_{leg}"])),
            }
            for leg in legs
        ]

    def reason_given(self) -> tuple[str | None, str]:
        """The id of the finding it is for, if any, and why; a reason typed stands alone."""
        if self.cleaned_data["reason"]:
            return None, self.cleaned_data["reason"]
        finding, _separator, words = self.cleaned_data["why"].partition(": ")
        return finding or None, words

    def says(self, name: str) -> bool:
        """Whether the page asked for it: an empty field is an answer, a missing one is none."""
        return name in self.data or bool(self.cleaned_data[name])

    def payload(self, names: tuple[str, ...]) -> dict[str, Any]:
        return {name: str(self.cleaned_data[name] or "") for name in names}


class CountForm(forms.Form):
    position = DecimalCommaField()
    second_count = DecimalCommaField(required=False)
    highest = DecimalCommaField(required=False)
    turned_by = _words(80)

    def counted(self, adjuster: Adjuster) -> dict[str, Any]:
        return {
            "adjuster": adjuster.pk,
            **{
                name: None if self.cleaned_data[name] is None else str(self.cleaned_data[name])
                for name in ("position", "second_count", "highest")
            },
        }


class FittingForm(forms.Form):
    """A part put on; the maker's pressure range in any unit, for each state of the tyre."""

    kind = forms.ChoiceField(choices=FittingKind.choices)
    end = _choice(End)
    name = forms.CharField(max_length=120)
    compound = _words(40)
    date_code = _words(8)
    detail = _words(80)
    warmers_c = forms.IntegerField(required=False, min_value=0, max_value=120)
    due_after_outings = forms.IntegerField(required=False, min_value=1, max_value=1000)
    new_depth_mm = DecimalCommaField(required=False, max_digits=4, decimal_places=1)
    range_unit = forms.ChoiceField(choices=[(u, u) for u in units(PRESSURE)], required=False)
    cold_low = DecimalCommaField(required=False)
    cold_high = DecimalCommaField(required=False)
    warmers_low = DecimalCommaField(required=False)
    warmers_high = DecimalCommaField(required=False)
    track_low = DecimalCommaField(required=False)
    track_high = DecimalCommaField(required=False)
