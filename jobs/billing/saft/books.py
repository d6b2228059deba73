"""What a file tells, read once."""

import datetime
from dataclasses import dataclass

from jobs.people.models import Business

from ..models import Document, Payment
from ..money import exponent
from ..selectors.journal import JournalLine


@dataclass(frozen=True)
class Books:
    """All that a file tells, read once. ``before`` is the journal up to the period."""

    since: datetime.date
    until: datetime.date
    business: Business
    accounts: dict[str, str]
    before: list[JournalLine]
    lines: list[JournalLine]
    documents: list[Document]
    payments: list[Payment]

    @property
    def places(self) -> int:
        return exponent(self.business.currency)
