"""Weighted least squares with the gain: every derivative of the estimate by every input."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

Model = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]


class Undetermined(Exception):
    """The rows leave some unknowns open. `places`: their indices."""

    def __init__(self, places: tuple[int, ...]) -> None:
        self.places = places
        super().__init__(f"unknowns {places} are not determined")


class NotSettled(Exception):
    """The iteration did not come to rest."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A weighted least-squares estimate; arrays are read-only."""

    x: np.ndarray  # [(d,)] estimate
    cov: np.ndarray  # [(d, d)] covariance from the stated uncertainties
    gain: np.ndarray  # [(d, m)] dx / d(value of each row)
    residual: np.ndarray  # [(m,)] value minus prediction
    slope: np.ndarray  # [(m, d)] dh/dx at the estimate
    u: np.ndarray  # [(m,)] stated standard uncertainties

    @property
    def chi_square(self) -> float:
        """Sum of squared residuals over their variances."""
        return float(np.sum((self.residual / self.u) ** 2))

    @property
    def freedom(self) -> int:
        """Rows beyond those that the unknowns need."""
        return len(self.u) - len(self.x)

    def checked_share(self) -> np.ndarray:
        """Share of each row that the other rows check [(m,)]: 0 nothing does, 1 all of it."""
        inside = np.einsum("id,de,ie->i", self.slope, self.cov, self.slope)
        return np.asarray(np.clip(1.0 - inside / self.u**2, 0.0, 1.0))


def _frozen(array: np.ndarray) -> np.ndarray:
    array.flags.writeable = False
    return array


def fit(
    model: Model,
    values: np.ndarray,
    u: np.ndarray,
    start: np.ndarray,
    *,
    most_steps: int = 60,
    settled: float = 1e-10,
) -> Fit:
    """Fit unknowns to rows by Gauss-Newton with step halving.

    model: x [(d,)] -> (h [(m,)], dh/dx [(m, d)]); values [(m,)]; u: standard uncertainties [(m,)],
    above 0; start [(d,)]; most_steps: before it gives up; settled: relative step at
    which it rests. Returns: a Fit.
    Raises: Undetermined where the rows leave unknowns open, NotSettled.
    Limits: near a solution; one minimum. Source: JCGM 102 (multivariate GUM), clause 6; checked
    with NIST StRD Norris, Pontius and Misra1a and GUM H.3 in tests/test_least_squares.py.
    """
    x = np.array(start, float)
    predicted, slope = model(x)
    miss = (values - predicted) / u
    idle = 0
    for _ in range(most_steps):
        step, weighted, scale = _step(slope, miss, u)
        length = 1.0
        while length > 1e-4:
            tried, tried_slope = model(x + length * step)
            tried_miss = (values - tried) / u
            if tried_miss @ tried_miss <= (miss @ miss) * (1 + 1e-12) + 1e-18:
                idle = idle + 1 if tried_miss @ tried_miss > (miss @ miss) * (1 - 1e-9) else 0
                break
            length /= 2.0
        else:  # no step helps: at rest, on a kink perhaps
            predicted, slope = model(x)
            break
        x = x + length * step
        predicted, slope, miss = tried, tried_slope, tried_miss
        if idle >= 5 or np.all(np.abs(length * step) <= settled * (np.abs(x) + scale)):
            break  # at rest, or going to and fro over a kink for no gain
    else:
        raise NotSettled(f"no rest after {most_steps} steps")
    _, weighted, scale = _step(slope, miss, u)
    pseudo = np.linalg.pinv(weighted, rcond=1e-14) * scale[:, None]
    gain = pseudo / u
    cov = pseudo @ pseudo.T
    arrays = (x, cov, gain, values - predicted, slope, np.array(u, float))
    return Fit(*(_frozen(array) for array in arrays))


def _step(
    slope: np.ndarray, miss: np.ndarray, u: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """One Gauss-Newton step, with columns scaled to length one so that units do not matter."""
    whitened = slope / u[:, None]
    lengths = np.linalg.norm(whitened, axis=0)
    if np.any(lengths == 0.0):
        raise Undetermined(tuple(int(at) for at in np.flatnonzero(lengths == 0.0)))
    scaled = whitened / lengths
    left, sizes, right = np.linalg.svd(scaled, full_matrices=False)
    if len(miss) < slope.shape[1] or sizes[-1] < 1e-9 * sizes[0]:
        open_direction = np.abs(right[-1])
        open_places = np.flatnonzero(open_direction > 0.3 * open_direction.max())
        raise Undetermined(tuple(int(at) for at in open_places))
    step = (right.T @ ((left.T @ miss) / sizes)) / lengths
    return step, scaled, 1.0 / lengths
