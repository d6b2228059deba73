"""The bank's file as it is sent, and a list of it while its columns are matched."""

from typing import Any

from jobs.billing.bank_files.list_reader import BANK_FIELDS, BankList, list_read
from jobs.people.models import Business
from jobs.tables.forms import ListForm

# Where a date such as 06/05/2026 means June (CLDR's short dates, from memory).
MONTH_FIRST = frozenset({"US", "PH"})


class BankListForm(ListForm):
    kind = "bank"
    list_fields = BANK_FIELDS

    def __init__(self, *args: Any, business: Business) -> None:
        super().__init__(*args)
        self.business = business

    def read(self) -> BankList:
        return list_read(
            self.current.text,
            currency=self.business.currency,
            month_first=self.business.country in MONTH_FIRST,
            formats=self.formats,
            choice=self.choice,
        )
