"""Whatever is said of the day through the act door, the plan follows at once and is valid."""

from datetime import timedelta

import pytest

from jobs import planning
from jobs.acts.enums import Outcome
from jobs.people.enums import Role
from jobs.people.models import User
from jobs.planning import Assignment, Plan, StoppedBy
from jobs.trackday.enums import Move
from jobs.trackday.models import BikeMove, CrewDay, Entry
from jobs.worklist.enums import Cadence
from jobs.worklist.planned.minutes import minute_to
from jobs.worklist.planned.problem import day_problem
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from tests.acts.doing import clock_set, do
from tests.board.conftest import _cold, build  # noqa: F401
from tests.days import local

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(build):  # noqa: F811
    return build(12)


def planned(day):
    """The slots in force, judged by the planner's own independent check."""
    read = day_read(day.trackday)
    stored = plan_refresh(day=read)
    problem = day_problem(read)
    known = {str(task.id) for task in problem.day.tasks}
    kept = [
        Assignment(task, start, tuple(people))
        for task, (start, people) in stored.slots.items()
        if task in known and start >= problem.now
    ]
    missed = known - {a.task for a in kept} - {a.task for a in problem.locked}
    made = Plan(
        assignments=(*(a for a in problem.locked if a.start < problem.now), *kept),
        missed=tuple(planning.MissedTask(task) for task in sorted(missed)),
        late=(),
        cost=sum(t.miss_cost for t in problem.day.tasks if t.id in missed),
        seed=1,
        iterations=0,
        stopped_by=StoppedBy.ITERATIONS,
        input_hash=planning.input_hash(problem.day),
    )
    assert planning.validate(problem.day, made, locked=problem.locked, now=problem.now) == []
    return slots_of(stored)


def at_work(day, slots, person, start, end):
    """The tasks somebody has between two moments, by id."""
    read = day_read(day.trackday)
    zero = day_problem(read).zero
    tasks = {task.id: task for bike in read.bikes for task in bike.tasks}
    first, last = minute_to(zero, start), minute_to(zero, end)
    return [
        task_id
        for task_id, slot in slots.items()
        if person.pk in slot.people
        and slot.start < last
        and first < slot.start + tasks[task_id].item.minutes
    ]


def test_lunches_in_turns_are_kept_free_and_never_all_at_once(day, tuner, helper):
    day_id = day.trackday.pk
    second = User.objects.create(username="second", first_name="Ola", role=Role.HELPER)
    do("crew joins", tuner, day.trackday, trackday=day_id, user=second.pk)
    before = planned(day)
    times = {"start": local(12).isoformat(), "end": local(13).isoformat(), "minutes": 30}
    act = do("lunches", tuner, day.trackday, trackday=day_id, **times)
    assert act.answer["text"] == "Lunch: Tess 12:00, Hal 12:00, Ola 12:30."
    slots = planned(day)
    assert slots != before
    for person, start in ((tuner, local(12)), (helper, local(12)), (second, local(12, 30))):
        half = start + timedelta(minutes=30)
        assert at_work(day, slots, person, start, half) == []
    assert at_work(day, slots, second, local(12), local(12, 30))


def test_one_persons_lunch_and_time_to_leave(day, tuner, helper):
    times = {"lunch_from": local(11).isoformat(), "lunch_to": local(11, 30).isoformat()}
    who = {"trackday": day.trackday.pk, "user": helper.pk}
    assert at_work(day, planned(day), helper, local(15), local(18))
    do("crew times", tuner, day.trackday, **who, **times, leaves_at=local(15).isoformat())
    slots = planned(day)
    assert at_work(day, slots, helper, local(11), local(11, 30)) == []
    assert at_work(day, slots, helper, local(15), local(22)) == []
    assert at_work(day, slots, helper, local(11, 30), local(15))
    clock_set(day.trackday, local(11, 10))
    assert day_read(day.trackday).lunch_until(helper.pk) == local(11, 30)


@pytest.mark.parametrize(
    ("times", "says"),
    [
        ({"joins_at": local(9), "leaves_at": local(8)}, "The end is not after the beginning."),
        ({"lunch_from": local(12)}, "Lunch needs a beginning and a length."),
        ({"lunch_from": local(12), "lunch_to": local(11)}, "Lunch needs a beginning and a length."),
    ],
)
def test_times_that_cannot_be_are_refused_and_nothing_is_lost(day, tuner, helper, times, says):
    given = {name: moment.isoformat() for name, moment in times.items()}
    was = CrewDay.objects.values().get(user=helper)
    act = do("crew times", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk, **given)
    assert (act.outcome, act.answer["text"]) == (Outcome.REFUSED, says)
    assert CrewDay.objects.values().get(user=helper) == was


def test_a_turn_longer_than_lunch_is_refused(day, tuner):
    times = {"start": local(12).isoformat(), "end": local(12, 20).isoformat(), "minutes": 30}
    act = do("lunches", tuner, day.trackday, trackday=day.trackday.pk, **times)
    assert act.outcome == Outcome.REFUSED
    assert not CrewDay.objects.exclude(lunch_from=None).exists()


def test_a_second_tuner_takes_work_at_once(day, tuner):
    planned(day)
    second = User.objects.create(username="second", role=Role.TUNER)
    do("crew joins", tuner, day.trackday, trackday=day.trackday.pk, user=second.pk)
    slots = planned(day)
    assert at_work(day, slots, second, local(9, 45), local(18))


def test_a_late_arrival_is_planned_from_then_on(day, helper):
    entry = day.entries[0]
    BikeMove.objects.filter(entry=entry, move=Move.ARRIVED).delete()
    assert not once_tasks(day, entry) & set(planned(day))
    do("arrived", helper, day.trackday, entry=entry.pk)
    assert once_tasks(day, entry) & set(planned(day))


def once_tasks(day, entry):
    bike = day_read(day.trackday).by_entry[entry.pk]
    return {task.id for task in bike.tasks if task.item.cadence == Cadence.ONCE}


def test_a_walk_up_gets_its_safety_check(day, helper):
    clock_set(day.trackday, local(8, 15))
    planned(day)
    group = day.groups[3]
    act = do("walk-up", helper, day.trackday, trackday=day.trackday.pk, group=group.pk, name="Wim")
    entry = Entry.objects.get(pk=act.answer["entry"])
    slots = planned(day)
    bike = day_read(day.trackday).by_entry[entry.pk]
    assert next(t.id for t in bike.tasks if t.item.code == "safety") in slots


def test_a_cancelled_session_frees_the_crew(day, tuner):
    session = day.sessions[8]
    planned(day)
    of_it = {
        task.id
        for bike in day_read(day.trackday).bikes
        for task in bike.tasks
        if task.session_id == session.pk
    }
    assert of_it & set(planned(day))
    do("session cancel", tuner, day.trackday, session=session.pk)
    assert not of_it & set(planned(day))


def test_a_group_swap_moves_the_bikes_tasks_with_it(day, tuner):
    entry = day.entries[0]
    planned(day)
    do("group swap", tuner, day.trackday, entry=entry.pk, group=day.groups[1].pk)
    slots = planned(day)
    bike = day_read(day.trackday).by_entry[entry.pk]
    ahead = [task for task in bike.tasks if task.id in slots and task.session_id is not None]
    new = {s.pk for s in day.sessions if s.group == day.groups[1]}
    assert ahead
    assert {t.session_id for t in ahead} <= new | {day.sessions[0].pk}  # A 1 is over
