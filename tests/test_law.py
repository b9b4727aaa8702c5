"""The normal law: boxes against SciPy, spreads against `uncertainties`, tails against SciPy."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from scipy import stats
from scipy.special import ndtr
from uncertainties import unumpy

from solver.drawer import Drawer
from solver.estimate import Estimate, estimate_job
from solver.job import Job
from solver.law import Law, Stacks, law_of
from solver.normal import chi_square_tail, normal_cdf
from tests.brute import Every, as_stacks, every_plan
from tests.jobs import CARRIER, jobs_with_drawers, repeatable

FULLY_PINCHED = 6.5  # standard deviations from end float: the other branch weighs nothing


def weighed(case: tuple[Job, Drawer]) -> tuple[Estimate, Law, Every]:
    """Every plan of a case, weighed."""
    job, drawer = case
    estimate = estimate_job(job, drawer)
    law = law_of(job, estimate)
    return estimate, law, every_plan(job, drawer, estimate, law)


def propagated(
    job: Job, estimate: Estimate, stacks: Stacks, at: int
) -> tuple[np.ndarray, np.ndarray]:
    """Backlash and pinch of one plan with their covariance, carried by `uncertainties`.

    at: place of the plan in the batch. Returns: mean [(2,)], covariance [(2, 2)].
    """
    x = uncertainties.correlated_values(estimate.fit.x, estimate.fit.cov)
    both = stacks.own_um2[at, 2]
    own = np.array([[stacks.own_um2[at, 0], both], [both, stacks.own_um2[at, 1]]])
    extra = uncertainties.correlated_values([0.0, 0.0], own + 1e-9 * np.eye(2))
    true = [
        stacks.nominal_um[at, seat]
        + sum(lean * one for lean, one in zip(stacks.lean[at, seat], x, strict=True))
        + extra[seat]
        for seat in (0, 1)
    ]
    signed = [seat.sign * one for seat, one in zip(job.seats, true, strict=True)]
    squeeze = signed[0] + signed[1] - x[0]
    lash = x[2] * (x[1] - signed[0] + x[3] * squeeze)
    pair = [lash, squeeze]
    return unumpy.nominal_values(pair), np.array(uncertainties.covariance_matrix(pair))


@repeatable(25)
@given(jobs_with_drawers(end_float=False))
def test_box_chances_and_spreads_agree_with_outside_libraries(case: tuple[Job, Drawer]) -> None:
    """Spreads are those of `uncertainties`; the box is that of SciPy's bivariate normal."""
    job, drawer = case
    estimate, law, every = weighed(case)
    for at in np.argsort(-every.chance)[:3]:
        stacks = as_stacks(job, drawer, estimate, [every.counts[at]])
        mean, cov = propagated(job, estimate, stacks, 0)
        if mean[1] < FULLY_PINCHED * math.sqrt(cov[1, 1]) and every.chance[at] < 0.01:
            continue
        if mean[1] >= 0.0:
            found_mean, found_cov = law.moments(stacks)
            np.testing.assert_allclose(found_mean[0], mean, rtol=1e-6, atol=1e-6)
            np.testing.assert_allclose(found_cov[0], cov, rtol=1e-6, atol=1e-6)
        low, high = zip(*law.windows, strict=True)
        box = stats.multivariate_normal(mean, cov, allow_singular=True).cdf(high, lower_limit=low)
        assert every.chance[at] == pytest.approx(float(box), abs=2e-6)


def a_law(pinch_um: tuple[float, float], backlash_um: tuple[float, float]) -> Law:
    """A law with exact ratio 0.7 and share 0.5, and C and g spread by 9 and 12 µm, correlated."""
    cov = np.zeros((4, 4))
    cov[:2, :2] = [[81.0, 40.0], [40.0, 144.0]]
    x = np.array([1300.0, 620.0, 0.7, 0.5])
    return Law(CARRIER, x, cov, (backlash_um, pinch_um))


@pytest.mark.parametrize("plain_um", [860.0, 878.0, 890.0, 905.0])
def test_with_end_float_both_ends_are_held(plain_um: float) -> None:
    """Where ratio and share are exact the law is exact: 400 000 seeded draws, four errors."""
    law = a_law((-40.0, 25.0), (125.0, 152.0))
    spreads = np.array([[9.0, 16.0, 6.0]])
    stacks = Stacks(np.array([[420.0, plain_um]]), np.zeros((1, 2, 4)), spreads)
    rng = np.random.default_rng(7)
    count = 400_000
    x = rng.multivariate_normal(law.x[:2], law.cov[:2, :2], count)
    own = rng.multivariate_normal([0.0, 0.0], [[9.0, 6.0], [6.0, 16.0]], count)
    wheel, plain = 420.0 + own[:, 0], plain_um + own[:, 1]
    squeeze = wheel + plain - x[:, 0]
    travel = x[:, 1] - wheel
    far = 0.7 * (travel + 0.5 * np.maximum(squeeze, 0.0))
    near = np.where(squeeze < 0, 0.7 * (travel + squeeze), far)
    inside = (near >= 125.0) & (far <= 152.0) & (squeeze >= -40.0) & (squeeze <= 25.0)
    share = float(inside.mean())
    assert 0.02 < share < 0.98
    four = 4.0 * math.sqrt(share * (1.0 - share) / count)
    assert float(law.chance(stacks)[0]) == pytest.approx(share, abs=four)


@pytest.mark.parametrize("shared_um2", [0.0, 90.0, -60.0])
def test_an_error_that_both_seats_share_tilts_the_box(shared_um2: float) -> None:
    """By hand: b = 0.7 (g - S_w + 0.3 p), p = S_w + S_p - C; the box is SciPy's."""
    x = np.array([1300.0, 620.0, 0.7, 0.3])
    law = replace(a_law((20.0, 60.0), (140.0, 160.0)), x=x)
    own = np.array([[100.0, shared_um2], [shared_um2, 144.0]])
    stacks = Stacks(
        np.array([[420.0, 920.0]]), np.zeros((1, 2, 4)), np.array([[100.0, 144.0, shared_um2]])
    )
    by_inputs = np.array([[-0.21, 0.7], [-1.0, 0.0]])  # of b and p, by C and g
    by_stacks = np.array([[-0.49, 0.21], [1.0, 1.0]])
    cov = by_inputs @ law.cov[:2, :2] @ by_inputs.T + by_stacks @ own @ by_stacks.T
    box = stats.multivariate_normal([0.7 * (200.0 + 12.0), 40.0], cov)
    wanted = float(box.cdf([160.0, 60.0], lower_limit=[140.0, 20.0]))
    assert float(law.chance(stacks)[0]) == pytest.approx(wanted, abs=2e-6)


def test_windows_without_limits_hold_everything() -> None:
    """No limit at all is a chance of one; a window half as wide never has a higher chance."""
    stacks = Stacks(np.array([[420.0, 930.0]]), np.zeros((1, 2, 4)), np.full((1, 3), 1.0))
    free = (-math.inf, math.inf)
    assert float(a_law(free, free).chance(stacks)[0]) == pytest.approx(1.0, abs=1e-6)
    wide = float(a_law((20.0, 80.0), (120.0, 200.0)).chance(stacks)[0])
    narrow = float(a_law((35.0, 65.0), (140.0, 180.0)).chance(stacks)[0])
    assert 0.05 < narrow < wide < 0.9999


def test_normal_cdf_agrees_with_scipy() -> None:
    """To 1e-11 from far in one tail to far in the other, infinities included."""
    z = np.concatenate([np.linspace(-40.0, 40.0, 4001), np.linspace(-2.0, 2.0, 997)])
    np.testing.assert_allclose(normal_cdf(z), ndtr(z), rtol=0.0, atol=1e-11)
    assert normal_cdf(np.array([-np.inf, np.inf])).tolist() == [pytest.approx(0.0, abs=1e-15), 1.0]


def test_chi_square_tail_agrees_with_scipy() -> None:
    """For 1 to 40 degrees of freedom, from nothing to far out."""
    for freedom in range(1, 41):
        for chi_square in (0.0, 0.3, 1.0, 3.84, 10.0, 40.0, 120.0):
            wanted = float(stats.chi2.sf(chi_square, freedom))
            assert chi_square_tail(chi_square, freedom) == pytest.approx(wanted, abs=1e-12)
