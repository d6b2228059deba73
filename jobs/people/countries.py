"""Countries by name, and what usually goes with one: currency, time zones, units of pressure.

Names and currencies are those of the Unicode CLDR, as the library babel has them, time zones
those of the IANA's tzdata; a country itself is kept as its ISO 3166-1 code of two letters.
"""

import unicodedata
from functools import cache
from importlib.resources import files

from babel import Locale, UnknownLocaleError
from babel.numbers import get_territory_currencies
from iso4217 import Currency

# In CLDR's list and no country: parts of one, groups of many, and codes for tests.
NO_COUNTRIES = frozenset(
    {"AC", "CP", "CQ", "DG", "EA", "EU", "EZ", "IC", "QO", "TA", "UN", "XA", "XB", "ZZ"}
)
ISO_CURRENCIES = frozenset(c.code for c in Currency if c.exponent is not None)
# Common practice, no source: gauges are read in psi here, in bar elsewhere.
PSI_COUNTRIES = frozenset({"AU", "CA", "GB", "GG", "IE", "IM", "JE", "NZ", "US", "ZA"})
# CLDR's unitPreferenceData for weather temperatures, given from memory.
FAHRENHEIT_COUNTRIES = frozenset({"BS", "BZ", "KY", "PR", "PW", "US"})


def _locale(language: str) -> Locale:
    try:
        return Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale("en")


@cache
def country_names(language: str) -> dict[str, str]:
    """Every country's name in a language, by its code, in the order of the names."""
    found = {
        code: str(name)
        for code, name in _locale(language).territories.items()
        if len(code) == 2 and code.isalpha() and code not in NO_COUNTRIES
    }
    return dict(sorted(found.items(), key=lambda pair: _plain(pair[1])))


def _plain(name: str) -> str:
    """Åland beside Albania: as people look a name up."""
    decomposed = unicodedata.normalize("NFKD", name)
    return "".join(c for c in decomposed if not unicodedata.combining(c)).casefold()


def country_name(code: str, language: str) -> str:
    """The country's name; a code nobody knows stays as it is."""
    return country_names(language).get(code.upper(), code)


def country_code(typed: str, *languages: str) -> str:
    """The code of a country named by code or by name, in English or one of the languages.

    Empty: there is no such country.
    """
    wanted = _plain(typed.strip())
    for language in ("en", *languages):
        for code, name in country_names(language).items():
            if wanted in (code.casefold(), _plain(name)):
                return code
    return ""


def currency_of(code: str) -> str:
    """The ISO 4217 code of a country's money today.

    Empty where CLDR has none, or one that ISO 4217 has given up since.
    """
    known = (money for money in get_territory_currencies(code) if money in ISO_CURRENCIES)
    return next(known, "")


@cache
def zones_by_country() -> dict[str, list[str]]:
    """The IANA time zones of each country, the most peopled first, as tzdata's zone.tab says."""
    table = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    found: dict[str, list[str]] = {}
    for line in table.splitlines():
        if not line.startswith("#"):
            code, _place, zone = line.split("\t")[:3]
            found.setdefault(code, []).append(zone)
    return found


def pressure_unit_of(code: str) -> str:
    return "psi" if code in PSI_COUNTRIES else "bar"


def temperature_unit_of(code: str) -> str:
    return "degF" if code in FAHRENHEIT_COUNTRIES else "degC"


@cache
def currency_names(language: str) -> dict[str, str]:
    """Currencies in use today with their names in a language, in the order of the names."""
    names = _locale(language).currencies
    codes = {currency_of(code) for code in country_names("en")} - {""}
    found = {code: str(names.get(code, code)) for code in codes}
    return dict(sorted(found.items(), key=lambda pair: _plain(pair[1])))
