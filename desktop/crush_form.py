"""Limits and tool of a crush spacer: a compact form on a card, folded once nothing is missing."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk
from typing import Any

from desktop import crush_words as say
from desktop.crush_edits import tool_kind
from desktop.crush_rows import RARE, CrushRows, parts_apart
from desktop.edits import Edit, Table, set_at, value_at
from desktop.form_parts import Field, Told
from desktop.theme import Theme
from desktop.widgets import Card
from solver.torque_units import TORQUE_UNITS
from solver.trouble import Fault, Place


class CrushForm(Card):
    """The form; told of every edit it makes."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, on_edit: Told) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field."""
        super().__init__(parent, theme)
        self._theme, self._on_edit = theme, on_edit
        self.body.columnconfigure(0, weight=1)
        self.title = ttk.Label(self.body, text="Limits and tool", style="Title.TLabel")
        self.title.grid(row=0, column=0, sticky="w")
        self.fold = ttk.Button(self.body, style="Chip.TButton", command=self._turn)
        self.fold.bind("<Return>", lambda _: self.fold.invoke())
        self.fold.grid(row=0, column=1, sticky="e")
        self.said = ttk.Label(self.body, style="Soft.Card.TLabel", justify="left")
        self._inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.rows = CrushRows(self._inside, theme, self._told, self.want)
        self._inside.bind("<Configure>", lambda event: self.rows.fit(event.width))
        self.open = True
        self._chosen: bool | None = None  # open or folded by hand
        self.more = False  # what can be left alone is in sight
        self.yours = False  # what was in the readings has rows of its own
        self._built: tuple[object, ...] = ()
        self._last: tuple[Table, tuple[Fault, ...], str] | None = None

    def show(self, table: Table, faults: tuple[Fault, ...], words: str) -> None:
        """Show limits and tool; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of the crush spacer; words: UK or US.
        """
        self._last = (table, faults, words)
        own = tuple(fault for fault in faults if fault.place[1:2] != ("pauses",))
        if own and not self.open:
            self._chosen = None  # what is missing or wrong has to be in sight
        self.open = bool(own) if self._chosen is None else self._chosen
        self.more = self.more or any(fault.place[1:2] and fault.place[1] in RARE for fault in own)
        self.yours = self.yours or value_at(table, ("crush", "readings_with")) is not None
        self._show_fold(table, needed=bool(own))
        if self.open:
            self._show_rows(table, own, words)

    def want(self, what: str) -> None:
        """Show more rows, or fewer. what: 'more' or 'yours'."""
        if what == "more":
            self.more = not self.more
        else:
            self.yours = True
        self._again()

    def focus_place(self, place: Place) -> bool:
        """Put the keyboard on the field of a place. place. Returns whether there is one."""
        if not self.open:
            self._chosen = True
            self._again()
        if place[1:2] and place[1] in RARE and not self.more:
            self.want("more")
        fields = self.rows.fields
        ways = (place[:k] for k in range(len(place), 0, -1))
        near = next((way for way in ways if way in fields), None)
        if near is None:
            near = next((known for known in fields if known[: len(place)] == place), None)
        if near is not None:
            fields[near].take_focus()
        return near is not None

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        found = self._held()
        return found[0] if found else ()

    def _again(self) -> None:
        if self._last is not None:
            self.show(*self._last)

    def _turn(self) -> None:
        self._chosen = not self.open
        self._again()

    def _show_fold(self, table: Table, *, needed: bool) -> None:
        """Folded, a line or two say what stands there; what is needed cannot be folded away."""
        above = (self._theme.px(4), 0)
        self.fold.configure(text="Fold ▴" if self.open else "Change ▾")
        if needed:
            self.fold.grid_remove()
        else:
            self.fold.grid()
        come, go = (self._inside, self.said) if self.open else (self.said, self._inside)
        go.grid_remove()
        self.said.configure(text="" if self.open else say.summary(table))
        come.grid(row=1, column=0, columnspan=2, sticky="ew", pady=above)

    def _show_rows(self, table: Table, faults: tuple[Fault, ...], words: str) -> None:
        crush = value_at(table, ("crush",), {})
        unit = crush.get("unit")
        unit = str(unit) if unit in TORQUE_UNITS else TORQUE_UNITS[0]
        needs = (
            unit, crush.get("bearings"), tool_kind(table), words, self.more, self.yours,
            crush.get("example"), parts_apart(table),
        )  # fmt: skip
        if needs != self._built:
            self._built = needs
            held = self._held()
            self.rows.build(table, unit, words, more=self.more, yours=self.yours)
            self._hold(held)
            self._listen(self._inside)
            self.rows.fit(self._inside.winfo_width())
        self.rows.fill(table)
        self.rows.show_faults(faults)
        self.rows.settle()

    def _told(self, edit: Edit, place: Place, typing: bool) -> None:
        whole = value_at(self._last[0], ("crush", "radius")) if self._last is not None else None
        self._chosen = self.open  # a form does not fold under the hand that fills it
        if place[:2] == ("crush", "radius") and whole is not None and not isinstance(whole, dict):
            # A radius alone becomes one that can say how well it is known.
            spread = set_at(("crush", "radius"), {"value": whole})
            self._on_edit(lambda table: edit(spread(table)), place, typing)
        else:
            self._on_edit(edit, place, typing)

    def _listen(self, widget: Any) -> None:
        """Ring the card while the keyboard is in it."""
        widget.bind("<FocusIn>", lambda _: self.ring(True), add="+")
        widget.bind("<FocusOut>", lambda _: self.ring(False), add="+")
        for child in widget.winfo_children():
            self._listen(child)

    # The keyboard across a rebuild

    def _held(self) -> tuple[Place, int] | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        for place, field in self.rows.fields.items():
            if isinstance(field, Field) and field.entry == focus:
                return place, field.entry.index("insert")
        return None

    def _hold(self, held: tuple[Place, int] | None) -> None:
        field = self.rows.fields.get(held[0]) if held is not None else None
        if held is not None and isinstance(field, Field):
            field.take_focus()
            field.entry.icursor(held[1])
