"""What would mend a drawer that falls short: one thickness to cut or buy; else the nearest plan."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np

from solver.columns import TICKS_PER_UM
from solver.drawer import Drawer, Lot
from solver.estimate import Estimate
from solver.findings import Mend
from solver.job import Job
from solver.law import Stacks
from solver.plan import Piece, Plan, SeatStack
from solver.region import bare, bound_region
from solver.search import Search
from solver.stacking import SeatStacks, seat_stacks
from solver.strip import strip_within_um
from solver.units import shown_length
from solver.verdict import normal_chance, predict_plan

NEW = "new"
MOST_OTHERS = 200
MOST_BESIDE = 4  # drawer pieces of different thickness tried beside the new one
MOST_WITH_NEW = 2  # drawer pieces beside the new one in the other seat
GRID_UM = {"mm": 10.0, "um": 10.0, "in": 12.7, "thou": 12.7}  # what a shop can ask for
LEAST_UM, MOST_UM = 50.0, 3000.0


def find_mend(
    job: Job, drawer: Drawer, estimate: Estimate, search: Search, wanted: float
) -> Mend | None:
    """Find the one new thickness that raises the chance most.

    job, drawer, estimate, search; wanted: chance. Returns: the Mend, None where no seat takes a
    piece. Limits: the new piece alone in its seat or on one piece of the drawer, known as well as
    the drawer's best-known piece; thicknesses on a grid of 0.01 mm or 0.5 thou.
    """
    best: Mend | None = None
    for seat in (0, 1):
        for rest in range(max(job.seats[seat].least - 1, 0), min(job.seats[seat].most, 2)):
            for plan, thickness_um in _candidates(job, drawer, search, seat, rest):
                lot = _new_lot(drawer, thickness_um)
                wider = replace(drawer, lots=(*drawer.lots, lot))
                chance = normal_chance(job, wider, estimate, plan)
                name = job.seats[seat].name
                mend = Mend(
                    name, thickness_um, chance, chance >= wanted, plan, search.tangents.peak.chance
                )
                if best is None or _rank(mend) > _rank(best):
                    best = mend
    return best


def _rank(mend: Mend) -> tuple[bool, float, float]:
    """Enough before not enough, then fewer pieces, then the better (half a per cent is equal)."""
    pieces = -mend.plan.shims if mend.enough else 0
    return mend.enough, pieces, round(mend.chance * 200) + mend.chance / 1e3


def _new_id(drawer: Drawer) -> str:
    """'new', or the first like it that no lot has."""
    name, ids = NEW, {lot.id for lot in drawer.lots}
    for number in itertools.count(2):
        if name not in ids:
            break
        name = f"{NEW} {number}"
    return name


def _new_lot(drawer: Drawer, thickness_um: float) -> Lot:
    measured = [lot for lot in drawer.lots if lot.tool and lot.count]
    if not measured:
        return Lot(_new_id(drawer), thickness_um, 1, strip_within_um(thickness_um))
    known = min(measured, key=lambda lot: lot.within_um)
    return Lot(_new_id(drawer), thickness_um, 1, known.within_um, known.tool)


def _candidates(
    job: Job, drawer: Drawer, search: Search, seat: int, rest: int
) -> list[tuple[Plan, float]]:
    """The most promising plans with a new piece in a seat, beside `rest` pieces of the drawer."""
    peak = search.tangents.peak.stacks_um
    others = _other_stacks(job, search, 1 - seat)
    if not len(others):
        return []
    found: list[tuple[Plan, float]] = []
    ticks = np.concatenate([stack.ticks for stack in others])
    owner = [(stack, at) for stack in others for at in range(len(stack.ticks))]
    near = np.argsort(np.abs(ticks / TICKS_PER_UM - peak[1 - seat]))[:MOST_OTHERS]
    offsets = np.linspace(-60.0, 60.0, 25)
    nominal = np.zeros((len(near), len(offsets), 2))
    nominal[:, :, 1 - seat] = (ticks[near] / TICKS_PER_UM)[:, None]
    turn = -search.law.signs[0] * search.law.signs[1]
    drift = (ticks[near] / TICKS_PER_UM - peak[1 - seat]) * turn
    nominal[:, :, seat] = peak[seat] + offsets + 0.5 * drift[:, None]
    flat = nominal.reshape(-1, 2)
    chances = search.law.chance(bare(flat, len(search.law.x))).reshape(len(near), -1)
    grid = GRID_UM[job.unit]
    for place in np.argsort(-chances.max(axis=1), kind="stable")[:3]:
        total = nominal[place, int(np.argmax(chances[place])), seat]
        stack, at = owner[int(near[place])]
        for beside, left in _beside(search, seat, rest, float(total), stack, at):
            for thickness in (math.floor(left / grid) * grid, math.ceil(left / grid) * grid):
                if LEAST_UM <= thickness <= MOST_UM:
                    plan = _plan(job, search, seat, beside, thickness, stack, at)
                    found.append((plan, thickness))
    return found


def _other_stacks(job: Job, search: Search, seat: int) -> list[SeatStacks]:
    region = bound_region(search.law, 0.05, bare_plan(search))
    window = search.window(seat, region)
    limits = job.seats[seat]
    counts = range(limits.least, min(limits.most, max(MOST_WITH_NEW, limits.least)) + 1)
    found = [seat_stacks(search.columns, seat, count, window) for count in counts]
    return [stacks for stacks in found if len(stacks.ticks)]


def bare_plan(search: Search) -> Stacks:
    """One plan without errors of its own. search: of the job."""
    return bare(np.zeros((1, 2)), len(search.law.x))


def _beside(
    search: Search, seat: int, rest: int, total_um: float, other: SeatStacks, at: int
) -> list[tuple[int | None, float]]:
    """What may lie beside the new piece: nothing, or one of a few drawer pieces that leave room."""
    if rest == 0:
        return [(None, total_um)]
    used = list(other.columns[at])
    found: list[tuple[int | None, float]] = []
    for place in range(len(search.columns.items) - 1, -1, -1):
        column = search.columns.items[place]
        left = total_um - column.ticks / TICKS_PER_UM
        if column.seats[seat] and left >= LEAST_UM and used.count(place) < column.stock:
            found.append((place, left))
    return found[:: max(1, len(found) // MOST_BESIDE)][:MOST_BESIDE]


def _plan(
    job: Job,
    search: Search,
    seat: int,
    beside: int | None,
    thickness_um: float,
    other: SeatStacks,
    at: int,
) -> Plan:
    counts: list[dict[int, int]] = [{}, {}]
    for column in other.columns[at]:
        counts[1 - seat][int(column)] = counts[1 - seat].get(int(column), 0) + 1
    if beside is not None:
        counts[seat][beside] = 1
    plan = search.columns.plan(tuple(counts))
    stacks = list(plan.stacks)
    pieces = (*stacks[seat].pieces, Piece(_new_id(search.columns.drawer), 1, thickness_um))
    stacks[seat] = SeatStack(job.seats[seat].name, pieces)
    return Plan(tuple(stacks))


def nearest_words(job: Job, drawer: Drawer, estimate: Estimate, search: Search) -> str:
    """Say, where no plan has a chance, which plan comes nearest and which limits it misses.

    job, drawer, estimate, search. Returns: one or two sentences, '' where nothing can be fitted.
    Limits: up to three pieces a side.
    """
    counts = _nearest_counts(job, search)
    if counts is None:
        return ""
    plan = search.columns.plan(counts)
    mean, _ = predict_plan(job, drawer, estimate, plan)
    unit = job.unit
    seats = ", ".join(
        f"{stack.seat} {shown_length(stack.thickness_um, unit)}" for stack in plan.stacks
    )
    missed = [
        f"{limit.result} {shown_length(value, unit)}, wanted {shown_length(limit.low_um, unit)} "
        f"to {shown_length(limit.high_um, unit)}"
        for limit, value in zip(
            (job.limit("backlash"), job.limit("pinch")), mean.tolist(), strict=True
        )
        if not limit.low_um <= value <= limit.high_um
    ]
    conflict = " and ".join(missed) or "each limit alone is in reach, both together are not"
    return f"The nearest that fits in the seats is {seats}: {conflict}."


def _nearest_counts(job: Job, search: Search) -> tuple[dict[int, int], ...] | None:
    """Counts of the plan whose worst miss, in widths of its window, is the least."""
    per: list[list[SeatStacks]] = []
    for seat, limits in enumerate(job.seats):
        counts = range(limits.least, min(limits.most, max(3, limits.least)) + 1)
        found = [seat_stacks(search.columns, seat, count, (0, 10**7)) for count in counts]
        per.append([stacks for stacks in found if len(stacks.ticks)])
    best: tuple[float, tuple[dict[int, int], ...]] | None = None
    for wheel in per[0]:
        for plain in per[1]:
            one, two = _thin_out(wheel), _thin_out(plain)
            grid = np.array([(wheel.ticks[a], plain.ticks[b]) for a in one for b in two])
            stacks = bare(grid / TICKS_PER_UM, len(search.law.x))
            lash, pinch = search.law.predict(stacks)
            by_pinch = _miss(pinch, search.law.pinch_um)
            miss = np.maximum(_miss(lash, search.law.backlash_um), by_pinch)
            at = int(np.argmin(miss))
            if best is None or miss[at] < best[0]:
                a, b = one[at // len(two)], two[at % len(two)]
                both = (_count(wheel.columns[a]), _count(plain.columns[b]))
                if _in_stock(search, both):
                    best = float(miss[at]), both
    return best[1] if best else None


def _thin_out(stacks: SeatStacks) -> list[int]:
    step = max(1, len(stacks.ticks) // 150)
    return sorted({*range(0, len(stacks.ticks), step), len(stacks.ticks) - 1})


def _miss(values: np.ndarray, window: tuple[float, float]) -> np.ndarray:
    width = min(window[1] - window[0], 1e4)
    outside = np.maximum(np.maximum(window[0] - values, values - window[1]), 0.0)
    return np.asarray(outside / width)


def _count(columns: np.ndarray) -> dict[int, int]:
    return {int(at): int((columns == at).sum()) for at in columns}


def _in_stock(search: Search, counts: tuple[dict[int, int], ...]) -> bool:
    return all(
        sum(seat.get(at, 0) for seat in counts) <= search.columns.items[at].stock
        for seat in counts
        for at in seat
    )
