"""Where the rotating torque stands against its window, now and after a further turn of the nut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.crush import Crush, Turn
from solver.normal import normal_cdf
from solver.sleeve import WANDER, Belief

TURNS_DEG = (
    *(0.5 * step for step in range(1, 13)), 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0,
    16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 75.0, 90.0,
)  # fmt: skip
_MADE_DEG = np.concatenate(
    [np.arange(0.0, 6.0, 0.5), np.arange(6.0, 20.0), np.arange(20.0, 40.0, 2.5),
     np.arange(40.0, 137.0, 8.0)]
)  # fmt: skip
HAND = 0.5  # a turn is off by no more than that share of itself, however badly it is read
LAG_DEG = 0.6  # the sleeve yields in jumps [standard deviation]
_ACROSS = np.array([-0.8, -0.4, 0.0, 0.4, 0.8])  # of a rectangular: middles of five equal parts
_ENOUGH = 6.0  # standard deviations past which a chance is nothing


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the torque stands against its window."""

    under: float
    inside: float
    over: float


def standing(crush: Crush, belief: Belief) -> Standing:
    """Say where the torque stands now. crush; belief: after the last pause."""
    under, over = _against(crush, belief.torque, belief.torque_var, belief.weight)
    return Standing(under, max(0.0, 1.0 - under - over), over)


def after_made(crush: Crush, belief: Belief, made_deg: float) -> tuple[float, float]:
    """Chances of under and over once the nut has truly been turned so far.

    crush; belief: after the last pause; made_deg. Returns: (under, over).
    """
    curves, to_deg = belief.curves, belief.angle_deg + made_deg
    at, _ = curves.rise(to_deg, belief.off_deg)
    ahead, _ = curves.rise(to_deg + 1.0, belief.off_deg)
    gained = at[belief.shape] * belief.scale - belief.rise
    variance = belief.torque_var + (WANDER * gained) ** 2
    if made_deg > 0.0:
        variance = variance + (LAG_DEG * (ahead - at)[belief.shape] * belief.scale) ** 2
    return _against(crush, belief.torque + gained, variance, belief.weight)


def after_turn(crush: Crush, belief: Belief, turn_deg: float) -> Standing:
    """Chances after one turn, which the hand makes a little longer or shorter.

    crush; belief: after the last pause; turn_deg. Returns: where the torque may stand then.
    """
    off_deg = min(crush.angle_within_deg, HAND * turn_deg)
    pairs = [after_made(crush, belief, turn_deg + off_deg * part) for part in _ACROSS]
    under, over = (float(one) for one in np.mean(pairs, axis=0))
    return Standing(under, max(0.0, 1.0 - under - over), over)


def every_turn(crush: Crush, belief: Belief) -> tuple[Turn, ...]:
    """Chances after each of TURNS_DEG.

    crush; belief: after the last pause. Returns: turns, by size. Limits: between turns truly made
    half a degree (eight, for the largest) apart chances are interpolated; further on is never less
    over, nor more under.
    """
    pairs = np.array([after_made(crush, belief, made) for made in _MADE_DEG])
    under = np.minimum.accumulate(pairs[:, 0])
    over = np.maximum.accumulate(pairs[:, 1])
    found = []
    for turn_deg in TURNS_DEG:
        made = turn_deg + min(crush.angle_within_deg, HAND * turn_deg) * _ACROSS
        below = float(np.interp(made, _MADE_DEG, under).mean())
        above = float(np.interp(made, _MADE_DEG, over).mean())
        found.append(Turn(turn_deg, below, max(0.0, 1.0 - below - above), above))
    return tuple(found)


def _against(
    crush: Crush, torque: np.ndarray, variance: np.ndarray, weight: np.ndarray
) -> tuple[float, float]:
    """Chances of lying under and over the window: the tool's common error moves both its ends."""
    high = crush.high_newton_m
    deviation = np.sqrt(variance + (crush.window_u_newton_m / high) ** 2)
    low, common = crush.low_newton_m / high, crush.common_share
    near = np.flatnonzero(torque + _ENOUGH * deviation > low * (1.0 - common))  # few in the play
    torque, deviation, weight = torque[near], deviation[near], weight[near]
    shown = 1.0 + common * (_ACROSS if common > 0.0 else np.zeros(1))[:, None]
    at_least = normal_cdf((torque - low * shown) / deviation) @ weight
    over = normal_cdf((torque - shown) / deviation) @ weight
    return max(0.0, 1.0 - float(at_least.mean())), float(over.mean())
