import pytest

from jobs.billing.reference import creditor_reference, iban_cleaned


def test_the_published_reference_comes_out_of_its_body():
    """RF18 5390 0754 7034, valid, with RF17... invalid: documentation of python-stdnum,
    stdnum.iso11649; also the reference of example 1 in EPC069-12."""
    assert creditor_reference("539007547034") == "RF18539007547034"
    assert creditor_reference("INV-2026/0042").startswith("RF")


@pytest.mark.parametrize("text", ["", "---", "X" * 22])
def test_a_body_of_nothing_or_too_much_is_refused(text):
    with pytest.raises(ValueError, match="creditor reference"):
        creditor_reference(text)


def test_an_iban_with_a_wrong_digit_is_refused():
    """DE89 3704 0044 0532 0130 00 is the example of the IBAN registry, SWIFT."""
    assert iban_cleaned("de89 3704 0044 0532 0130 00") == "DE89370400440532013000"
    with pytest.raises(ValueError, match="digit is wrong"):
        iban_cleaned("DE89 3704 0044 0532 0130 01")
