"""Backlash at teeth round the wheel: mean, run-out as a first harmonic, tight spot.

    o   loose spot         b(turn) = mean + a cos(turn) + b sin(turn)
  o   o                    run-out = sqrt(a² + b²): what the teeth wander either way
o       o                  tight spot: where that is lowest
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.job import Reading, Round

LEAST_TEETH, MOST_TEETH = 3, 12
POOLED_FREEDOM = 10  # as for repeats: how many readings the tool's word counts for


@dataclass(frozen=True, slots=True)
class Harmonic:
    """A first harmonic through values at equal steps of a turn."""

    mean: float
    cosine: float
    sine: float
    squares: float  # of what is left over, n - 3 degrees of freedom


def fit_harmonic(values: tuple[float, ...]) -> Harmonic:
    """Fit mean and first harmonic by least squares.

    values: at equal steps of one turn, the first at none [(n,)], n >= 3. Returns: the Harmonic, in
    the values' unit. Source: orthogonality of the discrete Fourier terms; tested against numpy's
    least squares.
    """
    count = len(values)
    turns = [math.tau * at / count for at in range(count)]
    mean = math.fsum(values) / count
    cosine = 2.0 / count * math.fsum(v * math.cos(t) for v, t in zip(values, turns, strict=True))
    sine = 2.0 / count * math.fsum(v * math.sin(t) for v, t in zip(values, turns, strict=True))
    left = (
        v - mean - cosine * math.cos(t) - sine * math.sin(t)
        for v, t in zip(values, turns, strict=True)
    )
    return Harmonic(mean, cosine, sine, math.fsum(one * one for one in left))


def scatter_round_um2(values_um: tuple[float, ...], repeat_um: float, step_um: float) -> float:
    """Variance of one reading round the wheel, about the harmonic [µm²].

    values_um [(n,)]; repeat_um, step_um: of the tool [µm]. Source: pooled as GUM H.5.2.5.
    """
    freedom = POOLED_FREEDOM + len(values_um) - 3
    squares = fit_harmonic(values_um).squares
    return max((POOLED_FREEDOM * repeat_um**2 + squares) / freedom, step_um**2 / 12.0)


def find_round(
    readings: tuple[Reading, ...], factors: tuple[float, ...], where: str, most_um: float
) -> Round | None:
    """What the readings round the wheel say of its run-out.

    readings: of the job; factors: how each compares with the backlash as its limit states it [1];
    where: the limit applies; most_um: limit of the spread, infinite for none. Returns: the Round,
    the harmonics of several readings averaged by their weights; None where none goes round.
    """
    total, cosine, sine, numbers, teeth = 0.0, 0.0, 0.0, [], 0
    for reading, factor in zip(readings, factors, strict=True):
        if reading.around_um and reading.tool:
            tool, count = reading.tool, len(reading.around_um)
            found = fit_harmonic(reading.around_um)
            spread = scatter_round_um2(reading.around_um, tool.repeat_um, tool.step_um)
            weight = count * factor**2 / (2.0 * max(spread, 1e-6))
            cosine += weight * found.cosine / factor
            sine += weight * found.sine / factor
            total += weight
            numbers.append(reading.number)
            teeth = max(teeth, count)
    if not total:
        return None
    cosine, sine = cosine / total, sine / total
    tight_deg = math.degrees(math.atan2(-sine, -cosine)) % 360.0
    return Round(
        cosine, sine, total**-0.5, tight_deg, teeth, where, most_um, tuple(numbers)
    )  # fmt: skip


def spread_chance(wheel: Round) -> float:
    """Chance that the spread round the wheel meets its limit, run-out drawn about its estimate.

    wheel. Returns 0 to 1; 1 without a limit. Source: the distance of a round normal from a point
    (Rice), by Simpson's rule over the cosine part.
    """
    reach = wheel.most_um / 2.0
    if math.isinf(reach):
        return 1.0
    u, panels, total = wheel.u_um, 400, 0.0
    for panel in range(panels + 1):
        x = -reach + 2.0 * reach * panel / panels
        half = math.sqrt(max(reach**2 - x**2, 0.0))
        inside = _below((half - wheel.sine_um) / u) - _below((-half - wheel.sine_um) / u)
        density = math.exp(-(((x - wheel.cosine_um) / u) ** 2) / 2.0) / (u * math.sqrt(math.tau))
        total += inside * density * (1 if panel in (0, panels) else 4 if panel % 2 else 2)
    return min(max(total * 2.0 * reach / panels / 3.0, 0.0), 1.0)


def _below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
