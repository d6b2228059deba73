"""A tax in nine letters: its category and percent, and whose it is where there are several."""

import hashlib
from collections.abc import Iterable

from ..arithmetic import Tax
from ..enums import Scheme
from ..models import Document
from .elements import CODE

# Rates of VAT have one name in a business; state and county taxes are told apart by it.
USUAL_NAMES = {"", "VAT"}


def tax_type(scheme: str) -> str:
    return "SALES" if scheme == Scheme.SALES_TAX else "VAT"


def tax_code(tax: Tax) -> str:
    """Such as S23 or S13.5; with three letters of its name's own where it is another tax."""
    code = f"{tax.category}{tax.percent.normalize():f}"
    if tax.name in USUAL_NAMES:
        return code[:CODE]
    short = hashlib.sha256(tax.name.encode()).hexdigest()[:3]
    return f"{code[: CODE - len(short)]}{short}"


def components_of(documents: Iterable[Document]) -> list[tuple[str, Tax]]:
    """Every tax that documents carry, each once, with the scheme it belongs to."""
    found = {
        (document.scheme, Tax(row.category, row.percent, row.name))
        for document in documents
        for row in document.taxes.all()
    }
    return sorted(found, key=lambda one: (one[0], tax_code(one[1])))
