"""Where the expected values of the check table come from: printed, or computed here again."""

import math
from fractions import Fraction
from pathlib import Path

import pytest

from jobs.tuning import pace
from jobs.tuning.checks import CHECKS, ValueSource
from jobs.tuning.pace.outing import interval_level

PRINTED = {
    # S. S. Rao, Mechanical Vibrations, 5th ed., Example 2.11, as transcribed.
    "Rao, Mechanical Vibrations, 5th ed., Example 2.11": {0.4037, 3.4338, 2358.27, 554.498},
    # ASTM D2270, the worked examples of procedures A and B: the index, and as it is reported.
    "ASTM D2270 5.1.4": {92.43, 92},
    "ASTM D2270 6.1.4": {156.37, 156},
    # itl.nist.gov/div898/strd/lls/data/Norris.shtml, certified values.
    "NIST Statistical Reference Datasets, Norris, certified values": {
        1.00211681802045, -0.262323073774029,
    },
    # search.r-project.org/R/refmans/stats/html/mad.html, examples: "# = 2 ; TRUE".
    "R documentation, stats::mad, examples": {2},
    # D. C. Montgomery and G. C. Runger, exercise 8-73: the prediction interval as printed.
    "Montgomery & Runger, Applied Statistics and Probability for Engineers, ex. 8-73": {
        52131.08, 68148.31,
    },
    "scipy, stats/tests/test_morestats.py": {0.0, 0.2775328},
    "statsmodels, stats/tests/test_proportion.py": {0.4313609, 0.5686391},
}  # fmt: skip


def test_a_value_called_printed_is_one_that_its_source_prints():
    printed = [check for check in CHECKS if check.mark == ValueSource.PRINTED]
    assert {check.source for check in printed} == set(PRINTED)
    assert [c.what for c in printed if c.expected not in PRINTED[c.source]] == []


@pytest.mark.parametrize(
    ("library", "file", "line"),
    [("scipy", "stats/tests/test_morestats.py", "[0, 'two-sided', False, 0.95, 0.0, 0.2775328]"),
     ("statsmodels", "stats/tests/test_proportion.py",
      '("wilson", 0.05, "two-sided", [0.4313609, 0.5686391])')],
)  # fmt: skip
def test_the_tests_of_a_library_print_their_value(library, file, line):
    module = pytest.importorskip(library)
    path = Path(module.__file__).parent / file
    if not path.exists():
        pytest.skip(f"{library} is installed without its tests")
    assert line in path.read_text()


def _expected(code, what):
    (check,) = [check for check in CHECKS if check.code == code and check.what.startswith(what)]
    assert check.mark == ValueSource.COMPUTED
    return check.expected, check.tolerance * (abs(check.expected) if check.relative else 1)


def _agrees(code, what, again):
    expected, tolerance = _expected(code, what)
    assert again == pytest.approx(expected, abs=tolerance)


def test_the_rate_of_a_coil_is_that_of_the_torsion_along_its_wire():
    """Energy of a twisted wire, T^2 dl / (2 G J), added up turn by turn: k = F^2 / (2 U)."""
    wire, mean, coils, modulus, force = 2.5, 22.25, 16, 79_300.0, 1.0
    polar = math.pi * wire**4 / 32
    steps = 1000
    length = math.pi * mean * coils / steps
    energy = sum((force * mean / 2) ** 2 * length / (2 * modulus * polar) for _ in range(steps))
    rate = force**2 / (2 * energy)
    _agrees("b1", "coil d 2.5", rate)
    _agrees("b1", "the same in kgf/mm", rate / 9.80665)


def test_the_offset_of_the_benchmark_bicycle_is_found_by_vectors():
    """Table 1 of Meijaard et al.: trail 0.08 m, steer axis tilt pi/10, front radius 0.35 m."""
    np = pytest.importorskip("numpy")
    tilt = math.pi / 10
    down = np.array([math.sin(tilt), -math.cos(tilt)])  # along the steering axis, to the front
    meets_ground, axle = np.array([80.0, 0.0]), np.array([0.0, 350.0])
    from_axis = axle - meets_ground
    offset = down[0] * from_axis[1] - down[1] * from_axis[0]
    _agrees("g1", "offset for trail", abs(offset))


def test_the_gas_law_in_fractions():
    kelvin = Fraction(27315, 100)
    first = (250 + Fraction(1013, 10)) * (kelvin - 40) / (kelvin + 35) - Fraction(1013, 10)
    _agrees("e1", "250 kPa", float(first))
    air = Fraction(101325, 1000)
    second = (167 + air) * (kelvin + 48) / (kelvin + 13) / Fraction(107, 100) - air
    _agrees("e3", "167 kPa", float(second))


def test_the_deceleration_that_lifts_the_rear_by_moments():
    """About the front contact the weight at 73 balances the inertia force at 78.5."""
    sympy = pytest.importorskip("sympy")
    slowing = sympy.symbols("slowing")
    moments = sympy.Rational(981, 100) * 73 - slowing * sympy.Rational(785, 10)
    _agrees("h2", "deceleration that lifts", float(sympy.solve(moments, slowing)[0]))


def test_the_frequency_of_a_static_deflection_by_the_equation_of_motion():
    integrate = pytest.importorskip("scipy.integrate")

    def at_rest_height(_t, y):
        return y[0]

    ran = integrate.solve_ivp(
        lambda _t, y: [y[1], -9.81 / 0.015 * y[0]],
        (0, 1), [0.0, 1.0], events=at_rest_height, rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    crossings = [t for t in ran.t_events[0] if t > 1e-9]
    _agrees("h4", "15 mm static", 1 / crossings[1])


def test_the_decrement_by_the_equation_of_motion():
    """A motion with the zeta of the table falls from 0.85 to 0.45 in one cycle."""
    integrate = pytest.importorskip("scipy.integrate")
    zeta, _tolerance = _expected("c3", "its zeta")

    def at_a_peak(_t, y):
        return y[1]

    at_a_peak.direction = -1
    ran = integrate.solve_ivp(
        lambda _t, y: [y[1], -(100.0) * y[0] - 2 * zeta * 10 * y[1]],
        (0, 2), [0.0, 1.0], events=at_a_peak, rtol=1e-11, atol=1e-13,
    )  # fmt: skip
    first, second = (y[0] for y in ran.y_events[0][:2])
    assert second / first == pytest.approx(0.45 / 0.85, abs=1e-3)
    _agrees("c3", "decrement", math.log(first / second))


def test_the_line_of_an_oil_by_numpy():
    np = pytest.importorskip("numpy")
    kelvin = np.log10(np.array([40.0, 100.0]) + 273.15)
    slope, height = np.polyfit(kelvin, np.log10(np.log10(np.array([32.0, 5.4]) + 0.7)), 1)
    _agrees("d5", "A of 32", height)
    _agrees("d5", "B", -slope)
    at_80 = 10 ** (10 ** (height + slope * math.log10(353.15))) - 0.7
    _agrees("d5", "at 80", at_80)


@pytest.mark.parametrize(("m", "n"), [(3, 3), (3, 4), (4, 3), (4, 4), (6, 7), (10, 12)])
def test_the_level_of_an_interval_is_that_of_the_exact_test_of_scipy(m, n):
    """One minus the p-value of the last ranking that leaves the shift outside the interval."""
    stats = pytest.importorskip("scipy.stats")
    # Differences that are all apart: the interval's lower end is the difference number C.
    before = [100 + i for i in range(m)]
    after = [90 + i / 100 for i in range(n)]
    found = pace.hodges_lehmann(before=before, after=after)
    just_outside = found.low_s - 1e-6
    p = stats.mannwhitneyu([s - just_outside for s in after], before, method="exact").pvalue
    assert found.level == pytest.approx(1 - p, abs=1e-12)
    assert interval_level(m, n) == found.level


def test_three_laps_a_side_hold_the_true_shift_nine_times_in_ten():
    """Counted over all 20 rankings of three laps against three without a true shift."""
    import itertools

    held = 0
    for ranks in itertools.combinations(range(6), 3):
        other = [rank for rank in range(6) if rank not in ranks]
        found = pace.hodges_lehmann(before=other, after=ranks)
        held += found.low_s < 0 < found.high_s
    assert (held, found.level) == (18, 0.9)
    assert interval_level(60, 60) == pytest.approx(0.95, abs=1e-3)
