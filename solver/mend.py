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
from solver.verdict import plan_inputs, predict_plan

NEW = "new"
MOST_OTHERS = 200
MOST_BESIDE = 4  # drawer pieces of different thickness tried beside the new one
MOST_WITH_NEW = 2  # drawer pieces beside the new one in the other seat
MOST_THINNED = 150  # stacks of a seat tried for the nearest plan
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
    for seat in range(len(job.seats)):
        for rest in range(max(job.seats[seat].least - 1, 0), min(job.seats[seat].most, 2)):
            for plan, thickness_um in _candidates(job, drawer, search, seat, rest):
                lot = _new_lot(drawer, thickness_um)
                wider = replace(drawer, lots=(*drawer.lots, lot))
                chance = _chance(search, wider, estimate, plan)
                name = job.seats[seat].name
                mend = Mend(
                    name, thickness_um, chance, chance >= wanted, plan, search.tangents.peak.chance
                )
                if best is None or _rank(mend) > _rank(best):
                    best = mend
    return best


def _chance(search: Search, drawer: Drawer, estimate: Estimate, plan: Plan) -> float:
    """Chance of a plan with a piece that the search does not know, by the search's law."""
    nominal, lean, own = plan_inputs(drawer, estimate, plan)
    flat = np.concatenate([np.diag(own), own[np.triu_indices(len(own), 1)]])
    return float(search.law.chance(Stacks(nominal[None], lean[None], flat[None]))[0])


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
    fixed = _settled_beside(job, search, seat)
    if fixed is None:
        return []
    partner, base, nominal_um = fixed
    peak, seats = search.tangents.peak.stacks_um, len(job.seats)
    offsets = np.linspace(-60.0, 60.0, 25)
    others: list[tuple[SeatStacks, int]] = []
    beside_um = np.zeros(1)
    if partner >= 0:
        stacks = _other_stacks(job, search, partner)
        others = [(stack, at) for stack in stacks for at in range(len(stack.ticks))]
        if not others:
            return []
        ticks = np.concatenate([stack.ticks for stack in stacks])
        near = np.argsort(np.abs(ticks / TICKS_PER_UM - peak[partner]))[:MOST_OTHERS]
        others, beside_um = [others[at] for at in near], ticks[near] / TICKS_PER_UM
    nominal = np.tile(nominal_um, (len(beside_um), len(offsets), 1))
    drift = np.zeros(len(beside_um))
    if partner >= 0:
        nominal[:, :, partner] = beside_um[:, None]
        signs = search.law.axle.signs
        drift = (beside_um - peak[partner]) * -signs[seat] * signs[partner]
    nominal[:, :, seat] = peak[seat] + offsets + 0.5 * drift[:, None]
    flat = nominal.reshape(-1, seats)
    chances = search.law.chance(bare(flat, len(search.law.x))).reshape(len(beside_um), -1)
    grid = GRID_UM[job.unit]
    found: list[tuple[Plan, float]] = []
    for place in np.argsort(-chances.max(axis=1), kind="stable")[:3]:
        total = nominal[place, int(np.argmax(chances[place])), seat]
        counts = [dict(of) for of in base]
        if others:
            stack, at = others[int(place)]
            counts[partner] = _count(stack.columns[at])
        for beside, left in _beside(search, seat, rest, float(total), counts):
            for thickness in (math.floor(left / grid) * grid, math.ceil(left / grid) * grid):
                if LEAST_UM <= thickness <= MOST_UM:
                    plan = _plan(job, search, seat, beside, thickness, counts)
                    found.append((plan, thickness))
    return found


def _settled_beside(
    job: Job, search: Search, seat: int
) -> tuple[int, list[dict[int, int]], np.ndarray] | None:
    """What stays as it is while one seat is mended.

    Returns: the seat that goes with it (-1 for none), counts of each seat, nominal stacks [µm];
    None where the seats of other groups have nothing to stay as.
    """
    groups = search.law.axle.groups
    own = next(group for group in groups if seat in group)
    partner = next((at for at in own if at != seat), -1)
    base: list[dict[int, int]] = [{} for _ in job.seats]
    nominal = np.zeros(len(job.seats))
    if len(groups) > 1:
        known = [one for pool in search.pool.values() for one in pool]
        if not known:
            return None
        best = max(known, key=lambda one: one.chance)
        for at in range(len(job.seats)):
            if at not in own:
                base[at] = dict(best.counts[at])
                items = search.columns.items
                nominal[at] = sum(k * items[c].ticks for c, k in base[at].items()) / TICKS_PER_UM
    return partner, base, nominal


def _other_stacks(job: Job, search: Search, seat: int) -> list[SeatStacks]:
    region = bound_region(search.law, 0.05, bare_plan(search))
    window = search.window(seat, region)
    limits = job.seats[seat]
    counts = range(limits.least, min(limits.most, max(MOST_WITH_NEW, limits.least)) + 1)
    found = [seat_stacks(search.columns, seat, count, window) for count in counts]
    return [stacks for stacks in found if len(stacks.ticks)]


def bare_plan(search: Search) -> Stacks:
    """One plan without errors of its own. search: of the job."""
    return bare(np.zeros((1, search.law.seats)), len(search.law.x))


def _beside(
    search: Search, seat: int, rest: int, total_um: float, counts: list[dict[int, int]]
) -> list[tuple[int | None, float]]:
    """What may lie beside the new piece: nothing, or one of a few drawer pieces that leave room."""
    if rest == 0:
        return [(None, total_um)]
    found: list[tuple[int | None, float]] = []
    for place in range(len(search.columns.items) - 1, -1, -1):
        column = search.columns.items[place]
        left = total_um - column.ticks / TICKS_PER_UM
        if column.seats[seat] and left >= LEAST_UM and _used(counts, place) < column.stock:
            found.append((place, left))
    return found[:: max(1, len(found) // MOST_BESIDE)][:MOST_BESIDE]


def _plan(
    job: Job,
    search: Search,
    seat: int,
    beside: int | None,
    thickness_um: float,
    counts: list[dict[int, int]],
) -> Plan:
    taken = [dict(of) for of in counts]
    if beside is not None:
        taken[seat][beside] = 1
    plan = search.columns.plan(tuple(taken))
    stacks = list(plan.stacks)
    pieces = (*stacks[seat].pieces, Piece(_new_id(search.columns.drawer), 1, thickness_um))
    stacks[seat] = SeatStack(job.seats[seat].name, pieces)
    return Plan(tuple(stacks))


def nearest_words(job: Job, drawer: Drawer, estimate: Estimate, search: Search) -> str:
    """Say, where no plan has a chance, which plan comes nearest and which limits it misses.

    job, drawer, estimate, search. Returns: one or two sentences, '' where nothing can be fitted.
    Limits: up to three pieces a seat.
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
        for result, value in zip(estimate.axle.results, mean.tolist(), strict=True)
        for limit in (job.limit(result),)
        if not limit.low_um <= value <= limit.high_um
    ]
    conflict = " and ".join(missed) or "each limit alone is in reach, all together are not"
    return f"The nearest that fits in the seats is {seats}: {conflict}."


def _nearest_counts(job: Job, search: Search) -> tuple[dict[int, int], ...] | None:
    """Counts of the plan whose worst miss, in widths of its window, is the least."""
    per: list[list[SeatStacks]] = []
    for seat, limits in enumerate(job.seats):
        counts = range(limits.least, min(limits.most, max(3, limits.least)) + 1)
        found = [seat_stacks(search.columns, seat, count, (0, 10**7)) for count in counts]
        per.append([stacks for stacks in found if len(stacks.ticks)])
    best: tuple[float, tuple[dict[int, int], ...]] | None = None
    several = MOST_THINNED if len(per) <= 2 else MOST_THINNED // 10
    for stacks in itertools.product(*per):
        thin = [_thin_out(one, several) for one in stacks]
        rows = np.array(list(itertools.product(*thin)))
        ticks = np.column_stack([one.ticks[rows[:, at]] for at, one in enumerate(stacks)])
        predicted = search.law.predict(bare(ticks / TICKS_PER_UM, len(search.law.x)))
        misses = [
            _miss(values, window)
            for values, window in zip(predicted, search.law.windows, strict=True)
        ]
        miss = np.maximum.reduce(misses)
        at = int(np.argmin(miss))
        if best is None or miss[at] < best[0]:
            chosen = tuple(
                _count(one.columns[place]) for one, place in zip(stacks, rows[at], strict=True)
            )
            if _in_stock(search, chosen):
                best = float(miss[at]), chosen
    return best[1] if best else None


def _used(counts: list[dict[int, int]], column: int) -> int:
    """How many pieces of a column are taken already."""
    return sum(seat.get(column, 0) for seat in counts)


def _thin_out(stacks: SeatStacks, most: int) -> list[int]:
    step = max(1, len(stacks.ticks) // most)
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
