"""The independent check finds each kind of fault and names the task."""

from dataclasses import replace

import pytest

from jobs.planning import Assignment, CrewMember, LateTask, MissedTask, plan, validate

from .building import ANN, BEN, day, task

CY = CrewMember("Cy", frozenset({"helper"}), ((500, 520),))
A = task("a", bike=1)
B = task("b", bike=1, after=("a",))
C = task("c", bike=2, skill="tuner", requires=("a",))
PROBLEM = day(A, B, C, crew=[ANN, BEN, CY])
GOOD = (
    Assignment("a", 480, ("Ben",)),
    Assignment("b", 485, ("Ben",)),
    Assignment("c", 485, ("Ann",)),
)


def faults(*assignments, missed=(), cost=0, **options):
    made = replace(
        plan(PROBLEM),
        assignments=assignments,
        missed=tuple(MissedTask(each) for each in missed),
        late=(),
        cost=cost,
    )
    return validate(PROBLEM, made, **options)


def test_a_valid_plan_has_no_faults():
    assert faults(*GOOD) == []


@pytest.mark.parametrize(
    ("index", "bad", "fault"),
    [
        (0, Assignment("a", 479, ("Ben",)), "task a: 479-484 is outside its windows"),
        (0, Assignment("a", 480, ()), "task a: needs 1 people, has 0"),
        (0, Assignment("a", 480, ("Dan",)), "task a: unknown person Dan"),
        (0, Assignment("z", 480, ("Ben",)), "task z: not in the problem"),
        (0, Assignment("b", 480, ("Ben",)), "task b: assigned twice"),
        (1, Assignment("b", 484, ("Cy",)), "task b: bike 1 is on task a then"),
        (1, Assignment("b", 498, ("Cy",)), "task b: Cy is away"),
        (0, Assignment("a", 495, ("Cy",)), "task b: starts before task a has ended"),
        (2, Assignment("c", 485, ("Ben",)), "task c: Ben has not the skill 'tuner'"),
        (2, Assignment("c", 484, ("Ann",)), "task c: starts before task a has ended"),
        (1, Assignment("b", 485, ("Ann",)), "task c: person Ann is on task b then"),
    ],
)
def test_each_fault_is_found(index, bad, fault):
    plan_ = list(GOOD)
    plan_[index] = bad
    assert fault in faults(*plan_)


def test_a_required_task_that_is_not_done():
    assert "task c: requires task a, which is not done" in faults(*GOOD[1:], missed=["a"], cost=10)


def test_missed_tasks_and_the_cost_must_be_right():
    assert faults(*GOOD[:2]) == [
        "task c: missed in the plan and in truth do not agree",
        "the plan says it costs 0; it costs 10",
    ]
    assert faults(*GOOD[:2], missed=["c"], cost=10) == []


def test_late_tasks_must_be_named():
    problem = day(task("a", due=482, late_cost_per_min=2))
    made = plan(problem)
    assert made.late == (LateTask("a", 3, made.late[0].reason),)
    assert made.cost == 6
    assert validate(problem, replace(made, late=())) == [
        "task a: late in the plan and in truth do not agree"
    ]


def test_what_is_locked_may_be_outside_its_window_but_must_not_change():
    early = Assignment("a", 470, ("Ben",))
    assert faults(early, *GOOD[1:], locked=[early]) == []
    assert faults(*GOOD, locked=[early]) == ["task a: locked, but not in the plan as it was"]


def test_nothing_starts_in_the_past():
    assert faults(*GOOD, now=485) == ["task a: starts at 480, which is over"]
