"""What is added to, or changed in, the charges that arise from the work by themselves."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.trackday.models import Entry

from ..enums import PriceKind, PriceUnit
from .prices import PriceItem


class Charge(models.Model):
    """A charge made by hand, or one that stands in for a charge of the same ``key``.

    Charges of the package, extra sessions and fittings are never rows: they are derived
    from the work (``selectors.due_charges``). A row of the same key overrules the derived one:
    another price, or waived with a reason. When it is withdrawn, the derived charge counts again.
    """

    personal_columns = ("description", "waived_why")
    business_columns = ("key", "tax_code")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=80, help_text=_("what it arises from"))
    kind = models.CharField(max_length=10, choices=PriceKind.choices)
    item = models.ForeignKey(
        PriceItem, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    description = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    unit = models.CharField(max_length=3, choices=PriceUnit.choices, default=PriceUnit.PIECE)
    price = models.DecimalField(max_digits=16, decimal_places=6, null=True, blank=True)
    percent = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    tax_code = models.SlugField(max_length=20, default="standard")
    waived_why = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "key"],
                condition=Q(withdrawn_at__isnull=True),
                name="billing_charge_once",
            ),
            models.CheckConstraint(condition=~Q(quantity=0), name="billing_charge_of_something"),
        ]

    def __str__(self) -> str:
        return self.description
