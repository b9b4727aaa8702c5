"""A few thousand plans that could turn out best once another reading is in.

Wider than a search: whatever has a small chance now may have a large one when a reading moves the
estimate. Of plans that are as good as equal in thickness the best known stands for all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.law import Law, Stacks
from solver.normal import normal_cdf
from solver.region import bound_region
from solver.search import Search
from solver.stacking import pair_up, seat_stacks

FAINT = 0.02  # chance that a plan's thicknesses must have now, without errors of its own
MOST_PLANS = 4_000
FEW = 10_000  # plans of one split whose spreads are worked out in full
CELLS = 40  # to a window's width, at first
WEIGHED = 16  # plans whose chance is worked out in full for each outcome


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Plans, by what the law needs and by what they take."""

    stacks: Stacks
    used: np.ndarray  # [(n, 2, columns)] pieces of each column in each seat
    lots: tuple[tuple[int, ...], ...]  # of each column, places in the drawer

    def lots_used(self, count: int) -> list[int]:
        """How many pieces the plans take of each lot. count: of lots in the drawer."""
        uses = [0] * count
        for column, pieces in zip(self.lots, self.used.sum(axis=(0, 1)), strict=True):
            for lot in column:
                uses[lot] = int(pieces)
        return uses

    def shifted(self, column: int, by_um: float) -> Stacks:
        """The plans, a column's pieces being thicker than stated. by_um: each piece [µm]."""
        nominal = self.stacks.nominal_um + by_um * self.used[:, :, column]
        return Stacks(nominal, self.stacks.lean, self.stacks.own_um2)


def gather_pool(search: Search, most: int, law: Law | None = None) -> Pool:
    """Gather plans for any seat split of up to so many pieces.

    search: of the job; most: pieces in all; law: as things stand before the reading, where the
    search knows what it leaves. Returns: the Pool, empty where nothing fits.
    """
    law, columns = law or search.law, search.columns
    nothing = Stacks(np.zeros((1, 2)), np.zeros((1, 2, len(law.x))), np.zeros((1, 3)))
    region = bound_region(law, FAINT, nothing)
    windows = tuple(search.window(seat, region) for seat in (0, 1))
    centre = search.centre
    points = [np.zeros((0, 5 + 2 * len(columns.busy)))]
    used = [np.zeros((0, 2, len(columns.items)), np.int8)]
    for total in (total for total in search.totals if total <= most):
        for split in search.splits(total):
            wheel, plain = (
                seat_stacks(columns, seat, split[seat], windows[seat], centre[seat])
                for seat in (0, 1)
            )
            pairs = pair_up(columns, wheel, plain, search.reach(wheel, region), centre)
            known = pairs.points[:, 2:4].sum(axis=1)
            if len(known) <= FEW:
                known = _spread(law, search.tangents.stacks(pairs.points))
            kept = _thinned(pairs.points[:, :2], known, law)
            points.append(pairs.points[kept])
            rows = wheel.columns[pairs.wheel[kept]], plain.columns[pairs.plain[kept]]
            used.append(np.stack([_counted(of, len(columns.items)) for of in rows], axis=1))
    found, counts = np.concatenate(points), np.concatenate(used)
    stacks = search.tangents.stacks(found)
    kept = _thinned(found[:, :2], _spread(law, stacks), law)
    lots = tuple(column.lots for column in columns.items)
    return Pool(search.tangents.stacks(found[kept]), counts[kept], lots)


def _spread(law: Law, stacks: Stacks) -> np.ndarray:
    """How little is known of the results of each plan [µm², (n,)]."""
    backlash, pinch, _ = law.spreads(stacks)
    return np.asarray(backlash + pinch)


def _counted(rows: np.ndarray, columns: int) -> np.ndarray:
    """Pieces of each column in each row [(n, columns)]."""
    counts = np.zeros((len(rows), columns), np.int8)
    for place in range(rows.shape[1]):
        np.add.at(counts, (np.arange(len(rows)), rows[:, place]), 1)
    return counts


def _thinned(ticks: np.ndarray, spread_um2: np.ndarray, law: Law) -> np.ndarray:
    """Places of the best-known plan of each cell of thickness; cells grow until few are left."""
    widths = [high - low for low, high in (law.backlash_um, law.pinch_um) if high - low < 1e4]
    cell = min(widths, default=100.0) * 100.0 / CELLS
    order = np.argsort(spread_um2, kind="stable")
    while True:
        cells = np.floor(ticks[order] / cell).astype(np.int64)
        _, first = np.unique(cells[:, 0] * 2**32 + cells[:, 1], return_index=True)
        if len(first) <= MOST_PLANS:
            return np.asarray(np.sort(order[first]))
        cell *= 1.4


def best_chance(law: Law, stacks: Stacks, spreads: tuple[np.ndarray, ...]) -> tuple[float, int]:
    """The best chance of a pool, worked out in full for the most promising plans.

    law; stacks; spreads: of them by the law, or one near it [µm²]. Returns: chance and place;
    (0, -1) without plans.
    """
    if not len(stacks):
        return 0.0, -1
    promise = np.ones(len(stacks))
    for value, variance, window in zip(
        law.predict(stacks), spreads, (law.backlash_um, law.pinch_um), strict=False
    ):
        sd = np.sqrt(np.maximum(variance, 1e-12))
        promise *= normal_cdf((window[1] - value) / sd) - normal_cdf((window[0] - value) / sd)
    take = min(WEIGHED, len(stacks))
    top = np.argpartition(-promise, take - 1)[:take]
    some = Stacks(stacks.nominal_um[top], stacks.lean[top], stacks.own_um2[top])
    chances = law.chance(some)
    best = int(np.argmax(chances))
    return float(chances[best]), int(top[best])
