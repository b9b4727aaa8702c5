"""The verdict, by code of its own, finds what the choice found."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.choice import begin_search, choose
from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import Job
from solver.law import law_of
from solver.simulation import simulate_builds
from solver.verdict import judge, normal_chance, predict_plan, simulated_chance
from tests.brute import as_plan, as_stacks, every_plan
from tests.jobs import a_drawer, a_job, jobs_with_drawers, repeatable
from tests.subsets import SUBSETS, answer_of

SAME = 1e-6  # two integrations of one law by separate code


@repeatable(40)
@given(jobs_with_drawers())
def test_the_normal_law_is_the_one_of_the_choice(case: tuple[Job, Drawer]) -> None:
    """What the choice says of its plan, the verdict finds to 1e-6."""
    job, drawer = case
    estimate = estimate_job(job, drawer)
    choice = choose(begin_search(job, drawer, estimate), job.wanted_chance)
    if choice is not None:
        found = normal_chance(job, drawer, estimate, choice.plan)
        assert found == pytest.approx(choice.chance, abs=SAME)


@repeatable(40)
@given(jobs_with_drawers(), st.integers(0, 10**6))
def test_both_laws_agree_on_any_plan(case: tuple[Job, Drawer], any_at: int) -> None:
    """Not only on chosen plans: on good, middling and hopeless ones."""
    job, drawer = case
    estimate = estimate_job(job, drawer)
    law = law_of(job, estimate)
    every = every_plan(job, drawer, estimate, law)
    best = np.argsort(-every.chance)[:4].tolist()
    for at in [*best, any_at % len(every.counts)] if best else []:
        plan = as_plan(job, drawer, every.counts[at])
        found = normal_chance(job, drawer, estimate, plan)
        assert found == pytest.approx(float(every.chance[at]), abs=SAME)
        mean, cov = predict_plan(job, drawer, estimate, plan)
        stacks = as_stacks(job, drawer, estimate, [every.counts[at]])
        law_mean, law_cov = law.moments(stacks)
        np.testing.assert_allclose(mean, law_mean[0], atol=1e-6)
        np.testing.assert_allclose(cov, law_cov[0], rtol=1e-5, atol=1e-5)


def test_a_verdict_hangs_together() -> None:
    """Each limit alone holds more often than both; cloud and bands lie where they should."""
    job, drawer = a_job(wanted=0.5), a_drawer(15, 4)
    estimate = estimate_job(job, drawer)
    choice = choose(begin_search(job, drawer, estimate), 0.5)
    assert choice is not None
    builds = simulate_builds(job, estimate)
    verdict = judge(job, drawer, estimate, choice.plan, builds)
    alone = [found.chance for found in verdict.results]
    assert sum(alone) - 1.0 - 1e-9 <= verdict.chance <= min(alone)
    assert verdict.chance == simulated_chance(job, drawer, estimate, choice.plan, builds)
    assert verdict.normal_chance == pytest.approx(choice.chance, abs=SAME)
    assert abs(verdict.chance - verdict.normal_chance) < 0.05
    assert verdict.jam_chance < 0.01
    for at, found in enumerate(verdict.results):
        low, high = found.expect_um
        assert low < found.predicted_um < high
        assert 3.0 * found.u_um < high - low < 4.5 * found.u_um  # 95 % of a bell-like law
        inside = (verdict.cloud_um[:, at] >= low) & (verdict.cloud_um[:, at] <= high)
        assert 0.9 < inside.mean() < 0.99
    assert not verdict.cloud_um.flags.writeable


def test_a_jam_is_counted() -> None:
    """With a wheel pushed 50 µm past tight mesh, nearly every build jams."""
    job, drawer = a_job(wanted=0.5), a_drawer(15, 4)
    estimate = estimate_job(job, drawer)
    choice = choose(begin_search(job, drawer, estimate), 0.5)
    assert choice is not None
    wheel, plain = choice.plan.stacks
    gap = float(estimate.fit.x[1])
    thick = replace(drawer.lots[0], id="thick", thickness_um=gap + 150.0, count=1)
    wider = replace(drawer, lots=(*drawer.lots, thick))
    piece = replace(wheel.pieces[0], id="thick", count=1, thickness_um=thick.thickness_um)
    plan = replace(choice.plan, stacks=(replace(wheel, pieces=(piece,)), plain))
    verdict = judge(job, wider, estimate, plan)
    assert verdict.jam_chance > 0.9 or verdict.results[1].predicted_um > 250.0
    assert verdict.chance < 0.01
    assert math.isfinite(verdict.results[0].u_um)


@pytest.mark.parametrize("subset", SUBSETS)
def test_the_cloud_is_of_the_results_it_names(subset: str) -> None:
    """Its columns are the axle's first results, two at most: they lie where those are expected."""
    verdict = answer_of(subset, "met").verdict
    assert verdict is not None
    named = [found.name for found in verdict.clouded]
    assert named == [found.name for found in verdict.results][:2]
    assert verdict.cloud_um.shape[1] == len(named) == min(len(verdict.results), 2)
    for column, found in zip(verdict.cloud_um.T, verdict.clouded, strict=True):
        low, high = found.expect_um
        assert 0.9 < ((column >= low) & (column <= high)).mean() < 0.99
        wanted = (column >= found.low_um) & (column <= found.high_um)
        assert wanted.mean() == pytest.approx(found.chance, abs=0.05)
