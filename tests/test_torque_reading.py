"""What one reading of the rotating torque says."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.spread import of_repeats
from solver.torque_reading import TorqueTool, by_pull, by_weight, common_share, read_torque
from solver.torque_units import force_newton, in_torque_unit, mass_kg
from solver.units import length_um

LBF = force_newton("1 lbf")
THREE_IN, RADIUS_U = length_um("3 in", None), length_um("0.03 in", None)
WRENCH = TorqueTool("wrench", 0.03, 0.0, 0.0, 0.05, 0.1)
PULL = TorqueTool("pull", 0.0, 0.0, 0.0, 0.1 * LBF, 0.01 * LBF, THREE_IN, 0.0)


def test_torque_by_a_pull() -> None:
    """8 lbf at 3 in with 0.1 lbf and 0.03 in: 24 lbf·in ± 0.384, to every digit.

    Source: u(T)/T = sqrt((u_F/F)² + (u_r/r)²), law of propagation (GUM 5.1.2); exact.
    """
    found = by_pull(8 * LBF, 0.1 * LBF, THREE_IN, RADIUS_U)
    assert in_torque_unit(found.newton_m, "lbf.in") == pytest.approx(24.0, rel=1e-12)
    u = in_torque_unit(found.u_newton_m, "lbf.in")
    assert u == pytest.approx(24.0 * math.sqrt((0.1 / 8) ** 2 + (0.03 / 3) ** 2), rel=1e-12)
    assert f"{u:.3f}" == "0.384"


def test_a_weight_is_the_pull_that_it_hangs_by() -> None:
    """A pound of mass pulls with a pound of force, standard gravity taken."""
    hung = by_weight(mass_kg("8 lb"), mass_kg("0.1 lb"), THREE_IN, RADIUS_U)
    pulled = by_pull(8 * LBF, 0.1 * LBF, THREE_IN, RADIUS_U)
    assert hung.newton_m == pytest.approx(pulled.newton_m, rel=1e-12)
    assert hung.u_newton_m == pytest.approx(pulled.u_newton_m, rel=1e-12)
    assert by_weight(2.5, 0.0, 1e5, 0.0).newton_m == pytest.approx(2.5 * 9.80665 * 0.1)


def test_a_job_splits_what_the_pull_adds_up() -> None:
    """A reading's own part and what is common to all are together the law of propagation.

    The radius is known within a rectangular of 0.03 in times the root of three: u is 0.03 in.
    """
    tool = replace(PULL, radius_within_um=RADIUS_U * math.sqrt(3.0))
    own = read_torque(tool, (8 * LBF,))
    common = common_share(tool, own.newton_m) * own.newton_m / math.sqrt(3.0)
    whole = by_pull(8 * LBF, 0.1 * LBF, THREE_IN, RADIUS_U)
    assert math.hypot(own.u_newton_m, common) == pytest.approx(whole.u_newton_m, rel=1e-12)


AMOUNTS = st.lists(st.floats(0.1, 50.0), min_size=1, max_size=12).map(tuple)


@given(AMOUNTS, st.floats(0.01, 2.0), st.floats(0.01, 2.0))
def test_repeats_are_pooled_as_lengths_are(
    amounts: tuple[float, ...], repeat: float, step: float
) -> None:
    """Mean and standard uncertainty are those of the lengths' own code."""
    tool = replace(WRENCH, repeat_amount=repeat, step_amount=step)
    found, other = read_torque(tool, amounts), of_repeats(amounts, repeat, step)
    assert found.newton_m == pytest.approx(other.centre_um, rel=1e-12)
    assert found.u_newton_m == pytest.approx(other.u_um, rel=1e-9)


@given(AMOUNTS)
def test_a_pull_is_a_wrench_of_its_lever(amounts: tuple[float, ...]) -> None:
    """Forces at a radius, or the torques that they make: one answer."""
    lever = PULL.lever
    wrench = replace(
        WRENCH, repeat_amount=PULL.repeat_amount * lever, step_amount=PULL.step_amount * lever
    )
    found = read_torque(PULL, amounts)
    other = read_torque(wrench, tuple(one * lever for one in amounts))
    assert found.newton_m == pytest.approx(other.newton_m, rel=1e-12)
    assert found.u_newton_m == pytest.approx(other.u_newton_m, rel=1e-9)


def test_one_reading_by_hand() -> None:
    """Three repeats, worked out here: s² = (10·0.05² + 0.02) / 12, over three of them."""
    found = read_torque(replace(WRENCH, step_amount=0.01), (2.0, 2.1, 2.2))
    assert found.newton_m == pytest.approx(2.1)
    assert found.u_newton_m == pytest.approx(math.sqrt((10 * 0.05**2 + 0.02) / 12 / 3))
    coarse = read_torque(replace(WRENCH, step_amount=1.0), (2.0, 2.1, 2.2))
    assert coarse.u_newton_m == pytest.approx(1.0 / math.sqrt(12.0))


def test_a_share_grows_with_the_reading() -> None:
    """'3 %' of two is twice that of one; the larger of share and amount holds."""
    tool = TorqueTool("wrench", 0.0, 0.0, 0.03, 0.0, 1e-6)
    one, two = read_torque(tool, (1.0,)), read_torque(tool, (2.0,))
    assert one.u_newton_m == pytest.approx(0.03)
    assert two.u_newton_m == pytest.approx(2.0 * one.u_newton_m)


def test_repeats_that_scatter_more_than_their_tool_are_marked() -> None:
    """A tenth apart with a hundredth said is marked; within a division it is not."""
    fine = replace(WRENCH, repeat_amount=0.01, step_amount=0.01)
    assert read_torque(fine, (2.0, 2.1, 2.0)).scattered
    assert not read_torque(fine, (2.0, 2.01, 2.0)).scattered
    assert not read_torque(fine, (2.0,)).scattered
    assert not read_torque(replace(fine, step_amount=0.1), (2.0, 2.1, 2.0)).scattered


def test_what_is_common_to_all_readings() -> None:
    """Tool and radius add in squares; an amount counts as its share of the window's low end."""
    assert common_share(WRENCH, 2.0) == pytest.approx(0.03)
    amount = replace(WRENCH, within_share=0.0, within_amount=0.1)
    assert common_share(amount, 2.0) == pytest.approx(0.05)
    pull = replace(PULL, within_share=0.03, radius_within_um=0.04 * THREE_IN)
    assert common_share(pull, 2.0) == pytest.approx(0.05)
    balance = replace(PULL, within_amount=0.2 * LBF)
    assert common_share(balance, balance.lever * 10 * LBF) == pytest.approx(0.02)
