"""Small problems for the planner's tests."""

from dataclasses import replace

from jobs.planning import CrewMember, PlanningDay, PlanningTask

ANN = CrewMember("Ann", frozenset({"tuner", "helper"}))
BEN = CrewMember("Ben", frozenset({"helper"}))


def task(name, window=(480, 540), **fields):
    fields = {"bike": name, "minutes": 5, "skill": "helper", "miss_cost": 10, **fields}
    windows = (window,) if window else ()
    return PlanningTask(id=name, windows=windows, **fields)


def day(*tasks, crew=(ANN, BEN)):
    return PlanningDay(tuple(crew), tuple(tasks))


def delayed(day, at, minutes):
    """The day with each end of a window at or after ``at`` moved by ``minutes``."""

    def moved(minute):
        return minute + minutes if minute >= at else minute

    return replace(
        day,
        tasks=tuple(
            replace(
                t,
                windows=tuple((moved(a), moved(b)) for a, b in t.windows),
                due=None if t.due is None else moved(t.due),
            )
            for t in day.tasks
        ),
    )
