"""The grid of the drawer: its rows drawn, its cells ringed, reddened and edited in place."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import drawer_edits as edits
from desktop import drawer_tree as looks
from desktop.cell_entry import CellEntry, CellMarks
from desktop.theme import Theme
from solver.drawer_sheet import Sheet
from solver.trouble import Fault

ON_THE_WAY = ("thickness", "count")  # the cells that Return goes through
_CONTROL, _ALT = 0x4, 0x8  # bits of an event's state


class DrawerGrid(ttk.Frame):
    """Shows a sheet and lets its cells be edited; what is typed is told by `on_text`."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_text: Callable[[int, int, str | None, str], object],
        on_moved: Callable[[], object],
    ) -> None:
        """parent: any widget; theme: the look; on_text: called with row, column, text (None: given
        up) and the way of the key when a cell's field is left; on_moved: when another row is in
        hand."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._on_text, self._on_moved = theme, on_text, on_moved
        self._sheet: Sheet | None = None
        self._header: tuple[str, ...] | None = None
        self._drawn: tuple[looks.RowLook, ...] = ()
        self._sort: tuple[int, bool] | None = None
        self._edited = (0, 0)
        self.column = 0  # where the ring is, from 0
        self.tree = ttk.Treeview(self, selectmode="extended", height=6)
        looks.style_tree(theme, self.tree)
        self.bar = ttk.Scrollbar(
            self, orient="vertical", command=self.tree.yview, style="Slim.Vertical.TScrollbar"
        )
        self.tree.configure(yscrollcommand=self._scrolled, xscrollcommand=self._scrolled_across)
        self.tree.grid(row=0, column=0, sticky="nsew")
        self.bar.grid(row=0, column=1, sticky="ns")
        self.across = ttk.Scrollbar(
            self, orient="horizontal", command=self.tree.xview, style="Slim.Horizontal.TScrollbar"
        )
        self.rowconfigure(0, weight=1)
        self.columnconfigure(0, weight=1)
        self.cell = CellEntry(self.tree, theme, self._left_cell)
        self.marks = CellMarks(self.tree, theme, self._pressed_red)
        self._bind_keys()

    @property
    def selected(self) -> tuple[int, ...]:
        """Numbers of the selected rows, from 0."""
        return tuple(sorted(int(item) for item in self.tree.selection()))

    @property
    def row(self) -> int | None:
        """The row in hand, from 0; None where there is none."""
        item = self.tree.focus()
        return int(item) if item and self.tree.exists(item) else None

    @property
    def order(self) -> tuple[int, ...]:
        """The rows from the top down, as they are sorted."""
        return tuple(int(item) for item in self.tree.get_children())

    # Drawing

    def draw(
        self,
        sheet: Sheet | None,
        used: Mapping[str, int],
        faults: tuple[Fault, ...],
        fresh: int | None = None,
        *,
        anew: bool = False,
    ) -> None:
        """Draw what has changed, or everything.

        sheet: None for none; used: pieces by lot id; faults: of the sheet; fresh: a new row, kept
        last whatever the order; anew: draw everything.
        """
        header = sheet.header.cells if sheet else ()
        selected = self.selected
        if header != self._header:
            self._set_header(sheet, header)
            anew = True
        self._sheet = sheet
        drawn = looks.looks_of(sheet, used, faults) if sheet else ()
        old = self._drawn
        for number, look in enumerate(drawn):
            if sheet and (anew or number >= len(old) or look != old[number]):
                looks.draw_row(self.tree, sheet, number, look)
        gone = (str(number) for number in range(len(drawn), len(old)))
        self.tree.delete(*(item for item in gone if self.tree.exists(item)))
        self._drawn = drawn
        if sheet and (anew or old != drawn):
            self._put_in_order(sheet, fresh)
        looks.set_headings(self.tree, sheet, self._sort)
        if self.selected != selected:
            self.tree.selection_set([str(row) for row in selected if row < len(drawn)])
        self.marks.red = looks.red_cells(sheet, faults) if sheet else ()
        self.mark()

    def _set_header(self, sheet: Sheet | None, header: tuple[str, ...]) -> None:
        self._header, self._sort = header, None
        self.tree.delete(*self.tree.get_children())
        looks.set_columns(self._theme, self.tree, sheet)
        for number in range(len(header)):
            self.tree.heading(f"c{number}", command=partial(self.sort, number))
        self.column = (sheet.column("thickness") if sheet else None) or 0

    def _put_in_order(self, sheet: Sheet, fresh: int | None) -> None:
        rows = tuple(range(len(sheet.rows)))
        if self._sort is not None:
            rows = edits.sorted_rows(sheet, self._sort[0], down=self._sort[1])
        if fresh is not None:
            rows = (*(row for row in rows if row != fresh), fresh)
        if self.order != rows:
            for place, row in enumerate(rows):
                self.tree.move(str(row), "", place)

    def sort(self, column: int) -> None:
        """Sort by a column: smallest first, then largest first, then the file's own order.

        column: its number from 0. The file itself keeps its order.
        """
        if self._sort is None or self._sort[0] != column:
            self._sort = (column, False)
        else:
            self._sort = None if self._sort[1] else (column, True)
        if self._sheet is not None:
            self._put_in_order(self._sheet, None)
        looks.set_headings(self.tree, self._sheet, self._sort)
        self._place()

    def mark(self) -> None:
        """Ring the cell that the keys would edit."""
        row = self.row
        ringed = row is not None and self._header and self.has_focus
        self.marks.ring = (str(row), f"c{self.column}") if ringed else None
        self._place()

    def select(self, rows: Iterable[int]) -> None:
        """Select rows and bring the first into sight. rows: their numbers from 0."""
        items = [str(row) for row in rows if self.tree.exists(str(row))]
        self.tree.selection_set(items)
        if items:
            self.tree.focus(items[0])
            self.tree.see(items[0])
        self._moved()

    # Editing

    @property
    def has_focus(self) -> bool:
        """Whether the keyboard is on the grid or in one of its cells."""
        return str(self.tk.call("focus")) in (str(self.tree), str(self.cell.entry))

    @property
    def editing(self) -> bool:
        """Whether a cell is being edited."""
        return self.cell.cell is not None

    def edit(self, row: int, column: int, text: str | None = None) -> None:
        """Edit a cell in place. row, column: numbers from 0; text: typed over it, if any."""
        if self._sheet is None or not self.tree.exists(str(row)):
            return
        self.column, self._edited = column, (row, column)
        self.select([row])
        self.tree.update_idletasks()  # a cell has no place before it is drawn
        whole = edits.cell_at(self._sheet, row, column)
        name = edits.columns_of(self._sheet)[column]
        self.cell.entry.configure(justify="right" if name in looks.NUMBERS else "left")
        self.cell.open(
            str(row), f"c{column}", whole if text is None else text, fresh=text is not None
        )

    def end_edit(self) -> None:
        """Leave the cell that is being edited, if any, and tell what it holds."""
        if self.editing:
            text = self.cell.entry.get()
            self.cell.close()
            self._on_text(*self._edited, text, "")

    def edit_next(self, row: int, column: int, way: str) -> bool:
        """Edit the cell that a key leads to.

        row, column: it starts from, numbers from 0; way: 'on', 'left', 'right', 'up', 'down'.
        Returns: false where Return has come past the last row.
        """
        order = self.order
        if self._sheet is None or row not in order:
            return True
        names = edits.columns_of(self._sheet)
        at, width = order.index(row), len(names)
        name = names[column]
        if way in ("left", "right"):
            at, column = divmod(at * width + column + (1 if way == "right" else -1), width)
        elif way == "on" and name == ON_THE_WAY[0] and ON_THE_WAY[1] in names:
            column = names.index(ON_THE_WAY[1])
        else:
            at += -1 if way == "up" else 1
            if way == "on" and name == ON_THE_WAY[1] and ON_THE_WAY[0] in names:
                column = names.index(ON_THE_WAY[0])
        if 0 <= at < len(order):
            self.edit(order[at], column)
            return True
        return not (at > 0 and way == "on" and name in ON_THE_WAY)

    def edit_here(self) -> None:
        """Edit the ringed cell."""
        if self.row is not None:
            self.edit(self.row, self.column)

    def _left_cell(self, text: str | None, way: str) -> None:
        self._on_text(*self._edited, text, way)

    # Keys and mouse

    def _bind_keys(self) -> None:
        for sequence, step in (("<Left>", -1), ("<Right>", 1)):
            self.tree.bind(sequence, partial(self._move_ring, step))
        self.tree.bind("<Control-a>", self._select_all)
        self.tree.bind("<Key>", self._typed)
        self.tree.bind("<Button-1>", self._pressed)
        self.tree.bind("<Double-Button-1>", self._pressed_twice)
        self.tree.bind("<<TreeviewSelect>>", lambda _event: self._moved())
        self.tree.bind("<FocusIn>", lambda _event: self._focused())
        self.tree.bind("<FocusOut>", lambda _event: self.mark())
        self.tree.bind("<Configure>", lambda _event: self.after_idle(self._place))

    def _moved(self) -> None:
        self.mark()
        self._on_moved()

    def _focused(self) -> None:
        if self.row is None and self.order:
            self.select([self.order[0]])
        self.mark()

    def _move_ring(self, step: int, _event: object = None) -> str:
        self.column = min(max(self.column + step, 0), max(len(self._header or ()) - 1, 0))
        self.mark()
        return "break"

    def _select_all(self, _event: object) -> str:
        self.tree.selection_set(self.tree.get_children())
        return "break"

    def _typed(self, event: tk.Event[Any]) -> str | None:
        held = int(event.state) & (_CONTROL | _ALT)
        if held or not event.char or not event.char.isprintable() or event.char.isspace():
            return None
        if self.row is not None:
            self.edit(self.row, self.column, event.char)
        return "break"

    def _cell_under(self, event: tk.Event[Any]) -> tuple[int, int] | None:
        item, key = self.tree.identify_row(event.y), self.tree.identify_column(event.x)
        number = int(key.removeprefix("#") or 0) - 2  # '#1' is the mark
        return (int(item), number) if item and number >= 0 else None

    def _pressed(self, event: tk.Event[Any]) -> None:
        self.tree.focus_set()
        cell = self._cell_under(event)
        if cell is not None:
            self.column = cell[1]
            self.after_idle(self._place_if_there, True)

    def _pressed_twice(self, event: tk.Event[Any]) -> str | None:
        cell = self._cell_under(event)
        if cell is None:
            return None
        self.edit(*cell)
        return "break"

    def _pressed_red(self, item: str, column: str, twice: bool) -> None:
        self.tree.focus_set()
        self.column = int(column.removeprefix("c"))
        if twice:
            self.edit(int(item), self.column)
        else:
            self.select([int(item)])

    def _place(self) -> None:
        self.marks.place()
        self.cell.place()

    def _scrolled(self, first: float, last: float) -> None:
        self.bar.set(first, last)
        self.after_idle(self._place_if_there)

    def _scrolled_across(self, first: float, last: float) -> None:
        self.across.set(first, last)
        if float(first) <= 0.0 and float(last) >= 1.0:
            self.across.grid_remove()
        else:  # where columns do not fit, something has to say so
            self.across.grid(row=1, column=0, sticky="ew", pady=(self._theme.px(3), 0))
        self.after_idle(self._place_if_there)

    def _place_if_there(self, ring: bool = False) -> None:
        if self.winfo_exists():
            if ring:
                self.mark()
            self._place()
