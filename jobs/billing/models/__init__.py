"""Prices, what is charged, documents and payments. Amounts are whole minor units."""

from .allocations import Allocation
from .bank import BankFile, BankLine
from .charges import Charge
from .documents import (
    Acceptance,
    Document,
    DocumentAllowance,
    DocumentFile,
    DocumentLine,
    DocumentTax,
    Reminder,
    Series,
)
from .payments import Payment
from .prices import PriceItem, TaxRate, Terms

__all__ = [
    "Acceptance",
    "Allocation",
    "BankFile",
    "BankLine",
    "Charge",
    "Document",
    "DocumentAllowance",
    "DocumentFile",
    "DocumentLine",
    "DocumentTax",
    "Payment",
    "PriceItem",
    "Reminder",
    "Series",
    "TaxRate",
    "Terms",
]
