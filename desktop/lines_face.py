"""The lines of a job in the middle of the window, one below the other, and what hands do there."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from functools import partial
from tkinter import ttk

from desktop.column import ScrollColumn
from desktop.edits import Table
from desktop.line_drawing import LineDrawing
from desktop.line_edits import free_name, put_in, set_sign, take_out
from desktop.line_said import SEAT, Known, Said, part_place, say_lines
from desktop.theme import Theme
from desktop.widgets import draw_on_resize
from solver.plan import Plan
from solver.trouble import Place

Told = Callable[..., object]


def hands(
    table: Table,
    said: Said,
    edit: Told,
    go: Callable[[Place], object],
    what: str,
    at: int,
) -> None:
    """Do what was asked for in the drawing of a line.

    table: the job's; said: what was drawn; edit: takes an edit, its place, and whether keys are
    typed; go: puts the keyboard on a place; what: as the drawing says it; at: where.
    """
    if what == "badge":
        go(("readings", at - 1))
        return
    if what == "put in":
        name = free_name(table, "terms")
        place: Place = ("lines", said.at, "terms", name)
        edit(put_in(said.at, "terms", name, at), place, False)
        go((*place, "name"))
        return
    part = said.parts[at]
    if what == "open":
        go(part_place(table, part))
    elif what == "take out":
        key = "seats" if part.kind == SEAT else "terms"
        edit(take_out(said.at, key, part.name), part.place, False)
    else:
        edit(set_sign(part.place, what), part.place, False)


class LinesFace(ttk.Frame):
    """Every line of a job, drawn; told of every edit made there."""

    def __init__(self, parent: tk.Misc, theme: Theme, told: Mapping[str, Told]) -> None:
        """parent: body of a card; theme: the look; told: what is called by name: 'edit', 'go'."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._calls = theme, told
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self.column.body.columnconfigure(0, weight=1)
        self.drawings: list[LineDrawing] = []
        self._said: tuple[Said, ...] = ()
        self._table: Table = {}
        self._number: int | None = None
        draw_on_resize(self, self._give_room)

    def show(
        self, table: Table, plan: Plan | None, known: Known, lit: int | None, *, unit: str,
        words: str,
    ) -> None:  # fmt: skip
        """Show the lines.

        table: the job's; plan: or None; known: what its answer says of lengths; lit: number of the
        reading in hand, from 1, or None; unit: shown; words: 'UK' or 'US'.
        """
        self._table, self._number = table, lit
        self._said = say_lines(table, plan, known, unit, words)
        while len(self.drawings) < len(self._said):
            place = len(self.drawings)
            drawing = LineDrawing(self.column.body, self._theme, partial(self._asked, place))
            gap = (self._theme.px(18) if place else 0, 0)
            drawing.grid(row=place, column=0, sticky="ew", pady=gap)
            self.drawings.append(drawing)
        while len(self.drawings) > len(self._said):
            self.drawings.pop().destroy()
        for drawing, said in zip(self.drawings, self._said, strict=True):
            drawing.show(said, said.lit_by(lit), lit)
        self._give_room()
        self.column.catch_wheel()

    def light(self, number: int | None) -> None:
        """Light what a reading is of, and put all else out. number: from 1, or None."""
        self._number = number
        for drawing, said in zip(self.drawings, self._said, strict=True):
            drawing.light(said.lit_by(number), number)

    def written(self) -> tuple[str, ...]:
        """Read everything written in the drawings. Returns the texts from the top down."""
        return tuple(text for one in self.drawings for text in one.written())

    def _give_room(self) -> None:
        tall = self.column.canvas.winfo_height()
        if tall > 1 and self.drawings:
            tall -= self._theme.px(18) * (len(self.drawings) - 1)
            need = sum(one.least_tall for one in self.drawings)
            spare = max(tall - need, 0) / len(self.drawings)
            for one in self.drawings:
                one.give_room(int(one.least_tall + spare))

    def _asked(self, place: int, what: str, at: int) -> None:
        hands(self._table, self._said[place], self._calls["edit"], self._calls["go"], what, at)
