"""What must hold after every act of an office's life: see ``lives.py``."""

import uuid
from collections import Counter, defaultdict
from typing import Any

from django.db import connection
from facturx import generate_ubl_xml
from hypothesis.stateful import invariant

from jobs.billing.business_terms import business_terms
from jobs.billing.einvoice import cii_xml, library_terms
from jobs.billing.enums import TAX_DOCUMENTS, DocumentKind, PaymentKind
from jobs.billing.models import Allocation, Document, DocumentLine, Payment, Series
from jobs.billing.selectors.due_charges import due_charges
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.ledger import free_credit, held, line_left
from jobs.billing.selectors.payments import OWED, balance, document_open, statement, with_open
from jobs.billing.services.payments import payment_on_account
from jobs.billing.strict import broken_rules
from jobs.people.dates import business_today
from jobs.people.models import Customer
from jobs.trackday.models import Entry

from .lives_model import Model
from .schematron import CII, UBL, failures

# Of documents of one shape the first ones go through the published Schematron, then one in so many.
SCHEMATRON_FIRST, SCHEMATRON_THEN = 2, 40


class Judge:
    """Strict rules for every document issued; the published Schematron for some of every shape."""

    def __init__(self) -> None:
        self.strict: Counter[str] = Counter()  # by kind of document
        self.published: Counter[str] = Counter()
        self.shapes: Counter[Any] = Counter()

    def judge(self, document: Document) -> None:
        terms = business_terms(document)
        assert broken_rules(terms) == []
        self.strict[document.kind] += 1
        if document.kind not in TAX_DOCUMENTS:
            return
        shape = (
            document.kind,
            tuple(sorted({row["BT-118"] for row in terms["BG-23"]})),
            len(terms["BG-23"]),
            bool(document.prepaid_minor),
            bool(document.rounding_minor),
            any(line["BT-129"].startswith("-") for line in terms["BG-25"]),
        )
        nth = self.shapes[shape]
        self.shapes[shape] += 1
        if nth < SCHEMATRON_FIRST or nth % SCHEMATRON_THEN == 0:
            assert failures(cii_xml(document), CII) == []
            ubl = generate_ubl_xml(library_terms(terms), level="en16931", check_schematron=None)
            assert failures(ubl, UBL) == []
            self.published[document.kind] += 1

    def __str__(self) -> str:
        def told(counts: Counter[str]) -> str:
            return ", ".join(f"{count} {kind}" for kind, count in sorted(counts.items()))

        return (
            f"strict rules: {told(self.strict)};"
            f" Schematron, {len(self.shapes)} shapes: {told(self.published)}"
        )


class Sums:
    """The model beside the ledger. ``people`` and ``day`` are the office's."""

    judge = Judge()  # of all lives of a run

    def begin_sums(self) -> None:
        self.model = Model()
        self.seen: set[int] = set()
        self.payments: set[Any] = set()
        self.struck: set[Any] = set()
        self.written: int | None = None

    @invariant()
    def all_sums_agree(self) -> None:
        if hasattr(self, "day") and self._something_was_written():
            self.check()

    def _something_was_written(self) -> bool:
        """SQLite counts every row written, also those that a refused act took back."""
        if connection.vendor != "sqlite":
            return True
        before, self.written = self.written, connection.connection.total_changes
        return before != self.written

    def check(self) -> None:
        self._tell_the_model()
        self._money_is_somewhere_once()
        self._accounts_agree()
        self._tax_is_of_what_stands()
        self._each_charge_is_billed_once()
        self.the_account_agrees(self.people[len(self.seen) % len(self.people)])

    def _tell_the_model(self) -> None:
        for document in Document.objects.filter(number__isnull=False).exclude(pk__in=self.seen):
            self.judge.judge(document)
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
        """By rate, within half a cent a document: invoices less credit notes, taxed once."""
        stated = 0
        for rate, (taxable, tax) in self.model.taxes.items():
            assert abs(tax - taxable * rate / 100) * 2 <= self.model.documents
            stated += tax
        assert stated == self.model.tax
        owed = sum(self.model.owed.values())
        taxable = sum(one for one, _tax in self.model.taxes.values())
        assert owed == taxable + stated + self.model.rounding

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

    def _each_series_counts_without_a_gap(self) -> None:
        given: dict[int, set[int]] = defaultdict(set)
        labels = set()
        issued = Document.objects.filter(number__isnull=False)
        for series, number, label in issued.values_list("series", "number", "label"):
            given[series].add(number)
            labels.add(label)
        for series in Series.objects.all():
            assert given[series.pk] == set(range(1, series.next))
        assert len(labels) == issued.count()

    def settle_everything(self) -> None:
        """All is paid or given back: then nobody owes anything, and the cash is what stands."""
        assert sum(map(self.the_account_agrees, self.people)) == self.model.to_pay
        self._each_series_counts_without_a_gap()
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
        self.check()
        assert not any(map(self.the_account_agrees, self.people))
        cash = sum(self.model.cash.values()) + sum(self.model.given_up.values())
        assert cash == sum(self.model.owed.values())
