"""The journal: one transaction for each document, payment and move of money."""

from collections import defaultdict
from xml.etree.ElementTree import Element, SubElement

from ..selectors.journal import CASH, GENERAL, SALES, JournalLine
from .books import Books
from .elements import CODE, MIDDLE_1, MIDDLE_2, amount, money, text

BOOKS = {SALES: "Invoices and credit notes", CASH: "Payments", GENERAL: "Moves and write-offs"}


def ledger_entries(books: Books) -> Element:
    group = Element("GeneralLedgerEntries")
    transactions: dict[tuple[str, str], list[JournalLine]] = defaultdict(list)
    for line in books.lines:
        transactions[line.journal, line.transaction].append(line)
    text(group, "NumberOfEntries", len(transactions))
    debits = [line.debit_minor for line in books.lines]
    money(group, "TotalDebit", sum(one for one in debits if one > 0), books.places)
    money(group, "TotalCredit", -sum(one for one in debits if one < 0), books.places)
    for journal, words in BOOKS.items():
        own = {key: lines for key, lines in transactions.items() if key[0] == journal}
        if own:
            row = SubElement(group, "Journal")
            text(row, "JournalID", journal)
            text(row, "Description", words)
            text(row, "Type", journal, CODE)
            for (_journal, name), lines in own.items():
                _transaction(row, name, lines, books.places)
    return group


def _transaction(journal: Element, name: str, lines: list[JournalLine], places: int) -> None:
    first = lines[0]
    row = SubElement(journal, "Transaction")
    text(row, "TransactionID", name, MIDDLE_2)
    text(row, "Period", first.day.month)
    text(row, "PeriodYear", first.day.year)
    text(row, "TransactionDate", first.day.isoformat())
    text(row, "Description", first.words or first.source)
    text(row, "SystemEntryDate", first.day.isoformat())
    text(row, "GLPostingDate", first.day.isoformat())
    for number, line in enumerate(lines, start=1):
        part = SubElement(row, "Line")
        text(part, "RecordID", number)
        text(part, "AccountID", line.account, MIDDLE_2)
        text(part, "SourceDocumentID", line.source, MIDDLE_1)
        text(part, "CustomerID", line.customer, MIDDLE_1)
        text(part, "Description", line.words or line.source)
        side = "DebitAmount" if line.debit_minor > 0 else "CreditAmount"
        amount(part, side, abs(line.debit_minor), places)
