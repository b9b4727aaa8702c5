"""Where in the plane of the two stacks a chance can be at all: bounds that hold for every plan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from solver.law import Law, Stacks


@dataclass(frozen=True, slots=True)
class Region:
    """No plan outside reaches the chance that the region was made for; all in µm."""

    wheel_um: tuple[float, float]  # true thickness of the wheel side's stack
    plain_um: tuple[float, float]
    pinch_um: tuple[float, float]  # predicted pinch
    backlash_um: tuple[float, float]  # predicted backlash, of the end that its limit holds


@dataclass(frozen=True, slots=True, eq=False)
class Peak:
    """The best that any thicknesses could do, with the errors of very few, well-known pieces."""

    stacks_um: np.ndarray  # [µm, (2,)] nominal
    chance: float


def bare(nominal_um: np.ndarray, width: int) -> Stacks:
    """Stacks without any error of their own. nominal_um [µm, (n, 2)]; width: unknowns."""
    count = len(nominal_um)
    return Stacks(nominal_um, np.zeros((count, 2, width)), np.zeros((count, 3)))


def find_peak(law: Law, like: Stacks | None = None) -> Peak:
    """The thicknesses with the highest chance, by a grid that closes in.

    law: of the job; like: one plan whose pieces' errors to count, none where there is
    no plan. Returns: the peak; a thickness below nothing may come out, which no drawer has.
    Limits: one peak (log-concave).
    """
    width = len(law.x)
    clearance, gap, ratio, share = law.quantities
    pinch_mid, lash_mid = _middle(law.pinch_um), _middle(law.backlash_um)
    travel = lash_mid / ratio - (share * pinch_mid if pinch_mid > 0 else 0.5 * pinch_mid)
    signed_w = gap - travel
    centre = np.array([law.signs[0] * signed_w, law.signs[1] * (pinch_mid + clearance - signed_w)])
    reach = 40.0 + 2.0 * math.sqrt(float(law.cov[0, 0] + law.cov[1, 1]))
    best = 0.0
    for _ in range(9):
        offsets = np.linspace(-reach, reach, 9)
        grid = np.array([(centre[0] + a, centre[1] + b) for a in offsets for b in offsets])
        chances = law.chance(bare(grid, width) if like is None else _like(grid, like))
        at = int(np.argmax(chances))
        if chances[at] > best:
            best, centre = float(chances[at]), grid[at]
        reach /= 2.2
    return Peak(centre, best)


def _like(nominal_um: np.ndarray, like: Stacks) -> Stacks:
    """Stacks of other thicknesses with the errors of one plan."""
    count = len(nominal_um)
    return Stacks(nominal_um, np.repeat(like.lean, count, 0), np.repeat(like.own_um2, count, 0))


def _middle(window: tuple[float, float]) -> float:
    low, high = window
    if math.isinf(low) or math.isinf(high):
        return 0.0 if math.isinf(low) and math.isinf(high) else (low if math.isinf(high) else high)
    return (low + high) / 2.0


def bound_region(law: Law, chance: float, most_own: Stacks) -> Region:
    """The region outside of which no plan reaches a chance.

    law; chance: 0 to 1; most_own: one plan with the largest errors that pieces can add. Returns: a
    Region. Each result alone must reach the chance, so its prediction lies within z spreads of its
    window, z the normal quantile of that chance.
    """
    z = -NormalDist().inv_cdf(min(max(chance, 1e-9), 1 - 1e-9))
    u_lash, u_pinch = _widest(law, most_own) if z > 0 else (0.0, 0.0)
    pinch_low, pinch_high = _reach(law.pinch_um, z * u_pinch)
    lash_low, lash_high = _reach(law.backlash_um, z * u_lash)
    clearance, gap, ratio, share = law.quantities
    forward = share * max(pinch_high, 0.0)  # the wheel's most travel away by pinch
    least_w = gap - lash_high / ratio + share * max(pinch_low, 0.0)
    most_w = gap - lash_low / ratio + forward
    plain_w = clearance + pinch_low - most_w, clearance + pinch_high - least_w
    return Region(
        _turned((least_w, most_w), law.signs[0]),
        _turned(plain_w, law.signs[1]),
        (pinch_low, pinch_high),
        (lash_low, lash_high),
    )


def _reach(window: tuple[float, float], margin: float) -> tuple[float, float]:
    low, high = window[0] - margin, window[1] + margin
    return max(low, -1e5), min(high, 1e5)


def _turned(window: tuple[float, float], sign: int) -> tuple[float, float]:
    ends = sorted(sign * end for end in window)
    return max(ends[0], 0.0), max(ends[1], 0.0)


def _widest(law: Law, most_own: Stacks) -> tuple[float, float]:
    """Largest standard uncertainties that a plan anywhere near the windows can have."""
    reach = 3.0
    u_lash = u_pinch = 0.0
    clearance, gap = law.quantities[:2]
    for pinch_um in law.pinch_um:
        for lash_um in law.backlash_um:
            p = np.clip(pinch_um, -2e3, 2e3)
            travel = np.clip(lash_um, 0.0, 2e3) / law.quantities[2]
            signed_w = gap - travel + law.quantities[3] * max(p, 0.0)
            nominal = np.array(
                [[law.signs[0] * signed_w, law.signs[1] * (clearance + p - signed_w)]]
            )
            var_b, var_p, _ = law.spreads(Stacks(nominal, most_own.lean, most_own.own_um2))
            u_lash = max(u_lash, float(np.sqrt(var_b[0])))
            u_pinch = max(u_pinch, float(np.sqrt(var_p[0])))
    return u_lash * (1 + 0.1 * reach), u_pinch * (1 + 0.1 * reach)
