"""Do the promised chances of a line come true? Hundreds of simulated layshafts.

    python tests/bench/line_calibration.py [JOBS] [SEED]     # 600 and 1 unless said

The truth is drawn without the program: parts rectangular, normal and triangular, two of them read
with a micrometer that has an error of its own, in every other job a trial fit read with a dial,
pieces off as the drawer says. The plan that `choose` promises is built with the true parts.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from solver.answer import answer_job  # noqa: E402
from solver.drawer import Drawer, Lot  # noqa: E402
from solver.job import Reading, Stack, Tool  # noqa: E402
from solver.line import Dimension, Line  # noqa: E402
from tests.test_lines import a_line_job  # noqa: E402

MICROMETER = Tool("micrometer", 6.0, 4.0, 2.0, 0.0, "micrometer")
DIAL = Tool("dial", 6.0, 8.0, 5.0, 0.0, "dial")
PIECES_WITHIN_UM, SHIM_UM = 4.0, 700.0
MIDDLE_UM = 100.0
PARTS = (
    Dimension("case", 84_000.0, 50.0),
    Dimension("shaft", 70_000.0, 40.0, "normal", 3.0),
    Dimension("front", 6_500.0, 60.0),
    Dimension("rear", 6_500.0, 60.0, "triangular"),
)
LINE = Line(
    "float", (("case", 1.0), ("shaft", -1.0), ("front", -1.0), ("rear", -1.0)), (("cover", -1.0),)
)
THICKNESSES_UM = (50, 100, 150, 200, 250, 300, 400, 500, 600, 700, 800)
LOTS = tuple(
    Lot(f"L{t}", float(t), 2, PIECES_WITHIN_UM, "micrometer" if at % 3 else "")
    for at, t in enumerate(THICKNESSES_UM)
)


def built(number: int, seed: int) -> tuple[float, bool, bool] | None:
    """Promise and truth of one job. Returns: (chance, inside, with a trial fit), None: no plan."""
    rng = np.random.default_rng((seed, number))
    lengths = [
        84_000.0 + rng.uniform(-50.0, 50.0),
        70_000.0 + rng.normal(0.0, 40.0 / 3.0),
        6_500.0 + rng.uniform(-60.0, 60.0),
        6_500.0 + rng.uniform(-30.0, 30.0, 2).sum(),
    ]
    bare = lengths[0] - sum(lengths[1:])
    micrometer, dial = rng.uniform(-6.0, 6.0), rng.uniform(-6.0, 6.0)

    def shown(true: float, tool: Tool, common: float, times: int) -> tuple[float, ...]:
        noisy = true + common + tool.repeat_um * rng.standard_normal(times)
        return tuple((np.round(noisy / tool.step_um) * tool.step_um).tolist())

    readings = [
        Reading(1, "front", MICROMETER, values_um=shown(lengths[2], MICROMETER, micrometer, 2)),
        Reading(2, "rear", MICROMETER, values_um=shown(lengths[3], MICROMETER, micrometer, 1)),
    ]
    trial = bool(number % 2)
    if trial:
        fitted = SHIM_UM + rng.uniform(-3.0, 3.0)
        readings.append(
            Reading(3, "float", DIAL, values_um=shown(bare - fitted, DIAL, dial, 3),
                    fitted=(Stack("cover", SHIM_UM, 3.0),))
        )  # fmt: skip
    half = float(rng.choice([25.0, 40.0, 60.0]))
    window = (MIDDLE_UM - half, MIDDLE_UM + half)
    job = a_line_job(PARTS, (LINE,), (window,), tuple(readings), wanted=0.95, most=3)
    answer = answer_job(job, Drawer(LOTS))
    if answer.verdict is None:
        return None
    thick = 0.0
    for piece in answer.verdict.plan.stacks[0].pieces:
        lot = next(one for one in LOTS if one.id == piece.id)
        off = rng.uniform(-PIECES_WITHIN_UM, PIECES_WITHIN_UM, piece.count)
        if lot.tool:  # measured with the same micrometer, one by one
            thick += piece.count * (lot.thickness_um - micrometer) - off.sum()
        else:  # all off alike
            thick += piece.count * (lot.thickness_um - off[0])
    return answer.verdict.chance, bool(window[0] <= bare - thick <= window[1]), trial


def main(jobs: int = 600, seed: int = 1) -> None:
    """Print promised and true shares."""
    with ProcessPoolExecutor(2) as pool:
        found = [
            one for one in pool.map(partial(built, seed=seed), range(jobs), chunksize=10) if one
        ]
    print("| jobs | | promised | came true |\n|---|---|---|---|")
    for trial in (False, True):
        rows = np.array([(chance, inside) for chance, inside, had in found if had == trial], float)
        name = "with a trial fit" if trial else "parts alone"
        for low, high in ((0.0, 1.01), (0.0, 0.6), (0.6, 0.85), (0.85, 0.97), (0.97, 1.01)):
            some = rows[(rows[:, 0] >= low) & (rows[:, 0] < high)]
            if len(some):
                span = "all" if high - low > 1.0 else f"{low:g} to {min(high, 1.0):g}"
                print(f"| {name} | {span}: {len(some)} | {some[:, 0].mean():.3f} |"
                      f" {some[:, 1].mean():.3f} |")  # fmt: skip


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:3]))
