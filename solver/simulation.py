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

from solver.axle import OLD_BUILD, Axle
from solver.drawer import Drawer, Lot
from solver.estimate import Estimate
from solver.job import Job
from solver.line import growth_name, stack_growth
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE, backlash_range_um
from solver.normal import normal_cdf
from solver.pieces import (
    BARE_DISTANCE,
    BARE_FLOAT,
    GIVE,
    HEAD_HEIGHT,
    OLD_HEIGHT,
    Unknowns,
    pieces_taken,
)
from solver.plan import Plan
from solver.rows import Row
from solver.spread import Spread, scatter_um2

BUILDS = 50_000
SEED = 20_260
FEW = 0.1  # below this share of effective builds, draw around the estimate instead
T_FREEDOM = 6  # tails of the proposal
MOST_SETS = 3000  # of rows to draw from that are all tried


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
    estimate = replace(estimate, rows=_by_hand(job, estimate.rows))
    rng = np.random.default_rng(SEED)
    found = _from_priors(estimate, rng, builds)
    if found.effective >= FEW * builds:
        return found
    around = _around_estimate(estimate, rng, builds)
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
    if spread.second_um:
        draws += spread.second_um * (2.0 * rng.random(count) - 1.0)
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


def _from_priors(estimate: Estimate, rng: np.random.Generator, builds: int) -> Builds:
    axle = estimate.axle
    x = np.empty((builds, len(estimate.unknowns)))
    for at, unknown in enumerate(estimate.unknowns.items):
        if unknown.within is None:
            x[:, at] = estimate.fit.x[at]
        else:
            x[:, at] = drawn(unknown.spread, builds, rng)
    log_weight = np.zeros(builds)
    pivots: tuple[Row, ...] = ()
    if axle.carrier:
        pivots = _pivots(estimate, [CLEARANCE, GAP])
        log_weight = _solve_pivots(x, (pivots[0], pivots[1]), axle, rng)
    parts = {axle.places[one.name] for one in axle.dimensions}
    free = [
        at
        for at, one in enumerate(estimate.unknowns.items)
        if (one.within is None or at in parts) and not (axle.carrier and at in (CLEARANCE, GAP))
    ]
    if free:
        sums = _pivots(estimate, free)
        _solve_linear(x, sums, free, axle, rng)
        pivots = (*pivots, *sums)
    for row in estimate.rows:
        if row not in pivots and (row.of != "prior" or row.place in parts):
            log_weight += log_likelihood(row, x, axle)
    return _weighted(x, log_weight)


def _pivots(estimate: Estimate, free: list[int]) -> tuple[Row, ...]:
    """The rows, as many as there are unknowns, that settle some unknowns best.

    What is known of a part beforehand is one of them: where nothing better was read it is drawn
    from. Where there are too many to try each set, each in turn that adds most to those before it.
    """
    slopes = estimate.fit.slope[:, free] / estimate.fit.u[:, None]
    rows = [
        at
        for at, row in enumerate(estimate.rows)
        if not row.side and slopes[at].any() and (row.of != "prior" or row.place in free)
    ]
    if math.comb(len(rows), len(free)) > MOST_SETS:
        taken: list[int] = []
        left = slopes[rows].copy()
        for _ in free:
            one = int(np.argmax((left**2).sum(axis=1)))
            taken.append(rows[one])
            along = left[one] / np.linalg.norm(left[one])
            left = left - np.outer(left @ along, along)
        return tuple(estimate.rows[at] for at in taken)
    best = max(
        itertools.combinations(rows, len(free)),
        key=lambda some: abs(float(np.linalg.det(slopes[list(some)]))),
    )
    return tuple(estimate.rows[at] for at in best)


def _solve_linear(
    x: np.ndarray, pivots: tuple[Row, ...], free: list[int], axle: Axle, rng: np.random.Generator
) -> None:
    """Put into x what makes rows true, each of which is a plain sum."""
    miss = np.empty((len(pivots), len(x)))
    slope = np.empty((len(pivots), len(free)))
    x[:, free] = 0.0
    for one, row in enumerate(pivots):
        noise = drawn(replace(row.spread, centre_um=0.0), len(x), rng)
        at_nothing = reads(row, x, axle)
        miss[one] = row.spread.centre_um - noise - at_nothing
        for place, unknown in enumerate(free):
            moved = x[:1].copy()
            moved[0, unknown] += 1.0
            slope[one, place] = (reads(row, moved, axle) - at_nothing[:1])[0]
    x[:, free] = np.linalg.solve(slope, miss).T


def _solve_pivots(
    x: np.ndarray, pivots: tuple[Row, Row], axle: Axle, rng: np.random.Generator
) -> np.ndarray:
    """Put into x the clearance and gap that make both readings true; Newton, two unknowns.

    Returns: log of the weight that a reading not square to clearance and gap brings.
    """
    wanted = []
    for row in pivots:
        noise = drawn(replace(row.spread, centre_um=0.0), len(x), rng)
        loose = float_half_um(row, x, axle) * (2.0 * rng.random(len(x)) - 1.0)
        wanted.append(row.spread.centre_um - noise - loose)
    step = 0.01
    for _ in range(6):
        at = [reads(row, x, axle) for row in pivots]
        slope = np.empty((2, 2, len(x)))
        for place in (CLEARANCE, GAP):
            x[:, place] += step
            for one, row in enumerate(pivots):
                slope[one, place] = (reads(row, x, axle) - at[one]) / step
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


def _around_estimate(estimate: Estimate, rng: np.random.Generator, builds: int) -> Builds:
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
        if unknown.drawn is not None and unknown.within is not None:
            spread = unknown.spread
            log_weight += log_density(
                x[:, at] - unknown.centre, spread.half_um, spread.second_um, spread.sd_um
            )
        elif unknown.within is not None:
            log_weight[np.abs(x[:, at] - unknown.centre) > unknown.within] = -np.inf
    for row in estimate.rows:
        if row.of != "prior":
            log_weight += log_likelihood(row, x, estimate.axle)
    return _weighted(x, log_weight)


def reads(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """What a reading would show in each build, without its own noise.

    row; x [(n, d)]; axle: of the job. Returns [µm, (n,)]; the middle of the backlash where the
    carrier floats.
    """
    common = x[:, row.place] if row.place >= 0 else np.zeros(len(x))
    if row.of == "prior":
        return common
    if row.follows is not None:
        names = {part.name for part in axle.dimensions} | {line.name for line in axle.lines}
        found = _reads_line(row, x, axle) if row.of in names else _reads_pinion(row, x, axle)
        return np.asarray(found + common)
    clearance, gap = x[:, CLEARANCE], x[:, GAP]
    if row.of == "total clearance":
        return np.asarray(clearance + common)
    if row.of == "mesh gap":
        return np.asarray(gap + common)
    if row.of == "far gap in mesh":
        return np.asarray(clearance - gap + common)
    wheel, plain = _fitted(row, x, axle)[:2]
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


def _reads_line(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """What a part or a line would show in each build, as warm as it was [µm, (n,)]."""
    parts = {one.name: one for one in axle.dimensions}
    line = next((line for line in axle.lines if line.name == row.of), None)
    terms, seats = (line.terms, line.seats) if line else (((row.of, 1.0),), ())
    total = np.zeros(len(x))
    for name, factor in terms:
        part = parts[name]
        total += factor * x[:, axle.places[name]]
        grown = factor * part.growth_um(row.celsius)
        if part.metal and grown:
            total += grown * x[:, axle.places[growth_name(part.metal)]]
    stacks = row.stacks_um[:, None] + row.lean @ x.T
    for seat, factor in seats:
        total += factor * stack_growth(row.celsius) * stacks[axle.names.index(seat)]
    return total


def _reads_pinion(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """What a reading of the pinion would show in each build [µm, (n,)]."""
    names = {"head height": HEAD_HEIGHT, "old head height": OLD_HEIGHT}
    give = x[:, axle.places[GIVE]]
    if row.of in names:
        return np.asarray(x[:, axle.places[names[row.of]]] - (give if row.loaded else 0.0))
    bare = x[:, axle.places[BARE_DISTANCE]]
    if row.of == "axis to seat":
        return np.asarray(bare + x[:, axle.places[HEAD_HEIGHT]])
    stacks = _fitted(row, x, axle)
    if row.of == "pinion end float":
        thick = stacks[axle.spacer] - axle.couples * stacks[axle.head]
        return np.asarray(x[:, axle.places[BARE_FLOAT]] + thick)
    stands = bare - stacks[axle.head]
    if row.of == OLD_BUILD and OLD_HEIGHT in axle.places:
        stands = stands + x[:, axle.places[HEAD_HEIGHT]] - x[:, axle.places[OLD_HEIGHT]]
    return np.asarray(stands + (give if row.loaded or row.of == OLD_BUILD else 0.0))


def _fitted(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """True stacks that were in while a row was read, signed as their seats are [µm, (seats, n)]."""
    signs = np.array(axle.signs, float)
    return np.asarray((row.stacks_um[:, None] + row.lean @ x.T) * signs[:, None])


def float_half_um(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """Half the range of a backlash read while the carrier floats; else 0.

    row; x: unknowns [(n, d)]; axle: of the job. Returns [µm, (n,)].
    """
    if row.of != "backlash" or row.follows is not None:
        return np.zeros(len(x))
    loose = np.maximum(x[:, CLEARANCE] - _fitted(row, x, axle)[:2].sum(axis=0), 0.0)
    return np.asarray(row.factor * x[:, RATIO] * loose / 2.0)


def log_likelihood(row: Row, x: np.ndarray, axle: Axle) -> np.ndarray:
    """How well each build explains a reading [(n,)].

    row; x [(n, d)]; axle: of the job. Rectangular plus normal; one-sided readings by a softened
    step.
    """
    shown = reads(row, x, axle)
    if row.side:
        z = row.side * (shown - row.spread.centre_um) / row.spread.u_um
        return np.asarray(np.log(np.maximum(normal_cdf(z), 1e-300)))
    miss = row.spread.centre_um - shown
    half = row.spread.half_um + float_half_um(row, x, axle)
    sd = row.spread.sd_um
    if row.spread.second_um:
        return log_density(miss, row.spread.half_um, row.spread.second_um, sd)
    if sd == 0.0:
        return np.where(np.abs(miss) <= half, -np.log(2.0 * np.maximum(half, 1e-9)), -np.inf)
    flat = half > 0.02 * sd
    if not flat.any():
        return np.asarray(-((miss / sd) ** 2) / 2.0 - math.log(sd * math.sqrt(math.tau)))
    wide = np.maximum(half, 0.02 * sd)
    inside = normal_cdf((miss + wide) / sd) - normal_cdf((miss - wide) / sd)
    return np.asarray(np.log(np.maximum(inside, 1e-300) / (2.0 * wide)))


def log_density(miss_um: np.ndarray, half_um: float, second_um: float, sd_um: float) -> np.ndarray:
    """Log-density of the sum of two uniforms and a normal error.

    miss_um: [µm, (n,)]; half_um, second_um: half-widths of the uniforms, sd_um: standard deviation,
    any of them may be 0 [µm]. Returns [(n,)], -inf where it cannot be. Source: second differences
    of the integral of the normal distribution; for two equal uniforms alone the triangle of GUM
    4.3.9.
    """

    def integral(t: np.ndarray) -> np.ndarray:
        if sd_um == 0.0:
            return np.asarray(np.maximum(t, 0.0))
        z = t / sd_um
        return np.asarray(sd_um * (z * normal_cdf(z) + np.exp(-(z**2) / 2.0) / math.sqrt(math.tau)))

    with np.errstate(divide="ignore"):
        if half_um and second_um:
            ends = (
                half_um + second_um,
                half_um - second_um,
                second_um - half_um,
                -half_um - second_um,
            )
            parts = [integral(miss_um + end) for end in ends]
            dense = (parts[0] - parts[1] - parts[2] + parts[3]) / (4.0 * half_um * second_um)
        elif half_um or second_um:
            wide_um = half_um or second_um
            if sd_um == 0.0:
                dense = (np.abs(miss_um) <= wide_um) / (2.0 * wide_um)
            else:
                inside = normal_cdf((miss_um + wide_um) / sd_um) - normal_cdf(
                    (miss_um - wide_um) / sd_um
                )
                dense = inside / (2.0 * wide_um)
        else:
            dense = np.exp(-((miss_um / sd_um) ** 2) / 2.0) / (sd_um * math.sqrt(math.tau))
        return np.asarray(np.log(np.maximum(dense, 0.0)))


def true_stacks_um(plan: Plan, drawer: Drawer, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    """True thickness of each seat's stack in every build [µm, (n, seats)].

    plan; drawer; unknowns and builds of the job. A piece's own error is drawn once and is the same
    in every plan that uses the piece, so that plans are compared on equal builds.
    """
    total = np.zeros((len(builds.x), len(plan.stacks)))
    for seat, stack in enumerate(plan.stacks):
        for piece in stack.pieces:
            lot = drawer.lot(piece.id)
            total[:, seat] += piece.count * lot.thickness_um
            total[:, seat] -= _errors_um(lot, stack.seat, piece.count, unknowns, builds)
    return total


def _errors_um(lot: Lot, seat: str, count: int, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    """By how much `count` pieces of a lot are thinner than stated, in every build [µm, (n,)]."""
    total = np.zeros(len(builds.x))
    for number in range(1, count + 1) if lot.lift_um else ():
        name = f"lift {seat} {lot.id} #{number}"
        total += _own_error_um(name, lot.lift_um / 2.0, builds)
    if not lot.tool:
        return np.asarray(total + count * _error_um(lot, f"lot {lot.id}", unknowns, builds))
    tool = unknowns.tool(lot.tool)
    if tool >= 0:
        total += count * builds.x[:, tool]
    for number in pieces_taken(lot, seat, count, unknowns.ends):
        total += _error_um(lot, f"piece {lot.id} #{number}", unknowns, builds)
    return total


def _error_um(lot: Lot, name: str, unknowns: Unknowns, builds: Builds) -> np.ndarray:
    place = unknowns.index.get(name)
    if place is not None:
        return np.asarray(builds.x[:, place])
    return _own_error_um(name, lot.within_um, builds)


def _own_error_um(name: str, within_um: float, builds: Builds) -> np.ndarray:
    """An error of its own, drawn once by its name [µm, (n,)]."""
    known = f"{name} within {within_um}"
    if known not in builds.errors:
        rng = np.random.default_rng((SEED, zlib.crc32(name.encode())))
        builds.errors[known] = drawn(Spread(0.0, within_um, 0.0), len(builds.x), rng)
    return builds.errors[known]
