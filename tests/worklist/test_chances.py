"""How likely follow-ups are: counted aside, dropped when the day moves on, learned from days."""

from datetime import timedelta

import pytest

from jobs import planning
from jobs.board.day.plan import expected_cost
from jobs.outbox.registry import HANDLERS
from jobs.planning import Experience, Statement
from jobs.trackday.models import CrewDay, Trackday
from jobs.worklist.enums import Cadence, TaskState
from jobs.worklist.models import DayPlan, DayStatements, TaskMark
from jobs.worklist.planned.chances import chance_of, chances_to_rank_by, next_follow_ups
from jobs.worklist.planned.delay_preview import delay_cost
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import least_likely_first, ranked_steps
from jobs.worklist.selectors import day_read
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


def is_planned(day, plan, entry):
    bike = day_read(day.trackday).by_entry[entry]
    return str(follow_up(bike).id) in plan.slots


def done_at(task, by):
    return TaskMark.objects.create(
        task_id=task.id,
        entry=task.entry,
        session_id=task.session_id,
        item=task.item,
        mark="done",
        by=by,
        done_at=task.opens,
    )


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


def test_chances_are_dropped_when_the_day_has_moved_on_before_anybody_looked(day, tuner):
    kept(day)
    (job,) = asked_for(CHANCES)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    assert HANDLERS[CHANCES](job) is None
    assert DayPlan.objects.get().chances is None
    assert not DayStatements.objects.exclude(follow_ups={}).exists()


def test_while_the_chances_of_a_new_plan_are_counted_those_before_rank_and_are_not_shown(
    day, tuner
):
    before = chances_to_rank_by(said(day))
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    read, plan = kept(day)
    assert chances_to_rank_by(plan) == before != {}
    assert {chance_of(plan, bike) for bike in read.bikes} == {None}
    assert expected_cost(plan) is None
    assert done_by_the_outbox(CHANCES)
    read, plan = kept(day)
    shown = {bike.entry.pk: chance_of(plan, bike) for bike in read.bikes}
    assert chances_to_rank_by(plan) == shown


@pytest.fixture
def two_wait(day, cast):
    """Bikes whose hot readings are done, so that their follow-ups are what is open."""
    clock_set(day.trackday, AFTER_THE_FIRST_SESSION)
    for entry in day.entries:
        for task in bike_now(entry).tasks:
            if task.item.code == "hot-reads" and task.is_open:
                done_at(task, cast.helper)
    clock_set(day.trackday, AFTER_THE_FIRST_SESSION + timedelta(minutes=3))
    return day


def order_of(day, chances):
    """The ranked steps, as (code, entry), before and after chances have a say."""
    read, plan = kept(day)
    ranked = ranked_steps(read, slots_of(plan))
    moved = least_likely_first(ranked, slots_of(plan), chances)
    return *([(s.task.item.code, s.task.entry.pk) for s in each] for each in (ranked, moved)), plan


def follow_ups_in(order):
    return [entry for code, entry in order if code == "follow-up"]


def test_like_chances_keep_the_order_and_the_least_likely_is_seen_first(two_wait):
    plain, same, plan = order_of(two_wait, {e.pk: 80 for e in two_wait.entries})
    planned = [e for e in follow_ups_in(plain) if is_planned(two_wait, plan, e)]
    assert len(planned) >= 2
    assert follow_ups_in(same)[: len(planned)] == planned
    last = planned[-1]
    chances = {e.pk: 30 if e.pk == last else 95 for e in two_wait.entries}
    _plain, moved, _plan = order_of(two_wait, chances)
    assert follow_ups_in(moved)[0] == last
    others = [(place, one) for place, one in enumerate(plain) if one[0] != "follow-up"]
    assert others == [(place, moved[place]) for place, _one in others]


def test_what_the_plan_leaves_out_is_seen_after_what_it_has(two_wait):
    read, plan = kept(two_wait)
    first = follow_ups_in(order_of(two_wait, {})[0])[0]
    task = follow_up(next(b for b in read.bikes if b.entry.pk == first))
    DayPlan.objects.update(slots={t: s for t, s in plan.slots.items() if t != str(task.id)})
    chances = {e.pk: 15 if e.pk == first else 95 for e in two_wait.entries}
    plain, moved, _plan = order_of(two_wait, chances)
    assert follow_ups_in(moved)[-1] == first
    assert sorted(plain) == sorted(moved)


def test_no_chance_moves_a_safety_check_from_its_place(two_wait):
    entry = two_wait.entries[3]  # rolls at 10:00
    TaskMark.objects.filter(entry=entry, item__code="safety").delete()
    read, plan = kept(two_wait)
    chances = {e.pk: 5 for e in two_wait.entries}
    ranked = ranked_steps(read, slots_of(plan))
    moved = least_likely_first(ranked, slots_of(plan), chances)
    assert moved[0].task.item.code == ranked[0].task.item.code == "safety"
    safety = [place for place, step in enumerate(ranked) if step.task.item.safety]
    assert [moved[place] for place in safety] == [ranked[place] for place in safety]


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
                done_at(task, day.trackday.crew.first().user)
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
