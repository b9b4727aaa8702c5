"""A few thousand plans that could turn out best once another reading is in.

Wider than a search: whatever has a small chance now may have a large one when a reading moves the
estimate. Of plans that are as good as equal in thickness the best known stands for all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.law import Law, Stacks, covariances
from solver.normal import normal_cdf
from solver.region import bound_region
from solver.search import Search
from solver.stacking import seat_stacks

FAINT = 0.02  # chance that a plan's thicknesses must have now, without errors of its own
MOST_PLANS = 4_000
FEW = 10_000  # plans of one split whose spreads are worked out in full
CELLS = 40  # to a window's width, at first
WEIGHED = 16  # plans whose chance is worked out in full for each outcome


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Plans, by what the law needs and by what they take."""

    stacks: Stacks
    used: np.ndarray  # [(n, seats, columns)] pieces of each column in each seat
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
    seats = law.seats
    nothing = Stacks(
        np.zeros((1, seats)), np.zeros((1, seats, len(law.x))), np.zeros((1, covariances(seats)))
    )
    region = bound_region(law, FAINT, nothing)
    windows = tuple(search.window(seat, region) for seat in range(seats))
    centre = search.centre
    points = [np.zeros((0, search.tangents.parts[1] + seats * len(columns.busy)))]
    used = [np.zeros((0, seats, len(columns.items)), np.int8)]
    for total in (total for total in search.totals if total <= most):
        for split in search.splits(total):
            stacks = tuple(
                seat_stacks(columns, seat, count, windows[seat], centre[seat])
                for seat, count in enumerate(split)
            )
            combined = search.combined(stacks, region)
            known = combined.points[:, seats : 2 * seats].sum(axis=1)
            if len(known) <= FEW:
                known = _spread(law, search.tangents.stacks(combined.points))
            kept = _thinned(combined.points[:, :seats], known, law)
            points.append(combined.points[kept])
            rows = [one.columns[combined.places[kept, at]] for at, one in enumerate(stacks)]
            used.append(np.stack([_counted(of, len(columns.items)) for of in rows], axis=1))
    found, counts = np.concatenate(points), np.concatenate(used)
    kept = _thinned(found[:, :seats], _spread(law, search.tangents.stacks(found)), law)
    lots = tuple(column.lots for column in columns.items)
    return Pool(search.tangents.stacks(found[kept]), counts[kept], lots)


def _spread(law: Law, stacks: Stacks) -> np.ndarray:
    """How little is known of the results of each plan [µm², (n,)]."""
    return np.asarray(sum(law.spreads(stacks)))


def _counted(rows: np.ndarray, columns: int) -> np.ndarray:
    """Pieces of each column in each row [(n, columns)]."""
    counts = np.zeros((len(rows), columns), np.int8)
    for place in range(rows.shape[1]):
        np.add.at(counts, (np.arange(len(rows)), rows[:, place]), 1)
    return counts


def _thinned(ticks: np.ndarray, spread_um2: np.ndarray, law: Law) -> np.ndarray:
    """Places of the best-known plan of each cell of thickness; cells grow until few are left."""
    widths = [high - low for low, high in law.windows if high - low < 1e4]
    cell = min(widths, default=100.0) * 100.0 / CELLS
    order = np.argsort(spread_um2, kind="stable")
    while True:
        cells = np.floor(ticks[order] / cell).astype(np.int64)
        _, first = np.unique(_hashed(cells), return_index=True)
        if len(first) <= MOST_PLANS:
            return np.asarray(np.sort(order[first]))
        cell *= 1.4


def _hashed(cells: np.ndarray) -> np.ndarray:
    """One whole number for each row of cells [(n,)], the same for equal rows alone."""
    found = cells[:, 0]
    for column in cells.T[1:]:
        found = found * 2**20 + column
    return found


def best_chance(law: Law, stacks: Stacks, spreads: tuple[np.ndarray, ...]) -> tuple[float, int]:
    """The best chance of a pool, worked out in full for the most promising plans.

    law; stacks; spreads: of them by the law, or one near it [µm²]. Returns: chance and place;
    (0, -1) without plans.
    """
    if not len(stacks):
        return 0.0, -1
    promise = np.ones(len(stacks))
    for value, variance, window in zip(law.predict(stacks), spreads, law.windows, strict=True):
        sd = np.sqrt(np.maximum(variance, 1e-12))
        promise *= normal_cdf((window[1] - value) / sd) - normal_cdf((window[0] - value) / sd)
    take = min(WEIGHED, len(stacks))
    top = np.argpartition(-promise, take - 1)[:take]
    some = Stacks(stacks.nominal_um[top], stacks.lean[top], stacks.own_um2[top])
    chances = law.chance(some)
    best = int(np.argmax(chances))
    return float(chances[best]), int(top[best])
