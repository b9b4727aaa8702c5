"""The chance of plans by the normal law, many at a time: the plan's own covariance, the whole box.

While the bearings are pinched (p >= 0) the results are a pair (b, p) and the box is a rectangle.
With end float (p < 0) the backlash has two ends, and both must lie inside; the box's part with
p < 0 is then integrated by what remains of each end once p is known.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.estimate import Estimate
from solver.job import Job
from solver.mechanics import Surface, backlash, pinch
from solver.normal import normal_cdf

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(32)
_TAIL = 6.5  # standard deviations kept on either side of the mean


@dataclass(frozen=True, slots=True, eq=False)
class Stacks:
    """A batch of n plans as the law sees them; d unknowns."""

    nominal_um: np.ndarray  # [µm, (n, 2)] as the drawer states them, wheel side and plain side
    lean: np.ndarray  # [(n, 2, d)] true thickness per unknown
    own_um2: np.ndarray  # [µm², (n, 3)] own variance of each seat, and their covariance

    def __len__(self) -> int:
        return len(self.nominal_um)


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """The estimate and limits of one job, ready to judge plans by the normal law."""

    quantities: np.ndarray  # [(4,)]
    x: np.ndarray  # [(d,)]
    cov: np.ndarray  # [(d, d)]
    signs: tuple[int, int]
    backlash_um: tuple[float, float]
    pinch_um: tuple[float, float]

    def predict(self, stacks: Stacks) -> tuple[np.ndarray, np.ndarray]:
        """Predicted backlash (middle of its range) and pinch. Returns: two arrays [µm, (n,)]."""
        true_um = self._true_um(stacks)
        squeeze = pinch(self.quantities, true_um, self.signs).value
        tight = backlash(self.quantities, true_um, self.signs, None).value
        loose = backlash(self.quantities, true_um, self.signs, 0.5).value
        return np.where(squeeze >= 0, tight, loose), squeeze

    def spreads(self, stacks: Stacks) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Variance of backlash and of pinch, and their covariance [µm², (n,)] each."""
        true_um = self._true_um(stacks)
        squeeze = pinch(self.quantities, true_um, self.signs)
        tight = self._moments(backlash(self.quantities, true_um, self.signs, None), squeeze, stacks)
        loose = self._moments(backlash(self.quantities, true_um, self.signs, 0.5), squeeze, stacks)
        pinched = squeeze.value >= 0
        merged = [np.where(pinched, one, two) for one, two in zip(tight, loose, strict=True)]
        return merged[0], merged[1], merged[2]

    def chance(self, stacks: Stacks) -> np.ndarray:
        """Chance of each plan that every limit is met [(n,)].

        stacks: a batch of plans. Limits: first order at each plan's own prediction; good to 1e-6
        against SciPy's multivariate normal. Source: JCGM 106 clause 7, in two dimensions.
        """
        true_um = self._true_um(stacks)
        squeeze = pinch(self.quantities, true_um, self.signs)
        low, high = self.pinch_um
        total = np.zeros(len(stacks))
        if high > 0:
            tight = backlash(self.quantities, true_um, self.signs, None)
            moments = self._moments(tight, squeeze, stacks)
            total += self._slab(squeeze, (tight, tight), (moments, moments), max(low, 0.0), high)
        if low < 0:
            near = backlash(self.quantities, true_um, self.signs, 1.0)
            far = backlash(self.quantities, true_um, self.signs, 0.0)
            both = self._moments(near, squeeze, stacks), self._moments(far, squeeze, stacks)
            total += self._slab(squeeze, (near, far), both, low, min(high, 0.0))
        return np.asarray(np.clip(total, 0.0, 1.0))

    def _true_um(self, stacks: Stacks) -> np.ndarray:
        return np.asarray(stacks.nominal_um + stacks.lean @ self.x)

    def _moments(
        self, result: Surface, squeeze: Surface, stacks: Stacks
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Variance of a result and of the pinch, and their covariance."""
        one, two = self._slope(result, stacks), self._slope(squeeze, stacks)
        weighted = one @ self.cov
        own_w, own_p, own_c = stacks.own_um2.T
        (a, b), (c, d) = result.by_stack.T, squeeze.by_stack.T
        var = (weighted * one).sum(axis=1) + a * a * own_w + b * b * own_p + 2 * a * b * own_c
        cross = (weighted * two).sum(axis=1) + a * c * own_w + b * d * own_p
        cross += (a * d + b * c) * own_c
        room = ((two @ self.cov) * two).sum(axis=1)
        room += c * c * own_w + d * d * own_p + 2 * c * d * own_c
        return np.maximum(var, 1e-12), np.maximum(room, 1e-12), cross

    def _slope(self, result: Surface, stacks: Stacks) -> np.ndarray:
        slope = np.asarray(np.einsum("ns,nsd->nd", result.by_stack, stacks.lean))
        slope[:, :4] += result.by_quantity
        return slope

    def _slab(
        self,
        squeeze: Surface,
        ends: tuple[Surface, Surface],
        moments: tuple[tuple[np.ndarray, ...], tuple[np.ndarray, ...]],
        low_um: float,
        high_um: float,
    ) -> np.ndarray:
        """Chance that low <= p <= high and both ends of the backlash lie inside their limits."""
        room = np.sqrt(moments[0][1])
        start = np.clip((low_um - squeeze.value) / room, -_TAIL, _TAIL)
        stop = np.clip((high_um - squeeze.value) / room, -_TAIL, _TAIL)
        half = (stop - start) / 2.0
        z = start[:, None] + half[:, None] * (1.0 + _NODES)
        above = self._below(z, ends[1], moments[1], room, self.backlash_um[1])
        below = self._below(z, ends[0], moments[0], room, self.backlash_um[0])
        inside = np.maximum(above - below, 0.0)
        density = np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi)
        return np.asarray((inside * density) @ _WEIGHTS * half)

    @staticmethod
    def _below(
        z: np.ndarray,
        result: Surface,
        moments: tuple[np.ndarray, ...],
        room: np.ndarray,
        limit_um: float,
    ) -> np.ndarray:
        """Chance that a result stays below a limit, once the pinch is z deviations off."""
        var, _, cross = moments
        tilt = cross / room
        left = np.sqrt(np.maximum(var - tilt**2, 1e-9 * var))
        far = limit_um - result.value[:, None] - tilt[:, None] * z
        return normal_cdf(far / left[:, None])


def law_of(job: Job, estimate: Estimate) -> Law:
    """The normal law of a job. job, estimate. Returns: a Law."""
    squeeze = job.limit("pinch")
    x = estimate.fit.x
    return Law(
        x[:4],
        x,
        estimate.fit.cov,
        (job.seats[0].sign, job.seats[1].sign),
        job.held_um,
        (squeeze.low_um, squeeze.high_um),
    )
