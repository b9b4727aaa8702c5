"""The pinion: depth by either route, end float on a solid spacer, its hold on the backlash."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from solver.answer import answer_job
from solver.choice import begin_search, choose
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.job import (
    BEHIND_RACE,
    FLANGE,
    PINION_HEAD,
    PINION_SPACER,
    UNDER_CONE,
    Carried,
    Job,
    Mark,
    Pinion,
    Reading,
    Stack,
)
from solver.law import Stacks, law_of
from solver.region import aimed
from solver.simulation import simulate_builds
from solver.spread import of_reading
from solver.verdict import judge, normal_chance, predict_plan
from tests.brute import as_plan, every_plan
from tests.jobs import GAUGE, MICROMETER, PINION, pinion_job, pinions_with_drawers, repeatable

EMPTY = Drawer(())
HUNDREDTH = 10.0  # µm
PRINTED = 0.5  # µm: half a digit of the printed arithmetic, in hundredths of a millimetre
SAME_CHANCE = 3e-5
STIFF = replace(PINION, give_um=0.0, give_within_um=1e-3)  # printed sums know of no give


def read(of: str, value_um: float, number: int = 1, **more: object) -> Reading:
    """A reading good to less than a µm. of; value_um [µm]; number; more: fields of a Reading."""
    return Reading(number, of, GAUGE, values_um=(value_um,) * 3, **more)  # type: ignore[arg-type]  # fields by name


def head_stack_um(pinion: Pinion, *readings: Reading) -> float:
    """The stack at the pinion's head that puts it right [µm]. pinion; readings: of it."""
    job = pinion_job(pinion=pinion, readings=readings)
    law = law_of(job, estimate_job(job, EMPTY))
    return float(aimed(law, {"depth": 0.0})[0])


BARE = (Stack(PINION_HEAD),)


def test_lift_truck() -> None:
    """Required 78.00 - 0.08 = 77.92, measured 78.10: shim 0.18 mm.

    Source: Daewoo B20S-2 workshop text, p. 25.
    """
    pinion = replace(STIFF, nominal_um=78_000.0, marks=(Mark(-8.0, HUNDREDTH, outward=True),))
    measured = read("mounting distance", 78_100.0, fitted=BARE)
    assert head_stack_um(pinion, measured) == pytest.approx(180.0, abs=PRINTED)


def test_pinion_height_with_its_mark() -> None:
    """T = N - 0.01 H - 0.20 with N 0.5 and H +2: 0.28 mm. Source: Datsun 521 text, p. 87."""
    pinion = replace(STIFF, nominal_um=200.0, marks=(Mark(2.0, HUNDREDTH, outward=True),))
    gap = read("mounting distance", 500.0, fitted=BARE)
    assert head_stack_um(pinion, gap) == pytest.approx(280.0, abs=PRINTED)


@pytest.mark.parametrize(
    ("axis", "mark", "head", "wanted", "shim"),
    [
        (82_000.0, -5.0, 50_750.0, 30_520.0, 680.0),
        (26_500.0, -1.0, 26_000.0, 0.0, 490.0),
        (28_600.0, 5.0, 28_080.0, 0.0, 570.0),
        (98_000.0, -1.0, 96_790.0, 0.0, 1_200.0),
        (28_300.0, -5.0, 27_000.0, 0.0, 1_250.0),
    ],
)
def test_outboard_bevel_gears(
    axis: float, mark: float, head: float, wanted: float, shim: float
) -> None:
    """Housing less mark, less heights, is the shim. Source: Yamaha outboard texts.

    The mark is etched on the housing there: as plus 'in', a mark on the pinion does the same.
    """
    marks = (Mark(mark, HUNDREDTH, outward=False),)
    pinion = replace(STIFF, nominal_um=wanted, marks=marks)
    found = head_stack_um(pinion, read("axis to seat", axis), read("head height", head, 2))
    assert found == pytest.approx(shim, abs=PRINTED)


@pytest.mark.parametrize(
    ("old", "new", "change"), [(10, -10, 200.0), (8, -8, 160.0), (5, 8, -30.0), (0, 10, -100.0)]
)
def test_old_marks_and_new(old: int, new: int, change: float) -> None:
    """change = (old - new) 0.01 mm, in thickness behind the head. Source: axle table B.

    Carried over with the bearing kept, no mounting distance known at all.
    """
    stack = Stack(PINION_HEAD, 900.0, 0.5)
    carried = Carried(stack, (Mark(old, HUNDREDTH, outward=True),), 1.0, "kept")
    marks = (Mark(new, HUNDREDTH, outward=True),)
    pinion = replace(STIFF, nominal_um=None, marks=marks, carried=carried)
    job = replace(pinion_job(pinion=pinion), readings=())
    law = law_of(job, estimate_job(job, EMPTY))
    assert aimed(law, {"depth": 0.0})[0] - 900.0 == pytest.approx(change, abs=PRINTED)


def test_a_new_bearing_is_carried_over_by_both_heights() -> None:
    """By hand: a head bearing 0.12 mm taller pushes the pinion in; its stack is 0.12 mm less.

    The micrometer's common error is in both heights and falls out of their difference.
    """
    carried = Carried(Stack(PINION_HEAD, 900.0, 0.5), (), 1.0, "measured")
    pinion = replace(STIFF, carried=carried)
    heights = [
        Reading(1, "old head height", MICROMETER, values_um=(29_000.0,) * 3),
        Reading(2, "head height", MICROMETER, values_um=(29_120.0,) * 3),
    ]
    job = replace(pinion_job(pinion=pinion), readings=tuple(heights))
    estimate = estimate_job(job, EMPTY)
    law = law_of(job, estimate)
    assert aimed(law, {"depth": 0.0})[0] == pytest.approx(780.0, abs=PRINTED)
    none = Stacks(np.zeros((1, 1)), np.zeros((1, 1, len(law.x))), np.zeros((1, 1)))
    twice = 2.0 * of_reading(heights[0]).u_um ** 2
    by_hand = 1.0**2 / 3.0 + 0.5**2 / 3.0 + twice  # old depth, old stack, two readings
    assert float(law.spreads(none)[0][0]) == pytest.approx(by_hand, rel=1e-4)


@pytest.mark.parametrize(("sits", "sign"), [(BEHIND_RACE, 1), (UNDER_CONE, 1), (FLANGE, -1)])
def test_where_the_stack_sits_decides_its_sign(sits: str, sign: int) -> None:
    """Behind the race and under the cone more shim brings the pinion in, under a flange out."""
    job = pinion_job(pinion=replace(PINION, sits=sits))
    estimate = estimate_job(job, EMPTY)
    depths = []
    for thick in (500.0, 600.0):
        drawer = Drawer((Lot("x", thick, 1, 0.1, "micrometer"),))
        mean, _ = predict_plan(job, drawer, estimate, as_plan(job, drawer, ((1,),)))
        depths.append(float(mean[0]))
    assert depths[1] - depths[0] == pytest.approx(-100.0 * sign, abs=1e-3)


def test_preload_moves_the_pinion_out_unless_it_was_read_loaded() -> None:
    """Read without load the give is added, and its doubt; read under load neither is.

    15 to 22 µm: common practice, no source.
    """
    found = {}
    for loaded in (False, True):
        reading = read("mounting distance", 78_100.0, fitted=BARE, loaded=loaded)
        job = pinion_job(readings=(reading,))
        law = law_of(job, estimate_job(job, EMPTY))
        none = Stacks(np.zeros((1, 1)), np.zeros((1, 1, len(law.x))), np.zeros((1, 1)))
        found[loaded] = float(law.predict(none)[0][0]), float(law.spreads(none)[0][0])
    assert found[False][0] - found[True][0] == pytest.approx(18.5, abs=1e-3)
    assert found[False][1] - found[True][1] == pytest.approx(3.5**2 / 3.0, rel=1e-3)


@pytest.mark.parametrize(("sits", "lost"), [(BEHIND_RACE, 100.0), (UNDER_CONE, 0.0), (FLANGE, 0.0)])
def test_a_deeper_pinion_takes_its_end_float_away(sits: str, lost: float) -> None:
    """0.10 mm more at the head is 0.10 mm less float behind the race, none elsewhere (design)."""
    job = pinion_job(solid=True, pinion=replace(PINION, sits=sits))
    estimate = estimate_job(job, EMPTY)
    floats = []
    for head in (500.0, 600.0):
        lots = (Lot("h", head, 1, 0.1, "micrometer"), Lot("s", 1_200.0, 1, 0.1, "micrometer"))
        drawer = Drawer(lots)
        mean, _ = predict_plan(job, drawer, estimate, as_plan(job, drawer, ((1, 0), (0, 1))))
        floats.append(float(mean[1]))
    assert floats[0] - floats[1] == pytest.approx(lost, abs=1e-3)


def test_coming_in_closes_the_backlash_by_its_ratio() -> None:
    """By hand: r_h times the move in; nothing with what stood there then; a flange reverses it."""
    for sits, sign in ((BEHIND_RACE, 1.0), (FLANGE, -1.0)):
        job = pinion_job(carrier=True, pinion=replace(PINION, sits=sits))
        estimate = estimate_job(job, EMPTY)
        found = []
        for head in (500.0, 600.0):
            lots = tuple(
                Lot(name, thick, 1, 0.1, "micrometer")
                for name, thick in (("w", 400.0), ("p", 1_000.0), ("h", head))
            )
            plan = as_plan(job, Drawer(lots), ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
            mean, cov = predict_plan(job, Drawer(lots), estimate, plan)
            found.append((float(mean[0]), float(cov[0, 0])))
        assert found[0][0] - found[1][0] == pytest.approx(sign * 0.2 * 100.0, abs=1e-3)
        more = found[1][1] - found[0][1]
        assert more == pytest.approx((100.0 * 0.15) ** 2 / 3.0, rel=0.02)  # r_h is hardly known


@repeatable(12)
@given(pinions_with_drawers(carrier=False), st.integers(0, 10**6))
def test_both_laws_and_scipy_agree_on_pinions(case: tuple[Job, Drawer], any_at: int) -> None:
    """Search, verdict and SciPy's box are one, plan by plan."""
    _agree(case, any_at)


@repeatable(6)
@given(pinions_with_drawers(carrier=True), st.integers(0, 10**6))
def test_both_laws_and_scipy_agree_on_whole_axles(case: tuple[Job, Drawer], any_at: int) -> None:
    """Depth, backlash and pinch in one box."""
    _agree(case, any_at)


def _agree(case: tuple[Job, Drawer], any_at: int) -> None:
    job, drawer = case
    estimate = estimate_job(job, drawer)
    every = every_plan(job, drawer, estimate, law_of(job, estimate))
    for at in [*np.argsort(-every.chance)[:2].tolist(), any_at % len(every.counts)]:
        plan = as_plan(job, drawer, every.counts[at])
        chance = float(every.chance[at])
        assert normal_chance(job, drawer, estimate, plan) == pytest.approx(chance, abs=SAME_CHANCE)
        mean, cov = predict_plan(job, drawer, estimate, plan)
        if job.carrier and mean[1] < 6.5 * math.sqrt(cov[1, 1]):
            continue  # end float: the box is no box
        low, high = zip(*(job.window_um(one) for one in estimate.axle.results), strict=True)
        law = multivariate_normal(mean, cov, allow_singular=True, abseps=1e-7, maxpts=4_000_000)
        box = float(law.cdf(high, lower_limit=low, rng=np.random.default_rng(1)))
        assert chance == pytest.approx(box, abs=SAME_CHANCE)


@repeatable(14)
@given(pinions_with_drawers(carrier=False))
def test_the_choice_for_a_pinion_equals_brute_force(case: tuple[Job, Drawer]) -> None:
    """One seat and two: fewest pieces, best chance, out of one drawer."""
    _choice_is_rightful(case)


@repeatable(8)
@given(pinions_with_drawers(carrier=True))
def test_the_choice_for_a_whole_axle_equals_brute_force(case: tuple[Job, Drawer]) -> None:
    """Three seats in one integer program, one joint chance."""
    _choice_is_rightful(case)


def _choice_is_rightful(case: tuple[Job, Drawer]) -> None:
    job, drawer = case
    estimate = estimate_job(job, drawer)
    every = every_plan(job, drawer, estimate, law_of(job, estimate))
    rightful = every.rightful(job.wanted_chance)
    found = choose(begin_search(job, drawer, estimate), job.wanted_chance)
    if rightful is None:
        assert found is None
        return
    assert found is not None
    assert found.shims == rightful[0]
    assert found.chance == pytest.approx(rightful[1], abs=5.5e-4)
    used = [piece for stack in found.plan.stacks for piece in stack.pieces]
    for lot in drawer.lots:
        assert sum(piece.count for piece in used if piece.id == lot.id) <= lot.count


@repeatable(8)
@given(pinions_with_drawers(carrier=False))
def test_simulated_builds_bear_the_normal_law_out(case: tuple[Job, Drawer]) -> None:
    """Where errors are small and many, both say about the same of each result."""
    job, drawer = case
    estimate = estimate_job(job, drawer)
    every = every_plan(job, drawer, estimate, law_of(job, estimate))
    at = int(np.argmax(every.chance))
    if every.chance[at] < 0.05:
        return
    plan = as_plan(job, drawer, every.counts[at])
    builds = simulate_builds(job, estimate)
    assert builds.effective > 1_000
    verdict = judge(job, drawer, estimate, plan, builds)
    assert verdict.chance == pytest.approx(float(every.chance[at]), abs=0.04)
    for result in verdict.results:
        low, high = result.expect_um
        assert (low + high) / 2.0 == pytest.approx(result.predicted_um, abs=0.35 * result.u_um)
        assert (high - low) / 3.92 == pytest.approx(result.u_um, rel=0.15)


def test_a_whole_answer_knows_the_pinion() -> None:
    """From readings to the finished answer: every seat filled, every result with its budget."""
    job = pinion_job(carrier=True, solid=True, most=2)
    lots = [Lot(f"L{at}", float(thick), 1, 1.3, "micrometer") for at, thick in enumerate(
        (749, 700, 400, 425, 450, 900, 925, 950, 975, 1000, 1180, 1200, 1220)
    )]  # fmt: skip
    answer = answer_job(job, Drawer(tuple(lots)))
    assert answer.verdict is not None
    assert [stack.seat for stack in answer.verdict.plan.stacks] == [s.name for s in job.seats]
    names = [result.name for result in answer.verdict.results]
    assert names == ["backlash", "pinch", "depth", "pinion end float"]
    assert [name for name, _ in answer.budget] == names
    for _, shares in answer.budget:
        assert sum(share.share for share in shares) == pytest.approx(1.0, abs=1e-6)
    alone = min(result.chance for result in answer.verdict.results)
    assert answer.verdict.chance <= alone + 1e-9


def test_a_trial_at_the_spacer_keeps_its_pieces() -> None:
    """A plan that keeps the very pieces of the trial is surer than one with their like."""
    fitted = (Stack(PINION_SPACER, lots=(("s", 1),)), Stack(PINION_HEAD, lots=(("h", 1),)))
    head = (Stack(PINION_HEAD, lots=(("h", 1),)),)
    readings = (
        read("mounting distance", 78_000.0, fitted=head),
        read("pinion end float", 30.0, 2, fitted=fitted),
    )
    job = pinion_job(solid=True, readings=readings, float_um=(20.0, 40.0))
    lots = [Lot(name, thick, 1, 5.0, "micrometer") for name, thick in (
        ("h", 700.0), ("h2", 700.0), ("s", 1_200.0), ("s2", 1_200.0)
    )]  # fmt: skip
    drawer = Drawer(tuple(lots))
    estimate = estimate_job(job, drawer)
    kept, like = (
        predict_plan(job, drawer, estimate, as_plan(job, drawer, counts))[1]
        for counts in (((1, 0, 0, 0), (0, 0, 1, 0)), ((0, 1, 0, 0), (0, 0, 0, 1)))
    )
    assert kept[1, 1] < 0.2 * like[1, 1]
