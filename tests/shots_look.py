"""Pictures of the panels in every state, for a person to look at.

PYTHONPATH=.:tests python tests/shots_look.py FOLDER: needs a display of 1920 by 1080 and
ImageMagick's `import`; writes one PNG for each state, mode, type size and window size.
"""

from __future__ import annotations

import subprocess
import sys
import tkinter as tk
from pathlib import Path
from tkinter import ttk

import fake_answer

from desktop.answer_panel import AnswerPanel
from desktop.build_map import BuildMap
from desktop.charts import Charts
from desktop.column import ScrollColumn
from desktop.drawing import AxleDrawing
from desktop.theme import Theme, apply_theme
from desktop.tokens import DENSE_BELOW_PX, trade_name
from desktop.widgets import Badge, BenchField, Card, Segments, quiet_button
from solver.findings import Answer
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Layout, Seat

SIZES = ((1280, 800), (1024, 700), (1920, 1080))
NAMES = ("total clearance", "mesh gap", "backlash", "end float", "travel to mesh")
HINTS = ("Carrier pushed home first", "Wheel held in tight mesh", "Four teeth round the wheel")
LAYOUTS = {
    "met": (Layout(), ("bearing", "bearing")),
    "short": (Layout("right", "inside"), ("bearing", "bearing")),
    "look-again": (Layout("left"), ("bearing", "cover")),
    "disagree": (Layout("right"), ("cover", "cover")),
}


def shoot(root: tk.Tk, path: Path, size: tuple[int, int]) -> None:
    """Photograph the window. root: it; path: of the PNG; size: [px]."""
    root.update()
    root.after(120)
    root.update()
    crop = f"{size[0]}x{size[1]}+0+0"
    subprocess.run(["import", "-window", "root", "-crop", crop, str(path)], check=True)


def build(root: tk.Tk, theme: Theme, build_map: BuildMap, name: str, unit: str) -> tk.Frame:
    """Put the panels together as a window would. Returns the frame that holds them."""
    answer, state, missing = fake_answer.states()[name]
    c, gut = theme.colours, theme.space("gutter")
    whole = tk.Frame(root, bg=c.bg)
    whole.place(x=0, y=0, relwidth=1, relheight=1)
    whole.columnconfigure(1, weight=1)
    whole.rowconfigure(1, weight=1)
    wide = root.winfo_width()
    head = ttk.Frame(whole)
    head.grid(row=0, column=0, columnspan=3, sticky="ew", padx=gut, pady=theme.px(9))
    ttk.Label(head, text="Carrier shims", font=theme.font("heading")).pack(side="left")
    Segments(head, theme, (("mm", "mm"), ("thou", "inch")), unit, print).pack(side="right")
    _readings(whole, theme, unit).grid(row=1, column=0, sticky="nsew", padx=(gut, 0))
    middle = Card(whole, theme, "panel")
    middle.grid(row=1, column=1, sticky="nsew", padx=gut)
    drawing = AxleDrawing(middle.body, theme)
    drawing.pack(fill="both", expand=True)
    right = Card(whole, theme, "panel")
    right.grid(row=1, column=2, sticky="nsew", padx=(0, gut))
    right.body.configure(width=int(wide * 0.235) - 2 * theme.space("panel_x"))
    right.body.pack_propagate(False)
    panel = AnswerPanel(right.body, theme, print, lambda: None)
    panel.pack(fill="both", expand=True)
    foot = Card(whole, theme, "panel")
    foot.grid(row=2, column=0, columnspan=3, sticky="ew", padx=gut, pady=gut)
    charts = Charts(foot.body, theme, build_map)
    charts.pack(fill="x")
    charts.configure(height=charts.least_height)
    charts.grid_propagate(False)
    root.update()
    _show(answer, name, (drawing, panel, charts), (state, unit, missing))
    return whole


def _show(
    answer: Answer | None,
    name: str,
    panels: tuple[AxleDrawing, AnswerPanel, Charts],
    how: tuple[str, str, tuple[str, ...]],
) -> None:
    drawing, panel, charts = panels
    state, unit, missing = how
    layout, under = LAYOUTS.get(name, (Layout(), ("bearing", "bearing")))
    seats = tuple(
        Seat(seat, kind, 0, 4) for seat, kind in zip((WHEEL_SIDE, PLAIN_SIDE), under, strict=True)
    )
    plan = answer.verdict.plan if answer is not None and answer.verdict else None
    words = "US" if name == "short" else "UK"
    many = fake_answer.BADGES if name in ("met", "disagree") else fake_answer.BADGES[:3]
    drawing.show(layout, seats, plan, many, 2, unit, words)
    panel.show(answer, state, unit, words, missing)
    charts.show(answer, unit, words, old=state == "solving")


def _readings(parent: tk.Misc, theme: Theme, unit: str) -> ttk.Frame:
    column = ScrollColumn(parent, theme)
    wide = 0
    for number, name in enumerate(NAMES, 1):
        card = Card(column.body, theme)
        card.pack(fill="x", pady=(0, theme.space("between")))
        row = ttk.Frame(card.body, style="Inner.TFrame")
        row.pack(fill="x")
        Badge(row, theme, number).pack(side="left")
        ttk.Label(row, text=trade_name(name, "UK"), style="Label.TLabel").pack(
            side="left", padx=theme.px(8)
        )
        ttk.Label(row, text=unit, style="Hint.TLabel").pack(side="right")
        fields = ttk.Frame(card.body, style="Inner.TFrame")
        fields.pack(fill="x", pady=(theme.px(8), 0))
        for word, figure in (("goes", "24.0"), ("stops", "25.0")):
            field = BenchField(fields, theme, label=word, width=6)
            field.pack(side="left", anchor="n", padx=(0, theme.px(10)))
            field.text.set(figure)
        if number == 3:
            field.show_fault("more than 10 metres")
        if not theme.large and number <= len(HINTS):
            ttk.Label(card.body, text=HINTS[number - 1], style="Hint.TLabel").pack(
                anchor="w", pady=(theme.px(5), 0)
            )
        card.ring(number == 2)
        card.update_idletasks()
        wide = max(wide, card.winfo_reqwidth())
    row = ttk.Frame(column.body)
    row.pack(fill="x")
    quiet_button(row, "Open…", lambda: None, ground="Bg.").pack(side="right")
    column.canvas.configure(width=wide)
    column.catch_wheel()
    return column


def main(folder: Path) -> None:
    """Write every picture. folder: where to."""
    folder.mkdir(parents=True, exist_ok=True)
    root = tk.Tk()
    root.overrideredirect(True)
    build_map = None
    for size in SIZES:
        root.geometry(f"{size[0]}x{size[1]}+0+0")
        root.update()
        for mode in ("light", "dark"):
            for large in (False, True):
                theme = apply_theme(root, mode, large, dense=size[0] < DENSE_BELOW_PX)
                if build_map is None:
                    build_map = BuildMap(root, theme, print)
                    build_map.wake()
                for name in fake_answer.states():
                    if size[0] == 1920 and name not in ("met", "nothing-fits"):
                        continue
                    whole = build(root, theme, build_map, name, "mm" if large else "thou")
                    kind = "large" if large else "usual"
                    shoot(root, folder / f"{size[0]}-{mode}-{kind}-{name}.png", size)
                    build_map.pack_forget()
                    whole.destroy()
    root.destroy()


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("which folder shall the pictures go to?")
    main(Path(sys.argv[1]))
