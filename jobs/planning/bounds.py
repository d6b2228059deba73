"""How far from the best a plan can be."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from .compiled import Compiled, day_compile
from .model import Assignment, Day
from .reference import locked_place
from .relaxation import Solved, SolverMissingError, relax
from .roles import manned, solve_manned
from .timetable import Timetable

WHOLE = 1e-6  # a bound this little above a whole number is that number


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan costs less than these. None: not asked for, or no solver to answer.

    ``lp``: the linear relaxation. ``mip``: the integer problem that knows roles, as far as
    it was solved; ``proven`` if to the end.
    """

    lp: float | None = None
    mip: float | None = None
    proven: bool = False
    why_not: str = ""

    @property
    def best(self) -> int | None:
        """The highest of them as a whole cost: costs are whole numbers."""
        known = [each for each in (self.lp, self.mip) if each is not None]
        return ceil(max(known) - WHOLE) if known else None


def bound(
    day: Day,
    *,
    mip: bool = False,
    seconds: float | None = None,
    now: int | None = None,
    locked: Iterable[Assignment] = (),
) -> Bound:
    """Lower bounds on the cost of any plan; ``seconds`` limits the solver.

    Without the optional solver the answer says so in ``why_not``. Raises ProblemError.
    """
    locked = tuple(locked)
    problem = day_compile(day, now=now, locked=locked)
    fixed = [(problem.index[a.task], a.start - problem.base) for a in locked]
    try:
        relaxed = relax(problem, seconds=seconds, fixed=fixed)
        whole = _with_roles(problem, locked, seconds) if mip else None
    except SolverMissingError as error:
        return Bound(why_not=str(error))
    return Bound(
        lp=max(relaxed.bound, 0.0) if relaxed else None,
        mip=max(whole.bound, 0.0) if whole else None,
        proven=bool(whole and whole.optimal),
        why_not="" if relaxed else "the time was up before the relaxation was solved",
    )


def _with_roles(
    problem: Compiled, locked: tuple[Assignment, ...], seconds: float | None
) -> Solved | None:
    table = Timetable(problem)
    return solve_manned(table, manned(table, locked_place(table, locked)), seconds)
