"""How far to turn the nut: against brute force, against outside figures, and what always holds."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from solver import sleeve
from solver.crush import Crush, Pause, Tightening
from solver.palmgren import LINE_CONTACT, load_ratio, nut_advance_um
from solver.sleeve import believe, read, stands_of
from solver.tighten import MOST_SHARE, tighten
from solver.turning import TURNS_DEG, standing
from tests.bench.spacers import WORLDS, advised, by_steps, share
from tests.jobs import repeatable

LOW, HIGH = 2.0, 2.6  # N·m


def a_crush(*read: tuple[float, float], turned: bool = True, **changes: object) -> Crush:
    """A crush spacer with these (angle, torque), each good to 2 %. turned: the last one was."""
    pauses = tuple(
        Pause(at, angle, torque, 0.02 * torque, turned or at < len(read))
        for at, (angle, torque) in enumerate(read, 1)
    )
    return replace(Crush(LOW, HIGH, 0.0, "new", pauses), **changes)


FLAT = ((0.0, 0.40), (15.0, 0.41), (30.0, 0.40))
RISING = (*FLAT, (45.0, 0.55), (60.0, 0.90), (75.0, 1.27))  # about 0.024 N·m a degree
INSIDE = (*RISING, (100.0, 1.90), (112.0, 2.21))


@st.composite
def crushes(draw: st.DrawFn) -> Crush:
    """Every legal spacer: any window, any readings at any angles, some of them equal."""
    low = draw(st.floats(0.01, 50.0))
    high = low * draw(st.floats(1.01, 4.0))
    angle, pauses = draw(st.floats(-500.0, 500.0)), []
    for number in range(1, draw(st.integers(1, 6)) + 1):
        torque, u = draw(st.floats(0.0, 2.5)) * high, draw(st.floats(0.0, 0.2)) * high
        nut = draw(st.none() | st.floats(0.0, 500.0))
        pauses.append(Pause(number, angle, torque, u, draw(st.booleans()), nut))
        angle += draw(st.just(0.0) | st.floats(0.0, 120.0))
    return Crush(
        low, high, draw(st.just(0.0) | st.floats(0.0, 0.2)) * low, "used", tuple(pauses),
        draw(st.floats(0.0, 10.0)), draw(st.just(0.0) | st.floats(0.0, 0.1)),
        draw(st.none() | st.floats(0.0, 1.0)), draw(st.floats(0.0, 0.5)),
        ceiling_newton_m=draw(st.none() | st.floats(50.0, 500.0)),
        risk=draw(st.floats(0.0005, 0.2)),
    )  # fmt: skip


# Outside figures.


def test_palmgren() -> None:
    """1000 N on 10 mm gives 3.0502 µm, 5000 N on 15 mm 9.3871: brought to one length, five times.

    Source: Palmgren's formula for line contact, 3.84e-5 Q^0.9 / L^0.8 mm, recomputed.
    """
    crush = (9.3871 * 15.0**0.8) / (3.0502 * 10.0**0.8)
    assert float(load_ratio(crush)) == pytest.approx(5.0, rel=5e-5)


def test_twice_the_crush() -> None:
    """Doubling the pinch multiplies the load by 2.160. Source: own algebra on the formula."""
    assert float(load_ratio(2.0)) == pytest.approx(2.160, abs=5e-4)


@pytest.mark.parametrize(
    ("pitch_um", "wanted_um"),
    [
        (25400.0 / 16.0, 4.410),
        (25400.0 / 14.0, 5.040),
        (25400.0 / 12.0, 5.880),
        (1500.0, 4.167),
        (2000.0, 5.556),
    ],
)
def test_a_degree_of_the_nut(pitch_um: float, wanted_um: float) -> None:
    """Pitch over 360. Source: ASME B1.1 and ISO 261 threads, exact."""
    assert nut_advance_um(pitch_um, 1.0) == pytest.approx(wanted_um, abs=5e-4)


def test_the_rise_is_line_contact() -> None:
    """Twice as far past contact the middle curves rise 2.160 times as high, torque linear in load.

    Source: Palmgren as above; starting torque linear in the load, NSK E1102, p. 65.
    """
    belief = believe(a_crush(*FLAT), 0.0, 30.0)
    curves = belief.curves
    plain = (curves.exponent == LINE_CONTACT) & (curves.elastic_deg == 0.0)
    at = np.flatnonzero(plain)[0]
    contact = float(curves.contact_deg[at])
    one, two = (float(curves.rise(contact + past, 0.0)[0][at]) for past in (20.0, 40.0))
    assert two / one == pytest.approx(2.160, abs=5e-4)


# Against brute force.

DRAWS = 3_000_000


def by_sampling(crush: Crush, turn_deg: float) -> tuple[float, float, np.ndarray]:
    """Draw spacers from what is held beforehand, weigh them by their readings, turn their nuts.

    Written without the filter: nothing is a normal law here that is not one. Returns: torque now
    with its deviation [N·m], chances of (under, inside, over) after the turn.
    """
    rng = np.random.default_rng(7)
    angles = np.array([pause.angle_deg for pause in crush.pauses])
    near_deg, far_deg = angles[0] - 113.0, angles[0]
    before = (far_deg - near_deg) / (far_deg - near_deg + sleeve.PLAY_DEG)
    contact = np.where(
        rng.random(DRAWS) < before,
        rng.uniform(near_deg, far_deg, DRAWS),
        far_deg + rng.exponential(sleeve.PLAY_DEG, DRAWS),
    )
    exponent = rng.choice(sleeve.EXPONENTS, DRAWS, p=sleeve.EXPONENT_CHANCES)
    elastic, follows, chances = np.array(sleeve.ELASTIC).T
    kind = rng.choice(len(chances), DRAWS, p=chances)
    reach = np.exp(rng.normal(math.log(sleeve.REACH_MEDIAN_DEG), sleeve.REACH_SPREAD, DRAWS))
    level = sleeve.DRAG + sleeve.DRAG_SPREAD * rng.normal(size=DRAWS)
    log_weight = np.where(level > 0.0, 0.0, -np.inf)

    def rise(angle_deg: np.ndarray | float) -> np.ndarray:
        past = np.maximum(angle_deg - contact, 0.0)
        held = np.minimum(past, elastic[kind])
        return ((follows[kind] * held + past - held) / reach) ** exponent

    plain = torque = np.zeros(DRAWS)
    for at, pause in enumerate(crush.pauses):
        ahead = rise(pause.angle_deg)
        if at:
            level = level + sleeve.WANDER * (ahead - plain) * rng.normal(size=DRAWS)
        plain = ahead
        off = rng.uniform(-1.0, 1.0, DRAWS) * crush.angle_within_deg
        torque = level + rise(pause.angle_deg + off + sleeve.LAG_DEG * rng.normal(size=DRAWS))
        shows = torque if pause.turned else torque / (1.0 - rng.uniform(0.0, 0.3, DRAWS))
        miss = (pause.torque_newton_m / crush.high_newton_m - shows) * crush.high_newton_m
        log_weight = log_weight - 0.5 * (miss / pause.u_newton_m) ** 2
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    assert 1.0 / (weight**2).sum() > 4000.0  # enough of them count
    made = turn_deg + rng.uniform(-1.0, 1.0, DRAWS) * min(crush.angle_within_deg, turn_deg / 2.0)
    gained = rise(crush.pauses[-1].angle_deg + made) - plain
    then = torque + gained + sleeve.WANDER * gained * rng.normal(size=DRAWS)
    under = float(weight @ (then < crush.low_newton_m / crush.high_newton_m))
    over = float(weight @ (then > 1.0))
    mean = float(weight @ torque)
    deviation = math.sqrt(float(weight @ (torque - mean) ** 2))
    unit = crush.high_newton_m
    return mean * unit, deviation * unit, np.array([under, 1.0 - under - over, over])


ROUGH = tuple(
    Pause(at, angle, torque, 0.2, True)
    for at, (angle, torque) in enumerate(((0.0, 0.5), (30.0, 0.8), (50.0, 1.3)), 1)
)


@pytest.mark.parametrize("turn_deg", [10.0, 30.0])
@pytest.mark.parametrize("forgot", [False, True])
def test_against_drawing_them(turn_deg: float, forgot: bool) -> None:
    """The filter on its grid agrees with three million spacers drawn and weighed.

    forgot: the bearings were not turned before the last reading.
    """
    last = replace(ROUGH[-1], turned=not forgot, torque_newton_m=1.3 * (1.15 if forgot else 1.0))
    crush = Crush(LOW, HIGH, 0.0, "new", (*ROUGH[:2], last))
    torque, u, chances = by_sampling(crush, turn_deg)
    found = tighten(crush)
    turn = next(one for one in found.turns if one.turn_deg == turn_deg)
    assert found.torque_newton_m == pytest.approx(torque, abs=0.03)
    assert found.u_newton_m == pytest.approx(u, rel=0.1)
    assert (turn.under, turn.inside, turn.over) == pytest.approx(tuple(chances), abs=0.025)


# What always holds.


@repeatable(60)
@given(crushes())
@example(a_crush((0.0, 0.0)))
@example(a_crush((0.0, 0.0), (0.0, 0.0), angle_within_deg=0.0))
@example(a_crush((10.0, 9.0)))
@example(a_crush((10.0, 9.0), turned=False))
@example(a_crush(*INSIDE, low_newton_m=0.01, high_newton_m=100.0))
def test_whatever_was_read(crush: Crush) -> None:
    """Chances are chances, more turn is never less over, and the advice keeps to the budget."""
    found = tighten(crush)
    assert found.state in ("tighten", "stop", "over", "measure")
    assert [turn.turn_deg for turn in found.turns] == list(TURNS_DEG)
    parts = np.array([(one.under, one.inside, one.over) for one in found.turns])
    assert np.all(parts >= 0.0) and parts.sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    assert np.all(np.diff(parts[:, 2]) >= 0.0) and np.all(np.diff(parts[:, 0]) <= 0.0)
    assert parts[0, 2] >= found.chance_over - 1e-12
    assert (found.advice is not None) == (found.state == "tighten")
    if found.advice is not None:
        new = found.advice.over - found.chance_over
        left = max(crush.risk - found.spent, 0.0)
        assert new <= min(left, MOST_SHARE * crush.risk)
    assert found.spent >= 0.0 and found.u_newton_m > 0.0 and found.reasons
    assert found.curve_newton_m.shape == (len(found.angles_deg), 3)
    assert np.all(np.isfinite(found.curve_newton_m)) and np.all(np.diff(found.curve_newton_m) >= 0)
    assert np.all(np.diff(found.angles_deg) > 0.0)


def assert_alike(one: Crush, other: Crush) -> None:
    """The same state, turn and chances."""
    a, b = tighten(one), tighten(other)
    assert (a.state, a.advice and a.advice.turn_deg) == (b.state, b.advice and b.advice.turn_deg)
    assert chances_of(a) == pytest.approx(chances_of(b), abs=1e-6)


def chances_of(found: Tightening) -> list[float]:
    """Of every turn, in a row."""
    return [part for one in found.turns for part in (one.under, one.inside, one.over)]


@repeatable(15)
@given(crushes(), st.sampled_from([0.01, 0.1129848, 1000.0]))
def test_the_unit_does_not_matter(crush: Crush, factor: float) -> None:
    """All torques so many times as large: the same turns. factor: that many."""
    scaled = replace(
        crush,
        low_newton_m=crush.low_newton_m * factor,
        high_newton_m=crush.high_newton_m * factor,
        window_u_newton_m=crush.window_u_newton_m * factor,
        drag_newton_m=None if crush.drag_newton_m is None else crush.drag_newton_m * factor,
        drag_u_newton_m=crush.drag_u_newton_m * factor,
        pauses=tuple(
            replace(
                one,
                torque_newton_m=one.torque_newton_m * factor,
                u_newton_m=one.u_newton_m * factor,
            )
            for one in crush.pauses
        ),
    )
    assert_alike(scaled, crush)


@repeatable(10)
@given(crushes(), st.floats(-400.0, 400.0), st.randoms(use_true_random=False))
def test_where_counting_began_does_not_matter(crush: Crush, start: float, luck: object) -> None:
    """Nor does the order in which the pauses are written. start: degrees further on."""
    moved = [replace(one, angle_deg=one.angle_deg + start) for one in crush.pauses]
    distinct = len({one.angle_deg for one in moved}) == len({p.angle_deg for p in crush.pauses})
    luck.shuffle(moved)  # type: ignore[attr-defined]
    if distinct:  # adding may round two angles into one
        assert_alike(replace(crush, pauses=tuple(moved)), crush)


@pytest.mark.parametrize("pauses", [FLAT[:1], FLAT, RISING])
def test_less_risk_less_turn(pauses: tuple[tuple[float, float], ...]) -> None:
    """The turn grows with the risk that is wanted. pauses: what was read."""
    advised_deg = []
    for risk in (0.001, 0.01, 0.1):
        advice = tighten(a_crush(*pauses, risk=risk)).advice
        advised_deg.append(advice.turn_deg if advice else 0.0)
    assert advised_deg == sorted(advised_deg) and advised_deg[0] < advised_deg[-1]


# What is said when.


def test_nothing_read() -> None:
    """Without a pause: read first, and no number that is none."""
    found = tighten(a_crush())
    assert (found.state, found.turns, found.advice) == ("measure", (), None)
    assert math.isfinite(found.torque_newton_m) and "No torque has been read" in found.reasons[0]


@pytest.mark.parametrize(
    ("crush", "state", "why"),
    [
        (a_crush(*FLAT), "tighten", "play is probably not out"),
        (a_crush(*RISING), "tighten", "is the most that the risk left"),
        (a_crush(*INSIDE), "stop", "inside its window"),
        (a_crush(*INSIDE, turned=False), "measure", "not turned before the last reading"),
        (a_crush(*FLAT, (45.0, 0.45), turned=False), "tighten", "turn them each time"),
        (a_crush(*RISING, (130.0, 3.3)), "over", "above its window"),
        (a_crush(*RISING, (105.0, 2.55)), "measure", "may be above its window already"),
        (a_crush(*INSIDE[:-1], (112.0, 1.2)), "measure", "far from what the others lead to"),
        (a_crush(*RISING, (75.0, 1.7)), "measure", "disagree"),
    ],
    ids=["play", "rising", "inside", "forgot near", "forgot far", "over", "edge", "odd", "apart"],
)
def test_what_is_said(crush: Crush, state: str, why: str) -> None:
    """Each state has its reason. crush; state, why: what is to be said."""
    found = tighten(crush)
    assert found.state == state
    assert any(why in reason for reason in found.reasons)


def test_the_ceiling() -> None:
    """Where the nut has taken what it may it is turned no further, but may well be done."""
    low, done = a_crush(*RISING), a_crush(*INSIDE)
    for crush, state in ((low, "measure"), (done, "stop")):
        last = replace(crush.pauses[-1], nut_newton_m=400.0)
        taken = replace(crush, pauses=(*crush.pauses[:-1], last), ceiling_newton_m=400.0)
        assert tighten(taken).state == state
        near = tighten(replace(taken, ceiling_newton_m=420.0))
        assert near.state != "measure" and any("close to the most" in one for one in near.reasons)


def test_at_the_upper_end_reading_comes_to_an_end() -> None:
    """Four readings at the window's very end settle it, by what is likelier."""
    for torque, state in ((2.58, "stop"), (2.63, "over")):
        found = tighten(a_crush(*INSIDE, *((118.0, torque),) * 4))
        assert found.state == state


def test_a_narrow_window_is_reached_by_torque() -> None:
    """A steep spacer near its window is crept; a flat one is turned."""
    steep = a_crush((0.0, 0.4), (10.0, 0.4), (14.0, 0.75), (18.0, 1.3), (21.0, 1.7))
    found = tighten(steep)
    assert found.state == "tighten" and found.by_torque
    assert not tighten(a_crush(*RISING)).by_torque


def test_play_beyond_what_was_turned() -> None:
    """However long nothing happens, the play may go on: contact is not pressed to the last angle.

    Of the spacers with more play left at least a quarter have more than 100 degrees of it.
    """
    crush = a_crush(*((15.0 * at, 0.4) for at in range(20)))
    stands = stands_of(crush)
    belief = believe(crush, stands[0].angle_deg, stands[-1].angle_deg)
    for at, stand in enumerate(stands):
        belief = read(belief, stand, first=not at)
    contact, weight = belief.curves.contact_deg[belief.shape], belief.weight
    left = float(weight @ (contact > 285.0))
    far = float(weight @ (contact > 385.0))
    assert left > 0.7 and 0.25 < far / left < 0.45
    assert standing(crush, belief).under > 0.9999


def test_the_budget_is_spent_once() -> None:
    """A daring turn has used it up: no further one is advised, though all went well."""
    careful = tighten(a_crush(*RISING))
    daring = tighten(a_crush((0.0, 0.4), (75.0, 1.27)))
    assert careful.spent < 0.01 < daring.spent
    assert daring.state == "measure" and daring.advice is None
    assert any("used up the risk" in one for one in daring.reasons)
    more = tighten(replace(a_crush((0.0, 0.4), (75.0, 1.27)), risk=0.2))
    assert more.advice is not None and more.advice.over - more.chance_over <= 0.2 - more.spent


def test_the_tools_common_error_stays() -> None:
    """Reading often does not make the tool right: its common error stays in u and in the chance."""
    often = (*INSIDE, *((112.0, 2.05),) * 6)
    exact, common = tighten(a_crush(*often)), tighten(a_crush(*often, common_share=0.06))
    assert common.u_newton_m > 2.05 * 0.06 / 3.0**0.5 * 0.99
    assert exact.chance_in > 0.95 > common.chance_in


# Held to simulation.

SPACERS = 50


def test_fifty_spacers() -> None:
    """Followed to the end: at least 49 inside, none over, pauses at most a third of 5° at a time.

    Source: `tests/bench/spacers.py`, which draws the truth without the program.
    """
    own = [advised(number, 3, WORLDS[0]) for number in range(SPACERS)]
    careful = [by_steps(number, 3, WORLDS[0], 5.0) for number in range(SPACERS)]
    assert share(own, "in") >= 98.0 and share(own, "over") == 0.0
    readings = partial(sum, start=0)
    assert readings(one.readings for one in own) <= readings(one.stops for one in careful) / 3.0
