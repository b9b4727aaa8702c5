"""The drawer as a table: edited in place, counted, sorted, searched, pasted into.

It speaks through the callbacks it is given: it opens no file and asks no solver.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from tkinter import ttk

from desktop import drawer_edits as edits
from desktop.drawer_grid import DrawerGrid
from desktop.form_chips import Flow
from desktop.theme import Theme
from desktop.widgets import BenchField, quiet_button
from solver.drawer_sheet import Sheet, new_sheet
from solver.trouble import Fault

NO_DRAWER = (
    "No shims yet. Press Add and type a thickness, paste rows from a spreadsheet,\n"
    "open a CSV file, or start from a stock list."
)
KEYS = "Type or F2 to edit   + − count   Ins add   Del remove   Ctrl+F find   Ctrl+V paste"


def nothing() -> None:
    """A callback for a table that has nothing to call."""


class DrawerTable(ttk.Frame):
    """The drawer. `show` draws it from scratch; what is done to it is told by `on_change`."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_change: Callable[[Sheet], object],
        on_open: Callable[[], object] = nothing,
        on_save: Callable[[], object] = nothing,
        on_stock: Callable[[], object] = nothing,
        stocks: Mapping[str, Callable[[], Sheet]] | None = None,
    ) -> None:
        """parent: any widget; theme: the look; on_change: called with the sheet after every edit;
        on_open, on_save: ask for a CSV file to open, to save as; on_stock: called when a ready-made
        list has been added; stocks: those lists by name.
        """
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._on_change, self._stocks = theme, on_change, stocks or {}
        self._on_stock = on_stock
        self._sheet: Sheet | None = None  # as shown, with the new row not yet told of
        self._told: Sheet | None = None  # as the owner knows it
        self._fresh: int | None = None  # the new row, until it has a thickness
        self._faults: tuple[Fault, ...] = ()
        self._used: Mapping[str, int] = {}
        self._unit = "mm"
        self._build_bar(on_open, on_save)
        self.cells = DrawerGrid(
            self, theme, on_text=self._left_cell, on_moved=lambda: self._say_fault()
        )
        self.cells.grid(row=1, column=0, sticky="nsew")
        self.empty = ttk.Label(self.cells.tree, text=NO_DRAWER, style="Hint.TLabel")
        self.empty.configure(justify="center")
        self.fault = ttk.Label(self, style="Fault.TLabel")
        self.fault.grid(row=2, column=0, sticky="ew")
        self._build_foot()
        self._bind_keys()
        self.rowconfigure(1, weight=1)
        self.columnconfigure(0, weight=1)
        self._draw()

    @property
    def sheet(self) -> Sheet | None:
        """The sheet as the owner knows it; None where there is no drawer."""
        return self._told

    def show(
        self,
        sheet: Sheet | None,
        *,
        faults: Iterable[Fault] = (),
        used: Mapping[str, int] | None = None,
        unit: str = "mm",
    ) -> None:
        """Show a drawer.

        sheet: None where there is none; faults: of the sheet, their places ('rows', 3, 'count');
        used: pieces that the plan takes, by lot id; unit: of a bare number typed or pasted.
        A cell being edited, and a new row being typed, stay while the sheet says the same.
        """
        self._faults, self._used, self._unit = tuple(faults), used or {}, unit
        if not edits.same_sheet(sheet, self._told):
            self._fresh = None
            self.cells.cell.close()
        if self._fresh is None:
            self._sheet = sheet
        self._told = sheet
        self._draw()

    # What can be done to it

    def add(self) -> None:
        """Begin a new row below the last, to be typed into; it counts once it has a thickness."""
        self._end_edit()
        self._sheet, self._fresh = edits.add_row(self._sheet or new_sheet(), unit=self._unit)
        self._draw()
        self.cells.edit(self._fresh, self._thickness_column)

    def remove(self) -> None:
        """Take the selected rows away."""
        self._end_edit()
        rows = self.cells.selected
        if self._sheet is not None and rows:
            near = min(rows[0], len(self._sheet.rows) - len(rows) - 1)
            self._tell(edits.remove_rows(self._sheet, rows))
            self.cells.select([near])

    def count(self, step: int) -> None:
        """Count the selected lots up or down. step: pieces more."""
        self._end_edit()
        if self._sheet is not None:
            self._tell(edits.count_by(self._sheet, self.cells.selected, step))

    def find(self, text: str) -> None:
        """Select the row of the thickness nearest to one. text: as typed, in the job's unit."""
        row = edits.nearest_row(self._sheet, text, self._unit) if self._sheet else None
        lost = bool(text.strip()) and row is None
        self.finder.entry.state(["invalid" if lost else "!invalid"])
        if row is not None:
            self.cells.select([row])

    def paste(self, text: str) -> None:
        """Add rows copied from a spreadsheet. text: lines of cells parted by tabs."""
        self._end_edit()
        sheet, rows = edits.paste_rows(self._sheet or new_sheet(), text, self._unit)
        if rows:
            self._tell(sheet)
            self.cells.select(rows)

    def load_stock(self, name: str) -> None:
        """Add the rows of a ready-made list. name: of the list. Raises: KeyError."""
        self._end_edit()
        sheet, rows = edits.with_stock(self._sheet or new_sheet(), self._stocks[name]())
        self._tell(sheet)
        self.cells.select(rows)
        self._on_stock()

    # How it is built

    def _build_bar(self, on_open: Callable[[], object], on_save: Callable[[], object]) -> None:
        gap = self._theme.px(6)
        bar = Flow(self, self._theme, 6)
        bar.grid(row=0, column=0, sticky="ew", pady=(0, gap))
        self.finder = BenchField(bar, self._theme, label="find", width=8, told=self.find)
        self.buttons = {
            "add": quiet_button(bar, "Add", self.add),
            "remove": quiet_button(bar, "Remove", self.remove),
            "stock": quiet_button(bar, "Stock list…", self._post_stocks),
            "open": quiet_button(bar, "Open…", on_open),
            "save": quiet_button(bar, "Save as…", on_save),
        }
        c = self._theme.colours
        self.menu = tk.Menu(
            self, tearoff=False, background=c.card, foreground=c.ink, activebackground=c.tint,
            activeforeground=c.ink, font=self._theme.font("body"), relief="solid",
        )  # fmt: skip
        for name in self._stocks:
            self.menu.add_command(label=name, command=partial(self.load_stock, name))
        if not self._stocks:
            self.buttons.pop("stock").destroy()

    def _build_foot(self) -> None:
        foot = ttk.Frame(self, style="Inner.TFrame")
        foot.grid(row=3, column=0, sticky="ew")
        self.summary = ttk.Label(foot, style="Hint.TLabel")
        self.hint = ttk.Label(foot, text=KEYS, style="Hint.TLabel")
        self.hint.grid(row=0, column=0, sticky="w")
        self.summary.grid(row=0, column=1, sticky="e")
        foot.columnconfigure(0, weight=1)

    def _bind_keys(self) -> None:
        tree, finder = self.cells.tree, self.finder.entry

        def on(sequence: str, call: Callable[[], object], *widgets: tk.Misc) -> None:
            def called(_event: object) -> str:
                call()
                return "break"

            for widget in widgets:
                widget.bind(sequence, called)

        for plus in ("<plus>", "<equal>", "<KP_Add>"):
            on(plus, partial(self.count, 1), tree)
        for minus in ("<minus>", "<KP_Subtract>"):
            on(minus, partial(self.count, -1), tree)
        for edit in ("<F2>", "<Return>", "<KP_Enter>"):
            on(edit, self._edit_here, tree)
        for back in ("<Return>", "<KP_Enter>", "<Escape>", "<Down>"):
            on(back, tree.focus_set, finder)
        on("<Delete>", self.remove, tree)
        on("<<Paste>>", self._paste_clipboard, tree)
        on("<<Copy>>", self._copy, tree)
        on("<Insert>", self.add, tree, finder)
        on("<Control-f>", finder.focus_set, tree)
        self.bind("<Configure>", self._fit)

    def _fit(self, event: tk.Event[tk.Misc]) -> None:
        self.fault.configure(wraplength=max(event.width - self._theme.px(4), 1))
        self._give_hint_room(event.width)

    def _give_hint_room(self, wide: int) -> None:
        """Drop the hint on keys where the sum of the drawer leaves it no room, or in large type."""
        need = self.hint.winfo_reqwidth() + self.summary.winfo_reqwidth() + self._theme.px(12)
        if need <= wide and not self._theme.large:
            self.hint.grid()
        else:
            self.hint.grid_remove()

    def _draw(self) -> None:
        sheet = self._sheet
        self.cells.draw(sheet, self._used, self._faults, self._fresh)
        self.summary.configure(text=edits.summary_of(sheet) if sheet and sheet.rows else "")
        self._give_hint_room(self.winfo_width())
        if sheet is not None and sheet.rows:
            self.empty.place_forget()
        else:
            self.empty.place(relx=0.5, rely=0.5, anchor="center")
        self._say_fault()

    def _say_fault(self) -> None:
        """Say the fault of the row in hand, or the first, and how many more there are."""
        if not self._faults:
            self.fault.configure(text="")
            return
        own = [fault for fault in self._faults if fault.place[:2] == ("rows", self.cells.row)]
        fault = own[0] if own else self._faults[0]
        words = str(fault)
        if self._sheet is not None:
            words = words.removeprefix(f"{self._sheet.source}: ")
            words = edits.with_id(words, fault, self._sheet)
        more = len(self._faults) - 1
        self.fault.configure(text=words + (f"   (and {more} more)" if more else ""))

    # Editing

    @property
    def _thickness_column(self) -> int:
        return (self._sheet.column("thickness") if self._sheet else None) or 0

    def _tell(self, sheet: Sheet) -> None:
        """Show a sheet after an edit, and tell the owner of it if it says something new."""
        changed = not edits.same_sheet(sheet, self._told)
        self._fresh = None
        self._sheet = sheet
        if changed:
            self._told = sheet
            # The faults are of the sheet before; its rows may have moved.
            self._faults = ()
        self._draw()
        if changed:
            self._on_change(sheet)

    def _edit_here(self) -> None:
        if self._sheet is None or not self._sheet.rows:
            self.add()
        else:
            self.cells.edit_here()

    def _end_edit(self) -> None:
        """Take in what a cell's field holds, and give up a new row that has no thickness."""
        self.cells.end_edit()
        if self._fresh is not None:
            self._give_up_fresh()

    def _give_up_fresh(self) -> None:
        self._sheet, self._fresh = self._told, None
        self._draw()
        self.cells.select(self.cells.order[-1:])

    def _left_cell(self, row: int, column: int, text: str | None, way: str) -> None:
        """A cell's field was left: take its text and go the way of the key."""
        if self._sheet is None or row >= len(self._sheet.rows):
            return
        if row == self._fresh:
            bare = column == self._thickness_column and not (text or "").strip()
            if text is None or (bare and way in ("on", "down")):
                self._give_up_fresh()
                return
        if text is not None:
            sheet = edits.set_cell(self._sheet, row, column, text.strip())
            if self._fresh is not None and not sheet.cell(self._fresh, "thickness"):
                self._sheet = sheet  # not yet told of
                self._draw()
            else:
                self._tell(sheet)
        if way and not self.cells.edit_next(row, column, way):
            self.add()
        elif not way:
            self.cells.mark()

    def _paste_clipboard(self) -> None:
        try:
            text = self.clipboard_get()
        except tk.TclError:
            return  # nothing on it that is text
        self.paste(text)

    def _copy(self) -> None:
        if self._sheet is not None and self.cells.selected:
            self.clipboard_clear()
            self.clipboard_append(edits.text_of(self._sheet, self.cells.selected))

    def _post_stocks(self) -> None:
        button = self.buttons["stock"]
        self.menu.tk_popup(button.winfo_rootx(), button.winfo_rooty() + button.winfo_height())
