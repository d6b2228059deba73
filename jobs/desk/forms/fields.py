from decimal import Decimal

from django import forms
from django.utils.translation import gettext as _

from ..money.answers import price_from


class PriceField(forms.CharField):
    """A price with decimal point or comma, not below zero; nothing typed is None."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: object) -> Decimal | None:
        refused = forms.ValidationError(
            _("“%(text)s” is not a price such as 120.50.") % {"text": value}
        )
        try:
            number = price_from(str(super().clean(value)))
        except forms.ValidationError:
            raise refused from None
        if number is not None and number < 0:
            raise refused
        return number
