"""Upper bounds on the log-chance of any plan: tangents of the true log-chance.

A plan is a point z = (thickness of each stack [ticks], own variance of each stack [µm²], their
covariance [µm²], lean of each stack on each busy unknown). With a fixed covariance the log-chance
is concave in the thicknesses (Prékopa); with the plan's own covariance it was found so to 1e-4
wherever the chance is at least 0.3 of the peak and the pinch stays positive. There, and only
there, a tangent bounds every plan. `Tangents.hold` says whether that is the case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from solver.columns import TICKS_PER_UM
from solver.law import Law, Stacks
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
        return self.law.pinch_um[0] >= 0.0

    def stacks(self, z: np.ndarray) -> Stacks:
        """Points as a batch of plans. z [(n, 5 + 2d')]. Returns: Stacks."""
        count, wide = len(z), len(self.law.x)
        lean = np.zeros((count, 2, wide))
        lean[:, :, self.busy] = z[:, 5:].reshape(count, 2, len(self.busy))
        return Stacks(z[:, :2] / TICKS_PER_UM, lean, z[:, 2:5])

    def log_chance(self, z: np.ndarray) -> np.ndarray:
        """True log-chance of points. z [(n, 5 + 2d')]. Returns: [(n,)], at least log 1e-12."""
        return np.asarray(np.log(np.maximum(self.law.chance(self.stacks(z)), 1e-12)))

    def add(self, z: np.ndarray) -> None:
        """Add the tangents at points where the chance is high enough. z [(n, 5 + 2d')]."""
        steps = np.concatenate(
            [
                [20.0, 20.0],
                np.maximum(0.02 * z[:, 2:4].max(axis=0), 0.05),
                [0.05],
                np.full(2 * len(self.busy), 0.02),
            ]
        )
        size = len(steps)
        moves = np.concatenate([np.zeros((1, size)), np.diag(steps), -np.diag(steps)])
        moves[size + 1 :, 2:5] = 0.0  # variances are stepped upwards only: none is below zero
        cloud = (z[:, None, :] + moves).reshape(-1, size)
        logs = self.log_chance(cloud).reshape(len(z), 2 * size + 1)
        floor = math.log(max(HOLDS_FROM * self.peak.chance, 1e-12))
        width = np.where((np.arange(size) >= 2) & (np.arange(size) < 5), 1.0, 2.0) * steps
        for at in range(len(z)):
            if logs[at, 0] < floor:
                continue
            self.points.append(z[at])
            self.levels.append(float(logs[at, 0]))
            self.slopes.append((logs[at, 1 : size + 1] - logs[at, size + 1 :]) / width)

    def upper(self, z: np.ndarray, since: int = 0) -> np.ndarray:
        """Least of the bounds at each point. z [(n, 5 + 2d')]; since: of tangents from there on.

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

        like: the plan's point [(5 + 2d',)].
        """
        at = np.array(like, float)
        at[:2] = self.peak.stacks_um * TICKS_PER_UM
        shape = self._shape(at)
        ring = [at[:2]]
        for radius in _RINGS:
            for turn in range(8):
                angle = math.tau * (turn + (radius == _RINGS[1]) / 2.0) / 8
                spoke = radius * np.array([math.cos(angle), math.sin(angle)])
                ring.append(at[:2] + shape @ spoke)
        z = np.tile(at, (len(ring), 1))
        z[:, :2] = np.array(ring)
        self.add(z)

    def _shape(self, at: np.ndarray) -> np.ndarray:
        """A square root of the inverse curvature of -log chance in the thicknesses [(2, 2)]."""
        step = 200.0
        moves = np.array([(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1)], float)
        z = np.tile(at, (len(moves), 1))
        z[:, :2] += step * moves
        logs = self.log_chance(z)
        xx = (2 * logs[0] - logs[1] - logs[2]) / step**2
        yy = (2 * logs[0] - logs[3] - logs[4]) / step**2
        xy = (2 * logs[0] - logs[5] - logs[6]) / step**2
        xy = (xy - xx - yy) / 2.0
        sizes, turns = np.linalg.eigh(np.array([[xx, xy], [xy, yy]]))
        reach = 1.0 / np.sqrt(np.maximum(sizes, 1e-9))
        return np.asarray(turns * np.minimum(reach, 3e4))
