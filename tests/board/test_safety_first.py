"""A bike that rolls without its arrival check is said so on every screen until it is made; and
the day's warnings end with the day."""

import re

import pytest
from django.urls import reverse

from jobs.trackday.models import Conditions
from jobs.worklist.models import TaskMark
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import clock_set, do, item, task_now, tick
from tests.days import local
from tests.worklist.late_bikes import late_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def late(cast, monkeypatch):
    monkeypatch.setattr("jobs.worklist.services.plans.PAGE_SEARCH_SECONDS", None)
    return late_day(cast, bikes=2)


def text(browser, name, *args):
    page = browser.get(reverse(f"board:{name}", args=args)).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", page.split("<main", 1)[1]).split())


def screens(browser, day, entry):
    """The words of every screen that shows the bike: board, round, bike, sheet, evening, print."""
    return {
        "day": text(browser, "day", day.trackday.pk),
        "round": text(browser, "my-round"),
        "work": text(browser, "work", day.trackday.pk, entry.pk),
        "sheet": text(browser, "sheet", entry.pk),
        "evening": text(browser, "evening", day.trackday.pk),
        "print": text(browser, "print", day.trackday.pk),
    }


OUT = "1 A is out without its arrival safety check. Make it when it is in, before it rolls again."
BACK = "1 A has been out, and its arrival safety check is not made. Make it before it rolls again."


def test_a_bike_out_without_its_check_is_said_so_until_it_is_made(late, signed_in, tuner, helper):
    entry, browser = late.entries[0], signed_in(tuner)
    clock_set(late.trackday, local(8, 57))
    do("arrived", helper, late.trackday, entry=entry.pk)
    clock_set(late.trackday, local(9, 5))
    out = screens(browser, late, entry)
    assert [name for name in ("day", "round", "work", "print") if OUT not in out[name]] == []
    assert "out, not checked" in out["day"]
    assert "Arrival safety is not made and the bike is out." in out["sheet"]
    assert "arrival safety check not made" in out["evening"]
    clock_set(late.trackday, local(9, 25))
    back = screens(browser, late, entry)
    assert [name for name in ("day", "round", "work", "print") if BACK not in back[name]] == []
    assert "arrival safety not made" in back["day"]
    assert "Make it before it rolls again." in back["sheet"]
    tick("safety", helper, entry)
    made = screens(browser, late, entry)
    assert [name for name, page in made.items() if "arrival safety check" in page.lower()] == []
    assert "Arrival safety is not made" not in made["sheet"]


def test_a_skipped_check_was_not_made(late, signed_in, tuner, helper):
    entry = late.entries[0]
    clock_set(late.trackday, local(8, 50))
    do("arrived", helper, late.trackday, entry=entry.pk)
    which = item(late.trackday, "safety")
    do("skip", helper, late.trackday, entry=entry.pk, session=None, item=which.pk, reason="no time")
    aside = "1 A: Hal set its arrival safety check aside."
    assert aside in text(signed_in(tuner), "day", late.trackday.pk)
    clock_set(late.trackday, local(9, 5))
    page = text(signed_in(tuner), "day", late.trackday.pk)
    assert OUT in page
    assert aside not in page


def test_a_check_taken_out_of_the_plan_is_said(late, signed_in, tuner, helper):
    entry = late.entries[0]
    clock_set(late.trackday, local(8, 50))
    do("arrived", helper, late.trackday, entry=entry.pk)
    which = item(late.trackday, "safety")
    do("drop", tuner, late.trackday, entry=entry.pk, session=None, item=which.pk)
    plan_refresh(day=day_read(late.trackday))
    for name, args in (("day", [late.trackday.pk]), ("my-round", [])):
        assert "Tess set its arrival safety check aside" in text(signed_in(helper), name, *args)


def test_a_check_nobody_has_time_for_stands_first_of_what_does_not_fit(cast, signed_in, tuner):
    day = late_day(cast, bikes=3)
    clock_set(day.trackday, local(8, 53))
    for entry in day.entries:
        do("arrived", cast.helper, day.trackday, entry=entry.pk)
    page = text(signed_in(tuner), "day", day.trackday.pk)
    left_out = page.split("Will not fit in the next hour", 1)[1].split("Decide", 1)[1]
    assert left_out.split("A ", 1)[1].startswith("Arrival safety")


def test_a_bike_that_rolls_before_it_can_be_checked_is_said(late, signed_in, tuner, helper):
    entry = late.entries[0]
    clock_set(late.trackday, local(8, 56))
    do("arrived", helper, late.trackday, entry=entry.pk)
    for name, args in (("day", [late.trackday.pk]), ("my-round", [])):
        page = text(signed_in(tuner), name, *args)
        assert "1 A rolls before its arrival safety check can be made: hold it" in page
    do("hold", helper, late.trackday, entry=entry.pk, words="not checked")
    assert "can be made" not in text(signed_in(tuner), "day", late.trackday.pk)


def test_with_no_session_left_nothing_is_warned_of_and_nothing_can_be_delayed(
    day, signed_in, tuner
):
    for track, hour in ((20, 8), (35, 9)):
        Conditions.objects.create(
            trackday=day.trackday, at=local(hour), track_c=track, wet=False, by=tuner
        )
    browser = signed_in(tuner)
    warned = text(browser, "day", day.trackday.pk)
    assert "pressures first" in warned
    assert "Delay +5" in warned.replace("−5 ", "")
    assert "What would a delay cost?" in text(browser, "plan", day.trackday.pk)
    clock_set(day.trackday, local(20))
    over = text(browser, "day", day.trackday.pk)
    assert "no session is left" in over
    assert "pressures first" not in over
    assert "Delay +5" not in over.replace("−5 ", "")
    assert "What would a delay cost?" not in text(browser, "plan", day.trackday.pk)


def test_the_evening_lists_safety_checks_and_follow_ups_not_every_missed_task(
    day, signed_in, tuner
):
    clock_set(day.trackday, local(20))
    evening = text(signed_in(tuner), "evening", day.trackday.pk)
    assert "missed: 5 × follow-up, 6 × pre-grid check" in evening
    assert "tasks of the day" not in evening
    for name in ("hot pressures", "travel ring", "push test", "count"):
        assert name not in evening.lower().split("hand-over", 1)[1].split("nothing loose", 1)[0]


def test_tasks_of_a_bike_that_has_not_come_carry_no_hour(late, signed_in, tuner, helper):
    entry = late.entries[0]
    page = text(signed_in(tuner), "work", late.trackday.pk, entry.pk)
    assert "Pre-grid check" in page
    assert re.search(r"from \d\d:\d\d", page) is None
    clock_set(late.trackday, local(8, 41))
    do("arrived", helper, late.trackday, entry=entry.pk)
    assert "from 08:45" in text(signed_in(tuner), "work", late.trackday.pk, entry.pk)


def test_pace_is_asked_once_there_are_two_outings(day, signed_in, tuner):
    entry = day.entries[0]
    asked = "Pace against the outing before"
    for at, session, expected in ((local(9, 25), 0, False), (local(10, 45), 4, True)):
        clock_set(day.trackday, at)
        task = task_now(entry, "words", day.sessions[session].pk)
        address = reverse("board:round", args=[day.trackday.pk, tuner.pk])
        page = signed_in(tuner).get(f"{address}?task={task.id}").content.decode()
        assert "The rider&#x27;s words" in page
        assert (asked in page) == expected


def test_a_bike_nobody_touched_is_not_being_worked_on(day, signed_in, tuner):
    TaskMark.objects.all().delete()
    clock_set(day.trackday, local(8, 30))
    for name in ("day", "plan"):
        assert "being worked on" not in text(signed_in(tuner), name, day.trackday.pk)
