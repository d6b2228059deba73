"""How many more bikes a day can take, and with how many helpers: before a booking is accepted.

The planner's command line answers in a process of its own: other pages never wait for the
interpreter. Bikes that have not arrived are taken to arrive in time; work begins two hours
before the first session; where no crew is entered for the day, everybody of the crew is.
"""

from collections import Counter
from dataclasses import dataclass, replace
from statistics import fmean

from jobs import planning
from jobs.garage.models import Bike
from jobs.people.enums import CREW
from jobs.people.models import Rider, User
from jobs.trackday.models import CrewDay, Entry, RunGroup, ServicePackage, Trackday

from ..day import Day
from ..models import DayStatements
from ..selectors import day_read
from ..selectors.statements import statements_of
from .chances import follow_ups_of, leads_of, need_only_begin
from .minutes import minute_from
from .planner_process import run
from .problem import Problem, day_problem

SET_UP = 120  # minutes before the first session in which work begins
ASKED = 0  # the primary key of a bike that is asked for; no row has it


@dataclass(frozen=True)
class ChangedChance:
    """In percent, how likely the follow-ups booked already are, without and with the bike."""

    before: int
    after: int


@dataclass(frozen=True)
class GroupCapacity:
    """``more``: at least so many more bikes; None where the package asks for no work.

    ``supposed``: no crew is entered for the day, everybody is taken to be there.
    """

    group: RunGroup
    package: ServicePackage
    more: int | None
    crew: list[User]
    supposed: bool
    in_time: ChangedChance | None = None


@dataclass(frozen=True)
class StaffingAdvice:
    """How many helpers beside the tuners: ``shifts`` in minutes since local midnight.

    ``missed`` counts by task what is left out all the same; ``tried`` by number of helpers.
    """

    tuners: list[User]
    shifts: list[tuple[int, int]]
    missed: dict[str, int]
    tried: list[tuple[int, int]]


def capacity(trackday: Trackday, group: RunGroup, package: ServicePackage) -> GroupCapacity:
    """At least how many more bikes with this package the day can take in a group."""
    asked = Entry(
        pk=ASKED, trackday=trackday, group=group, package=package, bike=Bike(), rider=Rider()
    )
    day, supposed = _with_crew(day_read(trackday, booking=[asked]))
    crew = [member.user for member in day.crew]
    problem = _expected(day)
    if not any(task.bike == ASKED for task in problem.day.tasks):
        return GroupCapacity(group, package, None, crew, supposed)
    form = planning.day_to_json(problem.day)
    answer = run("capacity", "--asked", "--like", str(ASKED), given=form)
    more, in_time = int(answer["at_least"]), _in_time(problem, statements_of(trackday))
    return GroupCapacity(group, package, more, crew, supposed, in_time)


def _in_time(problem: Problem, statements: DayStatements) -> ChangedChance | None:
    """What the bike that is asked for does to the others. None: no follow-up is booked."""
    bikes = {str(task.id): task.bike for task in problem.day.tasks}
    follow_ups = [task for task in follow_ups_of(problem) if bikes[task] != ASKED]
    if not follow_ups:
        return None
    answer = run(
        "booking",
        given={
            "problem": planning.day_to_json(problem.day),
            "bike": ASKED,
            "tasks": follow_ups,
            "spread": statements.spread,
            "need_only_begin": need_only_begin(problem),
        },
    )
    known = planning.Experience.from_json(statements.learned)
    leads = leads_of(problem)

    def mean(place: int) -> int:
        planned = {task for task, shares in answer.items() if shares[place + 1]}
        others = (task for task in problem.day.tasks if task.id in answer)
        alike = planning.planned_of_alike(others, planned)
        said = (
            planning.Statement(shares[place], task in planned, leads[task], alike[task])
            for task, shares in answer.items()
        )
        return planning.percent(fmean(known.chance(each) for each in said))

    return ChangedChance(mean(0), mean(2))


def staffing(trackday: Trackday) -> StaffingAdvice | None:
    """How many helpers the day asks for, from when to when. None: there is nothing to do."""
    day, _supposed = _with_crew(day_read(trackday))
    problem = _expected(day)
    if not problem.day.tasks:
        return None
    found = run("staffing", given=planning.day_to_json(problem.day))
    names = {str(task.id): task.kind for task in problem.day.tasks}
    return StaffingAdvice(
        tuners=[member.user for member in day.crew if member.user.is_tuner],
        shifts=[(first, last) for first, last in found["shifts"]],
        missed=dict(Counter(names[task] for task in found["missed"]).most_common()),
        tried=[(each["helpers"], len(each["missed"])) for each in found["tried"]],
    )


def _with_crew(day: Day) -> tuple[Day, bool]:
    """The day with its own crew, else with everybody of the crew; True: the latter."""
    if day.crew:
        return day, False
    people = User.objects.filter(role__in=CREW, is_active=True).order_by("pk")
    crew = [CrewDay(trackday=day.trackday, user=user) for user in people]
    return replace(day, crew=crew), True


def _expected(day: Day) -> Problem:
    """The problem of the whole day; no work before ``SET_UP``, nor before now."""
    problem = day_problem(day, expected=True)
    starts = [t.start for t in day.times if t.runs]
    if not starts:
        return problem
    early = max(minute_from(problem.zero, min(starts)) - SET_UP, problem.now, 0)
    tasks = (_from(task, early) for task in problem.day.tasks)
    kept = [task for task in tasks if task.windows]
    known = {task.id for task in kept}
    possible = (replace(t, after=tuple(o for o in t.after if o in known)) for t in kept)
    return replace(problem, day=replace(problem.day, tasks=tuple(possible)))


def _from(task: planning.PlanningTask, early: int) -> planning.PlanningTask:
    windows = ((max(first, early), last) for first, last in task.windows)
    return replace(task, windows=tuple((a, b) for a, b in windows if b - a >= task.minutes))
