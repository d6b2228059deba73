"""The best the rest of a day can be: proven where the solver comes to an end, else how near.

A replan answers at once; this is the long answer, to be offered. The relaxation of the
problem that knows roles is near the truth, within about 1 % for 40 bikes, and guides all:
a rounding, a search, and integer problems by HiGHS, first with the few starts that it and
the plan there use, then with more, at last with all for the proof. Of the plans that cost
the same the closest to the one in force is looked for. Without the solver a long search
serves, and nothing is proven.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil

from .closest import come_closer
from .hands import hand_out
from .model import Assignment, Day, Plan
from .planner import begin_again, finished
from .relaxation import Solved, solver_available
from .roles import Manned, manned, put_manned, relax_manned, solve_manned
from .rounding import insert_near, levels_of, round_all
from .search import Clock, Search, Wishes
from .timetable import Timetable

REST = 20000  # iterations without a solver
GUIDED = 4000  # iterations along the relaxation's reduced costs
ROUNDINGS = 15
TOUCH_UP = 400  # iterations after the solver, whose people are not told apart
FOR_COST = 0.5  # of the time; the rest is for closeness
LEAST_SECONDS = 0.5  # with less on the clock no solver is started
AROUND = (0, 1, 3)  # minutes about the promising starts, tried one after the other
FOR_NEAR = 0.5  # of the time that is left for cost, for each of them
PROVEN_A_SECOND = 1500  # columns; with less time on the clock the proof is not begun
HANDS_SECONDS = 2.0  # to give starts to people
WHOLE = 1e-6


@dataclass(frozen=True, slots=True)
class Rest:
    """A plan and a cost no plan of the rest can be under; None: there is no solver."""

    plan: Plan
    bound: int | None = None

    @property
    def proven(self) -> bool:
        """Whether nothing costs less."""
        return self.bound is not None and self.plan.cost <= self.bound

    @property
    def gap(self) -> float | None:
        """By which part of its cost at most the plan could still be bettered."""
        if self.bound is None or not self.plan.cost:
            return None if self.bound is None else 0.0
        return max(0.0, 1 - self.bound / self.plan.cost)


def best_of_rest(
    day: Day,
    previous: Plan,
    *,
    before: Day | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    iterations: int = REST,
    seed: int = 1,
    seconds: float | None = None,
) -> Rest:
    """The best plan found for what ``previous`` has not begun before ``now``.

    Arguments as in ``replan``: what is locked and each person's next task stay, so does
    what costs nothing to keep. ``iterations`` are spent only where there is no solver.
    Never worse than ``previous`` moved along. Raises ProblemError.
    """
    whole = Clock(seconds)
    clock = Clock(None if seconds is None else seconds * FOR_COST)
    table, wishes = begin_again(day, previous, before=before, now=now, locked=locked)
    low = None
    if solver_available():
        low = _solved(table, wishes, seed, clock)
        spent = GUIDED + TOUCH_UP
    else:
        spent = Search(table, seed, wishes).run(iterations, clock)
    cut = clock.over()
    _come_back(table, wishes)
    if solver_available():
        come_closer(table, wishes, whole)
    return Rest(finished(day, table, wishes, spent, seed, cut=cut), low)


def _solved(table: Timetable, wishes: Wishes, seed: int, clock: Clock) -> int | None:
    """Leave the best plan found in the table; returns what no plan can cost less than."""
    whole = manned(table, wishes.held)
    relaxed = relax_manned(table, whole, clock.left())
    if relaxed is None:
        Search(table, seed, wishes).run(GUIDED, clock)
        return None
    low = relaxed.bound
    guided = replace(wishes, levels=levels_of(relaxed))
    round_all(table, guided, relaxed, ROUNDINGS, seed)
    Search(table, seed, guided).run(GUIDED, clock)
    for minutes in AROUND:
        if _may_gain(table, low, clock):
            near = manned(table, wishes.held, _near(table, relaxed, minutes))
            _better(table, wishes, near, clock, FOR_NEAR)
    proof = len(whole.columns.task) / PROVEN_A_SECOND
    if _may_gain(table, low, clock, least=proof):  # all of it
        low = max(low, _better(table, wishes, whole, clock, 1.0))
    Search(table, seed, wishes).run(TOUCH_UP, None)
    return max(0, _whole(low))


def _may_gain(table: Timetable, low: float, clock: Clock, *, least: float = LEAST_SECONDS) -> bool:
    """Whether the plan may still be bettered, and there are at least so many seconds for it."""
    left = clock.left()
    return table.cost > _whole(low) and (left is None or left >= least)


def _near(table: Timetable, relaxed: Solved, minutes: int) -> dict[int, int]:
    """Starts near to where the relaxation or the plan in the table has each task."""
    masks = {task: _here(table, task) for task in range(len(table.start))}
    columns = relaxed.columns
    for task, start, x in zip(columns.task, columns.start, relaxed.x, strict=True):
        if x > WHOLE:
            masks[task] |= 1 << start
    for _ in range(minutes):
        masks = {task: mask | mask << 1 | mask >> 1 for task, mask in masks.items()}
    return masks


def _better(table: Timetable, wishes: Wishes, problem: Manned, clock: Clock, part: float) -> float:
    """Leave what the solver finds in the table, if it is better; returns its bound."""
    left = clock.left()
    solved = solve_manned(table, problem, None if left is None else left * part)
    if solved is None:
        return 0.0
    _settle(table, wishes, problem, [c for c, x in enumerate(solved.x) if x > 0.5])
    return solved.bound


def _here(table: Timetable, task: int) -> int:
    return 1 << table.start[task] if table.start[task] >= 0 else 0


def _whole(bound: float) -> int:
    """Costs are whole numbers, so a bound is one as well."""
    return ceil(bound - WHOLE)


def _settle(table: Timetable, wishes: Wishes, manned: Manned, chosen: list[int]) -> None:
    """Give the solver's starts to people; the plan there was stays if it is better.

    At first simply to whoever is free; if that leaves anything over, as an integer problem.
    """
    best, cost, columns = table.slots(), table.cost, manned.columns
    cleared = [slot if task in wishes.held else (-1, ()) for task, slot in enumerate(best)]
    chosen = [c for c in chosen if columns.task[c] not in wishes.held]
    chosen.sort(key=lambda c: (columns.start[c], columns.task[c]))
    starts = {columns.task[c]: columns.start[c] for c in chosen}
    table.restore(cleared)
    for c in chosen:
        task = columns.task[c]
        _at, people = wishes.reference.get(task, (0, ()))
        put_manned(table, task, columns.start[c], manned.wanted[c], manned.roles, people)
    if any(table.start[task] < 0 for task in starts):
        table.restore(cleared)
        hand_out(table, wishes, starts, Clock(HANDS_SECONDS))
    for task, start in starts.items():
        if table.start[task] < 0:
            insert_near(table, task, start)
    Search(table, 0, wishes).fill()
    if table.cost > cost:
        table.restore(best)


def _come_back(table: Timetable, wishes: Wishes) -> None:
    """Undo every move that gains nothing: the people first, then the places."""
    was = table.slots()
    ordered = sorted((t for t, slot in enumerate(was) if slot[0] >= 0), key=lambda t: was[t][0])
    loose = [task for task in ordered if task not in wishes.held]
    table.restore([slot if task in wishes.held else (-1, ()) for task, slot in enumerate(was)])
    search = Search(table, 0, wishes)
    same = {t for t in loose if not wishes.moved(t, was[t][0], wishes.reference.get(t, (0, ()))[1])}
    for task in (*(t for t in loose if t in same), *(t for t in loose if t not in same), *loose):
        if table.start[task] < 0:
            search.put_at(task, was[task][0])
    if any(table.start[task] < 0 for task in loose):
        table.restore(was)
    while sum(_home(search, task) for task in loose):
        pass  # one that went home may have made room for the next


def _home(search: Search, task: int) -> bool:
    """Put one task back where the plan before has it, if that costs nothing."""
    table, slot = search.table, (search.table.start[task], search.table.crew[task])
    following = any(table.start[t] >= 0 for t in table.problem.needed_by[task])
    if following or not search.wishes.moved(task, *slot):
        return False
    cost = table.cost
    table.remove(task)
    if search.keep(task) and table.cost <= cost:
        return True
    if table.start[task] >= 0:
        table.remove(task)
    table.place(task, *slot)
    return False
