"""Whether stated chances come true: thousands of simulated jobs in each of ten regimes.

    python tests/bench/calibration.py [JOBS] [PLOT.png]     # 5000 jobs a regime unless said

For each job the truth is drawn from what the job says is known beforehand, the readings from the
truth, and a plan is cut to the estimate. Its window is scaled until the simulated chance is exactly
0.5, 0.8, 0.9 and 0.95; then the truth is looked up. The carrier's formula and the bench are written
out here once more: nothing of the program draws the truth.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from solver.drawer import Drawer, Lot  # noqa: E402
from solver.estimate import Estimate, estimate_job  # noqa: E402
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Stack, Tool  # noqa: E402
from solver.mechanics import backlash_range_um  # noqa: E402
from solver.plan import Piece, Plan, SeatStack  # noqa: E402
from solver.simulation import simulate_builds, true_stacks_um  # noqa: E402
from solver.verdict import predict_plan  # noqa: E402
from tests.jobs import DIAL, FEELERS, MICROMETER, THOU_UM, a_job  # noqa: E402

LEVELS = (0.5, 0.8, 0.9, 0.95)
CENTRE = 6.5  # thou: of backlash and pinch
MESH = Mesh(0.72, 0.12, 0.5, 0.2)
BUILDS = 6000  # simulated for each job


@dataclass(frozen=True, slots=True)
class Regime:
    """One kind of job; lengths in thou."""

    name: str
    repeats: int = 3
    trials: int = 0
    bracket: float = 0.0  # the mesh gap lies between leaves this far apart
    leaves: int = 1  # stacked for the total clearance
    scatter: float = 1.0  # true scatter of repeats against what the tool is said to have
    unmeasured: bool = False  # two pieces of one lot on the wheel side, one on the plain side
    piece_within: float = 0.1
    mesh: Mesh = MESH
    feelers: Tool = FEELERS
    micrometer: Tool = MICROMETER


REGIMES = (
    Regime("two repeats", 2),
    Regime("three repeats", 3),
    Regime("two repeats, one trial", 2, 1),
    Regime("three repeats, two trials", 3, 2),
    Regime("two repeats, three trials", 2, 3),
    Regime("one dominant bracket", bracket=6.0, mesh=Mesh(0.72, 0.03, 0.5, 0.05)),
    Regime(
        "shared tool errors",
        feelers=replace(FEELERS, within_um=1.2 * THOU_UM),
        micrometer=replace(MICROMETER, within_um=0.4 * THOU_UM),
    ),
    Regime("leaves stacked", leaves=6),
    Regime("default ratio alone", mesh=Mesh(0.75, 0.25, 0.5, 0.25)),
    Regime("an unmeasured lot used twice", unmeasured=True, piece_within=0.8),
    Regime("scatter 1.5 times the tool's", scatter=1.5),
)


@dataclass(slots=True)
class Bench:
    """One axle and the tools on the bench; lengths in thou."""

    regime: Regime
    rng: np.random.Generator
    clearance: float = 0.0
    gap: float = 0.0
    ratio: float = 0.0
    share: float = 0.0
    off: dict[str, float] = field(default_factory=dict)  # what each tool shows too much

    def __post_init__(self) -> None:
        mesh = self.regime.mesh
        self.clearance, self.gap = self.rng.uniform(45.0, 57.0), self.rng.uniform(21.0, 29.0)
        self.ratio = mesh.ratio + mesh.ratio_within * self.rng.uniform(-1, 1)
        self.share = mesh.share + mesh.share_within * self.rng.uniform(-1, 1)
        tools = (self.regime.feelers, DIAL, self.regime.micrometer)
        self.off = {t.name: t.within_um / THOU_UM * self.rng.uniform(-1, 1) for t in tools}

    def results(self, wheel: float, plain: float) -> tuple[float, float, float]:
        """Least and most backlash, and pinch, with true stacks fitted [thou]."""
        pinch = wheel + plain - self.clearance
        travel = self.gap - wheel
        near = self.ratio * (travel + (self.share * pinch if pinch >= 0 else pinch))
        return near, self.ratio * travel if pinch < 0 else near, pinch

    def repeats(self, true: float, tool: Tool) -> tuple[float, ...]:
        """What a tool shows, to its division [µm]."""
        step, sd = tool.step_um / THOU_UM, tool.repeat_um / THOU_UM * self.regime.scatter
        noise = self.rng.normal(0.0, sd, self.regime.repeats)
        shown = np.round((true + self.off[tool.name] + noise) / step) * step
        return tuple(float(value) * THOU_UM for value in shown)

    def first_readings(self) -> tuple[Reading, Reading]:
        """Total clearance and mesh gap, as the regime has them."""
        feelers, leaves = self.regime.feelers, self.regime.leaves
        opened = (leaves - 1) * feelers.joint_um / THOU_UM * self.rng.random()
        one = Reading(
            1, "total clearance", feelers, self.repeats(self.clearance - opened, feelers),
            leaves=leaves,
        )  # fmt: skip
        if not self.regime.bracket:
            return one, Reading(2, "mesh gap", feelers, self.repeats(self.gap, feelers))
        felt = self.gap + self.off[feelers.name]
        felt += self.rng.normal(0.0, feelers.repeat_um / THOU_UM)
        start = self.rng.random() * self.regime.bracket
        goes = np.floor((felt - start) / self.regime.bracket) * self.regime.bracket + start
        stops = goes + self.regime.bracket
        goes_um, stops_um = float(goes) * THOU_UM, float(stops) * THOU_UM
        return one, Reading(2, "mesh gap", feelers, goes_um=(goes_um,), stops_um=stops_um)

    def trial(self, number: int, wheel: float, plain: float) -> Reading:
        """Fit stacks of about these thicknesses [thou] and read the backlash."""
        within = self.regime.piece_within
        stacks = tuple(
            Stack(seat, round(thick, 1) * THOU_UM, within * THOU_UM)
            for seat, thick in ((WHEEL_SIDE, wheel), (PLAIN_SIDE, plain))
        )
        true = [s.thickness_um / THOU_UM - within * self.rng.uniform(-1, 1) for s in stacks]
        near, far, _ = self.results(*true)
        shown = self.rng.uniform(near, far)
        return Reading(number, "backlash", DIAL, self.repeats(shown, DIAL), fitted=stacks)

    def cut(self, wheel: float, plain: float) -> tuple[Drawer, Plan, tuple[float, float]]:
        """Pieces of these thicknesses by the micrometer [thou], with what is true of them."""
        within, tool = self.regime.piece_within, self.regime.micrometer.name
        error = [within * self.rng.uniform(-1, 1) for _ in range(2)]
        if self.regime.unmeasured:
            half, rest = wheel / 2.0, plain - wheel / 2.0
            lots = (
                Lot("U", half * THOU_UM, 3, within * THOU_UM, ""),
                Lot("P", rest * THOU_UM, 1, 0.1 * THOU_UM, tool),
            )
            stacks = (("U", 2, half),), (("U", 1, half), ("P", 1, rest))
            true_rest = rest - self.off[tool] - 0.1 * self.rng.uniform(-1, 1)
            true = 2.0 * (half - error[0]), half - error[0] + true_rest
        else:
            lots = (
                Lot("W", wheel * THOU_UM, 1, within * THOU_UM, tool),
                Lot("P", plain * THOU_UM, 1, within * THOU_UM, tool),
            )
            stacks = (("W", 1, wheel),), (("P", 1, plain),)
            true = wheel - self.off[tool] - error[0], plain - self.off[tool] - error[1]
        seats = tuple(
            SeatStack(seat, tuple(Piece(lot, count, thick * THOU_UM) for lot, count, thick in of))
            for seat, of in zip((WHEEL_SIDE, PLAIN_SIDE), stacks, strict=True)
        )
        return Drawer(lots), Plan(seats), true


def wanted_stacks(estimate: Estimate) -> tuple[float, float]:
    """Stacks that put backlash and pinch on the middle of their windows [thou]."""
    clearance, gap, ratio, share = estimate.fit.x[:4]
    wheel = gap / THOU_UM + share * CENTRE - CENTRE / ratio
    return float(wheel), float(clearance / THOU_UM + CENTRE - wheel)


def reached(regime: Regime, seed: int) -> float:
    """The chance at which a window just holds the truth of one job; uniform if all is right."""
    bench = Bench(regime, np.random.default_rng((seed, REGIMES.index(regime))))
    job = a_job(
        mesh=regime.mesh,
        tools=(regime.feelers, DIAL, regime.micrometer),
        readings=bench.first_readings(),
    )
    for trial in range(regime.trials):
        stacks = wanted_stacks(estimate_job(job, Drawer(())))
        job = replace(job, readings=(*job.readings, bench.trial(3 + trial, *stacks)))
    drawer, plan, true = bench.cut(*wanted_stacks(estimate_job(job, Drawer(()))))
    return _level(bench, job, drawer, plan, true)


def _level(bench: Bench, job: Job, drawer: Drawer, plan: Plan, true: tuple[float, float]) -> float:
    estimate = estimate_job(job, drawer)
    builds = simulate_builds(job, estimate, BUILDS)
    stacks = true_stacks_um(plan, drawer, estimate.unknowns, builds)
    pinch = stacks.sum(axis=1) - builds.x[:, 0]
    least, most = backlash_range_um(
        builds.x[:, 2], builds.x[:, 1] - stacks[:, 0], pinch, builds.x[:, 3]
    )
    mean, cov = predict_plan(job, drawer, estimate, plan)
    u = np.sqrt(np.diag(cov))

    def off(least: np.ndarray, most: np.ndarray, pinch: np.ndarray) -> np.ndarray:
        lash = np.maximum(np.abs(least - mean[0]), np.abs(most - mean[0])) / u[0]
        return np.maximum(lash, np.abs(pinch - mean[1]) / u[1])

    truth = off(*(np.array([value]) * THOU_UM for value in bench.results(*true)))[0]
    return builds.share(off(least, most, pinch) <= truth)


def came_true(regime: Regime, jobs: int, pool: ProcessPoolExecutor | None = None) -> np.ndarray:
    """Share of jobs whose truth lay inside the window of each level [(4,)]."""
    each = partial(reached, regime)
    found: Iterator[float] = (
        pool.map(each, range(jobs), chunksize=50) if pool else map(each, range(jobs))
    )
    levels = np.array(list(found))
    return np.array([(levels <= level).mean() for level in LEVELS])


def plot(table: dict[str, np.ndarray], path: Path) -> None:
    """Draw what came true over what was stated."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.4, 6.4), layout="constrained")
    axes = figure.add_subplot(xlabel="stated chance", ylabel="came true", aspect="equal")
    axes.axline((0.5, 0.5), slope=1.0, color="0.6", lw=1.0)
    axes.fill_between([0.45, 1.0], [0.43, 0.98], [0.47, 1.02], color="0.9")
    for at, (name, shares) in enumerate(table.items()):
        axes.plot(LEVELS, shares, marker="osv^<>Dp*hX"[at % 11], ms=4, lw=0.8, label=name)
    axes.set(xlim=(0.45, 1.0), ylim=(0.4, 1.02))
    axes.legend(fontsize=8, frameon=False, loc="lower right")
    figure.savefig(path, dpi=120)


def main(jobs: int, picture: Path | None) -> None:
    """Print the table, and draw it where asked."""
    print(f"{jobs} jobs a regime; {'stated':>24}" + "".join(f"{level:8.2f}" for level in LEVELS))
    table = {}
    with ProcessPoolExecutor(2) as pool:
        for regime in REGIMES:
            table[regime.name] = shares = came_true(regime, jobs, pool)
            print(f"{regime.name:46}" + "".join(f"{share:8.3f}" for share in shares), flush=True)
    if picture:
        plot(table, picture)


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 5000,
        Path(sys.argv[2]) if len(sys.argv) > 2 else None,
    )
