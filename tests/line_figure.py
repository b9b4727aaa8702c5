"""Draw the README's picture of how to describe an assembly as a line of dimensions.

    python tests/line_figure.py tests/pictures/describe-a-line.png

The names and signs are those of stock_lists/layshaft.toml.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import matplotlib  # noqa: E402

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402
from matplotlib.axes import Axes  # noqa: E402

from solver.job_file import load_table, read_job  # noqa: E402

INK, SOFT, OPENS, CLOSES, SHIM, METAL = (
    "#1f2933", "#6b7785", "#2b6a8f", "#a2542a", "#c79a2b", "#e4e8ec"
)  # fmt: skip
# Not to scale: where each part begins and ends in the drawing.
ROOM = (8.0, 92.0)  # case, face to face
SPIGOT, BEARING, SHAFT = 8.0, 13.0, (31.0, 66.0)


def main(to: Path) -> None:
    """Draw it. to: PNG file."""
    job = read_job(load_table(ROOT / "stock_lists/layshaft.toml"), "layshaft.toml", ROOT)
    line = job.lines[0]
    figure, axes = plt.subplots(figsize=(10.4, 7.2), dpi=110)
    axes.set(xlim=(0, 100), ylim=(0, 72))
    axes.axis("off")
    _section(axes)
    _loop(axes, [name for name, _ in line.terms])
    _words(axes, line.name)
    figure.subplots_adjust(0.01, 0.01, 0.99, 0.99)
    figure.savefig(to)


def _box(axes: Axes, x: tuple[float, float], y: tuple[float, float], colour: str) -> None:
    axes.add_patch(plt.Rectangle((x[0], y[0]), x[1] - x[0], y[1] - y[0], fc=colour, ec=INK, lw=1.1))


def _section(axes: Axes) -> None:
    """The parts, cut open."""
    for low, high in ((50.0, 53.0), (67.0, 70.0)):
        _box(axes, ROOM, (low, high), METAL)
    left, right = ROOM
    _box(axes, (left - 4, left), (50, 70), METAL)
    _box(axes, (right, right + 4), (50, 70), METAL)
    _box(axes, (left, left + SPIGOT), (53, 67), METAL)  # covers reach in
    shim = left + SPIGOT + 1.6
    _box(axes, (left + SPIGOT, shim), (53, 67), SHIM)
    _box(axes, (shim, shim + BEARING), (55, 65), "white")
    start = shim + BEARING
    _box(axes, (start, start + 36), (57.5, 62.5), METAL)
    _box(axes, (start + 10, start + 24), (54, 66), METAL)  # a gear
    rear = start + 36
    _box(axes, (rear, rear + BEARING), (55, 65), "white")
    rear_shim = rear + BEARING + 4.0  # the gap
    _box(axes, (rear_shim, rear_shim + 1.6), (53, 67), SHIM)
    _box(axes, (rear_shim + 1.6, right), (53, 67), METAL)
    for x in (shim + BEARING / 2, rear + BEARING / 2):
        axes.plot([x], [60], "o", ms=17, mfc="white", mec=INK, mew=1.1)
    axes.text((left + right) / 2, 71.0, "case", ha="center", va="bottom", color=SOFT, size=10)
    for x, words in (
        (shim + BEARING / 2, "bearing"), (start + 18, "shaft"), (rear + BEARING / 2, "bearing"),
        (left + SPIGOT / 2, "cover"), (right - 4, "cover"),
    ):  # fmt: skip
        axes.text(x, 51.4, words, ha="center", va="center", color=SOFT, size=9)
    axes.annotate(
        "the gap", (rear + BEARING + 2.0, 60), (rear + BEARING + 2.0, 48.6), ha="center",
        color=INK, size=10, weight="bold", arrowprops={"arrowstyle": "-", "color": INK, "lw": 0.9},
    )  # fmt: skip


def _loop(axes: Axes, names: list[str]) -> None:
    """Once round the gap: what opens it to the right, what closes it to the left."""
    left, right = ROOM
    shim = left + SPIGOT + 1.6
    start, rear = shim + BEARING, shim + BEARING + 36
    gap = rear + BEARING, rear + BEARING + 4.0
    spans = {
        names[0]: (left, right, 44.0), names[1]: (right, gap[1] + 1.6, 38.5),
        names[2]: (start, shim, 38.5), names[3]: (gap[0], rear, 38.5),
        names[4]: (rear, start, 38.5),
    }  # fmt: skip
    labels = {
        names[0]: f'"{names[0]}" = 1', names[1]: f'"{names[1]}" = -1\n(both in one)',
        names[2]: f'"{names[2]}"\n= -1', names[3]: f'"{names[3]}"\n= -1',
        names[4]: f'"{names[4]}"\n= -1',
    }  # fmt: skip
    for name, (begin, end, y) in spans.items():
        colour = OPENS if end > begin else CLOSES
        arrow = {"arrowstyle": "-|>", "color": colour, "lw": 2.4, "shrinkA": 0, "shrinkB": 0}
        axes.annotate("", (end, y), (begin, y), arrowprops=arrow)
        over = name == names[0]
        axes.text(
            (begin + end) / 2, y + (0.8 if over else -0.9), labels[name], ha="center",
            va="bottom" if over else "top", color=colour, size=8.6, family="DejaVu Sans Mono",
        )  # fmt: skip
    arrow = {"arrowstyle": "-|>", "color": CLOSES, "lw": 2.4, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (left, 38.5), (left + SPIGOT, 38.5), arrowprops=arrow)
    for x in (left + SPIGOT, gap[1]):
        axes.plot([x, x + 1.6], [38.5, 38.5], color=SHIM, lw=7, solid_capstyle="butt")
    axes.plot(gap, (38.5, 38.5), color=INK, lw=2.4, ls=(0, (1.2, 1.2)))
    axes.text(
        left + SPIGOT / 2 - 1, 36.4, 'seats: "front\ncover" = -1', ha="center", va="top",
        color="#8a6a14", size=8.6, family="DejaVu Sans Mono",
    )  # fmt: skip
    for x in (left, right):
        axes.plot([x, x], [37.5, 50], color=SOFT, lw=0.6, ls=":")


def _words(axes: Axes, result: str) -> None:
    """What to do, in four steps."""
    steps = (
        ("1", "Name the gap you care about, and its limits.", f'result = "{result}"'),
        ("2", "Walk once round it, part by part. What opens it as it grows is 1, what closes it"
         " is -1.", "terms = { … }"),
        ("3", "Say where shims go: more shim, more gap is 1; more shim, less gap is -1.",
         "seats = { … }"),
        ("4", "For each part: its drawing (low and high), a reading, or both. A trial fit, the gap"
         " read with known shims in,\nchecks them all.", "[dimensions], [[readings]]"),
    )  # fmt: skip
    for at, (number, words, key) in enumerate(steps):
        y = 26.0 - 6.2 * at
        axes.text(8, y, number, color="white", size=10, weight="bold", ha="center", va="center",
                  bbox={"boxstyle": "circle,pad=0.3", "fc": INK, "ec": INK})  # fmt: skip
        axes.text(11, y + 0.9, words, color=INK, size=10, va="center", linespacing=1.25)
        axes.text(11, y - (2.6 if "\n" in words else 1.7), key, color=SOFT, size=9, va="center",
                  family="DejaVu Sans Mono")  # fmt: skip


if __name__ == "__main__":
    main(Path(sys.argv[1]))
