"""The chance of meeting limits, against JCGM 106 and exact figures, through both normal laws."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Limit, Mesh, Reading
from solver.law import Law, law_of
from solver.plan import Plan, SeatStack
from solver.region import bare
from solver.verdict import normal_chance
from tests.jobs import CARRIER, a_job

NOTHING = Plan((SeatStack(WHEEL_SIDE, ()), SeatStack(PLAIN_SIDE, ())))
INF = math.inf
UNIT = 100.0  # µm that stand for one unit of the published figures
DIGITS = 5.1e-6  # five decimals as recomputed

# (low, high, y, u, printed, recomputed)
ROWS = {
    # JCGM 106:2012, 7.3 and 7.4 (from memory), recomputed to five decimals
    "one-sided, upper": (-INF, -5.40, -5.47, 0.05, 0.92, 0.91924),
    "one-sided, lower": (490.0, INF, 509.7, 8.6, 0.99, 0.98901),
    "two-sided": (12.5, 16.3, 13.6, 1.8, 0.66, 0.66263),
    # share outside 9 to 11, as published
    "centred": (9.0, 11.0, 10.0, 0.4, 0.988, 1 - 0.01242),
    "off centre": (9.0, 11.0, 10.5, 0.4, 0.894, 1 - 0.10574),
    # guard band of 1.65 u, 95 % one-sided (JCGM 106, 8.3, from memory; ISO 14253-1)
    "guarded": (-INF, 10.0, 10.0 - 1.645 * 0.4, 0.4, 0.95, 0.95002),
}


def judged(y: float, u: float, low: float, high: float, result: str) -> tuple[float, float]:
    """The chance that a result meets its limits, by the search's law and by the verdict's.

    y, u: of the result; low, high: its limits; result: 'pinch' or 'backlash', the other one having
    no limit. Returns: (search, verdict).
    """
    one = Limit(result, low * UNIT, high * UNIT)
    other = Limit("backlash" if result == "pinch" else "pinch", -INF, INF)
    within = u * UNIT * math.sqrt(3.0)
    # with no shims the pinch is minus the clearance; with ratio 1 and share 0 backlash is the gap
    clearance, gap = (-y * UNIT, 0.0) if result == "pinch" else (-1e5, y * UNIT)
    wide = ("total clearance", "mesh gap")[result == "backlash"]
    job: Job = replace(
        a_job(
            mesh=Mesh(1.0, 1e-9, 0.0, 1e-9),
            tools=(),
            readings=tuple(
                Reading(at, of, None, values_um=(value,), within_um=within if of == wide else 0.01)
                for at, of, value in ((1, "total clearance", clearance), (2, "mesh gap", gap))
            ),
        ),
        limits=(one, other),
    )
    drawer = Drawer(())
    estimate = estimate_job(job, drawer)
    law = law_of(job, estimate)
    chance = float(law.chance(bare(np.zeros((1, 2)), len(law.x)))[0])
    return chance, normal_chance(job, drawer, estimate, NOTHING)


@pytest.mark.parametrize("result", ["pinch", "backlash"])
@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS.keys())
def test_published_rows(row: tuple[float, ...], result: str) -> None:
    """Both laws, for either result, give the printed chance and its five recomputed decimals."""
    low, high, y, u, printed, recomputed = row
    for chance in judged(y, u, low, high, result):
        assert chance == pytest.approx(recomputed, abs=DIGITS)
        assert chance == pytest.approx(printed, abs=0.0051)


def test_the_formula_itself() -> None:
    """The chance is the difference of two normal probabilities. Source: JCGM 106, 7.2.3."""
    for low, high, y, u in ((0.0, 3.0, 1.0, 2.0), (1.0, 1.5, 4.0, 1.0), (-2.0, 5.0, 4.9, 0.1)):
        ends = [0.5 * math.erfc((y - end) / u / math.sqrt(2.0)) for end in (low, high)]
        for chance in judged(y, u, low, high, "pinch"):
            assert chance == pytest.approx(ends[1] - ends[0], abs=1e-6)


def inspection(tolerance: float, acceptance: float) -> float:
    """Chance that an item conforms and is accepted.

    Items N(1500, 0.12) are measured with u 0.04. The item stands as the backlash, what the
    instrument shows as the pinch. tolerance, acceptance: half-widths about 1500; may be infinite.
    """
    item, error = (0.12 * UNIT) ** 2, (0.04 * UNIT) ** 2
    cov = np.zeros((4, 4))
    cov[:2, :2] = [[item + error, -item], [-item, item]]  # clearance stands as minus what is shown
    cov[2, 2] = cov[3, 3] = 1e-18
    quantities = np.array([-1500.0 * UNIT, 1500.0 * UNIT, 1.0, 0.0])
    windows = tuple(
        ((1500.0 - half) * UNIT, (1500.0 + half) * UNIT) for half in (tolerance, acceptance)
    )
    law = Law(CARRIER, quantities, cov, windows)
    return float(law.chance(bare(np.zeros((1, 2)), 4))[0])


def test_global_risks() -> None:
    """Conforming 0.904, consumer's risk 0.0099, producer's 0.069, of two results that go together.

    Source: JCGM 106, 9.5 and its example; inputs as printed, outputs from memory, recomputed.
    """
    conforming, accepted = inspection(0.20, INF), inspection(INF, 0.18)
    both = inspection(0.20, 0.18)
    assert conforming == pytest.approx(0.904, abs=5.1e-4)
    assert accepted - both == pytest.approx(0.0099, abs=5.1e-5)
    assert conforming - both == pytest.approx(0.069, abs=5.1e-4)


def test_two_results_equal_scipy() -> None:
    """The chance of the inspection box is that of SciPy's multivariate normal."""
    known = multivariate_normal([0.0, 0.0], [[0.12**2, 0.12**2], [0.12**2, 0.12**2 + 0.04**2]]).cdf(
        [0.20, 0.18], lower_limit=[-0.20, -0.18]
    )
    assert inspection(0.20, 0.18) == pytest.approx(known, abs=2e-6)
