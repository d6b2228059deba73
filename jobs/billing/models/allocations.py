"""The ledger: where every payment and every credit note stands. Rows are added, never changed."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.people.models import Customer

from ..enums import AllocationReason
from .documents import Document
from .payments import Payment


class Allocation(models.Model):
    """So much of one payment or credit note stands against ``document``; none: on account.

    A payment's rows always add up to what it brought in, nothing once it is struck through.
    Money that moves makes two rows, off the one place and onto the other; the second names
    the first as ``pair``. A struck row is undone by one that ``reverses`` it.
    """

    business_columns = ("reason",)

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="allocations")
    payment = models.ForeignKey(
        Payment, null=True, blank=True, on_delete=models.PROTECT, related_name="allocations"
    )
    credit_note = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="credit_allocations"
    )
    document = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="allocations"
    )
    reason = models.CharField(max_length=8, choices=AllocationReason.choices)
    amount_minor = models.BigIntegerField()
    day = models.DateField()
    pair = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="paired"
    )
    reverses = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="reversed_by"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(payment__isnull=False, credit_note__isnull=True)
                | Q(payment__isnull=True, credit_note__isnull=False),
                name="billing_allocated_from_one_source",
            ),
            models.CheckConstraint(
                condition=~Q(amount_minor=0), name="billing_allocation_of_something"
            ),
        ]
        indexes = [
            models.Index(fields=["customer", "document"], name="billing_on_account"),
        ]

    def __str__(self) -> str:
        return f"{self.get_reason_display()} {self.amount_minor}"
