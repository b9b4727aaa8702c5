"""All text of the window fits its place: every state and face, both type sizes, three sizes."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Iterator
from pathlib import Path
from tkinter import ttk
from typing import Any

import pytest
from matplotlib.text import Text
from shots import SIZES, STATES, job_of
from whole_window import Bench

from desktop.settings import Settings

WORDS = (ttk.Label, ttk.Button, ttk.Menubutton, ttk.Radiobutton, tk.Label)
INK = 1  # px that letters may stand over


def cut_off(widget: Any, room: tuple[int, int, int, int]) -> Iterator[str]:
    """Name every text that is narrower or lower than it needs, or that leaves what holds it.

    widget: to look into; room: left, top, right, bottom that can be seen [px]; a column that
    scrolls has no bottom.
    """
    if not widget.winfo_ismapped():
        return
    left, top = widget.winfo_rootx(), widget.winfo_rooty()
    wide, tall = widget.winfo_width(), widget.winfo_height()
    if isinstance(widget, WORDS) and str(widget.cget("text")):
        needs_wide, needs_tall = widget.winfo_reqwidth(), widget.winfo_reqheight()
        seen_wide = min(left + wide, room[2]) - max(left, room[0])
        seen_tall = min(top + tall, room[3]) - max(top, room[1])
        if seen_wide + INK < needs_wide or seen_tall + INK < needs_tall:
            yield f"{widget.cget('text')!r}: {seen_wide}x{seen_tall} of {needs_wide}x{needs_tall}"
    if isinstance(widget, tk.Canvas):
        yield from written_over(widget)
        if widget.cget("yscrollcommand"):
            room = (room[0], -10_000, room[2], 10_000)
            top, tall = -10_000, 20_000
    inner = (
        max(room[0], left), max(room[1], top), min(room[2], left + wide), min(room[3], top + tall)
    )  # fmt: skip
    for child in widget.winfo_children():
        if not isinstance(child, tk.Toplevel | tk.Menu):
            yield from cut_off(child, inner)


def written_over(canvas: tk.Canvas) -> Iterator[str]:
    """Name texts on a canvas that leave it or stand on one another."""
    boxes = {
        item: canvas.bbox(item)
        for item in canvas.find_all()
        if canvas.type(item) == "text" and canvas.itemcget(item, "text")
        and canvas.itemcget(item, "state") != "hidden"
    }  # fmt: skip
    for item, (x0, _, x1, _) in boxes.items():
        text = canvas.itemcget(item, "text")
        if x0 < -INK - 1 or x1 > canvas.winfo_width() + INK + 1:
            yield f"{text!r} leaves its canvas"
        for other, (u0, v0, u1, v1) in boxes.items():
            _, y0, _, y1 = boxes[item]
            if other > item and x0 < u1 - 2 and u0 < x1 - 2 and y0 < v1 - 2 and v0 < y1 - 2:
                yield f"{text!r} stands on {canvas.itemcget(other, 'text')!r}"


def of_the_map(bench: Bench) -> Iterator[str]:
    """Name texts of the map that leave it or stand on one another."""
    drawn = bench.window.map
    bench.top.update()
    drawn._canvas.draw()
    wide, tall = drawn._canvas.get_width_height()
    texts = [t for t in drawn._artists.values() if isinstance(t, Text)]
    boxes = [(t, t.get_window_extent()) for t in texts if t.get_visible() and t.get_text()]
    for at, (text, box) in enumerate(boxes):
        if box.x0 < -INK or box.y0 < -INK or box.x1 > wide + INK or box.y1 > tall + INK:
            yield f"map: {text.get_text()!r} leaves it"
        for other, its in boxes[at + 1 :]:
            if box.x0 < its.x1 and its.x0 < box.x1 and box.y0 < its.y1 and its.y0 < box.y1:
                yield f"map: {text.get_text()!r} stands on {other.get_text()!r}"


MIDDLE, SMALL, _ = SIZES
TIGHT = ((SMALL, False), (SMALL, True), (MIDDLE, False))  # what is roomier is looser
EVERY = tuple((size, large) for size in SIZES for large in (False, True))
FULLEST = ("met", "crush-tighten", "routes", "bench-faulty", "bench-ring")  # in every room there is


@pytest.mark.parametrize(
    ("state", "size", "large"),
    [
        pytest.param(state, size, large, id=f"{state}-{size[0]}{'-large' if large else ''}")
        for state in STATES
        for size, large in (EVERY if state in FULLEST else TIGHT)
    ],
)
def test_all_text_fits(
    window: tk.Toplevel, root: tk.Tk, tmp_path: Path, state: str, large: bool, size: tuple[int, int]
) -> None:
    """Nothing is cut off, but below in a column that scrolls, and nothing stands on another."""
    deed = STATES[state][1]
    job = job_of(state, tmp_path)
    how = Settings(large=large)
    bench = Bench(root, tmp_path, job, size=f"{size[0]}x{size[1]}", settings=how).start()
    deed(bench)
    bench.settle()
    top = bench.top
    left, high = top.winfo_rootx(), top.winfo_rooty()
    found = [*cut_off(bench.frame, (left, high, left + size[0], high + size[1]))]
    found += of_the_map(bench)
    bench.close()
    root.update()
    assert not found
