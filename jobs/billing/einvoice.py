"""The electronic invoice: Cross Industry Invoice of EN 16931, alone or inside a PDF/A-3b.

The one module that knows factur-x (pinned at 7.8: its dictionary changed four times in a
year). Amounts go in as strings, the dictionary is made afresh because the library writes
into it, and its own Schematron switch is off (it would ask a server on a local port and
quietly skip); the tests run the published Schematron themselves.
"""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from .business_terms import business_terms
from .enums import TAX_DOCUMENTS, Scheme
from .models import Document

HEAD = [
    "BT-1",
    "BT-2",
    "BT-3",
    "BT-5",
    "BT-9",
    "BT-20",
    "BT-72",
    "BT-81",
    "BT-83",
    "BT-84",
    "BT-85",
    "BG-3",
]
TOTALS = tuple(f"BT-{n}" for n in (106, 107, 108, 109, 110, 112, 113, 114, 115))
OPTIONAL_TOTALS = {"BT-107", "BT-108", "BT-113", "BT-114"}


def offered(document: Document) -> bool:
    """Only tax documents under a VAT scheme; "not registered" is one, with category O."""
    return document.kind in TAX_DOCUMENTS and document.scheme != Scheme.SALES_TAX


def cii_xml(document: Document) -> bytes:
    """The invoice as XML, checked against the schema. ValidationError where none is offered."""
    if not offered(document):
        raise ValidationError(_("An electronic invoice is made for VAT invoices only."))
    from facturx import generate_cii_xml

    xml: bytes = generate_cii_xml(
        library_terms(business_terms(document)),
        level="en16931",
        check_xsd=True,
        check_schematron=None,
    )
    return xml


def pdf_with_xml(pdf: bytes, xml: bytes, *, language: str) -> bytes:
    """A PDF/A-3b with the XML embedded, as factur-x and ZUGFeRD readers expect it."""
    from facturx import generate_from_binary

    combined: bytes = generate_from_binary(
        pdf,
        xml,
        flavor="factur-x",
        level="en16931",
        check_xsd=False,
        check_schematron=False,
        lang=language,
    )
    return combined


def library_terms(terms: Mapping[str, Any]) -> dict[str, Any]:
    """Our terms in the layout factur-x 7.8 reads; empty ones are left out."""
    found = {key: terms[key] for key in HEAD if terms.get(key)}
    for key in TOTALS:
        if key not in OPTIONAL_TOTALS or float(terms[key]):
            found[key] = terms[key]
    if all(row["BT-118"] == "O" for row in terms["BG-23"]):
        # Outside the scope of tax: the seller has no VAT number to show (BR-O-02).
        terms = {**terms, "BG-7": {k: v for k, v in terms["BG-7"].items() if k != "vat_identifier"}}
    found["BG-4"] = _party(terms["BG-4"])
    found["BG-7"] = _party(terms["BG-7"])
    found["BG-25"] = [_line(line) for line in terms["BG-25"]]
    found["BG-23"] = [_breakdown(row) for row in terms["BG-23"]]
    for group in ("BG-20", "BG-21"):
        if terms.get(group):
            found[group] = [_allowance(row) for row in terms[group]]
    return found


def _party(party: Mapping[str, Any]) -> dict[str, Any]:
    found = {key: value for key, value in party.items() if value and key != "contact"}
    contact = party.get("contact")
    if contact and len(contact) > 1:
        found["contacts"] = [dict(contact)]
    return found


def _line(line: Mapping[str, Any]) -> dict[str, Any]:
    (tax,) = line["taxes"]
    found = {key: value for key, value in line.items() if key.startswith("BT-") and value}
    found["BT-151"] = tax["BT-151"]
    if tax["BT-151"] != "O":
        found["BT-152"] = tax["BT-152"]
    for group in ("BG-27", "BG-28"):
        if line.get(group):
            found[group] = [dict(row) for row in line[group]]
    return found


def _breakdown(row: Mapping[str, Any]) -> dict[str, Any]:
    found = {key: value for key, value in row.items() if key.startswith("BT-") and value}
    if found["BT-118"] == "O":
        found.pop("BT-119", None)
    return found


def _allowance(row: Mapping[str, Any]) -> dict[str, Any]:
    (tax,) = row["taxes"]
    found = {"amount": row["amount"], "reason": row["reason"], "vat_category_code": tax["BT-151"]}
    if tax["BT-151"] != "O":
        found["vat_rate"] = tax["BT-152"]
    return found
