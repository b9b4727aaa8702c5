"""How long an answer takes. Run as a script from the project's folder:

    python tests/bench/bench_choice.py            # everything
    python tests/bench/bench_choice.py whole      # only whole answers
    python tests/bench/bench_choice.py fewest     # only fewest pieces against HiGHS
    python tests/bench/bench_choice.py cold       # only the cold process
    python tests/bench/bench_choice.py worth      # only further readings after a choice

Ratios are taken within one run, alternating; times are medians over seeds, in one process.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import highspy  # noqa: E402
import numpy as np  # noqa: E402

from solver.answer import answer_job  # noqa: E402
from solver.choice import begin_search, choose  # noqa: E402
from solver.columns import TICKS_PER_UM, list_columns  # noqa: E402
from solver.drawer import Drawer  # noqa: E402
from solver.estimate import estimate_job  # noqa: E402
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Seat  # noqa: E402
from solver.law import law_of  # noqa: E402
from solver.master import Halt, Master  # noqa: E402
from solver.region import find_peak  # noqa: E402
from solver.tangents import Tangents  # noqa: E402
from solver.worth import weigh_readings  # noqa: E402
from tests.jobs import GAUGE, THOU_UM, TOOLS, a_drawer, a_job  # noqa: E402

SIZES = (20, 60, 200, 1000)
SEEDS, FEW_SEEDS = range(7), range(3)  # few for the largest drawers
MET_S = {60: 0.15, 200: 0.5, 1000: 2.0}  # wanted of a whole answer [s]
SHORT_S = {60: 0.5, 200: 3.0}
FULL = (Seat(WHEEL_SIDE, "bearing", 1, 4), Seat(PLAIN_SIDE, "bearing", 1, 4))


def easy_job() -> Job:
    """Windows of three thou, bench tools. Returns it; its wanted chance is set by the caller."""
    return a_job(mesh=Mesh(0.72, 0.06, 0.5, 0.2), seats=FULL)


def tight_job() -> Job:
    """Windows of ±2 µm, tools to match, thin pieces: five to eight in all. Returns it."""
    middle = 6.5 * THOU_UM
    return a_job(
        backlash_thou=((middle - 2.0) / THOU_UM, (middle + 2.0) / THOU_UM),
        pinch_thou=((middle - 2.0) / THOU_UM, (middle + 2.0) / THOU_UM),
        mesh=Mesh(0.72, 0.003, 0.5, 0.004),
        seats=FULL,
        tools=(*TOOLS, GAUGE),
        readings=(
            Reading(1, "total clearance", GAUGE, values_um=(51.2 * THOU_UM,) * 3),
            Reading(2, "mesh gap", GAUGE, values_um=(24.5 * THOU_UM,) * 3),
        ),
    )


def cases(lots: int, kind: str, seed: int) -> tuple[Job, Drawer]:
    """A job with its drawer. lots: how many; kind: 'easy' or 'tight'; seed. Returns both."""
    if kind == "easy":
        return easy_job(), a_drawer(lots, seed, thou=(3.0, 30.0), ladder=bool(seed % 2))
    drawer = a_drawer(lots, seed, thou=(3.0, 13.0), within_thou=(0.005, 0.01))
    sharp = tuple(replace(lot, tool=GAUGE.name) for lot in drawer.lots)  # known as well as needed
    return tight_job(), replace(drawer, lots=sharp)


def wanted_of(job: Job, drawer: Drawer, end: str) -> float:
    """A wanted chance that this drawer meets, or that nothing meets. end: 'met', 'short', 'top'."""
    if end == "top":
        return 0.9999
    estimate = estimate_job(job, drawer)
    if end == "short":  # below what any thicknesses could do: every number of pieces is closed
        return min(0.9995 * find_peak(law_of(job, estimate)).chance, 0.9999)
    if len(drawer.lots) > 200:  # so many that some plan comes near what thicknesses could do
        return 0.97 * find_peak(law_of(job, estimate)).chance
    search = begin_search(job, drawer, estimate)
    best = choose(search, 0.9999)
    return 0.97 * best.chance if best else 0.5


def timed(work: Callable[[], object]) -> tuple[float, object]:
    """Seconds that some work takes, and what it gives. work: to call."""
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def whole() -> None:
    """Time whole answers, and the choice alone, over sizes, windows and ends."""
    print(
        f"{'whole answer':34}{'median s':>10}{'worst s':>10}{'choice s':>10}{'wanted s':>10}"
        "   ends, proved, pieces"
    )
    for kind in ("easy", "tight"):
        for end in ("met", "short", "top"):
            for lots in SIZES[:3]:
                row(kind, end, lots)
    for kind in ("easy", "tight"):
        row(kind, "met", SIZES[3])


def row(kind: str, end: str, lots: int) -> None:
    """Time one row of the table. kind, end, lots: as in the table."""
    answers, choices, ends, proved, pieces = [], [], [], 0, []
    seeds = SEEDS if lots < 1000 else FEW_SEEDS
    for seed in seeds:
        job, drawer = cases(lots, kind, seed)
        job = replace(job, wanted_chance=wanted_of(job, drawer, end))
        taken, answer = timed(lambda job=job, drawer=drawer: answer_job(job, drawer))
        answers.append(taken)
        search = begin_search(job, drawer, estimate_job(job, drawer))
        taken, _ = timed(lambda s=search, job=job: choose(s, job.wanted_chance))
        choices.append(taken)
        ends.append(answer.status)
        if answer.normal is not None:
            proved += answer.normal.proved
            pieces.append(answer.normal.plan.shims)
    goal = (MET_S if end == "met" else SHORT_S).get(lots)
    median = statistics.median(answers)
    mark = "" if goal is None else f"{goal:.2f}" + (" !" if median > goal else "  ")
    counted = ", ".join(f"{ends.count(one)} {one}" for one in sorted(set(ends)))
    print(
        f"{kind + ', ' + end + ', ' + str(lots) + ' lots':34}{median:10.3f}{max(answers):10.3f}"
        f"{statistics.median(choices):10.3f}{mark:>10}   {counted}; {proved}/{len(seeds)} proved; "
        f"{pieces}",
        flush=True,
    )


def fewest_windows(
    kind: str, lots: int, seed: int
) -> tuple[Job, Drawer, tuple[tuple[int, int], ...]]:
    """A drawer with a window for each seat [ticks]. kind: 'easy' or 'tight'. Returns all three."""
    job, drawer = cases(lots, kind, seed)
    rng = np.random.default_rng(1000 + seed)
    half = 200 if kind == "tight" else 3000
    middles = rng.uniform(18.0, 34.0, 2) * THOU_UM * TICKS_PER_UM
    return job, drawer, tuple((round(m) - half, round(m) + half) for m in middles)


def cp_sat_fewest(job: Job, drawer: Drawer, windows: tuple[tuple[int, int], ...]) -> int | None:
    """Fewest pieces by the program's own integer program; windows [ticks]. None: impossible."""
    estimate = estimate_job(job, drawer)
    law = law_of(job, estimate)
    columns = list_columns(drawer, job.seats, estimate.unknowns)
    tangents = Tangents(law, columns.busy, find_peak(law))  # no tangents: windows alone
    master = Master(columns, tangents, windows, (2, 8), -27.0, Halt())
    start = time.perf_counter()
    found = master.ask(fewest=True)
    cp_sat_fewest.seconds = time.perf_counter() - start  # type: ignore[attr-defined]
    if found.counts is None:
        assert found.closed
        return None
    return sum(sum(seat.values()) for seat in found.counts)


def highs_fewest(job: Job, drawer: Drawer, windows: tuple[tuple[int, int], ...]) -> int | None:
    """Fewest pieces by HiGHS on the same columns, written plainly; windows [ticks]."""
    columns = list_columns(drawer, job.seats, estimate_job(job, drawer).unknowns)
    highs = highspy.Highs()
    highs.silent()
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("mip_rel_gap", 0.0)
    counts: list[dict[int, object]] = []
    for seat, window in zip(job.seats, windows, strict=True):
        usable = [at for at, c in enumerate(columns.items) if c.ticks <= window[1]]
        of = {
            at: highs.addIntegral(0, min(columns.items[at].stock, seat.most), obj=1.0)
            for at in usable
        }
        thick = sum(columns.items[at].ticks / 1000.0 * var for at, var in of.items())
        highs.addConstr(thick >= window[0] / 1000.0)
        highs.addConstr(thick <= window[1] / 1000.0)
        highs.addConstr(sum(of.values()) >= seat.least)
        highs.addConstr(sum(of.values()) <= seat.most)
        counts.append(of)
    for at, column in enumerate(columns.items):
        uses = [of[at] for of in counts if at in of]
        if len(uses) == 2 and column.stock < 2 * max(seat.most for seat in job.seats):
            highs.addConstr(sum(uses) <= column.stock)
    start = time.perf_counter()
    highs.run()
    highs_fewest.seconds = time.perf_counter() - start  # type: ignore[attr-defined]
    if highs.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None
    return round(highs.getInfo().objective_function_value)


def fewest() -> None:
    """Fewest pieces by CP-SAT and HiGHS, one worker each, alternating."""
    print(f"\n{'fewest pieces':24}{'CP-SAT s':>10}{'HiGHS s':>10}{'ratio':>8}   pieces")
    for kind in ("easy", "tight"):
        for lots in SIZES:
            ours, theirs, pieces = [], [], []
            for seed in SEEDS:
                case = fewest_windows(kind, lots, seed)
                one, two = cp_sat_fewest(*case), highs_fewest(*case)
                assert one == two, (kind, lots, seed, one, two)
                ours.append(cp_sat_fewest.seconds)  # type: ignore[attr-defined]
                theirs.append(highs_fewest.seconds)  # type: ignore[attr-defined]
                pieces.append(one)
            ratio = statistics.median(b / a for a, b in zip(ours, theirs, strict=True))
            print(
                f"{kind + ', ' + str(lots) + ' lots':24}{statistics.median(ours):10.4f}"
                f"{statistics.median(theirs):10.4f}{ratio:8.1f}   {pieces}",
                flush=True,
            )


BARE = (
    "from ortools.sat.python import cp_model as c; m = c.CpModel(); x = m.new_int_var(0, 9, 'x'); "
    "m.maximize(x); s = c.CpSolver(); s.parameters.num_workers = 1; s.solve(m)"
)


def cold() -> None:
    """`choose` on the example as a cold process against one that only solves one variable."""
    example = ROOT / "stock_lists" / "example.toml"
    wanted = [sys.executable, "-m", "solver", "choose", str(example)]
    bare = [sys.executable, "-c", BARE]
    ours, theirs = [], []
    for _ in range(9):
        for command, into in ((wanted, ours), (bare, theirs)):
            start = time.perf_counter()
            subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
            into.append(time.perf_counter() - start)
    one, two = statistics.median(ours), statistics.median(theirs)
    print(
        f"\ncold process: choose {one:.2f} s, CP-SAT alone {two:.2f} s, ratio {one / two:.2f} "
        "(wanted at most 1.60)"
    )


def worth() -> None:
    """All further readings weighed after a choice; two tenths of the lots were never measured."""
    print("\nworth of further readings    median s     worst s   readings weighed")
    for lots in (30, 60, 200):
        taken, weighed = [], []
        for seed in SEEDS:
            drawer = a_drawer(lots, seed, thou=(3.0, 30.0), ladder=bool(seed % 2), unmeasured=0.2)
            answer = answer_job(easy_job(), drawer)
            start = time.perf_counter()
            weighed.append(len(weigh_readings(answer).readings))
            taken.append(time.perf_counter() - start)
        print(
            f"{lots:5} lots                  {statistics.median(taken):10.3f}{max(taken):12.3f}"
            f"   {weighed}", flush=True,
        )  # fmt: skip


if __name__ == "__main__":
    parts = {"whole": whole, "fewest": fewest, "cold": cold, "worth": worth}
    for name in sys.argv[1:] or parts:
        parts[name]()
