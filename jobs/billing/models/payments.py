import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.people.models import Customer

from ..enums import PaymentKind, PaymentMethod
from .documents import Document


class Payment(models.Model):
    """A payment, a refund or a write-off: entered by hand, withdrawn, never edited.

    Without a document it is the customer's credit. Amounts are positive; the kind says
    which way the money went.
    """

    personal_columns = ("note", "withdrawn_why")
    business_columns = ("currency",)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="payments")
    document = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="payments"
    )
    kind = models.CharField(max_length=10, choices=PaymentKind.choices, default=PaymentKind.PAYMENT)
    method = models.CharField(
        max_length=10, choices=PaymentMethod.choices, default=PaymentMethod.TRANSFER
    )
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    received_on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    withdrawn_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["received_on", "at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount_minor__gt=0), name="billing_payment_of_something"
            ),
        ]
        indexes = [models.Index(fields=["customer", "received_on"], name="billing_paid_by")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount_minor} {self.currency}"

    @property
    def signed_minor(self) -> int:
        """What it takes off the customer's balance."""
        return -self.amount_minor if self.kind == PaymentKind.REFUND else self.amount_minor
