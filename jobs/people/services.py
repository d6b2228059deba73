"""Writes of the office about people. What is done trackside goes through acts."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from .enums import EditVerb, Role
from .models import Customer, Device, Edit, OwnBand, Rider, User


def customer_create(
    *,
    name: str,
    email: str = "",
    phone: str = "",
    street: str = "",
    postcode: str = "",
    city: str = "",
    country: str = "",
) -> Customer:
    """A new customer. Two customers may share a name; an e-mail is who they are."""
    return Customer.objects.create(
        name=name,
        email=email.lower(),
        phone=phone,
        street=street,
        postcode=postcode,
        city=city,
        country=country,
    )


def rider_create(
    *,
    customer: Customer,
    name: str,
    phone: str = "",
    weight_in_kit_kg: Decimal | None = None,
    aim: str = "",
) -> Rider:
    return Rider.objects.create(
        customer=customer, name=name, phone=phone, weight_in_kit_kg=weight_in_kit_kg, aim=aim
    )


def customer_update(*, customer: Customer, changes: dict[str, Any]) -> None:
    """Set the named fields of a customer, and no others."""
    _update(customer, changes)


def rider_update(*, rider: Rider, changes: dict[str, Any]) -> None:
    """Set the named fields of a rider, and no others."""
    _update(rider, changes)


def _update(row: Customer | Rider, changes: dict[str, Any]) -> None:
    for name, value in changes.items():
        setattr(row, name, value)
    row.save(update_fields=list(changes))


def edit_note(
    *,
    by: User,
    verb: EditVerb,
    what: str,
    title: str,
    ref: object = "",
    changes: dict[str, Any] | None = None,
) -> Edit:
    """Keep who changed what. Called in the transaction of the change itself."""
    return Edit.objects.create(
        by=by, verb=verb, what=what, ref=str(ref), title=title[:200], changes=changes or {}
    )


def customer_user(*, customer: Customer) -> User:
    """The sign-in of a customer: no password, only signed links open it."""
    if customer.user is None:
        user = User(username=f"customer-{customer.pk}", role=Role.CUSTOMER)
        user.first_name = customer.name[:150]
        user.set_unusable_password()
        user.save()
        customer.user = user
        customer.save(update_fields=["user"])
    return customer.user


def links_withdraw(*, customer: Customer) -> None:
    """Make every link this customer was ever sent open nothing, and end his sessions.

    Links are signed over the (unusable) password, sessions are bound to it: a new one
    ends both.
    """
    if customer.user is not None:
        customer.user.set_unusable_password()
        customer.user.save(update_fields=["password"])


def password_set(*, user: User, password: str) -> None:
    """A new password; the form has judged its strength."""
    user.set_password(password)
    user.save(update_fields=["password"])


def device_shut_out(*, device: Device) -> None:
    """A lost tablet: it opens nothing any more. What it has sent stays."""
    device.shut_out_at = datetime.now(UTC)
    device.save(update_fields=["shut_out_at"])


def own_band_set(*, key: str, low: Decimal, high: Decimal) -> None:
    """The business's own range for a figure of the trade, in place of the published one."""
    OwnBand.objects.update_or_create(key=key, defaults={"low": low, "high": high})


def own_band_clear(*, key: str) -> None:
    """Back to the published range."""
    OwnBand.objects.filter(key=key).delete()
