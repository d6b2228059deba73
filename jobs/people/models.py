"""Who there is: the business, the people who sign in, customers and riders, tablets."""

import uuid
from decimal import Decimal
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractUser, UserManager
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .enums import EditVerb, Role, TaxStatus, TrailEvent
from .sign_in_models import (
    OpenSession,
    Passkey,
    RecoveryCode,
    SecondFactor,
    SetupCode,
    WrongTries,
)

__all__ = [
    "Business", "Customer", "Device", "Edit", "NamedCrew", "OpenSession", "OwnBand", "Passkey",
    "RecoveryCode", "Rider", "SecondFactor", "SetupCode", "SignInLink", "TrailEntry", "User",
    "WrongTries",
]  # fmt: skip


def _small_step(usual: str) -> models.DecimalField[Any, Decimal]:
    return models.DecimalField(
        max_digits=4,
        decimal_places=2,
        default=Decimal(usual),
        validators=[MinValueValidator(Decimal("0.25")), MaxValueValidator(Decimal("20"))],
    )


class Business(models.Model):
    """The one business this installation belongs to, and its ways of working."""

    business_columns = (
        "name",
        "street",
        "postcode",
        "city",
        "country",
        "email",
        "phone",
        "tax_id",
        "iban",
        "currency",
        "language",
        "timezone",
        "pressure_unit",
        "temperature_unit",
        "rear_travel_place",
        "put_off",
    )

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=120)
    street = models.CharField(max_length=120, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    city = models.CharField(max_length=80, blank=True)
    country = models.CharField(max_length=2, default="IE", help_text=_("ISO 3166-1 code"))
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_id = models.CharField(max_length=40, blank=True)
    iban = models.CharField(max_length=40, blank=True)
    currency = models.CharField(max_length=3, default="EUR", help_text=_("ISO 4217 code"))
    language = models.CharField(max_length=8, default="en")
    timezone = models.CharField(max_length=60, default="Europe/Dublin")
    pressure_unit = models.CharField(max_length=4, default="psi")
    temperature_unit = models.CharField(max_length=4, default="degC")
    # Common practice, no source: see the method; every tuner sets their own.
    pace_trigger_s = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal("3.0"))
    like_pace_s = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal("1.0"))
    # Where travel at the rear was read if a reading does not say so; empty: it is asked.
    rear_travel_place = models.CharField(max_length=11, blank=True)
    # The most an adjuster is moved in one go without a stated reason.
    small_step_clicks = _small_step("3")
    small_step_turns = _small_step("1")
    small_step_mm = _small_step("3")
    small_step_psi = _small_step("2")
    # Steps of the beginning that a tuner put off, by name: see jobs/desk/beginning.
    put_off = models.JSONField(default=list, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="people_one_business"),
        ]

    def __str__(self) -> str:
        return self.name


class OwnBand(models.Model):
    """One figure of the tuner's own table, in place of the published range of that key.

    Keys, units and published ranges: ``jobs.tuning.practice``.
    """

    business_columns = ("key",)

    key = models.CharField(max_length=32, unique=True)
    low = models.DecimalField(max_digits=6, decimal_places=2)
    high = models.DecimalField(max_digits=6, decimal_places=2)

    class Meta:
        ordering = ["key"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(low__gte=0, high__gte=models.F("low")),
                name="people_band_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.low}-{self.high}"


class Users(UserManager["User"]):
    """``createsuperuser`` makes a tuner: whoever may do everything, in this program's words."""

    def create_superuser(
        self,
        username: str,
        email: str | None = None,
        password: str | None = None,
        **extra_fields: Any,
    ) -> "User":
        role = {"role": Role.TUNER}
        return super().create_superuser(username, email, password, **{**role, **extra_fields})


class User(AbstractUser):
    """A person who signs in. ``role`` decides what the access table lets them open."""

    personal_columns = ("username", "first_name", "last_name", "email")
    business_columns = ("language",)
    secret_columns = ("password", "pin_hash")

    role = models.CharField(max_length=10, choices=Role.choices, default=Role.HELPER)
    pin_hash = models.CharField(max_length=200, blank=True, help_text=_("for shared tablets"))
    language = models.CharField(max_length=8, blank=True, help_text=_("empty: the browser's"))

    objects: ClassVar[Users] = Users()

    def __str__(self) -> str:
        return self.display_name

    @property
    def display_name(self) -> str:
        return self.first_name or self.get_full_name() or self.username

    @property
    def is_tuner(self) -> bool:
        return self.role == Role.TUNER


class NamedCrew(models.Model):
    """One of several crews of the business, such as the people of its second van.

    A trackday may name its crew; documents of its days may have numbers of their own.
    """

    business_columns = ("name",)

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]
        verbose_name = "crew"

    def __str__(self) -> str:
        return self.name


class Customer(models.Model):
    """Somebody who owns bikes or pays for the work."""

    personal_columns = (
        "name",
        "email",
        "phone",
        "street",
        "postcode",
        "city",
        "country",
        "tax_id",
        "tax_reason",
        "note",
    )
    business_columns = ("language",)
    secret_columns = ("user",)
    removed_words = {"name": _("Removed customer")}

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    street = models.CharField(max_length=120, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    city = models.CharField(max_length=80, blank=True)
    country = models.CharField(max_length=2, blank=True)
    tax_id = models.CharField(max_length=40, blank=True)
    tax_status = models.CharField(
        max_length=7, choices=TaxStatus.choices, blank=True, help_text=_("empty: taxed as usual")
    )
    tax_reason = models.CharField(
        max_length=200, blank=True, help_text=_("why this customer is exempt, as it is printed")
    )
    language = models.CharField(max_length=8, blank=True)
    note = models.TextField(blank=True)
    user = models.OneToOneField(
        User, null=True, blank=True, on_delete=models.SET_NULL, related_name="customer"
    )
    # Somebody found twice: the row of the same person that the others point to. Bikes,
    # documents and payments stay with the row they were written for; see selectors.same_person.
    same_as = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="found_again"
    )
    # Signed links (to a document, to a shared day) hold it: one more, and they open nothing.
    link_version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(same_as=models.F("id")), name="people_same_as_another"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class SignInLink(models.Model):
    """A link that signs a customer in, once (``links.py``). A withdrawn one has no row."""

    secret_columns = ("token_hash",)

    customer = models.ForeignKey(Customer, on_delete=models.CASCADE, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    until = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"link of {self.customer}"


class Rider(models.Model):
    """Who sits on the bike: often the customer, not always."""

    personal_columns = ("name", "phone", "aim", "weight_in_kit_kg")
    removed_words = {"name": _("Removed rider")}

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="riders")
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    weight_in_kit_kg = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    aim = models.TextField(blank=True, help_text=_("what the rider wants from the day"))

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class Device(models.Model):
    """A tablet or phone that keeps work while it has no signal."""

    business_columns = ("name",)
    secret_columns = ("secret_hash", "code_hash")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=60)
    secret_hash = models.CharField(max_length=200, blank=True)
    code_hash = models.CharField(max_length=64, blank=True, help_text=_("until its tablet came"))
    code_until = models.DateTimeField(null=True, blank=True)
    enrolled_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    enrolled_at = models.DateTimeField(auto_now_add=True)
    last_seen_at = models.DateTimeField(null=True, blank=True)
    shut_out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class Edit(models.Model):
    """Who changed what in the office, and when. What is done trackside is an act instead."""

    personal_columns = ("title", "changes")
    business_columns = ("what", "ref")

    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    verb = models.CharField(max_length=12, choices=EditVerb.choices)
    what = models.CharField(max_length=40, help_text=_("the kind of thing, such as entry"))
    ref = models.CharField(max_length=40, blank=True)
    title = models.CharField(max_length=200)
    # {"bay": ["6", "7"]}: what it was, what it became. Of an import, its counts.
    changes = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["what", "ref"], name="people_edits_of")]

    def __str__(self) -> str:
        return f"{self.what} {self.verb}: {self.title}"


class TrailEntry(models.Model):
    """One event of the trail: numbers and kinds only (see ``trail.py``). Never changed."""

    business_columns = ("event", "ref")

    at = models.DateTimeField(auto_now_add=True)
    # Without a constraint: the entry stays as it is when the user is removed.
    by = models.ForeignKey(
        User, null=True, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+"
    )
    event = models.CharField(max_length=24, choices=TrailEvent.choices)
    ref = models.CharField(max_length=40, blank=True, help_text=_("the number of what it tells"))

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.event} {self.ref}"
