"""An issued document as business terms of EN 16931-1: by number, amounts in plain strings.

Read once from the stored rows, for the strict rules and for the electronic invoice.
"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from .enums import TYPE_CODES, DocumentKind, Scheme
from .models import Document, DocumentAllowance, DocumentLine, DocumentTax
from .money import exponent, to_major

TRANSFER = "58"  # UNTDID 4461: SEPA credit transfer
OTHER_TRANSFER = "30"


def business_terms(document: Document) -> dict[str, Any]:
    """Raises nothing: a draft gives what it has, and the rules say what is missing."""
    places = exponent(document.currency)
    terms: dict[str, Any] = {
        "BT-1": document.label,
        "BT-2": document.issued_on,
        "BT-3": TYPE_CODES.get(DocumentKind(document.kind), "325"),  # 325: proforma
        "BT-5": document.currency,
        "BT-9": document.due_on,
        "BT-20": document.terms_text,
        "BT-72": document.delivered_on,
        "scheme": document.scheme,
        "BG-4": _seller(document),
        "BG-7": _party(document.buyer, document.scheme),
        "BG-25": [_line(line, places) for line in document.lines.all()],
        "BG-20": [_allowance(row, places) for row in document.allowances.all()],
        "BG-21": [],
        "BG-23": [_breakdown(row, places) for row in document.taxes.all()],
        "BG-3": _preceding(document),
    }
    return terms | _totals(document, places) | _payment(document)


def _amount(minor: int, places: int) -> str:
    return f"{to_major(minor, places):f}"


def _plain(value: Decimal, at_least: int = 0) -> str:
    """Without the column's trailing zeros, but with the currency's decimals."""
    trimmed = value.normalize()
    _sign, _digits, power = trimmed.as_tuple()
    if not isinstance(power, int) or -power < at_least:
        trimmed = value.quantize(Decimal(1).scaleb(-at_least))
    return f"{trimmed:f}"


def _totals(document: Document, places: int) -> dict[str, str]:
    return {
        "BT-106": _amount(document.lines_minor, places),
        "BT-107": _amount(document.allowances_minor, places),
        "BT-108": _amount(document.charges_minor, places),
        "BT-109": _amount(document.net_minor, places),
        "BT-110": _amount(document.tax_minor, places),
        "BT-112": _amount(document.gross_minor, places),
        "BT-113": _amount(document.prepaid_minor, places),
        "BT-114": _amount(document.rounding_minor, places),
        "BT-115": _amount(document.payable_minor, places),
    }


def _seller(document: Document) -> dict[str, Any]:
    seller = document.seller
    contact = {k: seller.get(k) for k in ("name", "email", "phone") if seller.get(k)}
    found = _party(seller, document.scheme) | {"contact": contact}
    if "vat_identifier" not in found:
        # A seller is still to be told apart (BR-CO-26): by its registration, else by its mail.
        known = seller.get("tax_id") or seller.get("email") or seller.get("name", "")
        found |= {"legal_identifier": known}
    return found


def _party(party: Mapping[str, str], scheme: str) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": party.get("name", ""),
        "addr_l1": party.get("street", ""),
        "postcode": party.get("postcode", ""),
        "city": party.get("city", ""),
        "country_code": party.get("country", ""),
    }
    number = party.get("tax_id", "")
    if number and scheme == Scheme.VAT:
        found["vat_identifier"] = number
    return found


def _taxes(components: list[dict[str, str]]) -> list[dict[str, str]]:
    return [
        {"BT-151": c["category"], "BT-152": c["percent"], "tax_name": c["name"]} for c in components
    ]


def _line(line: DocumentLine, places: int) -> dict[str, Any]:
    found: dict[str, Any] = {
        "BT-126": str(line.position),
        "BT-129": _plain(line.quantity),
        "BT-130": line.unit,
        "BT-131": _amount(line.net_minor, places),
        "BT-146": _plain(line.net_price, places),
        "BT-149": _plain(line.net_base),
        "BT-153": line.description,
        "BT-155": line.item_code,
        "taxes": _taxes(line.taxes),
    }
    if line.allowance_minor:
        found["BG-27"] = [{"amount": _amount(line.allowance_minor, places), "reason": "Discount"}]
    if line.charge_minor:
        found["BG-28"] = [{"amount": _amount(line.charge_minor, places), "reason": "Surcharge"}]
    return found


def _allowance(row: DocumentAllowance, places: int) -> dict[str, Any]:
    return {
        "amount": _amount(row.amount_minor, places),
        "reason": row.reason,
        "taxes": _taxes(row.taxes),
    }


def _breakdown(row: DocumentTax, places: int) -> dict[str, Any]:
    return {
        "BT-116": _amount(row.taxable_minor, places),
        "BT-117": _amount(row.tax_minor, places),
        "BT-118": row.category,
        "BT-119": _plain(row.percent),
        "BT-120": row.reason,
        "tax_name": row.name,
    }


def _preceding(document: Document) -> list[dict[str, Any]]:
    """The invoice a credit note corrects; the prepayment invoices a final one settles."""
    earlier = [document.corrects] if document.corrects else []
    settled = Document.objects.filter(settled_by__document=document).distinct().order_by("pk")
    if document.kind == DocumentKind.INVOICE:
        earlier += settled
    return [{"BT-25": d.label, "BT-26": d.issued_on} for d in earlier]


def _payment(document: Document) -> dict[str, Any]:
    iban = document.seller.get("iban", "")
    if not iban or document.kind == DocumentKind.CREDIT_NOTE:
        return {}
    return {
        "BT-81": TRANSFER if document.currency == "EUR" else OTHER_TRANSFER,
        "BT-83": document.reference,
        "BT-84": iban,
        "BT-85": document.seller.get("name", ""),
    }
