"""In the minute before a group comes in the board says who begins where, on one screen."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.trackday.models import BikeMove, Entry, Session, Trackday
from jobs.worklist.pit_in import arrivals
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import clock_set, do
from tests.board.test_round_on_one_screen import HIDDEN, SMALL
from tests.days import local

BROWSER = [
    pytest.mark.browser,
    pytest.mark.display,
    pytest.mark.django_db(transaction=True),
]
# Group A's first session ends at 09:18, and its bikes stand at 09:20.
SIZES = {"phone": (390, 844), "tablet": (1180, 820)}
SHOWN = ".before-flag:not([hidden])"
KEYS = f"{SHOWN} .flagfoot .btn"


def coming_in(day, slots=None):
    read = day_read(day.trackday)
    return arrivals(read, slots if slots is not None else slots_of(plan_refresh(day=read)))


@pytest.mark.django_db
def test_every_bike_of_the_group_is_somebodys(build):
    day = build(bikes=24, at=local(9, 17))
    first = coming_in(day)[0]
    assert str(first.times.session) == "A 1"
    group = {entry.pk for entry in day.entries if entry.group.letter == "A"}
    reads = [
        one.bike.entry.pk
        for share in first.shares
        for one in share.bikes
        if any(task.item.code == "hot-reads" for task in one.tasks)
    ]
    assert sorted(reads) == sorted(group)  # each once
    assert first.bikes == len(group) == 6


@pytest.mark.django_db
def test_without_a_plan_too_helpers_first(build, helper, tuner):
    day = build(bikes=8, at=local(9, 17))
    first = coming_in(day, slots_of(None))[0]
    shares = {share.person.pk: share.bikes for share in first.shares}
    assert len(shares[helper.pk]) == 1
    assert len(shares[tuner.pk]) == 1
    assert {task.item.code for one in shares[helper.pk] for task in one.tasks} == {
        "hot-reads", "hot-push", "words",
    }  # fmt: skip


@pytest.mark.django_db
def test_bikes_stand_in_the_order_they_stop_then_by_their_bay(build, helper, tuner):
    day = build(bikes=16, at=local(9, 21))
    group = [entry for entry in day.entries if entry.group.letter == "A"]
    for entry, bay in zip(group, ("10", "2", "", "1"), strict=True):
        Entry.objects.filter(pk=entry.pk).update(bay=bay)
    came_early = group[0]
    BikeMove.objects.create(
        entry=came_early, move="bike_in", at=local(9, 12), by=tuner, session=day.sessions[0]
    )
    first = coming_in(day, slots_of(None))[0]
    walked = {}
    for share in first.shares:
        order = [group.index(one.bike.entry) for one in share.bikes]
        assert order == sorted(order, key=[0, 3, 1, 2].index)
        walked |= dict.fromkeys(order)
    assert set(walked) <= {0, 1, 2, 3}
    assert {1, 2, 3} <= set(walked)


@pytest.mark.django_db
def test_a_bike_that_stays_is_not_waited_for(build, tuner):
    day = build(bikes=8, at=local(8, 50))
    held = day.entries[0]
    do("hold", tuner, day.trackday, entry=held.pk, words="oil on the disc")
    clock_set(day.trackday, local(9, 17))
    bikes = {one.bike.entry.pk for share in coming_in(day)[0].shares for one in share.bikes}
    assert bikes == {day.entries[4].pk}


@pytest.fixture
def opened(phone, build):
    """The board of a day of 24 bikes at 30 seconds before the flag, on a clock that stands."""

    def on(size: str, minute: int = 17, second: int = 30):
        day = build(bikes=24, at=local(9, minute).replace(second=second))
        width, height = SIZES[size]
        phone.page.set_viewport_size({"width": width, "height": height})
        phone.open(reverse("board:day", args=[day.trackday.pk]))
        return phone.page, day

    return on


class TestOnOneScreen:
    pytestmark = BROWSER

    @pytest.mark.parametrize("size", SIZES)
    def test_who_takes_which_the_flag_and_the_next_roll_are_in_sight(self, opened, size):
        page, _day = opened(size)
        page.locator(SHOWN).wait_for()
        assert page.evaluate(HIDDEN, f"{SHOWN} h2, {KEYS}") == []
        assert page.evaluate(HIDDEN, f"{SHOWN} .begins .name, .roll.next .bikes a") == []
        shown = page.locator(f"{SHOWN} .begins a.over:visible")
        assert shown.count() >= 4
        assert page.evaluate(SMALL, [f"{KEYS}, .roll.next .bikes a", 60]) == []
        assert page.locator("#board .btn:visible").all_inner_texts() == [
            "The flag is out: A 1",
            "Whole board",
        ]
        assert page.locator(".roll:visible h3").inner_text().startswith("B rolls 09:20")
        assert page.evaluate("document.documentElement.scrollWidth") == SIZES[size][0]

    def test_it_waits_for_the_minute_and_may_be_put_away(self, opened):
        page, day = opened("phone", minute=16, second=50)
        page.locator(".first .until").first.wait_for()
        assert page.locator(".before-flag:visible").count() == 0
        Trackday.objects.filter(pk=day.trackday.pk).update(
            clock_rate=Decimal("5"), clock_set_at=datetime.now(UTC)
        )
        page.reload()  # 09:16:50, at five times its pace
        page.locator(".before-flag:visible").wait_for()
        page.get_by_role("button", name="Whole board").tap()
        expect(page.locator(".lead")).to_be_visible()
        expect(page.locator(".before-flag:visible")).to_have_count(0)

    def test_the_flag_is_one_tap(self, opened):
        page, day = opened("phone")
        page.get_by_role("button", name="The flag is out: A 1").tap()
        expect(page.get_by_role("button", name="The flag is out: A 1")).to_have_count(0)
        expect(page.locator(".before-flag:visible h2")).to_contain_text("A 1 comes in at 09:17")
        assert Session.objects.get(pk=day.sessions[0].pk).actual_end == local(9, 17).replace(
            second=30
        )
