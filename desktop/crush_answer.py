"""The right of the crush spacer's stage: what to do with the nut, in words to be read from afar."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from functools import partial
from tkinter import ttk

from desktop.column import ScrollColumn
from desktop.crush_said import Said
from desktop.shout_box import caution_box, shout_box
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.torque_strip import TorqueStrip
from desktop.widgets import draw_on_resize, filled_button
from solver.crush import Tightening
from solver.report_words import counts

COPY = "Copy as text"


class CrushAnswer(ttk.Frame):
    """The answer, drawn anew from scratch at every `show`; goes into the body of a card."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_turned: Callable[[float], object],
        on_first: Callable[[], object],
        on_copy: Callable[[], object],
        on_show: Callable[[], object],
    ) -> None:
        """parent: body of a card; theme: the look; on_turned: called with how far the mechanic says
        that the nut was turned, 0 to read again where it is [degrees]; on_first: begins the first
        pause; on_copy: copies the answer; on_show: goes to the first fault."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme = theme
        self._on_turned, self._on_first = on_turned, on_first
        self._on_copy, self._on_show = on_copy, on_show
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(row=0, column=0, columnspan=2, sticky="nsew", pady=(0, theme.px(8)))
        self.button = filled_button(self, COPY, self._press)
        self.button.grid(row=1, column=0, sticky="ew")
        self.columnconfigure(0, weight=1)
        self.columnconfigure(1, minsize=self.column.bar_room)
        self.rowconfigure(0, weight=1)
        self._press_does: Callable[[], object] = on_copy
        self._shown: tuple[Said, Tightening | None, bool] | None = None
        self._drawn_at = (0, 0)
        draw_on_resize(self, self._resized)

    def show(self, said: Said, found: Tightening | None, *, faint: bool = False) -> None:
        """Show it. said: the words; found: the answer whose figures go with them; faint: the
        figures are from before the last change."""
        if (said, found, faint) != self._shown:
            self._shown = (said, found, faint)
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the panel. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: tk.Misc) -> None:
            if isinstance(widget, Drawn):
                texts.extend(widget.written())
            elif isinstance(widget, ttk.Label | ttk.Button):
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self)
        return tuple(text for text in texts if text)

    def _press(self) -> None:
        self._press_does()

    def _resized(self) -> None:
        if (self.winfo_width(), self.winfo_height()) != self._drawn_at:
            self._draw()

    def _draw(self) -> None:
        if self._shown is None or self.winfo_width() < 40:
            return
        said, found, faint = self._shown
        self._drawn_at = (self.winfo_width(), self.winfo_height())
        self._wide = self._drawn_at[0] - self.column.bar_room
        for child in self.column.body.winfo_children():
            child.destroy()
        self._shout(said)
        if found is not None:
            self._now(found, faint)
        for line in said.lines:
            self._say(line, "Card.TLabel")
        self._cautions(said.cautions)
        for line in said.notes:
            self._say(line, "Soft.Card.TLabel")
        self._set_button(said, found, faint)
        self.column.catch_wheel()

    def _shout(self, said: Said) -> None:
        """What to do, as large as it fits, on the tint of how things stand."""
        box = shout_box(
            self.column.body, self._theme, said.shout, said.then, tone=said.tone, wide=self._wide
        )
        box.pack(fill="x", pady=(0, self._theme.px(10)))

    def _now(self, found: Tightening, faint: bool) -> None:
        """The torque now with its window, and how likely it is inside."""
        theme = self._theme
        strip = TorqueStrip(self.column.body, theme, found, self._wide, faint)
        strip.pack(anchor="w", pady=(0, theme.px(6)))
        chance = f"Inside the window: {counts(found.chance_in)}."
        if found.state == "over":
            chance = f"Past the window: {counts(found.chance_over)}."
        if found.crush.pauses:
            self._say(chance, "Soft.Card.TLabel" if faint else "Label.TLabel")

    def _say(self, text: str, style: str) -> None:
        label = ttk.Label(self.column.body, text=text, style=style, wraplength=self._wide)
        label.pack(anchor="w", pady=(0, self._theme.px(6)))

    def _cautions(self, cautions: tuple[str, ...]) -> None:
        """What hurts people and spacers, each with its mark."""
        if cautions:
            theme = self._theme
            box = caution_box(self.column.body, theme, cautions, self._wide)
            box.pack(fill="x", pady=(theme.px(4), theme.px(8)))

    def _set_button(self, said: Said, found: Tightening | None, faint: bool) -> None:
        """The one filled button: what to do next in the job, else the answer is copied."""
        words, does = self._next_step(said, found, faint)
        if self._theme.wide("label", words) > self._wide - self._theme.px(24):
            words = words.partition(":")[0]
        self._press_does = does if does is not None else self._on_copy
        self.button.configure(text=words)
        self.button.state(["!disabled" if does is not None else "disabled"])

    def _next_step(
        self, said: Said, found: Tightening | None, faint: bool
    ) -> tuple[str, Callable[[], object] | None]:
        """Words of the button and what it does, None for nothing to do."""
        if found is None or faint:
            if said.red:
                return "Show it", self._on_show
            return ("Add the first pause", self._on_first) if said.first else (COPY, None)
        if found.state == "tighten" and found.advice is not None:
            turn = found.advice.turn_deg
            return f"I turned it {turn:g}°: read again", partial(self._on_turned, turn)
        if found.state == "measure":
            return "Read again: at the same angle", partial(self._on_turned, 0.0)
        return COPY, self._on_copy
