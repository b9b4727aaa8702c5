"""Arithmetic before the integer program: stacks of each seat by piece count, combined."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from solver.columns import TICKS_PER_UM, Columns

MOST_STACKS = 120_000  # of one seat and piece count, before arithmetic gives way
MOST_PAIRS = 150_000  # of one split; where there are more, only so many of them are listed:
SOME_PAIRS = 30_000
FEW_COLUMNS = 40


@dataclass(frozen=True, slots=True, eq=False)
class SeatStacks:
    """Stacks of k pieces for one seat within a window, thinnest first."""

    columns: np.ndarray  # [(m, k)] which column each piece is of, ascending in a row
    ticks: np.ndarray  # [(m,)]
    own_um2: np.ndarray  # [µm², (m,)]
    lean: np.ndarray  # [(m, d')]
    complete: bool  # every stack in the window is here


def seat_stacks(
    columns: Columns,
    seat: int,
    count: int,
    window: tuple[float, float],
    centre: float | None = None,
) -> SeatStacks:
    """Every stack of `count` pieces whose thickness lies in a window, if they are not too many.

    columns; seat: its place; count: pieces; window [ticks]; centre: the thickness to keep near
    where they are too many [ticks]. Returns: SeatStacks.
    """
    usable = np.array([at for at, c in enumerate(columns.items) if c.seats[seat]], np.int64)
    if count == 0:
        empty = np.zeros((1, 0), np.int64) if window[0] <= 0 else np.zeros((0, 0), np.int64)
        return described(columns, seat, empty, complete=True)
    span: tuple[float, float] = window
    everything = len(usable)
    while True:
        rows = _listed(columns, usable, count, span)
        if rows is not None:
            complete = span == window and len(usable) == everything
            return described(columns, seat, usable[rows], complete=complete)
        # too many: leave out the pieces least well known, then what is far from the centre
        known = np.array([columns.items[at].own_um2[seat, 1] for at in usable])
        worse = known > np.median(known)
        if worse.any() and len(usable) > FEW_COLUMNS:
            usable = usable[~worse]
        elif centre is not None and span[1] - span[0] > 2 * TICKS_PER_UM:
            span = max(span[0], (span[0] + centre) / 2), min(span[1], (span[1] + centre) / 2)
        else:
            return described(columns, seat, np.zeros((0, count), np.int64), complete=False)


def _listed(
    columns: Columns, usable: np.ndarray, count: int, window: tuple[float, float]
) -> np.ndarray | None:
    """Rows of usable columns, ascending, whose sum lies in a window; None where too many."""
    thick = np.array([columns.items[at].ticks for at in usable], np.int64)
    stock = np.array([columns.items[at].stock for at in usable], np.int64)
    rows = np.zeros((1, 0), np.int64)
    for done in range(1, count + 1):
        grown = _grown(rows, thick, stock, window if done == count else (0, window[1]))
        if grown is None:
            return None
        rows = grown
    return rows


def _grown(
    rows: np.ndarray, thick: np.ndarray, stock: np.ndarray, window: tuple[float, float]
) -> np.ndarray | None:
    """Add one piece, no thinner than the last, to every row; None where that is too many."""
    count = rows.shape[1]
    sums = thick[rows].sum(axis=1) if count else np.zeros(len(rows), np.int64)
    first = rows[:, -1] if count else np.zeros(len(rows), np.int64)
    start = np.maximum(first, np.searchsorted(thick, window[0] - sums, side="left"))
    stop = np.searchsorted(thick, window[1] - sums, side="right")
    many = np.maximum(stop - start, 0)
    if many.sum() > MOST_STACKS:
        return None
    parent = np.repeat(np.arange(len(rows)), many)
    offset = np.arange(len(parent)) - np.repeat(np.cumsum(many) - many, many)
    added = start[parent] + offset
    grown = np.concatenate([rows[parent], added[:, None]], axis=1)
    same = (grown == added[:, None]).sum(axis=1)
    return np.asarray(grown[same <= stock[added]])


def exchanged(
    columns: Columns, seat: int, stack: list[int], window: tuple[float, float]
) -> SeatStacks:
    """Every stack in a window that differs from one in two pieces at most; in one where it has one.

    columns; seat: its place; stack: the column of each of its pieces; window [ticks]. Returns:
    SeatStacks, with the stack itself among them where it lies in the window.
    """
    if not stack:
        return described(columns, seat, np.zeros((1, 0), np.int64), complete=False)
    thick = np.array([c.ticks for c in columns.items], np.int64)
    usable = np.array([at for at, c in enumerate(columns.items) if c.seats[seat]], np.int64)
    out = min(len(stack), 2)
    one, two = np.triu_indices(len(usable))
    new = np.column_stack([usable[one], usable[two]]) if out == 2 else usable[:, None]
    rows = [np.zeros((0, len(stack)), np.int64)]
    for left in set(itertools.combinations(sorted(stack), len(stack) - out)):
        total = thick[list(left)].sum() + thick[new].sum(axis=1)
        near = new[(total >= window[0]) & (total <= window[1])]
        kept = np.tile(np.array(left, np.int64), (len(near), 1))
        rows.append(np.sort(np.concatenate([kept, near], axis=1), axis=1))
    every = np.unique(np.concatenate(rows), axis=0)
    there = _in_stock(columns, [every])
    return described(columns, seat, every[there], complete=False)


def described(columns: Columns, seat: int, rows: np.ndarray, *, complete: bool) -> SeatStacks:
    """Say what is known of stacks.

    columns; seat: its place; rows: the column of each piece, ascending [(m, k)]; complete: as in
    SeatStacks. Returns: SeatStacks; columns that are not k times one piece are put right after.
    """
    items, count = columns.items, rows.shape[1]
    busy = columns.busy
    thick = np.array([c.ticks for c in items], np.int64)
    own = np.array([c.own_um2[seat, 1] for c in items])
    lean = np.array([c.lean[seat, 1][busy] for c in items]).reshape(len(items), len(busy))
    own_sum, lean_sum = own[rows].sum(axis=1), lean[rows].sum(axis=1)
    total = thick[rows].sum(axis=1)
    if count > 1:
        alone = np.array([c.alone for c in items])
        for at in np.unique(rows[alone[rows]]):
            times = (rows == at).sum(axis=1)
            several = np.flatnonzero(times > 1)
            k = times[several]
            own_sum[several] += items[at].own_um2[seat, k] - k * own[at]
            lean_sum[several] += items[at].lean[seat, k][:, busy] - k[:, None] * lean[at]
    order = np.argsort(total, kind="stable")
    return SeatStacks(rows[order], total[order], own_sum[order], lean_sum[order], complete)


@dataclass(frozen=True, slots=True, eq=False)
class Combined:
    """Candidate plans: a stack of each seat."""

    places: np.ndarray  # [(n, seats)] in each seat's stacks
    points: np.ndarray  # [(n, m)], as the tangents see them
    complete: bool


def combine(
    columns: Columns,
    stacks: tuple[SeatStacks, ...],
    groups: tuple[tuple[int, ...], ...],
    reaches: tuple[tuple[np.ndarray, np.ndarray] | None, ...],
    centre: tuple[float, ...],
) -> Combined:
    """Combine stacks of all seats out of one shared drawer.

    columns; stacks: of each seat; groups: places of the seats that a result ties together, one or
    two of them; reaches: for each group of two, the least and most thickness of its second seat
    for each stack of its first [ticks, (m,)], None for a group of one; centre: the best thickness
    of each seat [ticks]. Returns: Combined; where they are too many, of the stacks best known and
    nearest to the centre.
    """
    found = []
    complete = all(one.complete for one in stacks)
    for group, reach in zip(groups, reaches, strict=True):
        if reach is None:
            found.append(np.arange(len(stacks[group[0]].ticks))[:, None])
            continue
        one, two = (stacks[at] for at in group)
        pairs, whole = _paired(one, two, reach, (centre[group[0]], centre[group[1]]))
        complete &= whole
        found.append(pairs)
    if len(groups) > 1:
        found, whole = _thinned(found, groups, stacks, centre)
        complete &= whole
    places = np.zeros((1, len(stacks)), np.int64)
    for group, some in zip(groups, found, strict=True):
        before = len(places)
        places = np.repeat(places, len(some), axis=0)
        places[:, list(group)] = np.tile(some, (before, 1))
    rows = [one.columns[places[:, at]] for at, one in enumerate(stacks)]
    if len(stacks) > 1:
        there = _in_stock(columns, rows)
        places, rows = places[there], [one[there] for one in rows]
    points = np.column_stack(
        [
            *(one.ticks[places[:, at]] for at, one in enumerate(stacks)),
            *(one.own_um2[places[:, at]] for at, one in enumerate(stacks)),
            *(_shared(columns, a, b) for a, b in itertools.combinations(rows, 2)),
            *(one.lean[places[:, at]] for at, one in enumerate(stacks)),
        ]
    ).astype(float)
    return Combined(places, points, complete)


def _paired(
    first: SeatStacks,
    second: SeatStacks,
    reach: tuple[np.ndarray, np.ndarray],
    centre: tuple[float, float],
) -> tuple[np.ndarray, bool]:
    """Pairs of two seats' stacks whose second lies within reach [(n, 2)]; False if some are not."""
    kept = np.arange(len(first.ticks)), np.arange(len(second.ticks))
    complete = True
    start, stop = _spans(second.ticks, reach)
    many = int((stop - start).sum())
    few_enough = MOST_PAIRS
    while many > few_enough:
        complete, few_enough = False, min(SOME_PAIRS, MOST_PAIRS)
        share = max((few_enough / many) ** 0.5, 0.5)
        kept = (
            _best_known(first, kept[0], share, centre[0]),
            _best_known(second, kept[1], share, centre[1]),
        )
        start, stop = _spans(second.ticks[kept[1]], (reach[0][kept[0]], reach[1][kept[0]]))
        many = int((stop - start).sum())
    each = stop - start
    one = np.repeat(np.arange(len(each)), each)
    two = start[one] + np.arange(len(one)) - np.repeat(np.cumsum(each) - each, each)
    return np.column_stack([kept[0][one], kept[1][two]]), complete


def _thinned(
    found: list[np.ndarray],
    groups: tuple[tuple[int, ...], ...],
    stacks: tuple[SeatStacks, ...],
    centre: tuple[float, ...],
) -> tuple[list[np.ndarray], bool]:
    """So few combinations of each group that all groups together are not too many."""
    many = int(np.prod([len(rows) for rows in found], dtype=float))
    if many <= MOST_PAIRS:
        return found, True
    share = (min(SOME_PAIRS, MOST_PAIRS) / many) ** (1.0 / len(found))
    kept = []
    for rows, group in zip(found, groups, strict=True):
        own = sum(stacks[seat].own_um2[rows[:, at]] for at, seat in enumerate(group))
        far = [np.abs(stacks[s].ticks[rows[:, at]] - centre[s]) for at, s in enumerate(group)]
        order = np.lexsort((np.maximum.reduce(far), np.round(own, 1)))
        kept.append(rows[np.sort(order[: max(int(len(rows) * share), 1)])])
    return kept, False


def _spans(
    ticks: np.ndarray, reach: tuple[np.ndarray, np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """First and last place, in ascending ticks, of what lies within each reach."""
    start = np.searchsorted(ticks, reach[0], side="left")
    return start, np.maximum(np.searchsorted(ticks, reach[1], side="right"), start)


def _best_known(stacks: SeatStacks, places: np.ndarray, share: float, centre: float) -> np.ndarray:
    """The share of some stacks that are best known, among equals the nearest to the centre."""
    far = np.abs(stacks.ticks[places] - centre)
    order = np.lexsort((far, np.round(stacks.own_um2[places], 3)))
    return np.sort(places[order[: int(len(places) * share * 0.95)]])


def _in_stock(columns: Columns, rows: list[np.ndarray]) -> np.ndarray:
    """Whether the drawer holds the stacks of all seats at once [(n,)]."""
    stock = np.array([c.stock for c in columns.items], np.int64)
    fine = np.ones(len(rows[0]), bool)
    for stack in rows[:-1] if len(rows) > 1 else rows:
        for place in range(stack.shape[1]):
            at = stack[:, place, None]
            used = sum((other == at).sum(axis=1) for other in rows)
            fine &= used <= stock[at[:, 0]]
    return fine


def _shared(columns: Columns, wheel: np.ndarray, plain: np.ndarray) -> np.ndarray:
    """Covariance of two stacks by unmeasured lots that are in both [µm², (n,)]."""
    shared = np.array([c.shared_um2 for c in columns.items])
    total = np.zeros(len(wheel))
    if not shared.any():
        return total
    for one in range(wheel.shape[1]):
        for two in range(plain.shape[1]):
            total += np.where(wheel[:, one] == plain[:, two], shared[wheel[:, one]], 0.0)
    return total
