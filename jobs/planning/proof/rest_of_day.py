"""The best plan found for the rest of a day, with a proven bound.

A replan is ready at once; this is the long search after a change, whose plan is offered to the
crew. The relaxation of the problem with roles is near to the optimum, within about 1 % for 40
bikes, and guides every step: a rounding, a search, and integer problems solved by HiGHS, first
with few starts, then with more, at last with all of them for the proof. Of the plans with the
same cost it takes the one with the fewest moved tasks. Without the solver a long search is
made, and nothing is proven.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil

from ..first_tasks import first_tasks_missed
from ..model import Assignment, Plan, PlanningDay
from ..planner import finish_plan, start_from_previous
from ..search import Preferences, Search, TimeLimit
from ..timetable import CrewTimetable
from .crew_assignment import assign_crews
from .fewest_moves import reduce_moves
from .relaxation import TOLERANCE, Solution, least_first_missed, solver_available
from .roles import (
    RoleProblem,
    place_with_roles,
    relax_role_problem,
    role_problem,
    solve_role_problem,
)
from .rounding import insert_near, round_solution, start_levels

DEFAULT_ITERATIONS_REST = 20000  # iterations without a solver
GUIDED_SEARCH = 4000  # iterations with the reduced costs as preferences
ROUNDINGS = 15
FINAL_SEARCH = 400  # iterations after the solver
COST_TIME_SHARE = 0.5  # of the time; the rest is for fewer moves
MIN_SECONDS = 0.5  # with less time no solver is started
START_MARGINS = (0, 1, 3)  # minutes around the starts of the relaxation, tried in turn
STEP_TIME_SHARE = 0.5  # of the time that remains, for each margin
COLUMNS_PROVEN_PER_SECOND = 1500  # with less time than that takes no proof is begun
CREW_ASSIGNMENT_SECONDS = 2.0


@dataclass(frozen=True, slots=True)
class BoundedPlan:
    """A plan, and a bound below which no plan can cost; None: there is no solver.

    No plan misses fewer ``first`` tasks than ``first_bound``. ``bound`` is of the plans that
    miss no more of them than this one.
    """

    plan: Plan
    bound: int | None = None
    first_bound: int = 0

    @property
    def proven(self) -> bool:
        """Whether no plan misses fewer ``first`` tasks, and none that misses as few costs less."""
        return (
            self.bound is not None
            and self.plan.first_missed <= self.first_bound
            and self.plan.cost <= self.bound
        )

    @property
    def gap(self) -> float | None:
        """The part of its cost by which the plan can be improved at most.

        None without a bound, or while fewer ``first`` tasks might be missed.
        """
        if self.plan.first_missed > self.first_bound:
            return None
        if self.bound is None or not self.plan.cost:
            return None if self.bound is None else 0.0
        return max(0.0, 1 - self.bound / self.plan.cost)


def best_rest_of_day(
    day: PlanningDay,
    previous: Plan,
    *,
    previous_input: PlanningDay | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    iterations: int = DEFAULT_ITERATIONS_REST,
    seed: int = 1,
    seconds: float | None = None,
    use_solver: bool = True,
) -> BoundedPlan:
    """The best plan found for what ``previous`` has not started before ``now``.

    The arguments are those of ``replan``. What is locked and the next task of each person
    are not moved, nor is anything that can be kept at no cost. ``iterations`` are used only
    without a solver; by them alone the plan is the same on every machine. The plan never costs
    more than ``previous`` on the changed day. Raises ProblemError.
    """
    total_limit = TimeLimit(seconds)
    time_limit = TimeLimit(None if seconds is None else seconds * COST_TIME_SHARE)
    table, preferences = start_from_previous(
        day, previous, previous_input=previous_input, now=now, locked=locked, seed=seed
    )
    bound, first_bound = None, 0
    solver = use_solver and solver_available()
    if solver:
        first_bound = _first_bound(table, preferences, time_limit)
        bound = _solve(table, preferences, seed, time_limit)
        spent = GUIDED_SEARCH + FINAL_SEARCH
    else:
        spent = Search(table, seed, preferences).run(iterations, time_limit)
    cut = time_limit.is_over()
    _undo_needless_moves(table, preferences)
    if solver:
        reduce_moves(table, preferences, total_limit)
    made = finish_plan(day, table, preferences, spent, seed, cut=cut)
    return BoundedPlan(made, bound, first_bound)


def _first_bound(table: CrewTimetable, preferences: Preferences, time_limit: TimeLimit) -> int:
    """No plan misses fewer ``first`` tasks than this."""
    if not first_tasks_missed(table):
        return 0
    fixed = [(task, table.start[task]) for task in preferences.fixed]
    return least_first_missed(table.problem, seconds=time_limit.remaining(), fixed=fixed)


def _solve(
    table: CrewTimetable, preferences: Preferences, seed: int, time_limit: TimeLimit
) -> int | None:
    """Leave the best plan found in the table. Returns a lower bound on the cost of any plan."""
    missed = first_tasks_missed(table)
    problem = role_problem(table, preferences.fixed, first_missed=missed)
    relaxed = relax_role_problem(table, problem, time_limit.remaining())
    if relaxed is None:
        Search(table, seed, preferences).run(GUIDED_SEARCH, time_limit)
        return None
    bound = relaxed.bound
    guided = replace(preferences, levels=start_levels(relaxed))
    round_solution(table, guided, relaxed, ROUNDINGS, seed)
    Search(table, seed, guided).run(GUIDED_SEARCH, time_limit)
    for minutes in START_MARGINS:
        if _may_improve(table, bound, time_limit):
            near = _starts_near(table, relaxed, minutes)
            narrow = role_problem(table, preferences.fixed, near, first_missed=missed)
            _improve_with_solver(table, preferences, narrow, time_limit, STEP_TIME_SHARE)
    proof = len(problem.columns.task) / COLUMNS_PROVEN_PER_SECOND
    if _may_improve(table, bound, time_limit, least=proof):
        bound = max(bound, _improve_with_solver(table, preferences, problem, time_limit, 1.0))
    Search(table, seed, preferences).run(FINAL_SEARCH, None)
    return max(0, _round_up(bound))


def _may_improve(
    table: CrewTimetable, bound: float, time_limit: TimeLimit, *, least: float = MIN_SECONDS
) -> bool:
    """Whether the cost is above the bound, and at least so many seconds remain."""
    remaining = time_limit.remaining()
    cost = table.problem.rank(table.cost)[1]
    return cost > _round_up(bound) and (remaining is None or remaining >= least)


def _starts_near(table: CrewTimetable, relaxed: Solution, minutes: int) -> dict[int, int]:
    """For each task a mask of starts near those of the relaxation and of the plan in the table."""
    masks = {task: _current_start(table, task) for task in range(len(table.start))}
    columns = relaxed.columns
    for task, start, x in zip(columns.task, columns.start, relaxed.x, strict=True):
        if x > TOLERANCE:
            masks[task] |= 1 << start
    for _ in range(minutes):
        masks = {task: mask | mask << 1 | mask >> 1 for task, mask in masks.items()}
    return masks


def _improve_with_solver(
    table: CrewTimetable,
    preferences: Preferences,
    problem: RoleProblem,
    time_limit: TimeLimit,
    share: float,
) -> float:
    """Solve, and leave the plan in the table if it is better. Returns the bound."""
    remaining = time_limit.remaining()
    solved = solve_role_problem(table, problem, None if remaining is None else remaining * share)
    if solved is None or not solved.x:
        return 0.0
    _assign_people(table, preferences, problem, [c for c, x in enumerate(solved.x) if x > 0.5])
    return solved.bound


def _current_start(table: CrewTimetable, task: int) -> int:
    return 1 << table.start[task] if table.start[task] >= 0 else 0


def _round_up(bound: float) -> int:
    """A bound rounded up: costs are whole numbers."""
    return ceil(bound - TOLERANCE)


def _assign_people(
    table: CrewTimetable, preferences: Preferences, role_problem: RoleProblem, chosen: list[int]
) -> None:
    """Place the tasks at the starts that the solver chose, and find people for them.

    First anyone who is free is taken. If tasks are left over, the people are found by an
    integer problem. A plan that costs more is not taken.
    """
    best, cost, columns = table.snapshot(), table.cost, role_problem.columns
    only_fixed = [slot if task in preferences.fixed else (-1, ()) for task, slot in enumerate(best)]
    chosen = [c for c in chosen if columns.task[c] not in preferences.fixed]
    chosen.sort(key=lambda c: (columns.start[c], columns.task[c]))
    starts = {columns.task[c]: columns.start[c] for c in chosen}
    table.restore(only_fixed)
    for c in chosen:
        task = columns.task[c]
        _at, people = preferences.previous_slots.get(task, (0, ()))
        place_with_roles(
            table, task, columns.start[c], role_problem.wanted[c], role_problem.roles, people
        )
    if any(table.start[task] < 0 for task in starts):
        table.restore(only_fixed)
        assign_crews(table, preferences, starts, TimeLimit(CREW_ASSIGNMENT_SECONDS))
    for task, start in starts.items():
        if table.start[task] < 0:
            insert_near(table, task, start)
    Search(table, 0, preferences).insert_missed()
    if table.cost > cost:
        table.restore(best)


def _undo_needless_moves(table: CrewTimetable, preferences: Preferences) -> None:
    """Undo every move that reduces nothing: first by other people, then by other starts."""
    was = table.snapshot()
    ordered = sorted((t for t, slot in enumerate(was) if slot[0] >= 0), key=lambda t: was[t][0])
    movable = [task for task in ordered if task not in preferences.fixed]
    table.restore(
        [slot if task in preferences.fixed else (-1, ()) for task, slot in enumerate(was)]
    )
    search = Search(table, 0, preferences)
    same = {
        t
        for t in movable
        if not preferences.moved(t, was[t][0], preferences.previous_slots.get(t, (0, ()))[1])
    }
    for task in (
        *(t for t in movable if t in same),
        *(t for t in movable if t not in same),
        *movable,
    ):
        if table.start[task] < 0:
            search.insert_at(task, was[task][0])
    if any(table.start[task] < 0 for task in movable):
        table.restore(was)
    while sum(_restore_previous(search, task) for task in movable):
        pass  # one that was put back may have made room for the next


def _restore_previous(search: Search, task: int) -> bool:
    """Put one task back into its previous slot, if that costs nothing. Whether it was moved."""
    table, slot = search.table, (search.table.start[task], search.table.crew[task])
    following = any(table.start[t] >= 0 for t in table.problem.required_by[task])
    if following or not search.preferences.moved(task, *slot):
        return False
    cost = table.cost
    table.remove(task)
    if search.insert_as_before(task) and table.cost <= cost:
        return True
    if table.start[task] >= 0:
        table.remove(task)
    table.place(task, *slot)
    return False
