"""An adjuster's position can be read in one way only."""

from decimal import Decimal

import pytest

from jobs.garage import words
from jobs.garage.models import Adjuster

CLICKER = {
    "end": "rear",
    "leg": "both",
    "function": "rebound",
    "highest": Decimal(20),
    "lowest": Decimal(0),
}
FROM_OPEN = {**CLICKER, "origin": "open", "firming": "up"}
REVERSED = {**CLICKER, "firming": "up"}
TURNS = {**CLICKER, "function": "preload", "unit": "turn", "origin": "open", "firming": "up"}
MARKS = {**CLICKER, "unit": "mark", "origin": "mark"}
TYRE = {**CLICKER, "function": "tyre_pressure", "unit": "psi", "origin": "zero", "firming": "up"}
MODE = {
    **CLICKER,
    "unit": "label",
    "labels": ["Rain", "Road"],
    "origin": "zero",
    "highest": Decimal(1),
}
FORK = {**CLICKER, "end": "front", "leg": "left"}


@pytest.mark.parametrize(
    ("fields", "value", "long", "short"),
    [
        (CLICKER, "11", "11 clicks out from closed", "11 out"),
        (CLICKER, "1", "1 click out from closed", "1 out"),
        (FROM_OPEN, "5", "5 clicks in from open", "5 in"),
        (TURNS, "1.5", "1½ turns in from open", "1½ turns in"),
        (TURNS, "0.25", "¼ turn in from open", "¼ turn in"),
        (MARKS, "3", "3 marks from the mark", "3 marks"),
        (TYRE, "32.500", "32.5 psi", "32.5 psi"),
        (MODE, "1", "Road", "Road"),
    ],
)
def test_position(fields, value, long, short):
    adjuster = Adjuster(**fields)
    assert words.position(adjuster, Decimal(value)) == long
    assert words.position_short(adjuster, Decimal(value)) == short


@pytest.mark.parametrize(
    ("fields", "from_", "to", "said"),
    [
        (CLICKER, 14, 11, "3 clicks firmer"),
        (CLICKER, 11, 12, "1 click softer"),
        (FROM_OPEN, 5, 8, "3 clicks firmer"),
        (REVERSED, 5, 8, "3 clicks firmer"),
        (TURNS, 3, 2, "1 turn softer"),
        (TYRE, 32, 31, "1 psi lower"),
        (MODE, 0, 1, "was Rain"),
        (CLICKER, 4, 4, "unchanged"),
    ],
)
def test_difference(fields, from_, to, said):
    assert words.difference(Adjuster(**fields), Decimal(from_), Decimal(to)) == said


@pytest.mark.parametrize(
    ("fields", "ends"),
    [
        (CLICKER, ("closed, firm", "20, soft")),
        (REVERSED, ("closed, soft", "20, firm")),
        (FROM_OPEN, ("closed 20, firm", "open, soft")),
        ({**CLICKER, "lowest": Decimal(1), "first_click": 1}, ("closed 1, firm", "20, soft")),
        (TYRE, ("0", "20 psi")),
    ],
)
def test_the_ruler_says_its_own_ends(fields, ends):
    assert words.end_words(Adjuster(**fields)) == ends


@pytest.mark.parametrize(
    ("fields", "more", "less"),
    [
        (CLICKER, "out, softer", "in, firmer"),
        (FROM_OPEN, "in, firmer", "out, softer"),
        (REVERSED, "out, firmer", "in, softer"),
        (TYRE, "higher", "lower"),
    ],
)
def test_what_the_hand_does(fields, more, less):
    adjuster = Adjuster(**fields)
    assert (words.turning(adjuster, more=True), words.turning(adjuster, more=False)) == (more, less)


def test_the_leg_is_named_where_there_are_two():
    assert words.adjuster_name(Adjuster(**FORK)) == "Front rebound, left leg"
    assert words.adjuster_name(Adjuster(**CLICKER)) == "Rear rebound"
    assert words.adjuster_name(Adjuster(**{**TYRE, "end": "front"})) == "Front tyre pressure"
