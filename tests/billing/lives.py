"""Random lives of an office, against a model that knows only money and documents.

``Life`` does what a person at the desk does, in any order; what a service refuses changes
nothing. What must hold after every act is in ``lives_sums.py``. See ``test_lives.py``.
"""

import datetime
import uuid
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from jobs.billing.enums import PaymentKind
from jobs.billing.models import Document, Payment, PriceItem, TaxRate, Terms
from jobs.billing.selectors.ledger import held
from jobs.billing.selectors.lines_left import lines_left
from jobs.billing.selectors.payments import document_open
from jobs.billing.services.absences import entry_cancel, entry_comes_after_all
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import Part, credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import draft_discard, invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payment_corrections import payment_correct
from jobs.billing.services.payments import (
    credit_keep,
    credit_use,
    payment_add,
    payment_on_account,
    payment_withdraw,
)
from jobs.billing.services.reissue import invoice_reissue
from jobs.billing.services.tax_rates import tax_rate_add, tax_rate_correct, tax_rate_remove
from jobs.people.enums import TaxStatus
from jobs.people.models import Customer, NamedCrew, User
from jobs.trackday.models import Entry, Trackday
from tests.days import day_build

from .lives_sums import Sums

PICK = st.integers(0, 59)
CENTS = st.integers(1, 40000)


class Life(Sums, RuleBasedStateMachine):
    """One office from its first booking on. Lives in a transaction that is rolled back."""

    def __init__(self) -> None:
        super().__init__()
        self.room = transaction.atomic()
        self.room.__enter__()
        self.begin_sums()

    def teardown(self) -> None:
        try:
            if hasattr(self, "day"):
                self.settle_everything()
        finally:
            transaction.set_rollback(True)
            self.room.__exit__(None, None, None)

    @initialize(
        included=st.booleans(),
        taxed=st.booleans(),
        cents=st.integers(1, 30000),
        done=st.sampled_from(["", "booked", "invoiced", "both"]),
        pick=PICK,
    )
    def begin(self, included: bool, taxed: bool, cents: int, done: str = "", pick: int = 0) -> None:
        Terms.objects.update(
            prices_include_tax=included, tax_advances=taxed, cancellation_scale=[[0, 25]]
        )
        PriceItem.objects.filter(code="full-day").update(price=Decimal(cents) / 100)
        self.people = list(Customer.objects.exclude(street="").order_by("pk"))
        self.by = User.objects.order_by("pk").first()
        self.day = day_build(bikes=3, customers=self.people[:2])
        if done in ("booked", "both"):
            self.book(pick)
            self.pay(pick, cents=cents, exact=pick % 3 > 0)
        if done in ("invoiced", "both"):
            self.invoice(pick)

    def attempt(self, service: Any, **values: Any) -> Any:
        """What a service refuses is refused in words, and changes nothing."""
        try:
            return service(**values)
        except ValidationError:
            return None

    def entries(self, pick: int) -> list[Entry]:
        """Entries of one payer: all of them, or only one."""
        rows = Entry.objects.select_related("package", "bike", "rider", "payer", "group")
        entries = list(rows.select_related("trackday__venue").order_by("pk"))
        first = entries[pick % 3]
        alike = [one for one in entries if one.payer_id == first.payer_id]
        return [first] if pick % 2 else alike

    def document(self, pick: int, *kinds: str, number: bool = True) -> Document | None:
        found = Document.objects.filter(kind__in=kinds, number__isnull=not number).order_by("pk")
        rows = list(found.select_related("customer"))
        return rows[pick % len(rows)] if rows else None

    # What people do.

    @rule(pick=PICK)
    def book(self, pick: int) -> None:
        """A quote that is accepted, and its deposit asked for."""
        entries = self.entries(pick)
        draft = self.attempt(quote_draft, customer=entries[0].payer, entries=entries, by=self.by)
        if draft is not None:
            quote = document_issue(document=draft, by=self.by, mail=False)
            quote_accept(quote=quote, name="x")
            self.attempt(deposit_request_issue, quote=quote, by=self.by)

    @rule(pick=PICK)
    def invoice(self, pick: int) -> None:
        draft = self.drafted(pick)
        if draft is not None:
            self.issue(draft)

    @rule(pick=PICK)
    def draft(self, pick: int) -> None:
        self.drafted(pick)

    def drafted(self, pick: int) -> Document | None:
        entries = self.entries(pick)
        return self.attempt(invoice_draft, customer=entries[0].payer, entries=entries, by=self.by)

    @rule(pick=PICK)
    def issue_a_draft(self, pick: int) -> None:
        draft = self.document(pick, "invoice", number=False)
        if draft is not None:
            self.issue(draft)

    def issue(self, draft: Document) -> None:
        issued = self.attempt(document_issue, document=draft, by=self.by, mail=False)
        if issued is not None:
            assert document_open(issued) == issued.payable_minor

    @rule(pick=PICK)
    def discard(self, pick: int) -> None:
        draft = self.document(pick, "invoice", number=False)
        if draft is not None:
            draft_discard(document=draft)

    @rule(pick=PICK, cents=CENTS, exact=st.booleans())
    def pay(self, pick: int, cents: int, exact: bool) -> None:
        document = self.document(pick, "invoice", "deposit")
        if document is not None:
            minor = document_open(document) if exact else cents
            self.enter(document, minor, PaymentKind.PAYMENT)

    @rule(pick=PICK, exact=st.booleans(), cents=CENTS)
    def give_back(self, pick: int, exact: bool, cents: int) -> None:
        document = self.document(pick, "invoice", "deposit", "prepayment")
        if document is not None:
            whole = held(document) if document.kind == "deposit" else -document_open(document)
            self.enter(document, whole if exact else cents, PaymentKind.REFUND)

    @rule(pick=PICK, exact=st.booleans(), cents=CENTS)
    def write_off(self, pick: int, exact: bool, cents: int) -> None:
        document = self.document(pick, "invoice")
        if document is not None:
            minor = document_open(document) if exact else cents
            self.enter(document, minor, PaymentKind.WRITE_OFF)

    def enter(self, document: Document, minor: int, kind: str) -> None:
        self.attempt(
            payment_add, payment_id=uuid.uuid4(), document=document, amount_minor=minor,
            by=self.by, kind=kind,
        )  # fmt: skip

    @rule(pick=PICK, cents=CENTS, back=st.booleans())
    def on_account(self, pick: int, cents: int, back: bool) -> None:
        customer = self.people[pick % len(self.people)]
        self.attempt(
            payment_on_account, payment_id=uuid.uuid4(), customer=customer, amount_minor=cents,
            method="cash", by=self.by, kind="refund" if back else "payment",
        )  # fmt: skip

    @rule(pick=PICK)
    def keep_or_use_credit(self, pick: int) -> None:
        document = self.document(pick, "invoice", "deposit", "prepayment")
        if document is not None:
            self.attempt(credit_keep if pick % 2 else credit_use, document=document, by=self.by)

    @rule(pick=PICK)
    def strike(self, pick: int) -> None:
        payments = list(Payment.objects.filter(withdrawn_at__isnull=True).order_by("at", "pk"))
        if payments:
            payment = payments[pick % len(payments)]
            self.attempt(payment_withdraw, payment=payment, by=self.by, why="mistyped")

    @rule(pick=PICK, cents=CENTS)
    def enter_a_payment_correctly(self, pick: int, cents: int) -> None:
        payments = list(Payment.objects.filter(withdrawn_at__isnull=True).order_by("at", "pk"))
        if payments:
            payment = payments[pick % len(payments)]
            self.attempt(
                payment_correct, payment_id=uuid.uuid4(), payment=payment, by=self.by,
                amount_minor=cents, method="card", received_on=payment.received_on,
                document=payment.document if pick % 2 else self.document(pick, "invoice"),
            )  # fmt: skip

    @rule(pick=PICK, how=st.sampled_from(["whole", "line", "sum", "half"]), cents=CENTS)
    def credit(self, pick: int, how: str, cents: int) -> None:
        invoice = self.document(pick, "invoice", "prepayment")
        if invoice is None:
            return
        parts = {
            "whole": Part(),
            "line": Part(),
            "sum": Part(amount_minor=cents),
            "half": Part(quantity=Decimal("0.5")),
        }
        left = [line.pk for line in lines_left(invoice) if not line.line.settles_id]
        chosen = None if how == "whole" else dict.fromkeys(left[:1], parts[how])
        before = self.deposits_of(invoice)
        note = self.attempt(
            credit_note_issue, invoice=invoice, by=self.by, reason="x", parts=chosen
        )
        if note is None:
            return
        taken_back = self.deposits_of(invoice) - before
        if self.model.is_credited(invoice):
            self.returned_whole(invoice, taken_back)
        else:
            assert taken_back == 0

    def deposits_of(self, invoice: Document) -> int:
        """What stands at deposits for the work that an invoice bills."""
        entries = invoice.lines.exclude(entry=None).values("entry")
        asked = Document.objects.filter(kind="deposit", follows__lines__entry__in=entries)
        if invoice.kind == "prepayment":
            asked = Document.objects.filter(pk=invoice.follows_id)
        return sum(held(one) for one in asked.distinct())

    def returned_whole(self, invoice: Document, taken_back: int) -> None:
        """All that is printed as paid in advance stands at the deposits again, but for what
        the customer has of it already: then nothing more is too much on the invoice."""
        assert taken_back == invoice.prepaid_minor or document_open(invoice) >= 0
        assert taken_back <= invoice.prepaid_minor

    @rule(pick=PICK)
    def issue_again(self, pick: int) -> None:
        """A wrong address: what was to pay, or to give back, is so on the new invoice."""
        invoice = self.document(pick, "invoice")
        if invoice is None:
            return
        stood = document_open(invoice)
        deposits = self.deposits_of(invoice)
        made = self.attempt(invoice_reissue, invoice=invoice, by=self.by, reason="x")
        if made is not None:
            taken = deposits - self.deposits_of(made)
            assert abs(document_open(made) + document_open(invoice) + taken - stood) <= 2

    @rule(pick=PICK)
    def change_the_payer(self, pick: int) -> None:
        entry = self.day.entries[pick % 3]
        Entry.objects.filter(pk=entry.pk).update(payer=self.people[pick % len(self.people)])

    @rule(named=st.booleans())
    def change_the_crew(self, named: bool) -> None:
        """One with numbers of its own for invoices, or none."""
        crew = NamedCrew.objects.get() if named else None
        Trackday.objects.filter(pk=self.day.trackday.pk).update(named_crew=crew)

    @rule(pick=PICK, cents=CENTS)
    def charge_more(self, pick: int, cents: int) -> None:
        charge_add(
            entry=self.day.entries[pick % 3], by=self.by, description="more",
            price=Decimal(cents) / 100,
        )  # fmt: skip

    @rule(pick=PICK)
    def cancel(self, pick: int) -> None:
        entry = self.day.entries[pick % 3]
        self.attempt(entry_cancel, entry=entry, absence="cancelled", by=self.by)

    @rule(pick=PICK)
    def come_after_all(self, pick: int) -> None:
        entry_comes_after_all(entry=self.day.entries[pick % 3], by=self.by)

    @rule(percent=st.sampled_from(["21", "23", "25.5"]), later=st.booleans())
    def change_the_tax_rate(self, percent: str, later: bool) -> None:
        """Another rate from the day of supply on, or only from the day after."""
        start = self.day.trackday.date + datetime.timedelta(days=later)
        self.attempt(
            tax_rate_add, code="standard", name="VAT", percent=Decimal(percent), valid_from=start
        )

    @rule(percent=st.sampled_from(["21", "23", "25.5"]), remove=st.booleans())
    def correct_the_tax_rate(self, percent: str, remove: bool) -> None:
        """Refused once an invoice carries it."""
        rate = TaxRate.objects.filter(code="standard").order_by("valid_from").last()
        if remove and TaxRate.objects.filter(code="standard").count() > 1:
            self.attempt(tax_rate_remove, rate=rate)
        else:
            self.attempt(tax_rate_correct, rate=rate, percent=Decimal(percent))

    @rule(pick=PICK, status=st.sampled_from(["", "", *TaxStatus.values]))
    def change_how_a_customer_is_taxed(self, pick: int, status: str) -> None:
        """Reverse charge with its VAT number, exempt with its reason, or as everybody."""
        Customer.objects.filter(pk=self.people[pick % len(self.people)].pk).update(
            tax_status=status,
            tax_id="DE136695976" if status == TaxStatus.REVERSE else "",
            tax_reason="a body exempt by law" if status == TaxStatus.EXEMPT else "",
        )

    @rule()
    def switch_whether_prices_include_tax(self) -> None:
        terms = Terms.objects.get()
        Terms.objects.update(prices_include_tax=not terms.prices_include_tax)

    @rule()
    def change_when_deposits_are_taxed(self) -> None:
        terms = Terms.objects.get()
        Terms.objects.update(tax_advances=not terms.tax_advances)
