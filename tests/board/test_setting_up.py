"""Setting a bike up on a phone: a known model under 20 s, an unknown one under 3 minutes.

The gestures are really made and counted; the seconds are the keystroke-level model's
(``tests/klm.py``: TaskCard, Moran, Newell 1983, operator times from memory). Turning the
adjusters to count them is the hand's work on the bike, and not in it.
"""

import json

import pytest
from django.urls import reverse

from jobs.garage.services import sheets_import
from jobs.garage.sheet_files import sheets_from_json
from jobs.setups import selectors
from tests.klm import Gestures
from tests.shape.source import ROOT

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SHEETS = ROOT / "fixtures" / "model_sheets.json"


@pytest.fixture
def hands(phone) -> Gestures:
    return Gestures(phone.page)


@pytest.fixture
def entry(day):
    """A bike of the commonest model of the business's sheets, with nothing known of it yet."""
    listed = json.dumps({"model_sheets": json.loads(SHEETS.read_text())})
    sheets_import(sheets=sheets_from_json(listed.encode()))
    entry = day.entries[0]
    entry.bike.adjusters.all().delete()
    entry.bike.make, entry.bike.model = "Corvane", "650 R"
    entry.bike.save()
    return entry


def type_counts(phone, hands: Gestures, numbers: list[str]) -> None:
    """Into the first field by a tap, from one to the next with the keyboard's own Next."""
    hands.tap(".counts input")
    for n, number in enumerate(numbers):
        if n:
            phone.page.keyboard.press("Tab")
        phone.page.keyboard.type(number)


def test_a_known_model_is_set_up_in_two_taps(phone, hands, entry):
    phone.open(reverse("board:sheet", args=[entry.pk]))
    hands.start()
    hands.tap("text=Set the bike up")
    hands.tap("button:has-text('Corvane 650 R')")
    phone.page.wait_for_selector(".counts input")
    made = hands.made()
    assert (made.taps, made.keys, made.swipes) == (2, 0, 0)
    assert made.seconds < 20
    assert entry.bike.adjusters.count() == 12


def test_its_ten_counts_are_one_page_of_numbers(phone, hands, entry):
    """Set-up and every first count together: what is typed takes less than counting does."""
    phone.open(reverse("board:sheet", args=[entry.pk]))
    hands.start()
    hands.tap("text=Set the bike up")
    hands.tap("button:has-text('Corvane 650 R')")
    phone.page.wait_for_selector(".counts input")
    type_counts(phone, hands, ["10", "10", "9", "9", "5", "5", "3", "12", "10", "8"])
    hands.tap("button:has-text('Counted')")
    phone.page.wait_for_selector("#notices >> text=10 adjusters counted.")
    made = hands.made()
    assert (made.taps, made.pages) == (4, 3)
    assert made.seconds < 60
    counted = [s.position for s in selectors.standings_of_entry(entry) if not s.is_pressure]
    assert counted == [10, 10, 9, 9, 5, 5, 3, 12, 10, 8]


# What an unknown road bike turned out to have: a fork with legs of their own, a shock.
HAS = {
    "front-rebound": "legs", "front-compression": "legs", "front-preload": "legs",
    "front-tube_height": "one", "front-tyre_pressure": "one", "rear-rebound": "one",
    "rear-compression": "one", "rear-preload": "one", "rear-tyre_pressure": "one",
}  # fmt: skip
RANGES = {"front-rebound": "26", "front-compression": "26", "front-preload": "15"}
COUNTS = ["10", "10", "9", "9", "5", "5", "3", "12", "10", "8"]


def test_an_unknown_bike_is_set_up_and_counted_within_three_minutes(phone, hands, entry):
    phone.open(reverse("board:sheet", args=[entry.pk]))
    hands.start()
    hands.tap("text=Set the bike up")
    for code, value in HAS.items():
        hands.tap(f"label.pick:has([name='has-{code}'][value={value}])")
    for code, highest in RANGES.items():
        hands.tap(f"[name='highest-{code}']")
        phone.page.keyboard.press("Backspace")
        phone.page.keyboard.press("Backspace")
        phone.page.keyboard.type(highest)
    hands.tap("button:has-text('Set up, then count')")
    phone.page.wait_for_selector(".counts input")
    type_counts(phone, hands, COUNTS)
    hands.tap("button:has-text('Counted')")
    phone.page.wait_for_selector("#notices >> text=10 adjusters counted.")
    made = hands.made()
    assert made.taps == 1 + len(HAS) + len(RANGES) + 1 + 1 + 1
    assert made.seconds < 3 * 60
    bike = entry.bike.adjusters
    assert bike.count() == 12
    assert bike.get(function="rebound", leg="left").highest == 26
