"""Capacity before a booking is accepted: for today's day and for next month's."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.trackday.models import Entry, Session, Trackday
from jobs.trackday.services import crew_join
from jobs.worklist.models import Checklist
from jobs.worklist.planned.capacity import capacity
from jobs.worklist.services import checklists_load
from tests.days import day_build
from tests.markup import one_line
from tests.shape.source import ROOT

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(cast):
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    return day_build(bikes=4)


def test_a_quiet_day_has_room_and_a_lone_helper_less(day, cast):
    both = capacity(day.trackday, day.groups[1], day.package)
    assert both.supposed
    assert both.more >= 1
    crew_join(trackday=day.trackday, user=cast.helper)
    alone = capacity(day.trackday, day.groups[1], day.package)
    assert not alone.supposed
    assert alone.more <= both.more


def test_next_months_day_without_a_bike_yet_has_room(cast, day):
    """Its timetable is enough; nothing is written for asking."""
    trackday = day.trackday
    Entry.objects.filter(trackday=trackday).delete()
    Trackday.objects.filter(pk=trackday.pk).update(date=trackday.date + timedelta(days=35))
    for session in day.sessions:
        session.planned_start += timedelta(days=35)
        session.planned_end += timedelta(days=35)
    Session.objects.bulk_update(day.sessions, ["planned_start", "planned_end"])
    trackday.refresh_from_db()
    assert capacity(trackday, day.groups[0], day.package).more >= 3
    assert not Entry.objects.exists()


def test_the_page_asks_for_one_group_after_the_other(day, signed_in, office):
    url = reverse("desk:trackday-room", args=[day.trackday.pk])
    browser = signed_in(office)
    assert "Choose what would be booked" in browser.get(url).content.decode()
    text = browser.get(url, {"package": day.package.pk}).content.decode()
    for group in day.groups:
        one = reverse("desk:trackday-room-group", args=[day.trackday.pk, group.pk, day.package.pk])
        assert f'hx-get="{one}"' in text
    answer = one_line(browser.get(one).content.decode())
    assert "more</b>" in answer
    assert "supposed:" in answer


def test_the_page_says_what_one_more_bike_does_to_the_follow_ups(cast, signed_in, office):
    """On a full day one more bike of the same package takes time from the others."""
    checklists_load(lists=json.loads((ROOT / "fixtures" / "checklists.json").read_text()))
    day = day_build(bikes=12)
    crew_join(trackday=day.trackday, user=cast.tuner)
    found = capacity(day.trackday, day.groups[0], day.package).in_time
    assert 95 >= found.before >= found.after >= 5
    assert found.before < 95
    one = reverse(
        "desk:trackday-room-group", args=[day.trackday.pk, day.groups[0].pk, day.package.pk]
    )
    text = one_line(signed_in(office).get(one).content.decode())
    assert f"in time: {found.before} %, with one more bike {found.after} %." in text


def test_a_group_of_another_day_is_not_found(day, signed_in, office):
    other = day_build(bikes=1)
    where = [day.trackday.pk, other.groups[0].pk, day.package.pk]
    assert signed_in(office).get(reverse("desk:trackday-room-group", args=where)).status_code == 404


def test_a_package_that_no_checklist_asks_anything_of(day, signed_in, office):
    Checklist.objects.all().delete()
    asked = [day.trackday.pk, day.groups[2].pk, day.package.pk]
    assert capacity(day.trackday, day.groups[2], day.package).more is None
    page = signed_in(office).get(reverse("desk:trackday-room-group", args=asked))
    assert "nothing is asked of such a bike" in page.content.decode()


def test_staffing_advice_for_every_day_of_an_event(day, signed_in, office):
    second = day_build(bikes=2).trackday
    Trackday.objects.update(event="Two days")
    Trackday.objects.filter(pk=second.pk).update(date=day.trackday.date + timedelta(days=1))
    url = reverse("desk:trackday-room", args=[day.trackday.pk])
    page = signed_in(office).get(url, {"helpers": "1"}).content.decode()
    for each in (day.trackday, second):
        assert reverse("desk:trackday-staffing", args=[each.pk]) in page
    answer = signed_in(office).get(reverse("desk:trackday-staffing", args=[day.trackday.pk]))
    text = " ".join(answer.content.decode().split())
    assert "Left out with 0 helpers:" in text
    assert "beside Tess" in text


def test_a_day_without_work_says_what_to_do(day, signed_in, office):
    Entry.objects.all().delete()
    url = reverse("desk:trackday-staffing", args=[day.trackday.pk])
    assert "Nothing is left to do on this day" in signed_in(office).get(url).content.decode()


def test_no_customer_and_no_helper_asks(day, signed_in, helper, customer_a):
    for name in ("trackday-room", "trackday-staffing"):
        url = reverse(f"desk:{name}", args=[day.trackday.pk])
        assert signed_in(helper).get(url).status_code in (403, 404)
        assert signed_in(customer_a).get(url).status_code in (403, 404)
