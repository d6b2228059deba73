"""A bank's list of payments, whatever its columns: ``jobs.tables`` matches them to fields.

How dates and sums are written is decided by the whole column: one 25/06 says that the day
stands first for all of them.
"""

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from jobs.tables.matching import Choice, Formats, ListField, Matching
from jobs.tables.table import Fault, Row, Table, table_of

from ..enums import BankFileKind
from ..money import exponent
from .rows import BankRow, BankStatement

AN_IBAN = r"[A-Z]{2}\d{2}(\s?[A-Z0-9]){11,30}"
BANK_FIELDS: tuple[ListField, ...] = (
    ListField(
        "date", lazy("Date"),
        ("booked", "booking date", "booked on", "transaction date", "posting date", "value date",
         "buchungstag", "buchungsdatum", "buchung", "datum", "valuta", "wertstellung",
         "date de comptabilisation", "date operation", "data contabile", "data", "fecha",
         "fecha operacion", "boekdatum", "rentedatum"),
        required=True, help=lazy("When the bank booked it"), example="2026-06-15",
    ),
    ListField(
        "amount", lazy("Sum"),
        ("sum", "value", "betrag", "umsatz", "betrag eur", "montant", "importo", "importe",
         "bedrag", "transaction amount", "net amount"),
        gives=("in",), help=lazy("Money out with a minus"), example="520,00",
    ),
    ListField(
        "in", lazy("Money in"),
        ("credit", "credit amount", "paid in", "money in", "haben", "gutschrift", "deposits",
         "entrate", "avere", "abono", "bij"),
        required=True, help=lazy("Where money in and out have a column each"),
    ),
    ListField(
        "out", lazy("Money out"),
        ("debit", "debit amount", "paid out", "money out", "soll", "lastschrift", "withdrawals",
         "uscite", "dare", "cargo", "af"),
    ),
    ListField(
        "direction", lazy("In or out"),
        ("credit debit", "debit credit", "cr dr", "dr cr", "soll haben", "s h", "af bij",
         "sens", "credit debit indicator"),
        looks=r"cr|dr|crdt|dbit|credit|debit|s|h|soll|haben|af|bij",
        help=lazy("A word or a letter, such as CR and DR"), example="CR",
    ),
    ListField(
        "name", lazy("Name"),
        ("payer", "payee", "counterparty", "payer payee", "counterparty name", "other party",
         "zahlungspflichtiger", "auftraggeber", "beguenstigter zahlungspflichtiger",
         "auftraggeber empfanger", "name zahlungsbeteiligter", "zahlungsbeteiligter", "nom",
         "contrepartie", "nome", "controparte", "ordinante", "nombre", "ordenante", "naam",
         "naam tegenpartij", "tegenpartij", "naam omschrijving"),
        help=lazy("Who paid, or was paid"), example="Maren Voss",
    ),
    ListField(
        "text", lazy("Text"),
        ("description", "details", "purpose", "memo", "narrative", "particulars", "message",
         "transaction details", "verwendungszweck", "buchungstext", "zahlungsgrund", "libelle",
         "communication", "causale", "descrizione", "concepto", "descripcion", "omschrijving",
         "mededelingen"),
        help=lazy("What the payer wrote"), example="INV-00001",
    ),
    ListField(
        "reference", lazy("Reference"),
        ("creditor reference", "structured reference", "payment reference", "kundenreferenz",
         "referenz", "reference structuree", "riferimento", "referencia", "betalingskenmerk",
         "kenmerk"),
        help=lazy("The creditor reference of our documents"), example="RF18539007547034",
    ),
    ListField(
        "account", lazy("Their account"),
        ("iban", "counterparty iban", "counterparty account", "account number", "kontonummer",
         "kontonummer iban", "iban zahlungsbeteiligter", "compte", "conto", "cuenta",
         "tegenrekening"),
        looks=AN_IBAN, help=lazy("From which it was paid"),
    ),
    ListField(
        "currency", lazy("Currency"), ("wahrung", "waehrung", "devise", "valuta code", "divisa",
                                       "munt", "ccy"),
        looks=r"[A-Z]{3}", example="EUR",
    ),
    ListField(
        "bank_ref", lazy("The bank's number"),
        ("transaction id", "transaction reference", "bank reference", "id", "mandatsreferenz",
         "transactiereferentie", "buchungsreferenz"),
    ),
)  # fmt: skip
INWARD = frozenset({"cr", "crdt", "c", "credit", "h", "haben", "bij", "in", "+"})
OUTWARD = frozenset({"dr", "dbit", "d", "debit", "s", "soll", "af", "out", "-"})


@dataclass
class BankList:
    """A list as read: its rows, or what stands in the way of them."""

    statement: BankStatement
    faults: list[Fault] = field(default_factory=list)
    matching: Matching = field(default_factory=Matching)


def list_read(
    text: str, *, currency: str, month_first: bool = False,
    formats: Formats | None = None, choice: Choice | None = None,
) -> BankList:  # fmt: skip
    """``currency``: of rows that name none. ``month_first``: where dates leave it open."""
    table = table_of(text, fields=BANK_FIELDS, formats=formats, choice=choice, most_rows=None)
    found = BankList(BankStatement(BankFileKind.LIST), list(table.faults), table.matching)
    if found.faults:
        return found
    order = _month_first([row["date"] for row in table.rows], month_first)
    written = _Written(currency, order, exponent(currency))
    for row in table.rows:
        try:
            read = _row(row, written)
        except _Unreadable as why:
            found.faults.append(Fault(row.line, table.heading(why.field), str(why), row["name"]))
            continue
        if read.amount:
            found.statement.rows.append(read)
    if not found.statement.rows and not found.faults:
        found.faults.append(_no_sums(table))
    return found


def _no_sums(table: Table) -> Fault:
    return Fault(table.matching.header_line, "", _("No row of this list has a sum."))


class _Unreadable(Exception):
    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field


@dataclass(frozen=True)
class _Written:
    """How this list writes what its cells leave open."""

    currency: str
    month_first: bool
    places: int  # of the currency's minor unit


def _row(row: Row, written: _Written) -> BankRow:
    return BankRow(
        account="",
        booked_on=_date(row["date"], written.month_first),
        amount=_sum(row, written.places),
        currency=(row["currency"] or written.currency).upper(),
        payer_name=row["name"],
        payer_account=row["account"].replace(" ", ""),
        text=row["text"],
        reference=row["reference"],
        bank_ref=row["bank_ref"],
    )


LONGEST_SUM = 24  # characters
NUMBERS = re.compile(r"(\d{1,4})[./\- ](\d{1,2})[./\- ](\d{1,4})(?:[T ].*)?")
PRESSED = re.compile(r"(\d{4})(\d{2})(\d{2})")


def _month_first(cells: Iterable[str], usual: bool) -> bool:
    """Only with a stroke between is the month ever first; a number above 12 settles which."""
    parts = [NUMBERS.fullmatch(cell) for cell in cells if "/" in cell]
    if any(part and int(part[1]) > 12 for part in parts):
        return False
    if any(part and int(part[2]) > 12 for part in parts):
        return True
    return usual


def _date(cell: str, month_first: bool) -> datetime.date:
    found = NUMBERS.fullmatch(cell) or PRESSED.fullmatch(cell)
    try:
        if found is None:
            raise ValueError(cell)
        first, second, third = (int(part) for part in found.groups())
        if len(found[1]) == 4:
            return datetime.date(first, second, third)
        year = third if len(found[3]) == 4 else 2000 + third
        if month_first and "/" in cell:
            return datetime.date(year, first, second)
        return datetime.date(year, second, first)
    except ValueError:
        words = _("“%(text)s” is not a date such as 2026-06-15 or 15.06.2026.")
        raise _Unreadable("date", words % {"text": cell[:40]}) from None


def _sum(row: Row, places: int) -> Decimal:
    """Above zero it came in, by its sign, its column, or the word beside it."""
    if row["amount"]:
        value = _number("amount", row["amount"], places)
        said = row["direction"].casefold()
        if said and said not in INWARD | OUTWARD:
            words = _("“%(text)s” says neither in nor out.")
            raise _Unreadable("direction", words % {"text": row["direction"][:40]})
        return -abs(value) if said in OUTWARD else value
    came = _number("in", row["in"], places) if row["in"] else Decimal(0)
    went = _number("out", row["out"], places) if row["out"] else Decimal(0)
    return abs(came) - abs(went)


def _number(field: str, cell: str, places: int) -> Decimal:
    """1.234,56 or 1,234.56 or 1 234.56; a minus before or behind, or brackets.

    The last separator is the decimal one, unless three digits follow it: those are thousands,
    save in a currency of three places.
    """
    plain = re.sub(r"[\s\u2019'a-zA-Z€£$¥]", "", cell.replace("\u2212", "-"))
    minus = plain.startswith(("-", "(")) or plain.endswith("-")
    digits = plain.strip("+-()")
    decimals = r"\d{1,3}" if places == 3 else r"\d{1,2}"
    found = re.fullmatch(rf"([\d.,]*?)(?:[.,]({decimals}|\d{{4,}}))?", digits)
    try:
        if found is None or not digits or len(digits) > LONGEST_SUM:
            raise InvalidOperation
        whole = re.sub(r"[.,]", "", found[1]) or "0"
        value = Decimal(f"{whole}.{found[2] or 0}")
    except InvalidOperation:
        words = _("“%(text)s” is not a sum such as 1.234,56 or 1,234.56.")
        raise _Unreadable(field, words % {"text": cell[:40]}) from None
    return -value if minus else value
