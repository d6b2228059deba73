"""One check, how it is judged, and how it is printed."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..refusal import Refused


class ValueSource(StrEnum):
    """Where the expected value comes from.

    ``PRINTED``: the source can be looked up and prints this very value; ``tests/tuning`` keeps
    what it prints. ``COMPUTED``: by us twice, the second time with another library or method,
    in the tests. ``MEMORY``: a known source whose value nobody has looked up again.
    """

    PRINTED = "printed in a named source"
    MEMORY = "from memory"
    COMPUTED = "computed twice by us"


@dataclass(frozen=True)
class Check:
    """One expected value: ``got`` is called without arguments; ``refusal`` expects Refused."""

    code: str
    topic: str
    what: str
    source: str
    mark: ValueSource
    got: Callable[[], object]
    expected: float | None = None
    tolerance: float = 0.0
    relative: bool = False
    refusal: bool = False


@dataclass(frozen=True)
class CheckResult:
    """A check that was run."""

    check: Check
    got: float | None
    passed: bool

    def line(self) -> str:
        check = self.check
        wanted = "refused" if check.refusal else f"{check.expected:.10g}"
        got = "refused" if self.got is None else f"{self.got:.10g}"
        margin = "" if check.refusal else f"{check.tolerance:g}{' rel' if check.relative else ''}"
        return (
            f"{'pass' if self.passed else 'FAIL'}  {check.code:<4} {check.topic:<9} "
            f"{check.what:<44} {wanted:>16} {got:>16} {margin:>10}  {check.source} [{check.mark}]"
        )


_COLUMNS = ("", "", "topic", "check", "expected", "got", "within")
HEADING = "{:<5} {:<4} {:<9} {:<44} {:>16} {:>16} {:>10}  source".format(*_COLUMNS)


def summary(results: Sequence[CheckResult]) -> str:
    """How many checks there are, where their values come from, and how many failed.

    >>> one = Check("x1", "sums", "1 + 1", "sums", ValueSource.MEMORY, lambda: 2.0, 2.0)
    >>> summary(run([one]))
    '1 checks: 0 printed in a named source, 1 from memory, 0 computed twice by us; 0 failed'
    """
    marks = [result.check.mark for result in results]
    origins = ", ".join(f"{marks.count(mark)} {mark}" for mark in ValueSource)
    failed = sum(not result.passed for result in results)
    return f"{len(results)} checks: {origins}; {failed} failed"


def run(checks: Iterable[Check]) -> tuple[CheckResult, ...]:
    """The result of every check.

    >>> one = Check(
    ...     "x1", "sums", "one and one", "arithmetic", ValueSource.PRINTED, lambda: 2.0, 2.0)
    >>> run([one])[0].passed
    True
    """
    return tuple(_judge(check) for check in checks)


def _judge(check: Check) -> CheckResult:
    try:
        got = float(check.got())  # type: ignore[arg-type]
    except Refused:
        return CheckResult(check, None, check.refusal)
    if check.refusal or check.expected is None:
        return CheckResult(check, got, passed=False)
    allowed = check.tolerance * (abs(check.expected) if check.relative else 1)
    return CheckResult(check, got, abs(got - check.expected) <= allowed)
