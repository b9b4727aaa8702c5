"""Builds drawn from the inputs' real shapes, weighted by how well they explain every reading.

The ratio, the share, common errors and pieces that were in a trial are drawn from their
rectangulars; clearance and gap from the two readings that settle them best; every other reading
weighs the build. How much a hand scatters is asked of everything it read. Where too few builds
count, they are drawn around the estimate instead and weighted back. Seeded: the same job gives the
same figures.
"""

from __future__ import annotations

import itertools
import math
import zlib
from dataclasses import dataclass, field, replace

import numpy as np

from solver.drawer import Drawer, Lot
from solver.estimate import Estimate
from solver.job import Job
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE, backlash_range_um
from solver.normal import normal_cdf
from solver.pieces import SEATS, Unknowns, pieces_taken
from solver.plan import Plan
from solver.rows import Row
from solver.spread import Spread, scatter_um2

BUILDS = 50_000
SEED = 20_260
FEW = 0.1  # below this share of effective builds, draw around the estimate instead
T_FREEDOM = 6  # tails of the proposal


@dataclass(frozen=True, slots=True, eq=False)
class Builds:
    """Simulated truths behind the readings."""

    x: np.ndarray  # [(n, d)] unknowns, in the estimate's order
    weight: np.ndarray  # [(n,)] sums to 1
    effective: float  # number of builds that carry the weight
    errors: dict[str, np.ndarray] = field(default_factory=dict)  # of pieces, once drawn [µm]

    def share(self, inside: np.ndarray) -> float:
        """Weighted share of builds. inside: truth of each [(n,)]. Returns: 0 to 1."""
        return float(min(self.weight[inside].sum(), 1.0))


def simulate_builds(job: Job, estimate: Estimate, builds: int = BUILDS) -> Builds:
    """Draw builds that could lie behind the readings.

    job, estimate; builds: how many. Returns: Builds. Limits: readings that contradict each other
    leave no build at all; then the normal law's are drawn, with `effective` 0. Source: JCGM 101
    (GUM Supplement 1), self-normalised importance weights.
    """
    signs = np.array([job.seats[0].sign, job.seats[1].sign], float)
    estimate = replace(estimate, rows=_by_hand(job, estimate.rows))
    rng = np.random.default_rng(SEED)
    found = _from_priors(estimate, signs, rng, builds)
    if found.effective >= FEW * builds:
        return found
    around = _around_estimate(estimate, signs, rng, builds)
    best = max(found, around, key=lambda one: one.effective)
    if best.effective > 50:
        return best
    x = rng.multivariate_normal(estimate.fit.x, estimate.fit.cov, builds, method="eigh")
    return Builds(x, np.full(builds, 1.0 / builds), 0.0)


def _by_hand(job: Job, rows: tuple[Row, ...]) -> tuple[Row, ...]:
    """The rows, their repeats scattering as all readings with the same tool say.

    The estimate keeps to each reading's own repeats and to its tool's word; a hand that scatters
    half as much again as its tool is said to would leave chances stated that come true 0.09 less
    often (tests/bench/calibration.py).
    """
    readings = {reading.number: reading for reading in job.readings}
    found = []
    for row in rows:
        spread = row.spread
        tool = readings[row.readings[0]].tool if row.readings else None
        if tool and spread.repeats_u_um:
            reading = readings[row.readings[0]]
            count = len(reading.around_um or reading.repeats_um)
            hand = scatter_um2(tool, job.readings) / count
            sd_um = math.sqrt(max(spread.sd_um**2 - spread.repeats_u_um**2, 0.0) + hand)
            spread = replace(spread, sd_um=sd_um, repeats_u_um=math.sqrt(hand))
        found.append(replace(row, spread=spread))
    return tuple(found)


def drawn(spread: Spread, count: int, rng: np.random.Generator) -> np.ndarray:
    """Draw what one thing may be: its centre with rectangular and normal error.

    spread; count: how many draws; rng. Returns [(count,)], in the spread's unit. Source: JCGM 101,
    6.4.2 and 6.4.7.
    """
    draws = np.full(count, spread.centre_um)
    if spread.half_um:
        draws += spread.half_um * (2.0 * rng.random(count) - 1.0)
    if spread.sd_um:
        draws += spread.sd_um * rng.standard_normal(count)
    return draws


def _weighted(x: np.ndarray, log_weight: np.ndarray) -> Builds:
    top = log_weight.max()
    if not math.isfinite(top):
        return Builds(x, np.full(len(x), 1.0 / len(x)), 0.0)
    weight = np.exp(log_weight - top)
    weight /= weight.sum()
    return Builds(x, weight, float(1.0 / np.sum(weight**2)))


def _from_priors(
    estimate: Estimate, signs: np.ndarray, rng: np.random.Generator, builds: int
) -> Builds:
    x = np.empty((builds, len(estimate.unknowns)))
    for at, unknown in enumerate(estimate.unknowns.items):
        if unknown.within is None:
            x[:, at] = estimate.fit.x[at]
        else:
            x[:, at] = drawn(Spread(unknown.centre, unknown.within, 0.0), builds, rng)
    pivots = _pivots(estimate)
    log_weight = _solve_pivots(x, pivots, signs, rng)
    for row in estimate.rows:
        if row.readings and row not in pivots:
            log_weight += log_likelihood(row, x, signs)
    return _weighted(x, log_weight)


def _pivots(estimate: Estimate) -> tuple[Row, Row]:
    """The two readings that settle clearance and gap best."""
    rows = [at for at, row in enumerate(estimate.rows) if row.readings and not row.side]
    slopes = estimate.fit.slope[:, :2] / estimate.fit.u[:, None]
    best = max(
        itertools.combinations(rows, 2),
        key=lambda pair: abs(float(np.linalg.det(slopes[list(pair)]))),
    )
    return estimate.rows[best[0]], estimate.rows[best[1]]


def _solve_pivots(
    x: np.ndarray, pivots: tuple[Row, Row], signs: np.ndarray, rng: np.random.Generator
) -> np.ndarray:
    """Put into x the clearance and gap that make both readings true; Newton, two unknowns.

    Returns: log of the weight that a reading not square to clearance and gap brings.
    """
    wanted = []
    for row in pivots:
        noise = drawn(replace(row.spread, centre_um=0.0), len(x), rng)
        loose = float_half_um(row, x, signs) * (2.0 * rng.random(len(x)) - 1.0)
        wanted.append(row.spread.centre_um - noise - loose)
    step = 0.01
    for _ in range(6):
        at = [reads(row, x, signs) for row in pivots]
        slope = np.empty((2, 2, len(x)))
        for place in (CLEARANCE, GAP):
            x[:, place] += step
            for one, row in enumerate(pivots):
                slope[one, place] = (reads(row, x, signs) - at[one]) / step
            x[:, place] -= step
        miss = [wanted[0] - at[0], wanted[1] - at[1]]
        det = slope[0, 0] * slope[1, 1] - slope[0, 1] * slope[1, 0]
        det = np.where(np.abs(det) < 1e-6, 1e-6, det)
        x[:, CLEARANCE] += (miss[0] * slope[1, 1] - miss[1] * slope[0, 1]) / det
        x[:, GAP] += (miss[1] * slope[0, 0] - miss[0] * slope[1, 0]) / det
        straight = all(row.of != "backlash" for row in pivots)
        if straight or max(float(np.abs(one).max()) for one in miss) < 1e-6:
            break
    return np.asarray(-np.log(np.abs(det)))


def _around_estimate(
    estimate: Estimate, signs: np.ndarray, rng: np.random.Generator, builds: int
) -> Builds:
    """Draw from a Student law around the estimate, and weigh by priors and readings."""
    size = len(estimate.fit.x)
    values, vectors = np.linalg.eigh(estimate.fit.cov)
    root = vectors * np.sqrt(np.maximum(values, 1e-18))
    normal = rng.standard_normal((builds, size))
    mix = rng.chisquare(T_FREEDOM, builds) / T_FREEDOM
    z = normal * 1.15 / np.sqrt(mix)[:, None]
    x = estimate.fit.x + z @ root.T
    quadratic = (z**2).sum(axis=1) / 1.15**2
    log_weight = (T_FREEDOM + size) / 2.0 * np.log1p(quadratic / T_FREEDOM)
    for at, unknown in enumerate(estimate.unknowns.items):
        if unknown.within is not None:
            log_weight[np.abs(x[:, at] - unknown.centre) > unknown.within] = -np.inf
    for row in estimate.rows:
        if row.readings:
            log_weight += log_likelihood(row, x, signs)
    return _weighted(x, log_weight)


def reads(row: Row, x: np.ndarray, signs: np.ndarray) -> np.ndarray:
    """What a reading would show in each build, without its own noise.

    row; x [(n, d)]; signs of the seats [(2,)]. Returns [µm, (n,)]; the middle of the backlash
    where the carrier floats.
    """
    common = x[:, row.place] if row.place >= 0 else 0.0
    clearance, gap = x[:, CLEARANCE], x[:, GAP]
    if row.of == "total clearance":
        return np.asarray(clearance + common)
    if row.of == "mesh gap":
        return np.asarray(gap + common)
    if row.of == "far gap in mesh":
        return np.asarray(clearance - gap + common)
    wheel, plain = _fitted(row, x, signs)
    if row.of == "plain gap":
        return np.asarray(clearance - wheel + common)
    if row.of == "travel to mesh":
        return np.asarray(gap - wheel + common)
    if row.of == "end float":
        return np.asarray(clearance - wheel - plain + common)
    least, most = backlash_range_um(
        x[:, RATIO], gap - wheel, wheel + plain - clearance, x[:, SHARE]
    )
    return np.asarray(row.factor * (least + most) / 2.0 + common)


def _fitted(row: Row, x: np.ndarray, signs: np.ndarray) -> np.ndarray:
    """True stacks that were in while a row was read, signed as their seats are [µm, (2, n)]."""
    return np.asarray((row.stacks_um[:, None] + row.lean @ x.T) * signs[:, None])


def float_half_um(row: Row, x: np.ndarray, signs: np.ndarray) -> np.ndarray:
    """Half the range of a backlash read while the carrier floats; else 0.

    row; x: unknowns [(n, d)]; signs: of the seats [(2,)]. Returns [µm, (n,)].
    """
    if row.of != "backlash":
        return np.zeros(len(x))
    loose = np.maximum(x[:, CLEARANCE] - _fitted(row, x, signs).sum(axis=0), 0.0)
    return np.asarray(row.factor * x[:, RATIO] * loose / 2.0)


def log_likelihood(row: Row, x: np.ndarray, signs: np.ndarray) -> np.ndarray:
    """How well each build explains a reading [(n,)].

    row; x [(n, d)]; signs [(2,)]. Rectangular plus normal; one-sided readings by a softened step.
    """
    shown = reads(row, x, signs)
    if row.side:
        z = row.side * (shown - row.spread.centre_um) / row.spread.u_um
        return np.asarray(np.log(np.maximum(normal_cdf(z), 1e-300)))
    miss = row.spread.centre_um - shown
    half = row.spread.half_um + float_half_um(row, x, signs)
    sd = row.spread.sd_um
    if sd == 0.0:
        return np.where(np.abs(miss) <= half, -np.log(2.0 * np.maximum(half, 1e-9)), -np.inf)
    flat = half > 0.02 * sd
    if not flat.any():
        return np.asarray(-((miss / sd) ** 2) / 2.0 - math.log(sd * math.sqrt(math.tau)))
    wide = np.maximum(half, 0.02 * sd)
    inside = normal_cdf((miss + wide) / sd) - normal_cdf((miss - wide) / sd)
    return np.asarray(np.log(np.maximum(inside, 1e-300) / (2.0 * wide)))


def true_stacks_um(plan: Plan, drawer: Drawer, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    """True thickness of each seat's stack in every build [µm, (n, 2)].

    plan; drawer; unknowns and builds of the job. A piece's own error is drawn once and is the same
    in every plan that uses the piece, so that plans are compared on equal builds.
    """
    total = np.zeros((len(builds.x), 2))
    for seat, name in enumerate(SEATS):
        for piece in plan.stack(name).pieces:
            lot = drawer.lot(piece.id)
            total[:, seat] += piece.count * lot.thickness_um
            total[:, seat] -= _errors_um(lot, name, piece.count, unknowns, builds)
    return total


def _errors_um(lot: Lot, seat: str, count: int, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    """By how much `count` pieces of a lot are thinner than stated, in every build [µm, (n,)]."""
    if not lot.tool:
        return count * _error_um(lot, f"lot {lot.id}", unknowns, builds)
    total = np.zeros(len(builds.x))
    tool = unknowns.tool(lot.tool)
    if tool >= 0:
        total += count * builds.x[:, tool]
    for number in pieces_taken(lot, seat, count):
        total += _error_um(lot, f"piece {lot.id} #{number}", unknowns, builds)
    return total


def _error_um(lot: Lot, name: str, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    place = unknowns.index.get(name)
    if place is not None:
        return np.asarray(builds.x[:, place])
    known = f"{name} within {lot.within_um}"
    if known not in builds.errors:
        rng = np.random.default_rng((SEED, zlib.crc32(name.encode())))
        builds.errors[known] = drawn(Spread(0.0, lot.within_um, 0.0), len(builds.x), rng)
    return builds.errors[known]
