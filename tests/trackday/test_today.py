"""Today is the date at the venue, not the server's."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import time_machine
from django.urls import reverse

from jobs.desk.lists import coming_days, past_days
from jobs.people.dates import business_today
from jobs.people.models import Business
from jobs.tablet.day import pages_of
from jobs.trackday import clock
from jobs.trackday.at_hand import days_at_hand, trackday_at_hand
from jobs.trackday.models import CrewDay, Trackday, Venue

pytestmark = pytest.mark.django_db

SUNDAY, MONDAY = date(2026, 6, 14), date(2026, 6, 15)
# Monday 09:00 in Auckland is Sunday 21:00 UTC; Sunday 20:00 in Los Angeles is Monday 03:00 UTC.
MORNING_IN_AUCKLAND = datetime(2026, 6, 14, 21, tzinfo=UTC)
EVENING_IN_LOS_ANGELES = datetime(2026, 6, 15, 3, tzinfo=UTC)


def day(on: date, timezone: str = "Pacific/Auckland", **fields) -> Trackday:
    venue, _ = Venue.objects.get_or_create(name=timezone, defaults={"timezone": timezone})
    return Trackday.objects.create(venue=venue, date=on, name=f"{on}", **fields)


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_on_monday_morning_in_auckland_the_day_at_hand_is_mondays():
    sunday, monday = day(SUNDAY), day(MONDAY)
    assert clock.today(monday) == MONDAY
    assert trackday_at_hand() == monday
    assert pages_of(trackday_at_hand())["trackday"] == monday.pk
    assert coming_days() == [monday]
    assert list(past_days([monday])) == [sunday]


@time_machine.travel(EVENING_IN_LOS_ANGELES, tick=False)
def test_on_sunday_evening_in_los_angeles_the_day_at_hand_is_still_sundays():
    sunday, monday = (day(on, "America/Los_Angeles") for on in (SUNDAY, MONDAY))
    assert trackday_at_hand() == sunday
    assert coming_days() == [sunday, monday]
    assert list(past_days([sunday, monday])) == []


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_of_two_venues_the_day_at_hand_is_the_one_that_is_today_at_its_own():
    dublin, auckland = day(MONDAY, "Europe/Dublin"), day(MONDAY)
    assert clock.today(dublin) == SUNDAY
    assert trackday_at_hand() == auckland
    Trackday.objects.filter(pk=dublin.pk).update(date=SUNDAY)
    Trackday.objects.filter(pk=auckland.pk).update(date=SUNDAY)
    assert trackday_at_hand() == dublin


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
@pytest.mark.parametrize(
    ("days", "at_hand"),
    [
        ([3, 20, -2], 3),  # the next one before the last one
        ([-2, -9], -2),  # none is to come: the last one
        ([-2, -1], -1),  # also where it still is somewhere
        ([-9, 1, 2], 1),
        ([0, 1, -1], 0),
        ([], None),
    ],
)
def test_the_day_at_hand_is_todays_else_the_next_else_the_last(
    days, at_hand, django_assert_num_queries
):
    made = {number: day(date.fromordinal(MONDAY.toordinal() + number)) for number in days}
    with django_assert_num_queries(1):
        assert trackday_at_hand() == made.get(at_hand)


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_a_demo_day_is_at_hand_whatever_the_calendar_says():
    day(MONDAY)
    demo = day(
        date(2025, 1, 1),
        clock_anchor=MORNING_IN_AUCKLAND,
        clock_set_at=MORNING_IN_AUCKLAND,
        clock_rate=Decimal(1),
    )
    assert trackday_at_hand() == demo


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_a_document_is_dated_by_the_business_own_date():
    Business.objects.update_or_create(pk=1, defaults={"name": "H", "timezone": "Pacific/Auckland"})
    assert business_today() == MONDAY
    Business.objects.update(timezone="Europe/Dublin")
    assert business_today() == SUNDAY


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_of_two_crews_on_one_date_each_has_its_own_day(cast, signed_in, django_assert_num_queries):
    first, second = day(MONDAY), day(MONDAY, "Pacific/Fiji")
    CrewDay.objects.create(trackday=second, user=cast.helper)
    assert trackday_at_hand(cast.tuner.pk) == first  # crew of neither: all are at hand
    assert days_at_hand(cast.tuner.pk) == [first, second]
    asked = signed_in(cast.tuner).get(reverse("board:today")).content.decode()
    assert "There is more than one day on this date." in asked
    with django_assert_num_queries(1):
        assert trackday_at_hand(cast.helper.pk) == second
    assert trackday_at_hand(cast.tuner.pk, chosen=second.pk) == second
    assert trackday_at_hand(cast.helper.pk, chosen=first.pk) == second  # theirs is the other one


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_who_is_crew_of_a_later_day_still_has_todays_at_hand(cast):
    today, later = day(MONDAY), day(date(2026, 6, 20))
    CrewDay.objects.create(trackday=later, user=cast.helper)
    assert trackday_at_hand(cast.helper.pk) == today


@time_machine.travel(MORNING_IN_AUCKLAND, tick=False)
def test_who_is_in_two_crews_chooses_and_round_and_tablet_follow(cast, signed_in):
    days = [day(MONDAY), day(MONDAY, "Pacific/Fiji")]
    for one in days:
        CrewDay.objects.create(trackday=one, user=cast.helper)
    browser = signed_in(cast.helper)
    page = browser.get(reverse("board:today"))
    assert "Which day is yours?" in page.content.decode()
    chosen = reverse("board:choose", args=[days[1].pk])
    assert chosen in page.content.decode()
    assert browser.post(chosen).url == reverse("board:day", args=[days[1].pk])
    assert browser.get(reverse("board:today")).url == reverse("board:day", args=[days[1].pk])
    assert browser.get(reverse("tablet:pages")).json()["trackday"] == days[1].pk
    assert browser.get(reverse("tablet:hello")).json()["day"]["id"] == days[1].pk
    assert f"/day/{days[1].pk}/" in browser.get(reverse("board:my-round")).content.decode()
