"""Which task comes first: the bike's own reason, the cost of missing it, and the time left."""

from datetime import timedelta
from types import SimpleNamespace

import pytest

from jobs.worklist.derive import Task
from jobs.worklist.enums import TaskState
from jobs.worklist.models import ChecklistItem
from jobs.worklist.slack import priority, reason, weight
from tests.days import local

AT = local(9, 30)


def bike(**more):
    usual = {
        "holds": [], "changed_last_time": False, "outings": (), "complaint": "",
        "first_day": False, "roll": local(10),
    }  # fmt: skip
    told = SimpleNamespace(**{**usual, **more})
    told.where = SimpleNamespace(outings=told.outings, roll=told.roll)
    told.entry = SimpleNamespace(complaint=told.complaint)
    return told


def task(left, *, state=TaskState.OPEN, must_start=False, **item):
    """A task of 4 minutes that has to be begun within ``left`` minutes from now."""
    item = ChecklistItem(**{"minutes": 4, "people": 1, "miss_cost": 40, **item})
    item.must_start = must_start
    closes = AT + timedelta(minutes=left + (0 if must_start else 4))
    return Task(None, None, None, item, local(9), closes, state)


WENT, STAYED = SimpleNamespace(went=True), SimpleNamespace(went=False)


def test_bikes_in_the_order_of_their_weight():
    seen = [
        bike(changed_last_time=True, complaint="pumps"),
        bike(outings=(STAYED, WENT), complaint="pumps"),
        bike(outings=(WENT, WENT), complaint="pumps", first_day=True),
        bike(first_day=True),
        bike(),
        bike(holds=["oil"], changed_last_time=True),
    ]
    assert [weight(one) for one in seen] == [
        (4.0, "changed last time"),
        (3.0, "first session of the day"),
        (2.0, "“pumps”"),
        (1.0, "first day with us"),
        (1.0, ""),
        (0.5, "held"),
    ]


def test_the_less_time_is_left_the_sooner():
    pressing = [priority(task(left), bike(), AT) for left in (0, 5, 30)]
    assert pressing == sorted(pressing, reverse=True)
    assert pressing[0] == pytest.approx(10)  # 40 / (4 min * 1 person), nothing faded


def test_dear_work_comes_before_long_work_and_work_for_two():
    usual = priority(task(5), bike(), AT)
    assert priority(task(5, miss_cost=80), bike(), AT) == pytest.approx(2 * usual)
    assert priority(task(5, people=2), bike(), AT) == pytest.approx(usual / 2)


def test_overdue_safety_presses_more_and_more_up_to_a_bound_and_other_late_work_less():
    safety = [priority(task(left, safety=True), bike(), AT) for left in (-24, -12, 0)]
    assert safety[0] > safety[1] > safety[2]
    assert priority(task(-60, safety=True), bike(), AT) == safety[0]
    other = [priority(task(left), bike(), AT) for left in (-24, -12, 0)]
    assert other[0] < other[1] < other[2]


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (task(0), "rolls in 30 minutes"),
        (task(-1), "overdue"),
        (task(2, must_start=True), "fades: start within 2 minutes"),
        (task(1, must_start=True), "fades: start within 1 minute"),
        (task(0, must_start=True), "start now: it fades"),
        (task(-1, must_start=True), "overdue"),
        (task(5, state=TaskState.LATER), "later"),
    ],
)
def test_the_time_left_is_told(one, words):
    assert reason(one, bike(), AT) == words


def test_without_a_next_roll_the_minutes_to_its_own_end_are_told():
    assert reason(task(5), bike(roll=None), AT) == "5 minutes left"
    assert reason(task(5), bike(roll=None, first_day=True), AT) == (
        "first day with us, 5 minutes left"
    )
