"""What one more bike does to the chances of the work of the others."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from .capacity import PROBE_ITERATIONS
from .model import Id, Plan, PlanningDay, PlanningTask
from .planner import plan, replan
from .replays import replays

REPLAYS_OF_A_BOOKING = 100


@dataclass(frozen=True, slots=True)
class BookingShare:
    """Of one task of another bike: the share of replays in which it is done, and if planned."""

    before: float
    planned_before: bool
    after: float
    planned_after: bool


def booking_shares(
    day: PlanningDay,
    bike: Sequence[PlanningTask],
    tasks: Collection[Id],
    *,
    spread: float,
    need_only_begin: Collection[Id] = (),
    iterations: int = PROBE_ITERATIONS,
    seed: int = 1,
) -> dict[Id, BookingShare]:
    """Plan and replay a day without and with one more bike; its minutes are drawn the same."""
    fuller = replace(day, tasks=(*day.tasks, *bike))
    before = plan(day, iterations=4 * iterations, seed=seed, reasons=0)
    after = replan(fuller, before, previous_input=day, iterations=iterations, seed=seed, reasons=0)
    first = min((first for t in fuller.tasks for first, _last in t.windows), default=0)

    def shares(which: PlanningDay, made: Plan) -> dict[Id, tuple[float, bool]]:
        found = replays(
            which,
            made.assignments,
            now=first,
            spread=spread,
            need_only_begin=need_only_begin,
            number=REPLAYS_OF_A_BOOKING,
            seed=seed,
        )
        planned = {a.task for a in made.assignments}
        return {task: (found.share([task]), task in planned) for task in tasks}

    was, becomes = shares(day, before), shares(fuller, after)
    return {task: BookingShare(*was[task], *becomes[task]) for task in tasks}
