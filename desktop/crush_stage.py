"""The stage of the crush spacer: the pauses, the torque they show, what to do with the nut next."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop.crush_answer import CrushAnswer
from desktop.crush_asking import CrushAsking
from desktop.crush_edits import crush_of, last_angle_deg
from desktop.crush_offer import CrushOffer
from desktop.crush_pauses import PausesPanel
from desktop.crush_plot import CrushPlot
from desktop.crush_said import said_of
from desktop.edits import Table
from desktop.form_parts import Told
from desktop.theme import Theme
from desktop.turn_bars import TurnBars
from desktop.widgets import Card
from solver.trouble import Place

LEFT_PX = 348  # at 96 dpi and the usual type: what a pause is written on
LEFT_MOST, RIGHT_PART, RIGHT_MOST = 0.37, 0.26, 0.29  # of the width
LEAST_PLOT_PX = 190  # below it the bars make room


class CrushStage(ttk.Frame):
    """Three columns, or the offer to begin where the job says nothing of a crush spacer."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_copy: Callable[[], object],
    ) -> None:
        """parent: the window's frame; theme: the look; on_edit: called with every edit, its place
        and whether keys are being typed in one field; on_copy: copies the answer."""
        super().__init__(parent)
        self._theme = theme
        gut = theme.space("gutter")
        self.offer = CrushOffer(self, theme, on_edit=on_edit)
        self.left = PausesPanel(self, theme, on_edit=on_edit, on_focus=self._lit)
        self.middle = Card(self, theme, "panel")
        self.right = Card(self, theme, "panel")
        self.right.body.pack_propagate(False)
        self.left.grid(row=0, column=0, sticky="nsew", padx=(gut, 0), pady=(0, gut))
        self.middle.grid(row=0, column=1, sticky="nsew", padx=(0, gut), pady=(0, gut))
        self.right.grid(row=0, column=2, sticky="nsew", padx=(0, gut), pady=(0, gut))
        self.columnconfigure(1, weight=1)
        self.rowconfigure(0, weight=1)
        self.offer.grid(row=0, column=0, columnspan=3, sticky="nsew")
        self.offer.grid_remove()
        self._build_middle()
        self.answer = CrushAnswer(
            self.right.body,
            theme,
            on_turned=self._turned,
            on_first=self.left.begin,
            on_copy=on_copy,
            on_show=self._show_it,
        )
        self.answer.pack(fill="both", expand=True)
        inside = theme.space("panel_x")
        self._beside = inside + max(inside - self.left.column.bar_room, 0)
        self.right.body.pack_configure(padx=(inside, self._beside - inside))
        self._shown: tuple[Table, CrushAsking] | None = None
        self._offering = False
        self.bind("<Configure>", lambda event: self._give_room(event.width))

    def show(self, table: Table, asking: CrushAsking, words: str) -> None:
        """Show how everything stands. table: the job's; asking: its crush spacer; words."""
        self._shown = (table, asking)
        self._offer(crush_of(table) is None)
        if self._offering:
            self.offer.show(words)
            return
        self.left.show(table, asking.faults, words)
        faint = asking.state != "done"
        found = asking.answer
        self.plot.show(asking.crush, found, faint=faint)
        turning = found is not None and found.state == "tighten"
        self.bars.show(found if turning else None, faint=faint)
        if turning:
            self.bars.grid()
        else:
            self.bars.grid_remove()
        untold = asking.crush is not None and any(not one.turned for one in asking.crush.pauses)
        self.hint.configure(text="○ bearings not turned" if untold else "")
        self.answer.show(said_of(asking.state, found, asking.faults, words), found, faint=faint)

    @property
    def parts(self) -> tuple[tk.Misc, ...]:
        """The parts that F6 goes through."""
        return (self.offer,) if self._offering else (self.left, self.right)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        return () if self._offering else self.left.held

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on the field of a place, in sight. place: into the job."""
        if not self._offering:
            self.left.focus_place(place)

    def _build_middle(self) -> None:
        theme, body = self._theme, self.middle.body
        head = ttk.Frame(body, style="Inner.TFrame")
        head.grid(row=0, column=0, sticky="ew", pady=(0, theme.px(6)))
        ttk.Label(head, text="Torque as the nut turns", style="Title.TLabel").pack(side="left")
        self.hint = ttk.Label(head, style="Hint.TLabel")
        self.hint.pack(side="right")
        self.plot = CrushPlot(body, theme)
        self.plot.grid(row=1, column=0, sticky="nsew")
        self.bars = TurnBars(body, theme)
        self.bars.grid(row=2, column=0, sticky="ew", pady=(theme.px(10), 0))
        body.columnconfigure(0, weight=1)
        body.rowconfigure(1, weight=1)

    def _offer(self, offering: bool) -> None:
        if offering == self._offering:
            return
        self._offering = offering
        columns = (self.left, self.middle, self.right)
        come, go = ((self.offer,), columns) if offering else (columns, (self.offer,))
        for part in come:
            part.grid()
        for part in go:
            part.grid_remove()

    def _give_room(self, wide: int) -> None:
        """The columns' shares of the width."""
        theme = self._theme
        if wide < 60:
            return
        left = min(theme.px(LEFT_PX * theme.type_scale), int(wide * LEFT_MOST))
        self.columnconfigure(0, minsize=0 if self._offering else left + theme.space("gutter"))
        self.left.column.canvas.configure(width=left - self.left.column.bar_room)
        part = RIGHT_MOST if theme.large else RIGHT_PART
        self.right.body.configure(width=int(wide * part) - self._beside)

    def _lit(self, number: int | None) -> None:
        self.plot.light(None if number is None else number + 1)

    def _turned(self, turn_deg: float) -> None:
        """The advised turn was made: a new pause, at the angle that comes of it."""
        last = last_angle_deg(self._shown[0]) if self._shown is not None else None
        self.left.begin(None if last is None else last + turn_deg)

    def _show_it(self) -> None:
        """Go to the first thing that is wrong."""
        if self._shown is not None:
            red: list[Any] = [one for one in self._shown[1].faults if one.found != "nothing"]
            if red:
                self.focus_place(red[0].place)
