"""What one check is, and how it is judged and printed."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum

from ..refusal import Refused


class Mark(StrEnum):
    """Where the expected value comes from."""

    PRINTED = "printed in the source"
    MEMORY = "source or value from memory"
    COMPUTED = "computed with a second library or method"


@dataclass(frozen=True)
class Check:
    """One expected value: ``got`` is called without arguments; ``refusal`` expects Refused."""

    code: str
    topic: str
    what: str
    source: str
    mark: Mark
    got: Callable[[], object]
    expected: float | None = None
    tolerance: float = 0.0
    relative: bool = False
    refusal: bool = False


@dataclass(frozen=True)
class Outcome:
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


def run(checks: Iterable[Check]) -> tuple[Outcome, ...]:
    """Every check judged.

    >>> one = Check("x1", "sums", "one and one", "arithmetic", Mark.PRINTED, lambda: 2.0, 2.0)
    >>> run([one])[0].passed
    True
    """
    return tuple(_judge(check) for check in checks)


def _judge(check: Check) -> Outcome:
    try:
        got = float(check.got())  # type: ignore[arg-type]
    except Refused:
        return Outcome(check, None, check.refusal)
    if check.refusal or check.expected is None:
        return Outcome(check, got, passed=False)
    allowed = check.tolerance * (abs(check.expected) if check.relative else 1)
    return Outcome(check, got, abs(got - check.expected) <= allowed)
