"""An amount of money: whole minor units (cents) and an ISO 4217 currency. Never a float."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction
from functools import cache
from math import floor

from babel.numbers import format_currency
from iso4217 import Currency


@cache
def exponent(currency: str) -> int:
    """Decimal places of a currency's minor unit: EUR 2, JPY 0, KWD 3.

    Raises ValueError for a code ISO 4217 does not know or gives no minor unit.
    """
    try:
        places = Currency(currency).exponent
    except ValueError:
        places = None
    if places is None:
        raise ValueError(f"{currency!r} is not a currency of ISO 4217 with a minor unit")
    return places


def to_minor(amount: Decimal, places: int) -> int:
    """Major units to whole minor units, a half rounded away from zero (EN 16931-1, 6.5)."""
    return int(amount.scaleb(places).to_integral_value(ROUND_HALF_UP))


def to_major(minor: int, places: int) -> Decimal:
    return Decimal(minor).scaleb(-places)


def apportion(total: int, shares: Sequence[Fraction | Decimal | int]) -> list[int]:
    """Whole parts of ``total``, as near to ``shares`` as whole numbers come.

    Largest remainder: every share is rounded down, what is left goes one by one to the
    largest remainders, the earlier of two equals first. ``shares`` are exact and add up to
    ``total`` or less than one away from it (a total that was rounded itself).

    >>> apportion(100, [Fraction(100, 3)] * 3)
    [34, 33, 33]
    """
    exact = [Fraction(share) for share in shares]
    parts = [floor(share) for share in exact]
    left = total - sum(parts)
    if not 0 <= left <= len(parts):
        raise ValueError(f"shares adding up to {sum(exact)} cannot be parts of {total}")
    order = sorted(range(len(parts)), key=lambda i: (parts[i] - exact[i], i))
    for i in order[:left]:
        parts[i] += 1
    return parts


@dataclass(frozen=True)
class Money:
    minor: int
    currency: str

    @classmethod
    def of(cls, amount: Decimal | str | int, currency: str) -> Money:
        """From major units. More decimals than the currency has are refused, not rounded."""
        try:
            value = Decimal(amount)
            minor = to_minor(value, exponent(currency))
        except InvalidOperation:
            raise ValueError(f"{amount!r} is not an amount of money") from None
        if to_major(minor, exponent(currency)) != value:
            raise ValueError(f"{amount} has more decimals than {currency} has minor units")
        return cls(minor, currency)

    @property
    def amount(self) -> Decimal:
        return to_major(self.minor, exponent(self.currency))

    def __add__(self, other: Money) -> Money:
        return Money(self.minor + self._same(other), self.currency)

    def __sub__(self, other: Money) -> Money:
        return Money(self.minor - self._same(other), self.currency)

    def __neg__(self) -> Money:
        return Money(-self.minor, self.currency)

    def __bool__(self) -> bool:
        return self.minor != 0

    def split(self, ways: int) -> list[Money]:
        """Equal parts that add up to the whole, to the cent."""
        if ways < 1:
            raise ValueError("an amount is split among at least one")
        parts = apportion(self.minor, [Fraction(self.minor, ways)] * ways)
        return [Money(part, self.currency) for part in parts]

    def text(self, language: str = "en") -> str:
        """For people, in the language's own way of writing it; never parsed back."""
        return format_currency(self.amount, self.currency, locale=language.replace("-", "_"))

    def _same(self, other: Money) -> int:
        if other.currency != self.currency:
            raise ValueError(f"{self.currency} and {other.currency} do not add up")
        return other.minor
