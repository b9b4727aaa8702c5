"""Simulated builds against exact cases, the normal law, and a grid."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate
from scipy.special import ndtr

from solver.choice import begin_search, choose
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Limit, Mesh, Reading, Stack, Tool
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE
from solver.plan import Piece, Plan, SeatStack
from solver.simulation import simulate_builds
from solver.verdict import judge, simulated_chance
from tests.jobs import a_drawer, a_job

FREE = (-math.inf, math.inf)
CLOCK = Tool("clock", 0.0, 10.0, 0.0, 0.0, "dial")
SURE = Mesh(0.72, 1e-6, 0.5, 1e-6)
GAP_READING = Reading(2, "mesh gap", CLOCK, values_um=(620.0,))
DRAWER = Drawer((Lot("W", 420.0, 1, 0.0, "exact"), Lot("P", 930.0, 1, 0.0, "exact")))
PLAN = Plan(
    (SeatStack(WHEEL_SIDE, (Piece("W", 1, 420.0),)), SeatStack(PLAIN_SIDE, (Piece("P", 1, 930.0),)))
)


def pinch_job(readings: tuple[Reading, ...], window_um: tuple[float, float]) -> Job:
    """A job with a window of pinch only. readings; window [µm]. Returns it."""
    job = a_job(readings=readings, mesh=SURE, tools=(CLOCK,))
    return replace(job, limits=(Limit("backlash", *FREE), Limit("pinch", *window_um)))


def four_errors(share: float, effective: float) -> float:
    """Four standard errors of a share. share: true; effective: number of builds."""
    return 4.0 * math.sqrt(share * (1.0 - share) / effective)


def check(job: Job, drawer: Drawer, wanted: float) -> None:
    """Hold a simulated chance to an exact one. wanted: exact chance of PLAN."""
    assert 0.05 < wanted < 0.95
    estimate = estimate_job(job, drawer)
    builds = simulate_builds(job, estimate)
    assert builds.effective > 1000
    found = simulated_chance(job, drawer, estimate, PLAN, builds)
    assert found == pytest.approx(wanted, abs=four_errors(wanted, builds.effective))


@pytest.mark.parametrize("window_um", [(40.0, 60.0), (50.0, 62.0), (30.0, 52.0)])
def test_a_single_normal(window_um: tuple[float, float]) -> None:
    """C normal around 1300, u 10: pinch 50; exact by the normal law."""
    job = pinch_job(
        (Reading(1, "total clearance", CLOCK, values_um=(1300.0,)), GAP_READING), window_um
    )
    low, high = ((one - 50.0) / 10.0 for one in window_um)
    check(job, DRAWER, float(ndtr(high) - ndtr(low)))


@pytest.mark.parametrize("reach_um", [2.0, 8.0, 15.0])
def test_a_sum_of_two_rectangulars(reach_um: float) -> None:
    """C within 12 and a piece within 6, nothing normal: exact by the area of a trapezium."""
    drawer = replace(DRAWER, lots=(DRAWER.lots[0], replace(DRAWER.lots[1], within_um=6.0)))
    clearance = Reading(1, "total clearance", None, values_um=(1300.0,), within_um=12.0)
    job = pinch_job((clearance, GAP_READING), (50.0, 50.0 + reach_um))
    flat = min(reach_um, 6.0) / 24.0  # density 1 / (2 * 12) while the sum is within 12 - 6
    left = max(reach_um - 6.0, 0.0)
    slope = left / 24.0 - left**2 / (2.0 * 24.0 * 12.0)  # falls to nothing at 12 + 6
    check(job, drawer, flat + slope)


@pytest.mark.parametrize("bound_um", [1290.0, 1300.0, 1310.0])
def test_a_one_sided_reading(bound_um: float) -> None:
    """A normal C held from below by a softened bound: exact by numerical integration."""
    readings = (
        Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
        GAP_READING,
        Reading(3, "total clearance", CLOCK, at_least_um=bound_um),
    )
    job = pinch_job(readings, (35.0, 50.0))

    def density(c: float) -> float:
        bell = math.exp(-(((c - 1300.0) / 10.0) ** 2) / 2.0)
        return float(bell * ndtr((c - bound_um) / 10.0))

    total = integrate.quad(density, 1200.0, 1400.0, epsabs=1e-10)[0]
    inside = integrate.quad(density, 1300.0, 1315.0, epsabs=1e-10)[0]
    check(job, DRAWER, inside / total)


def test_readings_that_pull_apart_leave_what_a_grid_leaves() -> None:
    """A bracket, a value beyond its end and a bound: the posterior is that of a fine grid."""
    readings = (
        Reading(1, "total clearance", CLOCK, goes_um=(1280.0,), stops_um=1320.0),
        GAP_READING,
        Reading(3, "total clearance", CLOCK, values_um=(1335.0,)),
        Reading(4, "total clearance", CLOCK, at_most_um=1325.0),
    )
    job = pinch_job(readings, (25.0, 40.0))
    c = np.linspace(1200.0, 1420.0, 22_001)
    weight = ndtr((1320.0 - c) / 10.0) - ndtr((1280.0 - c) / 10.0)
    weight *= np.exp(-(((c - 1335.0) / 10.0) ** 2) / 2.0) * ndtr((1325.0 - c) / 10.0)
    pinch = 1350.0 - c
    inside = (pinch >= 25.0) & (pinch <= 40.0)
    check(job, DRAWER, float(weight[inside].sum() / weight.sum()))
    estimate = estimate_job(job, DRAWER)
    builds = simulate_builds(job, estimate)
    mean = float((weight * c).sum() / weight.sum())
    spread = math.sqrt(float((weight * (c - mean) ** 2).sum() / weight.sum()))
    found = float(builds.weight @ builds.x[:, CLEARANCE])
    assert found == pytest.approx(mean, abs=4.0 * spread / math.sqrt(builds.effective))


def redundant_job() -> Job:
    """Normal errors all but alone, six readings of one axle, two of them trials. Returns it."""
    trial = (Stack(WHEEL_SIDE, 420.0), Stack(PLAIN_SIDE, 930.0))
    return a_job(
        mesh=Mesh(0.72, 0.03, 0.5, 0.05),
        tools=(CLOCK,),
        readings=(
            Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
            Reading(2, "mesh gap", CLOCK, values_um=(620.0,)),
            Reading(3, "total clearance", CLOCK, values_um=(1309.0,)),
            Reading(4, "far gap in mesh", CLOCK, values_um=(677.0,)),
            Reading(5, "backlash", CLOCK, values_um=(160.0,), fitted=trial),
            Reading(6, "backlash", CLOCK, values_um=(166.0,), fitted=trial),
        ),
    )


def test_redundant_readings_leave_the_posterior_of_the_normal_law() -> None:
    """Means, spreads and correlation of C and g are those of least squares."""
    job = redundant_job()
    estimate = estimate_job(job, DRAWER)
    builds = simulate_builds(job, estimate)
    assert builds.effective > 1000
    x, weight = builds.x[:, [CLEARANCE, GAP]], builds.weight
    mean = weight @ x
    cov = (x - mean).T @ ((x - mean) * weight[:, None])
    spread = np.sqrt(np.diag(estimate.fit.cov)[[CLEARANCE, GAP]])
    few = 4.0 / math.sqrt(builds.effective)
    # the rectangular priors of ratio and share are not normal: 0.03 of a spread is theirs
    assert np.all(np.abs(mean - estimate.fit.x[[CLEARANCE, GAP]]) < (few + 0.03) * spread)
    wanted = estimate.fit.cov[:2, :2]
    assert np.all(np.abs(cov - wanted) < (2.0 * few + 0.03) * np.outer(spread, spread))


def test_priors_stay_inside_their_rectangles() -> None:
    """No build has a ratio, a share or a tool's error outside what it is said to be within."""
    job = a_job()
    estimate = estimate_job(job, a_drawer(5, 1))
    builds = simulate_builds(job, estimate)
    for at, unknown in enumerate(estimate.unknowns.items):
        if unknown.within is not None:
            off = np.abs(builds.x[builds.weight > 0, at] - unknown.centre)
            assert off.max() <= unknown.within + 1e-9
            assert off.max() > 0.98 * unknown.within
    assert {RATIO, SHARE} <= set(range(len(estimate.unknowns)))
    assert builds.weight.sum() == pytest.approx(1.0)
    assert builds.share(np.ones(len(builds.weight), bool)) == pytest.approx(1.0)


def test_the_same_job_gives_the_same_figures() -> None:
    """Seeded: two runs agree to the last bit."""
    job, drawer = a_job(wanted=0.5), a_drawer(12, 4)
    estimate = estimate_job(job, drawer)
    choice = choose(begin_search(job, drawer, estimate), 0.5)
    assert choice is not None
    one, two = (judge(job, drawer, estimate, choice.plan) for _ in range(2))
    assert (one.chance, one.jam_chance, one.results) == (two.chance, two.jam_chance, two.results)
    np.testing.assert_array_equal(one.cloud_um, two.cloud_um)


def test_readings_that_no_build_explains_leave_none_effective() -> None:
    """Hard brackets that exclude one another: no build counts, and that is said, not hidden."""
    hard = Tool("hard", 0.0, 0.0, 0.0, 0.0, "other")
    readings = (
        Reading(1, "total clearance", hard, goes_um=(1280.0,), stops_um=1290.0),
        GAP_READING,
        Reading(3, "total clearance", hard, goes_um=(1400.0,), stops_um=1410.0),
    )
    job = a_job(readings=readings, mesh=SURE, tools=(hard, CLOCK))
    assert simulate_builds(job, estimate_job(job, DRAWER)).effective == 0.0
