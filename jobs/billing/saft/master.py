"""What the rest of the file refers to: accounts, customers, tax codes, units."""

from collections import defaultdict
from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement

from ..enums import PriceUnit, Scheme
from ..models import Document
from ..selectors.journal import JournalLine
from .books import Books
from .elements import CODE, MIDDLE_1, MIDDLE_2, address, money, number, text
from .tax_codes import components_of, tax_code, tax_type

# What stands on them is owed by, or to, a customer.
OF_CUSTOMERS = ("receivable", "advances")


def master_files(books: Books) -> Element:
    files = Element("MasterFiles")
    _accounts(files, books)
    _customers(files, books)
    _tax_table(files, books.documents)
    _units(files, books.documents)
    return files


def _sums(lines: Iterable[JournalLine], by: str) -> dict[str, int]:
    found: dict[str, int] = defaultdict(int)
    for line in lines:
        found[getattr(line, by)] += line.debit_minor
    return found


def _balance(parent: Element, when: str, minor: int, places: int) -> None:
    side = "Debit" if minor >= 0 else "Credit"
    money(parent, f"{when}{side}Balance", abs(minor), places)


def _accounts(files: Element, books: Books) -> None:
    """Those with a balance or an entry; several of our accounts may have one number."""
    before, moved = _sums(books.before, "account"), _sums(books.lines, "account")
    words: dict[str, list[str]] = defaultdict(list)
    for name, account in books.accounts.items():
        if account in before or account in moved:
            words[account].append(name.replace("_", " "))
    if not words:
        return
    group = SubElement(files, "GeneralLedgerAccounts")
    for account, names in words.items():
        row = SubElement(group, "Account")
        text(row, "AccountID", account, MIDDLE_2)
        text(row, "AccountDescription", ", ".join(names))
        text(row, "AccountType", "GL")
        opening = before.get(account, 0)
        _balance(row, "Opening", opening, books.places)
        _balance(row, "Closing", opening + moved.get(account, 0), books.places)


def _customers(files: Element, books: Books) -> None:
    """Everybody named in the period, as the newest of their documents names them."""
    theirs = {books.accounts[name] for name in OF_CUSTOMERS}
    before = _sums((line for line in books.before if line.account in theirs), "customer")
    moved = _sums((line for line in books.lines if line.account in theirs), "customer")
    named = {document.buyer.get("id", ""): document.buyer for document in books.documents}
    for payment in books.payments:
        customer = payment.customer
        named.setdefault(
            str(customer.pk),
            {"name": customer.name}
            | {part: getattr(customer, part) for part in ("street", "postcode", "city", "country")},
        )
    for line in books.lines:
        named.setdefault(line.customer, {"name": line.words})
    if not named:
        return
    group = SubElement(files, "Customers")
    for pk, party in named.items():
        row = SubElement(group, "Customer")
        text(row, "Name", party.get("name", "") or "-", MIDDLE_2)
        address(row, "Address", party)
        if party.get("tax_id"):
            registration = SubElement(row, "TaxRegistration")
            text(registration, "TaxRegistrationNumber", party["tax_id"], MIDDLE_1)
        text(row, "CustomerID", pk, MIDDLE_1)
        text(row, "AccountID", books.accounts["receivable"], MIDDLE_2)
        opening = before.get(pk, 0)
        _balance(row, "Opening", opening, books.places)
        _balance(row, "Closing", opening + moved.get(pk, 0), books.places)


def _tax_table(files: Element, documents: list[Document]) -> None:
    """One entry for each kind of tax, with every rate that the documents carry."""
    entries: dict[str, Element] = {}
    table = Element("TaxTable")
    for scheme, component in components_of(documents):
        kind = tax_type(scheme)
        if kind not in entries:
            entries[kind] = SubElement(table, "TaxTableEntry")
            text(entries[kind], "TaxType", kind, CODE)
            text(entries[kind], "Description", Scheme(scheme).label)
        details = SubElement(entries[kind], "TaxCodeDetails")
        text(details, "TaxCode", tax_code(component), CODE)
        text(details, "Description", component.name or component.category)
        number(details, "TaxPercentage", component.percent)
        text(details, "Country", documents[0].seller.get("country", ""), 2)
    if entries:
        files.append(table)


def _units(files: Element, documents: list[Document]) -> None:
    units = sorted({line.unit for one in documents for line in one.lines.all()})
    if units:
        table = SubElement(files, "UOMTable")
        for unit in units:
            row = SubElement(table, "UOMTableEntry")
            text(row, "UnitOfMeasure", unit, CODE)
            known = unit in PriceUnit.values
            text(row, "Description", PriceUnit(unit).label if known else unit)
