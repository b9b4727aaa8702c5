"""The stage of cutting and buying: what things cost, the ways, what to do, in three columns."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from functools import partial
from tkinter import ttk
from typing import TYPE_CHECKING, Any

from desktop.column import ScrollColumn
from desktop.edits import Table
from desktop.form_parts import Line, Told
from desktop.routes_answer import RoutesAnswer
from desktop.routes_asking import COSTS, RoutesAsking, shown_in
from desktop.routes_files import LISTS
from desktop.routes_form import RoutesForm
from desktop.routes_list import ListFace
from desktop.routes_plot import RoutesPlot
from desktop.routes_rows import WayRows
from desktop.routes_said import said_of
from desktop.routes_shared_face import OrderFace
from desktop.routes_shared_said import order_rows, order_said
from desktop.routes_words import COMPARE, FACES, TOGETHER, one_piece_lines
from desktop.theme import Theme
from desktop.widgets import Card, Segments, draw_on_resize
from solver.drawer_sheet import Sheet
from solver.market_file import BOUGHT, CUT
from solver.trouble import Place

if TYPE_CHECKING:  # loaded with the first answer
    from solver.routes import Point, Routes

LEFT_PX = 300  # at 96 dpi and the usual type
LEFT_MOST, RIGHT_PART, RIGHT_MOST = 0.33, 0.27, 0.3  # of the width
LEAST_PLOT_PX = 200
Calls = dict[str, Callable[..., object]]


class Comparison(ttk.Frame):
    """The chart, the ways below it, and the one piece that would help most; scrolls where low."""

    def __init__(self, parent: tk.Misc, theme: Theme, on_pick: Callable[[Point], object]) -> None:
        """parent: on a card; theme: the look; on_pick: called with a point."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme = theme
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.pack(fill="both", expand=True)
        body = self.column.body
        body.columnconfigure(0, weight=1)
        self.plot = RoutesPlot(body, theme, on_pick)
        self.plot.grid(row=0, column=0, sticky="ew")
        self.rows = WayRows(body, theme, on_pick)
        self.rows.grid(row=1, column=0, sticky="w", pady=(theme.px(6), 0))
        self.single = ttk.Label(body, text="One piece", style="Label.TLabel")
        self._lines = [Line(body, theme, "Hint.TLabel").at(row=3 + k, column=0) for k in range(2)]
        self._shown: tuple[Routes | None, Point | None, bool] = (None, None, False)
        draw_on_resize(self, self._again)

    def show(self, routes: Routes | None, picked: Point | None, *, faint: bool) -> None:
        """Show it. routes: in the words shown; picked: looked at, None for the advised one; faint:
        from before the last change."""
        self._shown = (routes, picked, faint)
        self._again()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts from the top down."""
        lines = tuple(str(line.cget("text")) for line in self._lines if line.cget("text"))
        return (*self.plot.written(), *self.rows.written(), *lines)

    def _again(self) -> None:
        routes, picked, faint = self._shown
        wide = self.winfo_width() - self.column.bar_room
        if wide < 80:
            return
        self.plot.show(routes, picked, faint=faint)
        if self.plot.marks:
            self.plot.grid()
        else:
            self.plot.grid_remove()
        self.rows.show(routes, picked, wide, faint=faint)
        lines = one_piece_lines(routes) if routes is not None and not faint else ()
        for line, words in zip(self._lines, (*lines, "", ""), strict=False):
            line.configure(wraplength=wide)
            line.say(words, soft=True)
        if lines:
            self.single.grid(row=2, column=0, sticky="w", pady=(self._theme.px(8), 0))
        else:
            self.single.grid_remove()
        self._give_plot_room()
        self.column.catch_wheel()

    def _give_plot_room(self) -> None:
        """The chart takes what the ways leave."""
        self.update_idletasks()
        body, plot = self.column.body, self.plot
        rest = body.winfo_reqheight() - plot.winfo_reqheight()
        tall = max(
            self.winfo_height() - rest, self._theme.px(LEAST_PLOT_PX * self._theme.type_scale)
        )
        if str(plot.cget("height")) != str(tall - 2 * self._theme.px(2)):
            plot.configure(height=tall - 2 * self._theme.px(2))


class RoutesStage(ttk.Frame):
    """Three columns: what things cost, the ways, the answer."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, asking: RoutesAsking, *, on_edit: Told, calls: Calls
    ) -> None:
        """parent: the window's frame; theme: the look; asking: what is shown, picked and stopped;
        on_edit: called with every edit, its place and whether keys are being typed in one field;
        calls: what is asked for by name: 'copy', 'axle', 'again', 'add'; 'begin', 'pick' and 'list'
        with the key of a list, the last with its new sheet too."""
        super().__init__(parent)
        self._theme, self._asking, self._calls = theme, asking, calls
        gut = theme.space("gutter")
        lists = {"rows": self.turn_to, "begin": calls["begin"], "pick": calls["pick"]}
        self.left = RoutesForm(self, theme, on_edit=on_edit, calls=lists)
        self.middle = Card(self, theme, "panel")
        self.right = Card(self, theme, "panel")
        self.right.body.pack_propagate(False)
        self.left.grid(row=0, column=0, sticky="nsew", padx=(gut, 0), pady=(0, gut))
        self.middle.grid(row=0, column=1, sticky="nsew", padx=(0, gut), pady=(0, gut))
        self.right.grid(row=0, column=2, sticky="nsew", padx=(0, gut), pady=(0, gut))
        self.columnconfigure(1, weight=1)
        self.rowconfigure(0, weight=1)
        self._build_middle()
        actions = {
            "copy": calls["copy"], "axle": calls["axle"], "again": calls["again"],
            "stop": asking.stop, "show": self._show_it, "back": lambda: asking.pick(None),
            "add": calls["add"], "work out": asking.order.work_out,
        }  # fmt: skip
        self.answer = RoutesAnswer(self.right.body, theme, actions)
        self.answer.pack(fill="both", expand=True)
        inside = theme.space("panel_x")
        self._beside = inside + max(inside - self.left.column.bar_room, 0)
        self.right.body.pack_configure(padx=(inside, self._beside - inside))
        self._routes: tuple[object, str, str, Routes] | None = None  # as shown last
        self.bind("<Configure>", lambda event: self._give_room(event.width))
        self._put_face(asking.face)

    def show(self, table: Table, unit: str, words: str) -> None:
        """Show how everything stands. table: the job's; unit; words: as shown."""
        asking = self._asking
        routes = self._in_words(unit, words)
        self.left.show(table, asking.faults, asking.lists)
        said = said_of(asking, routes)
        faint = asking.state != "done" or said.faint
        self.compare.show(routes, asking.picked, faint=faint)
        used = _used(said.point if not faint else None)
        for key, one in asking.lists.items():
            mark = "  ✕" if one.red else ""
            many = f"  {one.rows}" if one.rows and not self._theme.large else ""
            self.tabs.buttons[key].configure(text=FACES[key] + many + mark)
            if key in self.lists:
                kind = BOUGHT if key == "offers" else CUT
                own = {name.removeprefix(kind): n for name, n in used.items() if name[:4] == kind}
                self.lists[key].show(one, own)
        if self.face == TOGETHER:
            self.together.show(order_rows(asking, table, unit, words), words)
            said = order_said(asking, unit, words)
        self.answer.show(said, unit, words)

    def turn_to(self, face: str) -> None:
        """Show another face of the middle. face: COMPARE, TOGETHER or a list's key."""
        self._put_face(face)
        self._calls["shown"]()

    def _put_face(self, face: str) -> None:
        if face in LISTS and face not in self.lists:
            self.lists[face] = ListFace(
                self.middle.body, self._theme, face,
                on_change=partial(self._changed, face), calls=self._calls,
            )  # fmt: skip
        parts = {COMPARE: self.compare, TOGETHER: self.together, **self.lists}
        for part in parts.values():
            part.grid_remove()
        self.face = self._asking.face = face
        self.tabs.value.set(face)
        self._give_columns()
        parts[face].grid(row=1, column=0, sticky="nsew")

    @property
    def parts(self) -> tuple[tk.Misc, ...]:
        """The parts that F6 goes through."""
        if self.face in LISTS:
            return (self.middle, self.right)
        return (self.left, self.middle, self.right)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        return self.left.held

    @property
    def list_in_hand(self) -> str:
        """The key of the list that the keyboard is in, '' for none."""
        return next((key for key, one in self.lists.items() if one.has_focus), "")

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on a place of the job, in sight. place: into the job."""
        if len(place) > 1 and place[0] in LISTS:
            key, row = str(place[0]), place[2] if len(place) > 2 else None
            self.turn_to(key)
            self.update_idletasks()
            self.lists[key].focus_row(row if isinstance(row, int) else None)
        else:
            self.turn_to(COMPARE)
            self.update_idletasks()
            self.left.focus_place(place)

    def _in_words(self, unit: str, words: str) -> Routes | None:
        """The newest routes in the words shown; the same ones where nothing has changed."""
        found = self._asking.routes
        if found is None:
            return None
        now = (found, unit, words)
        if self._routes is None or not (
            self._routes[0] is found and self._routes[1:3] == (unit, words)
        ):
            self._routes = (*now, shown_in(found, unit, words))
        return self._routes[3]

    def _build_middle(self) -> None:
        theme, body = self._theme, self.middle.body
        self.face = COMPARE
        self.tabs: Segments = Segments(
            body, theme, tuple(FACES.items()), COMPARE, self.turn_to, ground=""
        )
        self.tabs.grid(row=0, column=0, sticky="ew", pady=(0, theme.px(8)))
        body.bind("<Configure>", lambda event: self._arrange_tabs(event.width))
        self.compare: Comparison = Comparison(body, theme, self._asking.pick)
        self.compare.grid(row=1, column=0, sticky="nsew")
        self.together: OrderFace = OrderFace(
            body, theme, on_add=self._calls["add"], on_remove=self._asking.order.remove
        )
        self.lists: dict[str, ListFace] = {}
        body.columnconfigure(0, weight=1)
        body.rowconfigure(1, weight=1)

    def _arrange_tabs(self, wide: int) -> None:
        """In one row, or in two where one has no room."""
        buttons, gap = list(self.tabs.buttons.values()), self._theme.px(6)
        need = sum(one.winfo_reqwidth() + gap for one in buttons) - gap
        many = len(buttons) if need <= wide else (len(buttons) + 1) // 2
        for at, one in enumerate(buttons):
            row, column = divmod(at, many)
            one.grid(
                row=row, column=column, sticky="ew", padx=(gap if column else 0, 0),
                pady=(gap if row else 0, 0),
            )  # fmt: skip

    def _changed(self, key: str, sheet: Sheet) -> None:
        self._calls["list"](key, sheet)

    def _give_columns(self) -> None:
        """A list has many columns: while one is in sight it has the form's room too."""
        gut = self._theme.space("gutter")
        if self.face in LISTS:
            self.left.grid_remove()
            self.middle.grid(column=0, columnspan=2, padx=(gut, gut))
        else:
            self.left.grid()
            self.middle.grid(column=1, columnspan=1, padx=(0, gut))

    def _give_room(self, wide: int) -> None:
        """The columns' shares of the width."""
        theme = self._theme
        if wide < 60:
            return
        left = min(theme.px(LEFT_PX * theme.type_scale), int(wide * LEFT_MOST))
        self.columnconfigure(0, minsize=left + theme.space("gutter"))
        self.left.column.canvas.configure(width=left - self.left.column.bar_room)
        part = RIGHT_MOST if theme.large else RIGHT_PART
        self.right.body.configure(width=int(wide * part) - self._beside)

    def _show_it(self) -> None:
        """Go to the first thing that is wrong."""
        asking = self._asking
        own: Any = [fault for fault in asking.red if fault.place[:1] == (COSTS,)]
        if own:
            self.focus_place(own[0].place)
            return
        for key, one in asking.lists.items():
            if one.red:
                self.focus_place((key, *(one.red[0].place or ("rows",))))
                return
        self.focus_place((COSTS,))


def _used(point: Point | None) -> dict[str, int]:
    """Pieces that a plan takes of what is on offer, by id."""
    used: dict[str, int] = {}
    for stack in point.plan.stacks if point is not None else ():
        for piece in stack.pieces:
            used[piece.id] = used.get(piece.id, 0) + piece.count
    return used
