"""A column that scrolls comes to rest, whatever its content does with the room."""

from __future__ import annotations

import tkinter as tk

import pytest

from desktop.column import ScrollColumn
from desktop.theme import apply_theme

TOO_MANY = 60


@pytest.mark.parametrize("grows", ["when wider", "when narrower"])
def test_it_comes_to_rest(window: tk.Toplevel, grows: str) -> None:
    """Content that fits only beside the bar, or only without it, does not move it for ever."""
    theme = apply_theme(window, "light", False)
    column = ScrollColumn(window, theme)
    column.place(x=0, y=0, width=300, height=300)
    content = tk.Frame(column.body, height=10)
    content.pack(fill="x")
    turns: list[int] = []

    def follow(event: tk.Event[tk.Misc]) -> None:
        turns.append(event.width)
        if len(turns) < TOO_MANY:  # or a fault would never let the test fail
            tall = (event.width >= whole) == (grows == "when wider")
            content.configure(height=320 if tall else 280)

    window.update()
    whole = column.canvas.winfo_width()
    content.bind("<Configure>", follow)
    for width in (301, 300, 280, 300):
        column.place_configure(width=width)
        window.update()
    assert len(turns) < TOO_MANY
    assert column.scrolls is (column.body.winfo_reqheight() > 300)
    assert bool(column.bar.winfo_ismapped()) is column.scrolls


def test_content_that_shrinks_out_of_sight_is_not_lost(window: tk.Toplevel) -> None:
    """Scrolled to the end of much, then left with little: the little is in sight, with no bar."""
    column = ScrollColumn(window, apply_theme(window, "light", False))
    column.place(x=0, y=0, width=300, height=300)
    parts = [tk.Frame(column.body, height=400) for _ in range(3)]
    for part in parts:
        part.pack(fill="x")
    column.catch_wheel()
    window.update()
    column.see(parts[-1])
    window.update()
    assert column.canvas.yview()[0] > 0.5
    for part in parts:
        part.configure(height=50)
    window.update()
    assert column.body.winfo_height() == 150
    assert column.canvas.yview()[0] == 0.0
    assert not column.scrolls and not column.bar.winfo_ismapped()
