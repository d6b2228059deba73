"""Checks of pace and evidence."""

from functools import partial

from .. import evidence, pace
from .table import Check, ValueSource

S, M, R = ValueSource.PRINTED, ValueSource.MEMORY, ValueSource.COMPUTED
_R_DOCS = "R documentation, stats::mad, examples"
_SCIPY = "scipy in the tests"
_NEWCOMBE = "Newcombe, Statistics in Medicine 17 (1998)"
_SCIPY_TESTS = "scipy, stats/tests/test_morestats.py"
_MODELS_TESTS = "statsmodels, stats/tests/test_proportion.py"
_FIRST = (121.9, 103.4, 102.8, 102.5, 102.9, 108.7, 102.6, 103.1, 102.7, 130.2)
_SECOND = (99.6, 99.9, 99.2, 100.4, 99.5, 99.8)


def _outing(times: tuple[float, ...]) -> pace.OutingPace:
    return pace.outing_pace(laps=[pace.Lap(t) for t in times])


def _shift() -> pace.PaceChange:
    return pace.pace_change(before=_outing(_FIRST), after=_outing(_SECOND))


def _end(which: str, k: int, n: int) -> float:
    return float(getattr(evidence.wilson(k=k, n=n), which))


def _ends(
    code: str,
    source: str,
    mark: ValueSource,
    tolerance: float,
    k: int,
    n: int,
    low: float,
    high: float,
) -> tuple[Check, Check]:
    return (
        Check(code, "evidence", f"{k} of {n}, lower", source, mark,
              partial(_end, "low", k, n), low, tolerance),
        Check(code, "evidence", f"{k} of {n}, upper", source, mark,
              partial(_end, "high", k, n), high, tolerance),
    )  # fmt: skip


CHECKS = (
    Check("i1", "pace", "mad(1:9)", _SCIPY, R,
          lambda: pace.median_absolute_deviation(range(1, 10)), 2.9652, 1e-12),
    Check("i1", "pace", "mad(c(1:8, 100), constant = 1)", _R_DOCS, S,
          lambda: pace.median_absolute_deviation((*range(1, 9), 100), constant=1), 2, 1e-12),
    *(
        Check("i3", "pace", f"dropped lap {i + 1}", "the rule by hand", R,
              lambda i=i: _outing(_FIRST).dropped[i], lap, 1e-9)  # type: ignore[misc]
        for i, lap in enumerate((121.9, 108.7, 130.2))
    ),
    Check("i3", "pace", "laps dropped", "the rule by hand", R,
          lambda: len(_outing(_FIRST).dropped), 3, 0),
    Check("i3", "pace", "clean median, s", "the rule by hand", R,
          lambda: _outing(_FIRST).median_s, 102.8, 1e-9),
    Check("i3", "pace", "best, s", "the rule by hand", R,
          lambda: _outing(_FIRST).best_s, 102.5, 1e-9),
    Check("i4", "pace", "Hodges-Lehmann shift, s", _SCIPY, R, lambda: _shift().shift_s, -3.1, 1e-3),
    Check("i4", "pace", "exact interval, lower", _SCIPY, R, lambda: _shift().low_s, -3.6, 1e-3),
    Check("i4", "pace", "exact interval, upper", _SCIPY, R, lambda: _shift().high_s, -2.7, 1e-3),
    *_ends("j1", _NEWCOMBE, M, 5e-5, 81, 263, 0.2553, 0.3662),
    *_ends("j1", _NEWCOMBE, M, 5e-5, 15, 148, 0.0624, 0.1605),
    *_ends("j1", _NEWCOMBE, M, 5e-5, 0, 20, 0.0, 0.1611),
    *_ends("j1", _NEWCOMBE, M, 5e-5, 1, 29, 0.0061, 0.1718),
    *_ends("j3", _SCIPY_TESTS, S, 1e-6, 0, 10, 0.0, 0.2775328),
    *_ends("j3", _MODELS_TESTS, S, 1e-6, 100, 200, 0.4313609, 0.5686391),
)  # fmt: skip
