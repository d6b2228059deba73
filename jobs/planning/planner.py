"""Make a plan for a day, or a new plan after the day has changed.

A first plan begins with dispatching rules, a new one with the previous plan; then both are
improved by search.
"""

from collections.abc import Iterable

from .blocks import is_one_block, reduce_lateness, shorten_walk
from .compiled import CompiledDay, day_compile
from .dispatch import DispatchRule, dispatch
from .first_tasks import place_first_tasks, plan_first_tasks
from .left_shift import left_shift
from .model import Assignment, Plan, PlanningDay, ProblemError, StoppedBy
from .plan_output import plan_from_timetable
from .previous_plan import (
    insert_previous,
    place_locked,
    prefer_previous,
    slots_of_previous,
    started_assignments,
    window_shifts,
)
from .proof.long_search import can_search_long, long_search
from .search import Preferences, Search, TimeLimit
from .timetable import CrewTimetable

QUICK_ITERATIONS = 400  # as many as a page can wait for
DEFAULT_ITERATIONS = 4000
ROUNDS_PER_BLOCK = 200  # of ``sequence.block_order``, where something may be late
ITERATIONS_PER_ROUND = 16  # so a small budget, as for a page, gets fewer rounds


def plan(
    day: PlanningDay,
    *,
    previous: Plan | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    iterations: int = DEFAULT_ITERATIONS,
    seed: int = 1,
    seconds: float | None = None,
    reasons: int | None = None,
) -> Plan:
    """The crew's plan for a day.

    ``previous``: the plan to stay close to (see ``replan``). ``now``: the minute before which
    nothing starts, except what is ``locked``. ``locked``: assignments done or started, which
    are kept even outside their windows. ``iterations`` is the budget. ``seconds`` is only a
    safety stop: the plan says so in ``stopped_by`` if it was reached. ``reasons``: the number
    of missed tasks, the most costly first, that get a reason; None: all. Raises ProblemError
    naming the task at fault.
    """
    if previous is not None:
        return replan(
            day,
            previous,
            now=now,
            locked=locked,
            iterations=iterations,
            seed=seed,
            seconds=seconds,
            reasons=reasons,
        )
    time_limit = TimeLimit(seconds)
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    table, fixed = _best_dispatch(problem, locked)
    first = plan_first_tasks(day, table, locked, now=now, seed=seed, time_limit=time_limit)
    if first:
        table, fixed = _best_dispatch(problem, locked, first)
    return _improve_and_finish(
        day, table, Preferences(fixed=fixed), iterations, seed, time_limit, reasons
    )


def replan(
    day: PlanningDay,
    previous: Plan,
    *,
    previous_input: PlanningDay | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    iterations: int = QUICK_ITERATIONS,
    seed: int = 1,
    seconds: float | None = None,
    reasons: int | None = None,
) -> Plan:
    """A new plan for a day that has changed, as close to ``previous`` as the cost allows.

    What ``previous`` started before ``now`` is locked. ``previous_input`` is the day that
    ``previous`` was made for: with it, closeness is counted relative to the outing of each
    task. The next task of each person is not moved unless that is impossible.
    """
    time_limit = TimeLimit(seconds)
    table, preferences = start_from_previous(
        day,
        previous,
        previous_input=previous_input,
        now=now,
        locked=locked,
        seed=seed,
        time_limit=time_limit,
    )
    return _improve_and_finish(day, table, preferences, iterations, seed, time_limit, reasons)


def start_from_previous(
    day: PlanningDay,
    previous: Plan,
    *,
    previous_input: PlanningDay | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    seed: int = 1,
    time_limit: TimeLimit | None = None,
) -> tuple[CrewTimetable, Preferences]:
    """The previous plan inserted into the day as it is now, and the preferences to keep it.

    Where it would miss more ``first`` tasks than necessary, these are placed before the rest.
    """
    locked = _with_started(tuple(locked), started_assignments(day, previous, now))
    problem = day_compile(day, now=now, locked=locked)
    table = CrewTimetable(problem)
    fixed = place_locked(table, locked)
    shifts = window_shifts(day, previous_input, previous)
    preferences = prefer_previous(slots_of_previous(problem, previous, shifts), fixed)
    stay = insert_previous(table, preferences)
    first = plan_first_tasks(
        day,
        table,
        locked,
        now=now,
        seed=seed,
        time_limit=time_limit or TimeLimit(),
        previous=previous,
        shifts=shifts,
    )
    if first:
        table = CrewTimetable(problem)
        place_locked(table, locked)
        place_first_tasks(table, first)
        stay = insert_previous(table, preferences)
    preferences.fixed |= stay
    return table, preferences


def plan_with_reasons(
    day: PlanningDay, plan: Plan, *, now: int | None = None, locked: Iterable[Assignment] = ()
) -> Plan:
    """The same plan with its reasons, which a plan read from JSON does not have."""
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    table = CrewTimetable(problem)
    done = {a.task for a in locked}
    place_locked(table, (*locked, *(a for a in plan.assignments if a.task not in done)))
    return plan_from_timetable(
        day, table, seed=plan.seed, iterations=plan.iterations, stopped_by=plan.stopped_by
    )


def _with_started(
    locked: tuple[Assignment, ...], started: tuple[Assignment, ...]
) -> tuple[Assignment, ...]:
    named = {a.task for a in locked}
    return (*locked, *(a for a in started if a.task not in named))


def _best_dispatch(
    problem: CompiledDay, locked: tuple[Assignment, ...], first: tuple[Assignment, ...] = ()
) -> tuple[CrewTimetable, frozenset[int]]:
    """The cheapest of the plans of the dispatching rules. The search never ends above it.

    ``first``: where the ``first`` tasks are done; the rules fill the rest.
    """
    tables = []
    fixed: frozenset[int] = frozenset()
    for rule in DispatchRule:
        table = CrewTimetable(problem)
        fixed = place_locked(table, locked)
        place_first_tasks(table, first)
        tables.append(dispatch(problem, rule, table))
    return min(tables, key=lambda table: table.cost), fixed


def _short_search(
    table: CrewTimetable,
    preferences: Preferences,
    iterations: int,
    seed: int,
    time_limit: TimeLimit,
) -> int:
    return Search(table, seed, preferences).run(iterations, time_limit)


def _improve_and_finish(
    day: PlanningDay,
    table: CrewTimetable,
    preferences: Preferences,
    iterations: int,
    seed: int,
    time_limit: TimeLimit,
    reasons: int | None,
) -> Plan:
    if iterations < 0:
        raise ProblemError(f"iterations: {iterations} is below 0")
    if is_one_block(table):
        reduce_lateness(table, preferences, iterations, seed, time_limit)
        done = iterations
    else:
        first_plan = not preferences.previous_slots  # the solvers ignore closeness
        search = (
            long_search if first_plan and can_search_long(iterations, time_limit) else _short_search
        )
        done = search(table, preferences, iterations, seed, time_limit)
        rounds = min(ROUNDS_PER_BLOCK, iterations // ITERATIONS_PER_ROUND)
        reduce_lateness(table, preferences, rounds, seed, time_limit)
    cut = time_limit.is_over() and done < iterations
    return finish_plan(day, table, preferences, done, seed, cut=cut, reasons=reasons)


def finish_plan(
    day: PlanningDay,
    table: CrewTimetable,
    preferences: Preferences,
    done: int,
    seed: int,
    *,
    cut: bool,
    reasons: int | None = None,
) -> Plan:
    """The plan in the table, with early starts and short walks.

    ``cut``: the time limit stopped the search.
    """
    left_shift(table, preferences)
    shorten_walk(table, preferences)
    stopped_by = StoppedBy.SECONDS if cut else StoppedBy.ITERATIONS
    if not table.cost:
        stopped_by = StoppedBy.OPTIMAL
    return plan_from_timetable(
        day, table, seed=seed, iterations=done, stopped_by=stopped_by, reasons=reasons
    )
