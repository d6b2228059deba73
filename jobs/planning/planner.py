"""Plan a day, or plan it again: rules or the plan before to begin with, then search."""

from collections.abc import Iterable

from .answer import answer
from .blocks import is_one_block, lateness_improve, walk_improve
from .compiled import Compiled, day_compile
from .dispatch import Rule, dispatch
from .early import early_improve
from .model import Assignment, Day, Plan, ProblemError, StoppedBy
from .polish import polish, polishes
from .reference import (
    begun,
    locked_place,
    reference_insert,
    reference_slots,
    reference_wishes,
    window_shifts,
)
from .search import Clock, Search, Wishes
from .timetable import Timetable

QUICK = 400  # iterations a page may wait for
DEFAULT_ITERATIONS = 4000
ROUNDS_PER_BLOCK = 200  # descents for the order of one block, where lateness is at stake
A_ROUND = 16  # iterations of the budget; a page that waits gets fewer rounds


def plan(
    day: Day,
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

    ``previous``: stay close to it (see ``replan``). ``now``: nothing starts earlier but
    what is ``locked``: done or begun, kept as it is whatever the windows say. The budget
    is ``iterations``; ``seconds`` is a safety stop only, and a plan it cut short says so
    in ``stopped_by``. ``reasons``: only so many missed tasks, the most costly, are given
    theirs. Raises ProblemError naming the task at fault.
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
    clock = Clock(seconds)
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    table, held = _best_rule(problem, locked)
    return _improved(day, table, Wishes(held=held), iterations, seed, clock, reasons)


def replan(
    day: Day,
    previous: Plan,
    *,
    before: Day | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
    iterations: int = QUICK,
    seed: int = 1,
    seconds: float | None = None,
    reasons: int | None = None,
) -> Plan:
    """A plan for a day that has moved on, as close to ``previous`` as costs allow.

    What ``previous`` began before ``now`` is locked. ``before`` is the day that
    ``previous`` was made for: with it, closeness is counted relative to each task's
    outing. Each person's next task stays unless that is impossible.
    """
    clock = Clock(seconds)
    table, wishes = begin_again(day, previous, before=before, now=now, locked=locked)
    return _improved(day, table, wishes, iterations, seed, clock, reasons)


def begin_again(
    day: Day,
    previous: Plan,
    *,
    before: Day | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
) -> tuple[Timetable, Wishes]:
    """The plan before put into the day as it is, and the wish to stay close to it."""
    locked = _with_begun(tuple(locked), begun(day, previous, now))
    problem = day_compile(day, now=now, locked=locked)
    table = Timetable(problem)
    held = locked_place(table, locked)
    shifts = window_shifts(day, before, previous)
    reference = reference_slots(problem, previous, shifts)
    wishes = reference_wishes(problem, reference, held)
    wishes.held |= reference_insert(table, wishes)
    return table, wishes


def explained(
    day: Day, made: Plan, *, now: int | None = None, locked: Iterable[Assignment] = ()
) -> Plan:
    """The same plan with its reasons worked out again: a plan read from JSON has none."""
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    table = Timetable(problem)
    held = {a.task for a in locked}
    locked_place(table, (*locked, *(a for a in made.assignments if a.task not in held)))
    return answer(
        day, table, seed=made.seed, iterations=made.iterations, stopped_by=made.stopped_by
    )


def _with_begun(
    locked: tuple[Assignment, ...], started: tuple[Assignment, ...]
) -> tuple[Assignment, ...]:
    named = {a.task for a in locked}
    return (*locked, *(a for a in started if a.task not in named))


def _best_rule(
    problem: Compiled, locked: tuple[Assignment, ...]
) -> tuple[Timetable, frozenset[int]]:
    """The cheapest of the three rules' plans: search never ends above it."""
    tables = []
    held: frozenset[int] = frozenset()
    for rule in Rule:
        table = Timetable(problem)
        held = locked_place(table, locked)
        tables.append(dispatch(problem, rule, table))
    return min(tables, key=lambda table: table.cost), held


def _search(table: Timetable, wishes: Wishes, iterations: int, seed: int, clock: Clock) -> int:
    return Search(table, seed, wishes).run(iterations, clock)


def _improved(
    day: Day,
    table: Timetable,
    wishes: Wishes,
    iterations: int,
    seed: int,
    clock: Clock,
    reasons: int | None,
) -> Plan:
    if iterations < 0:
        raise ProblemError(f"iterations: {iterations} is below 0")
    if is_one_block(table):
        lateness_improve(table, wishes, iterations, seed, clock)
        done = iterations
    else:
        fresh = not wishes.reference  # the solvers know nothing of closeness
        search = polish if fresh and polishes(iterations, clock) else _search
        done = search(table, wishes, iterations, seed, clock)
        rounds = min(ROUNDS_PER_BLOCK, iterations // A_ROUND)
        lateness_improve(table, wishes, rounds, seed, clock)
    cut = clock.over() and done < iterations
    return finished(day, table, wishes, done, seed, cut=cut, reasons=reasons)


def finished(
    day: Day,
    table: Timetable,
    wishes: Wishes,
    done: int,
    seed: int,
    *,
    cut: bool,
    reasons: int | None = None,
) -> Plan:
    """The plan in the table, begun early and walked in the order of places.

    ``cut``: the clock stopped it.
    """
    early_improve(table, wishes)
    walk_improve(table, wishes)
    stopped_by = StoppedBy.SECONDS if cut else StoppedBy.ITERATIONS
    if not table.cost:
        stopped_by = StoppedBy.OPTIMAL
    return answer(day, table, seed=seed, iterations=done, stopped_by=stopped_by, reasons=reasons)
