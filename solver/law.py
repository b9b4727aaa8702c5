"""The chance of plans by the normal law, many at a time: the plan's own covariance, the whole box.

While the bearings are pinched (p >= 0) the results are a point and the box is a box. With end
float (p < 0) the backlash has two ends, and both must lie inside; the box's part with p < 0 is then
integrated by what remains of each end once the others are known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.axle import CARRIER_RESULTS, Axle
from solver.box import box_chance
from solver.estimate import Estimate
from solver.job import Job

BACKLASH, PINCH = CARRIER_RESULTS
Moments = tuple[np.ndarray, np.ndarray]  # mean [(n, R)] and covariance [(n, R, R)] of results


@dataclass(frozen=True, slots=True, eq=False)
class Stacks:
    """A batch of n plans as the law sees them; d unknowns, s seats."""

    nominal_um: np.ndarray  # [µm, (n, s)] as the drawer states them
    lean: np.ndarray  # [(n, s, d)] true thickness per unknown
    own_um2: np.ndarray  # [µm², (n, s (s + 1) / 2)] own variance of each seat, then covariances

    def __len__(self) -> int:
        return len(self.nominal_um)

    @property
    def own_cov_um2(self) -> np.ndarray:
        """Own covariance of the seats [µm², (n, s, s)]."""
        seats = self.nominal_um.shape[1]
        found = np.zeros((len(self), seats, seats))
        places = np.arange(seats)
        found[:, places, places] = self.own_um2[:, :seats]
        one, two = np.triu_indices(seats, 1)
        found[:, one, two] = found[:, two, one] = self.own_um2[:, seats:]
        return found


def covariances(seats: int) -> int:
    """How many variances and covariances so many seats have. seats: number of them."""
    return seats * (seats + 1) // 2


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """The estimate and limits of one job, ready to judge plans by the normal law."""

    axle: Axle
    x: np.ndarray  # [(d,)]
    cov: np.ndarray  # [(d, d)]
    windows: tuple[tuple[float, float], ...]  # of the axle's results [µm]

    @property
    def seats(self) -> int:
        """How many seats a plan has."""
        return self.axle.seats

    def window(self, result: str) -> tuple[float, float]:
        """Low and high of a result, no limit where the job does not have it. result: its name."""
        if result not in self.axle.results:
            return -math.inf, math.inf
        return self.windows[self.axle.results.index(result)]

    def predict(self, stacks: Stacks) -> tuple[np.ndarray, ...]:
        """Predicted results, of a floating carrier the middle of the backlash's range.

        stacks: a batch of plans. Returns: for each result [µm, (n,)].
        """
        return tuple(self.moments(stacks)[0].T)

    def spreads(self, stacks: Stacks) -> tuple[np.ndarray, ...]:
        """Variance of each result. stacks: a batch of plans. Returns: for each [µm², (n,)]."""
        cov = self.moments(stacks)[1]
        return tuple(cov[:, at, at] for at in range(cov.shape[1]))

    def chance(self, stacks: Stacks) -> np.ndarray:
        """Chance of each plan that every limit is met [(n,)].

        stacks: a batch of plans. Limits: first order at each plan's own prediction; good to 1e-6
        against SciPy's multivariate normal with two results, 1e-5 with more. Source: JCGM 106
        clause 7, in as many dimensions as there are results.
        """
        others = tuple(
            result
            for result in self.axle.results
            if result not in CARRIER_RESULTS and not _open(self.window(result))
        )
        if not self.axle.carrier:
            if not others:
                return np.ones(len(stacks))
            found = self._moments(stacks, others, None)
            total = box_chance(found, found, tuple(self.window(one) for one in others))
            return np.asarray(np.clip(total, 0.0, 1.0))
        low, high = self.window(PINCH)
        order = (PINCH, *others, BACKLASH)
        total = np.zeros(len(stacks))
        if high > 0:
            tight = self._moments(stacks, order, None)
            total += self._inside(tight, tight, others, (max(low, 0.0), high))
        if low < 0:
            near, far = (self._moments(stacks, order, follows) for follows in (1.0, 0.0))
            total += self._inside(near, far, others, (low, min(high, 0.0)))
        return np.asarray(np.clip(total, 0.0, 1.0))

    def _inside(
        self,
        lower: Moments,
        upper: Moments,
        others: tuple[str, ...],
        pinch_um: tuple[float, float],
    ) -> np.ndarray:
        windows = (pinch_um, *(self.window(one) for one in others), self.window(BACKLASH))
        return box_chance(lower, upper, windows)

    def moments(self, stacks: Stacks) -> Moments:
        """Predicted results and their covariance; the backlash of a floating carrier in its middle.

        stacks: a batch of plans. Returns: mean [µm, (n, R)], covariance [µm², (n, R, R)].
        """
        results = self.axle.results
        tight = self._moments(stacks, results, None)
        if not self.axle.carrier:
            return tight
        pinched = tight[0][:, results.index(PINCH)] >= 0
        if pinched.all():
            return tight
        loose = self._moments(stacks, results, 0.5)
        return (
            np.where(pinched[:, None], tight[0], loose[0]),
            np.where(pinched[:, None, None], tight[1], loose[1]),
        )

    def _moments(self, stacks: Stacks, results: tuple[str, ...], follows: float | None) -> Moments:
        """Mean and covariance of some results at each plan's own prediction."""
        true_um = np.asarray(stacks.nominal_um + stacks.lean @ self.x)
        found = [self.axle.surface(one, self.x, true_um, follows) for one in results]
        by_stack = np.stack([one.by_stack for one in found], axis=1)
        slope = np.asarray(by_stack @ stacks.lean)
        for at, one in enumerate(found):
            slope[:, at] += one.by_quantity
        cov = slope @ self.cov @ slope.transpose(0, 2, 1)
        cov += by_stack @ stacks.own_cov_um2 @ by_stack.transpose(0, 2, 1)
        places = np.arange(len(results))
        cov[:, places, places] = np.maximum(cov[:, places, places], 1e-12)
        return np.stack([one.value for one in found], axis=1), cov


def _open(window: tuple[float, float]) -> bool:
    return math.isinf(window[0]) and math.isinf(window[1])


def law_of(job: Job, estimate: Estimate) -> Law:
    """The normal law of a job. job, estimate. Returns: a Law."""
    windows = tuple(job.window_um(result) for result in estimate.axle.results)
    return Law(estimate.axle, estimate.fit.x, estimate.fit.cov, windows)
