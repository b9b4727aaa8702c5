"""The drawer as the search sees it: like lots merged, lengths in whole ticks of 10 nm.

The only place where thicknesses become ticks. Lots are merged into one column where they are equal
in thickness and in what is known of them; a lot that was never measured, or that was in a trial,
stays alone, because its pieces are not independent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.job import Seat
from solver.pieces import Unknowns, known_of
from solver.plan import Piece, Plan, SeatStack

TICKS_PER_UM = 100


def ticks(length_um: float) -> int:
    """A length in whole ticks of 10 nm. length_um [µm]. Raises: ValueError beyond half a metre."""
    if not abs(length_um) < 5e5:
        raise ValueError(f"{length_um} µm is no thickness of a shim")
    return round(length_um * TICKS_PER_UM)


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """Like pieces, from one lot or from several that are equal in every respect."""

    ticks: int
    stock: int
    lots: tuple[int, ...]  # places in the drawer
    seats: tuple[bool, ...]  # where it fits
    own_um2: np.ndarray  # [µm², (seats, stock + 1)] own variance of k pieces
    lean: np.ndarray  # [(seats, stock + 1, d)]
    shared_um2: float  # per pair of pieces in two seats, where they are off by the same amount
    alone: bool  # k pieces are not k times one piece


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """All columns, thinnest first, and how their counts become plans."""

    items: tuple[Column, ...]
    drawer: Drawer
    seats: tuple[Seat, ...]
    busy: np.ndarray  # unknowns that some column leans on [(d',)]

    def plan(self, counts: tuple[dict[int, int], ...]) -> Plan:
        """The plan that takes so many of each column in each seat. counts: column -> pieces."""
        left = {at: lot.count for at, lot in enumerate(self.drawer.lots)}
        taken: list[dict[int, int]] = [{} for _ in counts]
        for at in {column for seat in counts for column in seat}:
            wants = [seat.get(at, 0) for seat in counts]
            for seat, want in enumerate(wants):
                for lot in _order(self.items[at], left, sum(wants[seat:])):
                    take = min(want, left[lot])
                    if take:
                        taken[seat][lot] = take
                        left[lot] -= take
                        want -= take
        return Plan(
            tuple(
                SeatStack(seat.name, tuple(self._piece(lot, k) for lot, k in sorted(of.items())))
                for seat, of in zip(self.seats, taken, strict=True)
            )
        )

    def _piece(self, at: int, count: int) -> Piece:
        lot = self.drawer.lots[at]
        return Piece(lot.id, count, lot.thickness_um)


def _order(column: Column, left: dict[int, int], want: int) -> list[int]:
    """Lots to take from: the first that has all that is wanted, else the fullest first."""
    whole = [lot for lot in column.lots if left[lot] >= want]
    rest = sorted(column.lots, key=lambda lot: (-left[lot], lot))
    return whole[:1] + [lot for lot in rest if lot not in whole[:1]]


def list_columns(drawer: Drawer, seats: tuple[Seat, ...], unknowns: Unknowns) -> Columns:
    """Merge the drawer's lots into columns.

    drawer; seats of the job; unknowns of its estimate. Returns: Columns, thinnest first.
    """
    groups: dict[object, list[int]] = {}
    in_trial = {
        name.split(" ", 1)[1].rsplit(" #", 1)[0]
        for name in unknowns.index
        if name.startswith("piece ")
    }
    for at, lot in enumerate(drawer.lots):
        if lot.count < 1 or not any(not lot.fits or seat.name in lot.fits for seat in seats):
            continue
        fits = tuple(not lot.fits or seat.name in lot.fits for seat in seats)
        alone = not lot.tool or lot.id in in_trial
        key = (ticks(lot.thickness_um), fits, at if alone else (lot.within_um, lot.tool))
        groups.setdefault(key, []).append(at)
    items = [_column(drawer, tuple(group), seats, unknowns, in_trial) for group in groups.values()]
    items.sort(key=lambda column: (column.ticks, column.lots))
    d = len(unknowns)
    busy = np.zeros(d, bool)
    for column in items:
        busy |= np.any(column.lean != 0.0, axis=(0, 1))
    return Columns(tuple(items), drawer, seats, np.flatnonzero(busy))


def _column(
    drawer: Drawer,
    lots: tuple[int, ...],
    seats: tuple[Seat, ...],
    unknowns: Unknowns,
    in_trial: set[str],
) -> Column:
    first = drawer.lots[lots[0]]
    reach = max(seat.most for seat in seats)
    stock = min(sum(drawer.lots[at].count for at in lots), sum(seat.most for seat in seats))
    shape = (len(seats), reach + 1)
    own, lean, shared = np.zeros(shape), np.zeros((*shape, len(unknowns))), 0.0
    for at, seat in enumerate(seats):
        if first.id in in_trial or not first.tool:
            for count in range(1, min(stock, reach) + 1):
                known = known_of(first, seat.name, count, unknowns)
                own[at, count], lean[at, count] = known.own_um2, known.lean
                shared = known.shared_u_um**2
        else:
            known = known_of(first, seat.name, 1, unknowns)
            steps = np.arange(reach + 1)
            own[at], lean[at] = steps * known.own_um2, steps[:, None] * known.lean
    alone = first.id in in_trial or shared > 0.0
    fits = tuple(not first.fits or seat.name in first.fits for seat in seats)
    return Column(ticks(first.thickness_um), stock, lots, fits, own, lean, shared, alone)
