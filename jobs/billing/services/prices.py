"""The price list, tax rates and terms. A change made here changes no issued document."""

import io
import uuid
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from PIL import Image, UnidentifiedImageError

from jobs.people.selectors import business_get
from jobs.trackday.models import ServicePackage

from ..enums import PACKAGE_KINDS, PriceKind, TravelPricing
from ..models import PriceItem, Terms
from ..money import exponent
from ..selectors.prices import terms_get

LOGO_PIXELS = (900, 300)
LOGO_BYTES = 5 * 1024 * 1024


@transaction.atomic
def price_item_save(*, item: PriceItem | None = None, **values: Any) -> PriceItem:
    """Enter or change one line of the price list. Raises ValidationError by field."""
    item = item or PriceItem()
    for name, value in values.items():
        setattr(item, name, value)
    if not item.code:
        item.code = _free_code(item.name)
    _refuse(item)
    item.full_clean()
    item.save()
    return item


def _free_code(name: str) -> str:
    from django.utils.text import slugify

    code = slugify(name)[:32] or "item"
    taken = PriceItem.objects.filter(code=code).exists()
    return f"{code}-{uuid.uuid4().hex[:6]}" if taken else code


def _refuse(item: PriceItem) -> None:
    wrong = {}
    is_discount = item.kind == PriceKind.DISCOUNT
    if item.kind == PriceKind.PACKAGE and item.package is None:
        wrong["package"] = _("Choose the service package this is the price of.")
    if item.kind not in PACKAGE_KINDS:
        item.package = None
    if item.percent is not None and not is_discount:
        wrong["percent"] = _("Only a discount is a percentage.")
    if is_discount and (item.price is None) == (item.percent is None):
        wrong["price"] = _("A discount is either a sum or a percentage.")
    if item.kind == PriceKind.TRAVEL and not item.travel:
        wrong["travel"] = _("Say how travel is charged.")
    if (
        item.kind == PriceKind.TRAVEL
        and item.price is not None
        and item.travel == TravelPricing.SHARED
    ):
        places = exponent(business_get().currency)
        if item.price != round(item.price, places):
            wrong["price"] = _("A sum that is shared has no parts of a cent.")
    if wrong:
        raise ValidationError(wrong)


@transaction.atomic
def price_item_retire(*, item: PriceItem, active: bool = False) -> None:
    """Take a line off the list, or put it back; documents that have it keep it."""
    item.active = active
    item.save(update_fields=["active"])


@transaction.atomic
def package_price_save(
    *, package: ServicePackage, price: Decimal | None, kind: PriceKind
) -> PriceItem:
    """The price of a service package, as the price list has it; None: it has no price yet.

    A new line is called like the package and stands under ``kind``; one that is there keeps
    what else it says.
    """
    item = PriceItem.objects.filter(package=package).first()
    if item is None:
        return price_item_save(
            name=package.name, kind=kind, package=package, price=price, order=package.order
        )
    return price_item_save(item=item, price=price, active=True)


@transaction.atomic
def terms_update(*, logo: bytes | None = None, **values: Any) -> Terms:
    terms = terms_get()
    for name, value in values.items():
        setattr(terms, name, value)
    terms.cancellation_scale = _scale(terms.cancellation_scale)
    if logo is not None:
        terms.logo = logo_reencoded(logo)
    terms.full_clean()
    terms.save()
    return terms


def _scale(steps: list[list[int]]) -> list[list[int]]:
    """Days falling, percent within 0 to 100, and a last step for the day itself."""
    clean = sorted(([int(days), int(percent)] for days, percent in steps), reverse=True)
    if not clean or clean[-1][0] != 0:
        raise ValidationError({"cancellation_scale": _("The scale needs a step for 0 days.")})
    if len({days for days, _percent in clean}) != len(clean):
        raise ValidationError({"cancellation_scale": _("Each number of days stands once.")})
    if any(not 0 <= percent <= 100 or days < 0 for days, percent in clean):
        raise ValidationError({"cancellation_scale": _("A percentage lies between 0 and 100.")})
    return clean


def logo_reencoded(upload: bytes) -> bytes:
    """A picture decoded and saved again as PNG: of the upload only its pixels are kept.

    Raises ValidationError for what is no picture, or too large a file.
    """
    if len(upload) > LOGO_BYTES:
        raise ValidationError({"logo": _("The logo is larger than 5 MB.")})
    try:
        with Image.open(io.BytesIO(upload), formats=["PNG", "JPEG", "WEBP"]) as picture:
            picture.load()
            clean = picture.convert("RGBA")
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        raise ValidationError(
            {"logo": _("This is not a PNG, JPEG or WebP picture that can be read.")}
        ) from None
    clean.thumbnail(LOGO_PIXELS)
    written = io.BytesIO()
    clean.save(written, format="PNG", optimize=True)
    return written.getvalue()
