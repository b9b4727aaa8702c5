"""Pinch and backlash of a carrier: slopes, signs, end float, and readings taken elsewhere."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import (
    DIRECTIONS,
    PLAIN_SIDE,
    WHEEL_SIDE,
    Job,
    Mesh,
    Reading,
    Spot,
    Stack,
    Teeth,
    Tool,
)
from solver.job_file import read_job
from solver.mechanics import backlash, backlash_range_um, pinch
from tests.jobs import a_job

AXLE = np.array([1300.0, 620.0, 0.72, 0.4])  # C, g [µm], ratio, share
SIGNS = [(1, 1), (1, -1), (-1, 1), (-1, -1)]
EXACT = Tool("exact", 0.0, 0.01, 0.0, 0.0, "other")


@pytest.mark.parametrize("signs", SIGNS)
@pytest.mark.parametrize("follows", [None, 0.0, 0.5, 1.0])
def test_slopes_are_those_of_numerical_differences(
    signs: tuple[int, int], follows: float | None
) -> None:
    """Every slope of pinch and backlash agrees with a central difference."""
    stacks = np.array([[420.0, 1050.0], [100.0, 200.0]])
    for result in (
        lambda q, s: pinch(q, s, signs),
        lambda q, s: backlash(q, s, signs, follows),
    ):
        surface = result(AXLE, stacks)
        for place in range(4):
            step = np.zeros(4)
            step[place] = 1e-3
            difference = result(AXLE + step, stacks).value - result(AXLE - step, stacks).value
            np.testing.assert_allclose(surface.by_quantity[:, place], difference / 2e-3, atol=1e-6)
        for seat in (0, 1):
            move = np.zeros((1, 2))
            move[0, seat] = 1e-3
            difference = result(AXLE, stacks + move).value - result(AXLE, stacks - move).value
            np.testing.assert_allclose(surface.by_stack[:, seat], difference / 2e-3, atol=1e-6)


def test_pinched_bearings_move_the_wheel_by_their_share() -> None:
    """By hand: S 420 + 1050 - C 1300 = 170; b = 0.72 (620 - 420 + 0.4 * 170) = 192.96."""
    stacks = np.array([[420.0, 1050.0]])
    assert pinch(AXLE, stacks, (1, 1)).value[0] == pytest.approx(170.0)
    assert backlash(AXLE, stacks, (1, 1), None).value[0] == pytest.approx(192.96)


def test_end_float_leaves_backlash_two_ends() -> None:
    """By hand: 100 µm of float, travel 200: from 0.72 * 100 to 0.72 * 200; none while pinched."""
    least, most = backlash_range_um(0.72, 200.0, -100.0, 0.4)
    assert (float(least), float(most)) == (pytest.approx(72.0), pytest.approx(144.0))
    least, most = backlash_range_um(0.72, 200.0, 170.0, 0.4)
    assert float(least) == float(most) == pytest.approx(192.96)
    stacks = np.array([[420.0, 780.0]])  # 100 short of the clearance
    ends = [float(backlash(AXLE, stacks, (1, 1), at).value[0]) for at in (1.0, 0.0)]
    assert ends == [pytest.approx(72.0), pytest.approx(144.0)]


def test_more_shim_under_a_cover_is_less_pinch() -> None:
    """Under a bearing a piece adds to the pinch, under a cover it takes away, on either side."""
    stacks, more = np.array([[400.0, 900.0]]), np.array([[410.0, 930.0]])
    for signs in SIGNS:
        gained = pinch(AXLE, more, signs).value - pinch(AXLE, stacks, signs).value
        assert gained[0] == pytest.approx(10.0 * signs[0] + 30.0 * signs[1])
    for sign in (1, -1):
        moved = [backlash(AXLE, s, (sign, 1), 0.0).value[0] for s in (stacks, more)]
        assert moved[1] - moved[0] == pytest.approx(-7.2 * sign)


def a_table(**changes: object) -> dict[str, object]:
    """A job file as a table. changes: keys to replace. Returns it."""
    table: dict[str, object] = {
        "unit": "um",
        "limits": {
            "backlash": {"low": 100.0, "high": 200.0},
            "pinch": {"low": 50.0, "high": 80.0, "counted": "total"},
        },
        "mesh": {
            "transfer_ratio": {"value": 0.72, "within": 0.12},
            "pinch_share": {"value": 0.5, "within": 0.2},
        },
        "tools": {"dial": {"within": 5.0, "repeat": 5.0, "step": 2.0, "joint": 7.0}},
        "readings": [
            {"of": "total clearance", "tool": "dial", "value": 1300.0},
            {"of": "mesh gap", "tool": "dial", "value": 620.0},
        ],
    }
    return table | changes


def test_a_limit_of_pinch_each_side_is_doubled() -> None:
    """50 to 80 each side is 100 to 160 in total; 50 to 80 in total stays; kept how it was said."""
    limits = {
        "backlash": {"low": 100.0, "high": 200.0},
        "pinch": {"low": 50.0, "high": 80.0, "counted": "each side"},
    }
    each = read_job(a_table(limits=limits), "job.toml", Path()).limit("pinch")
    total = read_job(a_table(), "job.toml", Path()).limit("pinch")
    assert (each.low_um, each.high_um, each.counted) == (100.0, 160.0, "each side")
    assert (total.low_um, total.high_um, total.counted) == (50.0, 80.0, "total")


TEETH = Teeth(20.0, 20.0, 70.0, 35.0)


def ratio_seen(spot: Spot, shown_um: float) -> float:
    """Transfer ratio that exact readings settle where a trial's backlash was read at a spot."""
    fitted = (Stack(WHEEL_SIDE, 420.0), Stack(PLAIN_SIDE, 880.0))  # no pinch: share out of play
    readings = (
        Reading(1, "total clearance", EXACT, values_um=(1300.0,)),
        Reading(2, "mesh gap", EXACT, values_um=(620.0,)),
        Reading(3, "backlash", EXACT, values_um=(shown_um,), fitted=fitted, spot=spot),
    )
    job: Job = a_job(
        readings=readings, tools=(EXACT,), mesh=Mesh(0.8, 0.25, 0.5, 0.2, TEETH, 90_000.0)
    )
    return float(estimate_job(job, Drawer(())).fit.x[2])


@pytest.mark.parametrize(
    ("spot", "factor"),
    [
        (Spot(), 1.0),
        (Spot(lever_deg=30.0), 1.0 / math.cos(math.radians(30.0))),
        (Spot(radius_um=60_000.0), 60.0 / 90.0),
        (Spot(read=DIRECTIONS[1]), math.cos(math.radians(35.0))),
        (
            Spot(read=DIRECTIONS[2]),
            math.cos(math.radians(20.0)) * math.cos(math.radians(35.0)),
        ),
    ],
    ids=["edge", "lever indicator", "radius", "square to the tooth", "square to the flank"],
)
def test_a_reading_taken_elsewhere_is_brought_to_the_tooth_edge(spot: Spot, factor: float) -> None:
    """200 µm of travel at ratio 0.8 is 160 at the edge; a spot shows that times its factor."""
    assert ratio_seen(spot, 160.0 * factor) == pytest.approx(0.8, abs=2e-4)
