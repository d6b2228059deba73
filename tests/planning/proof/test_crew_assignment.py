"""People for tasks with given starts: every task gets its people if that is possible."""

from jobs.planning import CrewMember
from jobs.planning.compiled import day_compile
from jobs.planning.proof.crew_assignment import assign_crews
from jobs.planning.search import Preferences, TimeLimit
from jobs.planning.timetable import CrewTimetable

from ..building import day, task

AL = CrewMember("Al", frozenset({"helper"}), ((495, 540),))
BO = CrewMember("Bo", frozenset({"helper"}))


def crews_of(crew, preferences=None, **starts):
    """The people of each task, by name, when the tasks of ten minutes start then."""
    problem = day_compile(day(*(task(name, minutes=10) for name in starts), crew=crew))
    table = CrewTimetable(problem)
    at = {problem.index[name]: start - problem.base for name, start in starts.items()}
    assign_crews(table, preferences(problem) if preferences else Preferences(), at, TimeLimit())
    people = {n: [problem.crew_ids[p] for p in table.crew[problem.index[n]]] for n in starts}
    return {name: who for name, who in people.items() if table.start[problem.index[name]] >= 0}


def test_a_person_who_leaves_soon_gets_a_task_that_ends_in_time():
    assert crews_of([AL, BO], short=484, lasting=488) == {"short": ["Al"], "lasting": ["Bo"]}


def test_a_task_nobody_can_end_is_missed_and_the_others_are_done():
    """Al leaves before a second task that starts at 490 would end."""
    found = crews_of([AL, BO], one=490, two=490, early=480)
    assert found.pop("early") in (["Al"], ["Bo"])
    assert list(found.values()) == [["Bo"]]


def test_the_people_of_the_previous_plan_are_kept_where_it_costs_nothing():
    def as_before(problem):
        al, bo = problem.crew_index["Al"], problem.crew_index["Bo"]
        before = {"a": bo, "b": al}
        return Preferences(
            previous_slots={
                problem.index[name]: (480 - problem.base, (who,)) for name, who in before.items()
            }
        )

    assert crews_of([AL, BO], as_before, a=480, b=480) == {"a": ["Bo"], "b": ["Al"]}
