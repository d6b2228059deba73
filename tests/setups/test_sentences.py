"""Rows of the book as sentences."""

from decimal import Decimal

import pytest

from jobs.setups import sentences, services

from ..days import day_build, local
from .writing import arrive, change, count, origin

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry(cast):
    return day_build(bikes=1).entries[0]


def found(by, entry, **said):
    return services.finding_write(origin=origin(by, entry), bike=entry.bike, **said)


def test_a_first_count_a_same_count_and_another_one(tuner, entry):
    assert sentences.adjustment(count(tuner, entry, 14)) == "Rear rebound counted: 14 out."
    assert sentences.adjustment(count(tuner, entry, 14)) == "Rear rebound counted: 14 out."
    other = count(tuner, entry, 12)
    assert sentences.adjustment(other) == "Rear rebound found at 12 out; the book said 14 out."


def test_beside_a_change_stand_oil_reason_and_why_a_second_one_could_not_wait(tuner, entry):
    count(tuner, entry, 14)
    plain = change(tuner, entry, 14, 13, reason="kicks")
    assert sentences.adjustment_aside(plain) == "oil cold · kicks · not read back"
    second = change(tuner, entry, 13, 12, reason="kicks", second_reason="rain in ten minutes")
    assert sentences.adjustment_aside(second) == (
        "oil cold · kicks · second change on this end: rain in ten minutes · not read back"
    )


def test_beside_a_change_without_a_reason_that_is_said(tuner, entry):
    assert "no reason given" in sentences.adjustment_aside(change(tuner, entry, 14, 13))
    assert "no reason given" not in sentences.adjustment_aside(count(tuner, entry, 13))


def test_beside_a_count_stands_whether_it_was_counted_twice_and_who_turned_it(tuner, entry):
    twice = count(tuner, entry, 14, second_count=Decimal(14), turned_by="the rider")
    assert sentences.adjustment_aside(twice) == "oil cold · counted twice · turned by the rider"
    unsure = count(tuner, entry, 14, second_count=Decimal(17))
    assert "unsure: the second count was 17" in sentences.adjustment_aside(unsure)
    within = count(tuner, entry, 14, second_count=Decimal(15))
    assert "counted twice" in sentences.adjustment_aside(within)


def test_beside_a_read_back_stands_who_counted_it(tuner, helper, entry):
    row = change(tuner, entry, 14, 13, reason="kicks")
    services.adjustment_read_back(origin=origin(helper, entry), row=row, position=Decimal(13))
    row.refresh_from_db()
    assert sentences.adjustment_aside(row) == "oil cold · kicks · read back 13 out by Hal"


def test_only_the_riders_own_words_stand_in_quotes(tuner, entry):
    row = found(tuner, entry, words="it pumps", by_rider=True, phase="exit", corner="Long right")
    assert sentences.finding(row) == "“it pumps”"
    assert sentences.finding_aside(row) == "on the gas · Long right · the rider's words"
    seen = found(tuner, entry, words="a lip on the edge", end="rear")
    assert sentences.finding(seen) == "a lip on the edge"
    assert sentences.finding_aside(seen) == "rear"


def test_a_finding_is_called_by_its_title_with_the_words_behind(tuner, entry):
    titled = found(tuner, entry, code="B1", title="Rises slowly", words="after turn 3")
    assert sentences.finding(titled) == "Rises slowly: after turn 3"
    assert sentences.finding(found(tuner, entry, code="B1")) == "B1"
    assert sentences.finding(found(tuner, entry, code="B1", words="slow")) == "slow"


@pytest.mark.parametrize(
    ("at", "said"),
    [(local(9, 22), "oil hot · 2 min since the stop"), (local(8, 30), "oil cold, cold")],
)
def test_beside_a_push_stand_its_oil_and_the_minutes_since_the_stop(tuner, entry, at, said):
    arrive(tuner, entry)
    taken = services.reading_take(
        origin=origin(tuner, entry, at), bike=entry.bike, kind="push", end="rear",
        values=[services.readings.Value("seconds", Decimal("1.2"), "s")],
    )  # fmt: skip
    assert sentences.reading_aside(taken.reading).startswith(said)
