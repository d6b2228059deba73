"""XML elements: texts cut to the length their type allows, amounts in major units."""

import re
from decimal import Decimal
from xml.etree.ElementTree import Element, SubElement

from ..money import to_major

SHORT, MIDDLE_1, MIDDLE_2, LONG = 18, 35, 70, 256  # SAFshorttextType and so on
CODE = 9  # SAFcodeType
# What XML 1.0 cannot carry.
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def text(parent: Element, name: str, value: object, most: int = LONG) -> None:
    """One element with a text; nothing where there is none."""
    words = CONTROL.sub("", " ".join(str(value).split()))[:most]
    if words:
        SubElement(parent, name).text = words


def money(parent: Element, name: str, minor: int, places: int) -> None:
    SubElement(parent, name).text = f"{to_major(minor, places):f}"


def amount(parent: Element, name: str, minor: int, places: int) -> None:
    """An AmountStructure, in the file's one currency."""
    money(SubElement(parent, name), "Amount", minor, places)


def number(parent: Element, name: str, value: Decimal) -> None:
    SubElement(parent, name).text = f"{value.normalize():f}"


def address(parent: Element, name: str, party: dict[str, str]) -> None:
    place = SubElement(parent, name)
    text(place, "StreetName", party.get("street", ""), MIDDLE_2)
    text(place, "City", party.get("city", "") or "-", MIDDLE_1)
    text(place, "PostalCode", party.get("postcode", "") or "-", SHORT)
    text(place, "Country", party.get("country", ""), 2)
