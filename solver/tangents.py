"""Upper bounds on the log-chance of any plan: tangents of the true log-chance.

A plan is a point z = (thickness of each stack [ticks], own variance of each stack [µm²], their
covariances [µm²], lean of each stack on each busy unknown), m numbers: 2 + 3 + 2d' of them for two
seats and d' busy unknowns. With a fixed covariance the log-chance is concave in the thicknesses
(Prékopa); with the plan's own covariance it was found so to 1e-4 wherever the chance is at least
0.3 of the peak and the pinch stays positive. There, and only there, a tangent bounds every plan.
`Tangents.hold` says whether that is the case.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

import numpy as np

from solver.columns import TICKS_PER_UM
from solver.law import PINCH, Law, Stacks, covariances
from solver.region import Peak

SLACK = 1e-4  # in log-chance: what the concavity was found to be short of
HOLDS_FROM = 0.3  # share of the peak's chance from which tangents may be taken
_RINGS = (0.6, 1.1, 1.7)  # in standard deviations around the peak


@dataclass(slots=True)
class Tangents:
    """A growing set of tangents. Each bounds: log chance <= level + slope·(z - point)."""

    law: Law
    busy: np.ndarray  # unknowns that columns lean on [(d',)]
    peak: Peak
    points: list[np.ndarray] = field(default_factory=list)
    levels: list[float] = field(default_factory=list)
    slopes: list[np.ndarray] = field(default_factory=list)

    @property
    def hold(self) -> bool:
        """Whether tangents bound every plan: no end float among the wanted results."""
        return not self.law.axle.carrier or self.law.window(PINCH)[0] >= 0.0

    @property
    def parts(self) -> tuple[int, int]:
        """Where a point's own variances begin, and where its leans do."""
        seats = self.law.seats
        return seats, seats + covariances(seats)

    def stacks(self, z: np.ndarray) -> Stacks:
        """Points as a batch of plans. z [(n, m)]. Returns: Stacks."""
        seats, leans = self.parts
        lean = np.zeros((len(z), seats, len(self.law.x)))
        lean[:, :, self.busy] = z[:, leans:].reshape(len(z), seats, len(self.busy))
        return Stacks(z[:, :seats] / TICKS_PER_UM, lean, z[:, seats:leans])

    def log_chance(self, z: np.ndarray) -> np.ndarray:
        """True log-chance of points. z [(n, m)]. Returns: [(n,)], at least log 1e-12."""
        return np.asarray(np.log(np.maximum(self.law.chance(self.stacks(z)), 1e-12)))

    def add(self, z: np.ndarray) -> None:
        """Add the tangents at points where the chance is high enough. z [(n, m)]."""
        seats, leans = self.parts
        steps = np.concatenate(
            [
                np.full(seats, 20.0),
                np.maximum(0.02 * z[:, seats : 2 * seats].max(axis=0), 0.05),
                np.full(leans - 2 * seats, 0.05),
                np.full(seats * len(self.busy), 0.02),
            ]
        )
        size = len(steps)
        moves = np.concatenate([np.zeros((1, size)), np.diag(steps), -np.diag(steps)])
        moves[size + 1 :, seats:leans] = (
            0.0  # variances are stepped upwards only: none is below zero
        )
        cloud = (z[:, None, :] + moves).reshape(-1, size)
        logs = self.log_chance(cloud).reshape(len(z), 2 * size + 1)
        floor = math.log(max(HOLDS_FROM * self.peak.chance, 1e-12))
        once = (np.arange(size) >= seats) & (np.arange(size) < leans)
        width = np.where(once, 1.0, 2.0) * steps
        for at in range(len(z)):
            if logs[at, 0] < floor:
                continue
            self.points.append(z[at])
            self.levels.append(float(logs[at, 0]))
            self.slopes.append((logs[at, 1 : size + 1] - logs[at, size + 1 :]) / width)

    def upper(self, z: np.ndarray, since: int = 0) -> np.ndarray:
        """Least of the bounds at each point. z [(n, m)]; since: of tangents from there on.

        Returns: log-chances [(n,)]; 0, which bounds everything, where there is no tangent.
        """
        if len(self.levels) <= since:
            return np.zeros(len(z))
        slopes = np.array(self.slopes[since:])
        base = np.array(self.levels[since:])
        base = base - np.einsum("kc,kc->k", slopes, np.array(self.points[since:]))
        return np.asarray((z @ slopes.T + base).min(axis=1)) + SLACK

    def cover(self, like: np.ndarray) -> None:
        """Put tangents on the peak and on rings around it, with the errors of a typical plan.

        like: the plan's point [(m,)].
        """
        at = np.array(like, float)
        seats = self.law.seats
        at[:seats] = self.peak.stacks_um * TICKS_PER_UM
        shape = self._shape(at)
        ring = [at[:seats]]
        for radius in _RINGS:
            for spoke in _spokes(seats, turned=radius == _RINGS[1]):
                ring.append(at[:seats] + shape @ (radius * spoke))
        z = np.tile(at, (len(ring), 1))
        z[:, :seats] = np.array(ring)
        self.add(z)

    def _shape(self, at: np.ndarray) -> np.ndarray:
        """A square root of the inverse curvature of -log chance in the thicknesses [(s, s)]."""
        step, seats = 200.0, self.law.seats
        units = np.eye(seats)
        pairs = list(itertools.combinations(range(seats), 2))
        moves = np.array(
            [
                np.zeros(seats),
                *units,
                *-units,
                *(units[one] + units[two] for one, two in pairs),
                *(-units[one] - units[two] for one, two in pairs),
            ]
        )
        z = np.tile(at, (len(moves), 1))
        z[:, :seats] += step * moves
        logs = self.log_chance(z)
        ahead, back = logs[1 : 1 + seats], logs[1 + seats : 1 + 2 * seats]
        bend = np.diag((2 * logs[0] - ahead - back) / step**2)
        both = logs[1 + 2 * seats :].reshape(2, len(pairs))
        for (one, two), (near, far) in zip(pairs, both.T, strict=True):
            along = (2 * logs[0] - near - far) / step**2
            bend[one, two] = bend[two, one] = (along - bend[one, one] - bend[two, two]) / 2.0
        sizes, turns = np.linalg.eigh(bend)
        reach = 1.0 / np.sqrt(np.maximum(sizes, 1e-9))
        return np.asarray(turns * np.minimum(reach, 3e4))


def _spokes(seats: int, *, turned: bool) -> list[np.ndarray]:
    """Directions of a ring: eight in a plane, turned by half a step; else along the axes."""
    if seats == 2:
        angles = [math.tau * (turn + turned / 2.0) / 8 for turn in range(8)]
        return [np.array([math.cos(angle), math.sin(angle)]) for angle in angles]
    axes = [*np.eye(seats), *-np.eye(seats)]
    if seats == 1 or not turned:
        return axes
    corners = itertools.product((-1.0, 1.0), repeat=seats)
    return [np.array(corner) / math.sqrt(seats) for corner in corners]
