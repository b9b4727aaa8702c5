"""The form the set-up is laid out in: sections, rows, and the fields that go into them."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from tkinter import ttk
from typing import Any

from desktop.column import ScrollColumn
from desktop.edits import Edit, Table, value_at
from desktop.form_chips import Choice, Flow, tip_on
from desktop.form_kinds import LENGTH, Kind
from desktop.form_parts import Field, Line, Pick, Told, next_field
from desktop.reading_faults import NOTHING, fault_words
from desktop.setup_edits import set_pruned
from desktop.setup_words import wish_words
from desktop.theme import Theme
from solver.trouble import Fault, Place

NARROW_PX = 480  # at 96 dpi and the usual type: below it names stand above their rows


class Rows:
    """Sections of rows in a frame; every field knows its place in the job."""

    def __init__(
        self,
        body: ttk.Frame,
        theme: Theme,
        told: Told,
        narrow_px: int = NARROW_PX,
        wish: Callable[[Fault], str] = wish_words,
    ) -> None:
        """body: on a card; theme: the look; told: called with every edit; narrow_px: below it names
        stand above their rows [px at 96 dpi and the usual type]; wish: words a missing value."""
        self.theme, self.told, self._narrow_px = theme, told, narrow_px
        self._wish = wish
        self.body = body
        self.body.columnconfigure(1, weight=1)
        self.fields: dict[Place, Field | Pick | Choice] = {}
        self.lines: dict[Place, Line] = {}
        self.marks: dict[str, Flow] = {}  # EXAMPLE marks, by limit
        self.rows: list[tuple[ttk.Label | ttk.Entry | None, Flow, int]] = []
        self.narrow = False
        self.usual: dict[str, Line] = {}  # what stands in for blanks, by tool
        self._at = 0

    def row(self) -> int:
        """Take the next row of the form. Returns its number."""
        self._at += 1
        return self._at

    def section(self, title: str, note: str = "", place: Place = ()) -> None:
        """Begin a section. title; note: a soft line under it; place: of faults of the whole."""
        theme = self.theme
        above = theme.px(20) if self._at else 0
        ttk.Label(self.body, text=title, style="Title.TLabel").grid(
            row=self.row(), column=0, columnspan=2, sticky="w", pady=(above, theme.px(3))
        )
        if note:
            self.note(note)
        if place:
            self.line(place, column=0)

    def note(self, words: str) -> Line:
        """Put a soft line that wraps. words: it may be ''. Returns the line."""
        line = Line(self.body, self.theme, "Hint.TLabel")
        line.at(row=self.row(), column=0, columnspan=2, pady=(0, self.theme.px(3)))
        line.keep_row()
        line.say(words)
        return line

    def named(self, label: str, colour: str = "", why: str = "") -> Flow:
        """Begin a row. label: at its left; colour: of it; why: its tip. Returns the row."""
        if not label:
            return self.beside(None)
        said = ttk.Label(self.body, text=label, style="Card.TLabel")
        if colour:
            said.configure(foreground=colour, font=self.theme.font("label"))
        if why:
            tip_on(said, self.theme, why)
        return self.beside(said)

    def beside(self, name: ttk.Label | ttk.Entry | None) -> Flow:
        """Begin a row beside what names it, or below that where the form is narrow.

        name: made in the body, or None. Returns the row.
        """
        frame = Flow(self.body, self.theme, 8)
        self.rows.append((name, frame, self.row()))
        self.row()  # a second one for the frame, where it goes below
        self._lay(*self.rows[-1])
        return frame

    def _lay(self, name: ttk.Label | ttk.Entry | None, frame: Flow, at: int) -> None:
        gap = self.theme.px(3)
        span = 2 if self.narrow else 1
        if name is not None:
            right = 0 if self.narrow else self.theme.px(14)
            sticky = "w" if isinstance(name, ttk.Label) or self.narrow else "ew"
            above = gap if self.narrow else 0
            name.grid(
                row=at, column=0, columnspan=span, sticky=sticky, padx=(0, right), pady=(above, 0)
            )
        at += 1 if self.narrow and name is not None else 0
        frame.grid(row=at, column=1, sticky="ew", pady=gap)

    def fit(self, wide: int) -> None:
        """Put names above their rows where there is no room beside them. wide: what there is."""
        narrow = wide < self.theme.px(self._narrow_px * self.theme.type_scale)
        if wide > 1 and narrow != self.narrow:
            self.narrow = narrow
            for row in self.rows:
                hidden = row[1].winfo_manager() == ""
                self._lay(*row)
                if hidden:
                    row[1].grid_remove()

    def line(self, *places: Place, column: int = 1) -> None:
        """Keep a row for what is wrong at some places. places; column: that it starts in."""
        line = Line(self.body, self.theme)
        line.at(row=self.row(), column=column, columnspan=2 - column, pady=(0, self.theme.px(3)))
        line.keep_row()
        self.lines.update(dict.fromkeys(places, line))

    def field(
        self,
        row: Flow,
        place: Place,
        kind: Kind = LENGTH,
        *,
        label: str = "",
        why: str = "",
        edit: Callable[[Any], Edit] | None = None,
        **looks: Any,
    ) -> Field:
        """Put a field in a row. row; place: in the job; kind: of value; label: before it; why: its
        tip; edit: of a value; looks: for Field. Returns it."""
        make = edit or (lambda value: set_pruned(place, value))
        field = Field(
            row, self.theme, place, kind, self.told, label=label, edit=make,
            font=looks.pop("font", "label"), **looks,
        )  # fmt: skip
        self._put(place, field)
        for key in ("<Return>", "<KP_Enter>"):
            field.entry.bind(key, next_field)
        if why:
            tip_on(field.entry, self.theme, why)
        return field

    def pick(
        self, row: Flow, place: Place, choices: Sequence[tuple[str, str]], **looks: Any
    ) -> Pick:
        """Put a row of choices. row; place; choices: (value, word); looks: for Pick. Returns it."""
        make = looks.pop("edit", None) or (lambda value: set_pruned(place, value))
        why = looks.pop("why", "")
        pick = Pick(row, self.theme, place, choices, self.told, edit=make, **looks)
        self._put(place, pick)
        for button in pick.buttons.values() if why else ():
            tip_on(button, self.theme, why)
        return pick

    def after(self, row: Flow, words: str) -> ttk.Label:
        """Put soft words after the fields of a row. row; words. Returns the label."""
        label = ttk.Label(row, text=words, style="Hint.TLabel")
        return label

    def _put(self, place: Place, widget: Field | Pick) -> None:
        self.fields[place] = widget

    def show_values(self, table: Table, unit: str) -> None:
        """Show what the job says in every field. table: the job's; unit: shown."""
        own = str(table.get("unit", "mm"))
        for place, field in self.fields.items():
            if not isinstance(field, Choice):
                field.show_value(value_at(table, place), own, unit)

    def show_faults(self, faults: tuple[Fault, ...]) -> None:
        """Redden the fields that are faulty, with a line under the row of each.

        faults: of the job. What is merely missing is wished for in soft words, not red.
        """
        said: dict[Line, tuple[str, bool]] = {}
        bad: set[Place] = set()
        for fault in faults:
            soft = fault.found == NOTHING
            ways = [fault.place[:k] for k in range(len(fault.place), 0, -1)]
            if not soft:
                bad.update(way for way in ways[:2] if way in self.fields)
            line = next((self.lines[way] for way in ways if way in self.lines), None)
            if line is not None and (line not in said or (said[line][1] and not soft)):
                words = self._wish(fault) if soft else fault_words(fault)
                said[line] = (words, soft)
        for place, field in self.fields.items():
            field.mark(place in bad)
        for line in set(self.lines.values()):
            line.say(*said.get(line, ("", False)))

    def settle(self) -> None:
        """Lay the rows out again, after words in them have changed."""
        for _, row, _ in self.rows:
            row.settle()

    def destroy_all(self) -> None:
        """Empty the form, to be built anew."""
        for child in self.body.winfo_children():
            child.destroy()
        self.fields, self.lines, self._at = {}, {}, 0
        self.marks, self.usual, self.rows = {}, {}, []


class Form(Rows):
    """The rows in a column that scrolls."""

    def __init__(self, parent: tk.Misc, theme: Theme, told: Told) -> None:
        """parent: on a card; theme: the look; told: called with every edit."""
        self.column = ScrollColumn(parent, theme, theme.colours.card)
        super().__init__(self.column.body, theme, told)
        self.column.canvas.bind("<Configure>", lambda event: self.fit(event.width), add="+")
