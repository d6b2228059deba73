"""Form fields that several screens share."""

from decimal import Decimal
from typing import Any

from django import forms


class DecimalCommaField(forms.DecimalField):
    """A number typed with a decimal point or a decimal comma."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)
