"""What the bank's files say came in and went out, and where each sum was placed."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from ..enums import BankFileKind
from .payments import Payment


class BankFile(models.Model):
    """A file that brought something new. The same file again brings nothing and leaves no row."""

    business_columns = ("name", "kind")

    name = models.CharField(max_length=100, blank=True)
    kind = models.CharField(max_length=5, choices=BankFileKind.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()


class BankLine(models.Model):
    """One sum on the account: above zero it came in. Only where it stands ever changes.

    It is placed while its ``payment`` is not struck through; else it waits, until it is placed
    (again) or set aside with a word. ``fingerprint``: see ``bank_files.rows.fingerprints``.
    """

    personal_columns = ("payer_name", "payer_account", "text", "reference", "aside_why")
    business_columns = ("fingerprint", "account", "currency", "bank_ref")

    file = models.ForeignKey(BankFile, on_delete=models.PROTECT, related_name="lines")
    fingerprint = models.CharField(max_length=64, unique=True)
    account = models.CharField(max_length=40, blank=True)
    booked_on = models.DateField()
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    payer_name = models.CharField(max_length=140, blank=True)
    payer_account = models.CharField(max_length=40, blank=True)
    text = models.TextField(blank=True)
    reference = models.CharField(max_length=140, blank=True)
    bank_ref = models.CharField(max_length=80, blank=True)
    is_reversal = models.BooleanField(default=False)
    payment = models.OneToOneField(
        Payment, null=True, blank=True, on_delete=models.PROTECT, related_name="bank_line"
    )
    aside_why = models.CharField(max_length=200, blank=True)
    aside_at = models.DateTimeField(null=True, blank=True)
    aside_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["booked_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(amount_minor=0), name="billing_bank_of_something"),
            models.CheckConstraint(
                condition=Q(payment__isnull=True) | Q(aside_at__isnull=True),
                name="billing_bank_placed_or_aside",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.booked_on} {self.amount_minor} {self.currency}"
