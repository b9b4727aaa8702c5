"""What lies over a table's cells: the field to edit one in place, the ring, the red cells."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

from desktop.theme import Theme
from desktop.tokens import RING


class CellEntry:
    """One field that is laid over whichever cell is edited."""

    def __init__(
        self, tree: ttk.Treeview, theme: Theme, leave: Callable[[str | None, str], object]
    ) -> None:
        """tree: of the cells; theme: the look; leave: called with the text, None where it was given
        up, and which way: 'on', 'left', 'right', 'up', 'down', or '' to stay."""
        self._tree, self._leave = tree, leave
        self.entry = ttk.Entry(tree, font=theme.font("body"), style="Cell.TEntry")
        self.cell: tuple[str, str] | None = None  # item and column being edited
        for sequence, way in _WAYS.items():
            self.entry.bind(sequence, lambda _event, way=way: self._end(way))  # type: ignore[misc]  # mypy infers no lambda with a default
        self.entry.bind("<Escape>", lambda _event: self._end("", given_up=True))
        self.entry.bind("<FocusOut>", self._on_focus_out)

    def open(self, item: str, column: str, text: str, *, fresh: bool = False) -> None:
        """Edit a cell. item, column: of the tree; text: to begin with; fresh: it was typed anew."""
        self.cell = (item, column)
        self.entry.delete(0, "end")
        self.entry.insert(0, text)
        if not fresh:
            self.entry.selection_range(0, "end")
        self.entry.icursor("end")
        self.place()
        self.entry.focus_set()

    def place(self) -> None:
        """Lay the field over its cell again, after a scroll or a change of size."""
        if self.cell is None:
            return
        box = self._tree.bbox(*self.cell)
        if box:
            x, y, width, height = box
            self.entry.place(x=x, y=y, width=width, height=height)
            self.entry.lift()
        else:
            self.entry.place_forget()  # scrolled out of sight, still being edited

    def close(self) -> None:
        """End editing; what was typed is given up."""
        self.cell = None
        self.entry.place_forget()

    def _on_focus_out(self, _event: object) -> None:
        if self.cell is not None and not self._has_focus:
            self._end("")

    @property
    def _has_focus(self) -> bool:
        return str(self._tree.tk.call("focus")) == str(self.entry)

    def _end(self, way: str, *, given_up: bool = False) -> str:
        """Tell what the field holds. It stays mapped until it is clear that no other cell is next:
        a field unmapped and mapped again gets the focus late, and loses what is typed till then."""
        if self.cell is not None:
            text = None if given_up else self.entry.get()
            self.cell = None
            self._leave(text, way)
            if self.cell is None:
                if self._has_focus:
                    self._tree.focus_set()
                self.close()
        return "break"


_WAYS = {
    "<Return>": "on",
    "<KP_Enter>": "on",
    "<Tab>": "right",
    "<<PrevWindow>>": "left",  # Shift-Tab, under whichever name the system has it
    "<Up>": "up",
    "<Down>": "down",
}


class CellMarks:
    """A ring round the cell that the keys would edit, and red on every cell with a fault."""

    def __init__(
        self,
        tree: ttk.Treeview,
        theme: Theme,
        pressed: Callable[[str, str, bool], object],
    ) -> None:
        """tree: of the cells; theme: the look; pressed: called with item, column, and whether
        twice, for a press on a red cell."""
        self._tree, self._theme, self._pressed = tree, theme, pressed
        self._ring = [tk.Frame(tree, background=theme.colours.accent) for _ in range(4)]
        self._red: list[tk.Label] = []
        self.ring: tuple[str, str] | None = None
        self.red: tuple[tuple[str, str], ...] = ()

    def place(self) -> None:
        """Lay the marks over their cells again, after a scroll, a change of size or of content."""
        shown = 0
        for item, column in self.red:
            box = self._tree.bbox(item, column) if self._tree.exists(item) else ""
            if box:
                self._place_red(self._label(shown), item, column, box)
                shown += 1
        for label in self._red[shown:]:
            label.place_forget()
        cell = self.ring
        box = self._tree.bbox(*cell) if cell and self._tree.exists(cell[0]) else ""
        if not box:
            for side in self._ring:
                side.place_forget()
            return
        x, y, width, height = box
        thin = self._theme.px(RING)
        for side, (left, top, across, down) in zip(
            self._ring,
            (
                (x, y, width, thin),
                (x, y + height - thin, width, thin),
                (x, y, thin, height),
                (x + width - thin, y, thin, height),
            ),
            strict=True,
        ):
            side.place(x=left, y=top, width=across, height=down)
            side.lift()

    def _label(self, number: int) -> tk.Label:
        if number == len(self._red):
            colours = self._theme.colours
            label = tk.Label(
                self._tree, font=self._theme.font("body"), padx=self._theme.px(3), pady=0,
                borderwidth=0, highlightthickness=self._theme.px(1), foreground=colours.bad,
                background=colours.bad_tint, highlightbackground=colours.bad,
            )  # fmt: skip
            self._red.append(label)
        return self._red[number]

    def _place_red(
        self, label: tk.Label, item: str, column: str, box: tuple[int, int, int, int]
    ) -> None:
        x, y, width, height = box
        right = str(self._tree.column(column, "anchor")) == "e"
        label.configure(text=self._tree.set(item, column), anchor="e" if right else "w")
        label.bind("<Button-1>", lambda _event: self._pressed(item, column, False))
        label.bind("<Double-Button-1>", lambda _event: self._pressed(item, column, True))
        label.place(x=x, y=y, width=width, height=height)
        label.lift()
