"""The choice: equals brute force, keeps to the drawer, cares for neither order nor unit."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import highspy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import solver.choice
import solver.master
import solver.search
import solver.stacking
from solver.choice import Choice, begin_search, choose
from solver.columns import list_columns
from solver.drawer import Drawer, Lot
from solver.drawer_file import drawer_of
from solver.drawer_sheet import sheet_of
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Seat
from solver.job_file import read_job
from solver.law import law_of
from solver.master import Halt, Master
from solver.region import find_peak
from solver.search import Search
from solver.stacking import exchanged
from solver.tangents import HOLDS_FROM, Tangents
from tests.brute import every_plan
from tests.jobs import (
    THOU_UM,
    a_drawer,
    a_job,
    drawers,
    jobs_with_drawers,
    repeatable,
    sharp_axles_with_drawers,
    shuffled,
)

TIE = 0.0005  # two plans within this are equally good
ROUNDING = 1e-6  # thicknesses are whole ticks in these drawers: floats only


def chosen(job: Job, drawer: Drawer) -> tuple[Search, Choice | None]:
    """The search of a job and what it chooses."""
    search = begin_search(job, drawer, estimate_job(job, drawer))
    return search, choose(search, job.wanted_chance)


def check_against_every_plan(job: Job, drawer: Drawer) -> None:
    """Compare a choice with every plan there is."""
    search, choice = chosen(job, drawer)
    every = every_plan(job, drawer, estimate_job(job, drawer), search.law)
    rightful = every.rightful(job.wanted_chance)
    if rightful is None:
        assert choice is None
        return
    assert choice is not None
    assert choice.shims == choice.plan.shims == rightful[0]
    assert choice.chance >= rightful[1] - TIE - ROUNDING
    assert choice.chance <= rightful[1] + ROUNDING
    assert choice.reached == bool(every.chance.max() >= job.wanted_chance)
    low = choice.chance < HOLDS_FROM * search.tangents.peak.chance
    assert choice.proved or not search.tangents.hold or low


@repeatable(100)
@given(jobs_with_drawers())
def test_the_choice_equals_brute_force(case: tuple[Job, Drawer]) -> None:
    """As few pieces as any plan needs, and a chance within 0.0005 of the best of so many."""
    check_against_every_plan(*case)


@repeatable(60)
@given(sharp_axles_with_drawers())
def test_the_choice_equals_brute_force_where_pieces_are_the_worst_known(
    case: tuple[Job, Drawer],
) -> None:
    """The same where no real piece comes near what perfect thicknesses could do."""
    check_against_every_plan(*case)


@repeatable(30)
@given(jobs_with_drawers(end_float=False))
def test_the_integer_program_alone_equals_brute_force(case: tuple[Job, Drawer]) -> None:
    """With arithmetic shut off, the integer program finds the same, wherever tangents bound it.

    Left to its own gap it comes within what `proved` allows; with half a tie, within a tie.
    """
    job, drawer = case
    search, _ = chosen(job, drawer)
    every = every_plan(job, drawer, estimate_job(job, drawer), search.law)
    if every.chance.max(initial=0.0) < 1.1 * HOLDS_FROM * search.tangents.peak.chance:
        job = replace(job, wanted_chance=0.95)  # the tail: only that it does not fail
        chosen(job, drawer)
        return
    rightful = every.rightful(job.wanted_chance)
    assert rightful is not None
    for gap in (None, TIE / 2):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(solver.stacking, "MOST_STACKS", 0)
            patch.setattr(solver.search, "MOST_EXCHANGES", 0)
            if gap is not None:
                patch.setattr(solver.choice, "PROVED_TO", gap)
                patch.setattr(solver.choice, "HIGHEST_TO", gap)
            search, choice = chosen(job, drawer)
        assert choice is not None
        bar = job.wanted_chance if choice.reached else every.chance.max() - 0.005
        if bar < HOLDS_FROM * search.tangents.peak.chance:
            continue
        assert choice.proved
        if choice.reached or gap is not None:
            assert choice.shims == rightful[0]
            assert choice.chance <= rightful[1] + ROUNDING
            assert choice.chance >= rightful[1] - (TIE if gap else 0.005) - ROUNDING
        else:
            upto = every.chance[every.pieces <= choice.shims].max()
            assert choice.chance >= upto - 0.005 - ROUNDING


@repeatable(40)
@given(jobs_with_drawers(), st.data())
def test_exchanges_are_all_there_are(case: tuple[Job, Drawer], data: st.DataObject) -> None:
    """Two pieces of a stack exchanged for any two others, against plain loops."""
    job, drawer = case
    columns = list_columns(drawer, job.seats, estimate_job(job, drawer).unknowns)
    usable = [at for at, column in enumerate(columns.items) if column.seats[0]]
    if not usable:
        return
    pieces = [at for at in usable for _ in range(columns.items[at].stock)]
    some = data.draw(st.integers(0, job.seats[0].most))
    stack = sorted(data.draw(st.permutations(pieces))[:some])
    found = exchanged(columns, 0, stack, (0, 10**9))
    others = itertools.combinations_with_replacement(usable, len(stack))
    near = {
        other
        for other in others
        if (Counter(stack) - Counter(other)).total() <= 2
        and all(k <= columns.items[at].stock for at, k in Counter(other).items())
    }
    assert {tuple(row) for row in found.columns.tolist()} == near
    half = sum(columns.items[at].ticks for at in stack)
    fewer = exchanged(columns, 0, stack, (0, half))
    assert sorted(fewer.ticks) == sorted(t for t in found.ticks if t <= half)


def test_exchanges_find_what_arithmetic_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where few pairs are listed, exchanges come nearer to the best than those alone."""
    seats = (Seat(WHEEL_SIDE, "bearing", 1, 4), Seat(PLAIN_SIDE, "bearing", 1, 4))
    job = a_job(wanted=0.9, seats=seats)
    drawer = a_drawer(20, 3, thou=(3.0, 13.0), within_thou=(0.05,))
    monkeypatch.setattr(solver.stacking, "MOST_PAIRS", 100)
    best = []
    for rounds in (0, 12):
        monkeypatch.setattr(solver.search, "MOST_EXCHANGES", rounds)
        search = begin_search(job, drawer, estimate_job(job, drawer))
        search.weigh(6, 0.5)
        best.append(search.best(6))
    assert best[1] > best[0] + 0.005


def test_without_effort_nothing_is_called_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Arithmetic that overflows and a program stopped at once leave the answer unproved."""
    seats = (Seat(WHEEL_SIDE, "bearing", 0, 4), Seat(PLAIN_SIDE, "bearing", 0, 4))
    job = a_job(wanted=0.9, seats=seats)
    drawer = a_drawer(60, 3, thou=(3.0, 13.0), within_thou=(0.05,))
    monkeypatch.setattr(solver.stacking, "MOST_PAIRS", 30)
    _, before = chosen(job, drawer)
    assert before is not None and before.proved and before.reached
    monkeypatch.setattr(solver.master, "EFFORT", 0.0)
    _, after = chosen(job, drawer)
    assert after is not None and not after.proved


@repeatable(40)
@given(jobs_with_drawers(), st.integers(0, 99))
def test_a_shuffled_drawer_gives_the_same_plan(case: tuple[Job, Drawer], seed: int) -> None:
    """The order of the drawer changes no thickness in any seat."""
    job, drawer = case
    one, two = chosen(job, drawer)[1], chosen(job, shuffled(drawer, seed))[1]
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        for a, b in zip(one.plan.stacks, two.plan.stacks, strict=True):
            assert a.thickness_um == pytest.approx(b.thickness_um, abs=1e-6)


@repeatable(30)
@given(jobs_with_drawers(), drawers(2), st.integers(0, 2), st.integers(0, 2))
def test_more_stock_never_lowers_the_best_chance(
    case: tuple[Job, Drawer], more: Drawer, wheel: int, plain: int
) -> None:
    """Lots added to the drawer leave the best chance of so many pieces as it was, or raise it."""
    job, drawer = case
    seats = tuple(
        replace(seat, least=count, most=max(count, 1) if count else 0)
        for seat, count in zip(job.seats, (max(wheel, 1), plain), strict=True)
    )
    job = replace(job, seats=seats, wanted_chance=0.9999)
    new = tuple(replace(lot, id=f"more {lot.id}") for lot in more.lots)
    one = chosen(job, drawer)[1]
    two = chosen(job, replace(drawer, lots=(*drawer.lots, *new)))[1]
    if one is not None:
        assert two is not None
        assert two.chance >= one.chance - TIE - ROUNDING


@repeatable(40)
@given(jobs_with_drawers())
def test_no_plan_takes_more_than_there_is(case: tuple[Job, Drawer]) -> None:
    """Both seats together stay within each lot's stock, each seat within least, most and fits."""
    job, drawer = case
    _, choice = chosen(job, drawer)
    if choice is None:
        return
    taken: Counter[str] = Counter()
    for seat, stack in zip(job.seats, choice.plan.stacks, strict=True):
        assert seat.least <= sum(piece.count for piece in stack.pieces) <= seat.most
        for piece in stack.pieces:
            taken[piece.id] += piece.count
            lot = drawer.lot(piece.id)
            assert not lot.fits or seat.name in lot.fits
            assert piece.count > 0 and piece.thickness_um == lot.thickness_um
    assert all(count <= drawer.lot(lot).count for lot, count in taken.items())


def test_lots_that_are_alike_are_used_up_one_by_one() -> None:
    """Two lots of one piece each, equal in all: a plan of both pieces takes one from each."""
    lots = tuple(Lot(f"L{at}", 690.0, 1, 1.0, "micrometer") for at in (0, 1))
    search, _ = chosen(a_job(), Drawer(lots))
    assert len(search.columns.items) == 1
    plan = search.columns.plan(({0: 1}, {0: 1}))
    taken = Counter(piece.id for stack in plan.stacks for piece in stack.pieces)
    assert taken == {"L0": 1, "L1": 1}
    both = search.columns.plan(({0: 2}, {}))
    assert [(piece.id, piece.count) for piece in both.stacks[0].pieces] == [("L0", 1), ("L1", 1)]


def job_file(unit: str, lots: list[tuple[int, int]], wanted: float) -> tuple[Job, Drawer]:
    """One axle written in a unit and read back. lots: (hundredths of a thou, pieces)."""

    def n(thou: float) -> float:
        return thou if unit == "thou" else round(thou * 0.0254, 8)

    table: dict[str, object] = {
        "unit": unit,
        "wanted": {"chance": wanted, "most_shims": 3},
        "limits": {
            "backlash": {"low": n(4.0), "high": n(9.0)},
            "pinch": {"low": n(4.0), "high": n(8.0), "counted": "total"},
        },
        "mesh": {
            "transfer_ratio": {"value": 0.72, "within": 0.08},
            "pinch_share": {"value": 0.5, "within": 0.2},
        },
        "tools": {
            "feelers": {"within": n(0.2), "repeat": n(0.4), "step": n(0.5), "joint": n(0.3)},
            "micrometer": {"within": n(0.1), "repeat": n(0.05), "step": n(0.1), "joint": n(0.3)},
        },
        "readings": [
            {"of": "total clearance", "tool": "feelers", "values": [n(51.0), n(51.5)]},
            {"of": "mesh gap", "tool": "feelers", "goes": n(24.0), "stops": n(25.0)},
        ],
    }
    rows = [
        f"L{at},{n(hundredths / 100):.8f},{unit},{count},{n(0.1):.8f},micrometer"
        for at, (hundredths, count) in enumerate(lots)
    ]
    sheet = "\n".join(["id,thickness,unit,count,within,tool", *rows, ""])
    return (
        read_job(table, source="job.toml", folder=Path()),
        drawer_of(sheet_of(sheet.encode(), "drawer.csv")),
    )


@repeatable(25)
@given(
    st.lists(st.tuples(st.integers(500, 3000), st.integers(1, 3)), min_size=3, max_size=6),
    st.sampled_from((0.5, 0.8, 0.95)),
)
def test_the_unit_changes_nothing(lots: list[tuple[int, int]], wanted: float) -> None:
    """An axle written in thou and in mm, job file and drawer, gets the same plan and chance."""
    one, two = (chosen(*job_file(unit, lots, wanted))[1] for unit in ("thou", "mm"))
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        ids = [
            [[(piece.id, piece.count) for piece in stack.pieces] for stack in choice.plan.stacks]
            for choice in (one, two)
        ]
        assert ids[0] == ids[1]
        assert one.chance == pytest.approx(two.chance, abs=1e-7)


def highs_fewest(job: Job, drawer: Drawer, windows: tuple[tuple[int, int], ...]) -> int | None:
    """Fewest pieces by HiGHS: a plain integer program over lots. windows [ticks]."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    counts = []
    for seat, (low, high) in zip(job.seats, windows, strict=True):
        of = [highs.addIntegral(0, min(lot.count, seat.most), obj=1.0) for lot in drawer.lots]
        ticks = [round(lot.thickness_um * 100) for lot in drawer.lots]
        thick = sum(t / 1000.0 * var for t, var in zip(ticks, of, strict=True))
        highs.addConstr(thick >= low / 1000.0)
        highs.addConstr(thick <= high / 1000.0)
        highs.addConstr(sum(of) >= seat.least)
        highs.addConstr(sum(of) <= seat.most)
        counts.append(of)
    for lot, one, two in zip(drawer.lots, *counts, strict=True):
        highs.addConstr(one + two <= lot.count)
    highs.run()
    if highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None
    assert highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(highs.getInfo().objective_function_value)


@pytest.mark.parametrize("half_um", [2.0, 25.0])
def test_fewest_pieces_agree_with_another_solver(half_um: float) -> None:
    """HiGHS needs as many pieces as the integer program, seat windows and stock being the same."""
    seats = (Seat(WHEEL_SIDE, "bearing", 1, 4), Seat(PLAIN_SIDE, "bearing", 0, 4))
    job, seen = a_job(seats=seats), set()
    for seed in range(12):
        drawer = a_drawer(6 + seed, seed, thou=(3.0, 13.0), ladder=seed % 3 == 0, most=2)
        middles = np.random.default_rng(seed).uniform(15.0, 34.0, 2) * THOU_UM
        windows = tuple((round((m - half_um) * 100), round((m + half_um) * 100)) for m in middles)
        estimate = estimate_job(job, drawer)
        law = law_of(job, estimate)
        columns = list_columns(drawer, job.seats, estimate.unknowns)
        tangents = Tangents(law, columns.busy, find_peak(law))
        master = Master(columns, tangents, windows, (1, 8), math.log(1e-11), Halt())
        found = master.ask(fewest=True)
        assert found.closed
        ours = None if found.counts is None else sum(sum(of.values()) for of in found.counts)
        assert ours == highs_fewest(job, drawer, windows)
        seen.add(ours)
    assert len(seen) > 1
