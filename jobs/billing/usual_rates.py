"""The usual rate of value added tax by country, to be confirmed by whoever uses it.

Given from memory, as of 2026, and no law: rates change, and some work has another. The page
that offers one says so and asks for a look at the adviser's. A country that is not here has
none we are sure enough of.
"""

from decimal import Decimal

USUAL_RATES = {
    "AT": "20", "AU": "10", "BE": "21", "BG": "20", "CH": "8.1", "CY": "19", "CZ": "21",
    "DE": "19", "DK": "25", "EE": "24", "ES": "21", "FI": "25.5", "FR": "20", "GB": "20",
    "GR": "24", "HR": "25", "HU": "27", "IE": "23", "IS": "24", "IT": "22", "LT": "21",
    "LU": "17", "LV": "21", "MT": "18", "NL": "21", "NO": "25", "NZ": "15", "PL": "23",
    "PT": "23", "RO": "21", "SE": "25", "SI": "22", "SK": "23", "ZA": "15",
}  # fmt: skip
SALES_TAX_COUNTRIES = frozenset({"US", "CA"})


def usual_rate(country: str) -> Decimal | None:
    """Percent; None: not known."""
    found = USUAL_RATES.get(country.upper())
    return Decimal(found) if found else None
