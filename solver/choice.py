"""Choose the plan: fewest pieces that reach the wanted chance, then the best chance, proved.

arithmetic (stacking)      finds good plans fast, and all of them where they are few
tangents                   bound the log-chance of every plan from above
integer program (master)   finds what arithmetic missed, or that there is nothing
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from solver.columns import TICKS_PER_UM, Columns, list_columns
from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.job import Job
from solver.law import Law, Stacks, law_of
from solver.master import Counts, Halt, Master
from solver.plan import Plan
from solver.region import Region, bound_region, find_peak
from solver.stacking import Pairs, SeatStacks, pair_up, seat_stacks
from solver.tangents import HOLDS_FROM, Tangents

TIE = 0.0005  # two plans within this are equally good
SHORT_OF_BEST = 0.005  # when the wanted chance is out of reach, this near the best is enough
NO_CHANCE = 0.001
MOST_ROUNDS = 60
BLOCK = 512  # pairs weighed at a time
MOST_WEIGHED = 4_096  # pairs of one split whose true chance is worked out
MOST_TIED = 400  # equals among which the preference is worked out in full
NEAR_PEAK = 0.97  # so near what any thicknesses could do, arithmetic need not go on


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plan that was weighed: its true chance by the normal law, and its columns."""

    chance: float
    pieces: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen, and how sure it is that nothing beats it."""

    plan: Plan
    chance: float
    shims: int
    proved: bool
    reached: bool  # the wanted chance, by the normal law


@dataclass(frozen=True, slots=True, eq=False)
class Alive:
    """Pairs of stacks that arithmetic could not rule out."""

    ceiling: np.ndarray  # bound of the log-chance of each pair [(n,)]
    columns: tuple[np.ndarray, np.ndarray]  # of the wheel side and plain side [(n, k)]


@dataclass(slots=True)
class Search:
    """One job's search; keeps stacks, tangents and candidates between questions."""

    job: Job
    law: Law
    columns: Columns
    tangents: Tangents
    halt: Halt
    pool: dict[int, list[Candidate]] = field(default_factory=dict)  # by number of pieces
    _known: set[object] = field(default_factory=set)  # what the pool holds already
    _tried: dict[int, float] = field(default_factory=dict)  # lowest chance weighed down to
    weighed: dict[int, float] = field(default_factory=dict)  # complete above this chance
    alive: dict[int, list[Alive]] = field(default_factory=dict)  # what may still beat it
    _stacks: dict[object, SeatStacks] = field(default_factory=dict)
    _leant: list[Counts] = field(default_factory=list)  # where a tangent stands already

    @property
    def totals(self) -> range:
        """Numbers of pieces that the seats allow."""
        seats = self.job.seats
        return range(sum(s.least for s in seats), sum(s.most for s in seats) + 1)

    def weigh(self, total: int, above: float) -> None:
        """Weigh by arithmetic the plans with so many pieces that may beat a chance.

        total: pieces; above: chance. Fills `pool`, and `weighed` where nothing was left out.
        """
        if self._tried.get(total, math.inf) <= above:
            return
        self._tried[total] = above
        seats = self.job.seats
        complete = True
        self.alive[total] = []
        splits = [
            (one, total - one)
            for one in range(seats[0].least, seats[0].most + 1)
            if seats[1].least <= total - one <= seats[1].most
        ]
        region = self._region(above)
        for split in splits:
            if self.halt.stopped:
                return
            wheel, plain = (self._seat(at, split[at], region) for at in (0, 1))
            pairs = pair_up(self.columns, wheel, plain, self._reach(wheel, region))
            complete &= pairs.complete
            complete &= self._weigh_pairs(total, pairs, wheel, plain, above)
        if complete:
            self.weighed[total] = above

    def _region(self, chance: float) -> Region:
        reach = max(seat.most for seat in self.job.seats)
        d = len(self.law.x)
        own = max((float(c.own_um2.max()) for c in self.columns.items), default=0.0)
        lean = np.zeros((1, 2, d))
        for column in self.columns.items:
            lean[0] = np.minimum(lean[0], column.lean[:, 1] * reach)
        return bound_region(self.law, chance, Stacks(np.zeros((1, 2)), lean, _own(reach, own)))

    def _pad_ticks(self) -> int:
        """How far a nominal stack may lie from its best true thickness, by known common errors."""
        offsets = np.abs(self.law.x[self.columns.busy]).sum() if len(self.columns.busy) else 0.0
        return math.ceil((8.0 * float(offsets) + 0.5) * TICKS_PER_UM)

    def window(self, seat: int, region: Region) -> tuple[int, int]:
        """Least and most thickness of a seat within a region [ticks]."""
        low, high = region.wheel_um if seat == 0 else region.plain_um
        pad = self._pad_ticks()
        low_ticks = max(math.floor(low * TICKS_PER_UM) - pad, 0)
        return low_ticks, max(math.ceil(high * TICKS_PER_UM) + pad, low_ticks)

    def _seat(self, seat: int, count: int, region: Region) -> SeatStacks:
        window = self.window(seat, region)
        key = (seat, count, window)
        if key not in self._stacks:
            self._stacks[key] = seat_stacks(self.columns, seat, count, window)
        return self._stacks[key]

    def _reach(self, wheel: SeatStacks, region: Region) -> tuple[np.ndarray, np.ndarray]:
        """For each wheel-side stack, the thicknesses of the other that keep the pinch in reach."""
        one, two = self.law.signs
        signed = one * wheel.ticks / TICKS_PER_UM
        clearance = self.law.quantities[0]
        ends = [two * (clearance + p - signed) * TICKS_PER_UM for p in region.pinch_um]
        pad = self._pad_ticks()
        return np.minimum(*ends) - pad, np.maximum(*ends) + pad

    def _weigh_pairs(
        self, total: int, pairs: Pairs, wheel: SeatStacks, plain: SeatStacks, above: float
    ) -> bool:
        """Weigh pairs, the most promising first, until none can matter; False if some are left."""
        if not len(pairs.wheel):
            return True
        if self.tangents.hold and self._near_peak(above) and self.tangents.levels:
            ceiling = self.tangents.upper(pairs.points)
        else:
            ceiling = np.zeros(len(pairs.wheel))
        self._note_alive(total, pairs, wheel, plain, ceiling, above)
        order = np.argsort(-ceiling, kind="stable")
        best = self.best(total)
        for start in range(0, len(order), BLOCK):
            enough = math.log(max(above, best - TIE, 1e-12))
            block = order[start : start + BLOCK]
            block = block[ceiling[block] >= enough]
            if not len(block):
                return True
            if start >= MOST_WEIGHED or self.halt.stopped:
                return False
            chances = self.law.chance(self.tangents.stacks(pairs.points[block]))
            best = max(best, float(chances.max()))
            good = np.flatnonzero(chances >= max(best - 0.05, 0.5 * best))[:400]
            for at in good:
                counts = (
                    _counted(wheel.columns[pairs.wheel[block[at]]]),
                    _counted(plain.columns[pairs.plain[block[at]]]),
                )
                self.remember(Candidate(float(chances[at]), total, counts))
        return True

    def _note_alive(
        self,
        total: int,
        pairs: Pairs,
        wheel: SeatStacks,
        plain: SeatStacks,
        ceiling: np.ndarray,
        above: float,
    ) -> None:
        may = np.flatnonzero(ceiling >= math.log(max(above, 1e-12)))
        columns = wheel.columns[pairs.wheel[may]], plain.columns[pairs.plain[may]]
        self.alive[total].append(Alive(ceiling[may], columns))

    def _usable(self, pieces: tuple[int, int], bar: float) -> tuple[set[int], ...] | None:
        """For each seat the columns in any plan that arithmetic left alive; None: not known."""
        totals = [total for total in self.totals if pieces[0] <= total <= pieces[1]]
        if any(self.weighed.get(total, math.inf) > bar for total in totals):
            return None
        usable: tuple[set[int], ...] = (set(), set())
        for total in totals:
            for alive in self.alive[total]:
                may = alive.ceiling >= math.log(max(bar, 1e-12))
                for seat in (0, 1):
                    usable[seat].update(int(at) for at in np.unique(alive.columns[seat][may]))
        return usable

    def _near_peak(self, chance: float) -> bool:
        return chance >= HOLDS_FROM * self.tangents.peak.chance

    def remember(self, candidate: Candidate) -> None:
        """Keep a candidate. candidate: weighed."""
        key = tuple(tuple(sorted(seat.items())) for seat in candidate.counts)
        if key not in self._known:
            self._known.add(key)
            self.pool.setdefault(candidate.pieces, []).append(candidate)

    def best(self, total: int) -> float:
        """Best chance known with exactly so many pieces; 0 where there is none."""
        return max((c.chance for c in self.pool.get(total, [])), default=0.0)

    def point(self, counts: Counts) -> np.ndarray:
        """The point of one plan. counts: column -> pieces, for each seat. Returns [(5 + 2d',)]."""
        busy, items = self.columns.busy, self.columns.items
        own, lean, thick, shared = [0.0, 0.0], np.zeros((2, len(busy))), [0, 0], 0.0
        for seat, of in enumerate(counts):
            for at, k in of.items():
                thick[seat] += k * items[at].ticks
                own[seat] += items[at].own_um2[seat, k]
                lean[seat] += items[at].lean[seat, k][busy]
                if seat == 0:
                    shared += k * counts[1].get(at, 0) * items[at].shared_um2
        return np.concatenate([thick, own, [shared], lean.ravel()])

    def exact_stacks(self, counts: Counts) -> Stacks:
        """A plan with its thicknesses as stated, not rounded to ticks. counts: of each seat."""
        lots = self.columns.drawer.lots
        stacks = self.tangents.stacks(self.point(counts)[None, :])
        nominal = [
            sum(k * lots[self.columns.items[at].lots[0]].thickness_um for at, k in seat.items())
            for seat in counts
        ]
        return Stacks(np.array([nominal]), stacks.lean, stacks.own_um2)

    def ask(self, pieces: tuple[int, int], bar: float, *, fewest: bool) -> tuple[bool, bool]:
        """Let the integer program find better, until it says there is nothing.

        pieces: least and most in all; bar: the chance to reach, or to beat; fewest: stop at the
        first that reaches it. Returns: (something found, closed).
        """
        region = self._region(bar)
        windows = tuple(self.window(seat, region) for seat in (0, 1))
        master = Master(
            self.columns,
            self.tangents,
            windows,
            pieces,
            math.log(max(bar, 1e-12)),
            self.halt,
            self._usable(pieces, bar),
        )
        self._lean_on_pool(pieces)
        found_any, floor = False, None
        if bar >= 1.0:
            return False, True
        for _ in range(MOST_ROUNDS):
            found = master.ask(fewest=fewest, floor=floor)
            if found.counts is None:
                return found_any, found.closed
            point = self.point(found.counts)[None, :]
            chance = float(self.law.chance(self.tangents.stacks(point))[0])
            total = sum(sum(seat.values()) for seat in found.counts)
            self.remember(Candidate(chance, total, found.counts))
            if chance >= bar:
                found_any = True
                if fewest:
                    return True, found.closed
                bar = chance + TIE / 2
                if bar >= 1.0:
                    return True, True
                floor = math.log(bar)
            if not fewest and found.closed and found.bound <= math.log(bar):
                return found_any, True
            if not self._cut_off(point):
                master.forbid(found.counts)
        return found_any, False

    def _lean_on_pool(self, pieces: tuple[int, int]) -> None:
        """Add tangents at the best plans known, so that the integer program starts well informed."""
        for total in range(pieces[0], pieces[1] + 1):
            known = sorted(self.pool.get(total, []), key=lambda c: -c.chance)[:3]
            fresh = [c for c in known if c.counts not in self._leant]
            if fresh:
                self._leant += [c.counts for c in fresh]
                self.tangents.add(np.array([self.point(c.counts) for c in fresh]))

    def _cut_off(self, point: np.ndarray) -> bool:
        """Add tangents that lower the bound at a point; False where none may be taken.

        Where the point's own chance is too low for a tangent, one is taken on the way there.
        """
        before = float(self.tangents.upper(point)[0])
        count = len(self.tangents.levels)
        self.tangents.add(point)
        if len(self.tangents.levels) == count:
            centre = np.array(point)
            centre[:, :2] = self.tangents.peak.stacks_um * TICKS_PER_UM
            way = np.linspace(0.9, 0.1, 9)[:, None]
            trail = centre + way * (point - centre)
            logs = self.tangents.log_chance(trail)
            floor = math.log(max(HOLDS_FROM * 1.2 * self.tangents.peak.chance, 1e-12))
            high = np.flatnonzero(logs >= floor)
            for at in high:
                self.tangents.add(trail[at : at + 1])
                if float(self.tangents.upper(point)[0]) < before - 1e-7:
                    break
        return float(self.tangents.upper(point)[0]) < before - 1e-7


def _own(reach: int, own: float) -> np.ndarray:
    return np.array([[own * reach, own * reach, own * reach]])


def _counted(columns: np.ndarray) -> dict[int, int]:
    places, counts = np.unique(columns, return_counts=True)
    return {int(at): int(k) for at, k in zip(places, counts, strict=True)}


def begin_search(job: Job, drawer: Drawer, estimate: Estimate, halt: Halt | None = None) -> Search:
    """Set up the search for one job. halt: to stop it from another thread."""
    law = law_of(job, estimate)
    columns = list_columns(drawer, job.seats, estimate.unknowns)
    tangents = Tangents(law, columns.busy, find_peak(law))
    search = Search(job, law, columns, tangents, halt or Halt())
    tangents.cover(_typical(search))
    return search


def _typical(search: Search) -> np.ndarray:
    """Errors of a plan with two of the best-known pieces a side, as a point."""
    items = search.columns.items
    counts: list[dict[int, int]] = []
    for seat in (0, 1):
        usable = [at for at, column in enumerate(items) if column.seats[seat]]
        usable.sort(key=lambda at: items[at].own_um2[seat, 1])
        counts.append(dict.fromkeys(usable[:2], 1))
    return search.point(tuple(counts))


def choose(search: Search, wanted: float) -> Choice | None:
    """Choose by the normal law: fewest pieces that reach the wanted chance, then the best chance.

    search: of the job; wanted: 0 to 1. Returns: the choice, None where no plan has a chance of
    0.001. If none reaches the wanted chance: fewest pieces within 0.005 of the highest there is.
    Limits: `proved` rests on tangents, which hold without end float and down to 0.3 of the peak,
    or on every plan having been weighed. Source: outer approximation of a concave objective
    (Duran and Grossmann 1986, from memory), tested against full enumeration.
    """
    fewest, closed = _fewest(search, wanted)
    if fewest is not None:
        return _settled(search, fewest, wanted, closed=closed, reached=True)
    top, top_closed = _highest(search)
    if top < NO_CHANCE:
        return None
    bar = max(top - SHORT_OF_BEST, NO_CHANCE)
    fewest, closed = _fewest(search, bar)
    assert fewest is not None
    return _settled(search, fewest, bar, closed=closed and top_closed, reached=False)


def _fewest(search: Search, bar: float) -> tuple[int | None, bool]:
    """Fewest pieces that reach a chance, and whether fewer are ruled out."""
    totals = search.totals
    upto, every = None, True
    if bar > search.tangents.peak.chance:
        found, closed = search.ask((totals[0], totals[-1]), bar, fewest=True)
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
        found, closed = search.ask((totals[0], last), bar, fewest=True)
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
    bar = max(top + TIE / 2, HOLDS_FROM * search.tangents.peak.chance)
    found, closed = search.ask((totals[0], totals[-1]), bar, fewest=False)
    if found:
        top = max(search.best(total) for total in totals)
    return top, every or (closed and _sure(search, top))


def _settled(search: Search, total: int, bar: float, *, closed: bool, reached: bool) -> Choice:
    """The best plan with so many pieces, with its tie broken, and whether it is proved."""
    search.weigh(total, bar)
    _, best_closed = search.ask((total, total), search.best(total) + TIE / 2, fewest=False)
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
    return len(used), unmeasured, -round(candidate.chance, 7), places
