"""Stated chances come true: a sample of what tests/bench/calibration.py measures in full."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bench.calibration import LEVELS, REGIMES, reached

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import Reading
from solver.mechanics import GAP
from solver.simulation import simulate_builds
from solver.spread import HAND_FREEDOM, scatter_um2
from tests.jobs import DIAL, FEELERS, a_job

JOBS = 200  # a regime
FAIR = REGIMES[:-1]  # in the last one the tool scatters more than it is said to


@pytest.fixture(scope="module")
def levels() -> np.ndarray:
    """The chance at which the truth of each job is just inside [(regimes, jobs)]."""
    return np.array([[reached(regime, seed) for seed in range(JOBS)] for regime in REGIMES])


def test_a_stated_chance_comes_true_in_every_regime(levels: np.ndarray) -> None:
    """Within 0.02 of what is stated; four standard errors of so few jobs are allowed on top."""
    for regime, reached_at in zip(FAIR, levels, strict=False):
        for level in LEVELS:
            allowed = 0.02 + 4.0 * (level * (1.0 - level) / JOBS) ** 0.5
            assert abs((reached_at <= level).mean() - level) < allowed, (regime.name, level)


def test_a_stated_chance_comes_true_over_all_regimes(levels: np.ndarray) -> None:
    """The same over the fair regimes together, where the jobs are many enough to tell."""
    together = levels[:-1]
    for level in LEVELS:
        allowed = 4.0 * (level * (1.0 - level) / together.size) ** 0.5
        assert (together <= level).mean() == pytest.approx(level, abs=allowed)


def test_a_hand_that_scatters_more_is_found_out_by_its_repeats(levels: np.ndarray) -> None:
    """Scatter 1.5 times what the tool is said to have: never below the stated by more than 0.05."""
    for level in LEVELS:
        allowed = 0.05 + 2.0 * (level * (1.0 - level) / JOBS) ** 0.5
        assert (levels[-1] <= level).mean() > level - allowed


def test_builds_scatter_as_the_hand_does() -> None:
    """The gap's repeats are calm, the clearance's are not: the builds' gap is as wide as both say.

    Exact: the gap is one reading's mean; its variance is the pooled one by the number of repeats.
    """
    feelers = replace(FEELERS, within_um=0.0, step_um=0.0, repeat_um=5.0)
    readings = (
        Reading(1, "total clearance", feelers, values_um=(1285.0, 1300.0, 1315.0)),
        Reading(2, "mesh gap", feelers, values_um=(600.0, 600.0)),
    )
    job = a_job(readings=readings, tools=(feelers,))
    estimate = estimate_job(job, Drawer(()))
    builds = simulate_builds(job, estimate, 200_000)
    wanted = ((HAND_FREEDOM * 25.0 + 450.0) / (HAND_FREEDOM + 3) / 2) ** 0.5
    assert np.std(builds.x[:, GAP]) == pytest.approx(wanted, rel=4.0 / 400_000**0.5)
    assert estimate.fit.cov[GAP, GAP] ** 0.5 < 0.6 * wanted


def test_the_scatter_of_a_hand_is_pooled_over_everything_it_read() -> None:
    """Two readings with the feelers count together, the dial's do not.

    Source: GUM H.5.2.5 (pooled variance), recomputed by hand: squares 2 and 8 about their means.
    """
    sharp = replace(FEELERS, repeat_um=1.0, step_um=0.0)
    readings = (
        Reading(1, "total clearance", sharp, values_um=(1300.0, 1302.0)),
        Reading(2, "mesh gap", sharp, goes_um=(598.0, 602.0)),
        Reading(3, "mesh gap", sharp, goes_um=(580.0,), stops_um=620.0),
        Reading(4, "mesh gap", DIAL, values_um=(500.0, 700.0)),
    )
    assert scatter_um2(sharp, readings) == pytest.approx((HAND_FREEDOM + 10.0) / (HAND_FREEDOM + 2))
    coarse = replace(sharp, step_um=6.0)  # rounding to it has a variance of 3
    assert scatter_um2(coarse, ()) == pytest.approx(4.0)
