"""How good any plan can be: the time-indexed relaxation, solved by HiGHS.

A column per task and start. Each task at most once; each bike one task per minute; per
minute no more people at work than there are, for every skill; nothing before what it
comes after. Persons are not told apart, so every plan satisfies it and its optimum is a
lower bound. ``highspy`` is an optional extra, imported when first needed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from importlib.util import find_spec
from typing import Any

from .compiled import Compiled, bits


class SolverMissingError(RuntimeError):
    """The optional solver is not installed."""


@dataclass(slots=True)
class Columns:
    """Which (task, start) pairs stand for which column, and the rows over them.

    After ``count_done`` a further column for each of ``done`` says whether any of those
    columns is taken.
    """

    task: list[int] = field(default_factory=list)
    start: list[int] = field(default_factory=list)
    cost: list[float] = field(default_factory=list)
    of_task: list[range] = field(default_factory=list)
    rows: list[tuple[list[int], list[float], float]] = field(default_factory=list)
    done: list[range] = field(default_factory=list)
    same: list[int] = field(default_factory=list)  # rows that reach their limit exactly


@dataclass(frozen=True, slots=True)
class Solved:
    """A relaxation's outcome. ``bound``: no plan costs less. ``x``, ``reduced``: per column."""

    bound: float
    columns: Columns
    x: list[float]
    reduced: list[float]
    optimal: bool


def solver_available() -> bool:
    """Whether ``highspy`` can be imported."""
    return find_spec("highspy") is not None


def relax(
    problem: Compiled,
    *,
    seconds: float | None = None,
    fixed: Iterable[tuple[int, int]] = (),
) -> Solved | None:
    """Solve the relaxation; None if the time was up before there was anything to show.

    ``fixed`` pairs (task, start) have no other start. Raises SolverMissingError.
    """
    columns = build_columns(problem, dict(fixed))
    if not columns.task:
        _highs(None)
        return Solved(float(sum(problem.miss)), columns, [], [], optimal=True)
    model = as_model(columns, seconds=seconds)
    model.run()
    return read(model, problem, columns, integer=False)


def build_columns(problem: Compiled, fixed: dict[int, int]) -> Columns:
    """Columns and rows of the relaxation."""
    columns = Columns()
    for task, allowed in enumerate(problem.allowed):
        begin = len(columns.task)
        for start in [fixed[task]] if task in fixed else bits(allowed):
            columns.task.append(task)
            columns.start.append(start)
            columns.cost.append(problem.cost(task, start) - problem.miss[task])
        columns.of_task.append(range(begin, len(columns.task)))
    for of_task in columns.of_task:
        if of_task:
            columns.rows.append((list(of_task), [1.0] * len(of_task), 1.0))
    bike_rows(problem, columns)
    _crew_rows(problem, columns, fixed)
    for task in range(len(problem.tasks)):
        for other in problem.before[task]:
            required = other in problem.needs[task]
            precedence_rows(problem, columns, task, other, required=required)
    return columns


def _minute_rows(
    columns: Columns, minutes: list[int], chosen: Iterable[int], weight: list[int]
) -> dict[int, tuple[list[int], list[float]]]:
    """For each minute the chosen tasks' columns at work in it."""
    rows: dict[int, tuple[list[int], list[float]]] = {}
    for task in chosen:
        for column in columns.of_task[task]:
            start = columns.start[column]
            for minute in range(start, start + minutes[task]):
                row = rows.setdefault(minute, ([], []))
                row[0].append(column)
                row[1].append(float(weight[task]))
    return rows


def keep_rows(columns: Columns, rows: Iterable[tuple[list[int], list[float], float]]) -> None:
    """Keep rows that can bind, dropping one equal to or held in its neighbour."""
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


def bike_rows(problem: Compiled, columns: Columns) -> None:
    """Each minute at most one task on a bike."""
    tasks_of: list[list[int]] = [[] for _ in range(problem.bikes)]
    for task, bike in enumerate(problem.bike):
        tasks_of[bike].append(task)
    ones = [1] * len(problem.tasks)
    for tasks in tasks_of:
        rows = _minute_rows(columns, problem.minutes, tasks, ones)
        keep_rows(columns, ((*rows[minute], 1.0) for minute in sorted(rows)))


def people_rows(problem: Compiled, columns: Columns, crews: Sequence[tuple[int, ...]]) -> None:
    """Each minute at most one task for a person; ``crews``: the people of each column."""
    for person in range(len(problem.crew_ids)):
        minutes: dict[int, list[int]] = {}
        for column, crew in enumerate(crews):
            if person in crew:
                start = columns.start[column]
                for minute in range(start, start + problem.minutes[columns.task[column]]):
                    minutes.setdefault(minute, []).append(column)
        busy = (minutes[minute] for minute in sorted(minutes))
        keep_rows(columns, ((at_work, [1.0] * len(at_work), 1.0) for at_work in busy))


def _crew_rows(problem: Compiled, columns: Columns, fixed: dict[int, int]) -> None:
    """Per group of people who can do something, the work only they can do."""
    for group in sorted(set(problem.able)):
        members = set(group)
        tasks = [t for t, able in enumerate(problem.able) if members.issuperset(able)]
        rows = _minute_rows(columns, problem.minutes, tasks, problem.people)
        loose: dict[int, int] = {}
        for task in tasks:
            if task in fixed:
                for minute in range(fixed[task], fixed[task] + problem.minutes[task]):
                    loose[minute] = loose.get(minute, 0) + problem.people[task]
        limited = []
        for minute in sorted(rows):
            there = sum(problem.crew_free[person] >> minute & 1 for person in group)
            limited.append((*rows[minute], float(max(there, loose.get(minute, 0)))))
        keep_rows(columns, limited)


def precedence_rows(
    problem: Compiled, columns: Columns, task: int, other: int, *, required: bool
) -> None:
    """``task`` not before ``other`` has ended; not at all without it, if required."""
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


def _highs(seconds: float | None) -> Any:
    try:
        import highspy
    except ImportError:
        raise SolverMissingError(
            "the bound needs the package highspy, which is not installed"
        ) from None
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("threads", 1)
    model.setOptionValue("random_seed", 1)
    if seconds is not None:
        model.setOptionValue("time_limit", float(seconds))
    return model


def count_done(columns: Columns) -> None:
    """A column more for each task, done or not, that carries what doing it is worth.

    A solver that branches on it settles the task; a start forbidden would only send it to
    the next minute, which is as good.
    """
    for own in columns.of_task:
        if own:
            worth = min(columns.cost[column] for column in own)
            for column in own:
                columns.cost[column] -= worth
            columns.same.append(len(columns.rows))
            columns.rows.append(([*own, len(columns.cost)], [1.0] * len(own) + [-1.0], 0.0))
            columns.cost.append(worth)
            columns.done.append(own)


def as_model(
    columns: Columns,
    *,
    integer: bool = False,
    seconds: float | None = None,
    begin: Sequence[float] = (),
    as_good: float = 0.0,
    presolve: bool = True,
) -> Any:
    """The solver with the columns and rows in it; ``begin``: a solution to better.

    ``as_good``: how near to its bound a solution is as good as the best.
    """
    model = _highs(seconds)
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
    lower[columns.same] = upper[columns.same]
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


def read(model: Any, problem: Compiled, columns: Columns, integer: bool) -> Solved | None:
    """What the solver found; None if it did not come to an end and has no bound."""
    import highspy

    optimal = model.getModelStatus() == highspy.HighsModelStatus.kOptimal
    if not optimal and not integer:
        return None
    info, solution = model.getInfo(), model.getSolution()
    base, own = sum(problem.miss), len(columns.task)
    bound = info.mip_dual_bound if integer else info.objective_function_value
    return Solved(
        bound=base + bound,
        columns=columns,
        x=list(solution.col_value)[:own],
        reduced=[] if integer else list(solution.col_dual)[:own],
        optimal=optimal,
    )
