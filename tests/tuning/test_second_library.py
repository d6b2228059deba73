"""The expected values marked "computed", computed again with the second library."""

import math

import pytest

from jobs.tuning import damping, evidence, geometry, linkage, load, oil, pace, springs, tyres, wear
from jobs.tuning.distributions import beta_cdf, beta_quantile, t_quantile
from jobs.tuning.viscosity_index import reference_oils

FIRST = (103.4, 102.8, 102.5, 102.9, 102.6, 103.1, 102.7)
SECOND = (99.6, 99.9, 99.2, 100.4, 99.5, 99.8)
DEPTHS = (4.0, 3.7, 3.5, 3.1, 2.9, 2.6)
LATER = (4.0, 3.85, 3.6, 3.5, 3.3, 3.05)


@pytest.fixture
def stats():
    return pytest.importorskip("scipy.stats", reason="pip install -r tests/requirements.txt")


# -- quantiles ------------------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 8, 30, 200])
@pytest.mark.parametrize("probability", [0.005, 0.025, 0.4, 0.5, 0.9, 0.975, 0.9995])
def test_t_quantile_equals_that_of_scipy(stats, degrees, probability):
    ours = t_quantile(probability=probability, degrees=degrees)
    assert ours == pytest.approx(stats.t.ppf(probability, degrees), rel=1e-8, abs=1e-10)


@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (0.5, 20.5), (81.5, 182.5), (3, 1), (2, 0.5)])
@pytest.mark.parametrize("probability", [0.025, 0.5, 0.975])
def test_beta_quantile_equals_that_of_scipy(stats, a, b, probability):
    x = beta_quantile(probability=probability, a=a, b=b)
    assert x == pytest.approx(stats.beta.ppf(probability, a, b), rel=1e-8)
    assert beta_cdf(x=x, a=a, b=b) == pytest.approx(stats.beta.cdf(x, a, b), rel=1e-9)


# -- sag and springs --------------------------------------------------------------------------


@pytest.mark.parametrize("preload", [10, 12])
@pytest.mark.parametrize("curve", [(0.5, 0.0), (0.45, 0.0005)])
def test_rear_sag_equals_the_root_found_by_mpmath(curve, preload):
    mpmath = pytest.importorskip("mpmath")
    a, b = curve
    z = mpmath.findroot(lambda z: 95 * (a * z + b * z * z + preload) * (a + 2 * b * z) - 1300, 30)
    ours = springs.rear_equilibrium(
        wheel_force_n=1300, shock_n_per_mm=95, linkage=linkage.Linkage(curve), preload_mm=preload
    )
    assert ours == pytest.approx(float(z), abs=1e-9)


def test_fork_wheel_rate_is_the_second_derivative_of_the_energy():
    sympy = pytest.importorskip("sympy")
    z, k, rake = sympy.symbols("z k rake", positive=True)
    # The axle moves vertically by z; the leg guides it, so the leg shortens by z / cos(rake).
    energy = k * (z / sympy.cos(rake)) ** 2 / 2
    rate = sympy.diff(energy, z, 2).subs({k: 19, rake: sympy.rad(24)})
    ours = springs.fork_wheel_rate(pair_n_per_mm=19, rake_deg=24)
    assert ours == pytest.approx(float(rate), rel=1e-12)


def test_required_rate_solves_the_two_equations():
    sympy = pytest.importorskip("sympy")
    k, p = sympy.symbols("k p")
    cos = math.cos(math.radians(24))
    g = 9.80665
    solved = sympy.solve(
        [k * (18 + p) - 98 * g * cos, k * (38 + p) - 140 * g * cos], [k, p], dict=True
    )[0]
    need = springs.required_fork_rate(
        bike_force_n=98 * g, rider_force_n=140 * g, free_leg_mm=18, rider_leg_mm=38, rake_deg=24
    )
    assert need.rate_n_per_mm == pytest.approx(float(solved[k]), rel=1e-10)
    assert need.preload_mm == pytest.approx(float(solved[p]), rel=1e-10)


def test_progressive_rate_is_the_derivative_of_the_wheel_force():
    sympy = pytest.importorskip("sympy")
    z = sympy.symbols("z")
    s = sympy.Rational(45, 100) * z + sympy.Rational(5, 10000) * z**2
    rate = sympy.diff(95 * (s + 10) * sympy.diff(s, z), z).subs(z, 38.402)
    ours = springs.rear_wheel_rate(
        shock_n_per_mm=95,
        linkage=linkage.Linkage((0.45, 0.0005)),
        wheel_travel_mm=38.402,
        preload_mm=10,
    )
    assert ours == pytest.approx(float(rate), rel=1e-10)


# -- damping ----------------------------------------------------------------------------------


def _peaks(zeta_up, zeta_down, stiction_mm, start_mm):
    """Successive extremes of x'' = -wn^2 (x +- f) - 2 zeta wn x', by solve_ivp."""
    integrate = pytest.importorskip("scipy.integrate")
    wn, x, found = 10.0, -start_mm, []
    for i in range(2):
        upward = 1 if i % 2 == 0 else -1
        zeta = zeta_up if upward > 0 else zeta_down

        def motion(_t, y, zeta=zeta, upward=upward):
            return [y[1], -(wn**2) * (y[0] + upward * stiction_mm) - 2 * zeta * wn * y[1]]

        def stopped(t, y, upward=upward):
            return upward * y[1] if t > 1e-6 else 1.0

        stopped.terminal = True
        ran = integrate.solve_ivp(
            motion, (0, 5), [x, 0.0], events=stopped, rtol=1e-10, atol=1e-12, max_step=0.01
        )
        x = ran.y[0, -1]
        found.append(x)
    return found


def test_stiction_is_removed_as_in_the_equation_of_motion():
    first, _second = _peaks(0.3, 0.3, 3.0, 40.0)
    assert first == pytest.approx(10.776, abs=1e-3)
    corrected = damping.from_overshoot(drop_mm=40, overshoot_mm=first, stiction_band_mm=6)
    naive = damping.from_overshoot(drop_mm=40, overshoot_mm=first)
    assert corrected.zeta == pytest.approx(0.3, abs=1e-4)
    assert naive.zeta == pytest.approx(0.3853, abs=1e-3)


def test_rebound_damps_the_first_half_swing_and_compression_the_second():
    ours = damping.peaks(push_mm=40, zeta_rebound=0.5, zeta_compression=0.2)
    assert ours == pytest.approx(_peaks(0.5, 0.2, 0.0, 40.0), abs=1e-4)


def test_slow_return_follows_the_equation_of_motion():
    integrate = pytest.importorskip("scipy.integrate")
    wn, zeta = 2 * math.pi * 2.0, 2.0
    ran = integrate.solve_ivp(
        lambda _t, y: [y[1], -(wn**2) * y[0] - 2 * zeta * wn * y[1]],
        (0, 3), [1.0, 0.0], events=lambda _t, y: y[0] - 0.1, rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    assert damping.return_time(zeta=zeta, natural_hz=2) == pytest.approx(ran.t_events[0][0], 1e-6)


def test_step_response_overshoot_equals_that_of_scipy():
    signal = pytest.importorskip("scipy.signal")
    times, response = signal.step(([100], [1, 15, 100]), N=20001)
    assert 100 * (max(response) - 1) == pytest.approx(2.838, abs=1e-3)
    assert times[response.argmax()] == pytest.approx(
        damping.peak_time(zeta=0.75, natural_rad_s=10), abs=1e-3
    )


# -- oil --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at_40", "at_100"), [(73.30, 8.86), (22.83, 5.05), (32, 5.4), (15, 3.8), (46, 12), (150, 15)]
)
def test_viscosity_index_is_that_of_the_printed_table(at_40, at_100):
    viscosity = pytest.importorskip("chemicals.viscosity")
    theirs = viscosity.viscosity_index(at_40 * 1e-6, at_100 * 1e-6)
    ours = oil.viscosity_index(at_40_cst=at_40, at_100_cst=at_100)
    assert ours == pytest.approx(theirs, abs=0.2)


def test_the_quadratics_agree_with_the_printed_table():
    viscosity = pytest.importorskip("chemicals.viscosity")
    table = zip(viscosity.VI_nus, viscosity.VI_Ls, viscosity.VI_Hs, strict=True)
    for y, low, high in table:
        assert reference_oils(float(y)) == pytest.approx((low, high), rel=2e-3, abs=0.01)


def test_the_ratio_of_a_tube_and_of_an_orifice_in_fluids():
    fluids = pytest.importorskip("fluids")
    line = oil.grade_line(grade="VG15", index=150)
    cold, hot = ((oil.density(at_15_kg_m3=870, celsius=t), line.at(t) * 1e-6) for t in (8, 45))

    def tube(rho, nu):
        reynolds = fluids.Reynolds(V=0.05, D=0.001, nu=nu)
        factor = fluids.friction_factor(Re=reynolds)
        assert reynolds < 2000
        return factor * 0.02 / 0.001 * rho * 0.05**2 / 2

    ratio = oil.cold_to_hot(grade="VG15", index=150, cold_c=8, hot_c=45, at_15_kg_m3=870)
    assert tube(*cold) / tube(*hot) == pytest.approx(ratio.dynamic, rel=1e-9)
    orifice = [fluids.dP_from_K(K=2.7, rho=rho, V=3.0) for rho, _nu in (cold, hot)]
    assert orifice[0] / orifice[1] == pytest.approx(ratio.dynamic / ratio.kinematic, rel=1e-9)
    assert orifice[0] / orifice[1] == pytest.approx(1.0281, abs=1e-3)


# -- tyres ------------------------------------------------------------------------------------


@pytest.mark.parametrize("gas", ["Nitrogen", "Air"])
def test_a_real_gas_differs_by_less_than_half_a_kilopascal(gas):
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    dense = coolprop.PropsSI("Dmass", "T", 293.15, "P", (180 + 101.325) * 1000, gas)
    real = coolprop.PropsSI("P", "T", 353.15, "Dmass", dense, gas) / 1000 - 101.325
    ours = tyres.hot_from_cold(cold_kpa_gauge=180, cold_c=20, hot_c=80)
    assert ours == pytest.approx(real, abs=0.5)
    assert real == pytest.approx(237.965, abs=0.05)


@pytest.mark.parametrize("metres", [0, 500, 1000, 2000])
def test_station_pressure_is_the_standard_atmosphere(metres):
    atmosphere = pytest.importorskip("fluids.atmosphere")
    theirs = atmosphere.ATMOSPHERE_1976(metres).P / 1000
    assert tyres.station_pressure(altitude_m=metres) == pytest.approx(theirs, abs=1e-3)


# -- wear -------------------------------------------------------------------------------------


def _line(depths):
    return wear.wear_line(depths=[wear.Depth(at=i, mm=mm) for i, mm in enumerate(depths)])


@pytest.mark.filterwarnings("ignore")
def test_line_and_comparison_are_those_of_statsmodels():
    sm = pytest.importorskip("statsmodels.api")
    import numpy as np

    x = np.arange(6.0)
    fit = sm.OLS(np.array(DEPTHS), sm.add_constant(x)).fit()
    line = _line(DEPTHS)
    assert (line.intercept, line.slope) == pytest.approx(tuple(fit.params), rel=1e-10)
    slope = line.slope_interval()
    assert (slope.low, slope.high) == pytest.approx(tuple(fit.conf_int()[1]), rel=1e-7)

    group = np.repeat([0.0, 1.0], 6)
    xx = np.tile(x, 2)
    both = sm.OLS(
        np.array(DEPTHS + LATER), np.column_stack([np.ones(12), group, xx, xx * group])
    ).fit()
    compared = wear.compare(before=line, after=_line(LATER))
    assert compared.t == pytest.approx(both.tvalues[3], rel=1e-9)
    assert (compared.difference.low, compared.difference.high) == pytest.approx(
        tuple(both.conf_int()[3]), rel=1e-7
    )


@pytest.mark.filterwarnings("ignore")
def test_fieller_interval_ends_where_the_band_of_the_line_meets_the_limit():
    """The definition, by root finding on statsmodels' own band of the mean."""
    sm = pytest.importorskip("statsmodels.api")
    optimize = pytest.importorskip("scipy.optimize")
    import numpy as np

    fit = sm.OLS(np.array(DEPTHS), sm.add_constant(np.arange(6.0))).fit()

    def band(x, side):
        return fit.get_prediction([[1.0, x]]).conf_int()[0][side] - 1.0

    low = optimize.brentq(lambda x: band(x, 0), 6, 10.7)
    high = optimize.brentq(lambda x: band(x, 1), 10.7, 20)
    at = wear.index_at(line=_line(DEPTHS), limit_mm=1.0)
    assert (at.low, at.high) == pytest.approx((low, high), rel=1e-6)


# -- geometry and load --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shorter", "rear"), [(5, 0), (10, 0), (30, 30), (0, -8), (-4, 3)], ids=str
)
def test_geometry_agrees_with_a_root_find_on_the_rotated_frame(shorter, rear):
    optimize = pytest.importorskip("scipy.optimize")
    import numpy as np

    rake, base, front_r, rear_r, offset = math.radians(24), 1400.0, 299.9, 320.0, 30.0
    rear_axle = np.array([0.0, rear_r + rear])
    front_axle = np.array([base - shorter * math.sin(rake), front_r + shorter * math.cos(rake)])

    def front_clearance(pitch):
        turn = np.array([[math.cos(pitch), math.sin(pitch)], [-math.sin(pitch), math.cos(pitch)]])
        moved = turn @ (front_axle - rear_axle) + np.array([0.0, rear_r])
        return moved[1] - front_r

    pitch = optimize.brentq(front_clearance, -0.2, 0.2, xtol=1e-14)
    before = front_r * math.tan(rake) - offset / math.cos(rake)
    after = front_r * math.tan(rake - pitch) - offset / math.cos(rake - pitch)
    bike = geometry.ChassisGeometry(24, offset, base, front_r, rear_r)
    ours = geometry.change(chassis=bike, tubes_through_mm=shorter, rear_vertical_mm=rear)
    assert ours.rake_change_deg == pytest.approx(-math.degrees(pitch), abs=1e-9)
    assert ours.trail_change_mm == pytest.approx(after - before, abs=1e-7)


def test_trail_by_vectors():
    """Where the steering axis meets the ground, against the contact point under the axle."""
    import numpy as np

    rake = math.radians(24)
    down = np.array([math.sin(rake), -math.cos(rake)])
    ahead = np.array([math.cos(rake), math.sin(rake)])
    on_axis = np.array([0.0, 299.9]) - 30 * ahead
    ground = on_axis + down * (on_axis[1] / -down[1])
    ours = geometry.trail(rake_deg=24, offset_mm=30, wheel_radius_mm=299.9)
    assert ours == pytest.approx(ground[0], rel=1e-12)


def test_braking_loads_by_moments_in_sympy():
    sympy = pytest.importorskip("sympy")
    front, rear = sympy.symbols("front rear")
    g, a, m = 9.80665, 0.9 * 9.80665, 260
    solved = sympy.solve(
        [front + rear - m * g, rear * 1.4 - m * g * 0.7 + m * a * 0.62], [front, rear], dict=True
    )[0]
    ours = load.wheel_loads(
        mass_kg=m,
        wheelbase_mm=1400,
        centre_to_front_mm=700,
        centre_height_mm=620,
        deceleration_m_s2=a,
    )
    assert (ours.front_n, ours.rear_n) == pytest.approx(
        (float(solved[front]), float(solved[rear])), rel=1e-9
    )


def test_air_spring_travel_equals_the_root_found_by_scipy():
    optimize = pytest.importorskip("scipy.optimize")
    area, volume, n, p0 = 1300.0, 250.0, 1.3, 101.325

    def surplus(x):
        air = 2 * p0 / 1000 * area * ((volume * 1000 / (volume * 1000 - area * x)) ** n - 1)
        return 19 * (x + 15) + air - 2813.07

    ours = load.fork_travel_mm(
        axial_n=2813.07, pair_n_per_mm=19, preload_mm=15, usable_mm=130,
        air=load.AirSpring(area, volume, n, p0),
    )  # fmt: skip
    assert ours == pytest.approx(optimize.brentq(surplus, 0, 190), abs=1e-8)


# -- pace and evidence --------------------------------------------------------------------------


def _scipys_critical(stats, m, n):
    """The 2.5 % point of U, from scipy's exact p-values of samples with that U."""
    import itertools

    total = math.comb(m + n, n)
    counts = {}
    for ranks in itertools.combinations(range(m + n), n):
        u = sum(ranks) - n * (n - 1) // 2
        counts[u] = counts.get(u, 0) + 1
    tail = 0
    for u in sorted(counts):
        tail += counts[u]
        if tail / total >= 0.025:
            return u
    raise AssertionError


def test_hodges_lehmann_interval_is_the_exact_mann_whitney_one(stats):
    from statistics import median

    differences = sorted(b - a for b in SECOND for a in FIRST)
    count = _scipys_critical(stats, len(FIRST), len(SECOND))
    ours = pace.hodges_lehmann(before=FIRST, after=SECOND)
    assert ours.shift_s == pytest.approx(median(differences), abs=1e-12)
    assert (ours.low_s, ours.high_s) == (differences[count - 1], differences[-count])


@pytest.mark.parametrize(("m", "n"), [(4, 4), (7, 6), (8, 5)])
def test_the_interval_agrees_with_the_exact_test_of_scipy(stats, m, n):
    """Just outside the interval scipy rejects at 5 %, just inside it does not."""
    before = [100 + 0.317 * i**1.1 for i in range(m)]
    after = [98 + 0.291 * i**1.3 for i in range(n)]
    found = pace.hodges_lehmann(before=before, after=after)

    def p_value(shift):
        moved = [value - shift for value in after]
        return stats.mannwhitneyu(moved, before, method="exact").pvalue

    for outside in (found.low_s - 1e-6, found.high_s + 1e-6):
        assert p_value(outside) <= 0.05
    for inside in (found.low_s + 1e-6, found.high_s - 1e-6):
        assert p_value(inside) > 0.05


@pytest.mark.parametrize(("k", "n"), [(81, 263), (15, 148), (0, 20), (1, 29), (5, 5), (0, 10)])
def test_wilson_interval_equals_that_of_scipy(stats, k, n):
    theirs = stats.binomtest(k, n).proportion_ci(0.95, method="wilson")
    ours = evidence.wilson(k=k, n=n)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@pytest.mark.parametrize(("k", "n"), [(3, 9), (0, 20), (7, 7), (1, 29)])
def test_jeffreys_interval_equals_the_beta_quantiles_of_scipy(stats, k, n):
    ours = evidence.jeffreys(k=k, n=n)
    low = 0.0 if k == 0 else stats.beta.ppf(0.025, k + 0.5, n - k + 0.5)
    high = 1.0 if k == n else stats.beta.ppf(0.975, k + 0.5, n - k + 0.5)
    assert (ours.low, ours.high) == pytest.approx((low, high), rel=1e-8)


@pytest.mark.parametrize("values", [range(1, 10), (2.0, 2.1, 2.3, 9.0)], ids=str)
def test_median_absolute_deviation_equals_that_of_scipy(stats, values):
    theirs = stats.median_abs_deviation(list(values), scale=1 / 1.4826)
    assert pace.median_absolute_deviation(values) == pytest.approx(theirs, rel=1e-12)
