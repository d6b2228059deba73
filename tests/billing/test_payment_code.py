"""The payment code, read back by a second library (ZXing's C++ reader).

Examples 1 and 2 of EPC069-12 v2.1, "Quick Response Code: Guidelines to Enable Data Capture
for the Initiation of a SEPA Credit Transfer", with the lengths segno's own tests cite: 96
bytes, and 103 where the second is written in ISO 8859-1 (104 in the UTF-8 used here).
"""

import io
from decimal import Decimal

import pytest
import zxingcpp
from PIL import Image

from jobs.billing.payment_code import offered, payment_code, payment_code_svg

BIC = "BHBLDEHH" + 3 * "X"
EXAMPLE_1 = (
    f"BCD\n002\n1\nSCT\n{BIC}\nFranz Mustermänn\nDE71110220330123456789\n"
    "EUR12.3\nGDDS\nRF18539007547034"
)
EXAMPLE_2 = (
    "BCD\n002\n1\nSCT\n\nFrançois D'Alsace S.A.\nFR1420041010050500013M02606\n"
    "EUR12.3\n\n\nClient:Marie Louise La Lune"
)


def read(code) -> str:
    picture = io.BytesIO()
    code.save(picture, kind="png", scale=6)
    found = zxingcpp.read_barcodes(Image.open(picture))
    assert len(found) == 1
    return found[0].text


def test_example_1_read_back_by_another_library():
    assert len(EXAMPLE_1.encode()) == 96
    code = payment_code(
        name="Franz Mustermänn",
        iban="DE71110220330123456789",
        amount=Decimal("12.30"),
        reference="RF18539007547034",
        bic=BIC,
        purpose="GDDS",
    )
    assert read(code) == EXAMPLE_1
    assert code.error == "M"


def test_example_2_read_back_by_another_library():
    assert (len(EXAMPLE_2.encode("iso-8859-1")), len(EXAMPLE_2.encode())) == (103, 104)
    code = payment_code(
        name="François D'Alsace S.A.",
        iban="FR1420041010050500013M02606",
        amount=Decimal("12.3"),
        text="Client:Marie Louise La Lune",
    )
    assert read(code) == EXAMPLE_2


def test_the_payment_code_is_for_euros_above_zero_and_an_account_only():
    assert offered(currency="EUR", payable=1, iban="DE71110220330123456789")
    assert not offered(currency="SEK", payable=1, iban="DE71110220330123456789")
    assert not offered(currency="EUR", payable=0, iban="DE71110220330123456789")
    assert not offered(currency="EUR", payable=1, iban="")
    with pytest.raises(ValueError, match="amount"):
        payment_code(name="A", iban="DE71110220330123456789", amount=Decimal(0), text="x")


def test_the_picture_carries_no_style():
    code = payment_code(name="A", iban="DE71110220330123456789", amount=Decimal(1), text="x")
    assert "style" not in payment_code_svg(code)
