"""Waits after wrong tries: counted in the database, before a try is judged."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.db import transaction

from jobs.people import throttle
from jobs.people.models import WrongTries
from tests.queries import queries

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)


def tried(times, who="ada", **options):
    for _ in range(times):
        throttle.take("door", who, **options)


def seconds_to_wait(who="ada"):
    try:
        throttle.check("door", who)
    except throttle.TooManyTries as fault:
        return fault.seconds
    return 0


def test_the_wait_after_every_five_tries_is_four_times_as_long_and_ends_at_an_hour():
    waits = []
    with time_machine.travel(NOON, tick=False) as clock:
        for _ in range(5):
            tried(5)
            waits.append(seconds_to_wait())
            clock.shift(timedelta(hours=1))
            assert seconds_to_wait() == 0
    assert waits == [60, 240, 960, 3600, 3600]


def test_whoever_waits_is_refused_with_one_read_and_nothing_is_counted():
    tried(5)
    with pytest.raises(throttle.TooManyTries, match="wait a minute"), queries() as asked:
        throttle.take("door", "ada")
    assert len(asked) == 1
    assert WrongTries.objects.get().wrong == 5


def test_others_and_other_purposes_do_not_wait():
    tried(5)
    throttle.take("door", "bea")
    throttle.take("window", "ada")


def test_a_right_try_forgets_all_before_it():
    tried(4)
    throttle.passed("door", "ada")
    assert not WrongTries.objects.exists()


def test_a_try_given_back_alone_does_not_count_and_ends_the_wait_it_began():
    tried(5)
    throttle.give_back("door", "ada")
    assert (WrongTries.objects.get().wrong, seconds_to_wait()) == (4, 0)
    throttle.passed("door", "ada")
    throttle.give_back("door", "ada")
    assert not WrongTries.objects.exists()


def test_after_a_day_without_a_try_counting_begins_again():
    with time_machine.travel(NOON, tick=False) as clock:
        tried(4)
        clock.shift(throttle.FORGET + timedelta(seconds=1))
        tried(1)
        assert WrongTries.objects.get().wrong == 1


def test_marks_older_than_a_day_go_when_a_new_one_comes():
    with time_machine.travel(NOON, tick=False) as clock:
        tried(1, who="ada")
        clock.shift(throttle.FORGET + timedelta(seconds=1))
        tried(1, who="bea")
    assert WrongTries.objects.count() == 1


def test_neither_names_nor_addresses_are_kept():
    throttle.take("door", "192.0.2.7:ada")
    row = WrongTries.objects.get()
    assert (len(row.mark), "ada" in row.mark, "192.0.2.7" in row.mark) == (64, False, False)


@pytest.mark.django_db(transaction=True)
def test_what_the_caller_undoes_cannot_undo_the_count():
    with pytest.raises(RuntimeError, match="durable"), transaction.atomic():
        throttle.take("door", "ada")
