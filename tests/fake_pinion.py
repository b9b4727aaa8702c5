"""Jobs of a pinion for the window's tests, as files: with its carrier, and of its every state.

Every figure is invented.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

_TOLD = """
[pinion]
stack_sits  = "{sits}"
measured_to = "shoulder"
nominal     = "78.00 mm"
mark        = {{ value = -3, unit = "0.01 mm", plus = "out" }}
fitted      = ["H20"]
spacer      = "{spacer}"

[tools.depth-gauge]
within = "0.005 mm"
repeat = "0.006 mm"
step   = "0.002 mm"
kind   = "other"

[[readings]]
of = "mounting distance"
tool = "depth-gauge"
fitted = {{ "pinion head" = ["H20"] }}
values = ["{deep} mm", "{deep} mm"]
loaded = false
"""
_LOOSE = """
[[readings]]
of = "pinion end float"
tool = "dial"
fitted = { "pinion spacer" = ["S20", "S20", "S12"], "pinion head" = ["H20"] }
values = ["0.104 mm", "0.108 mm", "0.106 mm"]
"""
DEPTH = 'depth = { low = "-0.05 mm", high = "0.05 mm" }\n'
FLOAT = 'pinion_end_float = { low = "-0.07 mm", high = "-0.005 mm" }\n'
THICK = "S35,0.87,mm,2,0.003,micrometer,pinion spacer,\n"
LIMITS = "[limits]\n"
KEPT = ("id", "A3", "A5", "A10", "B12", "A15", "A18", "A20", "A22", "A24", "A25")


def shipped(name: str) -> str:
    """Read a file that the program comes with. name: of it. Returns its text."""
    return (files("stock_lists") / name).read_text("utf-8")


def joint_text(
    *, spacer: str = "solid", sits: str = "head bearing race", deep: str = "78.196"
) -> str:
    """Write the example with a pinion of its own.

    spacer: 'solid' or 'crush'; sits: where its stack does; deep: its mounting distance as read
    [mm]. Returns TOML.
    """
    text = shipped("example.toml").replace("[limits]\n", LIMITS + DEPTH)
    text += _TOLD.format(spacer=spacer, sits=sits, deep=deep)
    for old, new in (
        ("chance = 0.95 ", "chance = 0.7 "),
        ("most_shims = 4", "most_shims = 2"),
        ("most = 3", "most = 2"),
        ("most = 4", "most = 2"),
    ):
        assert old in text
        text = text.replace(old, new)
    return text + _LOOSE if spacer == "solid" else text


def put_in(folder: Path, text: str) -> Path:
    """Put a job and every drawer it may name into a folder. folder; text: TOML. Returns its path.

    The example's drawer keeps a few of its own shims, for the sides only, beside the pinion's: four
    seats have many plans.
    """
    rows = shipped("pinion_drawer.csv")
    (folder / "pinion_drawer.csv").write_text(rows, encoding="utf-8")
    cells = [row.split(",", 7) for row in shipped("example_drawer.csv").splitlines()]
    own = [
        ",".join((*row[:6], row[6] or "wheel side;plain side", row[7]))
        for row in cells
        if row[0] in KEPT
    ]
    both = "\n".join((*own, rows.split("\n", 1)[1])) + THICK
    (folder / "example_drawer.csv").write_text(both, encoding="utf-8")
    job = folder / "job.toml"
    if 'spacer      = "solid"' in text and "pinion_end_float" not in text:
        text = text.replace(LIMITS, LIMITS + FLOAT)
    job.write_text(text, encoding="utf-8")
    return job
