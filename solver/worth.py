"""Measure again, or fit it? What another reading is worth before it is taken.

For each reading that could be taken: what it may show, the plan chosen anew for each outcome, and
the chance of that plan, averaged. Linear at the estimate, by the normal law.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from solver.choice import begin_search
from solver.drawer import Drawer, Lot
from solver.estimate import Estimate, estimate_job
from solver.findings import LEAST_GAIN, Answer, Further, Worth
from solver.job import Job, Reading, Stack, Tool
from solver.law import Law
from solver.plan import Plan
from solver.plan_pool import Pool, best_chance, gather_pool
from solver.spread import of_reading
from solver.trouble import Trouble
from solver.verdict import predict_plan

TIMES = (1, 3)  # how often a reading is taken again
OUTCOMES = 25  # strata of equal chance
TRIAL_REPEATS = 3  # readings of the backlash of a trial fit
LENGTH_TOOLS = ("micrometer", "calliper")  # that measure a part from face to face
MOST_LOTS = 4  # unmeasured lots that are looked at
EFFORTS = ("piece", "bench", "assembly")  # from the least to the most


@dataclass(frozen=True, slots=True, eq=False)
class _Outcomes:
    """What a reading leaves: the law once it is in, and how far it may move things."""

    law: Law  # at the present estimate, with the covariance that the reading leaves
    pool: Pool
    move: np.ndarray  # [(d,)] of the unknowns, for one standard deviation of the reading
    column: int = 0  # whose pieces turn out thicker or thinner
    piece_um: float = 0.0  # by how much, for one standard deviation of the reading


def weigh_readings(answer: Answer) -> Worth:
    """Rank the readings that could be taken next by the chance they lead to.

    answer: finished. Returns: the Worth, the best first; empty where there is no plan. Limits:
    linear at the estimate, normal law, plans of one more piece at most; readings without a tool
    and one-sided ones are passed over. Source: preposterior analysis (Raiffa and Schlaifer 1961,
    from memory); tested against taking the reading 10 000 times.
    """
    job, drawer = answer.job, answer.drawer
    if answer.verdict is None:
        return Worth(0.0, ())
    plan = answer.verdict.plan
    estimate = estimate_job(job, drawer)
    search = begin_search(job, drawer, estimate)
    law, pool = search.law, gather_pool(search, plan.shims + 1)
    now, _ = best_chance(law, pool.stacks, law.spreads(pool.stacks))
    found = []
    for reading in job.readings:
        for times in TIMES:
            new = again(reading, times, job, estimate)
            outcomes = new and _after_reading(job, drawer, new, law, pool)
            if outcomes:
                effort = "assembly" if reading.fitted else "bench"
                chance = expected_chance(outcomes)
                found.append(Further("again", reading.number, "", times, effort, chance))
    for lot in _unmeasured(drawer, plan, pool, estimate):
        outcomes = _after_measuring(job, drawer, estimate, plan, lot)
        if outcomes:
            chance = expected_chance(outcomes)
            found.append(Further("measure", None, lot.id, 1, "piece", chance))
    for new in _unread(job, estimate):
        outcomes = _after_reading(job, drawer, new, law, pool)
        if outcomes:
            chance = expected_chance(outcomes)
            found.append(Further("part", None, new.of, 1, "bench", chance))
    trial = trial_reading(job, drawer, estimate, plan)
    if trial:
        outcomes = _after_trial(job, drawer, trial, plan)
        if outcomes:
            chance = expected_chance(outcomes)
            found.append(Further("trial", None, "", 1, "assembly", chance))
    found.sort(key=_rank)
    return Worth(now, tuple(found))


def _rank(one: Further) -> tuple[int, int, int]:
    """The better first; among equals what is least work."""
    return -round(one.chance / LEAST_GAIN), EFFORTS.index(one.effort), one.times


def expected_chance(outcomes: _Outcomes) -> float:
    """Chance of the best plan, chosen anew for each outcome, averaged over the outcomes."""
    law, pool = outcomes.law, outcomes.pool
    spreads = law.spreads(pool.stacks)
    total = 0.0
    for z in STRATA:
        x = law.x + z * outcomes.move
        moved = replace(law, x=x)
        stacks = pool.stacks
        if outcomes.piece_um:
            stacks = pool.shifted(outcomes.column, z * outcomes.piece_um)
        total += best_chance(moved, stacks, spreads)[0]
    return total / len(STRATA)


def _strata(count: int) -> np.ndarray:
    """Means of a standard normal within strata of equal chance, scaled to a variance of one."""
    normal = NormalDist()
    edges = [normal.inv_cdf(at / count) for at in range(1, count)]
    heights = np.array([0.0, *(normal.pdf(edge) for edge in edges), 0.0])
    means = count * (heights[:-1] - heights[1:])
    return np.asarray(means / math.sqrt(float(np.mean(means**2))))


STRATA = _strata(OUTCOMES)


def again(reading: Reading, times: int, job: Job, estimate: Estimate) -> Reading | None:
    """The same reading taken some more times, showing what the estimate expects.

    reading: of the job; times; job; estimate. Returns: a new Reading; None where nothing can be
    repeated: no tool, or a bound.
    """
    bound = reading.at_least_um is not None or reading.at_most_um is not None
    if reading.tool is None or bound:
        return None
    row = next((row for row in estimate.rows if reading.number in row.readings), None)
    if row is None:
        return None
    expected, _ = row.predict(estimate.fit.x, estimate.axle)
    return _showing(replace(reading, number=_next(job), goes_um=(), stops_um=None), expected, times)


def _showing(reading: Reading, expected_um: float, times: int) -> Reading:
    """A reading whose values are such that it says what is expected."""
    blank = replace(reading, values_um=(0.0,) * times, around_um=())
    return replace(reading, values_um=(expected_um - of_reading(blank).centre_um,) * times)


def _next(job: Job) -> int:
    return max((*(reading.number for reading in job.readings), *job.left_out), default=0) + 1


def _unread(job: Job, estimate: Estimate) -> list[Reading]:
    """Readings of the parts of which only the drawing is known, with the job's likeliest tool."""
    read = {reading.of for reading in job.readings}
    tools = sorted(job.tools, key=lambda tool: (tool.kind not in LENGTH_TOOLS, tool.within_um))
    found = []
    for one in job.dimensions if tools else ():
        if one.drawn_um is not None and one.name not in read:
            expected = float(estimate.fit.x[estimate.unknowns.index[one.name]])
            found.append(_showing(Reading(_next(job), one.name, tools[0]), expected, 1))
    return found


def _after_reading(
    job: Job, drawer: Drawer, new: Reading, law: Law, pool: Pool
) -> _Outcomes | None:
    """What a reading leaves that brings no unknown of its own."""
    wider = replace(job, readings=(*job.readings, new))
    try:
        after = estimate_job(wider, drawer)
    except Trouble:
        return None
    move = _move(after, new)
    if move is None or len(move) != len(law.x):
        return None
    return _Outcomes(replace(law, cov=after.fit.cov), pool, move)


def _move(after: Estimate, new: Reading) -> np.ndarray | None:
    """How far the unknowns go for one standard deviation of what the reading may show."""
    at = next(at for at, row in enumerate(after.rows) if new.number in row.readings)
    slope, u2 = after.fit.slope[at], float(after.fit.u[at]) ** 2
    left = u2 - float(slope @ after.fit.cov @ slope)
    if left <= 1e-9 * u2:  # nothing but this reading settles it: it may show anything
        return None
    return np.asarray(after.fit.cov @ slope / math.sqrt(left))


def _unmeasured(drawer: Drawer, plan: Plan, pool: Pool, estimate: Estimate) -> list[Lot]:
    """Lots that were never measured, those of the plan first, then the most used in the pool."""
    uses = pool.lots_used(len(drawer.lots))
    in_plan = {piece.id for stack in plan.stacks for piece in stack.pieces}
    lots = [
        (lot, often)
        for lot, often in zip(drawer.lots, uses, strict=True)
        if not lot.tool and lot.within_um > 0 and often
        if f"lot {lot.id}" not in estimate.unknowns.index
    ]
    lots.sort(key=lambda one: (one[0].id not in in_plan, -one[1]))
    return [lot for lot, _ in lots[:MOST_LOTS]]


def _micrometer(job: Job) -> Tool | None:
    """The job's sharpest tool for pieces."""
    tools = [tool for tool in job.tools if tool.kind in ("micrometer", "calliper")]
    return min(tools, key=_tool_u2, default=None)


def _tool_u2(tool: Tool) -> float:
    return max(tool.repeat_um**2, tool.step_um**2 / 12.0) + tool.within_um**2 / 3.0


def _after_measuring(
    job: Job, drawer: Drawer, estimate: Estimate, plan: Plan, lot: Lot
) -> _Outcomes | None:
    """What measuring a piece leaves, whose lot was never measured.

    The tool's common error is taken with its repeat, as an error of this piece alone.
    """
    tool = _micrometer(job)
    if tool is None:
        return None
    before, noise = lot.within_um**2 / 3.0, _tool_u2(tool)
    left = before * noise / (before + noise)
    sharper = replace(lot, within_um=math.sqrt(3.0 * left))
    lots = tuple(sharper if one.id == lot.id else one for one in drawer.lots)
    known = replace(drawer, lots=lots)
    search = begin_search(job, known, estimate)
    place = drawer.lots.index(lot)
    column = next(
        (at for at, column in enumerate(search.columns.items) if place in column.lots), None
    )
    if column is None:
        return None
    pool = gather_pool(search, plan.shims + 1)
    nowhere = np.zeros(len(estimate.unknowns))
    return _Outcomes(search.law, pool, nowhere, column, math.sqrt(before - left))


def trial_reading(job: Job, drawer: Drawer, estimate: Estimate, plan: Plan) -> Reading | None:
    """What a trial fit of the plan would show: backlash, mounting distance, or a line's result.

    job, drawer, estimate; plan. Returns: a new Reading; None where the job has no tool for it.
    """
    of = job.trial_of
    used = [reading.tool for reading in job.readings if reading.of == of and reading.tool]
    kinds = ("dial",) if job.carrier else () if job.axle else ("dial", "feelers")
    tools = [*used, *(tool for tool in job.tools if tool.kind in kinds)]
    if not tools:
        return None
    fitted = tuple(
        Stack(stack.seat, lots=tuple((piece.id, piece.count) for piece in stack.pieces))
        for stack in plan.stacks
        if stack.pieces and stack.seat in job.seats_read(of)
    )
    mean, _ = predict_plan(job, drawer, estimate, plan)
    if not job.axle:
        blank = Reading(_next(job), of, tools[0], fitted=fitted)
        return _showing(blank, float(mean[0]), TRIAL_REPEATS)
    if not job.carrier:
        blank = Reading(_next(job), of, tools[0], fitted=fitted, loaded=True)
        assert job.pinion is not None
        return _showing(blank, float(mean[0]) + job.pinion.wanted_um, TRIAL_REPEATS)
    blank = Reading(
        _next(job), "backlash", tools[0], fitted=fitted, spot=job.limit("backlash").spot
    )
    return _showing(blank, float(mean[0]) + job.shift_um, TRIAL_REPEATS)


def _after_trial(job: Job, drawer: Drawer, trial: Reading, plan: Plan) -> _Outcomes | None:
    """What a trial fit leaves; the errors of its pieces become unknowns of the estimate."""
    wider = replace(job, readings=(*job.readings, trial))
    try:
        after = estimate_job(wider, drawer)
    except Trouble:
        return None
    move = _move(after, trial)
    if move is None:
        return None
    search = begin_search(wider, drawer, after)
    before = replace(search.law, cov=after.fit.cov + np.outer(move, move))
    pool = gather_pool(search, plan.shims + 1, before)
    return _Outcomes(search.law, pool, move)
