"""One job's search: what arithmetic weighed, what tangents bound, what the program may still find.

arithmetic (stacking)      finds good plans fast, and all of them where they are few
tangents                   bound the log-chance of every plan from above
integer program (master)   finds what arithmetic missed, or that there is nothing
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

import numpy as np

from solver.columns import TICKS_PER_UM, Columns
from solver.job import Job
from solver.law import Law, Stacks, covariances
from solver.master import Counts, Halt, Master
from solver.region import MOST_ON_A_GRID, Region, bound_region, find_peak
from solver.stacking import Combined, SeatStacks, combine, exchanged, seat_stacks
from solver.tangents import HOLDS_FROM, SLACK, Tangents

TIE = 0.0005  # two plans within this are equally good
BLOCK = 512  # plans weighed at a time
MOST_WEIGHED = 4_096  # plans of one split whose true chance is worked out
MOST_EXCHANGES = 12
ENOUGH_BETTER = 1e-4  # for another round of exchanges
MOST_KEPT = 200  # plans of one block that are remembered
MOST_ROUNDS = 60
MOST_LEANT, FEW_LEANT = 40, 4  # splits of a number of pieces at which a tangent is taken
FEW_ROUNDS = 12  # where tangents bound nothing and a plan at a time is left out


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plan that was weighed: its true chance by the normal law, and its columns."""

    chance: float
    pieces: int
    counts: Counts


@dataclass(frozen=True, slots=True, eq=False)
class Alive:
    """Combinations of stacks that arithmetic could not rule out."""

    points: np.ndarray  # [(n, m)]
    columns: tuple[np.ndarray, ...]  # of each seat [(n, k)]


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
            stacks = tuple(self._seat(at, count, region) for at, count in enumerate(split))
            combined = self.combined(stacks, region)
            complete &= combined.complete
            complete &= self._weigh_combined(total, combined, stacks, above)
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
            near = tuple(
                exchanged(self.columns, seat, stack, self.window(seat, region))
                for seat, stack in enumerate(stacks)
            )
            self._weigh_combined(total, self.combined(near, region), near, best)
            if self.best(total) < best + ENOUGH_BETTER:
                return

    @property
    def centre(self) -> tuple[float, ...]:
        """The best thickness of each seat [ticks]."""
        return tuple(um * TICKS_PER_UM for um in self.tangents.peak.stacks_um.tolist())

    def _region(self, chance: float) -> Region:
        reach = max(seat.most for seat in self.job.seats)
        d = len(self.law.x)
        own = max((float(c.own_um2.max()) for c in self.columns.items), default=0.0)
        seats = self.law.seats
        lean = np.zeros((1, seats, d))
        for column in self.columns.items:
            lean[0] = np.minimum(lean[0], column.lean[:, 1] * reach)
        most = np.full((1, covariances(seats)), own * reach)
        thickest = np.array([
            seat.most * max((c.ticks for c in self.columns.items if c.seats[at]), default=0)
            for at, seat in enumerate(self.job.seats)
        ]) / TICKS_PER_UM + self._pad_ticks() / TICKS_PER_UM  # fmt: skip
        return bound_region(self.law, chance, Stacks(np.zeros((1, seats)), lean, most), thickest)

    def _pad_ticks(self) -> int:
        """How far a nominal stack may lie from its best true thickness, by known common errors."""
        offsets = np.abs(self.law.x[self.columns.busy]).sum() if len(self.columns.busy) else 0.0
        return math.ceil((8.0 * float(offsets) + 0.5) * TICKS_PER_UM)

    def window(self, seat: int, region: Region) -> tuple[int, int]:
        """Least and most thickness of a seat within a region [ticks]."""
        low, high = region.seats_um[seat]
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

    def combined(self, stacks: tuple[SeatStacks, ...], region: Region) -> Combined:
        """Combine the stacks of all seats. stacks: of each; region. Returns: Combined."""
        groups = self.law.axle.groups
        reaches = tuple(
            self._reach(group, stacks[group[0]], region) if len(group) > 1 else None
            for group in groups
        )
        return combine(self.columns, stacks, groups, reaches, self.centre)

    def _reach(
        self, group: tuple[int, ...], first: SeatStacks, region: Region
    ) -> tuple[np.ndarray, np.ndarray]:
        """For each stack of a group's first seat, what of the second keeps their result in reach.

        That is the pinch for the carrier's two sides, for others the sum that ties them, whose
        other seats may be anywhere in their windows.
        Returns: least and most [ticks, (m,)].
        """
        axle = self.law.axle
        result = dict(axle.ties)[group]
        if result not in axle.results:
            return np.zeros(len(first.ticks)), np.full(len(first.ticks), 1e12)
        window = region.results_um[axle.results.index(result)]
        empty = np.zeros((1, axle.seats))
        surface = axle.surface(result, self.law.x, empty)
        by_stack = surface.by_stack[0]
        by_first, by_second = (float(by_stack[at]) for at in group)
        rest = float(surface.value[0]) + by_first * first.ticks / TICKS_PER_UM
        others = [at for at in np.flatnonzero(by_stack) if at not in group]
        spans = [sorted(by_stack[at] * end for end in region.seats_um[at]) for at in others]
        low, high = window[0] - sum(s[1] for s in spans), window[1] - sum(s[0] for s in spans)
        ends = [(end - rest) / by_second * TICKS_PER_UM for end in (low, high)]
        pad = self._pad_ticks()
        return np.minimum(*ends) - pad, np.maximum(*ends) + pad

    def _weigh_combined(
        self, total: int, combined: Combined, stacks: tuple[SeatStacks, ...], above: float
    ) -> bool:
        """Weigh plans, the most promising first, until none can matter; False if some are left."""
        if not len(combined.places):
            return True
        bounded = self.tangents_bound(above)
        rank = self.tangents.upper(combined.points)  # bounds nothing in the tail, but still leads
        ceiling = rank.copy() if bounded else np.zeros(len(combined.places))
        may = np.flatnonzero(ceiling >= math.log(max(above, 1e-12)))
        self._note_alive(total, combined, stacks, may)
        best = self.best(total)
        for _ in range(MOST_WEIGHED // BLOCK):
            may = may[ceiling[may] >= math.log(max(above, best - TIE, 1e-12))]
            if not len(may):
                return True
            if self.halt.stopped:
                return False
            order = np.argsort(-rank[may], kind="stable")
            block, may = may[order[:BLOCK]], may[order[BLOCK:]]
            chances = self.law.chance(self.tangents.stacks(combined.points[block]))
            best = max(best, float(chances.max()))
            good = np.flatnonzero(chances >= max(best - 0.05, 0.5 * best))[:MOST_KEPT]
            for at in good:
                counts = tuple(
                    _counted(one.columns[place])
                    for one, place in zip(stacks, combined.places[block[at]], strict=True)
                )
                self.remember(Candidate(float(chances[at]), total, counts))
            if bounded and len(may):
                since = len(self.tangents.levels)
                promising = [0, int(np.argmax(chances))]
                self.tangents.add(combined.points[block[promising]])
                sharper = self.tangents.upper(combined.points[may], since)
                ceiling[may] = np.minimum(ceiling[may], sharper)
                rank[may] = ceiling[may]
        return not len(may)

    def _note_alive(
        self,
        total: int,
        combined: Combined,
        stacks: tuple[SeatStacks, ...],
        may: np.ndarray,
    ) -> None:
        columns = tuple(one.columns[combined.places[may, at]] for at, one in enumerate(stacks))
        self.alive[total].append(Alive(combined.points[may], columns))

    def _usable(self, pieces: tuple[int, int], bar: float) -> tuple[set[int], ...] | None:
        """For each seat the columns in any plan that arithmetic left alive; None: not known.

        Tangents at the pairs with the highest bounds strike out most of what is left.
        """
        totals = [total for total in self.totals if pieces[0] <= total <= pieces[1]]
        if any(self.weighed.get(total, math.inf) > bar for total in totals):
            return self._well_known(totals[0], bar) if self.tangents_bound(bar) else None
        enough = math.log(max(bar, 1e-12))
        usable: tuple[set[int], ...] = tuple(set() for _ in self.job.seats)
        for alive in (alive for total in totals for alive in self.alive[total]):
            may = np.arange(len(alive.points))
            for _ in range(MOST_ROUNDS if self.tangents_bound(bar) else 0):
                ceiling = self.tangents.upper(alive.points[may])
                may = may[ceiling >= enough]
                if not len(may) or not self.cut_off(alive.points[may[:1]]):
                    break
            for seat in range(len(usable)):
                usable[seat].update(int(at) for at in np.unique(alive.columns[seat][may]))
        return usable

    def _well_known(self, total: int, bar: float) -> tuple[set[int], ...]:
        """For each seat the columns known well enough to be in a plan of `total` pieces or more.

        With perfect thicknesses, and the best-known pieces beside it, such a plan has to reach
        the chance; more pieces would only add to its errors.
        """
        items, seats = self.columns.items, self.job.seats
        kept: tuple[set[int], ...] = tuple(set() for _ in seats)
        best_own = [
            min((c.own_um2[at, 1] for c in items if c.seats[at]), default=0.0)
            for at in range(len(seats))
        ]
        size = self.tangents.parts[1] + len(seats) * len(self.columns.busy)
        for seat in range(len(seats)):
            others = [at for at in range(len(seats)) if at != seat]
            able = [at for at, column in enumerate(items) if column.seats[seat]]
            own = np.array([items[at].own_um2[seat, 1] for at in able])
            best = np.zeros(len(able))
            for here in range(max(seats[seat].least, 1), seats[seat].most + 1):
                there = max(sum(seats[at].least for at in others), total - here)
                if there > sum(seats[at].most for at in others) or not len(able):
                    continue
                z = np.zeros((len(able), size))
                z[:, : len(seats)] = self.tangents.peak.stacks_um * TICKS_PER_UM
                z[:, len(seats) + seat] = own + (here - 1) * own.min()
                if len(others) == 1:  # with more it is open which of them takes the rest
                    z[:, len(seats) + others[0]] = there * best_own[others[0]]
                best = np.maximum(best, self.law.chance(self.tangents.stacks(z)))
            enough = bar * (1.0 - 3.0 * SLACK)
            kept[seat].update(at for at, c in zip(able, best, strict=True) if c >= enough)
        return kept

    def tangents_bound(self, chance: float) -> bool:
        """Whether tangents bound every plan that could reach a chance. chance: 0 to 1."""
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
        """The point of one plan. counts: column -> pieces, for each seat. Returns [(m,)]."""
        busy, items = self.columns.busy, self.columns.items
        seats = len(counts)
        own, lean, thick = np.zeros(seats), np.zeros((seats, len(busy))), np.zeros(seats)
        for seat, of in enumerate(counts):
            for at, k in of.items():
                thick[seat] += k * items[at].ticks
                own[seat] += items[at].own_um2[seat, k]
                lean[seat] += items[at].lean[seat, k][busy]
        shared = [
            sum(k * two.get(at, 0) * items[at].shared_um2 for at, k in one.items())
            for one, two in itertools.combinations(counts, 2)
        ]
        return np.concatenate([thick, own, shared, lean.ravel()])

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
        bounded = self.tangents_bound(bar)
        totals = [total for total in self.totals if pieces[0] <= total <= pieces[1]]
        if not bounded and all(self.weighed.get(total, math.inf) <= bar for total in totals):
            return False, True  # every plan was weighed: there is nothing left to ask
        master = self.master(pieces, bar)
        self._lean_on_pool(pieces)
        if bounded:
            for total in totals:
                self._lean_on_peak(total)
        found_any, floor = False, None
        if bar >= 1.0:
            return False, True
        many = self.law.seats > MOST_ON_A_GRID
        for _ in range(MOST_ROUNDS if bounded and not many else FEW_ROUNDS):
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
            if not self.cut_off(point):
                master.forbid(found.counts)
        return found_any, False

    def master(self, pieces: tuple[int, int], bar: float, beside: Master | None = None) -> Master:
        """The integer program of a question.

        pieces, bar: as in `ask`; beside: another job's, whose model this one goes into. Returns it.
        """
        region = self._region(bar)
        windows = tuple(self.window(seat, region) for seat in range(self.law.seats))
        log, usable = math.log(max(bar, 1e-12)), self._usable(pieces, bar)
        told = self.columns, self.tangents, windows, pieces, log, self.halt, usable
        return Master(*told) if beside is None else Master(*told, beside.model)

    def _lean_on_peak(self, total: int) -> None:
        """Add a tangent for each split of so many pieces: perfect thicknesses, best-known pieces.

        More pieces only add to what is unknown, so that these alone often close a question.
        """
        if total not in self._peaked:
            self._peaked.add(total)
            splits = sorted(self.splits(total), key=lambda split: max(split) - min(split))
            seats = self.law.seats
            most = MOST_LEANT if seats <= MOST_ON_A_GRID else FEW_LEANT
            z = np.array([self.typical(split) for split in splits[:most]])
            best = self.tangents.peak
            if seats <= MOST_ON_A_GRID:  # a climb costs more than it sharpens
                best = find_peak(self.law, self.tangents.stacks(z[:1]))
            z[:, :seats] = best.stacks_um * TICKS_PER_UM
            self.tangents.add(z)

    def typical(self, split: tuple[int, ...]) -> np.ndarray:
        """The point of a plan with so many of the best-known pieces in each seat [(m,)].

        split: pieces of each seat.
        """
        counts: list[dict[int, int]] = []
        for seat, many in enumerate(split):
            usable = [at for at, column in enumerate(self.columns.items) if column.seats[seat]]
            usable.sort(key=lambda at: self.columns.items[at].own_um2[seat, 1])
            counts.append(dict.fromkeys(usable[:many], 1))
        return self.point(tuple(counts))

    def splits(self, total: int) -> list[tuple[int, ...]]:
        """How so many pieces may be divided between the seats; of like seats the first has most.

        total: pieces.
        """
        *first, last = self.job.seats
        twins = self._twins
        found = []
        for split in itertools.product(*(range(one.least, one.most + 1) for one in first)):
            left = total - sum(split)
            if last.least <= left <= last.most:
                whole = (*split, left)
                if all(whole[one] >= whole[two] for one, two in twins):
                    found.append(whole)
        return found

    @property
    def _twins(self) -> tuple[tuple[int, int], ...]:
        """Neighbouring pairs of seats that are alike in every way: each plan has its mirror.

        Alike in limits, in what goes in and in what it does to every result, and nothing was in
        them in a trial: which of them a piece goes in is then of no matter.
        """
        axle, seats = self.law.axle, self.job.seats
        if axle.carrier or any(stack.lots for stack in self.job.trial_stacks):
            return ()
        found = []
        for one, two in itertools.combinations(range(len(seats)), 2):
            alike = (seats[one].least, seats[one].most) == (seats[two].least, seats[two].most)
            alike &= all(s.by_stack[one] == s.by_stack[two] for s in axle.sums.values())
            alike &= all(c.seats[one] == c.seats[two] for c in self.columns.items)
            if alike:
                found.append((one, two))
        return tuple(found)

    def _lean_on_pool(self, pieces: tuple[int, int]) -> None:
        """Add tangents at the best plans known, so that the program starts well informed."""
        for total in range(pieces[0], pieces[1] + 1):
            known = sorted(self.pool.get(total, []), key=lambda c: -c.chance)[:3]
            fresh = [c for c in known if c.counts not in self._leant]
            if fresh:
                self._leant += [c.counts for c in fresh]
                self.tangents.add(np.array([self.point(c.counts) for c in fresh]))

    def cut_off(self, point: np.ndarray) -> bool:
        """Add tangents that lower the bound at a point [(1, m)]; False where none may be taken.

        Where the point's own chance is too low for a tangent, one is taken on the way there.
        """
        before = float(self.tangents.upper(point)[0])
        count = len(self.tangents.levels)
        self.tangents.add(point)
        if len(self.tangents.levels) == count:
            centre = np.array(point)
            centre[:, : self.law.seats] = self.tangents.peak.stacks_um * TICKS_PER_UM
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


def _counted(columns: np.ndarray) -> dict[int, int]:
    counts: dict[int, int] = {}
    for at in columns.tolist():
        counts[at] = counts.get(at, 0) + 1
    return counts
