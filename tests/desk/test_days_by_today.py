"""The desk's days: what is to come, and what was."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.desk.lists import coming_days, past_days
from jobs.trackday.models import Trackday, Venue

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(cast):
    venue = Venue.objects.create(name="Fenholt Ring", timezone="Europe/Dublin")

    def made(days: int, **clock) -> Trackday:
        now = timezone.now()
        return Trackday.objects.create(
            venue=venue, date=now.date() + timedelta(days=days), name=f"day {days}", **clock
        )

    return made


def test_days_to_come_stand_nearest_first_and_those_that_were_apart(day):
    late, soon, was = day(30), day(2), day(-3)
    assert coming_days() == [soon, late]
    assert list(past_days([soon, late])) == [was]


def test_a_demo_day_never_grows_old_while_its_clock_runs(day):
    clock = {"clock_anchor": timezone.now(), "clock_set_at": timezone.now()}
    runs = day(-3, **clock, clock_rate=Decimal(1))
    stands = day(-4, **clock, clock_rate=Decimal(0))
    assert coming_days() == [runs]
    assert list(past_days([runs])) == [stands]
