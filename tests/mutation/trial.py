"""A pytest plugin: runs the collected tests against one mutant after another.

After collection it forks: one process runs every test and notes which lines it executes;
then a process for each mutant runs the tests that execute the mutated lines. A mutant of
what is executed by imports is written into the file, and a new process imports it.
"""

import json
import os
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import coverage
import pytest
from _pytest.runner import runtestprotocol

from tests.alone import run_folder
from tests.databases import MIGRATED

from .mutants import Mutant
from .patching import patch

KILLED, SURVIVED, EXECUTED_BY_IMPORT, FAULT = range(4)


class Trial:
    """``outcome`` is called with each mutant and whether it survived, as soon as it is known."""

    def __init__(
        self,
        room: str,
        mutants: list[Mutant],
        options: list[str],
        outcome: Callable[[Mutant, bool], None],
    ) -> None:
        self.mutants = mutants
        self.options = options
        self.outcome = outcome
        self.data = Path(os.environ["DATA_DIR"])
        self.coverage = coverage.Coverage(
            data_file=None, include=[f"jobs/{room}/*"], config_file=False, concurrency=["thread"]
        )
        self.coverage.start()

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.coverage.stop()
        self.items = {item.nodeid: item for item in session.items}
        recorded = self.data / "recorded.json"
        _forked(lambda: self._record(recorded), patience=3600)
        found = json.loads(recorded.read_text())
        for test in found["failed"]:
            print(f"Left out, it fails without a mutant: {test}", flush=True)
        self.seconds: dict[str, float] = found["seconds"]
        self.lines: dict[str, dict[str, list[str]]] = found["lines"]
        self._check()
        for mutant in self.mutants:
            self.outcome(mutant, self._survives(mutant))
        return True

    def _check(self) -> None:
        """A fork in which tests fail whatever is changed would kill every mutant."""
        tests = self._quickest(self.seconds)[:5]
        if _forked(lambda: self._run_all(tests), patience=600) != SURVIVED:
            raise SystemExit(f"In a fork these fail without a mutant: {tests}")

    def _quickest(self, tests: Iterable[str]) -> list[str]:
        return sorted(tests, key=lambda test: self.seconds[test])

    def _record(self, target: Path) -> int:
        """The seconds and the executed lines of every test that passes."""
        seconds, failed = {}, []
        self.coverage.start()
        for item, following in self._in_turn(list(self.items)):
            self.coverage.switch_context(item.nodeid)
            reports = runtestprotocol(item, nextitem=following, log=False)
            self.coverage.switch_context("")
            seconds[item.nodeid] = sum(report.duration for report in reports)
            if any(report.failed for report in reports):
                failed.append(item.nodeid)
                del seconds[item.nodeid]
        self.coverage.stop()
        data = self.coverage.get_data()
        lines = {
            str(Path(name).relative_to(Path.cwd())): data.contexts_by_lineno(name)
            for name in data.measured_files()
        }
        target.write_text(json.dumps({"seconds": seconds, "failed": failed, "lines": lines}))
        return 0

    def _survives(self, mutant: Mutant) -> bool:
        """Whether every test that executes the mutated lines passes all the same."""
        lines = self.lines.get(mutant.file, {})
        covering = {test for line in mutant.executed for test in lines.get(str(line), ())}
        if covering == {""}:
            return self._survives_anew(mutant, list(self.seconds))
        tests = self._quickest(covering & set(self.seconds))
        if not tests:
            return True
        self._forget_databases()
        code = _forked(lambda: self._run(mutant, tests), patience=self._patience(tests))
        return self._survives_anew(mutant, tests) if code == EXECUTED_BY_IMPORT else bool(code)

    def _run(self, mutant: Mutant, tests: list[str]) -> int:
        return self._run_all(tests) if patch(mutant) else EXECUTED_BY_IMPORT

    def _run_all(self, tests: list[str]) -> int:
        for item, following in self._in_turn(tests):
            reports = runtestprotocol(item, nextitem=following, log=False)
            if any(report.failed for report in reports):
                return KILLED
        return SURVIVED

    def _survives_anew(self, mutant: Mutant, tests: list[str]) -> bool:
        """In a new process, with the file as the mutant has it."""
        path = Path(mutant.file)
        original, times = path.read_text(), path.stat()
        path.write_text(mutant.source)
        self._forget_databases()
        files = sorted({test.split("::")[0] for test in tests})
        command = [sys.executable, "-B", "-m", "pytest", *self.options, "-x", *files]
        try:
            ran = subprocess.run(command, capture_output=True, timeout=self._patience(tests))
        except subprocess.TimeoutExpired:
            return False
        finally:
            path.write_text(original)
            os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))
        return ran.returncode == 0

    def _in_turn(self, tests: list[str]) -> Iterator[tuple[pytest.Item, pytest.Item]]:
        """Each with the one after it. What lasts a session is never taken down: a fork ends."""
        items = [self.items[test] for test in tests]
        yield from zip(items, [*items[1:], items[0]], strict=True)

    def _patience(self, tests: list[str]) -> float:
        return 120 + 10 * sum(self.seconds[test] for test in tests)

    def _forget_databases(self) -> None:
        """A mutant's tests build their days themselves; only what is migrated is kept."""
        left = [*self.data.glob("*.sqlite3*"), *run_folder().iterdir()]
        for path in left:
            if path.stem != MIGRATED:
                path.unlink()


def _forked(run: Callable[[], int], *, patience: float) -> int:
    """What ``run`` returns in a process of its own; KILLED where it takes too long."""
    child = os.fork()
    if child == 0:
        code = FAULT
        try:
            os.setsid()
            said = os.open("var/mutation/said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            code = run()
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    ends = time.monotonic() + patience
    while time.monotonic() < ends:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return _understood(os.waitstatus_to_exitcode(status))
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return KILLED


def _understood(code: int) -> int:
    """A process killed by a signal was killed by its mutant; a fault of ours stops everything."""
    if code == FAULT:
        raise SystemExit(Path("var/mutation/said").read_text())
    return KILLED if code < 0 else code
