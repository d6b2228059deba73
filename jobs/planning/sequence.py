"""The order of the tasks of one person who works without a break.

It minimises the weighted tardiness by iterated dynasearch: each pass finds the best set of
independent insertions and swaps by dynamic programming and applies them together. When a
pass gains nothing, a few random swaps are made and the passes begin again. After Congram,
Potts and van de Velde, "An iterated dynasearch algorithm for the single-machine total
weighted tardiness scheduling problem" (INFORMS Journal on Computing 14(1), 2002).
"""

import random
from collections.abc import Callable
from dataclasses import dataclass

RANDOM_SWAPS = 3  # between two descents
MAX_DESCENTS_WITHOUT_GAIN = 30  # then the search goes back to the best order


@dataclass(frozen=True, slots=True)
class SequenceJob:
    """One task: ``weight`` is the cost per minute late, ``due`` counts from the block's start."""

    minutes: int
    weight: int
    due: int


def block_cost(jobs: list[SequenceJob], order: list[int]) -> int:
    """The weighted tardiness of the jobs in this order."""
    end = cost = 0
    for each in order:
        job = jobs[each]
        end += job.minutes
        if end > job.due:
            cost += job.weight * (end - job.due)
    return cost


def block_order(
    jobs: list[SequenceJob],
    order: list[int],
    rounds: int,
    seed: int,
    stop: Callable[[], bool] = lambda: False,
) -> list[int]:
    """The best order found in so many rounds. The search begins with ``order``."""
    rng = random.Random(seed)  # noqa: S311 (a search, no secret)
    current = _descend(jobs, order)
    best, best_cost = current, block_cost(jobs, current)
    since = 0
    for _ in range(rounds):
        if best_cost == 0 or len(order) < 3 or stop():
            break
        since += 1
        if since > MAX_DESCENTS_WITHOUT_GAIN:
            current, since = best, 0
        trial = list(current)
        for _ in range(RANDOM_SWAPS):
            i, j = rng.sample(range(len(trial)), 2)
            trial[i], trial[j] = trial[j], trial[i]
        current = _descend(jobs, trial)
        cost = block_cost(jobs, current)
        if cost < best_cost:
            best, best_cost, since = current, cost, 0
    return best


def _descend(jobs: list[SequenceJob], order: list[int]) -> list[int]:
    while (better := _improve_once(jobs, order)) is not None:
        order = better
    return order


Gain = tuple[int, int, str]


@dataclass(slots=True)
class _TimedOrder:
    """The jobs of one order with their ends and costs, and the moves that reduce the cost.

    ``gains[j]``: moves whose last position is ``j``: (change of cost, first position, kind).
    """

    minutes: list[int]
    weight: list[int]
    due: list[int]
    ends: list[int]
    cost: list[int]
    gains: list[list[Gain]]

    def later(self, i: int) -> None:
        """Move job ``i`` behind each later job: the jobs between become earlier."""
        weight, due, ends, cost = self.weight, self.due, self.ends, self.cost
        move, own, w, d = self.minutes[i], cost[i], weight[i], due[i]
        between = 0
        for j in range(i + 1, len(ends)):
            if cost[j]:
                late = ends[j] - move - due[j]
                between += (weight[j] * late if late > 0 else 0) - cost[j]
            late = ends[j] - d
            change = between - own + (w * late if late > 0 else 0)
            if change < 0:
                self.gains[j].append((change, i, "later"))

    def earlier(self, j: int) -> None:
        """Move job ``j`` before each earlier job: the jobs between become later."""
        weight, due, ends, cost = self.weight, self.due, self.ends, self.cost
        move, own, w, d = self.minutes[j], cost[j], weight[j], due[j]
        between = 0
        for i in range(j - 1, -1, -1):
            late = ends[i] + move - due[i]
            between += (weight[i] * late if late > 0 else 0) - cost[i]
            if between >= own:
                return
            late = ends[i] - self.minutes[i] + move - d
            change = between - own + (w * late if late > 0 else 0)
            if change < 0:
                self.gains[j].append((change, i, "earlier"))

    def swap(self, i: int, j: int) -> None:
        """Swap two jobs: the jobs between move by the difference of their minutes."""
        weight, due, ends, cost = self.weight, self.due, self.ends, self.cost
        late_i = ends[j] - due[i]
        late_j = ends[i] - self.minutes[i] + self.minutes[j] - due[j]
        change = (weight[i] * late_i if late_i > 0 else 0) - cost[i] - cost[j]
        change += weight[j] * late_j if late_j > 0 else 0
        shift = self.minutes[j] - self.minutes[i]
        for k in range(i + 1, j):
            if shift >= 0 and change >= 0:
                return
            late = ends[k] + shift - due[k]
            change += (weight[k] * late if late > 0 else 0) - cost[k]
        if change < 0:
            self.gains[j].append((change, i, "swap"))


def _improve_once(jobs: list[SequenceJob], order: list[int]) -> list[int] | None:
    """Apply the best independent moves. None if no move reduces the cost."""
    timed = _timed_order(jobs, order)
    count = len(order)
    for i in range(count - 1):
        timed.later(i)
        if timed.cost[i + 1]:
            timed.earlier(i + 1)
        for j in range(i + 2, count):
            if timed.cost[j]:
                timed.swap(i, j)
    return _apply(order, timed.gains)


def _timed_order(jobs: list[SequenceJob], order: list[int]) -> _TimedOrder:
    chosen = [jobs[j] for j in order]
    ends, end = [], 0
    for job in chosen:
        end += job.minutes
        ends.append(end)
    return _TimedOrder(
        minutes=[job.minutes for job in chosen],
        weight=[job.weight for job in chosen],
        due=[job.due for job in chosen],
        ends=ends,
        cost=[max(0, job.weight * (end - job.due)) for job, end in zip(chosen, ends, strict=True)],
        gains=[[] for _ in order],
    )


def _apply(order: list[int], gains: list[list[Gain]]) -> list[int] | None:
    """Choose independent moves by dynamic programming and apply them."""
    count = len(order)
    best = [0] * (count + 1)
    chosen: list[tuple[int, str] | None] = [None] * (count + 1)
    for j in range(count):
        best[j + 1] = best[j]
        for change, i, kind in gains[j]:
            if best[i] + change < best[j + 1]:
                best[j + 1], chosen[j + 1] = best[i] + change, (i, kind)
    if best[count] == 0:
        return None
    order, j = list(order), count
    while j > 0:
        move = chosen[j]
        if move is None:
            j -= 1
            continue
        i, kind = move
        if kind == "swap":
            order[i], order[j - 1] = order[j - 1], order[i]
        elif kind == "later":
            order.insert(j - 1, order.pop(i))
        else:
            order.insert(i, order.pop(j - 1))
        j = i
    return order
