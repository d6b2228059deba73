"""Bad problems are refused, naming the task or the person."""

import pytest

from jobs.planning import CrewMember, PlanningDay, ProblemError, day_from_json, plan

from .building import ANN, BEN, day, task

CREW = [{"id": "Ann", "skills": ["tuner", "helper"], "off": []}]
TASK = {"id": "sag", "bike": 7, "minutes": 8, "skill": "helper", "windows": [[480, 500]]}


def refused(problem):
    with pytest.raises(ProblemError) as refusal:
        plan(problem)
    return str(refusal.value)


def test_a_cycle_is_named_task_by_task():
    a = task("a", after=("c",))
    b = task("b", after=("a",))
    c = task("c", requires=("b",))
    assert refused(day(a, b, c)) == "task a: waits for itself: a after c after b after a"


def test_a_task_that_waits_for_itself_is_refused():
    assert refused(day(task("a", after=("a",)))) == "task a: waits for itself: a after a"


def test_two_ways_to_one_task_are_no_cycle():
    a, b = task("a"), task("b", after=("a",))
    c, d = task("c", after=("a",)), task("d", after=("b", "c"), requires=("b",))
    assert plan(day(a, b, c, d)).cost == 0


@pytest.mark.parametrize("field", ["after", "requires"])
def test_an_unknown_task_is_refused(field):
    assert refused(day(task("a", **{field: ("z",)}))) == f"task a: {field} names an unknown task, z"


def test_a_window_shorter_than_its_task_is_refused():
    text = refused(day(task("a", window=(480, 484))))
    assert text == "task a: window 480-484 is shorter than its 5 minutes"


def test_a_skill_that_nobody_has_is_refused():
    assert refused(day(task("a", skill="welder"))) == "task a: nobody has the skill 'welder'"


def test_too_few_people_with_a_skill_are_refused():
    text = refused(day(task("a", skill="tuner", people=2)))
    assert text == "task a: needs 2 people with the skill 'tuner', there are 1"


@pytest.mark.parametrize(
    ("fields", "text"),
    [
        ({"minutes": 0}, "task a: takes 0 minutes; at least 1 is needed"),
        ({"people": 0}, "task a: needs 0 people; at least 1 is needed"),
        ({"miss_cost": -1}, "task a: a cost is below 0"),
        ({"window": (-5, 20)}, "task a: window -5-20 starts before midnight"),
    ],
)
def test_numbers_out_of_range_are_refused(fields, text):
    assert refused(day(task("a", **fields))) == text


def test_an_id_given_twice_is_refused():
    assert refused(day(task("a"), task("a"))) == "task a: the id is there twice"
    assert refused(PlanningDay((ANN, ANN), ())) == "person Ann: the id is there twice"


def test_an_off_time_that_ends_before_it_starts_is_refused():
    away = CrewMember("Cy", frozenset({"helper"}), ((600, 540),))
    assert (
        refused(PlanningDay((away, BEN), ())) == "person Cy: off time 600-540 ends before it starts"
    )


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"colour": "red"}, "task sag: unknown key 'colour'"),
        ({"minutes": "8"}, 'task sag: minutes: a whole number is expected, not "8"'),
        ({"minutes": True}, "task sag: minutes: a whole number is expected, not true"),
        ({"windows": [[480]]}, "task sag: windows: [from, to] is expected, not [480]"),
        ({"skill": 5}, "task sag: skill: text is expected, not 5"),
        ({"after": "x"}, 'task sag: after: a list is expected, not "x"'),
        ({"bike": None}, "task sag: bike: an id is text or a whole number, not null"),
        ({"due": 1.5}, "task sag: due: a whole number is expected, not 1.5"),
    ],
)
def test_faulty_json_is_refused(change, text):
    with pytest.raises(ProblemError, match="task sag") as refusal:
        day_from_json({"crew": CREW, "tasks": [{**TASK, **change}]})
    assert str(refusal.value) == text


def test_json_without_a_required_key_is_refused():
    with pytest.raises(ProblemError, match="task sag: 'bike' is missing"):
        day_from_json({"crew": CREW, "tasks": [{k: v for k, v in TASK.items() if k != "bike"}]})
    with pytest.raises(ProblemError, match="problem: 'crew' is missing"):
        day_from_json({"tasks": []})
    with pytest.raises(ProblemError, match="task number 1: an object is expected, not 3"):
        day_from_json({"crew": CREW, "tasks": [3]})
