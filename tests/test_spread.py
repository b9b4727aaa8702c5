"""What one reading says: repeats, brackets, leaves and bounds, with outside figures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from solver.agreement import check_agreement
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.freedom import student_quantile
from solver.job import WHEEL_SIDE, Reading, Tool
from solver.job_tools import JOINT_UM
from solver.pieces import known_of, list_unknowns
from solver.spread import (
    POOLED_FREEDOM,
    Spread,
    chi2_99,
    lag_one,
    of_bracket,
    of_reading,
    of_repeats,
)
from tests.jobs import FEELERS, THOU_UM, a_job, gap_reading

# GUM H.5, table H.9: means of ten days above 10 V and their spreads, five readings a day [µV].
H5_MEANS = (172.0, 116.0, 13.0, 144.0, 106.0, 31.0, 60.0, 125.0, 163.0, 41.0)
H5_SPREADS = (60.0, 77.0, 111.0, 101.0, 67.0, 93.0, 80.0, 73.0, 88.0, 86.0)
# NIST StRD, Mavro: 50 repeats, in units of 1e-5 above 2.
MAVRO = (
    180, 170, 180, 190, 180, 170, 150, 140, 150, 150, 170, 180, 180, 190, 190, 210, 200, 160, 140,
    130, 130, 150, 150, 160, 150, 140, 130, 140, 150, 140, 150, 160, 150, 160, 190, 200, 200, 210,
    220, 230, 240, 250, 270, 260, 260, 260, 270, 260, 250, 240,
)  # fmt: skip
MAVRO_SD = 4.29123454003053e-4  # certified


def evenly(count: int, sd: float, mean: float = 0.0) -> tuple[float, ...]:
    """An odd number of values with exactly this sample standard deviation and mean."""
    half = count // 2
    return (*[mean + sd] * half, mean, *[mean - sd] * half)


def test_gum_h5_day_means() -> None:
    """Ten day means average 10.000 097 V with a spread of 57 µV. Source: GUM H.5, table H.9."""
    found = of_repeats(H5_MEANS, 57.0, 0.0)  # such a `repeat` leaves their spread where it is
    assert found.centre_um == pytest.approx(97.0, abs=0.51)
    assert found.sd_um * math.sqrt(10) == pytest.approx(57.0, abs=0.51)


def test_gum_h5_pooled() -> None:
    """Spreads pool by their degrees of freedom to 85 µV. Source: GUM H.5.2.2 (ten days of four).

    Ten of the forty degrees stand as the tool's `repeat`, thirty as repeats of the reading.
    """
    squares = np.array(H5_SPREADS) ** 2
    first = (4 * squares[0] + 4 * squares[1] + 2 * squares[2]) / 10
    rest = (2 * squares[2] + 4 * squares[3:].sum()) / 30
    found = of_repeats(evenly(31, math.sqrt(rest)), math.sqrt(first), 0.0)
    assert found.sd_um * math.sqrt(31) == pytest.approx(85.0, abs=0.51)
    assert found.freedom == 40.0
    assert found.repeats_u_um == found.sd_um


def test_mavro() -> None:
    """Mean, spread and autocorrelation of Mavro are the certified ones, and Mavro drifts.

    Source: NIST StRD, Mavro.
    """
    values = tuple(2.0 + one * 1e-5 for one in MAVRO)
    found = of_repeats(values, MAVRO_SD, 0.0)
    assert found.centre_um == pytest.approx(2.001856, rel=1e-13)
    assert found.sd_um * math.sqrt(50) == pytest.approx(MAVRO_SD, rel=1e-10)
    assert lag_one(values) == pytest.approx(0.937989183438248, rel=1e-10)
    assert found.drifting


def test_repeats_that_do_not_follow_each_other_do_not_drift() -> None:
    """The same values in an order without memory are no drift, nor are a few, nor equal ones."""
    mixed = tuple(np.random.default_rng(3).permutation(MAVRO).astype(float))
    assert not of_repeats(mixed, 40.0, 0.0).drifting
    assert not of_repeats(tuple(float(v) for v in range(7)), 2.0, 0.0).drifting
    assert of_repeats(tuple(float(v) for v in range(12)), 2.0, 0.0).drifting
    assert not of_repeats((5.0,) * 20, 2.0, 0.0).drifting


def test_drift_warnings_are_rare_without_drift() -> None:
    """Of 2000 sets of ten independent repeats fewer than 1 in 20 are said to drift."""
    rng = np.random.default_rng(11)
    sets = rng.standard_normal((2000, 10))
    share = sum(of_repeats(tuple(one), 1.0, 0.0).drifting for one in sets) / 2000
    assert 0.0 < share < 0.05


def test_zarr13() -> None:
    """The 95 % limits of a mean of 195 repeats are 9.258242 and 9.264679.

    Source: NIST/SEMATECH e-Handbook 1.3.5.2, ZARR13: n 195, mean 9.261460, s 0.022789.
    """
    found = of_repeats(evenly(195, 0.022789, 9.261460), 0.022789, 0.0)
    half = student_quantile(0.95, 194) * found.sd_um
    assert found.centre_um - half == pytest.approx(9.258242, abs=1.1e-6)
    assert found.centre_um + half == pytest.approx(9.264679, abs=1.1e-6)


def test_rectangular() -> None:
    """A rectangular of half-width a has u = a/sqrt(3). Source: NIST TN 1297, 4.6; GUM 4.3.7."""
    assert Spread(0.0, 1.0, 0.0).u_um == pytest.approx(0.5774, abs=5e-5)
    reading = Reading(1, "mesh gap", None, values_um=(500.0,), within_um=30.0)
    assert of_reading(reading) == Spread(500.0, 30.0, 0.0)


def test_the_smallest_division_is_a_floor() -> None:
    """However well repeats agree, u is never below step/sqrt(12). Source: GUM F.2.2.1."""
    found = of_repeats((500.0,) * 40, 1.0, 10.0)
    assert found.u_um == pytest.approx(10.0 / math.sqrt(12.0))
    assert found.freedom == math.inf and found.repeats_u_um == 0.0


def test_bracket() -> None:
    """Between a leaf that goes and one that stops: the middle, (half-width)²/3 + repeat²."""
    found = of_bracket(600.0, 630.0, 10.0)
    assert found.centre_um == 615.0
    assert found.u_um == pytest.approx(math.sqrt(15.0**2 / 3.0 + 10.0**2))
    reading = Reading(1, "mesh gap", FEELERS, goes_um=(590.0, 600.0), stops_um=630.0)
    assert of_reading(reading) == of_bracket(600.0, 630.0, FEELERS.repeat_um)


def test_goes_alone_lies_half_a_step_higher() -> None:
    """The thickest leaf that goes: as values, higher by half the step."""
    goes = of_reading(Reading(1, "mesh gap", FEELERS, goes_um=(600.0, 610.0)))
    values = of_reading(Reading(1, "mesh gap", FEELERS, values_um=(600.0, 610.0)))
    assert goes.centre_um - values.centre_um == pytest.approx(FEELERS.step_um / 2.0)
    assert goes.u_um == pytest.approx(values.u_um)


def test_one_sided_readings_stand_at_their_bound() -> None:
    """A bound is the centre of its row, softened by the tool's repeat."""
    at_least = of_reading(Reading(1, "mesh gap", FEELERS, at_least_um=900.0))
    at_most = of_reading(Reading(1, "mesh gap", FEELERS, at_most_um=900.0))
    assert at_least == at_most == Spread(900.0, 0.0, FEELERS.repeat_um)


def test_ten_leaves() -> None:
    """Ten leaves of 0.010 in ±0.00035 are off by 0.0035 if of one make, 0.0011 if independent.

    Source: a trade article on the build-up of feeler leaves.
    """
    job = a_job()
    shared = Lot("S", 10.0 * THOU_UM, 10, 0.35 * THOU_UM)
    apart = Lot("I", 10.0 * THOU_UM, 10, 0.35 * THOU_UM, "exact")
    unknowns = list_unknowns(job, Drawer((shared, apart)))
    halves = [
        math.sqrt(3.0 * known_of(lot, WHEEL_SIDE, 10, unknowns).own_um2) / THOU_UM
        for lot in (shared, apart)
    ]
    assert halves == pytest.approx([3.5, 1.1], abs=0.051)


@pytest.mark.parametrize("measured_thou", [105.0, 106.0])
def test_a_stack_of_ten_is_thicker_than_its_leaves(measured_thou: float) -> None:
    """Ten leaves of 0.010 in measured 0.105 to 0.106, its joints within two u of the model.

    Source: the same article: leaves account for 0.0035, joints for the rest, 0.17 to 0.28 thou
    each, which lies within the 0.3 thou that a joint may add.
    """
    joint = (measured_thou - 103.5) / 9.0
    assert 0.16 < joint < 0.3 == pytest.approx(JOINT_UM / THOU_UM)
    within = 3.5 * THOU_UM
    reading = Reading(
        1, "mesh gap", FEELERS, values_um=(100.0 * THOU_UM,), leaves=10, within_um=within
    )
    one = of_reading(replace(reading, leaves=1))
    found = of_reading(reading)
    assert found.centre_um - one.centre_um == pytest.approx(9 * JOINT_UM / 2)
    assert found.sd_um**2 - one.sd_um**2 == pytest.approx((9 * JOINT_UM) ** 2 / 12)
    joints_um = (measured_thou - 103.5) * THOU_UM
    assert abs(joints_um - 9 * JOINT_UM / 2) < 2.0 * 9 * JOINT_UM / math.sqrt(12)


@pytest.mark.parametrize("freedom", [1, 2, 5, 10, 11, 30, 200])
def test_chi_square_points(freedom: int) -> None:
    """The 99 % points of chi-square are SciPy's to 0.2 %."""
    assert chi2_99(freedom) == pytest.approx(stats.chi2.ppf(0.99, freedom), rel=2e-3)


def test_scatter_warning() -> None:
    """Repeats that scatter more than their tool is said to are flagged; ordinary ones are not."""
    tool = Tool("t", 0.0, 10.0, 1.0, 0.0, "other")
    edge = 10.0 * math.sqrt(9.210 / 2.0)  # two degrees of freedom: 99 % point 9.210
    calm = Reading(1, "mesh gap", tool, values_um=evenly(3, edge * 0.999))
    wild = Reading(1, "mesh gap", tool, values_um=evenly(3, edge * 1.001))
    assert not of_reading(calm).scattered
    assert of_reading(wild).scattered


def test_warnings_survive_leaves_and_within() -> None:
    """What is known of the repeats is kept when joints and an own error are added."""
    values = tuple(600.0 + 5.0 * one for one in range(10))
    plain = of_reading(Reading(1, "mesh gap", FEELERS, values_um=values))
    more = of_reading(Reading(1, "mesh gap", FEELERS, values_um=values, leaves=3, within_um=4.0))
    assert plain.drifting and more.drifting
    assert (more.freedom, more.repeats_u_um) == (plain.freedom, plain.repeats_u_um)
    assert more.u_um > plain.u_um


def test_the_warnings_reach_the_answer() -> None:
    """A drift is said in the agreement, by the reading's name."""
    drifts = Reading(
        1, "total clearance", FEELERS, values_um=tuple(1300.0 + 4.0 * one for one in range(10))
    )
    job = a_job(readings=(drifts, gap_reading(24.0, 25.0)))
    said = check_agreement(job, estimate_job(job, Drawer(()))).scattered
    assert said == ("total clearance: drifts, each repeat follows the one before",)


@given(
    st.lists(st.floats(-50.0, 50.0), min_size=1, max_size=12),
    st.floats(1.0, 20.0),
)
def test_pooled_spread_lies_between_the_two_it_pools(values: list[float], repeat: float) -> None:
    """The pooled spread lies between the tool's repeat and the sample's own spread."""
    found = of_repeats(tuple(values), repeat, 0.0)
    own = float(np.std(values, ddof=1)) if len(values) > 1 else repeat
    pooled = found.sd_um * math.sqrt(len(values))
    assert min(own, repeat) * (1 - 1e-9) <= pooled <= max(own, repeat) * (1 + 1e-9)
    assert found.freedom == POOLED_FREEDOM + len(values) - 1
