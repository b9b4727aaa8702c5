"""Before the spacer is crushed: may it be? After it, another depth costs a strip and a spacer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.answer import answer_job
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.findings import LEAST_GAIN, Answer, Further, ResultFound
from solver.job import PINION_HEAD, PINION_READABLE, PINION_SEATS, Job, Stack
from solver.job_ready import TICKS
from solver.plan import Piece, Plan, SeatStack
from solver.verdict import judge
from solver.worth import weigh_readings

NO_PIECE = "as fitted"  # a stack that is a thickness, not pieces of the drawer


@dataclass(frozen=True, slots=True, eq=False)
class Readiness:
    """Whether the spacer may be crushed, and what stands against it."""

    answer: Answer  # about the pinion alone
    state: str  # 'commit', 'measure', 'restack' or 'not yet'
    fitted: SeatStack | None  # what is at the head, as the job says; None where it does not
    depth: ResultFound | None  # with that fitted
    done: tuple[str, ...]  # of `TICKS`
    measure: Further | None  # the reading to take again first, None where none would help

    @property
    def missing(self) -> tuple[str, ...]:
        """Ticks that are not set."""
        return tuple(tick for tick in TICKS if tick not in self.done)


def pinion_alone(job: Job) -> Job:
    """The pinion of a job without its carrier. job: with a pinion. Returns: a job."""
    assert job.pinion is not None
    seats = tuple(seat for seat in job.seats if seat.name in PINION_SEATS)
    kept = {"depth", "pinion end float"}
    return replace(
        job,
        seats=seats,
        limits=tuple(limit for limit in job.limits if limit.result in kept),
        readings=tuple(one for one in job.readings if one.of in PINION_READABLE),
        pinion=replace(job.pinion, fitted=None),
        wheel=None,
        warmth=None,
    )


def judge_ready(job: Job, drawer: Drawer) -> Readiness:
    """Judge whether the crush spacer may be crushed.

    job: with a pinion; drawer. Returns: the Readiness. Its depth's chance is that of the stack as
    fitted, not of a plan. Raises: Trouble where the readings do not settle the pinion.
    """
    alone = pinion_alone(job)
    answer = answer_job(alone, drawer)
    ready = job.ready
    done = ready.done if ready else ()
    fitted, depth = None, None
    if ready is not None and ready.head is not None:
        fitted, depth = _as_fitted(alone, drawer, ready.head)
    chance = depth.chance if depth else 0.0
    best, _ = _best_depth(answer)
    measure = None
    if answer.agreement.state == "disagree":
        state = "measure"
    elif depth is None:
        state = "not yet"
    elif chance >= alone.wanted_chance:
        state = "commit" if len(done) == len(TICKS) else "not yet"
    elif best >= alone.wanted_chance:
        state = "restack"
    else:
        state = "measure"
    if state == "measure":
        worth = weigh_readings(answer)
        better = [one for one in worth.readings if one.chance > worth.now + LEAST_GAIN]
        measure = better[0] if better else None
    return Readiness(answer, state, fitted, depth, done, measure)


def _best_depth(answer: Answer) -> tuple[float, ResultFound | None]:
    """Chance of the depth with the plan of the answer."""
    results = answer.verdict.results if answer.verdict else ()
    found = next((one for one in results if one.name == "depth"), None)
    return (found.chance if found else 0.0), found


def _as_fitted(job: Job, drawer: Drawer, stack: Stack) -> tuple[SeatStack, ResultFound]:
    """What is at the head, as a plan, and the depth with it."""
    pieces = tuple(Piece(lot, count, drawer.lot(lot).thickness_um) for lot, count in stack.lots)
    if not stack.lots and stack.thickness_um:
        lot = Lot(NO_PIECE, stack.thickness_um, 1, stack.within_um)
        drawer = replace(drawer, lots=(*drawer.lots, lot))
        pieces = (Piece(NO_PIECE, 1, stack.thickness_um),)
    fitted = SeatStack(PINION_HEAD, pieces)
    others = (SeatStack(seat.name, ()) for seat in job.seats if seat.name != PINION_HEAD)
    verdict = judge(job, drawer, estimate_job(job, drawer), Plan((fitted, *others)))
    return fitted, next(one for one in verdict.results if one.name == "depth")
