"""Countries by name, checked against the tables of the IANA's tzdata."""

from importlib.resources import files
from zoneinfo import available_timezones

import pytest
from iso4217 import Currency

from jobs.people import countries


def table(name: str) -> list[list[str]]:
    text = (files("tzdata") / "zoneinfo" / name).read_text(encoding="utf-8")
    return [line.split("\t") for line in text.splitlines() if not line.startswith("#")]


def test_the_countries_are_those_of_iso_3166_and_kosovo():
    """Source: ISO 3166-1 as tzdata's iso3166.tab has it; XK is the EU's own code for Kosovo."""
    iso = {row[0] for row in table("iso3166.tab")}
    assert set(countries.country_names("en")) == iso | {"XK"}


def test_names_are_in_the_language_asked_for_and_in_the_order_people_look():
    german = countries.country_names("de")
    assert (german["AT"], german["DE"]) == ("Österreich", "Deutschland")
    assert list(countries.country_names("en").values())[:2] == ["Afghanistan", "Åland Islands"]
    assert countries.country_name("IE", "xx-none") == "Ireland"


@pytest.mark.parametrize(
    ("typed", "code"),
    [("Ireland", "IE"), ("ie", "IE"), ("Österreich", "AT"), ("osterreich", "AT"), ("Narnia", "")],
)
def test_a_country_is_known_by_code_and_by_name(typed, code):
    assert countries.country_code(typed, "de") == code


def test_every_currency_has_a_minor_unit_in_iso_4217():
    codes = countries.currency_names("en")
    assert {"EUR", "GBP", "CHF", "USD", "JPY"} <= set(codes)
    assert [code for code in codes if Currency(code).exponent is None] == []


def test_every_time_zone_exists_and_the_most_peopled_stands_first():
    zones = countries.zones_by_country()
    assert {zone for found in zones.values() for zone in found} <= available_timezones()
    assert (zones["ES"][0], zones["US"][0], zones["IE"]) == (
        "Europe/Madrid", "America/New_York", ["Europe/Dublin"],
    )  # fmt: skip
