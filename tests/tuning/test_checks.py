"""Every row of the check table, the docstring examples, the command that prints them."""

import doctest
import importlib
import pkgutil
import re
import subprocess
import sys
from pathlib import Path

import pytest

import jobs.tuning
from jobs.tuning import bench
from jobs.tuning.__main__ import main
from jobs.tuning.checks import CHECKS, run

TOPICS = {
    "sag", "springs", "damping", "oil", "tyres", "wear", "geometry", "load", "pace", "evidence",
    "outlook",
}  # fmt: skip
SLOW = {"numpy", "scipy", "pandas", "sympy", "statsmodels", "ortools"}


def _modules():
    found = pkgutil.walk_packages(jobs.tuning.__path__, "jobs.tuning.")
    return [info.name for info in found if not info.name.endswith("__main__")]


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: f"{c.code}-{c.what}")
def test_the_published_value_is_met(check):
    (outcome,) = run([check])
    assert outcome.passed, outcome.line()


def test_all_topics_are_checked():
    assert {check.topic for check in CHECKS} == TOPICS


def test_a_wrong_value_fails():
    from jobs.tuning.checks import Check, ValueSource

    wrong = Check(
        "x", "sums", "one and one", "arithmetic", ValueSource.PRINTED, lambda: 3.0, 2.0, 0.5
    )
    never_refused = Check("x", "sums", "no", "-", ValueSource.PRINTED, lambda: 1.0, refusal=True)
    assert [outcome.passed for outcome in run([wrong, never_refused])] == [False, False]


@pytest.mark.parametrize("name", _modules())
def test_docstring_examples_run(name):
    """Decorated functions too: they are found by their name, not by the file of the wrapper."""
    module = importlib.import_module(name)
    finder = doctest.DocTestFinder(recurse=False)
    runner = doctest.DocTestRunner()
    mine = {
        id(thing): thing
        for thing in vars(module).values()
        if getattr(thing, "__module__", "") == name
    }.values()
    things = [module, *mine]
    for thing in mine:
        if isinstance(thing, type):
            things += [member for member in vars(thing).values() if callable(member)]
    for thing in things:
        for example in finder.find(thing, "example", module=False, globs=dict(vars(module))):
            runner.run(example)
    assert runner.failures == 0
    written = Path(module.__file__).read_text().count(">>> ")
    assert runner.tries == written


def test_every_public_function_has_an_example_and_units():
    missing = []
    for name in _modules():
        module = importlib.import_module(name)
        for thing in vars(module).values():
            if not callable(thing) or getattr(thing, "__module__", "") != name:
                continue
            if thing.__name__.startswith("_") or isinstance(thing, type):
                continue
            if (
                ".checks" in name
                or ".bench." in name
                or name.endswith(("bench", "terms"))
                or "knowledge" in name
            ):
                continue
            if ">>>" not in (thing.__doc__ or ""):
                missing.append(f"{name}.{thing.__name__}")
    assert missing == []


def test_the_check_table_prints(capsys):
    assert main(["checks"]) == 0
    printed = capsys.readouterr().out
    assert re.search(r"\d+ checks: .* computed twice by us; 0 failed", printed)
    for check in CHECKS:
        assert f"{check.what:<44}"[:44] in printed


def test_an_unknown_command_prints_the_usage(capsys):
    assert main(["guess"]) == 2
    assert "checks | bench" in capsys.readouterr().err


def test_the_bench_times_every_calculator_of_the_table():
    timings = bench.measure(rounds=1, calls=1)
    assert len(timings) == len(CHECKS) + len(bench.OTHER_CALLS)
    assert "of the budget" in bench.report(
        timings, reference_s=bench.reference_time(rounds=1, calls=1)
    )


def test_importing_the_arithmetic_loads_no_slow_library():
    names = _modules()
    script = (
        "import importlib, sys\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        f"slow = {SLOW | {'django'}!r} & set(sys.modules)\n"
        "sys.exit(', '.join(sorted(slow)) or 0)\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (ran.returncode, ran.stderr) == (0, "")


def test_the_web_process_starts_without_any_slow_library():
    script = (
        "import os, sys, django\n"
        "os.environ['DJANGO_SETTINGS_MODULE'] = 'tests.settings'\n"
        "django.setup()\n"
        "from django.urls import get_resolver\n"
        "get_resolver().url_patterns\n"
        f"slow = {SLOW!r} & set(sys.modules)\n"
        "sys.exit(', '.join(sorted(slow)) or 0)\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert (ran.returncode, ran.stderr) == (0, "")
