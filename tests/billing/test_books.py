import csv
import hashlib
import io
import zipfile
from collections import defaultdict
from decimal import Decimal

import pytest

from jobs.billing.bundle import documents_zip
from jobs.billing.enums import FileKind, PaymentKind, PaymentMethod
from jobs.billing.models import Terms
from jobs.billing.selectors.journal import COLUMNS, journal, journal_csv
from jobs.billing.selectors.payments import statement
from jobs.billing.selectors.takings import day_takings, tax_report, year_takings
from jobs.billing.services.credits import credit_note_issue
from jobs.billing.services.deposits import deposit_request_issue, quote_accept
from jobs.billing.services.drafts import invoice_draft, quote_draft
from jobs.billing.services.files import document_file_keep
from jobs.billing.services.issue import document_issue
from jobs.people.dates import business_today


@pytest.fixture
def busy(day, payer, tuner, pay):
    """A deposit, its invoice, part of it credited, paid in cash, and a write-off."""
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    quote = document_issue(document=draft, by=tuner)
    quote_accept(quote=quote, name="Maren")
    pay(deposit_request_issue(quote=quote, by=tuner), 15600)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    invoice = document_issue(document=draft, by=tuner)
    line = invoice.lines.first()
    credit_note_issue(invoice=invoice, by=tuner, reason="x", line_ids={line.pk})
    pay(invoice, 10000, method=PaymentMethod.CASH)
    pay(invoice, 400, kind=PaymentKind.WRITE_OFF)
    return invoice


def test_the_journal_balances_for_every_transaction(busy):
    lines = journal(business_today(), business_today())
    by_source: dict[str, int] = defaultdict(int)
    for line in lines:
        by_source[line.source] += line.debit_minor
    assert set(by_source) == {"D-00001", "INV-00001", "C-00001"}
    assert set(by_source.values()) == {0}
    by_account: dict[str, int] = defaultdict(int)
    for line in lines:
        by_account[line.account] += line.debit_minor
    assert by_account["receivable"] == 0  # receivable: nothing is owed any more
    assert by_account["advances"] == 0  # advances: taken into the invoice
    assert (by_account["cash"], by_account["written_off"]) == (10000, 400)
    assert by_account["tax"] == -(9723 - 4862)


def test_the_csv_is_rfc_4180_and_adds_up(busy):
    text = journal_csv(business_today(), business_today())
    assert text.count("\r\n") == text.count("\n")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == COLUMNS
    debit = sum(Decimal(row["DebitAmount"] or 0) for row in rows)
    assert debit == sum(Decimal(row["CreditAmount"] or 0) for row in rows) > 0


def test_with_advances_taxed_on_receipt_it_balances_too(day, payer, tuner, pay):
    Terms.objects.update(tax_advances=True)
    draft = quote_draft(customer=payer, entries=day.entries, by=tuner)
    quote = document_issue(document=draft, by=tuner)
    quote_accept(quote=quote, name="Maren")
    pay(deposit_request_issue(quote=quote, by=tuner), 15600)
    draft = invoice_draft(customer=payer, entries=day.entries, by=tuner)
    document_issue(document=draft, by=tuner)
    by_account: dict[str, int] = defaultdict(int)
    for line in journal(business_today(), business_today()):
        by_account[line.account] += line.debit_minor
    assert sum(by_account.values()) == 0
    assert (by_account["advances"], by_account["receivable"]) == (0, 36400)


def test_the_tax_report_takes_credit_notes_off(busy):
    (row,) = tax_report(business_today(), business_today())
    assert (row.percent, row.taxable_minor, row.tax_minor) == (23, 42276 - 21138, 9723 - 4862)


def test_takings_by_day_and_year_count_money_only(busy):
    taken, payments = day_takings(business_today())
    assert len(payments) == 3
    assert taken.by_method == {"transfer": 15600, "cash": 10000}
    months = year_takings(business_today().year)
    assert sum(month.total for month in months) == 25600


def test_the_statement_runs_to_the_balance(busy, payer):
    before, lines = statement(payer)
    assert before == 0
    assert [(line.debit_minor, line.credit_minor) for line in lines] == [
        (52000, 0),
        (0, 26000),
        (0, 15600),
        (0, 10000),
        (0, 400),
    ]
    assert lines[-1].balance_minor == 0
    before, lines = statement(payer, since=business_today().replace(year=business_today().year + 1))
    assert (before, lines) == (0, [])


def test_the_bundle_names_what_is_missing_and_sums_what_is_there(busy):
    document_file_keep(document_id=busy.pk, kind=FileKind.PDF, content=b"%PDF-1.7")
    with zipfile.ZipFile(io.BytesIO(documents_zip(business_today(), business_today()))) as bundle:
        assert set(bundle.namelist()) == {
            "INV-00001.pdf",
            "journal.csv",
            "SHA256SUMS",
            "missing.txt",
        }
        digest, name = bundle.read("SHA256SUMS").decode().split()
        assert hashlib.sha256(bundle.read(name)).hexdigest() == digest
        assert bundle.read("missing.txt").decode().split() == ["C-00001"]
