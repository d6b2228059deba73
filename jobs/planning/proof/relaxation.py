"""The linear relaxation: a bound on the cost of any plan, solved by HiGHS.

It is the time-indexed formulation with a column per task and start. Each task is done at most
once; each bike has one task per minute; per minute and skill no more people work than are
here; and no task comes before its predecessors. People are not told apart, so every plan is a
solution, and the optimum is a lower bound. ``first`` tasks are a row, not a cost: no more of
them are missed than in the plan compared with. ``highspy`` is imported when first needed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from importlib.util import find_spec
from math import ceil, inf
from typing import Any

from ..compiled import CompiledDay, bits

TOLERANCE = 1e-6  # a bound so little above a whole number is that number


class SolverMissingError(RuntimeError):
    """The optional solver is not installed."""


@dataclass(slots=True)
class Columns:
    """The columns, each a (task, start) pair with its cost, and the rows over them.

    ``of_task``: the columns of each task. A row is (columns, coefficients, upper limit).
    ``done``: after ``add_done_columns`` one more column for each of these ranges, which is 1
    if any column of the range is.
    """

    task: list[int] = field(default_factory=list)
    start: list[int] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    of_task: list[range] = field(default_factory=list)
    rows: list[tuple[list[int], list[float], float]] = field(default_factory=list)
    done: list[range] = field(default_factory=list)
    equalities: list[int] = field(default_factory=list)  # rows equal to their limit


@dataclass(frozen=True, slots=True)
class Solution:
    """A solution. No plan costs less than ``bound``; ``x`` and ``reduced`` are per column.

    ``x``: the values. ``reduced``: the reduced costs. ``optimal``: solved to the end. A
    ``bound`` without end: no plan keeps to the rows.
    """

    bound: float
    columns: Columns
    x: list[float]
    reduced: list[float]
    optimal: bool


def solver_available() -> bool:
    """Whether ``highspy`` can be imported."""
    return find_spec("highspy") is not None


def solve_relaxation(
    problem: CompiledDay,
    *,
    seconds: float | None = None,
    fixed: Iterable[tuple[int, int]] = (),
    first_missed: int,
) -> Solution | None:
    """Solve the relaxation. None if the time limit came before there was a solution.

    Each pair (task, start) of ``fixed`` is the only start of its task. The bound is of the
    plans that miss at most ``first_missed`` of the ``first`` tasks. Raises SolverMissingError.
    """
    columns = relaxation_columns(problem, dict(fixed))
    if not columns.task:
        _new_model(None)
        return Solution(cost_of_nothing(problem), columns, [], [], optimal=True)
    limit_first_missed(problem, columns, first_missed)
    model = build_solver(columns, seconds=seconds)
    model.run()
    return read_solution(model, problem, columns, integer=False)


def relaxation_columns(problem: CompiledDay, fixed: dict[int, int]) -> Columns:
    """The columns and rows of the relaxation."""
    columns = Columns()
    for task, allowed in enumerate(problem.allowed):
        begin = len(columns.task)
        for start in [fixed[task]] if task in fixed else bits(allowed):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(problem.cost(task, start) - problem.tasks[task].miss_cost)
        columns.of_task.append(range(begin, len(columns.task)))
    for of_task in columns.of_task:
        if of_task:
            columns.rows.append((list(of_task), [1.0] * len(of_task), 1.0))
    bike_rows(problem, columns)
    _crew_rows(problem, columns, fixed)
    for task in range(len(problem.tasks)):
        for other in problem.predecessors[task]:
            required = other in problem.required[task]
            precedence_rows(problem, columns, task, other, required=required)
    return columns


def cost_of_nothing(problem: CompiledDay) -> float:
    """The cost of a plan without any task."""
    return float(sum(task.miss_cost for task in problem.tasks))


def limit_first_missed(problem: CompiledDay, columns: Columns, missed: int) -> None:
    """Add the row that at most so many ``first`` tasks are missed."""
    done = [column for task in sorted(problem.first) for column in columns.of_task[task]]
    if done:
        columns.rows.append((done, [-1.0] * len(done), float(missed - len(problem.first))))


def least_first_missed(
    problem: CompiledDay, *, seconds: float | None = None, fixed: Iterable[tuple[int, int]] = ()
) -> int:
    """No plan misses fewer ``first`` tasks than this. Raises SolverMissingError."""
    if not problem.first:
        return 0
    columns = relaxation_columns(problem, dict(fixed))
    if not any(columns.of_task[task] for task in problem.first):
        return len(problem.first)
    gain = [-1.0 if task in problem.first else 0.0 for task in columns.task]
    model = build_solver(replace(columns, cost=gain), seconds=seconds)
    model.run()
    if read_solution(model, problem, columns, integer=False) is None:
        return 0
    done = -float(model.getInfo().objective_function_value)
    return max(0, ceil(len(problem.first) - done - TOLERANCE))


def _minute_rows(
    columns: Columns, minutes: list[int], chosen: Iterable[int], weight: list[int]
) -> dict[int, tuple[list[int], list[float]]]:
    """For each minute the columns of these tasks that are at work in it, with the weights."""
    rows: dict[int, tuple[list[int], list[float]]] = {}
    for task in chosen:
        for column in columns.of_task[task]:
            start = columns.start[column]
            for minute in range(start, start + minutes[task]):
                row = rows.setdefault(minute, ([], []))
                row[0].append(column)
                row[1].append(float(weight[task]))
    return rows


def add_binding_rows(
    columns: Columns, rows: Iterable[tuple[list[int], list[float], float]]
) -> None:
    """Add the rows that can bind, without one that equals or is part of its neighbour."""
    last: frozenset[int] = frozenset()
    last_limit = 0.0
    for index, values, limit in rows:
        if sum(values) <= limit:
            continue
        now = frozenset(index)
        if last_limit == limit and now <= last:
            continue
        if last_limit == limit and last <= now and columns.rows:
            columns.rows.pop()
        columns.rows.append((index, values, limit))
        last, last_limit = now, limit


def bike_rows(problem: CompiledDay, columns: Columns) -> None:
    """At most one task on a bike in each minute."""
    tasks_of: list[list[int]] = [[] for _ in range(problem.bikes)]
    for task, bike in enumerate(problem.bike):
        tasks_of[bike].append(task)
    ones = [1] * len(problem.tasks)
    for tasks in tasks_of:
        rows = _minute_rows(columns, problem.minutes, tasks, ones)
        add_binding_rows(columns, ((*rows[minute], 1.0) for minute in sorted(rows)))


def people_rows(problem: CompiledDay, columns: Columns, crews: Sequence[tuple[int, ...]]) -> None:
    """At most one task of a person in each minute. ``crews``: the people of each column."""
    for person in range(len(problem.crew_ids)):
        minutes: dict[int, list[int]] = {}
        for column, crew in enumerate(crews):
            if person in crew:
                start = columns.start[column]
                for minute in range(start, start + problem.minutes[columns.task[column]]):
                    minutes.setdefault(minute, []).append(column)
        busy = (minutes[minute] for minute in sorted(minutes))
        add_binding_rows(columns, ((at_work, [1.0] * len(at_work), 1.0) for at_work in busy))


def _crew_rows(problem: CompiledDay, columns: Columns, fixed: dict[int, int]) -> None:
    """For each group of people with a skill, no more of its work per minute than people here."""
    for group in sorted(set(problem.able)):
        members = set(group)
        tasks = [t for t, able in enumerate(problem.able) if members.issuperset(able)]
        rows = _minute_rows(columns, problem.minutes, tasks, problem.people)
        fixed_people: dict[int, int] = {}
        for task in tasks:
            if task in fixed:
                for minute in range(fixed[task], fixed[task] + problem.minutes[task]):
                    fixed_people[minute] = fixed_people.get(minute, 0) + problem.people[task]
        limited = []
        for minute in sorted(rows):
            here = sum(problem.crew_free[person] >> minute & 1 for person in group)
            limited.append((*rows[minute], float(max(here, fixed_people.get(minute, 0)))))
        add_binding_rows(columns, limited)


def precedence_rows(
    problem: CompiledDay, columns: Columns, task: int, other: int, *, required: bool
) -> None:
    """``task`` starts after the end of ``other``, and only if ``other`` is done, if required."""
    minutes = problem.minutes[other]
    mine, theirs = columns.of_task[task], columns.of_task[other]
    for minute in sorted({columns.start[c] for c in mine}):
        early = [c for c in mine if columns.start[c] <= minute]
        if required:
            done = [c for c in theirs if columns.start[c] + minutes <= minute]
            columns.rows.append((early + done, [1.0] * len(early) + [-1.0] * len(done), 0.0))
        else:
            late = [c for c in theirs if columns.start[c] + minutes > minute]
            if late:
                columns.rows.append((early + late, [1.0] * (len(early) + len(late)), 1.0))


def _new_model(seconds: float | None) -> Any:
    try:
        import highspy
    except ImportError:
        raise SolverMissingError(
            "the bound needs the package highspy, which is not installed"
        ) from None
    model = highspy.Highs()  # type: ignore[no-untyped-call]
    model.silent()
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 1)
    if seconds is not None:
        model.setOptionValue("time_limit", float(seconds))
    return model


def add_done_columns(columns: Columns) -> None:
    """Add a column for each task that says whether it is done and carries the gain of doing it.

    A solver that branches on this column decides the whole task. If it forbade one start, the
    task would only move to the next minute at the same cost.
    """
    for own in columns.of_task:
        if own:
            worth = min(columns.cost[column] for column in own)
            for column in own:
                columns.cost[column] -= worth
            columns.equalities.append(len(columns.rows))
            columns.rows.append(([*own, len(columns.cost)], [1.0] * len(own) + [-1.0], 0.0))
            columns.cost.append(worth)
            columns.done.append(own)


def build_solver(
    columns: Columns,
    *,
    integer: bool = False,
    seconds: float | None = None,
    begin: Sequence[float] = (),
    as_good: float = 0.0,
    presolve: bool = True,
) -> Any:
    """A HiGHS model with the columns and rows. ``begin``: a solution to start from.

    ``as_good``: the distance from the bound within which a solution counts as optimal.
    """
    model = _new_model(seconds)
    import highspy
    import numpy

    lp = highspy.HighsLp()
    count = len(columns.cost)
    lp.num_col_, lp.num_row_ = count, len(columns.rows)
    lp.col_cost_ = numpy.array(columns.cost)
    lp.col_lower_ = numpy.zeros(count)
    lp.col_upper_ = numpy.ones(count)
    upper = numpy.array([limit for _, _, limit in columns.rows])
    lower = numpy.full(len(upper), -highspy.kHighsInf)
    lower[columns.equalities] = upper[columns.equalities]
    lp.row_lower_, lp.row_upper_ = lower, upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lengths = [len(index) for index, _, _ in columns.rows]
    lp.a_matrix_.start_ = numpy.concatenate([[0], numpy.cumsum(lengths)]).astype(numpy.int32)
    lp.a_matrix_.index_ = numpy.array([c for index, _, _ in columns.rows for c in index])
    lp.a_matrix_.value_ = numpy.array([v for _, values, _ in columns.rows for v in values])
    if integer:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * count
    model.passModel(lp)
    if not presolve:
        model.setOptionValue("presolve", "off")
    if as_good:
        model.setOptionValue("mip_rel_gap", 0.0)
        model.setOptionValue("mip_abs_gap", as_good)
    if begin:
        solution = highspy.HighsSolution()
        done = [sum(begin[column] for column in own) for own in columns.done]
        solution.col_value = numpy.array([*begin, *done])
        model.setSolution(solution)
    return model


def read_solution(
    model: Any, problem: CompiledDay, columns: Columns, integer: bool
) -> Solution | None:
    """The solution that the solver found. None if it was stopped and has no bound."""
    import highspy

    if integer and model.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return Solution(inf, columns, [], [], optimal=True)
    optimal = model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if not optimal and not integer:
        return None
    info, solution = model.getInfo(), model.getSolution()
    base, own = cost_of_nothing(problem), len(columns.task)
    bound = info.mip_dual_bound if integer else info.objective_function_value
    return Solution(
        bound=base + bound,
        columns=columns,
        x=list(solution.col_value)[:own],
        reduced=[] if integer else list(solution.col_dual)[:own],
        optimal=optimal,
    )
