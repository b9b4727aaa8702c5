"""One job's search: what arithmetic weighed, what tangents bound, what the program may still find.

arithmetic (stacking)      finds good plans fast, and all of them where they are few
tangents                   bound the log-chance of every plan from above
integer program (master)   finds what arithmetic missed, or that there is nothing
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from solver.columns import TICKS_PER_UM, Columns
from solver.job import Job
from solver.law import Law, Stacks
from solver.master import Counts, Halt, Master
from solver.region import Region, bound_region, find_peak
from solver.stacking import Pairs, SeatStacks, exchanged, pair_up, seat_stacks
from solver.tangents import HOLDS_FROM, SLACK, Tangents

TIE = 0.0005  # two plans within this are equally good
BLOCK = 512  # pairs weighed at a time
MOST_WEIGHED = 4_096  # pairs of one split whose true chance is worked out
MOST_EXCHANGES = 12
ENOUGH_BETTER = 1e-4  # for another round of exchanges
MOST_KEPT = 200  # plans of one block that are remembered
MOST_ROUNDS = 60
FEW_ROUNDS = 12  # where tangents bound nothing and a plan at a time is left out


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plan that was weighed: its true chance by the normal law, and its columns."""

    chance: float
    pieces: int
    counts: Counts


@dataclass(frozen=True, slots=True, eq=False)
class Alive:
    """Pairs of stacks that arithmetic could not rule out."""

    points: np.ndarray  # [(n, 5 + 2d')]
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
    _tried: set[tuple[int, float]] = field(default_factory=set)  # weighed, perhaps in part
    weighed: dict[int, float] = field(default_factory=dict)  # complete above this chance
    alive: dict[int, list[Alive]] = field(default_factory=dict)  # what may still beat it
    _stacks: dict[object, SeatStacks] = field(default_factory=dict)
    _peaked: set[int] = field(default_factory=set)  # numbers of pieces whose best has a tangent
    _exchanged: list[Counts] = field(default_factory=list)  # plans whose pieces were
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
        if self.weighed.get(total, math.inf) <= above or (total, above) in self._tried:
            return
        self._tried.add((total, above))
        complete = True
        self.alive[total] = []
        region = self._region(above)
        for split in self.splits(total):
            if self.halt.stopped:
                return
            wheel, plain = (self._seat(at, split[at], region) for at in (0, 1))
            pairs = pair_up(self.columns, wheel, plain, self.reach(wheel, region), self.centre)
            complete &= pairs.complete
            complete &= self._weigh_pairs(total, pairs, wheel, plain, above)
        if complete:
            self.weighed[total] = above
        else:
            self._exchange(total)

    def _exchange(self, total: int) -> None:
        """Exchange two pieces a seat in the best plan known, as long as that makes it better."""
        for _ in range(MOST_EXCHANGES):
            best = self.best(total)
            if not best or self.halt.stopped:
                return
            counts = max(self.pool[total], key=lambda c: c.chance).counts
            if counts in self._exchanged:
                return
            self._exchanged.append(counts)
            stacks = [[at for at, k in sorted(of.items()) for _ in range(k)] for of in counts]
            region = self._region(best)
            wheel, plain = (
                exchanged(self.columns, seat, stack, self.window(seat, region))
                for seat, stack in enumerate(stacks)
            )
            pairs = pair_up(self.columns, wheel, plain, self.reach(wheel, region), self.centre)
            self._weigh_pairs(total, pairs, wheel, plain, best)
            if self.best(total) < best + ENOUGH_BETTER:
                return

    @property
    def centre(self) -> tuple[float, float]:
        """The best thickness of each seat [ticks]."""
        wheel_um, plain_um = self.tangents.peak.stacks_um.tolist()
        return wheel_um * TICKS_PER_UM, plain_um * TICKS_PER_UM

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
            centre = float(self.tangents.peak.stacks_um[seat]) * TICKS_PER_UM
            self._stacks[key] = seat_stacks(self.columns, seat, count, window, centre)
        return self._stacks[key]

    def reach(self, wheel: SeatStacks, region: Region) -> tuple[np.ndarray, np.ndarray]:
        """For each wheel-side stack, the thicknesses of the other that keep the pinch in reach.

        wheel: its stacks; region. Returns: least and most [ticks, (m,)].
        """
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
        bounded = self._tangents_bound(above)
        rank = self.tangents.upper(pairs.points)  # bounds nothing in the tail, but still leads
        ceiling = rank.copy() if bounded else np.zeros(len(pairs.wheel))
        may = np.flatnonzero(ceiling >= math.log(max(above, 1e-12)))
        self._note_alive(total, pairs, wheel, plain, may)
        best = self.best(total)
        for _ in range(MOST_WEIGHED // BLOCK):
            may = may[ceiling[may] >= math.log(max(above, best - TIE, 1e-12))]
            if not len(may):
                return True
            if self.halt.stopped:
                return False
            order = np.argsort(-rank[may], kind="stable")
            block, may = may[order[:BLOCK]], may[order[BLOCK:]]
            chances = self.law.chance(self.tangents.stacks(pairs.points[block]))
            best = max(best, float(chances.max()))
            good = np.flatnonzero(chances >= max(best - 0.05, 0.5 * best))[:MOST_KEPT]
            for at in good:
                counts = (
                    _counted(wheel.columns[pairs.wheel[block[at]]]),
                    _counted(plain.columns[pairs.plain[block[at]]]),
                )
                self.remember(Candidate(float(chances[at]), total, counts))
            if bounded and len(may):
                since = len(self.tangents.levels)
                promising = [0, int(np.argmax(chances))]
                self.tangents.add(pairs.points[block[promising]])
                sharper = self.tangents.upper(pairs.points[may], since)
                ceiling[may] = np.minimum(ceiling[may], sharper)
                rank[may] = ceiling[may]
        return not len(may)

    def _note_alive(
        self,
        total: int,
        pairs: Pairs,
        wheel: SeatStacks,
        plain: SeatStacks,
        may: np.ndarray,
    ) -> None:
        columns = wheel.columns[pairs.wheel[may]], plain.columns[pairs.plain[may]]
        self.alive[total].append(Alive(pairs.points[may], columns))

    def _usable(self, pieces: tuple[int, int], bar: float) -> tuple[set[int], ...] | None:
        """For each seat the columns in any plan that arithmetic left alive; None: not known.

        Tangents at the pairs with the highest bounds strike out most of what is left.
        """
        totals = [total for total in self.totals if pieces[0] <= total <= pieces[1]]
        if any(self.weighed.get(total, math.inf) > bar for total in totals):
            return self._well_known(totals[0], bar) if self._tangents_bound(bar) else None
        enough = math.log(max(bar, 1e-12))
        usable: tuple[set[int], ...] = (set(), set())
        for alive in (alive for total in totals for alive in self.alive[total]):
            may = np.arange(len(alive.points))
            for _ in range(MOST_ROUNDS if self._tangents_bound(bar) else 0):
                ceiling = self.tangents.upper(alive.points[may])
                may = may[ceiling >= enough]
                if not len(may) or not self._cut_off(alive.points[may[:1]]):
                    break
            for seat in (0, 1):
                usable[seat].update(int(at) for at in np.unique(alive.columns[seat][may]))
        return usable

    def _well_known(self, total: int, bar: float) -> tuple[set[int], ...]:
        """For each seat the columns known well enough to be in a plan of `total` pieces or more.

        With perfect thicknesses, and the best-known pieces beside it, such a plan has to reach
        the chance; more pieces would only add to its errors.
        """
        items, seats = self.columns.items, self.job.seats
        kept: tuple[set[int], ...] = (set(), set())
        for seat, other in ((0, 1), (1, 0)):
            able = [at for at, column in enumerate(items) if column.seats[seat]]
            own = np.array([items[at].own_um2[seat, 1] for at in able])
            rest = [c.own_um2[other, 1] for c in items if c.seats[other]]
            best = np.zeros(len(able))
            for here in range(max(seats[seat].least, 1), seats[seat].most + 1):
                there = max(seats[other].least, total - here)
                if there > seats[other].most or not len(able):
                    continue
                z = np.zeros((len(able), 5 + 2 * len(self.columns.busy)))
                z[:, :2] = self.tangents.peak.stacks_um * TICKS_PER_UM
                z[:, 2 + seat] = own + (here - 1) * own.min()
                z[:, 2 + other] = there * min(rest, default=0.0)
                best = np.maximum(best, self.law.chance(self.tangents.stacks(z)))
            enough = bar * (1.0 - 3.0 * SLACK)
            kept[seat].update(at for at, c in zip(able, best, strict=True) if c >= enough)
        return kept

    def _tangents_bound(self, chance: float) -> bool:
        return self.tangents.hold and self._near_peak(chance) and bool(self.tangents.levels)

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

    def ask(self, pieces: tuple[int, int], bar: float, gap: float = 0.0) -> tuple[bool, bool]:
        """Let the integer program find better, until it says there is nothing.

        pieces: least and most in all; bar: the chance to reach; gap: 0 for the fewest pieces that
        do, else for the highest chance, each better by this much. Returns: (something found,
        closed).
        """
        fewest = not gap
        bounded = self._tangents_bound(bar)
        totals = [total for total in self.totals if pieces[0] <= total <= pieces[1]]
        if not bounded and all(self.weighed.get(total, math.inf) <= bar for total in totals):
            return False, True  # every plan was weighed: there is nothing left to ask
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
        if bounded:
            for total in totals:
                self._lean_on_peak(total)
        found_any, floor = False, None
        if bar >= 1.0:
            return False, True
        for _ in range(MOST_ROUNDS if bounded else FEW_ROUNDS):
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
            if not fewest and chance + gap > bar:
                bar = chance + gap
                if bar >= 1.0:
                    return found_any, True
                floor = math.log(bar)
            if not fewest and found.closed and found.bound <= math.log(bar):
                return found_any, True
            if not self._cut_off(point):
                master.forbid(found.counts)
        return found_any, False

    def _lean_on_peak(self, total: int) -> None:
        """Add a tangent for each split of so many pieces: perfect thicknesses, best-known pieces.

        More pieces only add to what is unknown, so that these alone often close a question.
        """
        if total not in self._peaked:
            self._peaked.add(total)
            splits = sorted(self.splits(total), key=lambda split: abs(split[0] - split[1]))
            z = np.array([self.typical(*split) for split in splits])
            z[:, :2] = find_peak(self.law, self.tangents.stacks(z[:1])).stacks_um * TICKS_PER_UM
            self.tangents.add(z)

    def typical(self, wheel: int, plain: int) -> np.ndarray:
        """The point of a plan with so many of the best-known pieces a side [(5 + 2d',)]."""
        counts: list[dict[int, int]] = []
        for seat, many in enumerate((wheel, plain)):
            usable = [at for at, column in enumerate(self.columns.items) if column.seats[seat]]
            usable.sort(key=lambda at: self.columns.items[at].own_um2[seat, 1])
            counts.append(dict.fromkeys(usable[:many], 1))
        return self.point(tuple(counts))

    def splits(self, total: int) -> list[tuple[int, int]]:
        """How so many pieces may be divided between the seats. total: pieces."""
        one, two = self.job.seats
        return [
            (at, total - at)
            for at in range(one.least, one.most + 1)
            if two.least <= total - at <= two.most
        ]

    def _lean_on_pool(self, pieces: tuple[int, int]) -> None:
        """Add tangents at the best plans known, so that the program starts well informed."""
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
    counts: dict[int, int] = {}
    for at in columns.tolist():
        counts[at] = counts.get(at, 0) + 1
    return counts
