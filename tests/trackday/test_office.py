"""Packages, regular timetables, entries removed, a day made from another."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from jobs.people.enums import Role
from jobs.people.models import User
from jobs.trackday.copying import DayPart, trackday_copy
from jobs.trackday.models import BikeMove, CrewDay, Entry, ServicePackage, Session, Trackday
from jobs.trackday.office import package_save
from jobs.trackday.regular_timetable import timetable_make, turns
from jobs.trackday.services import session_add
from jobs.trackday.services.absences import entry_has_rows, entry_remove
from tests.days import DATE, day_build, local

pytestmark = pytest.mark.django_db


def package(name: str, **more) -> ServicePackage:
    return package_save(package=ServicePackage(name=name, **more))


def test_packages_stand_one_after_another_and_take_their_code_from_the_name():
    last = max([0, *ServicePackage.objects.values_list("order", flat=True)])
    one, two = package("A full day"), package("A single setup")
    assert (one.order, two.order) == (last + 1, last + 2)
    assert (one.code, two.code) == ("a-full-day", "a-single-setup")


def test_what_was_typed_for_a_package_stays():
    typed = package("Advice only", code="talk", order=7)
    assert (typed.code, typed.order) == ("talk", 7)
    typed.name = "Advice"
    changed = package_save(package=typed)
    assert (changed.code, changed.order) == ("talk", 7)


def test_a_second_package_on_offer_of_the_same_name_is_refused_and_a_retired_one_is_not():
    package("Advice", active=False)
    kept = package("Advice")
    assert package_save(package=kept) == kept
    with pytest.raises(ValidationError, match="already a package called “advice”"):
        package("advice")


def turns_of(**more):
    day = {"groups": 3, "start": local(9), "close": local(12), "minutes": 20, "lunch": None}
    return [(turn.letter, turn.start, turn.end) for turn in turns(**day | more)]


def test_no_turn_lies_over_lunch_and_the_next_begins_when_it_ends():
    made = turns_of(lunch=(local(9, 30), local(10, 30)), close=local(11, 10))
    assert made == [
        ("A", local(9), local(9, 20)),
        ("B", local(10, 30), local(10, 50)),
        ("C", local(10, 50), local(11, 10)),
    ]


def test_a_timetable_in_which_a_group_gets_no_session_is_refused():
    day = Trackday.objects.create(venue=day_build(bikes=0).trackday.venue, name="Next", date=DATE)
    plan = {"trackday": day, "groups": 4, "start": local(9), "minutes": 20, "lunch": None}
    with pytest.raises(ValidationError, match="not enough for one session of every group"):
        timetable_make(close=local(10, 10), **plan)
    assert timetable_make(close=local(10, 20), **plan) == 4


def test_an_entry_of_which_nothing_is_recorded_is_removed_and_another_is_not(helper):
    day = day_build(bikes=2)
    free, arrived = day.entries
    BikeMove.objects.create(entry=arrived, move="arrived", at=local(8), by=helper)
    assert (entry_has_rows(free), entry_has_rows(arrived)) == (False, True)
    with pytest.raises(ValidationError, match="cancel it instead"):
        entry_remove(entry=arrived)
    entry_remove(entry=free)
    assert list(Entry.objects.all()) == [arrived]


@pytest.fixture
def worked():
    """A day with an entry in a bay, one that was called off, a crew, and an added session."""
    day = day_build(bikes=2)
    Entry.objects.filter(pk=day.entries[0].pk).update(bay="12")
    Entry.objects.filter(pk=day.entries[1].pk).update(absence="no_show")
    person = User.objects.create(username="hal", role=Role.HELPER)
    CrewDay.objects.create(trackday=day.trackday, user=person, joins_at=local(7))
    session_add(
        group=day.groups[0], planned_start=local(18), planned_end=local(18, 20), at=local(8)
    )
    return day.trackday


def copy(source: Trackday, *parts: DayPart) -> Trackday:
    on = source.date + timedelta(days=1)
    return trackday_copy(source=source, on=on, name="Second day", event="", parts=parts)


def test_a_copied_timetable_has_what_was_planned_and_not_what_was_added_on_the_day(worked):
    made = copy(worked, DayPart.TIMETABLE)
    planned = worked.sessions.filter(added=False)
    assert made.sessions.count() == planned.count() == worked.sessions.count() - 1
    first = made.sessions.order_by("planned_start").first()
    assert first.planned_start == local(9) + timedelta(days=1)
    assert (made.groups.count(), made.entries.count(), made.crew.count()) == (4, 0, 0)


def test_a_copied_crew_brings_neither_groups_nor_sessions(worked):
    made = copy(worked, DayPart.CREW)
    (member,) = made.crew.all()
    assert member.joins_at == local(7) + timedelta(days=1)
    assert (made.groups.count(), Session.objects.filter(trackday=made).count()) == (0, 0)


@pytest.mark.parametrize(("parts", "bay"), [((), ""), ((DayPart.BAYS,), "12")])
def test_copied_entries_are_those_that_were_there_with_their_bays_if_wished(worked, parts, bay):
    made = copy(worked, DayPart.ENTRIES, *parts)
    (entry,) = made.entries.all()
    assert (entry.bay, entry.group.letter, entry.group.trackday) == (bay, "A", made)
    assert made.date == date(2026, 6, 14)
