"""How long a batch takes: many assemblies, one drawer. Run as a script from the project's folder:

    python tests/bench/bench_batch.py                    # 200 assemblies, 300 lots
    python tests/bench/bench_batch.py 200 300 6 1        # half of the lots thin: others contested

The numbers: assemblies, lots, most pieces of a lot, whether half of the lots are thin.
Prints the time of every part, how many are served and the gap. Half of the assemblies are carriers
after the invented example of stock_lists/, half are lines after one written here.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from solver.batch import answer_batch  # noqa: E402
from solver.batch_file import load_batch  # noqa: E402
from solver.batch_keep import load_kept, path_beside  # noqa: E402
from solver.report_batch import batch_as_csv, batch_as_text  # noqa: E402

CARRIER = """title = "Bevel box"
unit = "mm"
[wanted]
chance = 0.9
[seats]
"wheel side" = { under = "bearing", least = 1, most = 3 }
"plain side" = { under = "bearing", least = 1, most = 3 }
[limits]
backlash = { low = 0.12, high = 0.20, example = true }
pinch = { low = 0.12, high = 0.20, counted = "total", example = true }
[mesh]
transfer_ratio = { value = 0.72, within = 0.05 }
pinch_share = { value = 0.50, within = 0.10 }
[tools.micrometer]
within = 0.002
repeat = 0.002
step = 0.001
[tools.dial]
within = 0.004
repeat = 0.004
step = 0.002
[[readings]]
of = "total clearance"
tool = "dial"
values = [1.30, 1.30]
[[readings]]
of = "mesh gap"
tool = "dial"
values = [0.62, 0.62]
"""
LINE = """title = "Layshaft"
unit = "mm"
[wanted]
chance = 0.9
[dimensions]
"case depth" = {}
"shaft" = {}
"bearings" = { low = 21.78, high = 21.82 }
[[lines]]
result = "end float"
low = 0.05
high = 0.15
terms = { "case depth" = 1, "shaft" = -1, "bearings" = -1 }
seats = { "front cover" = -1, "rear cover" = -1 }
[tools.micrometer]
within = 0.002
repeat = 0.002
step = 0.001
[[readings]]
of = "case depth"
tool = "micrometer"
values = [84.0, 84.0]
[[readings]]
of = "shaft"
tool = "micrometer"
values = [60.0, 60.0]
"""


def write_batch(folder: Path, assemblies: int, lots: int, most: int, *, thin: bool) -> Path:
    """Write a batch with its patterns and its drawer.

    folder: where; assemblies, lots: how many; most: pieces of a lot; thin: half of the lots are
    thinner than 0.5 mm. Returns: its CSV.
    """
    rng = random.Random(1)
    (folder / "carrier.toml").write_text(CARRIER, encoding="utf-8")
    (folder / "line.toml").write_text(LINE, encoding="utf-8")
    rows: list[list[object]] = [["id", "thickness", "unit", "count", "within", "tool"]]
    for at in range(lots):
        thick = rng.uniform(0.1, 0.5 if thin and rng.random() < 0.5 else 1.3)
        rows.append([f"L{at}", round(thick, 3), "mm", rng.randint(1, most), 0.003, "micrometer"])
    _write(folder / "drawer.csv", rows)
    rows = [["id", "job", "total clearance", "mesh gap", "case depth", "shaft"]]
    for at in range(assemblies):
        pairs = [(1.3, 0.05), (0.62, 0.03)] if at % 2 else [(84.0, 0.05), (60.0, 0.03)]
        cells = [_repeats(rng, *pair) for pair in pairs]
        job = "carrier.toml" if at % 2 else "line.toml"
        rows.append([f"{at:03}", job, *([*cells, "", ""] if at % 2 else ["", "", *cells])])
    _write(folder / "jobs.csv", rows)
    return folder / "jobs.csv"


def _repeats(rng: random.Random, about: float, spread: float) -> str:
    centre = rng.gauss(about, spread)
    return ";".join(f"{centre + rng.gauss(0.0, 0.002):.3f}" for _ in range(2))


def _write(path: Path, rows: list[list[object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)


def main(assemblies: int = 200, lots: int = 300, most: int = 6, thin: int = 0) -> None:
    """Time one batch. assemblies, lots, most, thin: as in `write_batch`."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = write_batch(folder, assemblies, lots, most, thin=bool(thin))
        begun, cpu = time.perf_counter(), time.process_time()
        parts: dict[str, float] = {}
        last = ("reading the batch", begun)

        def part(words: str) -> None:
            """A new part begins with its first line of progress."""
            nonlocal last
            now = time.perf_counter()
            parts[last[0]] = parts.get(last[0], 0.0) + now - last[1]
            last = (words.split(" for ")[0], now)

        batch = load_batch(path, folder / "drawer.csv")
        part("plans")
        out = folder / "results.csv"
        answer = answer_batch(batch, load_kept(path_beside(out)), part)
        part("writing")
        out.write_text(batch_as_csv(answer), encoding="utf-8")
        part("end")
        for words, taken in parts.items():
            print(f"{words:40}{taken:8.2f} s")
        whole, used = time.perf_counter() - begun, time.process_time() - cpu
        pieces = sum(lot.count for lot in batch.drawer.lots)
        print(f"{'whole':40}{whole:8.2f} s   ({used:.2f} s of one core)")
        print(f"{assemblies} assemblies, {lots} lots, {pieces} pieces on hand")
        print(batch_as_text(answer), end="")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:5]))
