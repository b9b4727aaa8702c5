"""The least-squares room against certified data, the GUM, and other ways to the same figures."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from uncertainties import correlation_matrix, ufloat

from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Mesh, Reading, Tool
from solver.least_squares import Fit, NotSettled, Undetermined, fit
from solver.plan import Piece, Plan, SeatStack
from solver.verdict import predict_plan
from tests.jobs import a_job

# NIST StRD, Norris: calibration of ozone monitors; 36 pairs (y, x), as in its file.
NORRIS = np.array([
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5),
    (668.5, 666.3), (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4),
    (0.1, 0.6), (778.1, 775.5), (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6),
    (557.7, 556.0), (228.3, 228.1), (998.0, 995.8), (888.8, 887.6), (119.6, 120.2), (0.3, 0.3),
    (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2), (998.5, 999.0), (778.9, 779.0),
    (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
])  # fmt: skip
# NIST StRD, Pontius: a load cell, load 150000 to 3000000 in steps of 150000, twice.
PONTIUS = np.array([
    .11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146, 1.20001,
    1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    .11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150, 1.20004,
    1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
])  # fmt: skip
# NIST StRD, Misra1a: y = b1 (1 - exp(-b2 x)).
MISRA_Y = np.array([
    10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47,
    81.78,
])  # fmt: skip
MISRA_X = np.array([
    77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1,
    760.0,
])  # fmt: skip
# GUM H.3: thermometer readings t and corrections b [degrees Celsius].
H3_T = np.array([
    21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511,
])  # fmt: skip
H3_B = np.array([
    -.171, -.169, -.166, -.159, -.164, -.165, -.156, -.157, -.159, -.161, -.160,
])  # fmt: skip

Model = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]


def linear(slope: np.ndarray) -> Model:
    """A model that is linear in its unknowns. slope [(m, d)]. Returns it."""
    return lambda x: (slope @ x, slope)


def residual_sd(found: Fit) -> float:
    """Standard deviation of the residuals of a fit with unit weights."""
    return math.sqrt(found.chi_square / found.freedom)


def own_sd(found: Fit) -> np.ndarray:
    """Standard deviations of the unknowns, scaled by the residuals as the sources do [(d,)]."""
    return np.sqrt(np.diag(found.cov)) * residual_sd(found)


def test_norris() -> None:
    """The line through Norris is the certified one to ten digits. Source: NIST StRD, Norris."""
    y, x = NORRIS.T
    slope = np.column_stack([np.ones(36), x])
    found = fit(linear(slope), y, np.ones(36), np.zeros(2))
    assert found.x == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert own_sd(found) == pytest.approx([0.232818234301152, 4.29796848199937e-4], rel=1e-10)
    assert residual_sd(found) == pytest.approx(0.884796396144373, rel=1e-10)


def test_pontius() -> None:
    """The parabola through Pontius is the certified one to eight digits, unscaled loads and all.

    Source: NIST StRD, Pontius.
    """
    x = np.tile(np.arange(1, 21) * 150_000.0, 2)
    slope = np.column_stack([np.ones(40), x, x**2])
    found = fit(linear(slope), PONTIUS, np.ones(40), np.zeros(3))
    certified = [6.73565789473684e-4, 7.32059160401003e-7, -3.16081871345029e-15]
    assert found.x == pytest.approx(certified, rel=1e-8, abs=0)
    spreads = [1.07938612033077e-4, 1.57817399981659e-10, 4.86652849992036e-17]
    assert own_sd(found) == pytest.approx(spreads, rel=1e-8, abs=0)
    assert residual_sd(found) == pytest.approx(2.05177424076185e-4, rel=1e-8)


def misra(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The model of Misra1a."""
    decay = np.exp(-x[1] * MISRA_X)
    return x[0] * (1.0 - decay), np.column_stack([1.0 - decay, x[0] * MISRA_X * decay])


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)])
def test_misra1a(start: tuple[float, float]) -> None:
    """Gauss-Newton reaches the certified values of Misra1a from both of its starts.

    Source: NIST StRD, Misra1a; the starts are those of its file, from memory.
    """
    found = fit(misra, MISRA_Y, np.ones(14), np.array(start))
    assert found.x == pytest.approx([238.94212918, 5.5015643181e-4], rel=1e-8, abs=0)
    assert own_sd(found) == pytest.approx([2.7070075241, 7.2668688436e-6], rel=1e-6, abs=0)
    assert residual_sd(found) == pytest.approx(0.10187876330, rel=1e-8)


def test_gum_h3() -> None:
    """The calibration line of GUM H.3, its correlation, and its value at 30 degrees.

    Source: GUM H.3, table H.6 and H.3.3 and H.3.4, to the digits printed.
    """
    slope = np.column_stack([np.ones(11), H3_T - 20.0])
    found = fit(linear(slope), H3_B, np.ones(11), np.zeros(2))
    cov = found.cov * residual_sd(found) ** 2
    assert found.freedom == 9
    assert found.x[0] == pytest.approx(-0.1712, abs=5.1e-5)
    assert found.x[1] == pytest.approx(0.00218, abs=5.1e-6)
    assert own_sd(found)[0] == pytest.approx(0.0029, abs=5.1e-5)
    assert own_sd(found)[1] == pytest.approx(0.00067, abs=5.1e-6)
    assert cov[0, 1] / math.sqrt(cov[0, 0] * cov[1, 1]) == pytest.approx(-0.930, abs=5.1e-4)
    assert residual_sd(found) == pytest.approx(0.0035, abs=5.1e-5)
    at_30 = np.array([1.0, 10.0])
    assert at_30 @ found.x == pytest.approx(-0.1494, abs=5.1e-5)
    assert math.sqrt(at_30 @ cov @ at_30) == pytest.approx(0.0041, abs=5.1e-5)


def test_spread_and_correlation_are_those_of_uncertainties() -> None:
    """A weighted line has the values, spreads and correlation that 'uncertainties' finds."""
    u = np.linspace(0.002, 0.006, 11)
    found = fit(linear(np.column_stack([np.ones(11), H3_T])), H3_B, u, np.zeros(2))
    y = [ufloat(value, one) for value, one in zip(H3_B, u, strict=True)]
    weight = u**-2 / np.sum(u**-2)
    centre = float(weight @ H3_T)
    arm = weight * (H3_T - centre) / (weight @ (H3_T - centre) ** 2)
    slope = sum(a * one for a, one in zip(arm, y, strict=True))
    level = sum(w * one for w, one in zip(weight, y, strict=True)) - slope * centre
    assert found.x == pytest.approx([level.n, slope.n], rel=1e-9)
    assert np.sqrt(np.diag(found.cov)) == pytest.approx([level.s, slope.s], rel=1e-9)
    known = correlation_matrix([level, slope])[0, 1]
    assert found.cov[0, 1] / (level.s * slope.s) == pytest.approx(known, rel=1e-9)


def test_the_gain_is_what_another_fit_finds() -> None:
    """Each column of the gain is how the estimate moves when its row is read higher."""
    exact, _ = misra(np.array([239.0, 5.5e-4]))
    u = np.linspace(0.05, 0.2, 14)
    start = np.array([250.0, 5e-4])
    found = fit(misra, exact, u, start)
    for at in range(14):
        step = np.zeros(14)
        step[at] = 1e-3
        up, down = (fit(misra, exact + side * step, u, start).x for side in (1, -1))
        scale = np.abs(found.gain).max(axis=1)
        assert (up - down) / 2e-3 / scale == pytest.approx(found.gain[:, at] / scale, abs=1e-5)


def test_covariance_is_gain_times_spread() -> None:
    """The covariance is the gain applied to the stated spreads of the rows."""
    u = np.linspace(0.05, 0.2, 14)
    found = fit(misra, MISRA_Y, u, np.array([250.0, 5e-4]))
    assert (found.gain * u**2) @ found.gain.T == pytest.approx(found.cov, rel=1e-9, abs=0)


def test_a_plan_spreads_as_uncertainties_says() -> None:
    """Backlash and pinch of a plan have the means, spreads and covariance of 'uncertainties'.

    Two gaps by one feeler set and three pieces by one micrometer share their tools' errors.
    """
    feelers = Tool("feelers", 6.0, 9.0, 0.0, 0.0, "feelers")
    micrometer = Tool("micrometer", 3.0, 1.0, 0.0, 0.0, "micrometer")
    job = a_job(
        tools=(feelers, micrometer),
        mesh=Mesh(0.72, 0.12, 0.5, 0.2),
        readings=(
            Reading(1, "total clearance", feelers, values_um=(1300.0,)),
            Reading(2, "mesh gap", feelers, values_um=(620.0,)),
        ),
    )
    drawer = Drawer((Lot("A", 420.0, 1, 4.0, "micrometer"), Lot("B", 530.0, 2, 5.0, "micrometer")))
    plan = Plan(
        (
            SeatStack(WHEEL_SIDE, (Piece("A", 1, 420.0),)),
            SeatStack(PLAIN_SIDE, (Piece("B", 2, 530.0),)),
        )
    )
    mean, cov = predict_plan(job, drawer, estimate_job(job, drawer), plan)

    root = math.sqrt(3.0)
    leaf, mike = ufloat(0.0, 6.0 / root), ufloat(0.0, 3.0 / root)
    clearance, gap = ufloat(1300.0, 9.0) - leaf, ufloat(620.0, 9.0) - leaf
    wheel = ufloat(420.0, 4.0 / root) - mike
    plain = ufloat(530.0, 5.0 / root) + ufloat(530.0, 5.0 / root) - 2 * mike
    squeeze = wheel + plain - clearance
    lash = ufloat(0.72, 0.12 / root) * (gap - wheel + ufloat(0.5, 0.2 / root) * squeeze)
    assert mean == pytest.approx([lash.n, squeeze.n], rel=1e-7)
    assert np.sqrt(np.diag(cov)) == pytest.approx([lash.s, squeeze.s], rel=1e-5)
    known = correlation_matrix([lash, squeeze])[0, 1]
    assert cov[0, 1] / (lash.s * squeeze.s) == pytest.approx(known, abs=1e-5)


def test_open_unknowns_are_named() -> None:
    """Rows that leave an unknown open say which."""
    slope = np.array([[1.0, 0.0, 0.0], [1.0, 0.0, 1.0], [2.0, 0.0, 1.0]])
    with pytest.raises(Undetermined) as caught:
        fit(linear(slope), np.zeros(3), np.ones(3), np.zeros(3))
    assert caught.value.places == (1,)
    twins = np.array([[1.0, 1.0, 0.0], [2.0, 2.0, 1.0], [3.0, 3.0, 2.0]])
    with pytest.raises(Undetermined) as caught:
        fit(linear(twins), np.zeros(3), np.ones(3), np.zeros(3))
    assert caught.value.places == (0, 1)


def test_an_iteration_that_is_cut_short_says_so() -> None:
    """A fit that has not come to rest is not handed on."""
    with pytest.raises(NotSettled):
        fit(misra, MISRA_Y, np.ones(14), np.array([500.0, 1e-4]), most_steps=2)


def test_arrays_are_read_only() -> None:
    """Nobody downstream can change an estimate."""
    found = fit(misra, MISRA_Y, np.ones(14), np.array([250.0, 5e-4]))
    with pytest.raises(ValueError, match="read-only"):
        found.x[0] = 0.0
