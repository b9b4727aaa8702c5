"""A line added up side by side: worst case, root-sum-square, first-order law, simulation.

                 half-width of the result, a_i the factor and t_i the half tolerance of each part
worst case       sum |a_i| t_i                     nothing made to its drawing lies outside
root-sum-square  sqrt(sum (a_i t_i)^2)             as a statistical tolerance is stated
first-order law  1.96 sqrt(sum (a_i u_i)^2 + …)    95 %, what is shared counted as shared
simulation       95 % of builds drawn from the real shapes

Source: worst case and root-sum-square as in any text on tolerance stacks; the law GUM, clause 5;
the simulation JCGM 101.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from solver.budget import share_out
from solver.drawer import Drawer
from solver.estimate import Estimate, estimate_job
from solver.job import Job, Reading
from solver.law import law_of
from solver.line import Dimension, Line
from solver.pieces import Unknowns
from solver.plan import Plan, SeatStack
from solver.simulation import simulate_builds
from solver.spread import of_reading
from solver.trouble import Fault, Trouble
from solver.verdict import judge, normal_chance, predict_plan

BUILDS = 400_000  # so that some parts in a hundred thousand can be told
COVERS = 1.959964  # 95 % of a normal distribution
SURELY = 3.0  # standard deviations that stand for the most a reading scatters
STEPS = 24  # halvings
LOOSEST = 10.0  # times as wide as drawn; further is not looked
Window = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Part:
    """One dimension in a line, or the shims of one seat."""

    name: str
    factor: float
    length_um: float
    half_um: float  # the most that it may be off
    u_um: float  # standard uncertainty
    source: str  # 'drawn', 'measured', 'both' or 'shims'
    share: float  # of the variance of the result, by the law

    @property
    def reach_um(self) -> float:
        """The most that it moves the result [µm]."""
        return abs(self.factor) * self.half_um


@dataclass(frozen=True, slots=True)
class Tighter:
    """What a tolerance would have to be for the wanted yield, everything else as it is."""

    name: str
    within_um: float  # as drawn
    needed_um: float | None  # None: not even if it were perfect
    chance_if_perfect: float  # measured on every assembly, or made without error; by the law


@dataclass(frozen=True, slots=True)
class Stackup:
    """One line added up."""

    name: str
    low_um: float
    high_um: float
    celsius: float
    middle_um: float
    worst_um: Window
    squares_um: Window
    law_um: Window
    simulated_um: Window
    chance_law: float  # of this line's limits alone
    chance: float  # simulated
    parts: tuple[Part, ...]
    rest: tuple[
        tuple[str, float], ...
    ]  # shares of what belongs to no one part: tools, the line read


@dataclass(frozen=True, slots=True)
class Stackups:
    """All lines of a job with one plan."""

    job: Job
    plan: Plan
    lines: tuple[Stackup, ...]
    chance_law: float  # of all limits together
    chance: float
    effective: float
    tighter: tuple[Tighter, ...]


def as_drawn(job: Job) -> Job:
    """The job of a whole batch: what was read of one assembly is left aside.

    job. Returns: the same without readings. Raises: Trouble where a part has no tolerance.
    """
    faults = [
        Fault(
            f"{job.title or 'job'}: dimensions: {one.name}",
            "no tolerance",
            "one, for a batch",
            "write low and high: a reading tells of one assembly alone",
            ("dimensions", one.name),
        )
        for one in job.dimensions
        if one.drawn_um is None
    ]
    if faults:
        raise Trouble(faults)
    return replace(job, readings=())


def add_up(job: Job, drawer: Drawer, plan: Plan | None, count: int = BUILDS) -> Stackups:
    """Add up every line of a job.

    job; drawer; plan: what is fitted, None for no shims; count: builds to simulate.
    Returns: the Stackups. Raises: Trouble
    where the job has no line, or its readings do not settle one.
    """
    if not job.lines:
        wanted, way_out = "a job with lines of dimensions", "add [[lines]], or use choose"
        raise Trouble([Fault(job.title or "job", "no line", wanted, way_out, ("lines",))])
    plan = plan or Plan(tuple(SeatStack(seat.name, ()) for seat in job.seats))
    estimate = estimate_job(job, drawer)
    builds = simulate_builds(job, estimate, count)
    verdict = judge(job, drawer, estimate, plan, builds)
    mean, cov = predict_plan(job, drawer, estimate, plan)
    budget = dict(share_out(job, drawer, estimate, law_of(job, estimate), plan))
    found = []
    for line in job.lines:
        at = estimate.axle.results.index(line.name)
        result = next(one for one in verdict.results if one.name == line.name)
        u = math.sqrt(float(cov[at, at]))
        shares = {one.input: one.share for one in budget[line.name]}
        parts = _parts(job, drawer, estimate, line, plan, shares)
        middle = float(mean[at])
        worst = sum(one.reach_um for one in parts)
        squares = math.hypot(*(one.reach_um for one in parts))
        limit = job.limit(line.name)
        found.append(
            Stackup(
                line.name, limit.low_um, limit.high_um, line.celsius, middle,
                _around(middle, worst), _around(middle, squares), _around(middle, COVERS * u),
                result.expect_um, _inside(middle, u, limit.low_um, limit.high_um),
                result.chance, parts, tuple(shares.items()),
            )
        )  # fmt: skip
    law = normal_chance(job, drawer, estimate, plan)
    tighter = tuple(
        _tighter(job, drawer, plan, one, law)
        for one in job.dimensions
        if one.drawn_um is not None and not any(r.of == one.name for r in job.readings)
    )
    return Stackups(job, plan, tuple(found), law, verdict.chance, verdict.effective, tighter)


def _around(middle: float, half: float) -> Window:
    return middle - half, middle + half


def _inside(mean: float, u: float, low: float, high: float) -> float:
    """Chance of a normal law between two limits. Source: JCGM 106, 7.4."""
    u = max(u, 1e-9)
    below, above = ((end - mean) / u / math.sqrt(2.0) for end in (low, high))
    return 0.5 * (math.erf(above) - math.erf(below))


def _parts(
    job: Job,
    drawer: Drawer,
    estimate: Estimate,
    line: Line,
    plan: Plan,
    shares: dict[str, float],
) -> tuple[Part, ...]:
    """What is in a line, with the most that each may be off.

    shares: of the variance, by input; those of the parts are taken out.
    """
    found = []
    parts = {one.name: one for one in job.dimensions}
    for name, factor in line.terms:
        at = estimate.unknowns.index[name]
        u = math.sqrt(max(float(estimate.fit.cov[at, at]), 0.0))
        read = [one for one in job.readings if one.of == name]
        half, source = _half_um(parts[name], read, u)
        share = _taken(shares, (name, f"{name} as drawn"))
        found.append(Part(name, factor, float(estimate.fit.x[at]), half, u, source, share))
    for seat, factor in line.seats:
        stack = plan.stack(seat)
        if stack.pieces:
            half, u = _shims_um(stack, drawer, job, estimate.unknowns)
            share = _taken(shares, tuple(f"thickness of {one.id}" for one in stack.pieces))
            found.append(
                Part(f"shims, {seat}", factor, stack.thickness_um, half, u, "shims", share)
            )
    return tuple(found)


def _taken(shares: dict[str, float], labels: tuple[str, ...]) -> float:
    """Take out the shares of some inputs; readings of one thing are numbered. Returns their sum."""
    own = [one for one in shares if one in labels or one.partition(" (reading ")[0] in labels]
    return sum(shares.pop(one) for one in own)


def _half_um(part: Dimension, readings: list[Reading], u_um: float) -> tuple[float, str]:
    """The most that a part may be off, and what says so."""
    halves = []
    for reading in readings:
        spread = of_reading(reading)
        common = reading.tool.within_um if reading.tool else 0.0
        halves.append(common + spread.half_um + SURELY * spread.sd_um)
    if not halves:
        if part.drawn_um is None:  # the gap of its line was read, it alone was not
            return SURELY * u_um, "measured"
        return part.within_um, "drawn"
    if part.drawn_um is None:
        return min(halves), "measured"
    return min(part.within_um, *halves), "both"


def _shims_um(
    stack: SeatStack, drawer: Drawer, job: Job, unknowns: Unknowns
) -> tuple[float, float]:
    """The most that a stack may be off, and its standard uncertainty [µm]."""
    by_tool: dict[str, int] = {}
    half, variance = 0.0, 0.0
    for piece in stack.pieces:
        lot = drawer.lot(piece.id)
        half += piece.count * lot.within_um
        own = lot.within_um**2 / 3.0
        variance += piece.count * own if lot.tool else piece.count**2 * own
        if unknowns.tool(lot.tool) >= 0:
            by_tool[lot.tool] = by_tool.get(lot.tool, 0) + piece.count
    for name, count in by_tool.items():
        within = next(tool.within_um for tool in job.tools if tool.name == name)
        half += count * within
        variance += (count * within) ** 2 / 3.0
    return half, math.sqrt(variance)


def _tighter(job: Job, drawer: Drawer, plan: Plan, part: Dimension, now: float) -> Tighter:
    """How tight (or loose) one tolerance may be for the wanted chance; by halving."""

    def chance(times: float) -> float:
        scaled = replace(part, within_um=max(part.within_um * times, 1e-6))
        other = tuple(scaled if one.name == part.name else one for one in job.dimensions)
        wider = replace(job, dimensions=other)
        return normal_chance(wider, drawer, estimate_job(wider, drawer), plan)

    perfect = chance(0.0)
    met = now >= job.wanted_chance
    low, high = (1.0, LOOSEST) if met else (0.0, 1.0)
    if not met and perfect < job.wanted_chance:
        return Tighter(part.name, part.within_um, None, perfect)
    if met and chance(high) >= job.wanted_chance:
        return Tighter(part.name, part.within_um, LOOSEST * part.within_um, perfect)
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if chance(middle) >= job.wanted_chance else (low, middle)
    return Tighter(part.name, part.within_um, low * part.within_um, perfect)


def per_million(chance: float) -> float:
    """Assemblies of a million outside their limits. chance: inside, 0 to 1 [1]."""
    return float(np.clip((1.0 - chance) * 1e6, 0.0, 1e6))
