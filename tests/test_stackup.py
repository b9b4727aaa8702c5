"""Lines added up four ways: published stacks, properties; select fit against every stock."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.drawer import Drawer, Lot
from solver.job import Job
from solver.line import Dimension, Line
from solver.plan import Piece, Plan, SeatStack
from solver.select_fit import fewest_pieces, fewest_sizes, find_stock, served_of
from solver.stackup import add_up, as_drawn, per_million
from solver.trouble import Trouble
from tests.jobs import MICROMETER, repeatable
from tests.test_lines import LAYSHAFT, MM, a_line_job, irwin_hall, read, text_job

NONE = Drawer(())


def stacked(
    values: tuple[float, ...], halves: tuple[float, ...], window: tuple[float, float] = (-1e9, 1e9),
    *, wanted: float = 0.8,
) -> Job:  # fmt: skip
    """A line of signed lengths with tolerances, no seat."""
    parts = tuple(
        Dimension(f"d{at}", abs(value), half)
        for at, (value, half) in enumerate(zip(values, halves, strict=True))
    )
    terms = tuple(
        (one.name, math.copysign(1.0, value)) for one, value in zip(parts, values, strict=True)
    )
    return a_line_job(parts, (Line("gap", terms, ()),), (window,), wanted=wanted)


def test_shouldered_screw() -> None:
    """1.750 - 0.750 - 0.120 - 0.875 = 0.005 in, worst case 0.010, root-sum-square 0.006.

    Source: Shigley, Mechanical Engineering Design, example 1-7; the units are of no matter.
    """
    found = add_up(stacked((1750.0, -750.0, -120.0, -875.0), (3.0, 1.0, 5.0, 1.0)), NONE, None)
    one = found.lines[0]
    assert one.middle_um == pytest.approx(5.0)
    assert one.worst_um == pytest.approx((-5.0, 15.0))
    assert one.squares_um == pytest.approx((-1.0, 11.0), abs=1e-9)
    assert one.law_um[0] < one.law_um[1] and one.simulated_um[0] > one.worst_um[0]


def test_shaft_and_bearings() -> None:
    """Seven parts close to 0.0199 in, worst case 0.0245, root-sum-square 0.0111.

    Source: Chase, tolerance stacks of a shaft in its bearings, worked example.
    """
    values = (-50.5, 8000.0, -509.3, 400.0, -7711.0, 400.0, -509.3)
    halves = (1.5, 8.0, 2.5, 2.0, 6.0, 2.0, 2.5)
    one = add_up(stacked(values, halves), NONE, None).lines[0]
    assert one.middle_um == pytest.approx(19.9)
    assert one.worst_um[1] - one.middle_um == pytest.approx(24.5)
    assert one.squares_um[1] - one.middle_um == pytest.approx(11.1, abs=0.05)


@repeatable(60)
@given(
    st.lists(
        st.tuples(st.floats(-90.0, 90.0).filter(bool), st.floats(0.5, 40.0)),
        min_size=1, max_size=6,
    )
)  # fmt: skip
def test_worst_case_root_sum_square_and_each_term(parts: list[tuple[float, float]]) -> None:
    """Worst case is never less than root-sum-square, that never less than any one term; the law
    stays inside the worst case, and shares of parts that share nothing sum to one."""
    job = stacked(tuple(v for v, _ in parts), tuple(h for _, h in parts))
    one = add_up(job, NONE, None, 2000).lines[0]
    worst, squares = (half[1] - one.middle_um for half in (one.worst_um, one.squares_um))
    assert worst >= squares - 1e-9 >= max(part.reach_um for part in one.parts) - 2e-9
    assert one.simulated_um[0] >= one.worst_um[0] - 1e-6
    assert one.simulated_um[1] <= one.worst_um[1] + 1e-6
    assert sum(part.share for part in one.parts) == pytest.approx(1.0, rel=1e-6)


def test_parts_per_million() -> None:
    """Outside share of 9 to 11 for N(10, 0.4) 0.01242 and N(10.5, 0.4) 0.10574; simulated too.

    Source: check values of JCGM 106, outside share; the normal part has k = 3.
    """
    for middle, outside in ((10.0, 0.01242), (10.5, 0.10574)):
        part = Dimension("d", middle, 1.2, "normal", 3.0)
        job = a_line_job((part,), (Line("gap", (("d", 1.0),), ()),), ((9.0, 11.0),))
        found = add_up(job, NONE, None)
        assert per_million(found.lines[0].chance_law) == pytest.approx(outside * 1e6, abs=6.0)
        assert found.chance_law == pytest.approx(1.0 - outside, abs=1e-5)
        assert found.chance == pytest.approx(1.0 - outside, abs=0.002)


def test_simulated_yield_of_rectangulars() -> None:
    """Where the law is wrong the simulation is right: three rectangulars against convolution."""
    halves = (10.0, 20.0, 35.0)
    found = add_up(stacked((100.0, -50.0, 20.0), halves, (70.0 - 60.0, 70.0 + 60.0)), NONE, None)
    exact = irwin_hall(60.0, halves) - irwin_hall(-60.0, halves)
    assert found.chance == pytest.approx(exact, abs=0.0005)
    assert per_million(found.chance) < per_million(found.chance_law) / 2.0  # no tails


def test_which_tolerance_to_tighten() -> None:
    """With the tolerance that is said the wanted yield is just met; one that cannot is said so."""
    job = stacked((100.0, -50.0), (30.0, 4.0), (30.0, 70.0), wanted=0.95)
    found = add_up(job, NONE, None)
    wide, narrow = found.tighter
    assert found.chance_law < 0.95
    assert narrow.needed_um is None and narrow.chance_if_perfect < 0.95
    assert wide.needed_um is not None and 4.0 < wide.needed_um < 30.0
    there = add_up(stacked((100.0, -50.0), (wide.needed_um, 4.0), (30.0, 70.0)), NONE, None)
    assert there.chance_law == pytest.approx(0.95, abs=1e-4)
    loose = add_up(stacked((100.0, -50.0), (10.0, 4.0), (30.0, 70.0)), NONE, None).tighter[0]
    assert loose.needed_um is not None and loose.needed_um > 10.0


def test_shims_and_readings_in_the_stack() -> None:
    """A part that was read counts with the better of drawing and reading, a shim with its own."""
    parts = (Dimension("case", 84.0 * MM, 50.0), Dimension("shaft", 82.0 * MM, 20.0))
    line = Line("float", (("case", 1.0), ("shaft", -1.0)), (("cover", -1.0),))
    job = a_line_job(parts, (line,), ((50.0, 200.0),), (read(1, "case", 84.01, tool=MICROMETER),))
    drawer = Drawer((Lot("A", 900.0, 2, 5.0, "micrometer"),))
    plan = Plan((SeatStack("cover", (Piece("A", 2, 900.0),)),))
    case, shaft, shims = add_up(job, drawer, plan).lines[0].parts
    assert case.source == "both" and case.half_um < 10.0
    assert shaft.source == "drawn" and shaft.half_um == pytest.approx(20.0)
    assert shims.source == "shims" and shims.half_um == pytest.approx(
        10.0 + 2.0 * MICROMETER.within_um
    )
    assert as_drawn(job).readings == ()
    with pytest.raises(Trouble, match="no tolerance"):
        as_drawn(a_line_job((Dimension("case"), parts[1]), (line,), ((0.0, 1.0),)))


@repeatable(150)
@given(st.lists(st.integers(0, 12), min_size=1, max_size=9), st.integers(0, 3), st.floats(0.3, 1.0))
def test_fewest_sizes_against_every_set(lows: list[int], window: int, share: float) -> None:
    """No smaller set of whole sizes suits as many, and of that size none suits more."""
    every = [float(at) for at in range(1, 17)]

    def suited(some: tuple[float, ...]) -> float:
        return sum(any(low <= s <= low + window for s in some) for low in lows) / len(lows)

    if suited(tuple(every)) < share:
        with pytest.raises(Trouble):
            fewest_sizes(np.array(lows, float), float(window), share, 1.0)
        return
    sizes, covered = fewest_sizes(np.array(lows, float), float(window), share, 1.0)
    assert suited(tuple(sizes)) == pytest.approx(covered) and covered >= share - 1e-9
    for count in range(1, len(sizes) + 1):
        best = max(suited(some) for some in itertools.combinations(every, count))
        if count < len(sizes):
            assert best < share
        else:
            assert best == pytest.approx(covered)


@repeatable(150)
@given(
    st.lists(st.integers(0, 6), min_size=1, max_size=6), st.integers(0, 3),
    st.lists(st.integers(0, 2), min_size=3, max_size=3),
)  # fmt: skip
def test_most_served_against_every_assignment(
    lows: list[int], window: int, counts: list[int]
) -> None:
    """As many assemblies get a shim as any assignment could give one."""
    sizes = np.array([1.0, 3.0, 5.0])
    best = 0
    for order in itertools.product(range(-1, 3), repeat=len(lows)):
        fits = all(at < 0 or low <= sizes[at] <= low + window
                   for at, low in zip(order, lows, strict=True))  # fmt: skip
        if fits and all(order.count(at) <= counts[at] for at in range(3)):
            best = max(best, sum(at >= 0 for at in order))
    assert served_of(np.array(lows, float), float(window), sizes, np.array(counts)) == best


def test_fewest_pieces_leaves_none_to_spare() -> None:
    """One piece less of any size, and too few are served."""
    rng = np.random.default_rng(5)
    batches = rng.normal(10.0, 2.0, (20, 15))
    sizes = np.array([8.0, 10.0, 12.0, 14.0])
    counts, served = fewest_pieces(batches, 2.5, sizes, 0.9)
    assert served >= 0.9
    for at in range(4):
        less = np.array(counts)
        if less[at]:
            less[at] -= 1
            total = sum(served_of(one, 2.5, sizes, less) for one in batches)
            assert total / batches.size < 0.9


def test_stock_of_a_line() -> None:
    """The stock that is found serves the share in batches drawn anew, and one size fewer cannot."""
    text = LAYSHAFT.replace("temperature = 60\n", "").replace(', "rear cover" = -1', "")
    job = as_drawn(text_job(text.replace(', "rear cover" = 0.4', "")))
    stock = find_stock(job, 40, 0.9, 50.0)
    assert stock.seat == "front cover" and stock.covered >= 0.9 and stock.served >= 0.9
    assert all(size.thickness_um % 50.0 == pytest.approx(0.0, abs=1e-6) for size in stock.sizes)
    rng = np.random.default_rng(7)
    gaps = 84_000.0 + rng.uniform(-50.0, 50.0, (200, 40)) - 82_000.0
    gaps -= rng.uniform(-20.0, 20.0, (200, 40))
    sizes = np.array([size.thickness_um for size in stock.sizes])
    counts = np.array([size.count for size in stock.sizes])
    lows = gaps - 125.0 - stock.window_um / 2.0  # aims at the middle of 50 to 200
    total = sum(served_of(one, stock.window_um, sizes, counts) for one in lows)
    assert total / gaps.size == pytest.approx(stock.served, abs=0.02)
    fewer, _ = fewest_sizes(lows.ravel(), stock.window_um, 0.9, 50.0)
    assert len(fewer) == len(sizes)
