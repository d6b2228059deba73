"""What is offered to somebody who has nothing to do."""

from dataclasses import replace

import pytest

from jobs.planning import Assignment, SpareTask, WhySpare, spare_tasks

from .building import ANN, BEN, day, task

LOST, OVERDUE = WhySpare.LOST, WhySpare.OVERDUE
LATER = task("later", (530, 560))


def offered(problem, *assignments, now=500, **options):
    return spare_tasks(problem, assignments, now=now, **options)


def test_a_task_that_no_plan_has_is_offered_to_who_can_do_it():
    problem = day(task("reads", (495, 510)))
    assert offered(problem) == {"Ann": SpareTask("reads", LOST)}


def test_a_task_is_offered_to_one_person_only():
    problem = day(task("a", (495, 510), miss_cost=20), task("b", (495, 510)))
    assert offered(problem) == {"Ann": SpareTask("a", LOST), "Ben": SpareTask("b", LOST)}


def test_it_must_end_before_the_own_next_task():
    problem = day(task("reads", (495, 540), minutes=6), LATER, crew=[BEN])
    own = Assignment("later", 530, ("Ben",))
    assert offered(problem, own, now=524) == {"Ben": SpareTask("reads", LOST)}
    assert offered(problem, own, now=525) == {}


def test_it_must_end_before_he_leaves():
    ben = replace(BEN, off=((505, 530),))
    problem = day(task("reads", (495, 540), minutes=6), crew=[ben])
    assert offered(problem, now=499) == {"Ben": SpareTask("reads", LOST)}
    assert offered(problem, now=500) == {}
    assert offered(problem, now=510) == {}


def test_who_can_begin_work_of_his_own_is_offered_nothing():
    problem = day(task("reads", (495, 510)), task("own", (490, 540)), crew=[BEN])
    assert offered(problem, Assignment("own", 520, ("Ben",))) == {}


def test_who_is_on_a_task_is_offered_nothing():
    problem = day(task("reads", (495, 510)), task("own", (490, 540)), crew=[BEN])
    assert offered(problem, locked=[Assignment("own", 498, ("Ben",))]) == {}


def test_what_its_person_comes_to_in_time_is_left_to_him():
    problem = day(task("reads", (495, 515)), task("long", (480, 540), minutes=10))
    begun = [Assignment("long", 496, ("Ben",))]
    assert offered(problem, Assignment("reads", 506, ("Ben",)), locked=begun) == {}


def test_what_its_person_comes_to_too_late_would_be_lost():
    problem = day(task("reads", (495, 510)), task("long", (480, 540), minutes=10))
    begun = [Assignment("long", 496, ("Ben",))]
    assert offered(problem, Assignment("reads", 506, ("Ben",)), locked=begun) == {
        "Ann": SpareTask("reads", LOST)
    }


def test_what_is_overdue_while_its_person_is_on_something_else():
    problem = day(task("reads", (495, 530)), task("long", (480, 540), minutes=10))
    begun = [Assignment("long", 496, ("Ben",))]
    assert offered(problem, Assignment("reads", 499, ("Ben",)), locked=begun) == {
        "Ann": SpareTask("reads", OVERDUE)
    }


def test_what_would_be_lost_comes_before_what_is_overdue():
    problem = day(
        task("overdue", (495, 530), miss_cost=90),
        task("lost", (495, 510), miss_cost=5),
        task("long", (480, 540), minutes=10),
    )
    begun = [Assignment("long", 496, ("Ben",))]
    overdue = Assignment("overdue", 499, ("Ben",))
    assert offered(problem, overdue, locked=begun) == {"Ann": SpareTask("lost", LOST)}


@pytest.mark.parametrize(
    "other",
    [
        task("not yet", (501, 520)),
        task("over", (480, 504)),
        task("two people", (495, 520), people=2),
        task("tuner's work", (495, 520), skill="tuner"),
        task("a bike in work", (495, 520), bike="long"),
        task("waits", (495, 520), after=("own",)),
        task("requires", (495, 520), requires=("left out",)),
    ],
    ids=lambda other: other.id,
)
def test_what_cannot_be_begun_by_him_now_is_not_offered(other):
    problem = day(
        other,
        task("long", (480, 540), minutes=10),
        task("own", (530, 540)),
        task("left out", (530, 540)),
    )
    begun = [Assignment("long", 496, ("Ann",))]
    assert offered(problem, Assignment("own", 530, ("Ben",)), locked=begun) == {}


def test_nothing_else_is_offered_while_safety_work_within_reach_is_to_be_begun():
    reads = task("reads", (495, 530), minutes=8)
    safety = task("safety", (507, 540), first=True)
    own = Assignment("safety", 520, ("Ann",))
    assert offered(day(reads, safety), own) == {}
    far = replace(safety, windows=((508, 540),))
    assert offered(day(reads, far), own) == {"Ann": SpareTask("reads", LOST)}
    begun = [Assignment("safety", 498, ("Ann",))]
    near = replace(safety, windows=((490, 540),))
    assert offered(day(reads, near), locked=begun) == {"Ben": SpareTask("reads", LOST)}


def test_safety_work_that_would_be_lost_is_offered_before_everything():
    reads = task("reads", (495, 530), miss_cost=500)
    safety = task("safety", (495, 530), miss_cost=1, first=True)
    assert offered(day(reads, safety, crew=[BEN])) == {"Ben": SpareTask("safety", LOST)}


def test_what_a_person_has_pinned_is_not_offered():
    pinned = [Assignment("reads", 505, ("Ann",))]
    problem = day(task("reads", (495, 530)), crew=[ANN, BEN])
    assert offered(problem, locked=pinned) == {}


def test_only_what_is_asked_for_is_offered():
    problem = day(task("a", (495, 510), miss_cost=20), task("b", (495, 510)), crew=[BEN])
    assert offered(problem, among={"b"}) == {"Ben": SpareTask("b", LOST)}
