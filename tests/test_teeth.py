"""Transfer ratios from the teeth, and backlash read elsewhere than its limit says."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import DIRECTIONS, PLAIN_SIDE, WHEEL_SIDE, Mesh, Reading, Spot, Stack, Teeth
from solver.teeth import (
    out_of_line_band,
    spot_doubt,
    spot_factor,
    transfer_ratio_from_teeth,
    wheel_pitch_deg,
)
from tests.jobs import DIAL, a_job

# Own algebra, not published, computed apart from the program; wheel, then pinion, each at a spiral
# of 0, 30 and 35 degrees, four decimals as noted.
RATIOS = [
    (20.0, 10, 41, 76.293, (0.7072, 0.8166, 0.8633), (0.1725, 0.1992, 0.2106)),
    (20.0, 11, 37, 73.443, (0.6978, 0.8057, 0.8518), (0.2074, 0.2395, 0.2532)),
    (22.5, 10, 41, 76.293, (0.8048, 0.9293, 0.9825), (0.1963, 0.2267, 0.2396)),
    (14.5, 10, 41, 76.293, (0.5025, 0.5802, 0.6134), (0.1226, 0.1415, 0.1496)),
]
HALF_DIGIT = 0.51e-4


@pytest.mark.parametrize(("pressure", "pinion", "wheel", "pitch", "of_wheel", "of_pinion"), RATIOS)
def test_ratio_table(
    pressure: float,
    pinion: int,
    wheel: int,
    pitch: float,
    of_wheel: tuple[float, ...],
    of_pinion: tuple[float, ...],
) -> None:
    """The ratio along the rotation equals the table, for the wheel and for the pinion."""
    found = wheel_pitch_deg(pinion, wheel)
    assert found == pytest.approx(pitch, abs=0.51e-3)
    for place, spiral in enumerate((0.0, 30.0, 35.0)):
        moved = transfer_ratio_from_teeth(Teeth(pressure, pressure, found, spiral))
        assert moved == pytest.approx(of_wheel[place], abs=HALF_DIGIT)
        moved = transfer_ratio_from_teeth(Teeth(pressure, pressure, 90.0 - found, spiral))
        assert moved == pytest.approx(of_pinion[place], abs=HALF_DIGIT)


def test_the_three_directions() -> None:
    """20 degrees, 10/41, spiral 35: 0.863 / 0.707 / 0.665. Source: own algebra, not published."""
    teeth = Teeth(20.0, 20.0, wheel_pitch_deg(10, 41), 35.0)
    ratio = transfer_ratio_from_teeth(teeth)
    found = [ratio * spot_factor(Spot(read), teeth, None) for read in DIRECTIONS]
    assert found[:2] == pytest.approx([0.863, 0.707], abs=0.51e-3)
    # Square to the flank it shortens to 2 sin(pressure) sin(pitch) = 0.6646: neither the spiral
    # nor a tangent is left. (0.664 comes of multiplying the rounded 0.707.)
    short = 2.0 * math.sin(math.radians(20.0)) * math.sin(math.atan2(41.0, 10.0))
    assert found[2] == pytest.approx(short, rel=1e-12)
    assert found[2] == pytest.approx(0.6646, abs=HALF_DIGIT)


def test_unequal_flanks_count_half_each() -> None:
    """Drive and coast flanks each give half: 2 tan is a sum of two tangents."""
    mixed = transfer_ratio_from_teeth(Teeth(15.0, 25.0, 70.0, 30.0))
    each = [transfer_ratio_from_teeth(Teeth(a, a, 70.0, 30.0)) for a in (15.0, 25.0)]
    assert mixed == pytest.approx(sum(each) / 2.0, rel=1e-12)


def test_mitre_wheels_meet_at_half_the_shaft_angle() -> None:
    """Equal numbers of teeth have pitch angles of half the shaft angle."""
    assert wheel_pitch_deg(20, 20) == pytest.approx(45.0)
    assert wheel_pitch_deg(20, 20, 60.0) == pytest.approx(30.0)


def test_plunger_out_of_line() -> None:
    """20 degrees out along a 35 degree tooth reads 0.85 or 1.43. Source: own algebra."""
    assert out_of_line_band(20.0, Teeth(20, 20, 76, 35)) == pytest.approx((0.85, 1.43), abs=0.005)
    assert out_of_line_band(20.0, None) == out_of_line_band(20.0, Teeth(20, 20, 76, 35))
    assert out_of_line_band(0.0, None) == (1.0, 1.0)
    assert out_of_line_band(-20.0, None) == pytest.approx(out_of_line_band(20.0, None))
    with pytest.raises(ValueError, match="along the tooth"):
        out_of_line_band(60.0, None)


def test_lever_type_indicator_reads_high() -> None:
    """0.200 shown at 20 degrees is 0.188. Source: a gauge maker's catalogue."""
    assert 0.200 / spot_factor(Spot(lever_deg=20.0), None, None) == pytest.approx(0.188, abs=5e-4)


def test_a_dial_further_out_reads_more() -> None:
    """A dial at radius a reads a/R of the truth at the tooth edge R. Source: levers."""
    assert spot_factor(Spot(radius_um=79_000.0), None, 50_000.0) == pytest.approx(1.58)


def test_spots_that_need_what_is_not_known() -> None:
    """A direction needs the teeth, and a radius the tooth edge."""
    with pytest.raises(ValueError, match="needs the teeth"):
        spot_factor(Spot("square to the flank"), None, None)
    with pytest.raises(ValueError, match="needs the radius"):
        spot_factor(Spot(radius_um=1.0), None, None)
    assert math.isclose(spot_factor(Spot(), None, None), 1.0)


def test_where_a_dial_stood_is_not_known_exactly() -> None:
    """79 mm within 1, exact by the rectangular; a lever at 20 degrees, 5 either way, by cosines."""
    radius = Spot(radius_um=79_000.0, radius_within_um=1_000.0)
    assert spot_doubt(radius) == pytest.approx(1.0 / 79.0 / 3.0**0.5)
    lever = spot_doubt(Spot(lever_deg=20.0)) * 3.0**0.5
    one, other = (math.cos(math.radians(angle)) for angle in (25.0, 15.0))
    assert lever == pytest.approx((other - one) / 2.0 / math.cos(math.radians(20.0)), rel=0.01)
    assert spot_doubt(Spot()) == 0.0


@pytest.mark.parametrize(
    "spot", [Spot(radius_um=79_000.0, radius_within_um=2_000.0), Spot(lever_deg=20.0)]
)
def test_that_widens_the_reading(spot: Spot) -> None:
    """By its share of what was read, on top of the dial's own. Exact."""
    fitted = (Stack(WHEEL_SIDE, 457.0), Stack(PLAIN_SIDE, 998.0))
    job = a_job(mesh=Mesh(0.72, 0.1, 0.5, 0.2, edge_radius_um=90_000.0))
    us = []
    for where in (Spot(), spot):
        trial = Reading(3, "backlash", DIAL, values_um=(180.0,), fitted=fitted, spot=where)
        wider = replace(job, readings=(*job.readings, trial))
        row = next(r for r in estimate_job(wider, Drawer(())).rows if 3 in r.readings)
        us.append(row.spread.u_um)
    assert us[1] ** 2 - us[0] ** 2 == pytest.approx((180.0 * spot_doubt(spot)) ** 2)
