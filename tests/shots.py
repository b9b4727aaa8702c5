"""Pictures of the real window for the README, and of its every state for whoever looks after it.

PYTHONPATH=.:tests python tests/shots.py FOLDER [all | STATE...]: needs a display of 1920 by 1080
without a window manager and ImageMagick's `import`. Writes the README's pictures, or every state
(or those named) in both modes, both type sizes and three sizes of window.
"""

from __future__ import annotations

import itertools
import subprocess
import sys
import tempfile
import tkinter as tk
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from fake_crush import JOBS, PAUSES, crush_text
from fake_lines import LAYSHAFT, WINCH, lines_in
from fake_pinion import joint_text, put_in
from kept_routes import remember_orders, remember_routes
from whole_window import Bench, example_in

from desktop.line_edits import add_line
from desktop.settings import Settings
from desktop.setup_bench_edits import add_fastener, add_ring
from desktop.stages import CRUSH, PATTERN, ROUTES

SIZES = ((1280, 800), (1024, 700), (1920, 1080))
State = tuple[tuple[tuple[str, str], ...], Callable[[Bench], object]]  # changes of the text; deeds


def nothing(_: Bench) -> None:
    """The window as it opens."""


def pick(bench: Bench) -> None:
    """Look at another plan."""
    bench.window.asking.pick(1)
    bench.until(lambda: bench.window.asking.picked)


def in_card(bench: Bench) -> None:
    """Put the keyboard on the mesh gap."""
    bench.field(1, "goes").entry.focus_force()


def in_line(bench: Bench) -> None:
    """Put the keyboard on the first part that was read."""
    bench.field(0, "values").entry.focus_force()


def slip(bench: Bench) -> None:
    """Type a slip."""
    bench.put(bench.field(1, "stops"), "2x")


def ask(bench: Bench) -> None:
    """Begin a new job with work unsaved."""
    bench.window.edited(lambda table: {**table, "title": "Other"}, ("title",), False)
    bench.press("Control-n")


def crush(bench: Bench) -> None:
    """Turn to the crush spacer."""
    bench.window.stages.turn_to(CRUSH)


def crush_form(bench: Bench) -> None:
    """Open all of its limits and tool."""
    crush(bench)
    bench.settle()
    form = bench.window.stages.frame.left.form
    form.fold.invoke()
    form.rows.more_button.invoke()


def pinion(bench: Bench) -> None:
    """Look at what the set-up says of the pinion."""
    bench.frame.middle.focus_place(("pinion", "stack_sits"))


def pinion_begun(bench: Bench) -> None:
    """Begin a new job about the pinion alone, and turn to what it asks."""
    bench.press("Control-n")
    bench.settle()
    bench.frame.readings.alone.invoke()
    bench.settle()
    pinion(bench)


def pinion_both(bench: Bench) -> None:
    """Let the example be about its pinion too."""
    bench.frame.middle.focus_place(("pinion",))
    bench.frame.middle.setup._pinion.begin.invoke()


def line_keys(bench: Bench) -> None:
    """Walk over a line's drawing, to a place where a part can be put in."""
    bench.frame.middle.lines.drawings[0].focus_force()
    bench.top.update()
    for _ in range(3):
        bench.press("Right")


def line_added(bench: Bench) -> None:
    """Put a part into a line where it goes."""
    line_keys(bench)
    bench.press("Return")


def line_set_up(bench: Bench) -> None:
    """Look at what the set-up says of a line's parts."""
    last = len(bench.desk.document.table["lines"]) - 1
    bench.frame.middle.focus_place(("lines", last, "low"))


def line_begun(bench: Bench) -> None:
    """Begin a new job about a line of dimensions."""
    bench.window.calls["new line"]()


def line_beside(bench: Bench) -> None:
    """Let the example be about a line too, and look at it."""
    bench.window.edited(add_line(), ("lines",), False)
    bench.settle()
    bench.frame.middle.turn_to("lines")


def bench_notes(bench: Bench) -> None:
    """Look at what the set-up notes for the bench, one more fastener begun."""
    bench.frame.middle.focus_place(("fasteners", 3, "torque"))
    bench.window.edited(add_fastener(), ("fasteners", 4), False)
    bench.settle()
    bench.frame.middle.focus_place(("fasteners", 4, "torque"))


def ring_to_cut(bench: Bench) -> None:
    """Give one seat a ring of its own, and look at what is advised to be cut."""
    bench.window.edited(add_ring("plain side"), ("ring",), False)
    bench.settle()
    bench.frame.middle.focus_place(("ring", "cut"))


def ring_refused(bench: Bench) -> None:
    """Ask for a ring of no thickness."""
    bench.frame.middle.focus_place(("ring", "cut"))
    bench.put(bench.frame.middle.setup.form.fields["ring", "cut"], "-0.4")
    bench.frame.middle.setup.bench.write.invoke()


def pattern(bench: Bench) -> None:
    """Turn to the contact pattern."""
    bench.window.stages.turn_to(PATTERN)


def routes(bench: Bench) -> None:
    """Turn to cutting and buying."""
    remember_routes()
    bench.window.stages.turn_to(ROUTES)


def routes_picked(bench: Bench) -> None:
    """Look at another way than the advised one."""
    routes(bench)
    bench.settle()
    bench.window.stages.frame.compare.rows.rows[1].invoke()


def routes_list(bench: Bench) -> None:
    """Show what can be bought, as a table."""
    routes(bench)
    bench.settle()
    bench.window.stages.frame.turn_to("offers")


def routes_row(bench: Bench) -> None:
    """Begin a row of what can be bought."""
    routes_list(bench)
    bench.settle()
    bench.window.stages.frame.lists["offers"].add()
    bench.press("Escape")


def order(bench: Bench, *added: str) -> None:
    """Turn to the one order for several jobs. added: files of theirs, beside the open one."""
    remember_orders()
    routes(bench)
    bench.window.stages.frame.turn_to("together")
    bench.settle()
    folder = bench.desk.document.folder
    bench.window.stages.routes.order.add(tuple(folder / name for name in added), None)
    bench.settle()


def order_done(bench: Bench) -> None:
    """Work out one order for two jobs."""
    order(bench, "second.toml")
    bench.window.stages.frame.answer.button.invoke()
    bench.settle()


def order_stale(bench: Bench) -> None:
    """Change what an hour is worth after the order was worked out."""
    order_done(bench)
    bench.put(bench.window.stages.frame.left.costs.fields["hour"], "30")


ROUND = (
    "values = [7.8, 8.1, 7.7]", "around = [7.2, 7.9, 8.5, 8.8, 8.4, 7.8, 7.1, 6.9]"
)  # fmt: skip
TIGHTEST = ("high = 6.0,", 'high = 6.0, where = "tightest",')
GATE, FOLDED = (
    ("[before_crush]", crush_text(pauses) + "\n[before_crush]") for pauses in ((), PAUSES)
)
SPARE = ("spare_spacer     = false", "spare_spacer     = true")
THINNER = ('["H16", "H17"]', '["H12", "H17"]')
SHAKY = ("low = -0.04, high = 0.04", "low = -0.006, high = 0.006")
STATES: dict[str, State] = {
    "met": ((), in_card),
    "drawer": ((), lambda bench: bench.frame.middle.turn_to("drawer")),
    "set-up": ((), lambda bench: bench.frame.middle.turn_to("set-up")),
    "another": ((), pick),
    "round": ((ROUND, TIGHTEST), nothing),
    "short": ((("chance = 0.95", "chance = 0.995"),), nothing),
    "disagree": ((("goes = 23.5\nstops = 24.5", "goes = 33.5\nstops = 34.5"),), nothing),
    "nothing-fits": ((("low = 5.5, high = 7.5", "low = 105.5, high = 107.5"),), nothing),
    "half-filled": ((("goes = 23.5\nstops = 24.5", ""),), nothing),
    "slip": ((), slip),
    "question": ((), ask),
    "empty": ((), lambda bench: bench.press("Control-n")),
    **{state: ((), crush) for state in JOBS},
    "crush-form": ((), crush_form),
    "pinion": ((), nothing),
    "pinion-crush": ((), nothing),
    "pinion-carrier": ((), nothing),
    "pinion-set-up": ((), pinion),
    "pinion-carried": ((), pinion),
    "pinion-begun": ((), pinion_begun),
    "pinion-both": ((), pinion_both),
    "ready": ((), crush),
    "ready-begun": ((GATE,), crush),
    "ready-restack": ((GATE, THINNER), crush),
    "ready-measure": ((GATE, SHAKY), crush),
    "ready-commit": ((GATE, SPARE), crush),
    "ready-faulty": ((GATE, ('"H16", "H17"', '"H61"')), crush),
    "ready-folded": ((FOLDED, SPARE), crush),
    "ready-late": ((FOLDED, THINNER), crush),
    "lines": ((), in_line),
    "lines-two": ((), nothing),
    "lines-keys": ((), line_keys),
    "lines-added": ((), line_added),
    "lines-set-up": ((), line_set_up),
    "lines-two-set-up": ((), line_set_up),
    "lines-faulty": ((("drawn = 60.0", 'drawn = "6o.0"'),), line_set_up),
    "lines-begun": ((), line_begun),
    "lines-begun-set-up": ((), lambda bench: (line_begun(bench), line_set_up(bench))),
    "lines-beside": ((), line_beside),
    "bench-notes": ((), bench_notes),
    "bench-faulty": ((("80 N.m", "80 mm"), ("72.0 mm", "52.0 mm")), bench_notes),
    "bench-ring": ((), ring_to_cut),
    "bench-refused": ((), ring_refused),
    "pattern": ((), pattern),
    "pattern-none": ((), pattern),
    "routes": ((), routes),
    "routes-cut": ((("patience = 10", "patience = 2 "),), routes),
    "routes-picked": ((), routes_picked),
    "routes-offers": ((), routes_list),
    "routes-row": ((), routes_row),
    "routes-none": ((), routes),
    "routes-half": ((("redo     = 160", ""), ("offers =", "# ")), routes),
    "routes-faulty": ((("hour     = 20 ", 'hour     = "2o" '),), routes),
    "routes-no-axle": ((("goes = 23.5\nstops = 24.5", ""),), routes),
    "routes-disagree": ((("goes = 23.5\nstops = 24.5", "goes = 33.5\nstops = 34.5"),), routes),
    "routes-poor": ((("low = 5.5, high = 7.5", "low = 105.5, high = 107.5"),), routes),
    "routes-nothing": ((("low = 5.5, high = 7.5", "low = 505.5, high = 507.5"),), routes),
    "order-alone": ((), order),
    "order-none": ((), order),
    "order-ready": ((), lambda bench: order(bench, "second.toml")),
    "order-faulty": ((), lambda bench: order(bench, "second.toml", "slip.toml", "other.toml")),
    "order-done": ((), order_done),
    "order-short": ((("chance = 0.95", "chance = 0.999"),), order_done),
    "order-cut": ((("patience = 10", "patience = 2 "),), order_done),
    "order-nothing": ((("offers =", "# "), ("routes_sheets.csv", "few.csv")), order_done),
    "order-stale": ((), order_stale),
    "order-disagree": ((("goes = 23.5\nstops = 24.5", "goes = 33.5\nstops = 34.5"),), order_done),
    "order-poor": ((("low = 5.5, high = 7.5", "low = 105.5, high = 107.5"),), order_done),
}
SECOND = (  # another axle of the same build
    ("Cane cart", "Hay turner"),
    ("goes = 23.5\nstops = 24.5", "goes = 22.5\nstops = 23.5"),
    ("[51.0, 51.5, 51.0]", "[49.0, 49.5, 49.0]"),
    ("[7.8, 8.1, 7.7]", "[8.6, 8.9, 8.5]"),
)
ORDERS = {  # jobs beside the open one: changes of the second's text
    "second.toml": (),
    "slip.toml": (("low = 4.0", 'low = "4x"'), ("stops = 23.5", "stops = 3.5")),
    "other.toml": (("routes_drawer.csv", "example_drawer.csv"),),
}
SHIPPED = {  # of stock_lists
    **{state: "pinion_crush.toml" for state in STATES if state.startswith("ready")},
    **{state: "bench_sheet.toml" for state in STATES if state.startswith("bench-")},
    "crush-form": "crush_spacer.toml",
    "pinion-crush": "pinion_crush.toml",
    "pattern": "contact_pattern.toml",
    "pinion": "pinion_solid.toml",
    "pinion-set-up": "pinion_solid.toml",
    "pinion-carried": "pinion_crush.toml",
}
README = (("window", "met", "light", False), ("window-dark", "met", "dark", False))
README += (("drawer", "drawer", "light", False), ("set-up", "set-up", "light", False))
README += (("pinion", "pinion", "light", False), ("cut-or-buy", "routes", "light", False))
README += (("crush-spacer", "crush-tighten", "light", False), ("lines", "lines", "light", False))


def job_of(state: str, folder: Path) -> Path:
    """Write the job of a state. state: of STATES; folder: where to. Returns its path."""
    if state.startswith("lines") and "begun" not in state and state != "lines-beside":
        text = WINCH if "two" in state else LAYSHAFT
        return lines_in(folder, text, *STATES[state][0])
    if state == "pinion-carrier":
        return put_in(folder, joint_text())
    job = example_in(folder)
    text = JOBS.get(state) or job.read_text("utf-8")
    if state.startswith(("routes", "order")) and not state.endswith("-none"):
        text = (files("stock_lists") / "routes.toml").read_text("utf-8")
        for name in ("drawer", "offers", "sheets"):
            data = (files("stock_lists") / f"routes_{name}.csv").read_bytes()
            (folder / f"routes_{name}.csv").write_bytes(data)
        put_beside(folder)
    if state in SHIPPED:
        text = (files("stock_lists") / SHIPPED[state]).read_text("utf-8")
        for name in ("pinion_drawer.csv", "bench_sheet_drawer.csv"):
            (folder / name).write_bytes((files("stock_lists") / name).read_bytes())
    for old, new in STATES[state][0]:
        assert old in text
        text = text.replace(old, new)
    job.write_text(text, encoding="utf-8")
    return job


def put_beside(folder: Path) -> None:
    """Write the jobs that share, or do not share, one order with the shipped one.

    folder: where to; those of ORDERS, and a list with next to nothing to cut from.
    """
    shipped = (files("stock_lists") / "routes.toml").read_text("utf-8")
    for name, changes in ORDERS.items():
        text = shipped
        for old, new in (*SECOND, *changes):
            assert old in text
            text = text.replace(old, new)
        (folder / name).write_text(text, encoding="utf-8")
    header = "id,thickness,unit,within,lift,price_per_piece,minutes,left"
    (folder / "few.csv").write_text(f"{header}\nS01,0.010,mm,0.002,0.005,0.5,25,1\n")


def shoot(root: tk.Tk, path: Path, state: str, settings: Settings) -> None:
    """Photograph one state. root; path: of the PNG; state: of STATES; settings: size and look."""
    deed = STATES[state][1]
    size = f"{settings.width_px}x{settings.height_px}"
    with tempfile.TemporaryDirectory() as folder:
        job = job_of(state, Path(folder))
        bench = Bench(root, Path(folder), job, size=size, settings=settings).start()
        deed(bench)
        bench.settle()
        drawn = tk.BooleanVar(root)
        root.after(200, drawn.set, True)  # the last redraw after a change of size
        root.wait_variable(drawn)
        crop = f"{size}+0+0"
        subprocess.run(["import", "-window", "root", "-crop", crop, str(path)], check=True)
        bench.close()


def main(folder: Path, states: tuple[str, ...]) -> None:
    """Write the pictures. folder: where to; states: of STATES, none for the README's alone."""
    folder.mkdir(parents=True, exist_ok=True)
    root = tk.Tk()
    root.withdraw()
    if states:
        kinds = itertools.product(SIZES, ("light", "dark"), (False, True), states)
        for (wide, tall), mode, large, state in kinds:
            name = f"{wide}-{mode}-{'large' if large else 'usual'}-{state}.png"
            look = Settings(width_px=wide, height_px=tall, theme=mode, large=large)
            shoot(root, folder / name, state, look)
    else:
        for name, state, mode, large in README:
            shoot(root, folder / f"{name}.png", state, Settings(theme=mode, large=large))
    root.destroy()


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("which folder shall the pictures go to?")
    named = tuple(sys.argv[2:])
    main(Path(sys.argv[1]), tuple(STATES) if named == ("all",) else named)
