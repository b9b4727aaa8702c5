"""Judge a plan from scratch, by normal law and simulation; knows neither choice nor ticks."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.findings import ResultFound, Verdict
from solver.freedom import effective_freedom, student_quantile
from solver.job import Job, Round
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE, backlash_range_um
from solver.pieces import SEATS, known_of
from solver.plan import Plan
from solver.simulation import Builds, simulate_builds, true_stacks_um

CLOUD = 400
RUN_OUT_SEED = 20_261
BAND = 0.95  # share that the expanded uncertainty holds
PANELS = 600  # of Simpson's rule, either side of no pinch

Results = Callable[[np.ndarray, np.ndarray], np.ndarray]


def judge(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds | None = None
) -> Verdict:
    """Judge one plan.

    job, drawer, estimate; plan; builds: simulated ones to reuse. Returns: a Verdict, whose chance
    is the simulated one. Source: JCGM 101 for the simulation, JCGM 106 for the chance.
    """
    builds = builds or simulate_builds(job, estimate)
    lash, squeeze = job.limit("backlash"), job.limit("pinch")
    inside, ends = _ends_and_inside(job, drawer, estimate, plan, builds)
    (lash_in, pinch_in, _), (least, most, pinch) = inside, ends
    mean, cov = predict_plan(job, drawer, estimate, plan)
    u_um = np.sqrt(np.diag(cov))
    freedom = _freedom(job, drawer, estimate, plan, u_um)
    expanded = [student_quantile(BAND, free) * u for free, u in zip(freedom, u_um, strict=True)]
    found = (
        ResultFound(
            "backlash",
            float(mean[0]),
            float(u_um[0]),
            lash.low_um,
            lash.high_um,
            builds.share(lash_in),
            _band(builds, least, most),
            freedom[0],
            float(expanded[0]),
        ),
        ResultFound(
            "pinch",
            float(mean[1]),
            float(u_um[1]),
            squeeze.low_um,
            squeeze.high_um,
            builds.share(pinch_in),
            _band(builds, pinch, pinch),
            freedom[1],
            float(expanded[1]),
        ),
    )
    tightest = least
    if job.wheel is not None and job.wheel.where == "mean":  # it jams at its tight spot
        tightest = least - _run_out_um(job.wheel, len(least))
    picked = _picked(builds)
    cloud = np.column_stack([(least[picked] + most[picked]) / 2.0, pinch[picked]])
    cloud.flags.writeable = False
    return Verdict(
        plan,
        builds.share(np.logical_and.reduce(inside)),
        normal_chance(job, drawer, estimate, plan),
        builds.share(tightest <= 0.0),
        found,
        builds.effective,
        cloud,
        builds.share(inside[2]),
    )


def _freedom(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, u_um: np.ndarray
) -> tuple[float, float]:
    """Effective degrees of freedom of backlash and pinch; only repeats have a finite number."""
    slope, _, _ = plan_slopes(job, drawer, estimate, plan)
    repeats_u = np.array([row.spread.repeats_u_um for row in estimate.rows])
    parts = np.abs(slope @ estimate.fit.gain) * repeats_u
    freedoms = [*(row.spread.freedom for row in estimate.rows), math.inf]
    rest = np.sqrt(np.maximum(u_um**2 - (parts**2).sum(axis=1), 0.0))
    backlash, pinch = (
        effective_freedom([*map(float, of), float(left)], freedoms)
        for of, left in zip(parts, rest, strict=True)
    )
    return backlash, pinch


def simulated_chance(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds
) -> float:
    """Share of simulated builds in which a plan meets every limit.

    job, drawer, estimate; plan; builds of the job. Returns: 0 to 1.
    """
    inside, _ = _ends_and_inside(job, drawer, estimate, plan, builds)
    return builds.share(np.logical_and.reduce(inside))


def _ends_and_inside(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds
) -> tuple[tuple[np.ndarray, ...], tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """For each build: whether backlash, pinch and the spread round the wheel meet their limits.

    And least and most backlash, as the limit takes it round the wheel, and the pinch.
    """
    lash, squeeze = job.limit("backlash"), job.limit("pinch")
    stacks = true_stacks_um(plan, drawer, estimate.unknowns, builds)
    stacks *= np.array([seat.sign for seat in job.seats])
    pinch = stacks.sum(axis=1) - builds.x[:, CLEARANCE]
    travel = builds.x[:, GAP] - stacks[:, 0]
    least, most = backlash_range_um(builds.x[:, RATIO], travel, pinch, builds.x[:, SHARE])
    even = np.ones(len(least), bool)
    if job.wheel is not None:
        out = _run_out_um(job.wheel, len(least))
        even = 2.0 * out <= job.wheel.most_um
        if job.wheel.where != "mean":
            least, most = least - out, most + (out if job.wheel.where == "all round" else -out)
    lash_in = (least >= lash.low_um) & (most <= lash.high_um)
    pinch_in = (pinch >= squeeze.low_um) & (pinch <= squeeze.high_um)
    return (lash_in, pinch_in, even), (least, most, pinch)


def _run_out_um(wheel: Round, builds: int) -> np.ndarray:
    """Run-out of the teeth in every build [µm, (n,)], the same builds for every plan."""
    rng = np.random.default_rng(RUN_OUT_SEED)
    parts = np.array([[wheel.cosine_um], [wheel.sine_um]])
    return np.asarray(np.hypot(*(parts + wheel.u_um * rng.standard_normal((2, builds)))))


def _band(builds: Builds, least: np.ndarray, most: np.ndarray) -> tuple[float, float]:
    """Where 95 % of the builds lie, equal tails; of the least below, of the most above."""
    tail = (1.0 - BAND) / 2.0
    if least is not most and not np.array_equal(least, most):
        return quantiles(builds, least, (tail,))[0], quantiles(builds, most, (1.0 - tail,))[0]
    low, high = quantiles(builds, least, (tail, 1.0 - tail))
    return low, high


def quantiles(builds: Builds, values: np.ndarray, shares: tuple[float, ...]) -> list[float]:
    """Values below which shares of the builds lie.

    builds; values: of each [any unit, (n,)]; shares: 0 to 1 [1]. Returns them. Source: JCGM 101,
    7.7.
    """
    order = np.argsort(values)
    reached = np.cumsum(builds.weight[order])
    places = np.minimum(np.searchsorted(reached, shares), len(order) - 1)
    return [float(values[order[at]]) for at in places]


def _picked(builds: Builds) -> np.ndarray:
    """A few hundred builds in the measure of their weights, evenly spaced, for a picture."""
    steps = (np.arange(CLOUD) + 0.5) / CLOUD
    places = np.searchsorted(np.cumsum(builds.weight), steps)
    return np.asarray(np.minimum(places, len(builds.weight) - 1))


def _results(job: Job, part: str) -> Results:
    """Backlash and pinch as plain functions of the unknowns and the true stacks.

    part: 'pinched', or 'near' and 'far' for the two ends that end float leaves, or 'middle'.
    """
    signs = np.array([seat.sign for seat in job.seats], float)

    def results(x: np.ndarray, stacks_um: np.ndarray) -> np.ndarray:
        signed = stacks_um * signs
        pinch = signed.sum() - x[CLEARANCE]
        share = {"pinched": x[SHARE], "near": 1.0, "far": 0.0, "middle": 0.5}[part]
        return np.array([x[RATIO] * (x[GAP] - signed[0] + share * pinch), pinch])

    return results


def _plan_inputs(
    drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Nominal stacks [µm, (2,)], their lean [(2, d)] and own covariance [µm², (2, 2)]."""
    unknowns = estimate.unknowns
    nominal, lean = np.zeros(2), np.zeros((2, len(unknowns)))
    own = np.zeros((2, 2))
    shared: list[dict[str, float]] = [{}, {}]
    for seat, name in enumerate(SEATS):
        for piece in plan.stack(name).pieces:
            known = known_of(drawer.lot(piece.id), name, piece.count, unknowns)
            nominal[seat] += piece.count * piece.thickness_um
            lean[seat] += known.lean
            own[seat, seat] += known.own_um2
            shared[seat][piece.id] = piece.count * known.shared_u_um
    own[0, 1] = own[1, 0] = sum(u * shared[1].get(lot, 0.0) for lot, u in shared[0].items())
    return nominal, lean, own


def _slopes(
    results: Results, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Two results with their slopes, taken by stepping every input both ways.

    Returns: mean [(2,)], by unknown [(2, d)], by own error of each stack [(2, 2)], own covariance.
    """
    nominal, lean, own = _plan_inputs(drawer, estimate, plan)
    x = estimate.fit.x

    def at(x: np.ndarray, extra: np.ndarray) -> np.ndarray:
        return results(x, nominal + lean @ x + extra)

    none = np.zeros(2)
    slope = np.column_stack(
        [(at(x + step, none) - at(x - step, none)) / 2e-3 for step in 1e-3 * np.eye(len(x))]
    )
    by_stack = np.column_stack([(at(x, step) - at(x, -step)) / 2e-3 for step in 1e-3 * np.eye(2)])
    return at(x, none), slope, by_stack, own


def _law(
    results: Results, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray]:
    """Mean [(2,)] and covariance [(2, 2)] of two results."""
    mean, slope, by_stack, own = _slopes(results, drawer, estimate, plan)
    return mean, slope @ estimate.fit.cov @ slope.T + by_stack @ own @ by_stack.T


def plan_slopes(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """How backlash and pinch follow the inputs with a plan fitted.

    job, drawer, estimate; plan. Returns: by unknown [(2, d)], by own error of each stack [(2, 2)],
    own covariance [µm²].
    """
    mean, slope, by_stack, own = _slopes(_results(job, "pinched"), drawer, estimate, plan)
    if mean[1] < 0:
        _, slope, by_stack, own = _slopes(_results(job, "middle"), drawer, estimate, plan)
    return slope, by_stack, own


def predict_plan(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray]:
    """Predicted backlash and pinch [µm, (2,)] with their covariance [µm², (2, 2)].

    job, drawer, estimate; plan. With end float the backlash is the middle of its range; it is that
    of the tightest tooth where its limit is, the run-out taken as it was found.
    """
    mean, cov = _law(_results(job, "pinched"), drawer, estimate, plan)
    if mean[1] < 0:
        mean, cov = _law(_results(job, "middle"), drawer, estimate, plan)
    return mean - np.array([job.shift_um, 0.0]), cov


def normal_chance(job: Job, drawer: Drawer, estimate: Estimate, plan: Plan) -> float:
    """Chance that every limit is met, by the normal law; shares no code with the search.

    job, drawer, estimate; plan. Returns: 0 to 1. Source: JCGM 106 in two dimensions, Simpson's
    rule along the pinch.
    """
    lash, squeeze = job.held_um, job.limit("pinch")
    low, high = squeeze.low_um, squeeze.high_um
    total = 0.0
    if high > 0:
        both = _law(_results(job, "pinched"), drawer, estimate, plan)
        total += _slab((both, both), lash, max(low, 0.0), high)
    if low < 0:
        near = _law(_results(job, "near"), drawer, estimate, plan)
        far = _law(_results(job, "far"), drawer, estimate, plan)
        total += _slab((near, far), lash, low, min(high, 0.0))
    return float(min(max(total, 0.0), 1.0))


def _slab(
    ends: tuple[tuple[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]],
    lash_um: tuple[float, float],
    low_um: float,
    high_um: float,
) -> float:
    """Chance that the pinch lies between two values and both ends of the backlash inside."""
    pinch, room = ends[0][0][1], math.sqrt(max(ends[0][1][1, 1], 1e-12))
    start = max(low_um, pinch - 8 * room)
    stop = min(high_um, pinch + 8 * room)
    if stop <= start:
        return 0.0
    step = (stop - start) / PANELS
    total = 0.0
    for panel in range(PANELS + 1):
        p = start + panel * step
        below = _below(ends[0], p, lash_um[0])
        inside = max(_below(ends[1], p, lash_um[1]) - below, 0.0)
        density = math.exp(-(((p - pinch) / room) ** 2) / 2) / (room * math.sqrt(math.tau))
        total += inside * density * (1 if panel in (0, PANELS) else 4 if panel % 2 else 2)
    return float(total * step / 3.0)


def _below(law: tuple[np.ndarray, np.ndarray], pinch_um: float, limit_um: float) -> float:
    """Chance that the backlash is below a limit, given the pinch."""
    mean, cov = law
    tilt = cov[0, 1] / cov[1, 1]
    left = math.sqrt(max(cov[0, 0] - tilt * cov[0, 1], 1e-9 * cov[0, 0], 1e-12))
    z = (limit_um - mean[0] - tilt * (pinch_um - mean[1])) / left
    return 0.5 * math.erfc(-z / math.sqrt(2.0)) if math.isfinite(z) else float(z > 0)
