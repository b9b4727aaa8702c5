"""Every plan that a small drawer allows, one by one; knows neither columns nor tangents."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.job import Job
from solver.law import Law, Stacks
from solver.pieces import known_of
from solver.plan import Piece, Plan, SeatStack

SHORT_OF_BEST, NO_CHANCE = 0.005, 0.001  # the rule for short, and the least that is a chance


@dataclass(frozen=True, slots=True, eq=False)
class Every:
    """Every plan with its chance by the normal law."""

    counts: tuple[tuple[tuple[int, ...], ...], ...]  # pieces of each lot, each seat
    pieces: np.ndarray  # [(n,)]
    chance: np.ndarray  # [(n,)]

    def rightful(self, wanted: float) -> tuple[int, float] | None:
        """Fewest pieces that the rule asks for and their best chance; None: no plan has one."""
        top = float(self.chance.max(initial=0.0))
        if top >= wanted:
            bar = wanted
        elif top < NO_CHANCE:
            return None
        else:
            bar = max(top - SHORT_OF_BEST, NO_CHANCE)
        fewest = int(self.pieces[self.chance >= bar].min())
        return fewest, float(self.chance[self.pieces == fewest].max())


def every_plan(job: Job, drawer: Drawer, estimate: Estimate, law: Law) -> Every:
    """Weigh every plan. job, drawer, estimate, law: of one job. Returns them all."""
    stock = [lot.count for lot in drawer.lots]
    plans = [
        plan
        for plan in product(*(_fillings(job, drawer, seat) for seat in range(len(job.seats))))
        if all(sum(used) <= most for used, most in zip(zip(*plan, strict=True), stock, strict=True))
    ]
    stacks = as_stacks(job, drawer, estimate, plans)
    pieces = np.array([sum(map(sum, plan)) for plan in plans], int)
    return Every(tuple(plans), pieces, law.chance(stacks))


def _fillings(job: Job, drawer: Drawer, at: int) -> list[tuple[int, ...]]:
    """Every way to fill one seat: pieces of each lot."""
    seat = job.seats[at]
    found: list[tuple[int, ...]] = [()]
    for lot in drawer.lots:
        most = lot.count if not lot.fits or seat.name in lot.fits else 0
        found = [
            (*some, more) for some in found for more in range(min(most, seat.most - sum(some)) + 1)
        ]
    return [some for some in found if sum(some) >= seat.least]


def as_stacks(
    job: Job, drawer: Drawer, estimate: Estimate, plans: list[tuple[tuple[int, ...], ...]]
) -> Stacks:
    """Plans as the law sees them. plans: pieces of each lot, each seat. Returns: Stacks."""
    size, seats = len(plans), len(job.seats)
    pairs = list(combinations(range(seats), 2))
    nominal, own = np.zeros((size, seats)), np.zeros((size, seats + len(pairs)))
    lean = np.zeros((size, seats, len(estimate.unknowns)))
    known = {
        (lot, seat, count): known_of(
            drawer.lots[lot], job.seats[seat].name, count, estimate.unknowns
        )
        for lot in range(len(drawer.lots))
        for seat in range(seats)
        for count in range(1, drawer.lots[lot].count + 1)
    }
    for row, plan in enumerate(plans):
        for seat in range(seats):
            for lot, count in enumerate(plan[seat]):
                if count:
                    nominal[row, seat] += count * drawer.lots[lot].thickness_um
                    lean[row, seat] += known[lot, seat, count].lean
                    own[row, seat] += known[lot, seat, count].own_um2
        for at, (first, second) in enumerate(pairs):
            for lot, (one, two) in enumerate(zip(plan[first], plan[second], strict=True)):
                if one and two:
                    own[row, seats + at] += one * two * known[lot, first, 1].shared_u_um ** 2
    return Stacks(nominal, lean, own)


def as_plan(job: Job, drawer: Drawer, counts: tuple[tuple[int, ...], ...]) -> Plan:
    """Counts as a plan. counts: pieces of each lot, each seat. Returns it."""
    return Plan(
        tuple(
            SeatStack(
                seat.name,
                tuple(
                    Piece(lot.id, count, lot.thickness_um)
                    for lot, count in zip(drawer.lots, of, strict=True)
                    if count
                ),
            )
            for seat, of in zip(job.seats, counts, strict=True)
        )
    )
