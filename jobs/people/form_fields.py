"""Fields that several surfaces' forms have: a country, a currency, a time zone, by name."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from .countries import country_names, currency_names

PASSWORD_HELP = gettext_lazy("At least 8 characters, and no word everybody uses")


class CountryField(forms.ChoiceField):
    """A country chosen by its name; what is kept is its ISO 3166-1 code.

    ``none_says``: what stands first, for no country at all; left out, one must be chosen.
    """

    def __init__(self, *, none_says: Any = "", **kwargs: Any) -> None:
        def choices() -> list[tuple[str, str]]:
            names = country_names(get_language() or "en")
            return [("", none_says or _("Choose a country")), *names.items()]

        super().__init__(choices=choices, **{"required": not none_says, **kwargs})

    def to_python(self, value: object) -> str:
        return str(super().to_python(value)).upper()


class CurrencyField(forms.ChoiceField):
    """A currency chosen by its name; what is kept is its ISO 4217 code."""

    def __init__(self, **kwargs: Any) -> None:
        def choices() -> list[tuple[str, str]]:
            names = currency_names(get_language() or "en")
            return [(code, f"{name} ({code})") for code, name in names.items()]

        super().__init__(choices=choices, **kwargs)


class ZoneField(forms.ChoiceField):
    """A time zone of the IANA, chosen by its name."""

    def __init__(self, **kwargs: Any) -> None:
        def choices() -> list[tuple[str, str]]:
            zones = sorted(zone for zone in available_timezones() if "/" in zone)
            return [(zone, zone.replace("_", " ")) for zone in ["UTC", *zones]]

        super().__init__(choices=choices, **kwargs)
