"""``{{ minor|money:currency }}`` and the payment code, for pages and documents."""

import uuid
from decimal import Decimal

import segno
from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from ..money import Money, exponent, to_major, to_minor
from ..payment_code import payment_code_svg
from ..selectors.due_charges import DueCharge

register = template.Library()


@register.filter
def money(minor: int | None, currency: str) -> str:
    """Whole minor units in the reader's own way of writing money; nothing for nothing."""
    return "" if minor is None else Money(minor, currency).text(get_language() or "en")


@register.filter
def code_svg(code: segno.QRCode) -> SafeString:
    """The square code as inline SVG: drawn by segno from checked fields, no text inside."""
    return mark_safe(payment_code_svg(code))  # noqa: S308


@register.filter
def absolute(minor: int) -> int:
    return abs(minor)


@register.filter
def due_amount(due: DueCharge, currency: str) -> str:
    """What a charge comes to, in the price list's own mode."""
    return money(due.amount_minor(exponent(currency)), currency)


@register.filter
def price(value: Decimal, currency: str) -> str:
    """A price: with the currency's decimals, or as many as it needs."""
    places = exponent(currency)
    if value == round(value, places):
        return money(to_minor(value, places), currency)
    return f"{plain(value)} {currency}"


@register.filter
def plain(value: Decimal) -> str:
    """A number to be typed over: no trailing zeros, no grouping."""
    return f"{value.normalize():f}"


@register.filter
def typed(minor: int, currency: str) -> str:
    """A sum to be typed over."""
    return f"{to_major(minor, exponent(currency)):f}"


@register.simple_tag
def fresh_id() -> str:
    """The id a form posts so that a double tap is one payment."""
    return str(uuid.uuid4())
