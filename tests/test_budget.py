"""The budget: shares that sum to one, and what perfect knowledge of one input would bring."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given

from solver.budget import share_out
from solver.choice import begin_search, choose
from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.findings import Share
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh
from solver.law import law_of
from solver.plan import Piece, Plan, SeatStack
from solver.verdict import normal_chance, predict_plan
from tests.jobs import a_drawer, a_job, jobs_with_drawers, repeatable


def planned(job: Job, drawer: Drawer) -> Plan | None:
    """The chosen plan of a job."""
    choice = choose(begin_search(job, drawer, estimate_job(job, drawer)), job.wanted_chance)
    return None if choice is None else choice.plan


def budget(job: Job, drawer: Drawer, plan: Plan) -> dict[str, tuple[Share, ...]]:
    """The budget of a plan, by result."""
    estimate = estimate_job(job, drawer)
    return dict(share_out(job, drawer, estimate, law_of(job, estimate), plan))


@repeatable(40)
@given(jobs_with_drawers())
def test_shares_sum_to_one_and_to_the_spread_of_the_verdict(case: tuple[Job, Drawer]) -> None:
    """Shares sum to 1 from the largest down; their variances sum to that of the verdict."""
    job, drawer = case
    plan = planned(job, drawer)
    if plan is None:
        return
    _, cov = predict_plan(job, drawer, estimate_job(job, drawer), plan)
    for at, (name, shares) in enumerate(budget(job, drawer, plan).items()):
        assert name == ("backlash", "pinch")[at]
        assert math.fsum(share.share for share in shares) == pytest.approx(1.0, abs=1e-9)
        variance = math.fsum(share.u_um**2 for share in shares)
        assert variance == pytest.approx(cov[at, at], rel=1e-5)
        assert list(shares) == sorted(shares, key=lambda share: -share.share)
        assert all(share.share >= 0.0 for share in shares)
        assert all(0.0 <= share.chance_if_perfect <= 1.0 for share in shares)


def test_a_perfect_input_takes_its_share_away() -> None:
    """Without redundant readings: shrink the ratio's prior, and its share of the variance goes."""
    job, drawer = a_job(wanted=0.5), a_drawer(15, 4)
    plan = planned(job, drawer)
    assert plan is not None
    shares = {share.input: share for share in budget(job, drawer, plan)["backlash"]}
    ratio = shares["transfer ratio"]
    sure = replace(job, mesh=Mesh(job.mesh.ratio, 1e-6, job.mesh.share, job.mesh.share_within))
    before = predict_plan(job, drawer, estimate_job(job, drawer), plan)[1][0, 0]
    after = predict_plan(sure, drawer, estimate_job(sure, drawer), plan)[1][0, 0]
    assert ratio.share == pytest.approx(1.0 - after / before, abs=1e-6)
    assert 0.05 < ratio.share < 0.95
    perfect = normal_chance(sure, drawer, estimate_job(sure, drawer), plan)
    assert ratio.chance_if_perfect == pytest.approx(perfect, abs=1e-4)
    assert ratio.reading is None


def test_a_perfect_piece_takes_its_share_away() -> None:
    """The same for a shim of the plan: measure it perfectly, and its share goes."""
    job = a_job(wanted=0.5)
    drawer = a_drawer(15, 4, within_thou=(0.4,))
    plan = planned(job, drawer)
    assert plan is not None
    lot = plan.stacks[0].pieces[0].id
    share = {one.input: one for one in budget(job, drawer, plan)["pinch"]}[f"thickness of {lot}"]
    known = replace(
        drawer,
        lots=tuple(replace(one, within_um=0.0) if one.id == lot else one for one in drawer.lots),
    )
    before = predict_plan(job, drawer, estimate_job(job, drawer), plan)[1][1, 1]
    after = predict_plan(job, known, estimate_job(job, known), plan)[1][1, 1]
    assert share.share == pytest.approx(1.0 - after / before, abs=1e-6)
    assert share.share > 0.01
    perfect = normal_chance(job, known, estimate_job(job, known), plan)
    assert share.chance_if_perfect == pytest.approx(perfect, abs=1e-4)


def test_an_unmeasured_lot_in_both_seats_is_one_input() -> None:
    """Pieces off by the same amount in both seats are one entry, larger than two apart."""
    job = a_job(wanted=0.01)
    lots = tuple(
        replace(lot, thickness_um=thick, count=4, within_um=10.0, tool="")
        for lot, thick in zip(a_drawer(2, 1).lots, (420.0, 523.0), strict=True)
    )
    drawer = Drawer(lots)
    plan = Plan(
        (
            SeatStack(WHEEL_SIDE, (Piece("L0", 1, 420.0),)),
            SeatStack(PLAIN_SIDE, (Piece("L0", 1, 420.0), Piece("L1", 1, 523.0))),
        )
    )
    shares = {share.input: share for share in budget(job, drawer, plan)["pinch"]}
    u = 10.0 / math.sqrt(3.0)
    assert shares["thickness of L0"].u_um == pytest.approx(2.0 * u, rel=1e-6)
    assert shares["thickness of L1"].u_um == pytest.approx(u, rel=1e-6)
