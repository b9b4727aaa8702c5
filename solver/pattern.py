"""From what the compound shows to the member that has to move: guidance, never a measurement.

Every move of pinion and wheel up to four steps is tried by the rules; the one that leaves least of
what was seen is advised, a second member only where it helps markedly. Weights and thresholds are
assumptions of this program; the advice says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh
from solver.job_mesh import SHARE_WITHIN, USUAL_RATIO, USUAL_SHARE
from solver.pattern_rules import (
    DOUBLE,
    FLANKS,
    HALF,
    HOBBED,
    IN,
    MILLED,
    OUT,
    PINION,
    STEP_UM,
    UNKNOWN,
    WHEEL,
    Flank,
    Pattern,
    shift,
)

SIZES = (-4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0)  # steps tried, in is +
FLANK_WEIGHT = {"drive": 1.0, "coast": 0.5}  # the drive flank carries the load
AXIS_WEIGHT = (0.5, 1.0)  # along, across: depth decides, the middle of the length less so
LEAST_EXPLAINED = 0.4  # of what was seen, by a move worth advising
SECOND_MEMBER = 0.2  # of what was seen, by which a second member has to help
MOST_EXPLAINED = 0.8  # and both flanks gain: as sure as a pattern gets
PINION_RATIO = (0.2, 0.15)  # backlash closed per move of the pinion, and within. No source
GOOD, MOVE, CONFLICT, ASK, USED = "good", "move", "conflict", "ask", "used"
Spot = tuple[float, float]  # along and across [steps]


@dataclass(frozen=True, slots=True)
class ShimChange:
    """How a seat's stack changes; more is +."""

    seat: str
    about_um: float
    low_um: float  # the smaller change of the band, by size
    high_um: float


@dataclass(frozen=True, slots=True)
class Move:
    """One member to move, about how far, and what the wheel's shims do."""

    member: str  # 'pinion' or 'wheel'
    direction: str  # 'in' or 'out'
    about_um: float
    low_um: float
    high_um: float
    shims: tuple[ShimChange, ...]  # pinion: what keeps the backlash; wheel: what moves it
    backlash_um: float  # change of the backlash that comes of it, about


@dataclass(frozen=True, slots=True)
class PatternAdvice:
    """What the pattern says to do, if anything."""

    status: str  # GOOD, MOVE, CONFLICT, ASK or USED
    moves: tuple[Move, ...] = ()  # in the order of the work
    conflict: str = ""  # 'depth', 'length', 'one flank' or 'both ways'
    confidence: str = ""  # 'fair', 'low' or 'as sure as a pattern gets'
    asks: tuple[str, ...] = ()  # 'teeth', 'drive', 'coast': what would have to be known
    toe_wanted: bool = False  # good, though slightly towards the toe
    losing: str = ""  # 'coast' where the advised moves take that flank further off
    explained: float = 0.0  # share of what was seen that the moves answer, 0 to 1
    seen: tuple[Spot | None, Spot | None] = (None, None)  # drive, coast
    after: tuple[Spot | None, Spot | None] = (None, None)  # with every move made
    assumed: tuple[str, ...] = ()


def judge_pattern(
    pattern: Pattern, job: Job | None, pinion_ratio: tuple[float, float] | None = None
) -> PatternAdvice:
    """Advise what to move after a trial fit.

    pattern: what was seen; job: whose mesh and seats turn moves into shims, None takes usual ones;
    pinion_ratio: backlash closed per move of the pinion, and within what [1]; None takes the job's
    own, or the usual one.
    Returns: the advice. Limits: the eye's, and those of rules that hold for most gears; amounts are
    from half to double. Source: the rules' own; weights and thresholds none.
    """
    if pinion_ratio is None:
        own = job.pinion if job is not None else None
        pinion_ratio = (own.ratio, own.ratio_within) if own and own.ratio > 0.0 else PINION_RATIO
    seen = (_steps(pattern.drive), _steps(pattern.coast))
    if pattern.gears == "used":
        return PatternAdvice(USED, seen=seen)
    missing = tuple(name for name, at in zip(FLANKS, seen, strict=True) if at is None)
    if missing:
        return PatternAdvice(ASK, asks=missing, seen=seen)
    assert pattern.drive is not None and pattern.coast is not None
    if _fine(pattern.drive) and _fine(pattern.coast):
        leans = not (pattern.drive.centred and pattern.coast.centred)
        return PatternAdvice(GOOD, seen=seen, after=seen, toe_wanted=leans)
    axle = _axle(job, pinion_ratio)
    if pattern.teeth != UNKNOWN:
        return _judged(pattern.teeth, seen, axle)
    return _whatever_the_teeth(seen, axle)


def drawn_at(steps: float) -> float:
    """Place a pattern on a drawing. steps: off the middle [steps]. Returns -1 to 1.

    Limits: for the eye only; no step has a place on a real tooth.
    """
    return math.copysign(0.95 * (1.0 - math.exp(-0.8 * abs(steps))), steps)


def _steps(flank: Flank | None) -> Spot | None:
    return None if flank is None else flank.steps


def _fine(flank: Flank) -> bool:
    """Centred, or slightly towards the toe: under load it spreads towards the heel."""
    slightly = flank.along == "toe" and flank.how_far == "slight"
    return flank.across == "middle" and (flank.along == "middle" or slightly)


@dataclass(frozen=True, slots=True)
class _Axle:
    """What turns moves into shims."""

    mesh: Mesh
    signs: tuple[int, int]
    pinion: tuple[float, float]
    assumed: tuple[str, ...]


def _axle(job: Job | None, pinion: tuple[float, float]) -> _Axle:
    """Mesh and signs of the job, or usual ones, which are listed."""
    assumed = [f"backlash closes by {pinion[0]:g} of a pinion's move, within {pinion[1]:g}"]
    by_name = {} if job is None else {seat.name: seat.sign for seat in job.seats}
    if job is not None and WHEEL_SIDE in by_name:
        mesh, about = job.mesh, ("transfer ratio", WHEEL_SIDE, PLAIN_SIDE)
        assumed += [said for said in job.assumed if said.startswith(about)]
    else:
        mesh = Mesh(*USUAL_RATIO, USUAL_SHARE, SHARE_WITHIN)
        assumed.append(f"transfer ratio {mesh.ratio:g} within {mesh.ratio_within:g}")
        assumed.append("both sides of the wheel: shims under the bearing")
    signs = (by_name.get(WHEEL_SIDE, 1), by_name.get(PLAIN_SIDE, 1))
    return _Axle(mesh, signs, pinion, tuple(assumed))


def _whatever_the_teeth(seen: tuple[Spot | None, Spot | None], axle: _Axle) -> PatternAdvice:
    """What holds for either kind of teeth, or the question which they are."""
    milled, hobbed = (_judged(teeth, seen, axle) for teeth in (MILLED, HOBBED))
    if milled.status == hobbed.status == CONFLICT:
        return milled
    if milled.moves and hobbed.moves:
        first, other = milled.moves[0], hobbed.moves[0]
        if (first.member, first.direction) == (other.member, other.direction):
            least = min((milled, hobbed), key=lambda one: one.moves[0].about_um)
            return PatternAdvice(
                MOVE, least.moves[:1], confidence="low", asks=("teeth",), losing=least.losing,
                explained=min(milled.explained, hobbed.explained), seen=seen, assumed=axle.assumed,
            )  # fmt: skip
    return PatternAdvice(ASK, asks=("teeth",), seen=seen)


def _judged(teeth: str, seen: tuple[Spot | None, Spot | None], axle: _Axle) -> PatternAdvice:
    """The best move or moves for teeth of a known kind."""
    spots = tuple(spot for spot in seen if spot is not None)
    before = _cost(spots)
    drive = _off(spots[0])
    tried = [
        steps for steps in product(SIZES, SIZES)
        if any(steps) and _off(_moved(teeth, spots, steps)[0]) < drive + 1e-9
    ]  # fmt: skip
    if _opposed(spots) or not tried:  # every move takes both flanks to one side in depth
        return PatternAdvice(CONFLICT, conflict=_contradiction(spots), seen=seen, after=seen)

    def left(steps: tuple[float, float]) -> tuple[float, float]:
        """Cost of what is left, less movement first among equals."""
        return round(_cost(_moved(teeth, spots, steps)), 9), abs(steps[0]) + abs(steps[1])

    best = min((one for one in tried if not all(one)), key=left, default=tried[0])
    both = min(tried, key=left)
    if left(both)[0] < left(best)[0] - SECOND_MEMBER * before:
        best = both
    explained = 1.0 - left(best)[0] / before
    if explained < LEAST_EXPLAINED:
        return PatternAdvice(CONFLICT, conflict=_contradiction(spots), seen=seen, after=seen)
    after = _moved(teeth, spots, best)
    losing = "coast" if _off(after[1]) > _off(spots[1]) + 1e-9 else ""
    sure = explained >= MOST_EXPLAINED and not losing
    return PatternAdvice(
        MOVE,
        tuple(_move(who, by, axle) for who, by in zip((PINION, WHEEL), best, strict=True) if by),
        confidence="as sure as a pattern gets" if sure else "low" if losing else "fair",
        losing=losing,
        explained=explained,
        seen=seen,
        after=(after[0], after[1]),
        assumed=axle.assumed,
    )


def _moved(teeth: str, spots: tuple[Spot, ...], steps: tuple[float, float]) -> tuple[Spot, ...]:
    """Where the patterns lie once pinion and wheel have moved in by some steps."""
    found = []
    for name, (along, across) in zip(FLANKS, spots, strict=True):
        for member, by in zip((PINION, WHEEL), steps, strict=True):
            one = shift(teeth, member, name)
            along, across = along + by * one[0], across + by * one[1]
        found.append((along, across))
    return tuple(found)


def _off(spot: Spot) -> float:
    return sum(weight * at * at for weight, at in zip(AXIS_WEIGHT, spot, strict=True))


def _cost(spots: tuple[Spot, ...]) -> float:
    return sum(FLANK_WEIGHT[name] * _off(at) for name, at in zip(FLANKS, spots, strict=True))


def _opposed(spots: tuple[Spot, ...]) -> bool:
    """Whether one flank is too deep and the other not deep enough."""
    return spots[0][1] * spots[1][1] < 0.0


def _contradiction(spots: tuple[Spot, ...]) -> str:
    """How the two flanks contradict every move."""
    drive, coast = spots
    if _opposed(spots):
        return "depth"
    if not any(drive) or not any(coast):
        return "one flank"
    return "both ways" if drive[1] or coast[1] else "length"


def _move(member: str, steps: float, axle: _Axle) -> Move:
    """A move with its band, and the wheel's shims that go with it."""
    about, band = abs(steps) * STEP_UM, (HALF, 1.0, DOUBLE)
    sign = math.copysign(1.0, steps)
    ratio, within = axle.mesh.ratio, axle.mesh.ratio_within
    if member == WHEEL:
        wheel_in = [sign * about * part for part in band]
        backlash = -ratio * sign * about
    else:  # the wheel moves away by what the pinion closes
        closes, give = axle.pinion
        follows = (
            max(closes - give, 0.0) / (ratio + within), closes / ratio,
            (closes + give) / (ratio - within),
        )  # fmt: skip
        wheel_in = [-sign * about * part * by for part, by in zip(band, follows, strict=True)]
        backlash = 0.0
    low, middle, high = wheel_in
    wheel, plain = axle.signs
    shims = (
        ShimChange(WHEEL_SIDE, wheel * middle, wheel * low, wheel * high),
        ShimChange(PLAIN_SIDE, -plain * middle, -plain * low, -plain * high),
    )
    direction = IN if steps > 0 else OUT
    return Move(member, direction, about, HALF * about, DOUBLE * about, shims, backlash)
