"""Judge a plan from scratch, by normal law and simulation; knows neither choice nor ticks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.findings import ResultFound, Verdict
from solver.freedom import effective_freedom, student_quantile
from solver.job import Job, Round
from solver.line import COLD_C, Line, growth_name, stack_growth
from solver.mechanics import CLEARANCE, GAP, RATIO, SHARE, backlash_range_um
from solver.normal import normal_cdf
from solver.pieces import BARE_DISTANCE, BARE_FLOAT, GIVE, PINION_RATIO, known_of
from solver.plan import Plan
from solver.simulation import Builds, simulate_builds, true_stacks_um

CLOUD = 400
CLOUDED = 2  # results that a picture has axes for
RUN_OUT_SEED = 20_261
BAND = 0.95  # share that the expanded uncertainty holds
PANELS = {1: (), 2: (600,), 3: (300, 100), 4: (200, 80, 60)}  # of Simpson's rule, by results

Results = Callable[[np.ndarray, np.ndarray], np.ndarray]


@dataclass(frozen=True, slots=True, eq=False)
class _Built:
    """What a plan makes of every build."""

    inside: dict[str, np.ndarray]  # of each result, whether its limit is met [(n,)]
    ends: dict[str, tuple[np.ndarray, np.ndarray]]  # least and most of each result [µm, (n,)]
    even: np.ndarray  # whether the spread round the wheel meets its limit [(n,)]

    @property
    def met(self) -> np.ndarray:
        """Whether every limit is met [(n,)]."""
        return np.asarray(np.logical_and.reduce([*self.inside.values(), self.even]))


def judge(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds | None = None
) -> Verdict:
    """Judge one plan.

    job, drawer, estimate; plan; builds: simulated ones to reuse. Returns: a Verdict, whose chance
    is the simulated one. Source: JCGM 101 for the simulation, JCGM 106 for the chance.
    """
    builds = builds or simulate_builds(job, estimate)
    built = _build(job, drawer, estimate, plan, builds)
    mean, cov = predict_plan(job, drawer, estimate, plan)
    u_um = np.sqrt(np.diag(cov))
    freedom = _freedom(job, drawer, estimate, plan, u_um)
    found = []
    for at, result in enumerate(estimate.axle.results):
        limit, u = job.limit(result), float(u_um[at])
        found.append(
            ResultFound(
                result,
                float(mean[at]),
                u,
                limit.low_um,
                limit.high_um,
                builds.share(built.inside[result]),
                _band(builds, *built.ends[result]),
                freedom[at],
                float(student_quantile(BAND, freedom[at]) * u),
            )
        )
    jam = 0.0
    if job.carrier:
        least, _ = built.ends["backlash"]
        tightest = least
        if job.wheel is not None and job.wheel.where == "mean":  # it jams at its tight spot
            tightest = least - _run_out_um(job.wheel, len(least))
        jam = builds.share(tightest <= 0.0)
    picked = _picked(builds)
    shown = (built.ends[result] for result in estimate.axle.results[:CLOUDED])
    cloud = np.column_stack([(least[picked] + most[picked]) / 2.0 for least, most in shown])
    cloud.flags.writeable = False
    return Verdict(
        plan,
        builds.share(built.met),
        normal_chance(job, drawer, estimate, plan),
        jam,
        tuple(found),
        builds.effective,
        cloud,
        builds.share(built.even),
    )


def _freedom(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, u_um: np.ndarray
) -> tuple[float, ...]:
    """Effective degrees of freedom of each result; only repeats have a finite number."""
    slope, _, _ = plan_slopes(job, drawer, estimate, plan)
    repeats_u = np.array([row.spread.repeats_u_um for row in estimate.rows])
    parts = np.abs(slope @ estimate.fit.gain) * repeats_u
    freedoms = [*(row.spread.freedom for row in estimate.rows), math.inf]
    rest = np.sqrt(np.maximum(u_um**2 - (parts**2).sum(axis=1), 0.0))
    return tuple(
        effective_freedom([*map(float, of), float(left)], freedoms)
        for of, left in zip(parts, rest, strict=True)
    )


def simulated_chance(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds
) -> float:
    """Share of simulated builds in which a plan meets every limit.

    job, drawer, estimate; plan; builds of the job. Returns: 0 to 1.
    """
    return builds.share(_build(job, drawer, estimate, plan, builds).met)


def built_um(job: Job, estimate: Estimate, builds: Builds, plan: Plan) -> dict[str, np.ndarray]:
    """Results of lines in every build, nothing being fitted.

    job of lines; estimate and builds of it; plan: with no piece in it. Returns: of each line
    [µm, (n,)].
    """
    stacks = true_stacks_um(plan, Drawer(()), estimate.unknowns, builds)
    return {line.name: _line_um(job, line, estimate, builds.x, stacks.T) for line in job.lines}


def _build(job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds) -> _Built:
    """What a plan makes of every build: its results, and whether they meet their limits."""
    stacks = true_stacks_um(plan, drawer, estimate.unknowns, builds)
    even = np.ones(len(builds.x), bool)
    ends: dict[str, tuple[np.ndarray, np.ndarray]] = {}
    if job.carrier:
        ends, even = _carrier_ends(job, estimate, stacks, builds)
    if job.pinion is not None:
        ends |= _pinion_ends(estimate, stacks, builds)
    for line in job.lines:
        built = _line_um(job, line, estimate, builds.x, stacks.T)
        ends[line.name] = (built, built)
    inside = {}
    for result, (least, most) in ends.items():
        limit = job.limit(result)
        inside[result] = (least >= limit.low_um) & (most <= limit.high_um)
    return _Built(inside, ends, even)


def _carrier_ends(
    job: Job, estimate: Estimate, stacks: np.ndarray, builds: Builds
) -> tuple[dict[str, tuple[np.ndarray, np.ndarray]], np.ndarray]:
    """Least and most backlash, as its limit takes it round the wheel, and the pinch."""
    axle, x = estimate.axle, builds.x
    wheel, plain = job.seats[0].sign * stacks[:, 0], job.seats[1].sign * stacks[:, 1]
    pinch = wheel + plain - x[:, CLEARANCE]
    least, most = backlash_range_um(x[:, RATIO], x[:, GAP] - wheel, pinch, x[:, SHARE])
    if axle.then_lean is not None:
        more_um = stacks[:, axle.head] - axle.then_um - x @ axle.then_lean
        closed = x[:, axle.places[PINION_RATIO]] * axle.signs[axle.head] * more_um
        least, most = least - closed, most - closed
    even = np.ones(len(least), bool)
    if job.wheel is not None:
        out = _run_out_um(job.wheel, len(least))
        even = 2.0 * out <= job.wheel.most_um
        if job.wheel.where != "mean":
            least, most = least - out, most + (out if job.wheel.where == "all round" else -out)
    return {"backlash": (least, most), "pinch": (pinch, pinch)}, even


def _pinion_ends(
    estimate: Estimate, stacks: np.ndarray, builds: Builds
) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """The pinion's depth, and its end float where it has a solid spacer."""
    axle, x = estimate.axle, builds.x
    head = stacks[:, axle.head]
    stands = x[:, axle.places[BARE_DISTANCE]] + x[:, axle.places[GIVE]]
    depth = stands - axle.signs[axle.head] * head - axle.wanted_um
    found = {"depth": (depth, depth)}
    if axle.spacer >= 0:
        loose = x[:, axle.places[BARE_FLOAT]] + stacks[:, axle.spacer] - axle.couples * head
        found["pinion end float"] = (loose, loose)
    return found


def _line_um(
    job: Job, line: Line, estimate: Estimate, x: np.ndarray, stacks_um: np.ndarray
) -> np.ndarray:
    """A line's result at its temperature.

    x: unknowns [(..., d)]; stacks_um: true stacks [µm, (seats, ...)]. Returns [µm, (...)].
    """
    places = estimate.unknowns.index
    total = 0.0 * x[..., 0]
    for name, factor in line.terms:
        part = next(one for one in job.dimensions if one.name == name)
        total = total + factor * x[..., places[name]]
        grown = part.about_um * part.per_k * (line.celsius - COLD_C)
        if part.metal and grown:
            total = total + factor * grown * x[..., places[growth_name(part.metal)]]
    seats = [seat.name for seat in job.seats]
    for seat, factor in line.seats:
        total = total + factor * stack_growth(line.celsius) * stacks_um[seats.index(seat)]
    return np.asarray(total)


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


def _results(job: Job, estimate: Estimate, part: str) -> Results:
    """The results as plain functions of the unknowns and the true stacks.

    part: 'pinched', or 'near' and 'far' for the two ends that end float leaves, or 'middle'.
    """
    axle = estimate.axle

    def results(x: np.ndarray, stacks_um: np.ndarray) -> np.ndarray:
        found = []
        if axle.carrier:
            wheel, plain = (job.seats[at].sign * stacks_um[at] for at in (0, 1))
            pinch = wheel + plain - x[CLEARANCE]
            share = {"pinched": x[SHARE], "near": 1.0, "far": 0.0, "middle": 0.5}[part]
            lash = x[RATIO] * (x[GAP] - wheel + share * pinch)
            if axle.then_lean is not None:
                more = stacks_um[axle.head] - axle.then_um - axle.then_lean @ x
                lash -= x[axle.places[PINION_RATIO]] * axle.signs[axle.head] * more
            found += [lash, pinch]
        if axle.head >= 0:
            stands = x[axle.places[BARE_DISTANCE]] + x[axle.places[GIVE]]
            found.append(stands - axle.signs[axle.head] * stacks_um[axle.head] - axle.wanted_um)
        if axle.spacer >= 0:
            taken = axle.couples * stacks_um[axle.head]
            found.append(x[axle.places[BARE_FLOAT]] + stacks_um[axle.spacer] - taken)
        found += [_line_um(job, line, estimate, x, stacks_um) for line in job.lines]
        return np.array(found)

    return results


def plan_inputs(
    drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What is known of a plan's stacks.

    drawer, estimate; plan. Returns: nominal [µm, (s,)], lean [(s, d)], own covariance
    [µm², (s, s)].
    """
    unknowns, seats = estimate.unknowns, len(plan.stacks)
    nominal, lean = np.zeros(seats), np.zeros((seats, len(unknowns)))
    own = np.zeros((seats, seats))
    shared: list[dict[str, float]] = [{} for _ in plan.stacks]
    for seat, stack in enumerate(plan.stacks):
        for piece in stack.pieces:
            known = known_of(drawer.lot(piece.id), stack.seat, piece.count, unknowns)
            nominal[seat] += piece.count * piece.thickness_um
            lean[seat] += known.lean
            own[seat, seat] += known.own_um2
            shared[seat][piece.id] = piece.count * known.shared_u_um
    for one in range(seats):
        for two in range(seats):
            if one != two:
                both = (u * shared[two].get(lot, 0.0) for lot, u in shared[one].items())
                own[one, two] = sum(both)
    return nominal, lean, own


def _slopes(
    results: Results, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The results with their slopes, taken by stepping every input both ways.

    Returns: mean [(R,)], by unknown [(R, d)], by own error of each stack [(R, s)], own covariance.
    """
    nominal, lean, own = plan_inputs(drawer, estimate, plan)
    x = estimate.fit.x

    def at(x: np.ndarray, extra: np.ndarray) -> np.ndarray:
        return results(x, nominal + lean @ x + extra)

    none = np.zeros(len(nominal))
    slope = np.column_stack(
        [(at(x + step, none) - at(x - step, none)) / 2e-3 for step in 1e-3 * np.eye(len(x))]
    )
    by_stack = np.zeros((len(slope), len(nominal)))
    for seat, step in enumerate(1e-3 * np.eye(len(nominal))):
        by_stack[:, seat] = (at(x, step) - at(x, -step)) / 2e-3
    return at(x, none), slope, by_stack, own


def _law(
    job: Job, part: str, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray]:
    """Mean [(R,)] and covariance [(R, R)] of the results."""
    results = _results(job, estimate, part)
    mean, slope, by_stack, own = _slopes(results, drawer, estimate, plan)
    return mean, slope @ estimate.fit.cov @ slope.T + by_stack @ own @ by_stack.T


def _floats(job: Job, mean: np.ndarray) -> bool:
    """Whether the carrier is predicted to float."""
    return job.carrier and bool(mean[1] < 0)


def plan_slopes(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """How the results follow the inputs with a plan fitted.

    job, drawer, estimate; plan. Returns: by unknown [(R, d)], by own error of each stack [(R, s)],
    own covariance [µm²].
    """
    pinched = _results(job, estimate, "pinched")
    mean, slope, by_stack, own = _slopes(pinched, drawer, estimate, plan)
    if _floats(job, mean):
        middle = _results(job, estimate, "middle")
        _, slope, by_stack, own = _slopes(middle, drawer, estimate, plan)
    return slope, by_stack, own


def predict_plan(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan
) -> tuple[np.ndarray, np.ndarray]:
    """Predicted results [µm, (R,)] with their covariance [µm², (R, R)].

    job, drawer, estimate; plan. With end float the backlash is the middle of its range; it is that
    of the tightest tooth where its limit is, the run-out taken as it was found.
    """
    mean, cov = _law(job, "pinched", drawer, estimate, plan)
    if _floats(job, mean):
        mean, cov = _law(job, "middle", drawer, estimate, plan)
    if job.carrier:
        mean = mean - np.eye(len(mean))[0] * job.shift_um
    return mean, cov


def normal_chance(job: Job, drawer: Drawer, estimate: Estimate, plan: Plan) -> float:
    """Chance that every limit is met, by the normal law; shares no code with the search.

    job, drawer, estimate; plan. Returns: 0 to 1. Source: JCGM 106 in as many dimensions as there
    are results, Simpson's rule along all but the last.
    """
    windows = [job.window_um(result) for result in estimate.axle.results]
    if not job.carrier:
        whole = _law(job, "pinched", drawer, estimate, plan)
        return min(max(_boxed((whole, whole), windows), 0.0), 1.0)
    # the pinch first, the backlash last: it may have two ends, which the others settle
    low, high = windows[1]
    order = [1, *range(2, len(windows)), 0]
    rest = [windows[at] for at in order[1:]]
    total = 0.0
    if high > 0:
        both = _reordered(_law(job, "pinched", drawer, estimate, plan), order)
        total += _boxed((both, both), [(max(low, 0.0), high), *rest])
    if low < 0:
        near, far = (
            _reordered(_law(job, part, drawer, estimate, plan), order) for part in ("near", "far")
        )
        total += _boxed((near, far), [(low, min(high, 0.0)), *rest])
    return float(min(max(total, 0.0), 1.0))


def _reordered(
    law: tuple[np.ndarray, np.ndarray], order: list[int]
) -> tuple[np.ndarray, np.ndarray]:
    return law[0][order], law[1][np.ix_(order, order)]


def _boxed(
    ends: tuple[tuple[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]],
    windows: list[tuple[float, float]],
) -> float:
    """Chance that every result lies in its window, the last one's ends held each on its own.

    All but the last are stepped through by Simpson's rule, each with what those before it tell.
    """
    (mean, cov), (other, other_cov) = ends
    means, others, weight = mean[None, :], other[None, :], np.ones(1)
    for window, panels in zip(windows[:-1], PANELS[len(windows)], strict=True):
        middle, room = means[:, :1], math.sqrt(max(float(cov[0, 0]), 1e-12))
        start = np.maximum(window[0], middle - 8 * room)
        wide = np.maximum(np.minimum(window[1], middle + 8 * room) - start, 0.0)
        points = start + wide * np.arange(panels + 1) / panels
        rule = np.where(np.arange(panels + 1) % 2, 4.0, 2.0)
        rule[[0, -1]] = 1.0
        density = np.exp(-(((points - middle) / room) ** 2) / 2) / (room * math.sqrt(math.tau))
        weight = (weight[:, None] * density * rule * wide / panels / 3.0).ravel()
        means, cov = _given(means, cov, points)
        others, other_cov = _given(others, other_cov, points)
    below = _below(means, cov, windows[-1][0])
    above = _below(others, other_cov, windows[-1][1])
    return float((np.maximum(above - below, 0.0) * weight).sum())


def _given(means: np.ndarray, cov: np.ndarray, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """What remains of the other results once the first is known.

    means [(n, R)]; cov [(R, R)]; points: of the first [(n, m)]. Returns: means [(n m, R - 1)] and
    their covariance.
    """
    tilt = cov[1:, 0] / max(float(cov[0, 0]), 1e-12)
    moved = means[:, None, 1:] + tilt * (points - means[:, :1])[:, :, None]
    return moved.reshape(-1, len(tilt)), cov[1:, 1:] - np.outer(tilt, cov[0, 1:])


def _below(means: np.ndarray, cov: np.ndarray, limit_um: float) -> np.ndarray:
    """Chance that the one result left is below a limit [(n,)]."""
    return normal_cdf((limit_um - means[:, 0]) / math.sqrt(max(float(cov[0, 0]), 1e-12)))
