"""What the first page asks: the business in a few words, and whoever begins."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.people import countries
from jobs.people.form_fields import PASSWORD_HELP, CountryField, CurrencyField, ZoneField
from jobs.people.models import User

PRESSURES = [(unit, unit) for unit in ("psi", "bar", "kPa")]
TEMPERATURES = [("degC", "°C"), ("degF", "°F")]
OF_BUSINESS = ("country", "currency", "timezone", "pressure_unit", "temperature_unit")


class FirstForm(forms.Form):
    business = forms.CharField(max_length=120, label=gettext_lazy("Name of the business"))
    country = CountryField(label=gettext_lazy("Country"))
    currency = CurrencyField(label=gettext_lazy("Currency"), initial="EUR")
    timezone = ZoneField(label=gettext_lazy("Time zone"), initial="Europe/Dublin")
    pressure_unit = forms.ChoiceField(choices=PRESSURES, label=gettext_lazy("Pressures in"))
    temperature_unit = forms.ChoiceField(
        choices=TEMPERATURES, label=gettext_lazy("Temperatures in")
    )
    name = forms.CharField(
        max_length=150,
        label=gettext_lazy("Your name"),
        help_text=gettext_lazy("As screens show it"),
    )
    username = forms.CharField(
        max_length=150,
        required=False,
        label=gettext_lazy("Name to sign in with"),
        help_text=gettext_lazy("Left out: made from your name"),
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
        strip=False,
        widget=forms.PasswordInput(
            attrs={"autocomplete": "new-password", "data-shown-by": "show-password"},
            render_value=True,
        ),
        help_text=PASSWORD_HELP,
    )

    def of_business(self) -> list[forms.BoundField]:
        return [self["business"], self["country"]]

    def usual(self) -> list[forms.BoundField]:
        """What the country usually decides, to be looked at and rarely changed."""
        return [self[name] for name in OF_BUSINESS[1:]]

    def of_person(self) -> list[forms.BoundField]:
        return [self["name"], self["username"], self["password"]]

    def clean_username(self) -> str:
        name: str = self.cleaned_data["username"]
        User.username_validator(name or "x")
        if User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(_("Somebody has this name already."))
        return name

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if password := data.get("password"):
            person = User(username=data.get("username", ""), first_name=data.get("name", ""))
            try:
                validate_password(password, person)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return data

    def business_values(self) -> dict[str, Any]:
        values = {name: self.cleaned_data[name] for name in OF_BUSINESS}
        return values | {"name": self.cleaned_data["business"]}


def usual_by_country() -> dict[str, dict[str, Any]]:
    """What usually goes with each country: for the page, which fills it in when one is chosen."""
    zones = countries.zones_by_country()
    return {
        code: {
            "currency": countries.currency_of(code),
            "zones": zones.get(code, []),
            "pressure_unit": countries.pressure_unit_of(code),
            "temperature_unit": countries.temperature_unit_of(code),
        }
        for code in countries.country_names("en")
    }
