"""What one assembly of a batch could be given: plans that reach the wanted chance, well spread.

Few pieces first, and of those not only the best: every assembly would want the same lots. When lots
turn out to be contested, plans that leave them alone are gathered.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from solver.agreement import check_agreement
from solver.choice import begin_search, choose, find_fewest
from solver.drawer import Drawer
from solver.estimate import Estimate, estimate_job
from solver.job import Job
from solver.master import Counts
from solver.plan import Piece, Plan, SeatStack
from solver.search import BLOCK, Candidate, Search
from solver.simulation import Builds, simulate_builds
from solver.verdict import simulated_chance

MET, SHORT, NONE = "met", "short", "none"
SIMULATION_OFF = 0.02  # a plan that is this far short by the normal law is not simulated
LIKELY = 0.004  # so far above the wanted chance by the normal law, simulation mostly agrees
FIRST, WIDER = 48, 54  # plans simulated at first, and in each round after
FEW = 12  # with so few plans one more piece is looked at as well
MOST_WEIGHED = 2_500  # plans of one number of pieces whose chance is worked out
EVERY = 160  # when more are wanted, so few are simulated one and all
SHORT_OF_BEST = 0.01  # where the wanted chance is out of reach


@dataclass(frozen=True, slots=True)
class Wish:
    """What plans are wanted of an assembly."""

    seed: str  # says which of many equal plans are taken, so that assemblies differ
    more: int = 0  # numbers of pieces looked at beyond the fewest
    dear: tuple[float, ...] = ()  # what a piece of each lot is worth to others; none: nothing


@dataclass(frozen=True, slots=True)
class Option:
    """A plan that an assembly could be given."""

    pieces: int
    chance: float  # simulated
    seats: tuple[tuple[tuple[int, int], ...], ...]  # of each: (place of a lot, pieces)

    @property
    def uses(self) -> dict[int, int]:
        """Pieces of each lot."""
        found: dict[int, int] = {}
        for seat in self.seats:
            for lot, count in seat:
                found[lot] = found.get(lot, 0) + count
        return found

    def plan(self, job: Job, drawer: Drawer) -> Plan:
        """The plan itself. job: of the assembly; drawer: its shelves. Returns it."""
        return Plan(
            tuple(
                SeatStack(seat.name, tuple(_piece(drawer, lot, count) for lot, count in of))
                for seat, of in zip(job.seats, self.seats, strict=True)
            )
        )


def _piece(drawer: Drawer, at: int, count: int) -> Piece:
    lot = drawer.lots[at]
    return Piece(lot.id, count, lot.thickness_um)


@dataclass(frozen=True, slots=True)
class Offer:
    """Plans for one assembly, and what is known of those that are not among them."""

    kind: str  # 'met': its plans reach the wanted chance; 'short': none does; 'none': no chance
    options: tuple[Option, ...]
    unlisted: int | None  # no plan with fewer pieces is missing; None: none is missing at all
    readings: str  # whether they agree, as `Agreement.state`


@dataclass(slots=True)
class Errors:
    """What pieces are out by in the simulated builds: equal for all assemblies, drawn once."""

    most: int = 250  # a lot's errors are 0.4 MB
    known: dict[str, np.ndarray] | None = None

    def lend(self, builds: Builds) -> None:
        """Let builds use what was drawn before. builds: of one assembly."""
        if self.known is None or len(self.known) > self.most:
            self.known = {}
        builds.errors.update(self.known)

    def keep(self, builds: Builds) -> None:
        """Keep what builds have drawn. builds: as lent to."""
        self.known = builds.errors


def gather_offer(job: Job, drawer: Drawer, wish: Wish, errors: Errors | None = None) -> Offer:
    """Gather plans for one assembly.

    job; drawer: its shelves; wish; errors: of pieces, to share between assemblies. Returns: the
    Offer; the same for the same question. Limits: chances are simulated; what is said of plans
    that are not listed is by the normal law, whose chance is taken to be off by 0.02 at most.
    Raises: Trouble where the readings do not settle the job.
    """
    estimate = estimate_job(job, drawer)
    state = check_agreement(job, estimate).state
    search = begin_search(job, drawer, estimate)
    builds = simulate_builds(job, estimate)
    lender = errors or Errors()
    lender.lend(builds)
    gathering = _Gathering(search, drawer, estimate, builds, wish)
    offer = gathering.met(state)
    if offer is None:
        offer = gathering.short(state)
    lender.keep(builds)
    return offer


@dataclass(slots=True)
class _Gathering:
    """The search of one assembly, asked for many plans."""

    search: Search
    drawer: Drawer
    estimate: Estimate
    builds: Builds
    wish: Wish

    def met(self, state: str) -> Offer | None:
        """Plans that reach the wanted chance; None where there is none."""
        wanted, totals = self.search.job.wanted_chance, self.search.totals
        bar = max(wanted - SIMULATION_OFF, 1e-3)
        fewest, closed = find_fewest(self.search, bar)
        if fewest is None:
            return None
        options: list[Option] = []
        missing, done = not closed, fewest - 1
        unlisted = fewest if closed else totals[0]
        for total in self._looked_at(fewest, options):
            missing |= total > done + 1
            found, every = self.listed(total, bar, wanted)
            options += found
            missing |= not every
            done = total
            if not missing:
                unlisted = total + 1
        missing |= done < totals[-1]
        return Offer(MET, tuple(options), unlisted if missing else None, state) if options else None

    def _looked_at(self, fewest: int, options: list[Option]) -> Iterator[int]:
        """Numbers of pieces to look at, one after the other, as options grow."""
        last, wanted = self.search.totals[-1], self.search.job.wanted_chance
        yield fewest
        if not options:  # by simulation none of those is enough
            again, _ = find_fewest(self.search, wanted)
            if again is None:
                return
            if again > fewest:
                fewest = again
                yield fewest
        upto = fewest + (self.wish.more or int(len(options) < FEW))
        yield from range(fewest + 1, min(upto, last) + 1)

    def short(self, state: str) -> Offer:
        """Plans as good as any where none reaches the wanted chance."""
        chosen = choose(self.search, self.search.job.wanted_chance)
        if chosen is None:
            return Offer(NONE, (), None, state)
        own = self.option(chosen.plan)
        bar = max(chosen.chance - SHORT_OF_BEST, 1e-3)
        options, _ = self.listed(chosen.shims, bar, own.chance - SHORT_OF_BEST)
        options = [own, *(one for one in options if one.seats != own.seats)]
        return Offer(SHORT, tuple(options), chosen.shims, state)

    def listed(self, total: int, bar: float, wanted: float) -> tuple[list[Option], bool]:
        """Plans of so many pieces whose simulated chance is enough, and whether they are all.

        bar: by the normal law; wanted: simulated.
        """
        search = self.search
        search.weigh(total, bar)
        every = bar >= search.weighed.get(total, np.inf)
        found, whole = self._weighed(total, bar)
        few = len(found) <= (EVERY if self.wish.more else FIRST)
        picked = found if few else self._picked(found, wanted)
        options = [self.option(search.columns.plan(one.counts)) for one in picked]
        return [one for one in options if one.chance >= wanted], every and whole and few

    def option(self, plan: Plan) -> Option:
        """A plan with its simulated chance."""
        job, places = self.search.job, {lot.id: at for at, lot in enumerate(self.drawer.lots)}
        chance = simulated_chance(job, self.drawer, self.estimate, plan, self.builds)
        seats = tuple(
            tuple((places[piece.id], piece.count) for piece in stack.pieces)
            for stack in plan.stacks
        )
        return Option(plan.shims, chance, seats)

    def _weighed(self, total: int, bar: float) -> tuple[list[Candidate], bool]:
        """Plans that reach a chance by the normal law, and whether they are all.

        Where there are more than can be worked out, those whose lots others want least, and among
        equals a part that differs from one assembly to the next.
        """
        search = self.search
        kept = {_key(one.counts): one for one in search.pool.get(total, []) if one.chance >= bar}
        alive = [one for one in search.alive.get(total, []) if len(one.points)]
        if not alive:
            return list(kept.values()), True
        points = np.concatenate([one.points for one in alive])
        may = np.arange(len(points))
        if search.tangents_bound(bar):
            may = np.flatnonzero(search.tangents.upper(points) >= math.log(bar))
        whole = len(may) <= MOST_WEIGHED
        if not whole:
            cost = np.concatenate([self._cost(one.columns) for one in alive])[may]
            may = may[np.lexsort((self._shuffle(total, len(may)), cost))[:MOST_WEIGHED]]
        starts = np.cumsum([0, *(len(one.points) for one in alive)])
        for block in np.array_split(may, max(len(may) // BLOCK, 1)):
            chances = search.law.chance(search.tangents.stacks(points[block]))
            for at, chance in zip(block[chances >= bar], chances[chances >= bar], strict=True):
                split = int(np.searchsorted(starts, at, side="right")) - 1
                rows = [of[at - starts[split]].tolist() for of in alive[split].columns]
                counts = tuple({c: row.count(c) for c in row} for row in rows)
                kept.setdefault(_key(counts), Candidate(float(chance), total, counts))
        return list(kept.values()), whole

    def _cost(self, columns: tuple[np.ndarray, ...]) -> np.ndarray:
        """What the lots of plans are worth to others [(n,)]. columns: of each seat [(n, k)]."""
        worth = self._worth()
        return np.asarray(sum(worth[of].sum(axis=1) for of in columns))

    def _worth(self) -> np.ndarray:
        """What a piece of each column is worth to others."""
        items = self.search.columns.items
        dear = self.wish.dear
        return np.array([dear[one.lots[0]] if dear else 0.0 for one in items])

    def _shuffle(self, total: int, count: int) -> np.ndarray:
        """An order that only assembly and number of pieces decide [(count,)]."""
        return np.random.default_rng((zlib.crc32(self.wish.seed.encode()), total)).random(count)

    def _picked(self, found: list[Candidate], wanted: float) -> list[Candidate]:
        """A few plans: a third the best, the rest those that leave dear lots alone; well spread."""
        most = WIDER if self.wish.more else FIRST
        worth = self._worth()
        chance = np.array([one.chance for one in found])
        cost = np.array(
            [sum(k * worth[c] for s in one.counts for c, k in s.items()) for one in found]
        )
        unlikely = chance < wanted + LIKELY
        mixed = self._shuffle(len(found), len(found))
        best = np.lexsort((-chance, unlikely))
        apart = np.lexsort((mixed, np.round(cost, 9), unlikely))
        taken: dict[int, None] = dict.fromkeys(_spread(found, best, most // 3))
        taken |= dict.fromkeys(_spread(found, apart, most - len(taken)))
        return [found[at] for at in taken]


def _spread(found: list[Candidate], order: np.ndarray, most: int) -> list[int]:
    """The first plans of an order that no column is in too many of."""
    uses: dict[int, int] = {}
    taken: list[int] = []
    left, cap = order.tolist(), 2
    while left and len(taken) < most:
        passed = []
        for at in left:
            columns = {column for seat in found[at].counts for column in seat}
            if len(taken) < most and all(uses.get(column, 0) < cap for column in columns):
                taken.append(at)
                for column in columns:
                    uses[column] = uses.get(column, 0) + 1
            else:
                passed.append(at)
        left, cap = passed, 2 * cap
    return taken


def _key(counts: Counts) -> tuple[tuple[tuple[int, int], ...], ...]:
    return tuple(tuple(sorted(seat.items())) for seat in counts)
