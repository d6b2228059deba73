"""How many gestures the work takes, and how long a trained hand needs for them.

The seconds are the keystroke-level model's (``tests/klm.py``), worked out from what was
really tapped, with its operator times from memory.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.advice.selectors import catalogue, expected_of
from jobs.garage.models import Adjuster
from jobs.setups.models import Adjustment, Expectation, Measurement
from tests.acts.doing import do, task_now
from tests.board.test_round import tick
from tests.days import local
from tests.klm import Gestures
from tests.setups.writing import count, rear_rebound

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture
def hands(phone) -> Gestures:
    return Gestures(phone.page)


def sheet_of(entry) -> str:
    return reverse("board:sheet", args=[entry.pk])


def softer(hands: Gestures, adjuster: Adjuster) -> None:
    hands.tap(f"#adjuster-{adjuster.pk}")
    hands.tap("label.pick:has-text('+2')")


def test_a_change_with_its_expectation_is_three_taps(phone, hands, day, tuner):
    entry = day.entries[0]
    count(tuner, entry, 14)
    phone.open(sheet_of(entry))
    hands.start()
    softer(hands, rear_rebound(entry))
    offered = phone.page.locator(".then.up button")
    words = offered.first.inner_text()
    assert phone.page.locator(".then.down button").first.is_hidden()
    hands.tap(".then.up button")
    phone.page.wait_for_selector("#notices >> text=2 clicks softer")
    made = hands.made()
    assert (made.taps, made.keys, made.pages) == (3, 0, 0)
    assert made.swipes <= 1  # to the rear adjusters, on a phone
    assert made.seconds <= 3 * (1.35 + 1.2) + 1.2  # 7.65 s, and the swipe
    row = Adjustment.objects.get(kind="change")
    assert (row.to_position, row.read_back) == (16, 16)
    assert Expectation.objects.get(adjustment=row).text == words


def test_what_todays_finding_asks_to_be_seen_is_offered_first(day, tuner):
    entry = day.entries[0]
    adjuster = rear_rebound(entry)
    asks = next(
        finding
        for finding in reversed(catalogue().findings.values())
        if any(s.function == "rebound" and s.direction == "softer" for s in finding.steps)
        and "rear" in finding.ends
    )
    assert expected_of(entry, adjuster)[1][0] != asks.next
    do("finding", tuner, day.trackday, entry=entry.pk, code=asks.code, end="rear", words=asks.title)
    assert expected_of(entry, adjuster)[1][0] == asks.next


def test_enter_in_a_field_means_no_sentence_nobody_tapped(phone, hands, day, tuner):
    entry = day.entries[0]
    count(tuner, entry, 14)
    phone.open(sheet_of(entry))
    softer(hands, rear_rebound(entry))
    phone.page.fill("#reason", "hops on the way out")
    phone.page.press("#reason", "Enter")
    phone.page.wait_for_selector("#notices >> text=2 clicks softer")
    assert Adjustment.objects.get(kind="change").read_back == 16
    assert not Expectation.objects.exists()


def hot_reads(phone, build, helper) -> None:
    """The helper's card for them, a minute after the flag."""
    day = build(bikes=1, at=local(9, 19))
    task = task_now(day.entries[0], "hot-reads", day.sessions[0].pk)
    phone.sign_in(helper)
    phone.open(f"{reverse('board:my-round')}?task={task.id}")
    phone.page.wait_for_selector("form.hand >> text=Hot pressures")


def keypad(hands: Gestures, digits: str) -> None:
    for digit in digits:
        hands.tap(f"#hand [data-key='{digit}']")


def test_six_tyre_temperatures_with_no_navigation_between_fields(phone, hands, build, helper):
    """Read off the pyrometer, digit by digit; a number that can have no more is left by itself."""
    temperatures = ("71", "84", "78", "80", "95", "103")
    hot_reads(phone, build, helper)
    cells = phone.page.locator("#hand .cell input")
    keypad(hands, "34")
    phone.page.tap("#hand [data-key='next']")
    hands.start()
    for temperature in temperatures[:3]:
        keypad(hands, temperature)
    front = hands.made()
    keypad(hands, "32")
    phone.page.tap("#hand [data-key='next']")
    hands.start()
    for temperature in temperatures[3:]:
        keypad(hands, temperature)
    rear = hands.made()
    assert [cell.input_value() for cell in cells.all()] == [
        "34", *temperatures[:3], "32", *temperatures[3:],
    ]  # fmt: skip
    assert (front.taps + rear.taps, front.keys + rear.keys) == (13, 0)
    assert (front.swipes + rear.swipes, front.pages + rear.pages) == (0, 0)
    made = front.seconds + rear.seconds
    assert made == pytest.approx(6 * 1.35 + 13 * 1.2)  # 23.7 s: a thought a number
    phone.page.get_by_role("button", name="Done, next").tap()
    phone.page.wait_for_selector("#notices p")
    kept = Measurement.objects.filter(reading__kind="tyre_temperature")
    assert sorted(m.value for m in kept) == sorted(map(Decimal, temperatures))


def test_a_number_that_may_go_on_waits_and_the_way_back_is_open(phone, hands, build, helper):
    """12 may become 120; after 71 the next field is on, and delete goes back to mend it."""
    hot_reads(phone, build, helper)
    cells = phone.page.locator("#hand .cell input")
    cells.nth(2).tap()
    keypad(hands, "12")
    assert cells.nth(2).evaluate("cell => cell.closest('.cell').className") == "cell on"
    keypad(hands, "0")
    assert cells.nth(3).evaluate("cell => cell.closest('.cell').className") == "cell on"
    phone.page.tap("#hand [data-key='back']")
    phone.page.tap("#hand [data-key='back']")
    keypad(hands, "5")
    assert (cells.nth(2).input_value(), cells.nth(3).input_value()) == ("125", "")


def test_the_last_value_is_one_tap_away_on_the_sheet_too(phone, day, signed_in, helper):
    entry = day.entries[0]
    tick(signed_in(helper), day, entry, "cold-pressures", **{"reading-0-pressure": "31.5"})
    phone.open(reverse("board:sheet-read", args=[entry.pk, "pressure"]))
    phone.page.tap(".entry [data-nudge='1']")
    assert phone.page.input_value("[name=front-pressure]") == "31.5"
    phone.page.tap(".entry [data-nudge='-1']")
    assert phone.page.input_value("[name=front-pressure]") == "31.0"
