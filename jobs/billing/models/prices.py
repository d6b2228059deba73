"""Prices, and the tax rates that apply to them, by date."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from jobs.garage.enums import FittingKind
from jobs.trackday.models import ServicePackage

from ..enums import PriceKind, PriceUnit, Scheme, TaxCategory, TravelPricing


def default_scale() -> list[list[int]]:
    """Days before the trackday and the percent charged from then on."""
    return [[30, 0], [14, 25], [7, 50], [0, 80]]


def default_accounts() -> dict[str, str]:
    """Account numbers for the journal: the accountant's own, so none is known beforehand."""
    names = "receivable bank cash sales tax advances written_off rounding"
    return dict.fromkeys(names.split(), "")


class TaxRate(models.Model):
    """One component of tax on one kind of thing, from one date to another.

    ``code`` names the kind ("standard"); every rate of that code valid on the day applies,
    so a state and a county tax are two rows. Copied onto a document's line, never looked up again.
    """

    business_columns = ("code", "name", "jurisdiction", "exemption")

    code = models.SlugField(max_length=20)
    name = models.CharField(max_length=60, help_text=_("as printed, such as VAT or county tax"))
    jurisdiction = models.CharField(max_length=60, blank=True)
    percent = models.DecimalField(max_digits=6, decimal_places=3)
    category = models.CharField(
        max_length=2, choices=TaxCategory.choices, default=TaxCategory.STANDARD
    )
    exemption = models.CharField(
        max_length=200, blank=True, help_text=_("the reason, where no tax is charged")
    )
    valid_from = models.DateField()
    valid_to = models.DateField(null=True, blank=True, help_text=_("the last day"))

    class Meta:
        ordering = ["code", "-valid_from", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["code", "jurisdiction", "name", "valid_from"], name="billing_rate_once"
            ),
            models.CheckConstraint(
                condition=Q(valid_to__isnull=True) | Q(valid_to__gte=F("valid_from")),
                name="billing_rate_ends_after_it_begins",
            ),
            models.CheckConstraint(
                condition=Q(category="S", percent__gt=0) | (~Q(category="S") & Q(percent=0)),
                name="billing_only_taxed_has_a_rate",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent.normalize():f} %"


class PriceItem(models.Model):
    """One line of the price list. Net or tax-included as the terms say."""

    business_columns = ("code", "name", "part_number", "tax_code")

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=PriceKind.choices)
    package = models.OneToOneField(
        ServicePackage, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    part_number = models.CharField(max_length=60, blank=True)
    fitting_kind = models.CharField(
        max_length=8,
        choices=FittingKind.choices,
        blank=True,
        help_text=_("labour charged whenever such a part is fitted"),
    )
    travel = models.CharField(max_length=8, choices=TravelPricing.choices, blank=True)
    unit = models.CharField(max_length=3, choices=PriceUnit.choices, default=PriceUnit.PIECE)
    price = models.DecimalField(max_digits=16, decimal_places=6, null=True, blank=True)
    percent = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, help_text=_("of a discount")
    )
    tax_code = models.SlugField(max_length=20, default="standard")
    order = models.PositiveSmallIntegerField(default=0)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["kind", "order", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0),
                name="billing_price_never_negative",
            ),
            models.CheckConstraint(
                condition=Q(percent__isnull=True) | Q(kind="discount", percent__range=(0, 100)),
                name="billing_percent_is_a_discounts",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Terms(models.Model):
    """How the business bills: one row, like the business itself."""

    business_columns = (
        "cancellation_scale",
        "payment_text",
        "footer",
        "reminder_text",
        "reminder_second",
        "reminder_last",
        "accounts",
        "logo",
    )

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    scheme = models.CharField(max_length=10, choices=Scheme.choices, default=Scheme.VAT)
    prices_include_tax = models.BooleanField(default=True)
    payment_days = models.PositiveSmallIntegerField(default=14)
    quote_days = models.PositiveSmallIntegerField(default=14)
    deposit_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=Decimal("30"), help_text=_("of the quote")
    )
    tax_advances = models.BooleanField(
        default=False, help_text=_("the law taxes a deposit when it is received")
    )
    travel = models.ForeignKey(
        PriceItem, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    cancellation_scale = models.JSONField(default=default_scale)
    no_show_percent = models.PositiveSmallIntegerField(default=100)
    weather_percent = models.PositiveSmallIntegerField(default=0)
    payment_text = models.CharField(max_length=300, blank=True)
    footer = models.CharField(max_length=300, blank=True)
    # Own words of the first, the second and the last reminder.
    reminder_text = models.TextField(blank=True)
    reminder_second = models.TextField(blank=True)
    reminder_last = models.TextField(blank=True)
    reminder_days = models.PositiveSmallIntegerField(
        default=10, help_text=_("to pay after a reminder, and before the next one")
    )
    accounts = models.JSONField(default=default_accounts)
    closed_through = models.DateField(
        null=True, blank=True, editable=False, help_text=_("the last day of the last closed month")
    )
    logo = models.BinaryField(null=True, blank=True, editable=False)

    class Meta:
        verbose_name_plural = "terms"
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="billing_one_set_of_terms"),
        ]

    def __str__(self) -> str:
        return self.get_scheme_display()
