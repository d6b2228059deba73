"""How far from the best a plan can be."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from .compiled import day_compile
from .model import Assignment, Day
from .relaxation import SolverMissingError, relax

WHOLE = 1e-6  # a bound this little above a whole number is that number


@dataclass(frozen=True, slots=True)
class Bound:
    """No plan costs less than these. None: not asked for, or no solver to answer.

    ``lp``: the linear relaxation. ``mip``: its integer form, at least as high; ``proven``
    if it was solved to the end.
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
        whole = relax(problem, integer=True, seconds=seconds, fixed=fixed) if mip else None
    except SolverMissingError as error:
        return Bound(why_not=str(error))
    return Bound(
        lp=max(relaxed.bound, 0.0) if relaxed else None,
        mip=max(whole.bound, 0.0) if whole else None,
        proven=bool(whole and whole.optimal),
        why_not="" if relaxed else "the time was up before the relaxation was solved",
    )
