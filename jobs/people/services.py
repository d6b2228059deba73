"""Writes of the office about people. What is done trackside goes through acts."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.text import slugify
from django.utils.translation import gettext as _

from .enums import EditVerb, Role, TrailEvent
from .models import (
    Business,
    Customer,
    Device,
    Edit,
    OpenSession,
    OwnBand,
    Rider,
    SignInLink,
    User,
)
from .open_sessions import sessions_end_others
from .selectors import same_person
from .trail import trail_note


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
    """A new customer. Two customers may share a name; the e-mail tells them apart."""
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


@transaction.atomic
def customers_link(*, customer: Customer, other: Customer, by: User) -> None:
    """Say that two customers are one person. Nothing they have moves; it is shown together.

    Raises ValidationError if they are linked already.
    """
    first = other.same_as_id or other.pk
    if first == (customer.same_as_id or customer.pk):
        raise ValidationError(_("These are linked already."))
    same_person(customer).update(same_as=first)
    customer.refresh_from_db(fields=["same_as"])
    _same_note(customer, by, "", str(first))


@transaction.atomic
def customer_unlink(*, customer: Customer, by: User) -> None:
    """Take a customer out of those who are one person with them. Others stay linked."""
    others = same_person(customer).exclude(pk=customer.pk)
    if customer.same_as_id is None and (heir := others.order_by("pk").first()) is not None:
        others.exclude(pk=heir.pk).update(same_as=heir)
        Customer.objects.filter(pk=heir.pk).update(same_as=None)
    was = str(customer.same_as_id or "")
    Customer.objects.filter(pk=customer.pk).update(same_as=None)
    customer.refresh_from_db(fields=["same_as"])
    _same_note(customer, by, was, "")


def _same_note(customer: Customer, by: User, was: str, becomes: str) -> None:
    edit_note(
        by=by, verb=EditVerb.CHANGED, what="customer", title=customer.name, ref=customer.pk,
        changes={"same as": [was, becomes]},
    )  # fmt: skip
    trail_note(TrailEvent.SAME_PERSON, by=by, ref=customer.pk)


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
    """The sign-in of a customer: no password, only links open it."""
    if customer.user is None:
        user = User(username=f"customer-{customer.pk}", role=Role.CUSTOMER)
        user.first_name, user.language = customer.name[:150], customer.language
        user.set_unusable_password()
        user.save()
        customer.user = user
        customer.save(update_fields=["user"])
    return customer.user


def links_withdraw(*, customer: Customer) -> None:
    """Make every link sent to this customer invalid, and end their sessions: of all their rows.

    Sessions are bound to the (unusable) password: a new one ends them.
    """
    people = list(same_person(customer).order_by().values_list("pk", flat=True))
    SignInLink.objects.filter(customer__in=people).delete()
    Customer.objects.filter(pk__in=people).update(link_version=F("link_version") + 1)
    for user in User.objects.filter(customer__in=people):
        user.set_unusable_password()
        user.save(update_fields=["password"])
        OpenSession.objects.filter(user=user).delete()


def password_set(*, user: User, password: str) -> None:
    """A new password; the form has judged its strength. It ends every session of this person."""
    user.set_password(password)
    user.save(update_fields=["password"])
    sessions_end_others(user=user, but="")


def pin_only_user(*, name: str, role: Role) -> User:
    """A crew member who signs in by PIN on the business's tablets, and nowhere else.

    The name to sign in with is made from ``name``; a password can be set later under Crew.
    """
    user = User(username=username_free(name), first_name=name, role=role)
    user.set_unusable_password()
    user.save()
    return user


def username_free(name: str) -> str:
    """A name to sign in with, made from a person's name, that nobody has yet."""
    wanted = slugify(name)[:140] or "crew"
    taken = set(User.objects.filter(username__startswith=wanted).values_list("username", flat=True))
    numbered = (f"{wanted}{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (wanted, *numbered) if one not in taken)


def place_begin(*, business: dict[str, Any], name: str, username: str, password: str) -> User:
    """The business and its first tuner, who may do everything. Called inside ``first_tuner``.

    Without a ``username`` it is made from the name.
    """
    Business.objects.update_or_create(pk=1, defaults=business)
    user = User(username=username or username_free(name), first_name=name, role=Role.TUNER)
    user.set_password(password)
    user.save()
    edit_note(by=user, verb=EditVerb.NEW, what="business", title=business["name"], ref=1)
    trail_note(TrailEvent.CREW_ENTERED, by=user, ref=user.pk)
    return user


@contextmanager
def tuner_remains() -> Iterator[None]:
    """Around a change of the crew: raises ValidationError, and undoes it, if no tuner is left.

    Two tuners who take each other's role away at one moment are served one after the other.
    """
    with transaction.atomic():
        tuners = User.objects.filter(role=Role.TUNER, is_active=True)
        list(tuners.select_for_update(no_key=True).order_by("pk"))
        yield
        if not tuners.all().exists():
            raise ValidationError(
                _("This is the last tuner: make somebody else a tuner first, or nobody can.")
            )


@transaction.atomic
def put_off(*, step: str, is_put_off: bool) -> None:
    """Put a step of the beginning off, or take it up again."""
    business = Business.objects.select_for_update(no_key=True).get(pk=1)
    others = [one for one in business.put_off if one != step]
    business.put_off = [*others, step] if is_put_off else others
    business.save(update_fields=["put_off"])


def device_shut_out(*, device: Device) -> None:
    """Refuse a lost tablet from now on. The acts it has sent stay."""
    device.shut_out_at = datetime.now(UTC)
    device.save(update_fields=["shut_out_at"])


def own_band_set(*, key: str, low: Decimal, high: Decimal) -> None:
    """The business's own range for a figure of the trade, in place of the published one."""
    OwnBand.objects.update_or_create(key=key, defaults={"low": low, "high": high})


def own_band_clear(*, key: str) -> None:
    """Use the published range again."""
    OwnBand.objects.filter(key=key).delete()
