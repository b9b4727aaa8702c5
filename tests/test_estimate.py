"""The estimate: one-sided readings, trials, and readings that agree."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats
from scipy.special import ndtr

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Stack, Tool
from solver.mechanics import CLEARANCE, GAP, RATIO
from solver.trouble import Trouble
from tests.jobs import FEELERS, a_job, clearance_reading, gap_reading, jobs_with_drawers, repeatable

SHARP = Tool("sharp", 0.0, 0.1, 0.0, 0.0, "other")  # 0.1 µm: all but a hard bound
SOFT = Tool("soft", 0.0, 8.0, 0.0, 0.0, "other")
CLOCK = Tool("clock", 0.0, 10.0, 0.0, 0.0, "dial")
EMPTY = Drawer(())


def bounded(tool: Tool, **bound: float) -> Job:
    """C read as 1300 µm, u 10, and bounded on one side. bound: as in a Reading. Returns a job."""
    readings = (
        Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
        Reading(2, "mesh gap", CLOCK, values_um=(620.0,)),
        Reading(3, "total clearance", tool, **bound),  # type: ignore[arg-type]
    )
    return a_job(readings=readings, tools=(CLOCK, tool))


@pytest.mark.parametrize("bound_um", [1270.0, 1290.0, 1300.0, 1310.0, 1325.0])
@pytest.mark.parametrize("side", ["at_least_um", "at_most_um"])
def test_a_hard_bound_leaves_the_moments_of_a_truncated_normal(side: str, bound_um: float) -> None:
    """Mean and spread are those of SciPy's truncnorm; the other quantity stays as it was."""
    estimate = estimate_job(bounded(SHARP, **{side: bound_um}), EMPTY)
    z = (bound_um - 1300.0) / 10.0
    ends = (z, math.inf) if side == "at_least_um" else (-math.inf, z)
    law = stats.truncnorm(*ends, loc=1300.0, scale=10.0)
    assert estimate.fit.x[CLEARANCE] == pytest.approx(law.mean(), abs=0.02)
    assert estimate.fit.cov[CLEARANCE, CLEARANCE] == pytest.approx(law.var(), rel=0.005)
    assert estimate.fit.x[GAP] == pytest.approx(620.0, abs=1e-3)
    assert estimate.fit.cov[GAP, GAP] == pytest.approx(100.0, rel=1e-4)


@pytest.mark.parametrize("bound_um", [1280.0, 1300.0, 1312.0])
def test_a_soft_bound_leaves_the_moments_of_its_posterior(bound_um: float) -> None:
    """Against numerical integration of the normal law times a softened step."""
    estimate = estimate_job(bounded(SOFT, at_least_um=bound_um), EMPTY)

    def moment(power: int) -> float:
        def density(c: float) -> float:
            bell = math.exp(-(((c - 1300.0) / 10.0) ** 2) / 2.0)
            return float((c - 1300.0) ** power * bell * ndtr((c - bound_um) / 8.0))

        return float(integrate.quad(density, 1200.0, 1400.0, epsabs=1e-10)[0])

    total = moment(0)
    mean, square = moment(1) / total, moment(2) / total
    assert estimate.fit.x[CLEARANCE] - 1300.0 == pytest.approx(mean, abs=1e-3)
    assert estimate.fit.cov[CLEARANCE, CLEARANCE] == pytest.approx(square - mean**2, rel=1e-4)
    assert estimate.against == (pytest.approx(total / (10.0 * math.sqrt(math.tau)), abs=1e-6),)


@pytest.mark.parametrize(("low_um", "high_um"), [(1290.0, 1315.0), (1296.0, 1330.0)])
def test_two_bounds_hold_one_another(low_um: float, high_um: float) -> None:
    """Held from both sides: within 2 % of the spread that numerical integration gives."""
    job = bounded(SOFT, at_least_um=low_um)
    job = replace(
        job,
        readings=(*job.readings, Reading(4, "total clearance", SOFT, at_most_um=high_um)),
    )
    fit = estimate_job(job, EMPTY).fit
    c = np.linspace(1200.0, 1400.0, 20_001)
    weight = np.exp(-(((c - 1300.0) / 10.0) ** 2) / 2.0)
    weight *= ndtr((c - low_um) / 8.0) * ndtr((high_um - c) / 8.0)
    mean = float((weight * c).sum() / weight.sum())
    spread = math.sqrt(float((weight * (c - mean) ** 2).sum() / weight.sum()))
    assert fit.x[CLEARANCE] == pytest.approx(mean, abs=0.02 * spread)
    assert math.sqrt(fit.cov[CLEARANCE, CLEARANCE]) == pytest.approx(spread, rel=0.02)


def test_a_bound_that_is_far_off_changes_nothing() -> None:
    """A bound ten spreads away leaves the estimate as it was."""
    free = estimate_job(replace(bounded(SHARP), readings=bounded(SHARP).readings[:2]), EMPTY)
    held = estimate_job(bounded(SHARP, at_least_um=1200.0), EMPTY)
    np.testing.assert_allclose(held.fit.x, free.fit.x, atol=1e-4)
    np.testing.assert_allclose(np.diag(held.fit.cov), np.diag(free.fit.cov), rtol=1e-4)


@repeatable(40)
@given(jobs_with_drawers(), st.sampled_from(("total clearance", "mesh gap", "far gap in mesh")))
def test_a_further_reading_that_agrees_never_widens_a_spread(
    case: tuple[Job, Drawer], of: str
) -> None:
    """A reading that says what the estimate says already leaves every unknown as sure, or surer."""
    job, drawer = case
    before = estimate_job(job, drawer).fit
    clearance, gap = before.x[CLEARANCE], before.x[GAP]
    said = {"total clearance": clearance, "mesh gap": gap, "far gap in mesh": clearance - gap}[of]
    further = Reading(len(job.readings) + 1, of, CLOCK, values_um=(float(said),))
    job = replace(job, readings=(*job.readings, further), tools=(*job.tools, CLOCK))
    after = estimate_job(job, drawer).fit
    assert np.all(np.diag(after.cov) <= np.diag(before.cov) * (1.0 + 1e-6))
    read = {"total clearance": [1, 0], "mesh gap": [0, 1], "far gap in mesh": [1, -1]}[of]
    was, now = (float(np.array(read) @ fit.cov[:2, :2] @ np.array(read)) for fit in (before, after))
    assert now < was


def test_a_trial_fit_sharpens_the_ratio() -> None:
    """A sharp backlash on a wide prior brings the ratio to what was shown, and narrows it."""
    fitted = (Stack(WHEEL_SIDE, 420.0), Stack(PLAIN_SIDE, 880.0))
    readings = (
        Reading(1, "total clearance", SHARP, values_um=(1300.0,)),
        Reading(2, "mesh gap", SHARP, values_um=(620.0,)),
        Reading(3, "backlash", SHARP, values_um=(160.0,), fitted=fitted),
    )
    job = a_job(readings=readings, tools=(SHARP,), mesh=Mesh(0.72, 0.2, 0.5, 0.2))
    fit = estimate_job(job, EMPTY).fit
    assert fit.x[RATIO] == pytest.approx(0.8, abs=2e-4)
    assert math.sqrt(fit.cov[RATIO, RATIO]) < 0.01 * 0.2 / math.sqrt(3.0)


def test_what_no_reading_settles_is_said_by_name() -> None:
    """Without a mesh gap, or without a clearance, Trouble names the one that is missing."""
    for kept, missing in (
        (clearance_reading(51.2), "mesh gap"),
        (gap_reading(24.0, 25.0), "total clearance"),
    ):
        with pytest.raises(Trouble) as trouble:
            estimate_job(a_job(readings=(kept,)), EMPTY)
        assert [fault.found for fault in trouble.value.faults] == [
            f"no reading that settles the {missing}"
        ]


def test_one_feeler_set_ties_two_gaps_together() -> None:
    """Two gaps by one set share its error: by hand, cov = within^2 / 3; by two sets none."""
    within = FEELERS.within_um
    other = replace(FEELERS, name="other feelers")
    for tool, wanted in ((FEELERS, within**2 / 3.0), (other, 0.0)):
        readings = (
            Reading(1, "total clearance", FEELERS, values_um=(1300.0,)),
            Reading(2, "mesh gap", tool, values_um=(620.0,)),
        )
        job = a_job(readings=readings, tools=(FEELERS, other))
        assert estimate_job(job, EMPTY).fit.cov[CLEARANCE, GAP] == pytest.approx(wanted, abs=1e-6)
