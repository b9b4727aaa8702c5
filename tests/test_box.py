"""The chance of a box of two, three and four results is that of SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from solver.box import box_chance, root

SAME = {1: 1e-9, 2: 1e-6, 3: 1e-5, 4: 3e-5}  # share of builds; SciPy's own error in the last
LEAST_LEFT = 0.15  # of a result's spread that the others leave: below it the nodes are too few


def a_normal(results: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance of some results, strongly correlated. seed: which."""
    rng = np.random.default_rng(seed)
    while True:
        factor = rng.normal(0.0, 1.0, (results, results)) + np.eye(results)
        cov = factor @ factor.T
        left = np.diag(np.linalg.cholesky(cov)) / np.sqrt(np.diag(cov))
        if left.min() > LEAST_LEFT:
            return rng.normal(0.0, 1.0, results), cov


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("results", [1, 2, 3, 4])
def test_the_box_is_scipys(results: int, seed: int) -> None:
    """Boxes narrow and wide, one end open: within what quadrature and SciPy allow."""
    mean, cov = a_normal(results, seed)
    sd = np.sqrt(np.diag(cov))
    half = (0.4, 1.0, 2.5)[seed % 3]
    low = mean - half * sd
    high = mean + 1.3 * half * sd
    if seed % 2:
        high[0] = math.inf
    whole = mean[None, :], cov[None, :, :]
    windows = tuple(zip(low.tolist(), high.tolist(), strict=True))
    found = float(box_chance(whole, whole, windows)[0])
    wanted = multivariate_normal(mean, cov, maxpts=4_000_000, abseps=1e-6, releps=1e-6).cdf(
        high, lower_limit=low, rng=np.random.default_rng(1)
    )
    assert 0.0 < found < 1.0
    assert found == pytest.approx(float(wanted), abs=SAME[results])


def test_many_at_a_time_are_each_alone() -> None:
    """A batch gives what each gives alone, past the size at which it is cut in parts."""
    mean, cov = a_normal(4, 3)
    means = mean + np.linspace(-1.0, 1.0, 600)[:, None]
    covs = np.repeat(cov[None, :, :], 600, axis=0)
    windows = ((-2.0, 2.0),) * 4
    every = box_chance((means, covs), (means, covs), windows)
    for at in (0, 259, 260, 261, 599):
        one = means[at : at + 1], covs[at : at + 1]
        assert every[at] == pytest.approx(float(box_chance(one, one, windows)[0]), abs=1e-12)


def test_the_root_is_a_cholesky_factor() -> None:
    """root times its transpose is the covariance; results that are one and the same do no harm."""
    _, cov = a_normal(4, 5)
    factor = root(cov[None, :, :])[0]
    np.testing.assert_allclose(factor @ factor.T, cov, atol=1e-12)
    twins = root(np.ones((1, 2, 2)))[0]
    assert np.isfinite(twins).all() and twins[1, 1] > 0.0
