"""The drawing of a line with hands on it.

Parts are put in where they go: between two rows a plus shows under the pointer, and the arrow keys
walk over rows and the places between them.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from functools import partial
from typing import Any

from desktop.line_rows import LineRows
from desktop.line_said import GAP
from desktop.theme import Theme

NEAR_PX = 9  # of a place between two rows
KEYS = {
    "open": ("Return", "KP_Enter", "space"),
    "take out": ("Delete", "BackSpace"),
    "+": ("plus", "KP_Add"),
    "-": ("minus", "KP_Subtract"),
}
Told = Callable[[str, int], object]  # what to do: 'open', 'put in', 'take out', '+', '-', 'badge'


class LineDrawing(LineRows):
    """One line; tells what is to be done with which of its parts."""

    def __init__(self, parent: tk.Misc, theme: Theme, told: Told, *, small: bool = False) -> None:
        """parent: on a card; theme: the look; told: called with what is to be done and where: the
        number of a part, of a place between two, or of a reading; small: with low rows, no head."""
        super().__init__(parent, theme, small=small)
        self._told = told
        self.bind("<Motion>", self._moved)
        self.bind("<Leave>", lambda _: self._point(None))
        self.bind("<Button-1>", self._pressed)
        self.bind("<FocusIn>", partial(self._focused, True), add="+")
        self.bind("<FocusOut>", partial(self._focused, False), add="+")
        for key, step in (("Left", -1), ("Up", -1), ("Right", 1), ("Down", 1)):
            self.bind(f"<{key}>", partial(self._walk, step))
        for what, keys in KEYS.items():
            for key in keys:
                self.bind(f"<Key-{key}>", partial(self._do, what))

    def _walk(self, step: int, _: object) -> str:
        stops = self._stops()
        if self._at in stops:
            at = min(max(stops.index(self._at) + step, 0), len(stops) - 1)
            self._at = stops[at]
            self._draw()
        return "break"

    def _focused(self, on: bool, _: object) -> None:
        stops = self._stops()
        self._at = stops[min(1, len(stops) - 1)] if on and stops else None
        self._draw()

    def _do(self, what: str, _: object) -> str:
        if self._at is not None and self._said is not None:
            kind, at = self._at
            if kind == "put in":
                if what in ("open", "+"):
                    self._told("put in", at)
            elif what == "open" or self._said.parts[at].kind != GAP:
                self._told(what, at)
        return "break"

    def _under(self, x: int, y: int) -> tuple[str, int] | None:
        """What is at a spot: a place between two arrows, or a row."""
        said = self._said
        if said is None or not self.arrows or y < self._head() - self._theme.px(NEAR_PX):
            return None
        row = (y - self._head()) / self._pitch
        near = round(row)
        level = abs(row - near) * self._pitch <= self._theme.px(NEAR_PX)
        if x > self._names_at + self._names_wide and level and 0 <= near <= said.terms:
            reach = max(self._theme.px(NEAR_PX) * 3, 1)
            if abs(x - self._joint(near)) <= reach:
                return ("put in", near)
        at = min(int(row), len(said.parts) - 1)
        return ("part", at) if row >= 0.0 and y < sum(self._row(at)) else None

    def _moved(self, event: tk.Event[Any]) -> None:
        self._point(self._under(event.x, event.y))

    def _point(self, hover: tuple[str, int] | None) -> None:
        if hover != self._hover:
            self._hover = hover
            self.configure(cursor="hand2" if hover else "")
            self._draw()

    def _pressed(self, event: tk.Event[Any]) -> None:
        under = self._under(event.x, event.y)
        if under is None or self._said is None:
            return
        kind, at = under
        part = self._said.parts[at] if kind == "part" else None
        if part is not None and part.badges and event.x < self._names_at:
            self._told("badge", part.badges[0])
        else:
            self._told("put in" if kind == "put in" else "open", at)
