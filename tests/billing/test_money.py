from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.billing.money import Money, apportion, exponent, to_minor


def test_the_minor_unit_is_the_currencys_own():
    """ISO 4217:2015, table A.1: EUR 2, JPY 0, KWD 3; XAU (gold) has none."""
    assert [exponent(code) for code in ("EUR", "JPY", "KWD")] == [2, 0, 3]
    for code in ("XAU", "EURO", ""):
        with pytest.raises(ValueError, match="ISO 4217"):
            exponent(code)


def test_a_half_is_rounded_away_from_zero():
    """EN 16931-2 example 2 needs it: 365.125 -> 365.13."""
    assert [to_minor(Decimal(v), 2) for v in ("365.125", "-365.125", "0.005", "0.0049")] == [
        36513,
        -36513,
        1,
        0,
    ]


def test_amounts_of_two_currencies_do_not_add_up():
    assert Money.of("1.10", "EUR") + Money.of("2.20", "EUR") == Money(330, "EUR")
    assert Money.of("1.10", "EUR") - Money.of("2.20", "EUR") == -Money(110, "EUR")
    assert Money.of("500", "JPY") == Money(500, "JPY")
    with pytest.raises(ValueError, match="do not add up"):
        Money(1, "EUR") + Money(1, "SEK")


def test_what_is_no_amount_is_refused_and_nothing_is_rounded_on_the_way_in():
    for text in ("1.005", "ten", ""):
        with pytest.raises(ValueError, match=r"minor units|not an amount"):
            Money.of(text, "EUR")


def test_it_is_written_as_the_reader_writes_it():
    """CLDR, by Babel: English and German."""
    assert Money.of("1234.5", "EUR").text("en") == "€1,234.50"
    assert Money.of("1234.5", "EUR").text("de") == "1.234,50\xa0€"


def test_cents_that_cannot_be_divided_go_to_the_first_parts():
    assert Money.of("100.00", "EUR").split(3) == [
        Money(3334, "EUR"),
        Money(3333, "EUR"),
        Money(3333, "EUR"),
    ]
    assert apportion(10, [Fraction(9, 2), Fraction(9, 2), Fraction(1)]) == [5, 4, 1]
    with pytest.raises(ValueError, match="cannot be parts"):
        apportion(10, [Fraction(1), Fraction(2)])


@given(st.integers(-(10**9), 10**9), st.integers(1, 60))
def test_a_split_loses_no_cent_and_is_fair(minor, ways):
    parts = [part.minor for part in Money(minor, "EUR").split(ways)]
    assert sum(parts) == minor
    assert max(parts) - min(parts) <= 1
