"""The command line: JSON in, JSON out.

    python -m jobs.planning plan < problem.json > plan.json
    python -m jobs.planning bound < problem.json
    python -m jobs.planning validate problem.json plan.json
    python -m jobs.planning capacity --like BIKE < problem.json
    python -m jobs.planning rest --previous plan.json --now MIN < problem.json
    python -m jobs.planning staffing < problem.json
    python -m jobs.planning relief problem.json plan.json
    python -m jobs.planning bench
    python -m jobs.planning survive
    python -m jobs.planning tardiness folder

The exit code is 2 for a bad problem, with the reason on standard error. ``validate`` exits with
1 if the plan breaks a rule, and prints each fault on its own line; ``tardiness`` if a plan costs
less than a published best value, and ``bench`` if one misses more ``first`` tasks than it must:
both show a fault of the planner.
"""

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, TextIO

from .bench import comparison, safety_first, survival, tardiness
from .bench.kept_days import days_asked, simulate
from .capacity import PROBE_ITERATIONS, bike_like, capacity
from .json_format import day_from_json, plan_from_json, plan_to_json
from .json_relief import helper_to_json, moved_to_json, staffing_to_json, windows_from_json
from .json_replays import booking_answer, replays_answer
from .model import Assignment, ProblemError
from .planner import DEFAULT_ITERATIONS, plan, replan
from .previous_plan import started_assignments
from .proof.bounds import bound
from .proof.rest_of_day import DEFAULT_ITERATIONS_REST, best_rest_of_day
from .relief import best_helper_hours, best_tasks_to_move
from .staffing import MAX_HELPERS, staffing
from .validate import validate

BAD_INPUT, FAULTY_PLAN = 2, 1  # exit codes
LARGE_DAY_SHARE = 10  # one day of 40 bikes for so many small ones


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    arguments = _parser().parse_args(argv)
    try:
        run: Callable[[argparse.Namespace], int] = arguments.run
        return run(arguments)
    except ProblemError as error:
        print(f"error: {error}", file=sys.stderr)
        return BAD_INPUT


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m jobs.planning", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    commands = parser.add_subparsers(required=True, metavar="command")
    _plan_parser(commands.add_parser("plan", help="plan the problem on standard input"))
    each = commands.add_parser("bound", help="a cost below which no plan can be")
    each.add_argument("--mip", action="store_true", help="the integer bound too: slower, higher")
    each.add_argument("--seconds", type=float, help="limit of the solver")
    each.set_defaults(run=_bound)
    each = commands.add_parser("validate", help="check a plan against its problem")
    each.add_argument("problem")
    each.add_argument("plan")
    each.add_argument("--previous", help="what it began before --now may stand as it was")
    each.add_argument("--now", type=int)
    each.set_defaults(run=_validate)
    each = commands.add_parser("capacity", help="how many more bikes like one of the problem's")
    each.add_argument("--like", help="a bike of the problem; its first if left out")
    each.add_argument("--asked", action="store_true", help="remove that bike from the day first")
    each.add_argument("--iterations", type=int, default=PROBE_ITERATIONS)
    each.add_argument("--seed", type=int, default=1)
    each.set_defaults(run=_capacity)
    each = commands.add_parser(
        "relief", help="what would save missed tasks: one more helper, work moved"
    )
    each.add_argument("problem")
    each.add_argument("plan")
    each.add_argument("--now", type=int)
    each.add_argument("--elsewhere", help='other windows of some tasks: {"task": [[from, to]]}')
    each.add_argument("--iterations", type=int, default=PROBE_ITERATIONS)
    each.add_argument("--seed", type=int, default=1)
    each.set_defaults(run=_relief)
    each = commands.add_parser("rest", help="the best plan for the rest of a day, and its bound")
    _plan_parser(each)
    each.add_argument("--no-solver", action="store_true", help="search by --iterations alone")
    each.set_defaults(run=_rest, iterations=DEFAULT_ITERATIONS_REST)
    each = commands.add_parser("chances", help="how often replays of a plan do what is asked of it")
    each.set_defaults(run=_chances)
    each = commands.add_parser("booking", help="what one more bike does to the work of the others")
    each.set_defaults(run=_booking)
    each = commands.add_parser("staffing", help="how many helpers, from when to when")
    each.add_argument("--most", type=int, default=MAX_HELPERS)
    each.set_defaults(run=_staffing)
    each = commands.add_parser("bench", help="a table of every rule and budget on random days")
    each.add_argument("--sizes", type=int, nargs="*", default=[10, 20, 40, 60], metavar="BIKES")
    each.add_argument("--days", type=int, default=10)
    each.add_argument("--seconds", type=float, nargs="*", default=[1.0])
    each.add_argument("--rule-days", type=int, default=1000)
    each.add_argument("--mip-seconds", type=float, help="per day, for the integer bound")
    each.add_argument(
        "--first-days", type=int, default=100, help="random days on which bikes come late"
    )
    each.add_argument("--rest-seconds", type=float, help="per day, for the best plan of the rest")
    each.set_defaults(run=_bench)
    _bench_parsers(commands)
    return parser


def _bench_parsers(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    each = commands.add_parser("survive", help="simulated days on which minutes scatter")
    each.add_argument("--days", type=int, default=60, help="of each size and variation")
    each.add_argument("--sizes", type=int, nargs="*", default=[20, 40], metavar="BIKES")
    each.add_argument("--variations", type=float, nargs="*", default=[0.2, 0.4, 0.6])
    each.add_argument("--kept", type=Path, help="a file of simulated days: read, and added to")
    each.add_argument(
        "--part", type=_part, metavar="K/N", help="only simulate the K-th of N parts into --kept"
    )
    each.set_defaults(run=_survive)
    each = commands.add_parser("tardiness", help="OR-Library's wt40 against its best values")
    each.add_argument("folder", type=Path, help="with wt40.txt and wtopt40.txt")
    each.set_defaults(run=_tardiness)


def _plan_parser(each: argparse.ArgumentParser) -> None:
    each.add_argument("--iterations", type=int, default=DEFAULT_ITERATIONS)
    each.add_argument("--seed", type=int, default=1)
    each.add_argument("--previous", help="a plan to stay close to")
    each.add_argument("--before", help="the problem that plan was made for, if it has moved")
    each.add_argument("--now", type=int, help="minute: nothing else starts earlier")
    each.add_argument("--seconds", type=float, help="safety stop")
    each.set_defaults(run=_plan)


def _plan(arguments: argparse.Namespace) -> int:
    day = day_from_json(_read(sys.stdin, "standard input"))
    budget: dict[str, Any] = {
        name: getattr(arguments, name) for name in ("iterations", "seed", "seconds", "now")
    }
    with solver_output_to_stderr():
        if arguments.previous:
            before = day_from_json(_file(arguments.before)) if arguments.before else None
            result = replan(
                day, plan_from_json(_file(arguments.previous)), previous_input=before, **budget
            )
        else:
            result = plan(day, **budget)
    _write(plan_to_json(day, result))
    return 0


def _rest(arguments: argparse.Namespace) -> int:
    if not arguments.previous:
        raise ProblemError("rest: --previous is missing, the plan whose rest is asked for")
    day = day_from_json(_read(sys.stdin, "standard input"))
    before = day_from_json(_file(arguments.before)) if arguments.before else None
    budget = {name: getattr(arguments, name) for name in ("iterations", "seed", "seconds", "now")}
    with solver_output_to_stderr():
        found = best_rest_of_day(
            day,
            plan_from_json(_file(arguments.previous)),
            previous_input=before,
            use_solver=not arguments.no_solver,
            **budget,
        )
    _write(
        {
            "plan": plan_to_json(day, found.plan),
            "first_bound": found.first_bound,
            "bound": found.bound,
            "proven": found.proven,
        }
    )
    return 0


def _bound(arguments: argparse.Namespace) -> int:
    day = day_from_json(_read(sys.stdin, "standard input"))
    with solver_output_to_stderr():
        found = bound(day, mip=arguments.mip, seconds=arguments.seconds)
    if found.why_not:
        print(found.why_not, file=sys.stderr)
    _write(
        {
            "first_missed": found.first,
            "bound": found.best,
            "lp": found.lp,
            "mip": found.mip,
            "proven": found.proven,
        }
    )
    return 0


def _validate(arguments: argparse.Namespace) -> int:
    day = day_from_json(_file(arguments.problem))
    given = plan_from_json(_file(arguments.plan))
    locked: tuple[Assignment, ...] = ()
    if arguments.previous:
        locked = started_assignments(day, plan_from_json(_file(arguments.previous)), arguments.now)
    faults = validate(day, given, locked=locked, now=arguments.now)
    print("\n".join(faults) if faults else "valid")
    return FAULTY_PLAN if faults else 0


def _capacity(arguments: argparse.Namespace) -> int:
    day = day_from_json(_read(sys.stdin, "standard input"))
    if not day.tasks:
        raise ProblemError("problem: there is no bike in it to ask for more of")
    like = day.tasks[0].bike if arguments.like is None else arguments.like
    bike = bike_like(day, like)
    if arguments.asked:
        day = replace(day, tasks=tuple(task for task in day.tasks if task not in bike))
    found = capacity(day, bike, iterations=arguments.iterations, seed=arguments.seed)
    _write({"like": like, "at_least": found.bikes})
    return 0


def _chances(_arguments: argparse.Namespace) -> int:
    _write(replays_answer(_read(sys.stdin, "standard input")))
    return 0


def _booking(_arguments: argparse.Namespace) -> int:
    _write(booking_answer(_read(sys.stdin, "standard input")))
    return 0


def _staffing(arguments: argparse.Namespace) -> int:
    day = day_from_json(_read(sys.stdin, "standard input"))
    _write(staffing_to_json(staffing(day, most=arguments.most)))
    return 0


def _relief(arguments: argparse.Namespace) -> int:
    day = day_from_json(_file(arguments.problem))
    given = plan_from_json(_file(arguments.plan))
    elsewhere = windows_from_json(_file(arguments.elsewhere), day) if arguments.elsewhere else {}
    budget = {name: getattr(arguments, name) for name in ("now", "iterations", "seed")}
    helper = best_helper_hours(day, given, **budget)
    moved = best_tasks_to_move(day, given, elsewhere, **budget)
    _write(
        {
            "helper": helper_to_json(*helper) if helper else None,
            "moved": moved_to_json(moved) if moved else None,
        }
    )
    return 0


def _bench(arguments: argparse.Namespace) -> int:
    budgets = comparison.Budgets(arguments.seconds, arguments.mip_seconds, arguments.rest_seconds)
    with solver_output_to_stderr():
        table = comparison.run(arguments.sizes, arguments.days, arguments.rule_days, budgets)
    print(table)
    if not arguments.first_days:
        return 0
    lines, right = safety_first.run(arguments.first_days, arguments.first_days // LARGE_DAY_SHARE)
    print(lines)
    return 0 if right else FAULTY_PLAN


def _survive(arguments: argparse.Namespace) -> int:
    asked = arguments.sizes, arguments.variations
    if arguments.part:
        if arguments.kept is None:
            raise ProblemError("survive: --part needs --kept, the file that its days go to")
        simulate(days_asked(*asked, arguments.days, arguments.part), arguments.kept)
        return 0
    for line in survival.run(arguments.days, *asked, arguments.kept):
        print(line, flush=True)
    return 0


def _part(text: str) -> tuple[int, int]:
    """``2/3`` as (2, 3)."""
    place, _slash, parts = text.partition("/")
    if not (place.isdigit() and parts.isdigit() and 1 <= int(place) <= int(parts)):
        raise argparse.ArgumentTypeError(f"{text!r}: a part and their number, as in 2/3")
    return int(place), int(parts)


def _tardiness(arguments: argparse.Namespace) -> int:
    table, right = tardiness.run(arguments.folder)
    print(table)
    return 0 if right else FAULTY_PLAN


def _file(path: str) -> Any:
    try:
        with Path(path).open(encoding="utf-8") as stream:
            return _read(stream, path)
    except OSError as error:
        raise ProblemError(f"{path}: {error.strerror}") from None


def _read(stream: TextIO, name: str) -> Any:
    try:
        return json.load(stream)
    except ValueError as error:
        raise ProblemError(f"{name}: not JSON: {error}") from None


def _write(data: Any) -> None:
    json.dump(data, sys.stdout, indent=1)
    sys.stdout.write("\n")


@contextmanager
def solver_output_to_stderr() -> Iterator[None]:
    """Keep standard output for JSON: solvers print directly to its file descriptor."""
    sys.stdout.flush()
    kept = os.dup(1)
    os.dup2(2, 1)
    try:
        yield
    finally:
        sys.stdout.flush()
        os.dup2(kept, 1)
        os.close(kept)
