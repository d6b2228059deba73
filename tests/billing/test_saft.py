"""The audit file of a period: its structure, its sums, and what it refers to.

No package carries the OECD's schema of SAF-T 2.00: ``saft_structure.xsd`` is our own.
"""

import datetime
import uuid
from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import pytest
from lxml import etree

from jobs.billing.enums import PaymentKind, PaymentMethod, Scheme
from jobs.billing.models import PriceItem, TaxRate, Terms
from jobs.billing.saft import saft_xml
from jobs.billing.selectors.journal import journal
from jobs.billing.selectors.payments import document_open
from jobs.billing.services.charges import charge_add
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.issue import document_issue
from jobs.billing.services.payments import payment_on_account
from jobs.people.dates import business_today
from tests.days import day_build

from .conftest import customer_make

SCHEMA = etree.XMLSchema(etree.parse(Path(__file__).with_name("saft_structure.xsd")))
SPACE = {"s": "urn:OECD:StandardAuditFile-Taxation/2.00"}
MARCH, APRIL = datetime.date(2026, 3, 12), datetime.date(2026, 4, 9)


def audit_file(since=None, until=None):
    root = etree.fromstring(saft_xml(since or business_today(), until or business_today()))
    SCHEMA.assertValid(root)
    return root


def texts(root, path: str) -> list[str]:
    return [one.text for one in root.iterfind(path, SPACE)]


def total(root, path: str) -> Decimal:
    return sum((Decimal(one) for one in texts(root, path)), Decimal(0))


@pytest.fixture
def busy(day, payer, tuner, pay):
    """A deposit, an invoice with a discount, part of it credited, cash, a write-off, a refund."""
    quote = quote_draft(customer=payer, entries=day.entries, by=tuner)
    quote = document_issue(document=quote, by=tuner)
    quote_accept(quote=quote, name="Maren")
    pay(deposit_request_issue(quote=quote, by=tuner), 15600)
    charge_add(entry=day.entries[0], by=tuner, item=PriceItem.objects.get(code="loyal"))
    seals = PriceItem.objects.create(
        code="seals", name="Seals", kind="part", price=20, tax_code="reduced"
    )
    charge_add(entry=day.entries[1], by=tuner, item=seals)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    invoice = document_issue(document=draft, by=tuner)
    credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={invoice.lines.first().pk})
    pay(invoice, document_open(invoice) - 400, method=PaymentMethod.CASH)
    pay(invoice, 400, kind=PaymentKind.WRITE_OFF)
    for kind, minor in ((PaymentKind.PAYMENT, 5000), (PaymentKind.REFUND, 3000)):
        payment_on_account(
            payment_id=uuid.uuid4(),
            customer=payer,
            amount_minor=minor,
            method="transfer",
            by=tuner,
            kind=kind,
        )
    return invoice


def test_the_file_of_a_busy_day_has_the_structure_and_its_sums(busy):
    root = audit_file()
    ledger = root.find("s:GeneralLedgerEntries", SPACE)
    assert texts(ledger, "s:TotalDebit") == texts(ledger, "s:TotalCredit") != ["0.00"]
    for transaction in ledger.iterfind(".//s:Transaction", SPACE):
        assert total(transaction, ".//s:DebitAmount/s:Amount") == total(
            transaction, ".//s:CreditAmount/s:Amount"
        )
    sales = root.find("s:SourceDocuments/s:SalesInvoices", SPACE)
    assert texts(sales, "s:NumberOfEntries") == ["2"]
    difference = total(sales, "s:TotalCredit") - total(sales, "s:TotalDebit")
    assert difference == total(sales, ".//s:NetTotal") > 0
    paid = root.find("s:SourceDocuments/s:Payments", SPACE)
    assert texts(paid, "s:NumberOfEntries") == ["4"]  # what is written off is no payment
    # By hand: 520 less 10 % of one bike's 260, and 20 of seals, less that bike, less 4 written
    # off; what the deposit left to pay came in cash, and 50 on account.
    assert (total(paid, "s:TotalCredit"), total(paid, "s:TotalDebit")) == (280 - 4 + 50, 30)


def test_lines_add_up_to_the_invoice_and_to_its_taxes(busy):
    for invoice in audit_file().iterfind(".//s:Invoice", SPACE):
        net, taxes = Decimal(0), defaultdict(Decimal)
        for line in invoice.iterfind("s:InvoiceLine", SPACE):
            sign = 1 if texts(line, "s:DebitCreditIndicator") == ["C"] else -1
            net += sign * total(line, "s:InvoiceLineAmount/s:Amount")
            for tax in line.iterfind("s:TaxInformation", SPACE):
                taxes[texts(tax, "s:TaxCode")[0]] += total(tax, "s:TaxAmount/s:Amount")
        totals = invoice.find("s:InvoiceDocumentTotals", SPACE)
        assert net == total(totals, "s:NetTotal")
        stated = {
            texts(tax, "s:TaxCode")[0]: total(tax, "s:TaxAmount/s:Amount")
            for tax in totals.iterfind("s:TaxInformationTotals", SPACE)
        }
        assert taxes == stated
        assert net + sum(stated.values()) == total(totals, "s:GrossTotal")


def test_what_is_referred_to_is_there(busy):
    root = audit_file()
    master = root.find("s:MasterFiles", SPACE)
    for name in ("AccountID", "CustomerID", "TaxCode", "TransactionID"):
        where = root.find("s:GeneralLedgerEntries", SPACE) if name == "TransactionID" else master
        known = set(texts(where, f".//s:{name}"))
        used = set(texts(root.find("s:SourceDocuments", SPACE), f".//s:{name}"))
        used |= set(texts(root.find("s:GeneralLedgerEntries", SPACE), f".//s:{name}"))
        assert used
        assert used <= known
    assert set(texts(master, ".//s:TaxCode")) == {"S23", "S13.5"}


def balances(root, of: str, name: str, when: str) -> dict[str, Decimal]:
    return {
        texts(row, f"s:{name}")[0]: total(row, f"s:{when}DebitBalance")
        - total(row, f"s:{when}CreditBalance")
        for row in root.iterfind(f".//s:{of}", SPACE)
    }


def test_a_month_opens_with_what_the_month_before_closed_with(day, payer, tuner, pay):
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    invoice = document_issue(document=draft, by=tuner, on=MARCH)
    pay(invoice, 40000, received_on=APRIL)
    march = audit_file(MARCH.replace(day=1), MARCH.replace(day=31))
    april = audit_file(APRIL.replace(day=1), APRIL.replace(day=30))
    closed = balances(march, "Account", "AccountID", "Closing")
    opened = balances(april, "Account", "AccountID", "Opening")
    assert opened == closed | {"bank": 0}
    assert sum(balances(april, "Account", "AccountID", "Closing").values()) == 0
    assert balances(april, "Customer", "CustomerID", "Opening") == {str(payer.pk): 520}
    assert balances(april, "Customer", "CustomerID", "Closing") == {str(payer.pk): 120}


def test_a_period_with_nothing_in_it_is_a_file_all_the_same(prices):
    root = audit_file()
    assert texts(root, ".//s:TotalDebit") == ["0.00"] * 3


def test_two_taxes_on_one_line_have_codes_of_their_own(payer, tuner):
    Terms.objects.update(scheme=Scheme.SALES_TAX, prices_include_tax=False)
    TaxRate.objects.update(name="State", percent=Decimal(4))
    TaxRate.objects.create(
        code="standard", name="County", percent=Decimal(4), valid_from=datetime.date(2020, 1, 1)
    )
    entries = day_build(bikes=1, customers=[payer]).entries
    document_issue(document=invoice_draft(customer=payer, entries=entries, by=tuner), by=tuner)
    root = audit_file()
    codes = texts(root, ".//s:InvoiceDocumentTotals//s:TaxCode")
    assert len(codes) == len(set(codes)) == 2
    assert total(root, ".//s:InvoiceDocumentTotals//s:TaxAmount/s:Amount") == Decimal("20.80")


def test_texts_longer_than_the_structure_allows_and_odd_letters_are_cut(day, tuner):
    long = customer_make("Ä" * 100 + "\x0b")
    entry = day.entries[0]
    entry.payer = long
    entry.save()
    charge_add(entry=entry, by=tuner, description="<&> \x01" + "x" * 150, price=Decimal(1))
    draft = invoice_draft(customer=long, entries=[entry], by=tuner)
    document_issue(document=draft, by=tuner, mail=False)
    names = texts(audit_file(), ".//s:CustomerInfo/s:Name")
    assert names == ["Ä" * 70]


def test_every_transaction_of_the_journal_balances_alone_and_in_every_period(busy):
    lines = journal(business_today(), business_today())
    by_transaction: dict[str, int] = defaultdict(int)
    for line in lines:
        by_transaction[line.transaction] += line.debit_minor
    assert len(by_transaction) == 2 + 5 + 1  # two documents, five payments, the deposit taken
    assert set(by_transaction.values()) == {0}
    assert len({line.day for line in lines}) == 1
