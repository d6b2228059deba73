"""MT940, the statement of SWIFT; the library mt-940 knows the banks' ways of writing it."""

import datetime
import io
import logging
import re
from decimal import Decimal
from typing import Any

import mt940
from django.utils.translation import gettext as _

from jobs.tables.rows import text_of

from ..enums import BankFileKind
from .rows import BankFileFault, BankRow, BankStatement

# What the library logs of a line that it cannot read is the line: no log of ours keeps it.
logging.getLogger("mt940").setLevel(logging.CRITICAL + 1)
LOOKS = re.compile(r"^:20:.*^:60[FM]:", re.MULTILINE | re.DOTALL)
MOST_FIELDS = 30_000  # some 10,000 entries; the library's time grows with their square
NO_REFERENCE = ("", "NONREF", "NOTPROVIDED")
NAME = re.compile(r"/NAME/([^/]+)/")


def looks_like_mt940(content: bytes) -> bool:
    return LOOKS.search(text_of(content[:5000])) is not None


def mt940_read(content: bytes) -> BankStatement:
    """Raises BankFileFault where a line cannot be read: half a file would hide payments."""
    text = text_of(content)
    if len(re.findall(r"^:", text, re.MULTILINE)) > MOST_FIELDS:
        raise BankFileFault(
            _("This MT940 file has too many entries. Ask the bank for fewer days at a time.")
        )
    # As a file that is open: the library takes a bare text for the name of a file to be read.
    try:
        blocks = mt940.parse_statements(io.StringIO(text), options=mt940.Options.all())
    except (RuntimeError, ValueError, ArithmeticError, KeyError, TypeError) as error:
        raise BankFileFault(
            _("This MT940 file has a line that cannot be read: %(line)s")
            % {"line": _line_of(error)}
        ) from error
    statement = BankStatement(BankFileKind.MT940)
    for block in blocks:
        account = str(block.data.get("account_identification") or "").strip()
        statement.rows += [_row(account, one.data) for one in block if "amount" in one.data]
    lines = len(re.findall(r"^:61:", text, re.MULTILINE))
    if len(statement.rows) != lines:
        raise BankFileFault(
            _("This MT940 file has %(lines)d entries, and only %(read)d can be read.")
            % {"lines": lines, "read": len(statement.rows)}
        )
    return statement


def _line_of(error: Exception) -> str:
    """The library names the line as the last of what it raises."""
    said = error.args[-1] if error.args else ""
    return f"“{said[:60]}”" if isinstance(said, str) and said else type(error).__name__


def _row(account: str, data: dict[str, Any]) -> BankRow:
    details = " ".join(
        str(data[key])
        for key in ("purpose", "additional_purpose", "transaction_details", "extra_details")
        if data.get(key)
    )
    named = NAME.search(details)
    posting = str(data.get("posting_text") or "")
    day = data.get("entry_date") or data["date"]
    return BankRow(
        account=account.partition("/")[0] if account[:2].isdigit() else account,
        booked_on=datetime.date(day.year, day.month, day.day),
        amount=Decimal(data["amount"].amount),
        currency=str(data["amount"].currency or ""),
        payer_name=str(data.get("applicant_name") or (named[1] if named else "")),
        payer_account=str(data.get("applicant_iban") or ""),
        text=details or posting,
        bank_ref=_known(data.get("bank_reference")),
        end_to_end=_known(data.get("end_to_end_reference"))
        or _known(data.get("customer_reference")),
        is_reversal=str(data.get("status", "")).upper().startswith("R"),
    )


def _known(reference: Any) -> str:
    text = str(reference or "").strip()
    return "" if text.upper() in NO_REFERENCE else text
