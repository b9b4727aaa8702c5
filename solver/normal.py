"""The normal, Student and chi-square laws, as far as this program needs them."""

from __future__ import annotations

import math

import numpy as np

_STEP = 1.0 / 128.0
_REACH = 9.0
_GRID = np.arange(-_REACH, _REACH + _STEP / 2, _STEP)
_CDF = np.array([0.5 * math.erfc(-z / math.sqrt(2.0)) for z in _GRID])
_PDF = np.exp(-(_GRID**2) / 2.0) / math.sqrt(2.0 * math.pi)


def normal_cdf(z: np.ndarray) -> np.ndarray:
    """Chance that a standard normal stays at or below z.

    z: any shape; infinities allowed. Returns: chances, same shape, good to 1e-11.
    Limits: absolute, not relative, accuracy in the tails. Source: the error function of the
    standard library, between its grid points the cubic through values and slopes.
    """
    inside = np.clip(z, -_REACH, _REACH - _STEP)
    at = np.floor((inside + _REACH) / _STEP).astype(np.int64)
    t = (inside - _GRID[at]) / _STEP
    rest = 1.0 - t
    low = _CDF[at] * (1.0 + 2.0 * t) + _STEP * t * _PDF[at]
    high = _CDF[at + 1] * (3.0 - 2.0 * t) - _STEP * rest * _PDF[at + 1]
    return np.asarray(np.where(z >= _REACH, 1.0, rest**2 * low + t**2 * high))


def chi_square_tail(chi_square: float, freedom: int) -> float:
    """Chance that chi-square is larger than the one found.

    chi_square: >= 0; freedom: >= 1. Source: the finite series for whole degrees of freedom
    (Abramowitz and Stegun 26.4.4 and 26.4.5), tested against SciPy.
    """
    half = chi_square / 2.0
    if freedom % 2:
        total = math.erfc(math.sqrt(half))
        term = math.sqrt(half) * math.exp(-half) * 2.0 / math.sqrt(math.pi)
        first = 1.5
    else:
        total, term, first = math.exp(-half), half * math.exp(-half), 2.0
    for turn in range((freedom - 1) // 2):
        total += term
        term *= half / (first + turn)
    return min(total, 1.0)
