"""Lower bounds on what any plan misses and costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, isinf

from ..compiled import CompiledDay, day_compile
from ..model import Assignment, PlanningDay
from ..previous_plan import place_locked
from ..timetable import CrewTimetable
from .relaxation import (
    TOLERANCE,
    Solution,
    SolverMissingError,
    least_first_missed,
    solve_relaxation,
)
from .roles import role_problem, solve_role_problem


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan costs less than these. None: not asked for, or there is no solver.

    No plan misses fewer than ``first`` of the ``first`` tasks. Where there are any, the costs
    are of the plans that miss no more than that; the others are worse, whatever they cost.
    ``lp``: of the linear relaxation. ``mip``: of the integer problem that counts people by
    role, as far as it was solved; ``proven`` if to the end. ``why_not``: why there is none.
    """

    lp: float | None = None
    mip: float | None = None
    proven: bool = False
    why_not: str = ""
    first: int = 0

    @property
    def best(self) -> int | None:
        """The higher one, rounded up: costs are whole numbers."""
        known = [each for each in (self.lp, self.mip) if each is not None]
        return ceil(max(known) - TOLERANCE) if known else None


def bound(
    day: PlanningDay,
    *,
    mip: bool = False,
    seconds: float | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
) -> Bound:
    """Lower bounds for any plan. ``seconds`` limits each run of the solver.

    ``mip``: also the integer bound. Without the optional solver the result says so in
    ``why_not``. Raises ProblemError.
    """
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    fixed = [(problem.index[a.task], a.start - problem.base) for a in locked]
    try:
        first = least_first_missed(problem, seconds=seconds, fixed=fixed)
        integer = None
        if mip:
            integer, first = _with_roles(problem, locked, first, seconds)
        relaxed = solve_relaxation(problem, seconds=seconds, fixed=fixed, first_missed=first)
    except SolverMissingError as error:
        return Bound(why_not=str(error))
    return Bound(
        lp=max(relaxed.bound, 0.0) if relaxed else None,
        mip=max(integer.bound, 0.0) if integer else None,
        proven=bool(integer and integer.optimal),
        why_not="" if relaxed else "the time was up before the relaxation was solved",
        first=first,
    )


def _with_roles(
    problem: CompiledDay, locked: tuple[Assignment, ...], first: int, seconds: float | None
) -> tuple[Solution | None, int]:
    """The solution that misses the fewest ``first`` tasks, and how many; ``first`` at least."""
    table = CrewTimetable(problem)
    fixed = place_locked(table, locked)
    while True:
        integer = role_problem(table, fixed, first_missed=first)
        solved = solve_role_problem(table, integer, seconds)
        if solved is None or not isinf(solved.bound):
            return solved, first
        if first >= len(problem.first):
            return None, first
        first += 1
