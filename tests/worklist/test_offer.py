"""A better round waits to be taken: nothing moves before, and an offer gone loses nothing."""

import pytest
from django.urls import reverse

from jobs import planning
from jobs.acts.enums import Outcome
from jobs.worklist.models import DayPlan
from jobs.worklist.planned.planner_process import STEPS
from jobs.worklist.planned.stored import as_stored
from jobs.worklist.services.plans import RELIEF, REST, plan_step
from tests.acts.doing import do
from tests.board.conftest import _cold, build  # noqa: F401
from tests.worklist.test_plan import asked_for, done_by_the_outbox, kept, problem_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _rest_by_iterations(monkeypatch):
    """The long search ends after its iterations, not by the clock; its process is the real one."""
    budget = ("--iterations", "2000", "--no-solver")
    monkeypatch.setattr("jobs.worklist.planned.planner_process.REST_BUDGET", budget)


def offered(build):  # noqa: F811
    """A day whose plan in force has a better one on offer."""
    day = build(12)
    kept(day)
    problem = problem_of(day)
    rough = planning.plan(problem.day, now=problem.now, locked=problem.locked, iterations=0)
    DayPlan.objects.update(**as_stored(problem, rough))
    plan_step(stored=DayPlan.objects.get(), problem=problem, plan=None, step=len(STEPS) - 1)
    assert done_by_the_outbox(REST)
    return day


def test_it_is_offered_on_every_page_and_moves_nothing_until_taken(build, signed_in, tuner):  # noqa: F811
    day = offered(build)
    plan = DayPlan.objects.get()
    slots, cost = plan.slots, plan.cost
    assert plan.offer["plan"]["cost"] < cost
    assert kept(day)[1].slots == slots
    for name in ("day", "plan", "my-round"):
        args = [] if name == "my-round" else [day.trackday.pk]
        page = signed_in(tuner).get(reverse(f"board:{name}", args=args)).content.decode()
        assert "A better round is ready." in page
        assert "Take it" in page
    act = do("take round", tuner, day.trackday, trackday=day.trackday.pk, offer=plan.offer["id"])
    assert act.outcome == Outcome.APPLIED
    taken = kept(day)[1]
    assert (taken.slots, taken.cost) == (plan.offer["plan"]["slots"], plan.offer["plan"]["cost"])
    assert taken.offer is None
    assert asked_for(RELIEF)


def test_an_offer_ends_when_the_day_changes_and_nothing_is_lost(build, tuner):  # noqa: F811
    day = offered(build)
    offer = DayPlan.objects.get().offer
    do("delay", tuner, day.trackday, trackday=day.trackday.pk, minutes=15)
    moved_on = kept(day)[1]
    act = do("take round", tuner, day.trackday, trackday=day.trackday.pk, offer=offer["id"])
    assert act.outcome == Outcome.REFUSED
    assert "no longer on offer" in act.answer["text"]
    assert DayPlan.objects.get().slots == moved_on.slots


def test_an_offer_is_late_when_work_it_moves_has_begun(build, signed_in, tuner):  # noqa: F811
    day = offered(build)
    plan = DayPlan.objects.get()
    plan.offer["until"] = problem_of(day).now - 1
    plan.save()
    page = signed_in(tuner).get(reverse("board:day", args=[day.trackday.pk])).content.decode()
    assert "A better round is ready." not in page
    act = do("take round", tuner, day.trackday, trackday=day.trackday.pk, offer=plan.offer["id"])
    assert act.outcome == Outcome.REFUSED
    assert DayPlan.objects.get().slots == plan.slots


def test_an_offer_can_be_refused(build, helper):  # noqa: F811
    day = offered(build)
    plan = DayPlan.objects.get()
    act = do("leave round", helper, day.trackday, trackday=day.trackday.pk, offer=plan.offer["id"])
    assert act.outcome == Outcome.APPLIED
    left = DayPlan.objects.get()
    assert (left.offer, left.slots) == (None, plan.slots)
