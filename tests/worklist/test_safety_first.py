"""The arrival check comes before all else of a bike's first roll, and nothing outweighs it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs import planning
from jobs.planning import BoundedPlan
from jobs.trackday.models import BikeMove
from jobs.worklist.enums import Cadence, TaskState
from jobs.worklist.models import DayPlan, TaskMark
from jobs.worklist.planned.minutes import minute_to
from jobs.worklist.planned.offer import as_offer
from jobs.worklist.planned.problem import day_problem
from jobs.worklist.planned.stored import as_stored, slots_of
from jobs.worklist.rounds import bikes_to_see_first, ranked_steps, rounds
from jobs.worklist.selectors import arrival_checks_unmade, day_read
from jobs.worklist.services import plan_refresh
from jobs.worklist.services.plans import plan_publish_better
from tests.acts.doing import bike_now, clock_set, do, item, pre_grid, task_now, tick
from tests.board.conftest import _cold, build  # noqa: F401
from tests.days import local
from tests.worklist.late_bikes import ROLL, all_come, late_day

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(cast, monkeypatch):
    monkeypatch.setattr("jobs.worklist.services.plans.PAGE_SEARCH_SECONDS", None)
    return late_day(cast)


def in_force(day):
    read = day_read(day.trackday)
    return read, plan_refresh(day=read), day_problem(read)


def test_every_round_has_arrival_safety_first_and_no_pre_grid_check_before_it(day, cast):
    all_come(day, cast)
    read, stored, problem = in_force(day)
    slots = slots_of(stored)
    for one in rounds(read, slots=slots):
        assert {step.task.item.code for step in one.now} == {"safety"}
        assert "pre-grid" not in {step.task.item.code for step in [*one.now, *one.spare]}
    starts = {
        (t.entry.pk, t.item.code): slots[i].start for i, t in problem.tasks.items() if i in slots
    }
    checked = [entry for entry, code in starts if code == "safety"]
    assert len(checked) == 4  # two people, eleven minutes, five minutes each
    first = day.sessions[0].pk
    for task in problem.tasks.values():
        if task.item.cadence == Cadence.BEFORE and task.session_id == first and task.id in slots:
            assert slots[task.id].start >= starts[task.entry.pk, "safety"] + 5
    assert stored.first_missed == 2
    left_out = {str(i) for i, t in problem.tasks.items() if t.item.arrival_check and i not in slots}
    assert {missed["task"] for missed in stored.missed[:2]} == left_out


def test_late_booked_bikes_get_safety_pressures_and_count_only(day, cast):
    all_come(day, cast)
    bike = bike_now(day.entries[0])
    assert bike.came_late
    assert {t.item.code for t in bike.tasks if t.item.cadence == Cadence.ONCE} == {
        *("identify", "safety", "cold-pressures", "count"),
    }
    do("delay", cast.tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    assert not bike_now(day.entries[0]).came_late  # half an hour is left again
    assert "sag" in {t.item.code for t in bike_now(day.entries[0]).tasks}


def test_a_bike_that_comes_after_its_first_session_is_late(day, cast):
    clock_set(day.trackday, local(9, 30))
    do("arrived", cast.helper, day.trackday, entry=day.entries[0].pk)
    bike = bike_now(day.entries[0])
    assert (bike.came_late, bike.rolled_unchecked) == (True, False)


def test_the_check_is_possible_until_the_roll_and_the_pre_grid_check_requires_it(day, cast):
    all_come(day, cast)
    _read, _stored, problem = in_force(day)
    tasks = {str(t.id): t for t in problem.day.tasks}
    entry = day.entries[0]
    check = tasks[str(task_now(entry, "safety").id)]
    roll = minute_to(problem.zero, ROLL)
    assert (check.first, check.windows, check.due) == (True, ((roll - 15, roll),), roll - 5)
    assert tasks[str(pre_grid(entry).id)].requires == (check.id,)
    assert check.id in tasks[str(task_now(entry, "count").id)].after


def test_see_first_names_the_checks_of_bikes_that_roll_soon(build):  # noqa: F811
    """Other bikes came in hot at 09:38; one that rolls at 10:00 has no arrival check."""
    day = build(8, at=local(9, 40))
    entry = day.entries[3]
    TaskMark.objects.filter(entry=entry, item__code="safety").delete()
    ranked = ranked_steps(day_read(day.trackday))
    assert (ranked[0].task.entry, ranked[0].task.item.code) == (entry, "safety")
    first = bikes_to_see_first(day_read(day.trackday), ranked)
    assert (first[0].bike.entry, first[0].what) == (entry, "Arrival safety")


def test_what_is_begun_stays_and_a_pre_grid_check_begun_blocks_no_arrival_check(day, cast):
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 46))
    do("arrived", cast.helper, day.trackday, entry=entry.pk)
    check = pre_grid(entry)
    which = item(day.trackday, "pre-grid")
    do(
        "start task",
        cast.helper,
        day.trackday,
        entry=entry.pk,
        session=check.session_id,
        item=which.pk,
    )
    _read, stored, _problem = in_force(day)
    slots = slots_of(stored)
    assert slots[check.id].people == (cast.helper.pk,)
    assert task_now(entry, "safety").id in slots


def test_a_better_plan_that_leaves_out_a_check_is_not_published(day, cast):
    all_come(day, cast)
    _read, stored, problem = in_force(day)
    made = planning.plan(problem.day, now=problem.now, locked=problem.locked)
    worse = planning.Plan(
        **{**{n: getattr(made, n) for n in made.__dataclass_fields__}, "cost": 0, "first_missed": 3}
    )
    assert not plan_publish_better(stored=stored, problem=problem, plan=worse)
    DayPlan.objects.update(first_missed=3, cost=0)
    assert plan_publish_better(stored=stored, problem=problem, plan=made)
    assert DayPlan.objects.get().first_missed == made.first_missed == 2


def test_no_offer_leaves_out_a_check_whatever_it_saves(day, cast):
    """A cheaper plan that leaves out one more check is no offer, nor one that takes another's."""
    all_come(day, cast)
    _read, stored, problem = in_force(day)
    made = planning.plan(problem.day, now=problem.now, locked=problem.locked)
    DayPlan.objects.update(**as_stored(problem, made))
    stored.refresh_from_db()
    checks = [t for t in problem.day.tasks if t.first and str(t.id) in stored.slots]
    left_out = [t for t in problem.day.tasks if t.first and str(t.id) not in stored.slots]

    def offered(first_missed, cost, swap):
        done = [a for a in made.assignments if a.task != checks[0].id]
        if swap:
            done.append(planning.Assignment(left_out[0].id, problem.now, (cast.helper.pk,)))
        plan = replace(made, assignments=tuple(done), first_missed=first_missed, cost=cost)
        return as_offer(problem, stored, BoundedPlan(plan, bound=0, first_bound=first_missed))

    assert offered(stored.first_missed + 1, 0, swap=False) is None
    assert offered(stored.first_missed, 0, swap=True) is None
    fewer = offered(stored.first_missed - 1, stored.cost + 900, swap=True)
    assert fewer["plan"]["first_missed"] == stored.first_missed - 1


def test_a_bike_that_rolled_without_is_checked_when_it_is_back(day, cast):
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 55))
    do("arrived", cast.helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 5))
    bike = bike_now(entry)
    assert (bike.is_out, bike.rolled_unchecked, bike.arrival_checks[0].state) == (
        *(True, True, TaskState.LATER),
    )
    assert arrival_checks_unmade(entry)
    _read, stored, problem = in_force(day)
    check = next(t for t in problem.day.tasks if t.first)
    roll = minute_to(problem.zero, bike.where.roll)
    assert check.windows == ((minute_to(problem.zero, local(9, 20)), roll),)
    assert stored.first_missed == 0
    clock_set(day.trackday, local(9, 25))
    assert not any(
        step.task.item.code == "pre-grid"
        for one in rounds(day_read(day.trackday))
        for step in one.now
    )
    tick("safety", cast.helper, entry)
    assert not bike_now(entry).rolled_unchecked
    assert not arrival_checks_unmade(entry)


def test_an_outing_taken_back_was_none(day, cast):
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 55))
    do("arrived", cast.helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(9, 5))
    do("did not go out", cast.helper, day.trackday, entry=entry.pk, session=day.sessions[0].pk)
    assert not bike_now(entry).rolled_unchecked


def test_after_the_last_session_no_plan_asks_for_the_check(day, cast):
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 55))
    do("arrived", cast.helper, day.trackday, entry=entry.pk)
    clock_set(day.trackday, local(18))
    assert bike_now(entry).rolled_unchecked
    assert not any(task.first for task in in_force(day)[2].day.tasks)


def test_bikes_that_have_not_come_have_no_hour(day, cast):
    do("arrived", cast.helper, day.trackday, entry=day.entries[0].pk)
    _read, _stored, problem = in_force(day)
    assert {task.bike for task in problem.day.tasks} == {day.entries[0].pk}
    later = {t.entry.pk for t in problem.tasks.values()}
    assert later == {day.entries[0].pk}
    clock_set(day.trackday, local(8, 35) + timedelta(minutes=8))
    assert all(
        step.bike.entry.pk == day.entries[0].pk
        for one in rounds(day_read(day.trackday))
        for step in one.soon
    )
    assert not BikeMove.objects.filter(entry=day.entries[1]).exists()


def test_a_pre_grid_check_waits_for_a_check_without_time_and_goes_on_without_one_dropped(day, cast):
    entry = day.entries[0]
    clock_set(day.trackday, local(8, 46))
    do("arrived", cast.helper, day.trackday, entry=entry.pk)
    which = item(day.trackday, "safety")
    check = pre_grid(entry)
    clock_set(day.trackday, local(8, 50))
    dropped = do("drop", cast.tuner, day.trackday, entry=entry.pk, session=None, item=which.pk)
    assert check.id in slots_of(in_force(day)[1])
    assert "pre-grid" in codes_of_rounds(day)
    do("withdraw", cast.tuner, day.trackday, row=str(dropped.pk))
    assert in_force(day)[1].first_missed == 0
    assert "pre-grid" not in codes_of_rounds(day)
    BikeMove.objects.filter(entry=entry).update(at=local(8, 56))
    clock_set(day.trackday, local(8, 56))
    assert check.id not in slots_of(in_force(day)[1])
    assert "pre-grid" not in codes_of_rounds(day)


def codes_of_rounds(day):
    read, stored, _problem = in_force(day)
    shown = rounds(read, slots=slots_of(stored))
    return {step.task.item.code for one in shown for step in [*one.now, *one.spare]}
