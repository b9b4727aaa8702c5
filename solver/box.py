"""The chance that a multivariate normal lies inside a box, for many at a time.

One result after the other, each given those before it (a Cholesky factor); the first ones by
Gauss-Legendre nodes within their windows, the last in closed form.
"""

from __future__ import annotations

import math

import numpy as np

from solver.normal import normal_cdf

NODES = {2: (32,), 3: (32, 24), 4: (24, 16, 14)}  # by number of results, none for the last
_TAIL = 6.5  # standard deviations kept on either side of the mean
_AT_ONCE = 2_000_000  # nodes held in memory
_RULES = {
    count: np.polynomial.legendre.leggauss(count) for counts in NODES.values() for count in counts
}


def box_chance(
    lower: tuple[np.ndarray, np.ndarray],
    upper: tuple[np.ndarray, np.ndarray],
    windows: tuple[tuple[float, float], ...],
) -> np.ndarray:
    """Chance that every result lies inside its window.

    lower, upper: mean [(n, R)] and covariance [(n, R, R)] of the results, the last result's being
    those of what its low or its high limit holds (the same for both, unless it has two ends);
    windows: low and high of each result [as the results]. Returns: chances [(n,)]. Limits: to 1e-6
    for two results, 1e-5 for three and 3e-4 for four, where the others leave a result at least a
    seventh of its spread; 1e-3 where they leave a fortieth. Source: conditioning of a normal law
    (Genz 1992, from memory); tested against SciPy's multivariate normal.
    """
    count, results = lower[0].shape
    inner = math.prod(NODES.get(results, ()))
    step = max(_AT_ONCE // max(inner, 1), 1)
    found = np.empty(count)
    for start in range(0, count, step):
        part = slice(start, start + step)
        found[part] = _chance(
            (lower[0][part], lower[1][part]), (upper[0][part], upper[1][part]), windows
        )
    return found


def _chance(
    lower: tuple[np.ndarray, np.ndarray],
    upper: tuple[np.ndarray, np.ndarray],
    windows: tuple[tuple[float, float], ...],
) -> np.ndarray:
    mean, last = lower[0], lower[0].shape[1] - 1
    low_root = root(lower[1])
    high_root = low_root if upper is lower else root(upper[1])
    weight = np.ones((len(mean), 1))
    zs: list[np.ndarray] = []  # each [(n, nodes so far)]
    for at in range(last):
        low, high = windows[at]
        middle = mean[:, at, None] + _along(low_root, at, zs)
        spread = low_root[:, at, at, None]
        start = np.clip((low - middle) / spread, -_TAIL, _TAIL)
        half = (np.clip((high - middle) / spread, -_TAIL, _TAIL) - start) / 2.0
        nodes, weights = _RULES[NODES[last + 1][at]]
        z = start[..., None] + half[..., None] * (1.0 + nodes)
        density = np.exp(-z * z / 2.0) / np.sqrt(2.0 * np.pi) * half[..., None] * weights
        weight = (weight[..., None] * density).reshape(len(mean), -1)
        zs = [np.repeat(one, len(nodes), axis=1) for one in zs] + [z.reshape(len(mean), -1)]
    below = _below(lower[0], low_root, zs, windows[last][0])
    above = _below(upper[0], high_root, zs, windows[last][1])
    return np.asarray((np.maximum(above - below, 0.0) * weight).sum(axis=1))


def _along(factor: np.ndarray, at: int, zs: list[np.ndarray]) -> np.ndarray | float:
    """By how much the results before it move one result."""
    return sum((factor[:, at, place, None] * z for place, z in enumerate(zs)), 0.0)


def _below(mean: np.ndarray, factor: np.ndarray, zs: list[np.ndarray], limit: float) -> np.ndarray:
    """Chance that the last result stays below a limit, given the others."""
    last = mean.shape[1] - 1
    far = limit - mean[:, last, None] - _along(factor, last, zs)
    return normal_cdf(far / factor[:, last, last, None])


def root(cov: np.ndarray) -> np.ndarray:
    """Cholesky factors, kept above nothing where results hang together entirely.

    cov [(n, R, R)]. Returns: lower triangles [(n, R, R)].
    """
    size = cov.shape[1]
    found = np.zeros_like(cov)
    for at in range(size):
        for place in range(at):
            inside = (found[:, at, :place] * found[:, place, :place]).sum(axis=1)
            found[:, at, place] = (cov[:, at, place] - inside) / found[:, place, place]
        left = cov[:, at, at] - (found[:, at, :at] ** 2).sum(axis=1)
        found[:, at, at] = np.sqrt(np.maximum(np.maximum(left, 1e-9 * cov[:, at, at]), 1e-12))
    return found
