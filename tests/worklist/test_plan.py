"""The day put to the planner: what is asked, what is locked, what people decide stays."""

import uuid
from datetime import timedelta

import pytest
from django.db.models.functions import Now
from django.urls import reverse

from jobs import planning
from jobs.acts.enums import Outcome
from jobs.outbox.models import Job
from jobs.outbox.registry import HANDLERS, JobInput
from jobs.worklist.enums import Cadence
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.chances import chance_of
from jobs.worklist.planned.planner_process import STEPS
from jobs.worklist.planned.problem import day_problem
from jobs.worklist.planned.stored import slots_of
from jobs.worklist.rounds import rounds
from jobs.worklist.selectors import day_read
from jobs.worklist.services import plan_refresh
from jobs.worklist.services.plans import BETTER, CHANCES, RELIEF
from tests.acts.doing import clock_set, do
from tests.board.conftest import _cold, build  # noqa: F401
from tests.days import local
from tests.markup import one_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def day(build):  # noqa: F811
    return build(8)


def kept(day):
    read = day_read(day.trackday)
    return read, plan_refresh(day=read)


def problem_of(day):
    return day_problem(day_read(day.trackday))


def open_task(day):
    """Something a helper can begin now and the plan has in it."""
    read, plan = kept(day)
    slots = slots_of(plan)
    return next(
        task
        for bike in read.bikes
        for task in bike.open_tasks
        if task.item.skill == "helper" and task.item.people == 1 and task.id in slots
    )


def payload(task):
    found = {"entry": task.entry.pk, "item": task.item.pk}
    return found if task.session_id is None else {**found, "session": task.session_id}


def test_the_plan_is_valid_for_the_planners_own_check(day):
    problem = problem_of(day)
    made = planning.plan(problem.day, now=problem.now, locked=problem.locked, iterations=50)
    assert planning.validate(problem.day, made, locked=problem.locked, now=problem.now) == []
    assert made.assignments


def test_every_round_comes_from_the_plan(day):
    read, plan = kept(day)
    slots = slots_of(plan)
    for shown in rounds(read, slots=slots):
        assert all(shown.person.pk in slots[step.task.id].people for step in shown.now)
        starts = [slots[step.task.id].start for step in shown.now]
        assert starts == sorted(starts)


def test_a_plan_is_in_force_until_the_day_changes(day):
    first = kept(day)[1]
    clock_set(day.trackday, local(9, 46))
    assert kept(day)[1].made_at == first.made_at
    assert DayPlan.objects.count() == 1


def test_a_tick_in_its_slot_leaves_the_plan_in_force(day, tuner):
    read, plan = kept(day)
    now = planning_minute(read)
    tasks = {t.id: t for bike in read.bikes for t in bike.open_tasks}
    task_id = next(t for t, s in slots_of(plan).items() if t in tasks and s.start <= now + 5)
    do("tick", tuner, day.trackday, **payload(tasks[task_id]))
    assert kept(day)[1].made_at == plan.made_at


def planning_minute(read):
    return day_problem(read).now


def test_a_delay_replaces_the_plan_at_once(day, tuner):
    first = kept(day)[1]
    clock_set(day.trackday, local(9, 47))
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    second = kept(day)[1]
    assert second.made_at - first.made_at == timedelta(minutes=2)
    assert second.windows != first.windows


def test_what_is_started_is_locked_to_whoever_has_it(day, helper):
    task = open_task(day)
    do("start task", helper, day.trackday, **payload(task))
    problem = problem_of(day)
    assert [(a.task, a.crew) for a in problem.locked] == [(str(task.id), (helper.pk,))]
    assert slots_of(kept(day)[1])[task.id].people == (helper.pk,)


def test_given_to_somebody_it_stays_with_them(day, tuner, helper):
    task = open_task(day)
    for person in (tuner, helper):
        do("swap person", tuner, day.trackday, **payload(task), person=person.pk)
        assert slots_of(kept(day)[1])[task.id].people == (person.pk,)


def test_a_helper_is_not_given_a_tuners_work(day, tuner, helper):
    read = day_read(day.trackday)
    task = next(t for b in read.bikes for t in b.tasks if t.item.skill == "tuner")
    act = do("swap person", tuner, day.trackday, **payload(task), person=helper.pk)
    assert act.outcome == Outcome.REFUSED


def test_dropped_it_is_planned_no_more_until_taken_back(day, tuner):
    task = open_task(day)
    act = do("drop", tuner, day.trackday, **payload(task))
    assert task.id not in problem_of(day).tasks
    do("withdraw", tuner, day.trackday, row=str(act.id))
    assert task.id in problem_of(day).tasks


def test_pinned_to_a_time_it_stays_there(day, tuner):
    task = open_task(day)
    at = problem_of(day).now + 4
    do("pin", tuner, day.trackday, **payload(task), person=tuner.pk, start_minute=at)
    slot = slots_of(kept(day)[1])[task.id]
    assert (slot.start, slot.people) == (at, (tuner.pk,))


def test_a_held_bike_is_not_prepared_to_roll(day, helper):
    entry = day.entries[0]
    do("hold", helper, day.trackday, entry=entry.pk, words="cords showing")
    tasks = problem_of(day).tasks.values()
    assert not [t for t in tasks if t.entry.pk == entry.pk and t.item.cadence == Cadence.BEFORE]


def test_a_helper_who_leaves_is_planned_no_further(day, tuner, helper):
    before = kept(day)[1]
    assert any(helper.pk in slot.people for slot in slots_of(before).values())
    do("crew leaves", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk)
    after = slots_of(kept(day)[1])
    assert not any(helper.pk in slot.people for slot in after.values())


def test_a_day_without_crew_has_no_plan(day):
    day.trackday.crew.all().delete()
    assert kept(day)[1] is None


def asked_for(handler):
    """The work that waits for a handler, as the outbox hands it out."""
    return [
        JobInput(job.id, job.payload) for job in Job.objects.filter(handler=handler, done_at=None)
    ]


def done_by_the_outbox(handler):
    """Do the work that waits for a handler; what its effect answered."""
    (job,) = asked_for(handler)
    finish = HANDLERS[handler](job)
    Job.objects.filter(pk=job.id).update(done_at=Now())
    return finish and finish()


def test_better_plans_are_published_step_by_step(build):  # noqa: F811
    day = build(20)
    costs, revisions = [kept(day)[1].cost], []
    for _step in STEPS:
        published = done_by_the_outbox(BETTER)
        plan = DayPlan.objects.get()
        assert published == (plan.cost < costs[-1])
        costs.append(plan.cost)
        day.trackday.refresh_from_db()
        revisions.append(day.trackday.revision)
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]
    assert revisions[-1] > 0  # every screen hears of it
    assert not asked_for(BETTER)
    assert kept(day)[1].cost == costs[-1]


def test_a_step_is_dropped_when_its_input_has_moved_on(build, tuner):  # noqa: F811
    day = build(20)
    kept(day)
    (work,) = asked_for(BETTER)
    finish = HANDLERS[BETTER](work)
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    moved_on = kept(day)[1]
    assert not finish()
    assert HANDLERS[BETTER](work) is None
    assert DayPlan.objects.get().slots == moved_on.slots


def test_what_would_help_is_worked_out_by_a_worker_and_shown(build, signed_in, tuner):  # noqa: F811
    day = build(20)
    browser, url = signed_in(tuner), reverse("board:relief", args=[day.trackday.pk])
    assert "Counting what would help" in browser.get(url).content.decode()
    browser.get(url)
    assert done_by_the_outbox(RELIEF)
    page = browser.get(url).content.decode()
    assert "One more helper from" in page
    assert "saves" in page
    board = browser.get(reverse("board:day", args=[day.trackday.pk])).content.decode()
    assert "One more helper from" in board


def test_work_that_could_wait_is_put_off_in_one_tap(day, signed_in, tuner):
    read, plan = kept(day)
    sag = next(t for b in read.bikes for t in b.tasks if t.item.code == "sag")
    session = [s for s in day.sessions if s.group_id == sag.entry.group_id][2]
    lost = plan.missed[0]["task"]
    moved = {"task": str(sag.id), "start": 720, "after_session": session.pk}
    relief = {"helper": None, "moved": {"tasks": [moved], "saves": [lost], "gain": 60}}
    DayPlan.objects.update(relief=relief)
    page = signed_in(tuner).get(reverse("board:relief", args=[day.trackday.pk])).content.decode()
    assert f"{sag.entry.number} Sag, with the rider in kit: after {session}, 12:00" in page
    assert f'name="after_session" value="{session.pk}"' in page
    assert "that saves 1 task:" in page


def test_for_a_plan_with_something_missed_a_better_one_is_enqueued_once(day):
    plan = kept(day)[1]
    assert plan.cost
    kept(day)
    assert Job.objects.filter(handler="worklist.plan").count() == 1


def test_the_board_says_what_will_not_fit_and_why(build, signed_in, tuner):  # noqa: F811
    day = build(40)
    page = signed_in(tuner).get(reverse("board:day", args=[day.trackday.pk])).content.decode()
    assert "Will not fit in the next hour" in page
    assert "has until" in page
    assert 'value="drop"' in page


@pytest.mark.parametrize("person", ["tuner", "helper"])
def test_dropping_from_the_board(build, signed_in, request, person):  # noqa: F811
    user = request.getfixturevalue(person)
    day = build(40)
    browser = signed_in(user)
    task = open_task(day)
    url = reverse("board:do", args=[day.trackday.pk])
    form = {"kind": "drop", "act_id": str(uuid.uuid4()), **payload(task)}
    assert browser.post(url, form).status_code == 302
    assert task.id not in problem_of(day).tasks


def left_out(day, **item):
    """A task the plan leaves out, and its entry in the plan as kept."""
    read, plan = kept(day)
    tasks = {str(task.id): task for bike in read.bikes for task in bike.tasks}
    return next(
        (tasks[missed["task"]], missed)
        for missed in plan.missed
        if all(getattr(tasks[missed["task"]].item, name) == value for name, value in item.items())
        and missed["gap"]
    )


def test_what_does_not_fit_is_offered_the_next_gap_and_fits_there(build, tuner, helper):  # noqa: F811
    day = build(5)
    away = {"lunch_from": local(9, 50).isoformat(), "lunch_to": local(11).isoformat()}
    do("crew times", tuner, day.trackday, trackday=day.trackday.pk, user=helper.pk, **away)
    task, missed = left_out(day, movable=True)
    session_id, _start = missed["gap"]
    act = do("put off", tuner, day.trackday, **payload(task), after_session=session_id)
    assert act.outcome == Outcome.APPLIED
    read, plan = kept(day)
    moved = next(t for bike in read.bikes for t in bike.tasks if t.id == task.id)
    assert moved.session_id == task.session_id
    assert moved.opens > task.opens
    assert slots_of(plan)[task.id].start >= problem_of(day).now
    assert moved.opens <= moved.latest_start <= moved.closes
    do("withdraw", tuner, day.trackday, row=str(act.id))
    back = next(t for bike in day_read(day.trackday).bikes for t in bike.tasks if t.id == task.id)
    assert (back.opens, back.closes) == (task.opens, task.closes)


def test_a_read_that_fades_is_not_put_off(day, tuner):
    read = day_read(day.trackday)
    task = next(t for b in read.bikes for t in b.tasks if t.item.must_start)
    act = do("put off", tuner, day.trackday, **payload(task), after_session=day.sessions[-1].pk)
    assert act.outcome == Outcome.REFUSED
    assert "belongs to its own time" in act.answer["text"]


def test_put_off_and_given_to_somebody_both_hold(day, tuner):
    read = day_read(day.trackday)
    task = next(t for b in read.bikes for t in b.tasks if t.item.code == "follow-up")
    later = [s for s in day.sessions if s.group_id == task.entry.group_id][-2]
    do("put off", tuner, day.trackday, **payload(task), after_session=later.pk)
    do("swap person", tuner, day.trackday, **payload(task), person=tuner.pk)
    read = day_read(day.trackday)
    assert next(t for b in read.bikes for t in b.tasks if t.id == task.id).opens > task.opens
    assert day_problem(read).day.tasks
    assert {t.skill for t in day_problem(read).day.tasks if t.id == str(task.id)} == {
        f"person {tuner.pk}"
    }


def test_every_answer_is_on_the_board_and_on_the_plan(build, signed_in, tuner):  # noqa: F811
    day = build(40)
    kept(day)
    for name in ("day", "plan"):
        page = signed_in(tuner).get(reverse(f"board:{name}", args=[day.trackday.pk]))
        text = page.content.decode()
        for kind in ("drop", "start task", "swap person"):
            assert f'value="{kind}"' in text


def test_pinned_from_the_plan_page_and_let_go_again(day, signed_in, tuner):
    browser = signed_in(tuner)
    kept(day)
    url = reverse("board:plan", args=[day.trackday.pk])
    assert "Stays at" in browser.get(url).content.decode()
    task = open_task(day)
    slot = slots_of(kept(day)[1])[task.id]
    form = {"kind": "pin", "person": slot.people[0], "start_minute": slot.start, "next": url}
    act_id = str(uuid.uuid4())
    answer = browser.post(
        reverse("board:do", args=[day.trackday.pk]), {**form, "act_id": act_id, **payload(task)}
    )
    assert answer.url == url
    page = one_line(browser.get(url).content.decode())
    assert ">pinned</span>" in page
    assert f'value="{act_id}">Let the planner decide' in page


def named_plan(day):
    """The plan and its chances, in words that hang on no id."""
    kept(day)
    assert done_by_the_outbox(CHANCES)
    read, plan = kept(day)
    slots = slots_of(plan)
    names = {member.user.pk: member.user.username for member in read.crew}
    sessions = {times.session.pk: times.session.number for times in read.times}
    found = {
        (b.entry.number, t.item.code, sessions.get(t.session_id)): (
            slots[t.id].start,
            [names[person] for person in slots[t.id].people],
        )
        for b in read.bikes
        for t in b.tasks
        if t.id in slots
    }
    return found, {bike.entry.number: chance_of(plan, bike) for bike in read.bikes}


def test_the_same_day_with_other_ids_is_planned_the_same(build, cast):  # noqa: F811
    """As on another database: ids of rows are others, and in text sort otherwise."""
    one = build(8, at=local(9, 22))
    once = named_plan(one)
    again = build(8, at=local(9, 22))
    assert not {e.pk for e in one.entries} & {e.pk for e in again.entries}
    assert named_plan(again) == once
    assert len(once[0]) > 40
    assert None not in once[1].values()
