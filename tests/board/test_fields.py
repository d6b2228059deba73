"""Numbers as a form takes them."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from jobs.board.fields import DecimalCommaField
from jobs.people.models import Business
from jobs.setups.measures import unit_shown, unit_typed


def test_a_decimal_comma_is_a_decimal_point():
    assert DecimalCommaField().clean("2,5") == Decimal("2.5")
    assert DecimalCommaField().clean("0") == 0


@pytest.mark.parametrize("typed", ["1e999999", "-1e31", "1e-999999", "NaN", "inf", "many"])
def test_a_number_nobody_can_mean_is_refused(typed):
    with pytest.raises(ValidationError):
        DecimalCommaField().clean(typed)


def test_a_page_shown_again_offers_the_units_there_are():
    """The number is not read in a unit that its form did not say: it was refused."""
    business = Business(pressure_unit="psi")
    assert unit_shown("pressure", {"unit_pressure": "kPa"}, business) == "kPa"
    for said in ("9" * 5000, "mm"):
        assert unit_shown("pressure", {"unit_pressure": said}, business) == "psi"
        assert unit_typed("pressure", {"unit_pressure": said}, business) == said
