"""Form fields that several screens share."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

MOST_PLACES = 30  # of a number, before or behind its point


class DecimalCommaField(forms.DecimalField):
    """A number typed with a decimal point or a decimal comma."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        read = super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
        if read and abs(read.adjusted()) > MOST_PLACES:  # 1e999999 is written by one who tries
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return read
