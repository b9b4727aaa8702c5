"""What the pauses say of a crush spacer: rotating torque over the angle of its nut.

    torque = drag + rise,   rise = (upper end of the window) * ((angle - contact) / reach)^exponent

Contact is where the play is out; reach is the degrees from there to a rise as high as the upper
end of the window. Both, and the exponent, lie on a grid: a cell is one curve. In each cell the
drag follows a normal law that each pause moves (a Kalman filter of one number). Between pauses it
may wander by a share of the rise: the model's own error. Torques in here are parts of the
window's upper end, so no unit and no size of axle matters.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from solver.crush import Crush, Pause
from solver.normal import normal_cdf
from solver.palmgren import LINE_CONTACT, load_ratio

# Beforehand: common practice, no source. Wide on purpose, and with soft edges.
EXPONENTS = (0.72, 0.9, LINE_CONTACT, 1.4, 1.85)  # oil film to housings that stiffen: 0.75 to 1.8
EXPONENT_CHANCES = (0.15, 0.25, 0.3, 0.2, 0.1)
# Where the play is out before the sleeve yields the bearings follow the nut in part: for so many
# degrees, by such a share, with such a chance.
ELASTIC = ((0.0, 1.0, 0.7), (7.0, 0.45, 0.15), (20.0, 0.45, 0.15))
REACH_MEDIAN_DEG, REACH_SPREAD = 75.0, 0.7  # log-normal: two of three within 37 to 151 degrees
REACH_DEG = np.geomspace(9.0, 560.0, 30)
PLAY_DEG = 100.0  # mean play left at the first pause; none left is as likely as can be
MOST_CONTACTS = 240  # a nut turned twice round is still told to 4 degrees, others to 3
DRAG, DRAG_SPREAD = 0.3, 0.3  # where it was not measured; never below 0

WANDER = 0.1  # model's own error: this share of the rise between two pauses
LAG_DEG = 1.0  # a sleeve that yields in jumps lags behind the nut [standard deviation]
SETTLES = 0.3  # the most by which torque falls while rollers settle
LEAST_U = 0.004  # no reading is taken for better than that
_LEAST_VARIANCE = 1e-8
_LOST = 1e-5  # chance that may be lost with the cells that no longer count, at a pause
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(3)
_WEIGHTS = _WEIGHTS / 2.0


@dataclass(frozen=True, slots=True)
class Stand:
    """All that was read at one angle of the nut; torques as parts of the window's upper end."""

    angle_deg: float
    torque: float  # of the readings with bearings turned
    u: float  # infinite where there is none
    others: tuple[tuple[float, float], ...]  # torque and u of each without: high by who knows
    turned: int  # how many with bearings turned
    odd: bool  # those disagree among themselves


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Shapes of the rise; a curve is one of these stretched to a reach. All [(shapes,)]."""

    contact_deg: np.ndarray
    exponent: np.ndarray
    elastic_deg: np.ndarray
    share: np.ndarray  # of the nut that the bearings follow within it

    def rise(self, angle_deg: float, off_deg: float) -> tuple[np.ndarray, np.ndarray]:
        """Mean and deviation of the rise at a reach of one degree, the angle off by up to that."""
        past = np.maximum(angle_deg + off_deg * _NODES[:, None] - self.contact_deg, 0.0)
        later = np.maximum(past - self.elastic_deg, 0.0)
        rises = load_ratio(self.share * np.minimum(past, self.elastic_deg) + later, self.exponent)
        mean = _WEIGHTS @ rises
        return mean, np.sqrt(np.maximum(_WEIGHTS @ rises**2 - mean**2, 0.0))


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is held of the spacer after some pauses: a normal law of the torque in each cell."""

    curves: Curves
    shape: np.ndarray  # which of the curves [(cells,)]
    reach_deg: np.ndarray
    scale: np.ndarray  # reach ^ -exponent
    log_weight: np.ndarray
    level: np.ndarray  # drag, as it has wandered
    level_var: np.ndarray
    rise: np.ndarray  # at the present angle
    torque: np.ndarray  # there, bearings settled
    torque_var: np.ndarray
    angle_deg: float
    off_deg: float  # an angle, sleeve's lag included, is off by no more [rectangular]
    surprise: float = 1.0  # chance of a turned reading at least as far off as the last was

    @property
    def weight(self) -> np.ndarray:
        """Chance of each cell; they sum to 1."""
        raw = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(raw / raw.sum())

    def rise_at(self, angle_deg: float) -> tuple[np.ndarray, np.ndarray]:
        """Rise of every cell at an angle, and its deviation as the angle may be off."""
        mean, deviation = self.curves.rise(angle_deg, self.off_deg)
        return mean[self.shape] * self.scale, deviation[self.shape] * self.scale

    def only(self, cells: np.ndarray) -> Belief:
        """The same with some of its cells. cells: which, in any order, repeats allowed."""
        return replace(self, **{name: getattr(self, name)[cells] for name in _BY_CELL})


_BY_CELL = (
    "shape", "reach_deg", "scale", "log_weight", "level", "level_var", "rise", "torque",
    "torque_var",
)  # fmt: skip


def stands_of(crush: Crush) -> tuple[Stand, ...]:
    """Put together what was read at one angle. crush. Returns: stands, by angle."""
    pauses = sorted(crush.pauses, key=lambda pause: (pause.angle_deg, pause.number))
    grouped = groupby(pauses, key=lambda pause: pause.angle_deg)
    return tuple(_stand(angle, tuple(of), crush.high_newton_m) for angle, of in grouped)


def _stand(angle_deg: float, pauses: tuple[Pause, ...], unit_newton_m: float) -> Stand:
    read = [
        (one.torque_newton_m / unit_newton_m, max(one.u_newton_m / unit_newton_m, LEAST_U))
        for one in pauses
    ]
    settled = [pair for pair, one in zip(read, pauses, strict=True) if one.turned]
    others = tuple(pair for pair, one in zip(read, pauses, strict=True) if not one.turned)
    if not settled:
        return Stand(angle_deg, 0.0, math.inf, others, 0, False)
    torques, us = np.array(settled).T
    weights = us**-2.0
    mean = float(torques @ weights / weights.sum())
    # Where they scatter more than they should, their mean is known less well (Birge).
    excess = float(((torques - mean) / us) ** 2 @ np.ones(len(us))) / max(len(us) - 1, 1)
    u = float(weights.sum() ** -0.5) * max(1.0, excess) ** 0.5
    return Stand(angle_deg, mean, u, others, len(us), len(us) > 1 and excess > 9.0)


def believe(crush: Crush, first_deg: float, last_deg: float) -> Belief:
    """What is held before any pause.

    crush; first_deg, last_deg: angles of the first and the last pause, between and around which
    contact may lie. Returns: belief at the first angle, nothing read. Limits: the play that is
    left has no memory, so that contact can lie beyond however far the nut has been turned.
    """
    far = np.array([8.0, 18.0, 32.0, 50.0])
    beyond = np.array([3.0, 7.0, 13.0, 21.0, 31.0, 43.0, 57.0, 73.0, 91.0, 111.0, 136.0, 166.0])
    span = last_deg - first_deg + 120.0
    near = np.linspace(first_deg - 60.0, last_deg + 60.0, min(int(span / 3.0) + 1, MOST_CONTACTS))
    contact = np.concatenate([near[0] - far[::-1], near, near[-1] + beyond])
    log_contact = np.log(np.gradient(contact)) - np.maximum(contact - first_deg, 0.0) / PLAY_DEG
    shares = np.array(ELASTIC)
    at, power, kind = (
        one.ravel()
        for one in np.meshgrid(
            np.arange(len(contact)), np.arange(len(EXPONENTS)), np.arange(len(ELASTIC))
        )
    )
    exponent = np.array(EXPONENTS)[power]
    curves = Curves(contact[at], exponent, shares[kind, 0], shares[kind, 1])
    log_shape = log_contact[at] + np.log(np.array(EXPONENT_CHANCES)[power] * shares[kind, 2])
    log_reach = -0.5 * (np.log(REACH_DEG / REACH_MEDIAN_DEG) / REACH_SPREAD) ** 2
    shape = np.repeat(np.arange(len(at)), len(REACH_DEG))
    reach = np.tile(REACH_DEG, len(at))
    mean, variance = DRAG, DRAG_SPREAD**2
    if crush.drag_newton_m is not None:
        mean = crush.drag_newton_m / crush.high_newton_m
        variance = (crush.drag_u_newton_m / crush.high_newton_m) ** 2 + LEAST_U**2
    none = np.zeros(len(shape))
    return Belief(
        curves,
        shape,
        reach,
        load_ratio(reach, -exponent[shape]),
        log_shape[shape] + np.tile(log_reach, len(at)),
        none + mean,
        none + variance,
        none,
        none + mean,
        none + variance,
        first_deg,
        math.hypot(crush.angle_within_deg, math.sqrt(3.0) * LAG_DEG),
    )


def read(belief: Belief, stand: Stand, *, first: bool) -> Belief:
    """Take in what was read at the next angle of the nut.

    belief: before; stand; first: nothing was read before it. Returns: belief after. Limits: a
    reading with bearings not turned is taken as anywhere from 0 to SETTLES too high; the law in a
    cell stays normal, with the moments of what it would be.
    """
    rise, deviation = belief.rise_at(stand.angle_deg)
    drift = 0.0 if first else (WANDER * (rise - belief.rise)) ** 2
    level_var = belief.level_var + drift
    expected, variance = belief.level + rise, level_var + deviation**2
    torque, torque_var, log_weight = expected, variance, belief.log_weight
    surprise = 1.0
    if stand.turned:
        total = variance + stand.u**2
        off = (stand.torque - expected) / np.sqrt(total)
        below = float(belief.weight @ normal_cdf(off))
        surprise = 1.0 if first else max(0.0, 2.0 * min(below, 1.0 - below))
        log_weight = log_weight - 0.5 * off**2 - 0.5 * np.log(total)
        torque = expected + variance / total * (stand.torque - expected)
        torque_var = variance * stand.u**2 / total
    for shown, u in stand.others:
        noisy = torque_var + ((1.0 - SETTLES / 2.0) * u) ** 2  # its error settles with it
        chance, mean, left = _cut(torque, noisy, (1.0 - SETTLES) * shown, shown)
        # Shares even from 0 to SETTLES: of two torques the higher one shows it the more narrowly.
        shift = left / np.maximum(mean, 2.0 * np.sqrt(left))
        log_weight = log_weight + chance + np.log(np.maximum(mean, LEAST_U))
        mean, left = np.minimum(mean + shift, shown), left - shift**2
        gain = torque_var / noisy
        torque = torque + gain * (mean - torque)
        torque_var = torque_var - gain**2 * (noisy - left)
    back = level_var / variance
    level = belief.level + back * (torque - expected)
    level_var = np.maximum(level_var - back**2 * (variance - torque_var), _LEAST_VARIANCE)
    if first:  # no drag below 0
        log_weight = log_weight + np.log(np.maximum(normal_cdf(level / np.sqrt(level_var)), 1e-12))
    after = replace(
        belief, log_weight=log_weight, level=level, level_var=level_var, rise=rise, torque=torque,
        torque_var=np.maximum(torque_var, _LEAST_VARIANCE), angle_deg=stand.angle_deg,
        surprise=surprise,
    )  # fmt: skip
    return after.only(np.flatnonzero(after.weight > _LOST / len(after.shape)))


def _cut(
    mean: np.ndarray, variance: np.ndarray, low: float, high: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A normal law cut off at both ends: log of the chance that it lies between, new moments."""
    deviation = np.sqrt(variance)
    a, b = (low - mean) / deviation, (high - mean) / deviation
    chance = normal_cdf(b) - normal_cdf(a)
    tail = chance <= 1e-8  # the table of the normal law ends here: next to the nearer end, then
    chance = np.maximum(chance, 1e-8)
    at_a, at_b = (np.exp(-0.5 * end**2) / math.sqrt(2.0 * math.pi) for end in (a, b))
    shift = (at_a - at_b) / chance
    narrower = 1.0 + (a * at_a - b * at_b) / chance - shift**2
    beyond = np.maximum(np.maximum(a, -b), 0.0)
    return (
        np.log(chance) - np.where(tail, 0.5 * beyond**2, 0.0),
        np.clip(mean + np.where(tail, 0.0, deviation * shift), low, high),
        variance * np.where(tail, 1e-3, np.clip(narrower, 1e-3, 1.0)),
    )
