"""What people decide about the day's work, and how it is told: order, names, moments."""

import uuid
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from jobs.worklist.models import PlanWish
from jobs.worklist.planned.delay_preview import DelayCost
from jobs.worklist.planned.problem import short_name
from jobs.worklist.selectors.day import _changed_last_time
from jobs.worklist.selectors.plans import wishes_of
from jobs.worklist.services.holds import hold_raise, hold_release
from jobs.worklist.services.plans import wish_record, wish_withdraw
from tests.acts.doing import item
from tests.board.conftest import build  # noqa: F401
from tests.days import day_build, local

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(build):  # noqa: F811
    return build(2)


def dropped(day, by, code="pre-grid", **more) -> PlanWish:
    return wish_record(
        wish_id=uuid.uuid4(), entry=day.entries[0], session=day.sessions[0],
        item=item(day.trackday, code), by=by, at=local(9), dropped=True, **more,
    )  # fmt: skip


def test_what_was_decided_counts_for_its_own_day_until_it_is_taken_back(day, tuner):
    wish = dropped(day, tuner)
    another = day_build(bikes=1)
    assert wishes_of(day.trackday) == [wish]
    assert wishes_of(another.trackday) == []
    wish_withdraw(wish=wish, at=local(9, 5))
    assert wishes_of(day.trackday) == []


def test_work_of_its_own_time_is_not_put_off_to_a_later_session(day, tuner):
    own_time = item(day.trackday, "pre-grid")
    assert not own_time.movable
    with pytest.raises(ValidationError, match="belongs to its own time"):
        dropped(day, tuner, after_session=day.sessions[4])
    assert dropped(day, tuner).after_session is None


def test_a_hold_is_released_with_a_reason_and_once(day, tuner):
    hold = hold_raise(
        hold_id=uuid.uuid4(), entry=day.entries[0], words="lever bent", by=tuner, at=local(9)
    )
    with pytest.raises(ValidationError, match="a release has a reason"):
        hold_release(hold_id=hold.pk, by=tuner, at=local(9, 5), reason="  ")
    released = hold_release(hold_id=hold.pk, by=tuner, at=local(9, 5), reason=" new lever ")
    assert (released.release_reason, released.released_at) == ("new lever", local(9, 5))


def task(text: str, cost: int) -> SimpleNamespace:
    return SimpleNamespace(item=SimpleNamespace(text=text, miss_cost=cost))


def test_what_a_delay_costs_is_told_the_most_costly_first():
    cost = DelayCost(
        minutes=10,
        lost=[task("Sag", 20), task("Pressures", 50), task("Photo", 5), task("Photo", 5)],
        saved=[task("Photo", 5), task("Wear", 7), task("Chain", 30)],
        chances=[],
    )
    assert cost._net() == [("Pressures", 1), ("Chain", -1), ("Sag", 1), ("Wear", -1), ("Photo", 1)]
    assert cost.fewer_missed == [("Chain", 1), ("Wear", 1)]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Identify, tag, photo", "identify"),
        ("Hot pressures: within five minutes, both ends", "hot pressures"),
        ("Sag", "sag"),
    ],
)
def test_a_task_is_named_by_what_stands_before_the_first_comma_or_colon(text, name):
    assert short_name(text) == name


@pytest.mark.parametrize(
    ("changed", "outings", "said"),
    [
        (local(9, 30), [], False),
        (local(8, 30), [local(9)], True),  # before the first outing
        (local(9), [local(9)], False),  # as it went out, or later
        (local(9), [local(9), local(10)], True),  # from the outing before that on
        (local(8, 59), [local(9), local(10)], False),
        (local(9, 59), [local(9), local(10)], True),
        (local(10), [local(9), local(10)], False),
    ],
)
def test_a_bike_was_changed_last_time_if_it_was_between_its_last_two_outings(
    changed, outings, said
):
    went = [SimpleNamespace(went=True, out_at=at) for at in outings]
    stayed = SimpleNamespace(went=False, out_at=local(11))
    where = SimpleNamespace(outings=[*went, stayed])
    assert _changed_last_time([changed], where) is said
