"""Every screen of the day costs the same queries at 1, 3 and 60 bikes."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.trackday.models import Trackday
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import pre_grid, rebound_changed, task_now
from tests.days import day_build, local
from tests.queries import page_queries

pytestmark = pytest.mark.django_db
SIZES = (1, 3, 60)
CHECKLISTS: dict[str, tuple[list[str], int]] = {
    "checklists": ([], 6),
    "checklist": (["arrival"], 7),
    "checklist-item-new": (["arrival"], 7),
    "checklist-item": (["arrival", "safety"], 7),
}


@pytest.mark.parametrize("bikes", SIZES)
def test_the_board(build, signed_in, tuner, bikes):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:day", args=[day.trackday.pk])
    browser = signed_in(tuner)
    assert page_queries(browser, url) == BOARD_COLD
    assert page_queries(browser, url) == BOARD_KEPT


@pytest.mark.parametrize("bikes", SIZES)
def test_a_round(build, signed_in, helper, bikes):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:round", args=[day.trackday.pk, helper.pk])
    task = task_now(day.entries[0], "cold-pressures")
    assert page_queries(signed_in(helper), f"{url}?task={task.id}") == ROUND


@pytest.mark.parametrize("bikes", SIZES)
def test_the_check_before_a_bike_rolls(build, signed_in, helper, tuner, bikes):
    """Two of them today's changes and what is expected of these; no number cells to fill."""
    day = build(bikes)
    for entry in day.entries:
        rebound_changed(day.trackday, entry, tuner)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:round", args=[day.trackday.pk, helper.pk])
    task = pre_grid(day.entries[0])
    assert page_queries(signed_in(helper), f"{url}?task={task.id}") == PRE_GRID


@pytest.mark.parametrize("bikes", SIZES)
def test_a_bike_at_work(build, signed_in, tuner, bikes):
    day = build(bikes)
    url = reverse("board:work", args=[day.trackday.pk, day.entries[0].pk])
    assert page_queries(signed_in(tuner), url) == WORK


# Every page of the day that is reached by its day alone, as the tuner sees it.
PAGES = {
    "timetable": 24,
    "plan": 22,
    "conditions": 5,
    "crew": 8,
    "walk-up": 8,
    "corners": 5,
    "evening": 32,
    "day-times": 27,
    "print": 21,
}


@pytest.mark.parametrize("bikes", SIZES)
@pytest.mark.parametrize("page", PAGES)
def test_a_page_of_the_day(build, signed_in, tuner, bikes, page):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse(f"board:{page}", args=[day.trackday.pk])
    assert page_queries(signed_in(tuner), url) == PAGES[page]


@pytest.mark.parametrize("bikes", SIZES)
def test_the_board_as_it_moves(build, signed_in, tuner, bikes):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:day-fragment", args=[day.trackday.pk])
    assert page_queries(signed_in(tuner), url) == FRAGMENT


@pytest.mark.parametrize("bikes", SIZES)
def test_what_comes_after_the_task_in_hand(build, signed_in, helper, bikes):
    day = build(bikes)
    plan_refresh(day=day_read(day.trackday))
    url = reverse("board:round-then", args=[day.trackday.pk, helper.pk])
    task = task_now(day.entries[0], "sag")
    assert page_queries(signed_in(helper), f"{url}?task={task.id}") == THEN


@pytest.mark.parametrize("bikes", SIZES)
@pytest.mark.parametrize("page", CHECKLISTS)
def test_the_editor_of_checklists(build, signed_in, tuner, bikes, page):
    build(bikes)
    url = reverse(f"board:{page}", args=CHECKLISTS[page][0])
    assert page_queries(signed_in(tuner), url) == CHECKLISTS[page][1]


@pytest.mark.parametrize("bikes", SIZES)
def test_the_next_day_seen_the_evening_before(build, signed_in, tuner, bikes):
    """The board of a day nobody has begun: checklists as they stand, nobody arrived."""
    day = build(bikes)
    tomorrow = day_build(bikes=bikes, at=local(20)).trackday
    Trackday.objects.filter(pk=tomorrow.pk).update(date=day.trackday.date + timedelta(days=1))
    evening = signed_in(tuner).get(reverse("board:evening", args=[day.trackday.pk]))
    assert reverse("board:day", args=[tomorrow.pk]) in evening.content.decode()
    url = reverse("board:day", args=[tomorrow.pk])
    assert page_queries(signed_in(tuner), url) == NEXT_DAY


# Session, user, day and the frame's one; then the rows of the day.
BOARD_KEPT = 5
BOARD_COLD = 23
ROUND = 26
PRE_GRID = 25
WORK = 21
FRAGMENT = 21
THEN = 24
NEXT_DAY = 22
