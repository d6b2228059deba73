"""How likely follow-ups are: counted aside, dropped when the day moves on, learned from days."""

from datetime import timedelta

import pytest

from jobs import planning
from jobs.outbox.registry import HANDLERS
from jobs.planning import Experience, Statement
from jobs.trackday.models import CrewDay, Trackday
from jobs.worklist.enums import Cadence, TaskState
from jobs.worklist.models import DayPlan, DayStatements, TaskMark
from jobs.worklist.planned.chances import chance_of, next_follow_ups
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.services.plans import CHANCES
from jobs.worklist.services.statements import experience_learn
from tests.acts.doing import bike_now, clock_set, do
from tests.board.conftest import _cold, build  # noqa: F401
from tests.days import local
from tests.worklist.test_plan import asked_for, done_by_the_outbox, kept

pytestmark = pytest.mark.django_db
AFTER_THE_FIRST_SESSION = local(9, 22)


@pytest.fixture
def day(build):  # noqa: F811
    return build(8, at=AFTER_THE_FIRST_SESSION)


def follow_up(bike):
    return next_follow_ups(bike.tasks)[0]


def said(day):
    kept(day)
    assert done_by_the_outbox(CHANCES)
    return DayPlan.objects.get()


def test_each_bike_gets_the_chance_of_its_next_follow_up(day):
    plan = said(day)
    read, _plan = kept(day)
    known = {bike.entry.number: chance_of(plan, bike) for bike in read.bikes}
    assert None not in known.values()
    assert all(5 <= chance <= 95 and chance % 5 == 0 for chance in known.values())
    left_out = [b for b in read.bikes if str(follow_up(b).id) not in plan.slots]
    assert {chance_of(plan, bike) for bike in left_out} <= {15}


def test_a_bike_without_a_follow_up_to_do_has_no_chance(day, tuner):
    plan = said(day)
    bike = bike_now(day.entries[0])
    for task in [t for t in bike.tasks if t.item.cadence == Cadence.FOLLOW_UP]:
        drop = {"entry": bike.entry.pk, "item": task.item.pk, "session": task.session_id}
        do("skip", tuner, day.trackday, **drop, reason="the rider wants none")
    assert chance_of(plan, bike_now(day.entries[0])) is None


def test_the_cost_to_expect_is_not_below_what_the_plan_says(day):
    plan = said(day)
    mean, low, high = plan.chances["cost"]
    assert plan.cost <= low <= mean <= high


def test_a_plan_that_was_replaced_gets_no_chances(day, tuner):
    kept(day)
    (job,) = asked_for(CHANCES)
    finish = HANDLERS[CHANCES](job)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    kept(day)
    assert finish() is False
    assert DayPlan.objects.get().chances is None
    assert HANDLERS[CHANCES](job) is None


def test_what_is_said_twice_in_a_band_is_remembered_once(day):
    said(day)
    remembered = DayStatements.objects.get().follow_ups
    assert remembered
    assert {len(each) for each in remembered.values()} == {1}
    clock_set(day.trackday, AFTER_THE_FIRST_SESSION + timedelta(minutes=1))
    DayPlan.objects.all().delete()
    said(day)
    assert {len(each) for each in DayStatements.objects.get().follow_ups.values()} == {1}


def test_a_delay_says_whose_chance_it_changes_and_changes_no_plan(day, tuner):
    """Which follow-ups lose by it hangs on the plan the search finds; see tests/planning."""
    CrewDay.objects.filter(user=tuner).update(leaves_at=local(10, 15))
    read, plan = kept(day)
    for minutes in (5, 10, 15, 30):
        cost = delay_cost(read, plan, minutes)
        falls = [one.after - one.before for one in cost.chances]
        assert falls == sorted(falls)
        assert 0 not in falls
        known = {bike.entry.pk for bike in read.bikes}
        assert {one.bike.entry.pk for one in cost.chances} <= known
        said = {each for one in cost.chances for each in (one.before, one.after)}
        assert all(5 <= each <= 95 and each % 5 == 0 for each in said)
        assert all(one.falls for one in cost.falling)
        assert not any(one.falls for one in cost.rising)
    assert DayPlan.objects.get().slots == plan.slots


def yesterday(day, *, done):
    """The day becomes one of before: what was said of it, and what came."""
    plan = said(day)
    statements = DayStatements.objects.get()
    for entry in day.entries:
        for task in bike_now(entry).tasks:
            if str(task.id) in statements.follow_ups or task.item.cadence == Cadence.EVERY:
                if task.item.cadence == Cadence.FOLLOW_UP and not done:
                    continue
                TaskMark.objects.create(
                    task_id=task.id,
                    entry=entry,
                    session_id=task.session_id,
                    item=task.item,
                    mark="done",
                    by=day.trackday.crew.first().user,
                    done_at=task.opens,
                )
    return plan


@pytest.mark.parametrize("done", [True, False])
def test_the_next_day_learns_what_came_of_it(day, done):
    yesterday(day, done=done)
    statements = DayStatements.objects.get()
    said_before = statements.follow_ups
    tomorrow = Trackday.objects.get(pk=day.trackday.pk)
    tomorrow.pk, tomorrow.date = None, tomorrow.date + timedelta(days=1)
    tomorrow.save()
    experience_learn(before=tomorrow, earlier=[day.trackday.pk], spread=0.3)
    learned = DayStatements.objects.get(trackday=tomorrow)
    known = Experience.from_json(learned.learned)
    statements.refresh_from_db()
    assert learned.spread == 0.3
    assert statements.came["follow_ups"] == dict.fromkeys(said_before, done)
    assert sum(known.said.values()) == len(said_before)
    assert sum(known.came.values()) == (len(said_before) if done else 0)
    one = Statement(*next(iter(said_before.values()))[0])
    assert known.said[one.band] > 0
    moved = known.chance(one) - Experience().chance(one)
    assert moved >= 0 if done else moved < 0


def test_a_day_on_which_nobody_ticked_teaches_nothing(day):
    said(day)
    statements = DayStatements.objects.get()
    clock_set(day.trackday, local(18))
    TaskMark.objects.all().delete()
    experience_learn(before=day.trackday, earlier=[day.trackday.pk], spread=0.3)
    statements.refresh_from_db()
    assert statements.came == {"follow_ups": {}, "cost": None}
    assert Experience.from_json(statements.learned) == planning.Experience()


def test_what_is_missed_costs_as_its_checklist_says(day):
    yesterday(day, done=False)
    experience_learn(before=day.trackday, earlier=[day.trackday.pk], spread=0.3)
    statements = DayStatements.objects.get()
    _start, end = local(0), local(23, 59)
    missed = [
        str(task.id)
        for entry in day.entries
        for task in bike_now(entry, end).tasks
        if task.state == TaskState.MISSED
    ]
    costs = statements.cost["tasks"]
    assert statements.came["cost"] == sum(costs[task] for task in missed if task in costs) > 0
