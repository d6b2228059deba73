"""A day made from another, an event's second day, run groups in turns."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from jobs.people.models import NamedCrew
from jobs.trackday.models import CrewDay, Entry, Session, Trackday
from jobs.trackday.regular_timetable import turns
from jobs.trackday.services import crew_join
from tests.days import DATE, day_build

ZONE = ZoneInfo("Europe/Dublin")


@pytest.fixture
def desk(signed_in, office):
    return signed_in(office)


def hours(day: Trackday) -> list[str]:
    found = Session.objects.filter(trackday=day).order_by("planned_start")
    return [
        f"{s.group.letter}{s.number} {s.planned_start.astimezone(ZONE):%d %H:%M}" for s in found
    ]


def test_a_second_day_in_one_tap_has_the_hours_the_crew_and_every_entry(desk, tuner):
    first = day_build(bikes=3)
    crew_join(trackday=first.trackday, user=tuner)
    crew = NamedCrew.objects.create(name="Van 2")
    Trackday.objects.filter(pk=first.trackday.pk).update(named_crew=crew)
    desk.post(reverse("desk:trackday-second", args=[first.trackday.pk]))
    second = Trackday.objects.exclude(pk=first.trackday.pk).get()
    first.trackday.refresh_from_db()
    assert (second.date, second.venue) == (DATE + timedelta(days=1), first.trackday.venue)
    assert second.event == first.trackday.event == first.trackday.name
    assert hours(second) == [line.replace(" 13 ", " 14 ") for line in hours(first.trackday)]
    assert CrewDay.objects.get(trackday=second).user == tuner
    assert second.named_crew == crew
    columns = ("bike", "rider", "payer", "package", "number", "bay", "group__letter")
    assert set(second.entries.values_list(*columns)) == set(
        first.trackday.entries.values_list(*columns)
    )
    assert second.clock_anchor is None
    desk.post(reverse("desk:trackday-second", args=[first.trackday.pk]))
    assert Trackday.objects.count() == 2


def test_a_day_from_another_takes_over_what_is_ticked(desk, tuner):
    source = day_build(bikes=2).trackday
    crew_join(trackday=source, user=tuner)
    url = reverse("desk:trackday-from", args=[source.pk])
    desk.post(url, {"date": "2026-07-04", "name": "July", "parts": ["timetable"]})
    july = Trackday.objects.get(name="July")
    assert (july.sessions.count(), july.entries.count(), july.crew.count()) == (24, 0, 0)
    desk.post(url, {"date": "2026-07-05", "name": "Sunday", "parts": ["entries"]})
    sunday = Trackday.objects.get(name="Sunday")
    assert (sunday.sessions.count(), sunday.entries.count(), sunday.groups.count()) == (0, 2, 4)
    assert set(sunday.entries.values_list("bay", flat=True)) == {""}


def test_hours_stay_what_the_venues_clock_shows_when_the_clocks_change_between(desk):
    """Ireland's clocks go back on the last Sunday of October (Directive 2000/84/EC)."""
    source = day_build(bikes=0).trackday
    url = reverse("desk:trackday-from", args=[source.pk])
    desk.post(url, {"date": "2026-11-14", "name": "Winter", "parts": ["timetable"]})
    assert hours(Trackday.objects.get(name="Winter"))[0] == "A1 14 09:00"


def test_a_day_that_is_there_already_is_refused_by_name(desk):
    source = day_build(bikes=0).trackday
    url = reverse("desk:trackday-from", args=[source.pk])
    page = desk.post(url, {"date": "2026-06-13", "name": source.name}).content.decode()
    assert "There is already a day of this name on that date." in page
    assert Trackday.objects.count() == 1


def test_what_was_done_on_the_first_day_stays_there(desk):
    first = day_build(bikes=1)
    session = first.sessions[0]
    Session.objects.filter(pk=session.pk).update(actual_start=session.planned_start, added=False)
    Session.objects.filter(pk=first.sessions[1].pk).update(added=True)
    desk.post(reverse("desk:trackday-second", args=[first.trackday.pk]))
    second = Trackday.objects.exclude(pk=first.trackday.pk).get()
    assert second.sessions.count() == 23
    assert not second.sessions.filter(actual_start__isnull=False).exists()
    assert not Entry.objects.get(trackday=second).late


def test_groups_take_turns_and_nobody_rides_over_lunch():
    """Worked by hand: 9 to 12 and 13 to 17 are 420 minutes, 21 sessions of 20, 7 a group."""

    def at(hour: int) -> datetime:
        return datetime(2026, 6, 13, hour, tzinfo=ZONE)

    made = list(turns(groups=3, start=at(9), close=at(17), minutes=20, lunch=(at(12), at(13))))
    assert [sum(turn.letter == letter for turn in made) for letter in "ABC"] == [7, 7, 7]
    assert [turn.letter for turn in made[:4]] == ["A", "B", "C", "A"]
    assert not [turn for turn in made if turn.start < at(13) and turn.end > at(12)]
    assert (made[0].start, made[-1].end) == (at(9), at(17))


def test_a_regular_timetable_is_made_once(desk):
    day = Trackday.objects.create(
        venue=day_build(bikes=0).trackday.venue, name="Bare", date=date(2026, 8, 1)
    )
    url = reverse("desk:timetable-regular", args=[day.pk])
    form = {"groups": "2", "minutes": "30", "start": "09:00", "close": "11:00"}
    desk.post(url, form)
    assert hours(day) == ["A1 01 09:00", "B1 01 09:30", "A2 01 10:00", "B2 01 10:30"]
    assert "This day has a timetable already" in desk.post(url, form).content.decode()
    page = desk.post(url, {**form, "close": "08:00"}).content.decode()
    assert "The track closes before the first session." in page
