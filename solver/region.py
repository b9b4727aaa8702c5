"""Where in the space of the stacks a chance can be at all: bounds that hold for every plan."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from solver.law import BACKLASH, PINCH, Law, Stacks, covariances
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE
from solver.pieces import PINION_RATIO

PASSES = 3  # over the sums: what one seat leaves the others
FURTHEST_UM = 1e5  # where there is no limit
MOST_ON_A_GRID = 2  # seats; where there are more the peak is climbed

Window = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Region:
    """No plan outside reaches the chance that the region was made for; all in µm."""

    seats_um: tuple[Window, ...]  # true thickness of each seat's stack
    results_um: tuple[Window, ...]  # predicted results, of a backlash the end that its limit holds


@dataclass(frozen=True, slots=True, eq=False)
class Peak:
    """The best that any thicknesses could do, with the errors of very few, well-known pieces."""

    stacks_um: np.ndarray  # [µm, (s,)] nominal
    chance: float


def bare(nominal_um: np.ndarray, width: int) -> Stacks:
    """Stacks without any error of their own. nominal_um [µm, (n, s)]; width: unknowns."""
    count, seats = nominal_um.shape
    return Stacks(
        nominal_um, np.zeros((count, seats, width)), np.zeros((count, covariances(seats)))
    )


def aimed(law: Law, results_um: dict[str, float]) -> np.ndarray:
    """The stacks whose predicted results are the wanted ones.

    law; results_um: of every result [µm]. Returns: nominal stacks [µm, (s,)], maybe below nothing.
    """
    axle, x = law.axle, law.x
    found = np.zeros(axle.seats)
    closed = 0.0
    wanted = {name: one for name, one in axle.sums.items() if name in results_um}
    if wanted:
        by_stack = np.array([one.by_stack for one in wanted.values()])
        empty = [one.along @ x + one.constant for one in wanted.values()]
        gap = np.array([results_um[name] for name in wanted]) - np.array(empty)
        found = _thicknesses(by_stack, gap)
    if axle.head >= 0 and axle.carrier:
        closed = _closed_um(law, found[axle.head])
    if axle.carrier:
        squeeze = results_um[PINCH]
        travel = (results_um[BACKLASH] + closed) / x[RATIO]
        signed_w = x[GAP] - travel + (x[SHARE] * squeeze if squeeze > 0 else 0.5 * squeeze)
        found[0] = axle.signs[0] * signed_w
        found[1] = axle.signs[1] * (squeeze + x[CLEARANCE] - signed_w)
    return found


def _thicknesses(by_stack: np.ndarray, gap_um: np.ndarray) -> np.ndarray:
    """Stacks that come closest to closing gaps: least squares, then without those below nothing.

    by_stack [(R, s)]; gap_um [µm, (R,)]. Returns [µm, (s,)], of least length where many do.
    """
    found = np.linalg.pinv(by_stack) @ gap_um
    free = (found >= 0.0) & by_stack.any(axis=0)
    again = np.zeros(len(found))
    again[free] = np.linalg.pinv(by_stack[:, free]) @ gap_um
    # a stack below nothing stays: it says that no plan can do it
    worse = (
        np.linalg.norm(by_stack @ again - gap_um) > np.linalg.norm(by_stack @ found - gap_um) + 1e-6
    )
    return found if worse else again


def _closed_um(law: Law, head_um: float) -> float:
    """By how much a stack at the pinion's head closes the backlash."""
    axle, x = law.axle, law.x
    then = axle.then_um + (0.0 if axle.then_lean is None else float(axle.then_lean @ x))
    return float(x[axle.places[PINION_RATIO]] * axle.signs[axle.head] * (head_um - then))


def find_peak(law: Law, like: Stacks | None = None) -> Peak:
    """The thicknesses with the highest chance, by a grid that closes in.

    law: of the job; like: one plan whose pieces' errors to count, none where there is
    no plan. Returns: the peak; a thickness below nothing may come out, which no drawer has.
    Limits: one peak (log-concave); with more than two seats a climb along and across the axes.
    """
    axle = law.axle
    centre = aimed(law, {one: _middle(law.window(one)) for one in axle.results})
    spread = float(np.trace(law.cov[:2, :2])) if axle.carrier else float(np.max(np.diag(law.cov)))
    reach = 40.0 + 2.0 * math.sqrt(spread)
    best = 0.0
    small = axle.seats <= MOST_ON_A_GRID
    for _ in range(9 if small else 24):
        offsets = np.linspace(-reach, reach, 9)
        if small:
            moves = np.array(list(itertools.product(offsets, repeat=axle.seats)))
        else:
            moves = reach * _star(axle.seats)
        grid = centre + moves
        chances = law.chance(bare(grid, len(law.x)) if like is None else _like(grid, like))
        at = int(np.argmax(chances))
        if chances[at] > best:
            best, centre = float(chances[at]), grid[at]
        reach /= 2.2 if small else 1.4
    return Peak(centre, best)


def _star(seats: int) -> np.ndarray:
    """Moves along every axis and across every two of them, and none at all [(m, s)]."""
    rows = [np.zeros(seats)]
    for one, two in itertools.combinations(range(seats), 2):
        for signs in itertools.product((-1.0, 1.0), repeat=2):
            rows.append(np.zeros(seats))
            rows[-1][[one, two]] = signs
    return np.array([*rows, *np.eye(seats), *-np.eye(seats)])


def _like(nominal_um: np.ndarray, like: Stacks) -> Stacks:
    """Stacks of other thicknesses with the errors of one plan."""
    count = len(nominal_um)
    return Stacks(nominal_um, np.repeat(like.lean, count, 0), np.repeat(like.own_um2, count, 0))


def _middle(window: Window) -> float:
    low, high = window
    if math.isinf(low) or math.isinf(high):
        return 0.0 if math.isinf(low) and math.isinf(high) else (low if math.isinf(high) else high)
    return (low + high) / 2.0


def bound_region(
    law: Law, chance: float, most_own: Stacks, most_um: np.ndarray | None = None
) -> Region:
    """The region outside of which no plan reaches a chance.

    law; chance: 0 to 1; most_own: one plan with the largest errors that pieces can add; most_um:
    the thickest that each seat can be [µm, (s,)], where that is known. Returns: a Region. Each
    result alone must reach the chance, so its prediction lies within z spreads of its window, z the
    normal quantile of that chance.
    """
    z = -NormalDist().inv_cdf(min(max(chance, 1e-9), 1 - 1e-9))
    axle, x = law.axle, law.x
    wide = _widest(law, most_own) if z > 0 else [0.0] * len(axle.results)
    results = {
        name: _reach(law.window(name), z * u) for name, u in zip(axle.results, wide, strict=True)
    }
    thickest = np.full(axle.seats, FURTHEST_UM) if most_um is None else most_um
    seats: list[Window] = [(0.0, float(most)) for most in thickest]
    for _ in range(PASSES):
        for name, one in axle.sums.items():
            if name in results:
                empty = float(one.along @ x + one.constant)
                low, high = results[name]
                _narrow(seats, one.by_stack, (low - empty, high - empty))
    closed = (0.0, 0.0)
    if axle.head >= 0 and axle.carrier:
        ends = sorted(_closed_um(law, end) for end in seats[axle.head])
        closed = (ends[0], ends[1])
    if axle.carrier:
        seats[0], seats[1] = _sides(law, results, closed)
    return Region(tuple(seats), tuple(results[name] for name in axle.results))


def _narrow(seats: list[Window], by_stack: np.ndarray, window: Window) -> None:
    """Narrow the windows of the seats in a sum to what the others leave them; in place."""
    for at in np.flatnonzero(by_stack):
        others = [
            tuple(sorted(by_stack[other] * end for end in seats[other]))
            for other in np.flatnonzero(by_stack)
            if other != at
        ]
        low = window[0] - sum(one[1] for one in others)
        high = window[1] - sum(one[0] for one in others)
        ends = sorted((low / by_stack[at], high / by_stack[at]))
        low, high = max(ends[0], seats[at][0]), min(ends[1], seats[at][1])
        seats[at] = (low, max(high, low))


def _sides(law: Law, results: dict[str, Window], closed: Window) -> tuple[Window, Window]:
    """Windows of the carrier's two seats. closed: what the pinion's head may close of backlash."""
    (pinch_low, pinch_high), (lash_low, lash_high) = results[PINCH], results[BACKLASH]
    clearance, gap, ratio, share = law.x[:4]
    forward = share * max(pinch_high, 0.0)  # the wheel's most travel away by pinch
    least_w = gap - (lash_high + closed[1]) / ratio + share * max(pinch_low, 0.0)
    most_w = gap - (lash_low + closed[0]) / ratio + forward
    plain_w = clearance + pinch_low - most_w, clearance + pinch_high - least_w
    return _turned((least_w, most_w), law.axle.signs[0]), _turned(plain_w, law.axle.signs[1])


def _reach(window: Window, margin: float) -> Window:
    low, high = window[0] - margin, window[1] + margin
    return max(low, -FURTHEST_UM), min(high, FURTHEST_UM)


def _turned(window: Window, sign: int) -> Window:
    ends = sorted(sign * end for end in window)
    return max(ends[0], 0.0), max(ends[1], 0.0)


def _widest(law: Law, most_own: Stacks) -> list[float]:
    """Largest standard uncertainties that a plan anywhere near the windows can have."""
    reach = 3.0
    names = law.axle.results
    least = {name: 0.0 if name == BACKLASH else -2e3 for name in names}
    corners = [
        tuple(float(np.clip(end, least[name], 2e3)) for end in law.window(name)) for name in names
    ]
    nominal = np.array(
        [aimed(law, dict(zip(names, ends, strict=True))) for ends in itertools.product(*corners)]
    )
    spreads = law.spreads(_like(nominal, most_own))
    return [float(np.sqrt(one.max())) * (1 + 0.1 * reach) for one in spreads]
