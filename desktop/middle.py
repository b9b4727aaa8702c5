"""The middle of the window: the axle, the drawer or the set-up, one at a time."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from tkinter import ttk
from typing import Any

from desktop.drawing import AxleDrawing
from desktop.line_said import NOTHING_KNOWN, Known
from desktop.line_table import lines_alone, lines_of
from desktop.section_pinion import PinionSaid
from desktop.theme import Theme
from desktop.widgets import Card, Segments
from solver.drawer_sheet import Sheet
from solver.job import IN_LINE, Layout, Seat
from solver.plan import Plan
from solver.trouble import Fault

AXLE, LINES, DRAWER, BOOKS, SETUP = "axle", "lines", "drawer", "books", "set-up"
NAMES = {AXLE: "Axle", LINES: "Lines", DRAWER: "Drawer", BOOKS: "Books", SETUP: "Set-up"}
Told = Callable[..., object]


@dataclass(frozen=True, slots=True, eq=False)
class Content:
    """All that the middle shows, whichever part of it is in sight."""

    table: dict[str, Any]
    sheet: Sheet | None
    faults: tuple[Fault, ...]
    drawer_faults: tuple[Fault, ...]
    assumed: tuple[str, ...]
    drawn: tuple[Layout, tuple[Seat, ...], PinionSaid | None]
    badges: tuple[tuple[int, str], ...]
    plan: Plan | None
    unit: str  # as shown
    words: str
    known: Known = NOTHING_KNOWN  # lengths that lines are drawn by


class Middle(Card):
    """A card of faces; those that are not drawn at first are made when wanted."""

    def __init__(self, parent: tk.Misc, theme: Theme, told: Mapping[str, Told], face: str = AXLE):
        """parent: any widget; theme: the look; told: what is called by name: 'edit', 'sheet',
        'open drawer', 'save drawer', 'stock', 'face', 'go'; face: the one in sight."""
        super().__init__(parent, theme, "panel")
        self._theme, self._told = theme, told
        self.body.columnconfigure(0, weight=1)
        self.body.rowconfigure(1, weight=1)
        self.tabs = Segments(self.body, theme, tuple(NAMES.items()), face, self.turn_to, ground="")
        self.tabs.grid(row=0, column=0, sticky="w", pady=(0, theme.px(10)))
        self._hint = ttk.Label(self.body, style="Hint.TLabel")
        self._hint.grid(row=0, column=0, sticky="e", pady=(0, theme.px(10)))
        self.drawing = AxleDrawing(self.body, theme)
        self.lines: Any = None  # LinesFace, once wanted
        self.drawer: Any = None  # DrawerTable, once wanted
        self.books: Any = None  # BooksPanel, once wanted
        self.setup: Any = None  # SetupPanel, once wanted
        self._content: Content | None = None
        self._drawn: tuple[Any, ...] = ()
        self._lit: int | None = None
        self.face = ""
        self.body.bind("<Configure>", lambda _: self._fit_tabs(), add="+")
        self._put(face)

    def turn_to(self, face: str) -> None:
        """Show another face. face: AXLE, DRAWER or SETUP."""
        if face != self.face:
            self._put(face)
            self._told["face"](face)

    def show(self, content: Content) -> None:
        """Show what there is; only the face in sight is drawn. content."""
        self._content = content
        self._offer_faces(content.table)
        self._fit_tabs()
        self._draw()

    def light(self, number: int | None) -> None:
        """Light the badge of a reading in the drawing. number: from 1, or None."""
        self._lit = number
        self.drawing.light(number)
        if self.lines is not None:
            self.lines.light(number)

    def draws(self, place: tuple[Any, ...]) -> bool:
        """Whether what is said at a place is drawn in sight. place: into the job."""
        return self.face == LINES and place[:1] == ("lines",)

    def focus_place(self, place: tuple[Any, ...]) -> None:
        """Put the keyboard on a place of the set-up. place: into the job."""
        self.turn_to(SETUP)
        self.update_idletasks()
        self.setup.focus_place(place)

    def focus_drawer(self, row: int | None) -> None:
        """Put the keyboard on the drawer. row: from 0, or None for any."""
        self.turn_to(DRAWER)
        self.update_idletasks()
        if row is not None:
            self.drawer.cells.select([row])
        self.drawer.cells.tree.focus_set()

    def _offer_faces(self, table: dict[str, Any]) -> None:
        """Offer the axle, lines of dimensions, or both, as the job is about them."""
        alone, there = lines_alone(table), bool(lines_of(table))
        for face, wanted in ((AXLE, not alone), (LINES, there)):
            button = self.tabs.buttons[face]
            if wanted:
                button.grid(padx=(self._theme.px(6) if face == LINES and not alone else 0, 0))
            else:
                button.grid_remove()
        if alone and self.face == AXLE:
            self.turn_to(LINES)
        elif not there and self.face == LINES:
            self.turn_to(AXLE)

    def _fit_tabs(self) -> None:
        """Name the faces; padded less where there is little room, and then without a count."""
        content, wide = self._content, self.body.winfo_width()
        if content is None:
            return
        bad = {
            DRAWER: bool(content.drawer_faults),
            SETUP: any(_in_setup(fault) for fault in content.faults),
        }
        for tight, counted in ((False, True), (True, True), (True, False)):
            for face, button in self.tabs.buttons.items():
                count = self._count(face, content) if counted else ""
                button.configure(
                    text=NAMES[face] + count + ("  ✕" if bad.get(face) else ""),
                    style=f"{'Tight.' if tight else ''}Segment.Toolbutton",
                )
            if wide < 60 or self._tabs_need() <= wide:
                break
        last = self.tabs.buttons[SETUP]
        if 60 <= wide < self._tabs_need():  # below the others, where even that is too much
            below = (self._theme.px(6), 0)
            last.grid(row=1, column=0, columnspan=len(NAMES), sticky="w", padx=0, pady=below)
        else:
            padx = (self._theme.px(6), 0)
            last.grid(row=0, column=len(NAMES) - 1, columnspan=1, padx=padx, pady=0)

    def _tabs_need(self) -> int:
        """Room that the names of the faces take [px]."""
        shown = [one for one in self.tabs.buttons.values() if one.winfo_manager()]
        gaps = self._theme.px(6) * (len(shown) - 1)
        return sum(one.winfo_reqwidth() for one in shown) + gaps

    def _count(self, face: str, content: Content) -> str:
        if face != DRAWER or content.sheet is None:
            return ""
        return f"  {len(content.sheet.rows)}" if content.sheet.rows else ""

    def _lot_in_hand(self, sheet: Sheet | None) -> str:
        """The lot that is selected in the drawer, '' for none."""
        row = self.drawer.cells.row if self.drawer is not None else None
        return sheet.cell(row, "id") if sheet and row is not None and row < len(sheet.rows) else ""

    def _put(self, face: str) -> None:
        for part in (self.drawing, self.lines, self.drawer, self.books, self.setup):
            if part is not None:
                part.grid_remove()
        self.face = face
        self.tabs.value.set(face)
        self._part(face).grid(row=1, column=0, sticky="nsew")
        self._draw()

    def _part(self, face: str) -> Any:
        if face == LINES and self.lines is None:
            from desktop.lines_face import LinesFace

            self.lines = LinesFace(self.body, self._theme, self._told)
        if face == DRAWER and self.drawer is None:
            from desktop.drawer_table import DrawerTable
            from desktop.stock import stock_lists

            self.drawer = DrawerTable(
                self.body, self._theme, on_change=self._told["sheet"],
                on_open=self._told["open drawer"], on_save=self._told["save drawer"],
                on_stock=self._told["stock"], stocks=stock_lists(),
            )  # fmt: skip
        if face == BOOKS and self.books is None:
            from desktop.books_panel import BooksPanel

            self.books = BooksPanel(self.body, self._theme, self._told)
        if face == SETUP and self.setup is None:
            from desktop.setup_bench_ring import Cutter
            from desktop.setup_panel import SetupPanel

            cuts = "cut" in self._told
            cutter = Cutter(self._told["advised"], self._told["cut"]) if cuts else None
            self.setup = SetupPanel(
                self.body, self._theme, on_edit=self._told["edit"], on_go=self._told["go"],
                cutter=cutter,
            )  # fmt: skip
        faces = {
            AXLE: self.drawing, LINES: self.lines, DRAWER: self.drawer, BOOKS: self.books,
            SETUP: self.setup,
        }  # fmt: skip
        return faces[face]

    def _draw(self) -> None:
        content = self._content
        if content is None:
            return
        if self.face == AXLE:
            now = (content.drawn, content.plan, content.badges, content.unit, content.words)
            if now != self._drawn:  # drawing takes longest: only what has changed
                self._drawn = now
                layout, seats, pinion = content.drawn
                seats = tuple(seat for seat in seats if seat.under != IN_LINE)
                self.drawing.show(
                    layout, seats, content.plan, content.badges, self._lit, content.unit,
                    content.words, pinion=pinion,
                )  # fmt: skip
        elif self.face == LINES:
            self.lines.show(
                content.table, content.plan, content.known, self._lit, unit=content.unit,
                words=content.words,
            )  # fmt: skip
        elif self.face == DRAWER:
            self.drawer.show(
                content.sheet, faults=content.drawer_faults, used=_used(content.plan),
                unit=content.unit,
            )  # fmt: skip
        elif self.face == BOOKS:
            self.books.show(self._told["books"](), self._lot_in_hand(content.sheet))
        else:
            self.setup.show(
                content.table, content.faults, content.assumed, unit=content.unit,
                words=content.words, drawn=(content.plan, content.known),
            )  # fmt: skip


def _in_setup(fault: Fault) -> bool:
    return fault.place[:1] != ("readings",) and not fault.found.startswith("nothing")


def _used(plan: Plan | None) -> dict[str, int]:
    """Pieces that a plan takes, by lot."""
    used: dict[str, int] = {}
    for stack in plan.stacks if plan is not None else ():
        for piece in stack.pieces:
            used[piece.id] = used.get(piece.id, 0) + piece.count
    return used
