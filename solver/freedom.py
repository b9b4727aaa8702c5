"""Degrees of freedom: how far a spread is itself known, and how much wider that makes a band."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np

AS_NORMAL = 1e7  # degrees of freedom from which Student's law is the normal law to nine digits
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


def effective_freedom(parts_u: Sequence[float], freedoms: Sequence[float]) -> float:
    """Effective degrees of freedom of a sum of independent parts.

    parts_u: standard uncertainty that each part adds [(n,)]; freedoms: degrees of freedom of each
    [(n,)], infinity for what is known without repeats. Returns: degrees of freedom, infinity where
    no part has a finite number. Raises: ValueError for lists of different lengths.
    Source: Welch-Satterthwaite, GUM G.4.1.
    """
    pairs = list(zip(parts_u, freedoms, strict=True))
    total = math.fsum(u**2 for u, _ in pairs)
    doubt = math.fsum(u**4 / freedom for u, freedom in pairs)
    return total**2 / doubt if doubt > 0.0 else math.inf


def student_quantile(share: float, freedom: float) -> float:
    """Half-width, in standard uncertainties, of the band that holds a share of Student's law.

    share: two-sided, above 0 and below 1; freedom: 1 or more, need not be whole, may be infinite.
    Returns: t. Raises: ValueError outside these. Limits: good to 1e-7 of itself up to a share of
    0.999. Source: GUM G.3 and table G.2; tested against it and against SciPy.
    """
    if not 0.0 < share < 1.0 or not freedom >= 1.0:
        raise ValueError(f"no Student quantile for a share of {share} with {freedom} freedom")
    normal = NormalDist().inv_cdf((1.0 + share) / 2.0)
    if freedom >= AS_NORMAL:
        return normal
    # With t = sqrt(freedom) tan(angle) the share within t is an integral of cos^(freedom - 1),
    # which is concave in the angle; Newton from the normal's t, always too small, climbs to it.
    scale = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) * 2 / math.pi**0.5
    angle = math.atan(normal / math.sqrt(freedom))
    for _ in range(60):
        points = angle * (1.0 + _NODES) / 2.0
        within = scale * angle / 2.0 * float(_WEIGHTS @ np.cos(points) ** (freedom - 1.0))
        step = (share - within) / (scale * math.cos(angle) ** (freedom - 1.0))
        angle += step
        if abs(step) <= 1e-13 * angle:
            break
    return math.sqrt(freedom) * math.tan(angle)
