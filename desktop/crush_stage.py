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
from desktop.form_parts import Line, Told
from desktop.ready_asking import ReadyAsking
from desktop.ready_block import ReadyBlock
from desktop.ready_said import no_pinion
from desktop.theme import Theme
from desktop.turn_bars import TurnBars
from desktop.widgets import Card
from solver.job_ready import TABLE
from solver.trouble import Place

LEFT_PX = 348  # at 96 dpi and the usual type: what a pause is written on
LEFT_MOST, RIGHT_PART, RIGHT_MOST = 0.37, 0.26, 0.29  # of the width
LEAST_PLOT_PX = 190  # below it the bars make room
GATE_PART = 0.46  # of the width, beside the offer


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
        self.gate = ReadyBlock(self, theme, on_edit=on_edit, on_fold=self._lay_out)
        self.left = PausesPanel(self, theme, on_edit=on_edit, on_focus=self._lit)
        self.middle = Card(self, theme, "panel")
        self.right = Card(self, theme, "panel")
        self.right.body.pack_propagate(False)
        apart: dict[str, Any] = {"sticky": "nsew", "pady": (0, gut)}
        self.left.grid(row=0, column=0, rowspan=2, padx=(gut, 0), **apart)
        self.middle.grid(row=1, column=1, padx=(0, gut), **apart)
        self.right.grid(row=0, column=2, rowspan=2, padx=(0, gut), **apart)
        self.columnconfigure(1, weight=1)
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
        self._offering = self._gated = False
        self.bind("<Configure>", lambda event: self._give_room(event.width))

    def show(
        self, table: Table, asking: CrushAsking, ready: ReadyAsking, unit: str, words: str
    ) -> None:
        """Show how everything stands. table: the job's; asking: its crush spacer; ready: whether it
        may be crushed; unit, words: as shown."""
        self._shown = (table, asking)
        self._offering, self._gated = crush_of(table) is None, ready.state != "none"
        if self._gated:
            self.gate.show(table, ready, unit, words)
        self._lay_out()
        soft = no_pinion(words) if "pinion" not in table else ""
        if self._offering:
            self.offer.show(words, soft)
            return
        self.no_pinion.say(soft)
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
        gate = (self.gate,) if self._gated else ()
        return (*gate, self.offer) if self._offering else (self.left, *gate, self.right)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        return self.gate.held or (() if self._offering else self.left.held)

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on the field of a place, in sight. place: into the job."""
        if place[:1] == (TABLE,):
            if self._gated:
                self.gate.focus_place(place)
        elif not self._offering:
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
        self.no_pinion = Line(body, theme, "Hint.TLabel").at(row=3, column=0, pady=(theme.px(8), 0))
        body.columnconfigure(0, weight=1)
        body.rowconfigure(1, weight=1)

    def _lay_out(self) -> None:
        """What is in sight: the open gate stands in place of the plot, folded above it."""
        gut, opened = self._theme.space("gutter"), self._gated and self.gate.open
        left = gut if self._offering else 0
        if self._offering:
            first, rows = 1 if self._gated else 0, 2
            self.offer.grid(row=0, column=first, columnspan=3 - first, rowspan=2, sticky="nsew")
        else:
            rows = 1
            self.offer.grid_remove()
        for part, there in (
            (self.left, not self._offering),
            (self.right, not self._offering),
            (self.middle, not self._offering and not opened),
        ):
            if there:
                part.grid()
            else:
                part.grid_remove()
        if self._gated:
            self.gate.grid(
                row=0, column=0 if self._offering else 1, rowspan=rows,
                sticky="nsew" if opened else "new", padx=(left, gut), pady=(0, gut),
            )  # fmt: skip
        else:
            self.gate.grid_remove()
        self.rowconfigure(0, weight=1 if opened or self._offering else 0)
        self.rowconfigure(1, weight=0 if opened and not self._offering else 1)
        self._give_room(self.winfo_width())

    def _give_room(self, wide: int) -> None:
        """The columns' shares of the width."""
        theme = self._theme
        if wide < 60:
            return
        left = min(theme.px(LEFT_PX * theme.type_scale), int(wide * LEFT_MOST))
        beside = left + theme.space("gutter")
        if self._offering:
            beside = int(wide * GATE_PART) if self._gated else 0
        self.columnconfigure(0, minsize=beside)
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
