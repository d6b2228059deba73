"""Who takes what, once it is decided when: all of it, if there is any way."""

from jobs.planning import CrewMember
from jobs.planning.compiled import day_compile
from jobs.planning.hands import hand_out
from jobs.planning.search import Clock, Wishes
from jobs.planning.timetable import Timetable

from .making import day, task

AL = CrewMember("Al", frozenset({"helper"}), ((495, 540),))
BO = CrewMember("Bo", frozenset({"helper"}))


def handed(crew, wishes=None, **starts):
    """The people of each task, by name, when the tasks of ten minutes start then."""
    problem = day_compile(day(*(task(name, minutes=10) for name in starts), crew=crew))
    table = Timetable(problem)
    at = {problem.index[name]: start - problem.base for name, start in starts.items()}
    hand_out(table, wishes(problem) if wishes else Wishes(), at, Clock())
    people = {n: [problem.crew_ids[p] for p in table.crew[problem.index[n]]] for n in starts}
    return {name: who for name, who in people.items() if table.start[problem.index[name]] >= 0}


def test_who_leaves_soon_takes_what_ends_in_time():
    assert handed([AL, BO], short=484, lasting=488) == {"short": ["Al"], "lasting": ["Bo"]}


def test_what_nobody_can_end_is_left_out_and_the_rest_is_done():
    """Al is gone before a second one from 490 would end."""
    found = handed([AL, BO], one=490, two=490, early=480)
    assert found.pop("early") in (["Al"], ["Bo"])
    assert list(found.values()) == [["Bo"]]


def test_the_people_of_the_plan_before_are_kept_where_it_costs_nothing():
    def as_before(problem):
        al, bo = problem.crew_index["Al"], problem.crew_index["Bo"]
        before = {"a": bo, "b": al}
        return Wishes(
            reference={
                problem.index[name]: (480 - problem.base, (who,)) for name, who in before.items()
            }
        )

    assert handed([AL, BO], as_before, a=480, b=480) == {"a": ["Bo"], "b": ["Al"]}
