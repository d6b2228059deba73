"""The square code a banking app reads: EPC069-12, quick response code for credit transfers."""

from decimal import Decimal

import segno
from segno import helpers


def offered(*, currency: str, payable: int, iban: str) -> bool:
    """The code exists for euros only, and there must be something to pay to somewhere."""
    return currency == "EUR" and payable > 0 and bool(iban)


def payment_code(
    *,
    name: str,
    iban: str,
    amount: Decimal,
    reference: str = "",
    text: str = "",
    bic: str = "",
    purpose: str = "",
) -> segno.QRCode:
    """Version 002, UTF-8, error correction M. ``reference`` (ISO 11649) or ``text``, not both.

    Raises ValueError where the guideline forbids it (amount 0.01 to 999999999.99, name to 70).
    """
    return helpers.make_epc_qr(
        name=name[:70],
        iban=iban,
        amount=amount,
        reference=reference or None,
        text=text or None,
        bic=bic or None,
        purpose=purpose or None,
        encoding="utf-8",
    )


def payment_code_svg(code: segno.QRCode) -> str:
    """Inline SVG, black on white whatever the colours of the page."""
    return code.svg_inline(scale=3, border=4, dark="#000", light="#fff", svgclass="payment-code")
