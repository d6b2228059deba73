"""Documents: drafted, then issued once and never changed (the database itself refuses).

Everything a document shows is frozen on it: parties, texts, prices, taxes, totals. See
``triggers`` for what the database holds, ``services.issue`` for how a number is given.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from jobs.people.models import Customer, NamedCrew
from jobs.trackday.models import Entry, Trackday

from ..enums import DocumentKind, FileKind, Scheme


class Series(models.Model):
    """The counter of one kind of document. ``next`` moves by one, under its row's lock.

    ``crew`` is whose days it counts; None: the business's, for all that have none of their own.
    """

    business_columns = ("prefix",)

    kind = models.CharField(max_length=10, choices=DocumentKind.choices)
    crew = models.ForeignKey(
        NamedCrew, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    prefix = models.CharField(max_length=12)
    next = models.PositiveBigIntegerField(default=1)

    class Meta:
        verbose_name_plural = "series"
        constraints = [
            models.UniqueConstraint(
                fields=["kind"], condition=Q(crew=None), name="billing_series_of_business_once"
            ),
            models.UniqueConstraint(fields=["kind", "crew"], name="billing_series_of_crew_once"),
        ]

    def __str__(self) -> str:
        return f"{self.prefix}{self.next}"


class Document(models.Model):
    personal_columns = ("buyer", "story", "note")
    business_columns = ("label", "reference", "currency", "language", "seller", "terms_text")

    series = models.ForeignKey(Series, on_delete=models.PROTECT, related_name="documents")
    kind = models.CharField(max_length=10, choices=DocumentKind.choices)
    number = models.PositiveBigIntegerField(null=True, blank=True)
    label = models.CharField(max_length=30, blank=True, help_text=_("the number as printed"))
    reference = models.CharField(max_length=25, blank=True, help_text=_("ISO 11649"))
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="documents")
    trackday = models.ForeignKey(
        Trackday, null=True, blank=True, on_delete=models.PROTECT, related_name="documents"
    )
    # What a credit note corrects; what a deposit request or an invoice came from.
    corrects = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrections"
    )
    follows = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="followers"
    )
    currency = models.CharField(max_length=3)
    language = models.CharField(max_length=8)
    scheme = models.CharField(max_length=10, choices=Scheme.choices)
    prices_include_tax = models.BooleanField()
    seller = models.JSONField()
    buyer = models.JSONField()
    story = models.JSONField(default=list, blank=True, help_text=_("bikes, done, recommended"))
    note = models.TextField(blank=True)
    terms_text = models.TextField(blank=True)
    delivered_on = models.DateField(null=True, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True, help_text=_("of a quote: valid until"))
    lines_minor = models.BigIntegerField(default=0)
    allowances_minor = models.BigIntegerField(default=0)
    charges_minor = models.BigIntegerField(default=0)
    net_minor = models.BigIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0)
    gross_minor = models.BigIntegerField(default=0)
    prepaid_minor = models.BigIntegerField(default=0)
    rounding_minor = models.BigIntegerField(default=0)
    payable_minor = models.BigIntegerField(default=0)
    drafted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    drafted_at = models.DateTimeField(auto_now_add=True)
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    issued_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["series", "number"], name="billing_number_once"),
            models.UniqueConstraint(
                fields=["label"], condition=~Q(label=""), name="billing_label_once"
            ),
            models.CheckConstraint(
                condition=Q(
                    number__isnull=True, issued_at__isnull=True, issued_on__isnull=True, label=""
                )
                | (
                    Q(number__isnull=False, issued_at__isnull=False, issued_on__isnull=False)
                    & ~Q(label="")
                ),
                name="billing_number_if_and_only_if_issued",
            ),
            models.CheckConstraint(
                condition=Q(kind="credit", corrects__isnull=False)
                | (~Q(kind="credit") & Q(corrects__isnull=True)),
                name="billing_credit_notes_correct_something",
            ),
        ]
        indexes = [
            models.Index(fields=["customer", "kind", "number"], name="billing_of_customer"),
            models.Index(fields=["trackday", "kind"], name="billing_of_day"),
        ]

    def __str__(self) -> str:
        return self.label or str(_("draft"))

    @property
    def is_draft(self) -> bool:
        return self.number is None

    @property
    def total_minor(self) -> int:
        """What the document is worth to the customer: gross with its rounding."""
        return self.gross_minor + self.rounding_minor


class DocumentLine(models.Model):
    """``price`` as quoted; ``net_price`` per ``net_base`` is what the tax arithmetic uses."""

    personal_columns = ("description",)
    business_columns = ("charge_key", "item_code", "unit", "taxes")

    document = models.ForeignKey(Document, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    charge_key = models.CharField(max_length=80, blank=True)
    item_code = models.CharField(max_length=60, blank=True)
    description = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=10, decimal_places=3)
    unit = models.CharField(max_length=3)
    price = models.DecimalField(max_digits=16, decimal_places=6)
    quoted_minor = models.BigIntegerField(help_text=_("the line in the document's own prices"))
    net_price = models.DecimalField(max_digits=16, decimal_places=6)
    net_base = models.DecimalField(max_digits=10, decimal_places=3, default=1)
    allowance_minor = models.BigIntegerField(default=0)
    charge_minor = models.BigIntegerField(default=0)
    net_minor = models.BigIntegerField()
    taxes = models.JSONField(help_text=_("category, percent, name, reason of each component"))
    credits = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="credited_by"
    )
    # The prepayment invoice that a line of negative quantity takes off again.
    settles = models.ForeignKey(
        Document, null=True, blank=True, on_delete=models.PROTECT, related_name="settled_by"
    )

    class Meta:
        ordering = ["document", "position"]
        constraints = [
            models.UniqueConstraint(fields=["document", "position"], name="billing_line_once"),
            models.CheckConstraint(
                condition=Q(net_price__gte=0), name="billing_line_price_never_negative"
            ),
        ]
        indexes = [models.Index(fields=["entry", "charge_key"], name="billing_line_of_charge")]

    def __str__(self) -> str:
        return self.description


class DocumentAllowance(models.Model):
    """A discount on the whole document, once for each tax it comes off."""

    personal_columns = ("reason",)
    business_columns = ("charge_key", "taxes")

    document = models.ForeignKey(Document, on_delete=models.CASCADE, related_name="allowances")
    position = models.PositiveSmallIntegerField()
    entry = models.ForeignKey(
        Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    charge_key = models.CharField(max_length=80, blank=True)
    reason = models.CharField(max_length=200)
    quoted_minor = models.BigIntegerField()
    amount_minor = models.BigIntegerField(help_text=_("net"))
    taxes = models.JSONField()

    class Meta:
        ordering = ["document", "position"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount_minor__gte=0), name="billing_allowance_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.reason


class DocumentTax(models.Model):
    """One line of the tax breakdown: one category, rate and component."""

    business_columns = ("category", "name", "reason")

    document = models.ForeignKey(Document, on_delete=models.CASCADE, related_name="taxes")
    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=6, decimal_places=3)
    name = models.CharField(max_length=120, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    taxable_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()

    class Meta:
        ordering = ["document", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["document", "category", "percent", "name"], name="billing_breakdown_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent} %"


class DocumentFile(models.Model):
    """The bytes that were sent, and their SHA-256. Inserted, never changed."""

    personal_columns = ("content",)
    business_columns = ("sha256",)

    document = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="files")
    kind = models.CharField(max_length=4, choices=FileKind.choices)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["document", "kind"], name="billing_file_once"),
        ]

    def __str__(self) -> str:
        return f"{self.document}.{self.kind}"


class Acceptance(models.Model):
    """A customer's acceptance of a quote: who accepted and when, once for each quote."""

    personal_columns = ("name",)
    removed_words = {"name": ""}  # all that the database lets be changed

    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="acceptance")
    name = models.CharField(max_length=120)
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name


class Reminder(models.Model):
    """A reminder that was sent about one invoice."""

    personal_columns = ("text",)
    removed_words = {"text": ""}  # all that the database lets be changed

    document = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="reminders")
    text = models.TextField()
    open_minor = models.BigIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.document} {self.at:%Y-%m-%d}"
