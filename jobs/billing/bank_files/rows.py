"""What a bank's file is read into, whatever its kind."""

import datetime
import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass, field, replace
from decimal import Decimal
from typing import Any

from ..enums import BankFileKind

# The columns of BankLine; what is longer is cut.
MOST = {"payer_name": 140, "payer_account": 40, "reference": 140, "bank_ref": 80, "text": 2000}


class BankFileFault(ValueError):
    """Why a file is not taken in, in words for a person. Nothing of it was written."""


@dataclass(frozen=True)
class BankRow:
    """One sum on an account: above zero it came in. ``payer`` is the other side, also of money out.

    ``account`` is the business's own. ``bank_ref`` is the bank's own number, ``end_to_end`` the
    payer's. ``is_reversal``: it undoes an earlier sum.
    """

    account: str
    booked_on: datetime.date
    amount: Decimal
    currency: str
    payer_name: str = ""
    payer_account: str = ""
    text: str = ""
    reference: str = ""
    bank_ref: str = ""
    end_to_end: str = ""
    is_reversal: bool = False

    def cut(self) -> "BankRow":
        """As long as the columns are, white space made single, without what no database keeps."""
        short: dict[str, Any] = {
            name: " ".join(getattr(self, name).replace("\x00", "").split())[:most]
            for name, most in MOST.items()
        }
        return replace(self, **short)


@dataclass
class BankStatement:
    """All rows of a file. ``pending``: entries the bank has not booked, which are left out."""

    kind: BankFileKind
    rows: list[BankRow] = field(default_factory=list)
    pending: int = 0

    @property
    def accounts(self) -> list[str]:
        return list(dict.fromkeys(row.account for row in self.rows if row.account))


def fingerprints(rows: Iterable[BankRow]) -> Iterator[tuple[str, BankRow]]:
    """Each row with what it is known again by, in whatever file it comes once more.

    Two rows of one file that say the same are two sums: they are counted.
    """
    seen: Counter[str] = Counter()
    for row in rows:
        said = repr([str(value) for value in astuple(row)])
        seen[said] += 1
        yield hashlib.sha256(f"{said} {seen[said]}".encode()).hexdigest(), row
