"""What the lives of an office are judged by: it knows money and documents, and no ledger."""

from collections import defaultdict
from decimal import Decimal

from jobs.billing.enums import TAX_DOCUMENTS, DocumentKind, PaymentKind
from jobs.billing.models import Document, Payment


class Model:
    """What came in, what issued documents ask for, and the tax they state: nothing else."""

    def __init__(self) -> None:
        self.cash: dict[int, int] = defaultdict(int)  # by customer: received less given back
        self.given_up: dict[int, int] = defaultdict(int)  # written off
        self.owed: dict[int, int] = defaultdict(int)  # by customer: invoices less credit notes
        self.tax = self.rounding = 0
        # By rate: what is taxed and its tax, as the documents break them down.
        self.taxes: dict[Decimal, tuple[int, int]] = defaultdict(lambda: (0, 0))
        self.documents = 0

    def issued(self, document: Document) -> None:
        """By what is printed on it."""
        if document.kind not in TAX_DOCUMENTS:
            return
        sign = -1 if document.kind == DocumentKind.CREDIT_NOTE else 1
        self.owed[document.customer_id] += sign * document.total_minor
        self.tax += sign * document.tax_minor
        self.rounding += sign * document.rounding_minor
        for row in document.taxes.all():
            taxable, tax = self.taxes[row.percent]
            self.taxes[row.percent] = (
                taxable + sign * row.taxable_minor,
                tax + sign * row.tax_minor,
            )
        self.documents += 1

    def paid(self, payment: Payment, times: int = 1) -> None:
        signed = times * payment.amount_minor
        if payment.kind == PaymentKind.WRITE_OFF:
            self.given_up[payment.customer_id] += signed
        else:
            back = payment.kind == PaymentKind.REFUND
            self.cash[payment.customer_id] += -signed if back else signed

    def is_credited(self, invoice: Document) -> bool:
        """Whether its credit notes come to what it comes to."""
        notes = Document.objects.filter(corrects=invoice, number__isnull=False)
        return sum(note.total_minor for note in notes) == invoice.total_minor

    @property
    def to_pay(self) -> int:
        """All that is owed and neither paid nor given up; below zero: to give back."""
        sums = (self.owed, self.cash, self.given_up)
        owed, cash, given_up = (sum(by.values()) for by in sums)
        return owed - cash - given_up
