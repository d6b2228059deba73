from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.billing.reference import iban_cleaned
from jobs.people.models import Business
from jobs.trackday.models import Venue


class ZoneField(forms.CharField):
    """An IANA time zone's name."""

    def clean(self, value: str) -> str:
        name = super().clean(value)
        if name and name not in available_timezones():
            raise forms.ValidationError(
                _("“%(name)s” is not a time zone such as Europe/Dublin.") % {"name": name}
            )
        return name


class BusinessForm(forms.ModelForm):
    timezone = ZoneField(label=gettext_lazy("Time zone"))

    class Meta:
        model = Business
        fields = (
            "name", "street", "postcode", "city", "country", "email", "phone", "tax_id", "iban",
            "currency", "timezone", "pressure_unit", "temperature_unit", "pace_trigger_s",
            "like_pace_s", "travel_low_percent", "travel_high_percent", "small_step_clicks",
            "small_step_turns", "small_step_mm", "small_step_psi",
        )  # fmt: skip
        labels = {
            "email": gettext_lazy("E-mail"),
            "tax_id": gettext_lazy("Tax number"),
            "iban": gettext_lazy("IBAN"),
            "pressure_unit": gettext_lazy("Pressures in"),
            "pace_trigger_s": gettext_lazy("Reopen a settled bike when faster by, s"),
            "like_pace_s": gettext_lazy("Like pace: within, s"),
            "travel_low_percent": gettext_lazy("Settled from, % of travel"),
            "travel_high_percent": gettext_lazy("Settled up to, % of travel"),
            "temperature_unit": gettext_lazy("Temperatures in"),
            "small_step_clicks": gettext_lazy("Most in one go without a reason, clicks"),
            "small_step_turns": gettext_lazy("Most in one go without a reason, turns"),
            "small_step_mm": gettext_lazy("Most in one go without a reason, mm"),
            "small_step_psi": gettext_lazy("Most in one go without a reason, psi"),
        }
        widgets = {
            "pressure_unit": forms.Select(choices=[(u, u) for u in ("psi", "bar", "kPa")]),
            "temperature_unit": forms.Select(choices=[("degC", "°C"), ("degF", "°F")]),
        }

    def clean_iban(self) -> str:
        """Without spaces; a wrong digit is found before it is printed on an invoice."""
        typed = self.cleaned_data["iban"]
        if not typed:
            return ""
        try:
            return iban_cleaned(typed)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class VenueForm(forms.ModelForm):
    timezone = ZoneField(label=gettext_lazy("Time zone"))

    class Meta:
        model = Venue
        fields = ("name", "timezone", "country", "altitude_m", "distance_km", "note")
        labels = {
            "country": gettext_lazy("Country code"),
            "altitude_m": gettext_lazy("Altitude, m"),
            "distance_km": gettext_lazy("Distance from the workshop, km"),
        }
