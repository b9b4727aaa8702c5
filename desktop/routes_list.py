"""The rows of what can be bought or cut, edited in place; every change is in the file at once."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from tkinter import ttk

from desktop import drawer_edits as edits
from desktop.drawer_grid import DrawerGrid
from desktop.form_chips import Flow
from desktop.form_parts import Line
from desktop.routes_files import HEADERS, OFFERS, PriceList
from desktop.routes_words import LIST_HINTS, NONE_YET
from desktop.theme import Theme
from desktop.widgets import quiet_button
from solver.drawer_sheet import Sheet
from solver.report_words import listed, sentence
from solver.trouble import Fault

COPIED = {OFFERS: ("seller", "unit", "count"), "sheets": ("unit", "minutes", "price_per_piece")}
MOST_WISHES = 3
AT_ONCE = "Every change is in {} at once; Ctrl+Z takes it back. A spreadsheet may change it too."


class ListFace(ttk.Frame):
    """One list as a table; what is done to it is told by `on_change`."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        key: str,
        *,
        on_change: Callable[[Sheet], object],
        calls: Mapping[str, Callable[[str], object]],
    ) -> None:
        """parent: on a card; theme: the look; key: of the list; on_change: called with the sheet
        after every edit; calls: what its buttons ask for by name, each with the key."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self.key, self._on_change = theme, key, on_change
        self._sheet: Sheet | None = None
        self._faults: tuple[Fault, ...] = ()
        self._wishes: tuple[str, ...] = ()
        bar = Flow(self, theme, 6)
        bar.grid(row=0, column=0, sticky="ew", pady=(0, theme.px(6)))
        self.buttons = {
            "add": quiet_button(bar, "Add", self.add),
            "remove": quiet_button(bar, "Remove", self.remove),
            "begin": quiet_button(bar, "Begin a list", lambda: calls["begin"](key)),
            "pick": quiet_button(bar, "Pick a file…", lambda: calls["pick"](key)),
        }
        self.cells = DrawerGrid(self, theme, on_text=self._left_cell, on_moved=self._say)
        self.cells.grid(row=1, column=0, sticky="nsew")
        self.empty = ttk.Label(self.cells.tree, style="Hint.TLabel", justify="center")
        self.fault = Line(self, theme).at(row=2, column=0, pady=(theme.px(4), 0))
        self.hint = Line(self, theme, "Hint.TLabel").at(row=3, column=0, pady=(theme.px(4), 0))
        self.rowconfigure(1, weight=1)
        self.columnconfigure(0, weight=1)
        tree = self.cells.tree
        tree.bind("<Delete>", lambda _: self.remove())
        tree.bind("<Insert>", lambda _: self.add())
        for sequence in ("<F2>", "<Return>", "<KP_Enter>"):
            tree.bind(sequence, self._edit_here)
        tree.bind("<Configure>", lambda event: self.empty.configure(
            wraplength=max(int(event.width * 0.8), 60)), add="+")  # fmt: skip

    def show(self, one: PriceList, used: Mapping[str, int]) -> None:
        """Show the list. one: it; used: pieces that the plan looked at takes, by id."""
        self._faults, self._wishes = one.red, one.wish_names
        if not edits.same_sheet(one.sheet, self._sheet):
            self.cells.cell.close()
        self._sheet = one.sheet
        self.cells.draw(self._sheet, used, self._faults)
        none = self._sheet is None
        begin = one.path is None or one.missing
        for name, on in (("add", not none), ("remove", not none), ("begin", begin)):
            self.buttons[name].state(["!disabled" if on else "disabled"])
        if none or not one.rows:
            text = NONE_YET[self.key] if none else "No rows yet. Press Add and type."
            self.empty.configure(text=text)
            self.empty.place(relx=0.5, rely=0.5, anchor="center")
        else:
            self.empty.place_forget()
        at_once = AT_ONCE.format(one.path.name) if one.path is not None and not none else ""
        hint = at_once if self._theme.large else f"{LIST_HINTS[self.key]} {at_once}"
        self.hint.say(hint.strip(), soft=True)
        self._say()

    def add(self) -> None:
        """Add a row like the last one, and begin to type its thickness."""
        self.cells.end_edit()
        sheet = self._sheet
        if sheet is None:
            return
        sheet = edits.with_columns(sheet, HEADERS[self.key].split(","))
        last = len(sheet.rows) - 1
        cells = {"id": edits.free_id(sheet), "unit": "mm"}
        if self.key == OFFERS:
            cells["count"] = "1"
        if last >= 0:
            cells |= {name: sheet.cell(last, name) for name in COPIED[self.key]}
        sheet = sheet.with_row(cells)
        self._tell(sheet)
        row, column = len(sheet.rows) - 1, sheet.column("thickness")
        if self._sheet is sheet and column is not None:
            self.cells.edit(row, column)

    def remove(self) -> None:
        """Take the selected rows away."""
        self.cells.end_edit()
        rows = self.cells.selected
        if self._sheet is not None and rows:
            near = min(rows[0], len(self._sheet.rows) - len(rows) - 1)
            self._tell(edits.remove_rows(self._sheet, rows))
            self.cells.select([near])

    def focus_row(self, row: int | None) -> None:
        """Put the keyboard on the rows. row: from 0, or None for any."""
        if row is not None:
            self.cells.select([row])
        self.cells.tree.focus_set()

    @property
    def has_focus(self) -> bool:
        """Whether the keyboard is in the list."""
        return str(self.tk.call("focus")).startswith(str(self))

    def _edit_here(self, _event: object) -> str:
        if self._sheet is not None and not self._sheet.rows:
            self.add()
        else:
            self.cells.edit_here()
        return "break"

    def _left_cell(self, row: int, column: int, text: str | None, way: str) -> None:
        """A cell's field was left: take its text and go the way of the key."""
        sheet = self._sheet
        if sheet is None or row >= len(sheet.rows):
            return
        if text is not None:
            self._tell(edits.set_cell(sheet, row, column, text.strip()))
        if way:
            self.cells.edit_next(row, column, "right" if way == "on" else way)
        else:
            self.cells.mark()

    def _tell(self, sheet: Sheet) -> None:
        if not edits.same_sheet(sheet, self._sheet):
            self._sheet = sheet
            self._on_change(sheet)

    def _say(self) -> None:
        """Say the fault of the row in hand, or the first, and how many more there are."""
        if not self._faults:
            wishes = listed(list(self._wishes[:MOST_WISHES]))
            self.fault.say(sentence(f"still to come: {wishes}") if wishes else "", soft=True)
            return
        own = [fault for fault in self._faults if fault.place[:2] == ("rows", self.cells.row)]
        fault = own[0] if own else self._faults[0]
        words = str(fault)
        if self._sheet is not None:
            words = words.removeprefix(f"{self._sheet.source}: ")
            words = edits.with_id(words, fault, self._sheet)
        more = len(self._faults) - 1
        self.fault.say(words + (f"   (and {more} more)" if more else ""))
