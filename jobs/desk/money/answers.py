"""Shared by the money pages: messages of refused services, file responses, typed amounts."""

import datetime
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Any, TypeVar

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from jobs.billing.money import Money
from jobs.people.selectors import business_get

T = TypeVar("T")


def attempt(request: HttpRequest, done: str, service: Callable[..., T], **values: Any) -> T | None:
    """Run one service; tell the person what was done, or why not. None: it was refused."""
    try:
        result = service(**values)
    except ValidationError as error:
        for line in error.messages:
            messages.error(request, line)
        return None
    if done:
        messages.success(request, done)
    return result


def currency() -> str:
    return business_get().currency


def amount_from(text: str) -> int:
    """Minor units from what was typed, decimal comma or point. ValidationError in words."""
    plain = text.strip().replace(" ", "").replace("\xa0", "")
    if "," in plain and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        return Money.of(plain, currency()).minor
    except ValueError:
        raise ValidationError(
            _("“%(text)s” is not an amount such as 120.50.") % {"text": text}
        ) from None


def price_from(text: str) -> Decimal | None:
    """A price or a quantity; nothing typed is None."""
    plain = text.strip().replace(" ", "").replace("\xa0", "")
    if not plain:
        return None
    if "," in plain and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        number = Decimal(plain)
    except InvalidOperation:
        number = None
    if number is None or not number.is_finite():
        raise ValidationError(_("“%(text)s” is not a number such as 12.50.") % {"text": text})
    return number


def day_from(text: str, default: datetime.date) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return default


def attachment(content: bytes, *, name: str, kind: str) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
