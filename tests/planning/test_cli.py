"""The command line as documented: JSON in, JSON out, exit code 2 for a bad problem."""

import io
import json

import pytest

from jobs.planning import day_to_json
from jobs.planning.bench.random_days import random_day
from jobs.planning.cli import main

PROBLEM = day_to_json(random_day(4, 1))


@pytest.fixture
def run(monkeypatch, capsys):
    def run(*arguments, stdin=""):
        text = stdin if isinstance(stdin, str) else json.dumps(stdin)
        monkeypatch.setattr("sys.stdin", io.StringIO(text))
        code = main([str(each) for each in arguments])
        out = capsys.readouterr()
        return code, out.out, out.err

    return run


@pytest.fixture
def files(run, tmp_path):
    """A problem and its plan, as files."""
    problem, plan = tmp_path / "problem.json", tmp_path / "plan.json"
    problem.write_text(json.dumps(PROBLEM))
    plan.write_text(run("plan", "--iterations", 100, stdin=PROBLEM)[1])
    return problem, plan


def test_plan_and_validate(run, files):
    code, out, err = run("validate", *files)
    assert (code, out, err) == (0, "valid\n", "")


def test_a_faulty_plan_and_a_bad_problem_have_different_exit_codes(run, files):
    problem, plan = files
    data = json.loads(plan.read_text())
    first = data["assignments"][0]
    first["start"] = 5
    plan.write_text(json.dumps(data))
    code, out, _ = run("validate", problem, plan)
    assert code == 1
    assert f"task {first['task']}: " in out


def test_replan_from_a_previous_plan(run, files, tmp_path):
    problem, plan = files
    code, out, _ = run(
        *("plan", "--previous", plan, "--before", problem, "--now", 600, "--iterations", 50),
        stdin=PROBLEM,
    )
    again = tmp_path / "again.json"
    again.write_text(out)
    assert code == 0
    assert run("validate", problem, again, "--previous", plan, "--now", 600)[0] == 0


@pytest.mark.parametrize(
    ("stdin", "error"),
    [
        ("{", "error: standard input: not JSON: "),
        ({**PROBLEM, "night": 1}, "error: problem: unknown key 'night'\n"),
        (
            {**PROBLEM, "tasks": [{**PROBLEM["tasks"][0], "after": ["ghost"]}]},
            f"error: task {PROBLEM['tasks'][0]['id']}: after names an unknown task, ghost\n",
        ),
    ],
)
def test_a_bad_problem_is_refused_with_2(run, stdin, error):
    for command in ("plan", "bound"):
        code, out, err = run(command, stdin=stdin)
        assert (code, out) == (2, "")
        assert err.startswith(error)


def test_a_missing_file_is_refused(run, tmp_path):
    code, _, err = run("validate", tmp_path / "none.json", tmp_path / "none.json")
    assert code == 2
    assert err == f"error: {tmp_path / 'none.json'}: No such file or directory\n"
