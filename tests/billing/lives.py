"""Random lives of an office, against a model that knows only money and documents.

``Life`` does what a person at the desk does, in any order; what a service refuses changes
nothing. After every act its ``Model`` and the ledger must say the same. See ``test_lives.py``.
"""

import uuid
from collections import defaultdict
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from jobs.billing.business_terms import business_terms
from jobs.billing.enums import DocumentKind, PaymentKind
from jobs.billing.models import Allocation, Document, DocumentLine, Payment, PriceItem, Terms
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.ledger import free_credit, held, line_left
from jobs.billing.selectors.lines_left import lines_left
from jobs.billing.selectors.payments import OWED, balance, document_open, statement, with_open
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
from jobs.billing.strict import broken_rules
from jobs.people.dates import business_today
from jobs.people.models import Customer, User
from jobs.trackday.models import Entry
from tests.days import day_build

from .lives_model import Model

PICK = st.integers(0, 59)
CENTS = st.integers(1, 40000)


class Life(RuleBasedStateMachine):
    """One office from its first booking on. Lives in a transaction that is rolled back."""

    def __init__(self) -> None:
        super().__init__()
        self.room = transaction.atomic()
        self.room.__enter__()
        self.model = Model()
        self.seen: set[int] = set()
        self.payments: set[Any] = set()
        self.struck: set[Any] = set()

    def teardown(self) -> None:
        try:
            if hasattr(self, "day"):
                self.settle_everything()
        finally:
            transaction.set_rollback(True)
            self.room.__exit__(None, None, None)

    @initialize(included=st.booleans(), taxed=st.booleans(), cents=st.integers(1, 30000))
    def begin(self, included: bool, taxed: bool, cents: int) -> None:
        Terms.objects.update(
            prices_include_tax=included, tax_advances=taxed, cancellation_scale=[[0, 25]]
        )
        PriceItem.objects.filter(code="full-day").update(price=Decimal(cents) / 100)
        self.people = list(Customer.objects.exclude(street="").order_by("pk"))
        self.by = User.objects.order_by("pk").first()
        self.day = day_build(bikes=3, customers=self.people[:2])

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

    @rule()
    def switch_whether_prices_include_tax(self) -> None:
        terms = Terms.objects.get()
        Terms.objects.update(prices_include_tax=not terms.prices_include_tax)

    @rule()
    def change_when_deposits_are_taxed(self) -> None:
        terms = Terms.objects.get()
        Terms.objects.update(tax_advances=not terms.tax_advances)

    # What must hold after each of them.

    @invariant()
    def all_sums_agree(self) -> None:
        if not hasattr(self, "day"):
            return
        self._tell_the_model()
        self._money_is_somewhere_once()
        self._accounts_agree()
        self._tax_is_of_what_stands()
        self._each_charge_is_billed_once()
        self.the_account_agrees(self.people[len(self.seen) % len(self.people)])

    def _tell_the_model(self) -> None:
        for document in Document.objects.filter(number__isnull=False).exclude(pk__in=self.seen):
            assert broken_rules(business_terms(document)) == []
            self.seen.add(document.pk)
            self.model.issued(document)
        for payment in Payment.objects.order_by("at"):
            if payment.pk not in self.payments:
                self.payments.add(payment.pk)
                self.model.paid(payment)
            if payment.withdrawn_at is not None and payment.pk not in self.struck:
                self.struck.add(payment.pk)
                self.model.paid(payment, times=-1)

    def _money_is_somewhere_once(self) -> None:
        """Received less given back is what stands at documents and on account, by customer."""
        came: dict[int, int] = defaultdict(int)
        self.at: dict[int | None, int] = defaultdict(int)  # by document
        self.free: dict[int, int] = defaultdict(int)  # by customer
        for row in Allocation.objects.all():
            came[row.customer_id] += row.amount_minor if row.payment_id else 0
            self.at[row.document_id] += row.amount_minor
            if row.document_id is None:
                self.free[row.customer_id] += row.amount_minor
        for customer in self.people:
            cash, given_up = self.model.cash[customer.pk], self.model.given_up[customer.pk]
            assert came[customer.pk] == cash + given_up
            assert cash >= 0
            assert self.free[customer.pk] >= 0

    def _accounts_agree(self) -> None:
        """What the screens say of documents and accounts is what the rows add up to."""
        to_give_back = to_pay = 0
        for document in with_open(Document.objects.filter(number__isnull=False)):
            if document.kind == DocumentKind.DEPOSIT_REQUEST:
                assert document.held == self.at[document.pk] >= 0
                to_give_back += document.held
            elif document.kind in OWED:
                assert document.open == document.total_minor - self.at[document.pk]
                to_give_back -= min(document.open, 0)
                to_pay += max(document.open, 0)
        to_give_back += sum(self.free.values())
        assert to_pay - to_give_back == self.model.to_pay
        assert to_give_back <= sum(self.model.cash.values())

    def the_account_agrees(self, customer: Customer) -> int:
        """The statement's last figure is the balance of the account's page."""
        lines = statement(customer)[1]
        found = balance(customer)
        assert (lines[-1].balance_minor if lines else 0) == found
        assert free_credit(customer) == self.free[customer.pk]
        return found

    def _tax_is_of_what_stands(self) -> None:
        """Within one cent a document, all is taxed at 23 %."""
        owed = sum(self.model.owed.values())
        assert abs(self.model.tax - Decimal(owed) * 23 / 123) <= self.model.documents + 1

    def _each_charge_is_billed_once(self) -> None:
        lines: dict[tuple[int | None, str], int] = defaultdict(int)
        invoiced = DocumentLine.objects.filter(document__kind="invoice").exclude(charge_key="")
        for line in invoiced:
            lines[line.entry_id, line.charge_key] += bool(line_left(line)[0])
        assert all(count <= 1 for count in lines.values())
        rows = Entry.objects.select_related("package", "bike", "payer", "trackday__venue")
        for entry_id, dues in due_charges(list(rows)).items():
            for due in dues:
                assert (due.document_id is None) == (lines[entry_id, due.key] == 0)

    def settle_everything(self) -> None:
        """All is paid or given back: then nobody owes anything, and the cash is what stands."""
        assert sum(map(self.the_account_agrees, self.people)) == self.model.to_pay
        by_source: dict[str, int] = defaultdict(int)
        for line in journal(business_today(), business_today()):
            by_source[line.source] += line.debit_minor
        assert set(by_source.values()) <= {0}
        for document in Document.objects.filter(kind__in=OWED, number__isnull=False):
            minor = document_open(document)
            if minor:
                kind = PaymentKind.PAYMENT if minor > 0 else PaymentKind.REFUND
                self.enter(document, abs(minor), kind)
        for deposit in Document.objects.filter(kind="deposit", number__isnull=False):
            self.enter(deposit, held(deposit), PaymentKind.REFUND)
        for customer in self.people:
            self.attempt(
                payment_on_account, payment_id=uuid.uuid4(), customer=customer,
                amount_minor=free_credit(customer), method="cash", by=self.by, kind="refund",
            )  # fmt: skip
        self.all_sums_agree()
        assert not any(map(self.the_account_agrees, self.people))
        cash = sum(self.model.cash.values()) + sum(self.model.given_up.values())
        assert cash == sum(self.model.owed.values())
