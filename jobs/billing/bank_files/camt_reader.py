"""camt.053 (bank to customer statement, ISO 20022), whatever its version.

Between versions elements moved by a level (a party's name, an entry's status), so each is
looked for in both places. Entries that are not booked yet are left out. An entry that has
several payments in it becomes a row for each; where the entry is less than they are, the rest
is what the bank charged, a row of money out.
"""

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from lxml import etree

from ..enums import BankFileKind
from .rows import BankFileFault, BankRow, BankStatement

MESSAGE = re.compile(r"urn:iso:std:iso:20022:tech:xsd:((camt\.\d{3})\.001\.(\d{2}))")
BOOKED = "BOOK"
# As the schemas have it: at most 18 digits, five of them decimals, and no sign below zero.
AMOUNT = re.compile(r"\+?(?=(\.?[0-9]){1,18}\.?$)([0-9]+\.?[0-9]{0,5}|\.[0-9]{1,5})")
DEEPEST = 60  # elements inside one another; the schemas need about twenty
CHUNK = 64 * 1024


def camt_read(content: bytes) -> BankStatement:
    """Raises BankFileFault for XML that is broken or hostile, and for another message."""
    document = _parsed(content)
    found = MESSAGE.fullmatch(etree.QName(document).namespace or "")
    if found is None:
        raise BankFileFault(_("This XML is no bank statement: camt.053 is read."))
    if found[2] != "camt.053" or found[3] < "02":
        raise BankFileFault(
            _("This is a %(message)s. Ask the bank for camt.053, the statement, from 001.02 on.")
            % {"message": found[1]}
        )
    statement = BankStatement(BankFileKind.CAMT)
    for one in _all(document, "BkToCstmrStmt/Stmt"):
        account = _text(one, "Acct/Id/IBAN") or _text(one, "Acct/Id/Othr/Id")
        for entry in _all(one, "Ntry"):
            if (_text(entry, "Sts/Cd") or _text(entry, "Sts")) != BOOKED:
                statement.pending += 1
            else:
                statement.rows += _entry_rows(_Entry.of(account.replace(" ", ""), entry))
    return statement


def _parsed(content: bytes) -> Any:
    """The root element. No document type, so no entities; no other file; not too deep."""
    parser = etree.XMLPullParser(
        ("start", "end"), resolve_entities=False, no_network=True, load_dtd=False,
        dtd_validation=False, huge_tree=False, remove_comments=True, remove_pis=True,
    )  # fmt: skip
    depth = 0
    try:
        for start in range(0, len(content), CHUNK):
            parser.feed(content[start : start + CHUNK])
            for event, element in parser.read_events():
                depth += 1 if event == "start" else -1
                if depth > DEEPEST:
                    raise BankFileFault(_("This XML is nested deeper than a statement can be."))
                if depth == 1 and element.getroottree().docinfo.doctype:
                    raise BankFileFault(
                        _("This XML declares a document type, which no bank statement has.")
                    )
        return parser.close()
    except etree.XMLSyntaxError as error:
        raise BankFileFault(
            _("The file is damaged: it cannot be read as XML (line %(line)s).")
            % {"line": error.lineno or 1}
        ) from error


@dataclass(frozen=True)
class _Entry:
    """An entry of a statement with its own sum, and the payments in it."""

    element: Any
    account: str
    booked_on: datetime.date
    amount: Decimal
    currency: str
    is_reversal: bool
    details: tuple[Any, ...]

    @classmethod
    def of(cls, account: str, element: Any) -> "_Entry":
        amount = _first(element, "Amt")
        if amount is None:
            raise BankFileFault(
                _("Line %(line)s: this entry has no amount.") % {"line": element.sourceline}
            )
        return cls(
            element=element,
            account=account,
            booked_on=_day(element),
            amount=_signed(amount, _text(element, "CdtDbtInd")),
            currency=amount.get("Ccy", ""),
            is_reversal=_text(element, "RvslInd") == "true",
            details=tuple(_all(element, "NtryDtls/TxDtls")),
        )


def _entry_rows(entry: _Entry) -> Iterator[BankRow]:
    """A row for each payment where their sums are told, else one for the entry."""
    sums = [_detail_sum(entry, detail) for detail in entry.details]
    told = [one for one in sums if one is not None]
    charged = entry.amount - sum(told, Decimal(0))
    if len(told) < len(sums) or not told or charged > 0:
        yield _row(entry, entry.details[0] if len(entry.details) == 1 else None, entry.amount)
        return
    for detail, amount in zip(entry.details, told, strict=True):
        yield _row(entry, detail, amount)
    if charged:
        words = _("charged by the bank on this entry")
        yield BankRow(
            entry.account, entry.booked_on, charged, entry.currency, text=words,
            bank_ref=_text(entry.element, "AcctSvcrRef"),
        )  # fmt: skip


def _detail_sum(entry: _Entry, detail: Any) -> Decimal | None:
    """What one payment comes to in the account's currency; None where that is not told."""
    for path in ("Amt", "AmtDtls/TxAmt/Amt"):
        amount = _first(detail, path)
        if amount is not None and amount.get("Ccy") == entry.currency:
            sign = _text(detail, "CdtDbtInd") or _text(entry.element, "CdtDbtInd")
            return _signed(amount, sign)
    return None


def _row(entry: _Entry, detail: Any | None, amount: Decimal) -> BankRow:
    """``detail`` None: an entry of which the payments are not told apart."""
    parties = ("Dbtr", "UltmtDbtr") if amount > 0 else ("Cdtr", "UltmtCdtr")
    sources = [detail] if detail is not None else list(entry.details)
    names, texts, references = [], [], []
    for one in sources:
        names += [_party(one, party) for party in parties]
        texts += [_inner(element) for element in _all(one, "RmtInf/Ustrd")]
        references += [_inner(e) for e in _all(one, "RmtInf/Strd/CdtrRefInf/Ref")]
        texts += [_inner(e) for e in _all(one, "RmtInf/Strd/AddtlRmtInf")]
        texts.append(_text(one, "AddtlTxInf"))
    if not any(texts):
        texts.append(_text(entry.element, "AddtlNtryInf"))
    own = detail if detail is not None else entry.element
    account = f"RltdPties/{parties[0]}Acct/Id"
    return BankRow(
        account=entry.account,
        booked_on=entry.booked_on,
        amount=amount,
        currency=entry.currency,
        payer_name=" / ".join(dict.fromkeys(name for name in names if name)),
        payer_account=_text(own, f"{account}/IBAN") or _text(own, f"{account}/Othr/Id"),
        text=" ".join(text for text in texts if text),
        reference=" ".join(dict.fromkeys(one for one in references if one)),
        bank_ref=_text(own, "Refs/AcctSvcrRef") or _text(entry.element, "AcctSvcrRef"),
        end_to_end=_text(own, "Refs/EndToEndId"),
        is_reversal=entry.is_reversal,
    )


def _party(detail: Any, party: str) -> str:
    """Since version 08 a party's name stands one level deeper."""
    place = f"RltdPties/{party}"
    return _text(detail, f"{place}/Nm") or _text(detail, f"{place}/Pty/Nm")


def _signed(amount: Any, direction: str) -> Decimal:
    text = _inner(amount)
    if not AMOUNT.fullmatch(text) or direction not in ("CRDT", "DBIT"):
        raise BankFileFault(
            _("Line %(line)s: “%(text)s” is not a sum that came in or went out.")
            % {"line": amount.sourceline, "text": text[:40]}
        )
    value = Decimal(text)
    return value if direction == "CRDT" else -value


def _day(entry: Any) -> datetime.date:
    """The day of booking as the bank writes it, else the day from which it counts."""
    for path in ("BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm"):
        text = _text(entry, path)
        if text:
            try:
                return datetime.date.fromisoformat(text[:10])
            except ValueError:
                break
    raise BankFileFault(_("Line %(line)s: this entry has no date.") % {"line": entry.sourceline})


def _all(element: Any, path: str) -> Any:
    """Elements by their names alone: the namespace is that of the version."""
    return element.iterfind("/".join(f"{{*}}{name}" for name in path.split("/")))


def _first(element: Any, path: str) -> Any | None:
    return next(_all(element, path), None)


def _inner(element: Any) -> str:
    return (element.text or "").strip()


def _text(element: Any, path: str) -> str:
    found = _first(element, path)
    return _inner(found) if found is not None else ""
