"""A second opinion on every document: the rules of EN 16931-1, read from the finished terms.

Shares no code with the arithmetic, and not even its numbers: everything is recomputed in
fractions from the strings a document will carry. Rule names are those of the CEN/TC 434
validation artefacts; the line rule is PEPPOL-EN16931-R120 of OpenPeppol's BIS Billing 3.
The published Schematron is lenient where these are not.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

NO_TAX = {"Z", "E", "AE", "K", "G", "O"}
NEEDS_REASON = {"E", "AE", "K", "G", "O"}
HALF = Fraction(1, 2)


def broken_rules(terms: Mapping[str, Any], *, places: int = 2, tax_unit: int = 1) -> list[str]:
    """Every rule the document breaks, in words; an empty list is a sound document.

    ``tax_unit``: so many minor units make the step that tax is rounded to.

    ``terms`` are business terms by number, amounts as strings in major units; lines under
    BG-25 (each with ``taxes``), breakdowns under BG-23, allowances BG-20, charges BG-21.
    """
    return [
        *_lines(terms, places),
        *_totals(terms),
        *_breakdowns(terms, places, tax_unit),
        *_categories(terms),
        *_parties(terms),
        *_corrections(terms),
        *_reverse_charge(terms),
        *_decimals(terms, places),
    ]


def _number(value: Any) -> Fraction:
    return Fraction(str(value)) if value not in (None, "") else Fraction(0)


def _half_up(value: Fraction, places: int) -> Fraction:
    scaled = abs(value) * 10**places
    whole = (scaled + HALF).__floor__()
    return Fraction(whole if value >= 0 else -whole, 10**places)


def _sum(rows: list[Mapping[str, Any]], key: str) -> Fraction:
    return sum((_number(row.get(key)) for row in rows), Fraction(0))


def _lines(terms: Mapping[str, Any], places: int) -> Iterator[str]:
    lines = terms.get("BG-25", [])
    if not lines:
        yield "BR-16: no line"
    for line in lines:
        name = f"line {line.get('BT-126')}"
        price, base = _number(line.get("BT-146")), _number(line.get("BT-149") or 1)
        if price < 0:
            yield f"BR-27: {name} has a negative price"
        if base <= 0:
            yield f"PEPPOL-EN16931-R121: {name} has a base quantity that is not positive"
            continue
        if not line.get("BT-153"):
            yield f"BR-25: {name} has no name"
        if not line.get("taxes"):
            yield f"BR-CO-4: {name} has no tax category"
        want = _half_up(_number(line.get("BT-129")) * price / base, places)
        want += _sum(line.get("BG-28", []), "amount") - _sum(line.get("BG-27", []), "amount")
        if want != _number(line.get("BT-131")):
            yield f"PEPPOL-EN16931-R120: {name} states {line.get('BT-131')}, not {float(want)}"


def _totals(terms: Mapping[str, Any]) -> Iterator[str]:
    def stated(key: str) -> Fraction:
        return _number(terms.get(key))

    sums = {
        "BR-CO-10": ("BT-106", _sum(terms.get("BG-25", []), "BT-131")),
        "BR-CO-11": ("BT-107", _sum(terms.get("BG-20", []), "amount")),
        "BR-CO-12": ("BT-108", _sum(terms.get("BG-21", []), "amount")),
        "BR-CO-13": ("BT-109", stated("BT-106") - stated("BT-107") + stated("BT-108")),
        "BR-CO-14": ("BT-110", _sum(terms.get("BG-23", []), "BT-117")),
        "BR-CO-15": ("BT-112", stated("BT-109") + stated("BT-110")),
        "BR-CO-16": ("BT-115", stated("BT-112") - stated("BT-113") + stated("BT-114")),
    }
    for rule, (term, want) in sums.items():
        if stated(term) != want:
            yield f"{rule}: {term} states {terms.get(term)}, not {float(want)}"


def _key(row: Mapping[str, Any], category: str, rate: str) -> tuple[str, Fraction, str]:
    return (row[category], _number(row.get(rate)), row.get("tax_name", ""))


def _breakdowns(terms: Mapping[str, Any], places: int, tax_unit: int) -> Iterator[str]:
    want: dict[tuple[str, Fraction, str], Fraction] = {}
    signed = [(line, _number(line.get("BT-131"))) for line in terms.get("BG-25", [])]
    signed += [(row, -_number(row.get("amount"))) for row in terms.get("BG-20", [])]
    signed += [(row, _number(row.get("amount"))) for row in terms.get("BG-21", [])]
    for row, amount in signed:
        for tax in row.get("taxes", []):
            key = _key(tax, "BT-151", "BT-152")
            want[key] = want.get(key, Fraction(0)) + amount
    rows = terms.get("BG-23", [])
    stated = [_key(row, "BT-118", "BT-119") for row in rows]
    if not rows:
        yield "BR-CO-18: no tax breakdown"
    if len(set(stated)) != len(stated):
        yield "BR-S-01: two breakdowns of one category and rate"
    for category, rate, _name in want.keys() ^ set(stated):
        yield f"BR-{category}-01: lines and breakdowns differ on {category} {float(rate)} %"
    for row, key in zip(rows, stated, strict=True):
        category = key[0]
        if key in want and want[key] != _number(row.get("BT-116")):
            yield f"BR-{category}-08: taxable {row.get('BT-116')}, not {float(want[key])}"
        exact = _number(row.get("BT-116")) * key[1] / 100
        tax = _half_up(exact / tax_unit, places) * tax_unit
        if tax != _number(row.get("BT-117")):
            yield f"BR-CO-17: tax {row.get('BT-117')} of {row.get('BT-116')}, not {float(tax)}"


def _categories(terms: Mapping[str, Any]) -> Iterator[str]:
    rows = terms.get("BG-23", [])
    categories = {row["BT-118"] for row in rows}
    if "O" in categories and len(categories) > 1:
        yield "BR-O-11: 'not subject to tax' stands beside another category"
    for row in rows:
        category, rate = row["BT-118"], _number(row.get("BT-119"))
        if category == "S" and rate <= 0:
            yield "BR-S-05: a standard rate is above zero"
        if category in NO_TAX and rate:
            yield f"BR-{category}-05: category {category} has rate {float(rate)}"
        has_reason = bool(row.get("BT-120") or row.get("BT-121"))
        if category in NEEDS_REASON and not has_reason:
            yield f"BR-{category}-10: category {category} gives no reason"
        if category in {"S", "Z"} and has_reason:
            yield f"BR-{category}-10: category {category} gives a reason for an exemption"


def _parties(terms: Mapping[str, Any]) -> Iterator[str]:
    for key, rule in (("BT-1", "BR-02"), ("BT-2", "BR-03"), ("BT-3", "BR-04"), ("BT-5", "BR-05")):
        if not terms.get(key):
            yield f"{rule}: {key} is missing"
    seller, buyer = terms.get("BG-4", {}), terms.get("BG-7", {})
    for party, name, country in ((seller, "BR-06", "BR-09"), (buyer, "BR-07", "BR-11")):
        if not party.get("name"):
            yield f"{name}: a party has no name"
        if not party.get("country_code"):
            yield f"{country}: a party's address has no country"
    taxed = {row["BT-118"] for row in terms.get("BG-23", [])} & {"S", "Z", "E"}
    if terms.get("scheme") == "vat" and taxed and not seller.get("vat_identifier"):
        yield "BR-S-02: tax is shown and the seller has no tax number"
    if not (seller.get("vat_identifier") or seller.get("legal_identifier")):
        yield "BR-CO-26: nothing identifies the seller"
    if _number(terms.get("BT-115")) > 0 and not (terms.get("BT-9") or terms.get("BT-20")):
        yield "BR-CO-25: something is payable, and no due date or terms say when"


def _reverse_charge(terms: Mapping[str, Any]) -> Iterator[str]:
    if any(row["BT-118"] == "AE" for row in terms.get("BG-23", [])):
        for group in ("BG-4", "BG-7"):
            if not terms.get(group, {}).get("vat_identifier"):
                yield "BR-AE-02: reverse charge needs the VAT numbers of both"


def _corrections(terms: Mapping[str, Any]) -> Iterator[str]:
    if terms.get("BT-3") == "381" and not terms.get("BG-3"):
        yield "a credit note names the invoice it corrects (Directive 2006/112/EC, article 219)"


def _decimals(terms: Mapping[str, Any], places: int) -> Iterator[str]:
    amounts = [(key, terms.get(key)) for key in (f"BT-{n}" for n in range(106, 116))]
    for group in ("BG-25", "BG-23", "BG-20", "BG-21"):
        for row in terms.get(group, []):
            amounts += [(key, row.get(key)) for key in ("BT-131", "BT-116", "BT-117", "amount")]
    for key, value in amounts:
        if value not in (None, "") and (_number(value) * 10**places).denominator != 1:
            yield f"BR-DEC: {key} {value} has more decimals than the currency"
