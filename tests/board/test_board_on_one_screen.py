"""The day board answers first: what is in sight without scrolling, by the size of the screen."""

import pytest
from django.urls import reverse

from tests.acts.doing import do
from tests.board.test_round_on_one_screen import HIDDEN, SMALL
from tests.days import local

pytestmark = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]

SIZES = {
    "phone": (390, 844),
    "tablet": (1180, 820),
    "tablet upright": (820, 1180),
    "laptop": (1440, 900),
}


@pytest.fixture
def opened(phone, build, tuner):
    """``opened(24, "tablet")``: the board of a day of so many bikes, one of them held."""

    def on(bikes: int, size: str):
        day = build(bikes=bikes, at=local(9, 5))
        do("hold", tuner, day.trackday, entry=day.entries[-1].pk, words="oil on the disc")
        width, height = SIZES[size]
        phone.page.set_viewport_size({"width": width, "height": height})
        phone.open(reverse("board:day", args=[day.trackday.pk]))
        phone.page.locator(".first .until").first.wait_for()
        return phone.page

    return on


@pytest.mark.parametrize("size", SIZES)
def test_whom_to_see_first_and_the_next_roll_are_in_sight(opened, size):
    page = opened(24, size)
    assert page.locator(".first > li").count() == 3
    assert page.evaluate(HIDDEN, ".first a.task") == []
    assert page.evaluate(HIDDEN, ".roll:first-child .bikes a") == []
    card, *others = page.locator(".first a.task").evaluate_all(
        "all => all.map((node) => node.getBoundingClientRect().height)"
    )
    assert card > max(others)
    assert page.evaluate(SMALL, [".first a.task, .bikes a.over, .waits summary", 60]) == []
    assert page.evaluate("document.documentElement.scrollWidth") == SIZES[size][0]


@pytest.mark.parametrize("size", ["tablet", "tablet upright", "laptop"])
def test_24_bikes_need_no_scrolling(opened, size):
    page = opened(24, size)
    assert page.locator(".bikes a.over").count() == 24
    assert page.evaluate(HIDDEN, ".lanes .bikes a") == []


def test_of_60_bikes_the_next_two_rolls_are_in_full_and_later_ones_one_line(opened):
    page = opened(60, "laptop")
    folded = page.locator(".roll > details")
    assert page.locator(".roll").count() == 2 + folded.count()
    assert page.evaluate(HIDDEN, ".roll:nth-child(-n + 2) .bikes a") == []
    assert folded.first.locator("a.over").first.is_hidden()
    folded.first.locator("summary").tap()
    assert folded.first.locator("a.over").first.is_visible()
    with page.expect_response(lambda answer: "/board/" in answer.url):
        page.evaluate("document.body.dispatchEvent(new Event('moved'))")
    page.locator(".roll > details[open]").wait_for()  # fetched again, and still open
