"""How the day went: asked and done by kind, and who took how long, for those it concerns."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.board.day.day_times import kinds_of_work
from jobs.trackday.models import Entry, RunGroup, Trackday
from jobs.worklist.derive import task_id
from jobs.worklist.models import TaskMark
from jobs.worklist.selectors import day_read
from jobs.worklist.selectors.work_times import work_times_of_days
from tests.acts.doing import item, task_now
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def worked(day, tuner, helper):
    """The helper counted on two bikes in 6 minutes each, the tuner on one in 3."""
    which = item(day.trackday, "count")
    times = ((helper, 6), (helper, 6), (tuner, 3))
    for place, (entry, (person, minutes)) in enumerate(zip(day.entries, times, strict=False)):
        start = local(8, 10 * place)
        for mark, at in (("started", start), ("done", start + timedelta(minutes=minutes))):
            TaskMark.objects.create(
                task_id=task_now(entry, "count").id,
                entry=entry,
                item=which,
                mark=mark,
                by=person,
                done_at=at,
            )
    return day


def page(browser, day):
    return " ".join(
        browser.get(reverse("board:day-times", args=[day.trackday.pk])).content.decode().split()
    )


def test_each_kind_of_work_with_what_was_done_and_how_long_it_took(worked):
    times = work_times_of_days([worked.trackday.pk])[worked.trackday.pk]
    kinds = {one.item.code: one for one in kinds_of_work(day_read(worked.trackday), times)}
    count, check = kinds["count"], kinds["safety"]
    assert (count.asked, count.done, count.took, count.times) == (4, 3, 5, 3)
    assert (check.asked, check.done, check.took, check.times) == (4, 4, None, 0)
    assert {one.asked - one.done - one.skipped - one.missed >= 0 for one in kinds.values()} == {
        True
    }


def test_a_helper_sees_his_own_times_and_nobody_elses(worked, signed_in, helper):
    text = page(signed_in(helper), worked)
    assert "<h2>Hal</h2>" in text
    assert "<h2>Tess</h2>" not in text


def test_the_tuner_sees_everybody_in_the_order_of_the_crew(worked, signed_in, tuner):
    text = page(signed_in(tuner), worked)
    crew = [member.user.display_name for member in worked.trackday.crew.all()]
    assert sorted(crew, key=lambda name: text.index(f"<h2>{name}</h2>")) == crew


def test_without_a_start_it_says_how_times_come_to_be_known(day, signed_in, helper):
    text = page(signed_in(helper), day)
    assert "Nobody's time is known" in text
    assert "<h2>Hal</h2>" not in text


def test_the_evening_leads_there(day, signed_in, helper):
    text = signed_in(helper).get(reverse("board:evening", args=[day.trackday.pk])).content.decode()
    assert reverse("board:day-times", args=[day.trackday.pk]) in text


def test_a_few_days_teach_the_next_booking_and_fewer_do_not(worked, signed_in, tuner):
    assert "After 3 days with times taken" in page(signed_in(tuner), worked)
    for before in (1, 2):
        _earlier_day(worked, before)
    text = page(signed_in(tuner), worked)
    assert "Clicker count: 4 → <b>5 min</b>, learned from 9 times" in text
    assert reverse("desk:trackday-room", args=[worked.trackday.pk]) in text


def test_a_helper_is_not_led_to_the_bookings(worked, signed_in, helper):
    text = page(signed_in(helper), worked)
    assert "For the next booking" in text
    assert "Room for more</a>" not in text


def _earlier_day(day, before):
    """The same marks on the same bikes, some days before."""
    trackday = Trackday.objects.get(pk=day.trackday.pk)
    trackday.pk, trackday.date = None, trackday.date - timedelta(days=before)
    trackday.save()
    group = RunGroup.objects.create(trackday=trackday, letter="A")
    marks = TaskMark.objects.filter(entry__trackday=day.trackday, item__code="count")
    entries = {}
    for mark in marks:
        entry = Entry.objects.get(pk=mark.entry_id)
        if entry.pk not in entries:
            entries[entry.pk] = Entry.objects.create(
                trackday=trackday,
                group=group,
                bike=entry.bike,
                rider=entry.rider,
                package=entry.package,
                payer=entry.payer,
            )
        which, away = entries[entry.pk], timedelta(days=before)
        TaskMark.objects.create(
            task_id=task_id(which.pk, None, "arrival", "count"),
            entry=which,
            item=mark.item,
            mark=mark.mark,
            by=mark.by,
            done_at=mark.done_at - away,
        )
