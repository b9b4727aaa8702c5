"""Choose the plan: fewest pieces that reach the wanted chance, then the best chance, proved."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.columns import list_columns
from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.job import Job
from solver.law import law_of
from solver.master import Halt
from solver.plan import Plan
from solver.region import Peak, find_peak
from solver.search import TIE, Candidate, Search
from solver.tangents import HOLDS_FROM, Tangents

PROVED_TO = 0.005  # what no other plan can be better by, where it says proved
HIGHEST_TO = 0.001  # how well the highest chance there is gets known, where not all were weighed
SHORT_OF_BEST = 0.005  # when the wanted chance is out of reach, this near the best is enough
NO_CHANCE = 0.001
NEAR_PEAK = 0.97  # so near what any thicknesses could do, arithmetic need not go on
MOST_TIED = 400  # equals among which the preference is worked out in full


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen, and how sure it is that nothing beats it."""

    plan: Plan
    chance: float
    shims: int
    proved: bool
    reached: bool  # the wanted chance, by the normal law


def begin_search(job: Job, drawer: Drawer, estimate: Estimate, halt: Halt | None = None) -> Search:
    """Set up the search for one job.

    job, drawer, estimate: of one axle; halt: to stop it from another thread. Returns: a Search.
    """
    law = law_of(job, estimate)
    columns = list_columns(drawer, job.seats, estimate.unknowns)
    seats = len(job.seats)
    tangents = Tangents(law, columns.busy, Peak(np.zeros(seats), 0.0))
    search = Search(job, law, columns, tangents, halt or Halt())
    tangents.peak = find_peak(law, tangents.stacks(search.typical((1,) * seats)[None, :]))
    tangents.cover(search.typical((2,) * seats))
    return search


def choose(search: Search, wanted: float) -> Choice | None:
    """Choose by the normal law: fewest pieces that reach the wanted chance, then the best chance.

    search: of the job; wanted: 0 to 1. Returns: the choice, None where no plan has a chance of
    0.001. If none reaches the wanted chance: fewest pieces within 0.005 of the highest there is.
    Where every plan was weighed, as in any small drawer, no other is better by more than 0.0005;
    else `proved` means by no more than 0.005. Limits: `proved` rests on tangents, which hold
    without end float and down to 0.3 of the peak, or on every plan having been weighed. Source:
    outer approximation of a concave objective (Duran and Grossmann 1986, from memory), tested
    against full enumeration.
    """
    fewest, closed = find_fewest(search, wanted)
    if fewest is not None:
        return _settled(search, fewest, wanted, closed=closed, reached=True)
    top, top_closed = _highest(search)
    if top < NO_CHANCE:
        return None
    bar = max(top - SHORT_OF_BEST, NO_CHANCE)
    fewest, closed = find_fewest(search, bar)
    if fewest is None:  # stopped, or out of effort
        fewest = min(total for total in search.totals if search.best(total) >= bar)
    return _settled(search, fewest, bar, closed=closed and top_closed, reached=False)


def find_fewest(search: Search, bar: float) -> tuple[int | None, bool]:
    """Find the fewest pieces that reach a chance by the normal law.

    search: of the job; bar: the chance, 0 to 1 [1]. Returns: the number, None where no plan
    reaches it, and whether fewer are ruled out.
    """
    totals = search.totals
    upto, every = None, True
    if bar > search.tangents.peak.chance:
        found, closed = search.ask((totals[0], totals[-1]), bar)
        if not found and closed and _sure(search, bar):
            return None, True
    for total in totals:
        search.weigh(total, bar)
        if search.best(total) >= bar:
            upto = total
            break
        every &= search.weighed.get(total, math.inf) <= bar
    last = totals[-1] if upto is None else upto - 1
    while last >= totals[0]:
        found, closed = search.ask((totals[0], last), bar)
        if not found:
            return upto, every or (closed and _sure(search, bar))
        upto = min(total for total in totals if search.best(total) >= bar)
        last = upto - 1
    return upto, True


def _sure(search: Search, bar: float) -> bool:
    """Whether tangents bound every plan that could reach a chance."""
    tangents = search.tangents
    return tangents.hold and bar >= HOLDS_FROM * tangents.peak.chance


def _highest(search: Search) -> tuple[float, bool]:
    """Highest chance with any number of pieces, and whether a higher one is ruled out."""
    totals, every = search.totals, True
    top = 0.0
    for floor in (HOLDS_FROM * search.tangents.peak.chance, NO_CHANCE):
        every, before = True, 0.0
        for total in totals:
            above = max(floor, top)
            search.weigh(total, above)
            every &= search.weighed.get(total, math.inf) <= above
            before, top = top, max(top, search.best(total))
            near = top >= NEAR_PEAK * search.tangents.peak.chance
            if near and top < before + TIE and _sure(search, floor):
                every = False
                break
        if top >= floor:
            break
    bar = max(top + HIGHEST_TO, HOLDS_FROM * search.tangents.peak.chance)
    found, closed = search.ask((totals[0], totals[-1]), bar, HIGHEST_TO)
    if found:
        top = max(search.best(total) for total in totals)
    return top, every or (closed and _sure(search, top))


def _settled(search: Search, total: int, bar: float, *, closed: bool, reached: bool) -> Choice:
    """The best plan with so many pieces, with its tie broken, and whether it is proved."""
    search.weigh(total, bar)
    search.weigh(total, search.best(total))
    _, best_closed = search.ask((total, total), search.best(total) + PROVED_TO, PROVED_TO)
    best = search.best(total)
    every = search.weighed.get(total, math.inf) <= best
    tied = [c for c in search.pool[total] if c.chance >= best - TIE]
    tied.sort(key=lambda c: (len({at for seat in c.counts for at in seat}), -c.chance))
    chosen = min(tied[:MOST_TIED], key=lambda c: _preference(search, c))
    plan = search.columns.plan(chosen.counts)
    exact = float(search.law.chance(search.exact_stacks(chosen.counts))[0])
    proved = closed and (every or (best_closed and _sure(search, best)))
    return Choice(plan, exact, total, proved, reached)


def _preference(search: Search, candidate: Candidate) -> tuple[object, ...]:
    """Among equals: fewer lots, measured before unmeasured, the better, then the drawer's order."""
    plan = search.columns.plan(candidate.counts)
    order = {lot.id: at for at, lot in enumerate(search.columns.drawer.lots)}
    drawer = search.columns.drawer
    used = {piece.id for stack in plan.stacks for piece in stack.pieces}
    unmeasured = sum(
        piece.count
        for stack in plan.stacks
        for piece in stack.pieces
        if not drawer.lot(piece.id).tool
    )
    places = [sorted(order[piece.id] for piece in stack.pieces) for stack in plan.stacks]
    thick = [stack.thickness_um for stack in plan.stacks]
    return len(used), unmeasured, -round(candidate.chance, 7), thick, places
