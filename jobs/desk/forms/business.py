from django import forms
from django.utils.translation import gettext_lazy

from jobs.billing.reference import iban_cleaned
from jobs.garage.enums import End
from jobs.people.form_fields import CountryField, CurrencyField, ZoneField
from jobs.people.languages import language_select
from jobs.people.models import Business
from jobs.setups.reading_kinds import TRAVEL
from jobs.trackday.models import Venue


class IbanField(forms.CharField):
    """Kept without spaces; a wrong digit is found before it is printed on an invoice."""

    def clean(self, value: object) -> str:
        typed: str = super().clean(value)
        if not typed:
            return ""
        try:
            return iban_cleaned(typed)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None


class BusinessForm(forms.ModelForm[Business]):
    country = CountryField(label=gettext_lazy("Country"))
    currency = CurrencyField(label=gettext_lazy("Currency"))
    timezone = ZoneField(label=gettext_lazy("Time zone"))
    iban = IbanField(required=False, label=gettext_lazy("IBAN"))

    class Meta:
        model = Business
        fields = (
            "name", "street", "postcode", "city", "country", "email", "phone", "tax_id", "iban",
            "currency", "language", "timezone", "pressure_unit", "temperature_unit",
            "pace_trigger_s", "like_pace_s", "rear_travel_place", "small_step_clicks",
            "small_step_turns", "small_step_mm", "small_step_psi",
        )  # fmt: skip
        labels = {
            "email": gettext_lazy("E-mail"),
            "tax_id": gettext_lazy("VAT ID or tax number"),
            "language": gettext_lazy("Language of letters"),
            "pressure_unit": gettext_lazy("Pressures in"),
            "pace_trigger_s": gettext_lazy("Reopen a settled bike when faster by, s"),
            "like_pace_s": gettext_lazy("Like pace: within, s"),
            "rear_travel_place": gettext_lazy("Rear travel of which nobody says where was read"),
            "temperature_unit": gettext_lazy("Temperatures in"),
            "small_step_clicks": gettext_lazy("Largest step without a reason, clicks"),
            "small_step_turns": gettext_lazy("Largest step without a reason, turns"),
            "small_step_mm": gettext_lazy("Largest step without a reason, mm"),
            "small_step_psi": gettext_lazy("Largest step without a reason, psi"),
        }
        widgets = {
            "language": language_select(),
            "pressure_unit": forms.Select(choices=[(u, u) for u in ("psi", "bar", "kPa")]),
            "temperature_unit": forms.Select(choices=[("degC", "°C"), ("degF", "°F")]),
            "rear_travel_place": forms.Select(
                choices=[
                    ("", gettext_lazy("ask each time")),
                    *((place.value, place.label) for place in TRAVEL.places[End.REAR]),
                ]
            ),
        }


class VenueForm(forms.ModelForm[Venue]):
    country = CountryField(label=gettext_lazy("Country"), none_says=gettext_lazy("not said"))
    timezone = ZoneField(label=gettext_lazy("Time zone"))

    class Meta:
        model = Venue
        fields = ("name", "timezone", "country", "altitude_m", "distance_km", "note")
        labels = {
            "altitude_m": gettext_lazy("Altitude, m"),
            "distance_km": gettext_lazy("Distance from the workshop, km"),
        }
