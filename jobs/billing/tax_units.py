"""What tax is rounded to in a currency: its minor unit, or more (``data/tax_units.toml``)."""

import tomllib
from functools import cache
from pathlib import Path

DATA = Path(__file__).with_name("data") / "tax_units.toml"


@cache
def tax_rules() -> dict[str, dict[str, str | int]]:
    """By currency: how many minor units, the rule in words, where it is from."""
    return tomllib.loads(DATA.read_text(encoding="utf-8"))


def tax_unit(currency: str) -> int:
    """Minor units that the tax of each rate on a document is rounded to."""
    rule = tax_rules().get(currency)
    return int(rule["units"]) if rule else 1
