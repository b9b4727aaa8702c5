"""The foot of the window: what the answer hangs on, what to do about it, where builds land."""

from __future__ import annotations

import tkinter as tk
from dataclasses import replace
from tkinter import ttk

from desktop.bars import SensitivityBars
from desktop.build_map import BuildMap
from desktop.theme import Theme
from desktop.worth_list import WorthList
from solver.findings import Answer, Worth
from solver.report import do_about, hangs_on_sentence

SHARES = (46, 24, 30)  # of the width: bars, words, map
SHARES_LARGE = (40, 32, 28)


class Charts(ttk.Frame):
    """Bars, one or two sentences and the map, side by side; goes into the body of a card."""

    def __init__(self, parent: tk.Misc, theme: Theme, build_map: BuildMap) -> None:
        """parent: body of a card; theme: the look; build_map: the window's one map."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self.map = theme, build_map
        self.bars = SensitivityBars(self, theme)
        words = ttk.Frame(self, style="Inner.TFrame")
        self._map_place = tk.Frame(self, bg=theme.colours.card, width=1, height=1)
        self._map_place.pack_propagate(False)
        words.pack_propagate(False)
        self._answer: Answer | None = None
        shares = SHARES_LARGE if theme.large else SHARES
        gap = theme.space("panel_x")
        for column, (part, share) in enumerate(
            zip((self.bars, words, self._map_place), shares, strict=True)
        ):
            part.grid(row=0, column=2 * column, sticky="nsew")
            self.columnconfigure(2 * column, weight=share, uniform="foot")
            if column:
                line = tk.Frame(self, bg=theme.colours.hair, width=theme.px(1))
                line.grid(row=0, column=2 * column - 1, sticky="ns", padx=gap)
        self.rowconfigure(0, weight=1)
        self._title = ttk.Label(words, text="Worth doing next", style="Title.TLabel")
        self._title.pack(anchor="w", pady=(0, theme.px(5)))
        self.words = ttk.Label(words, style="Card.TLabel")
        self.worth = WorthList(words, theme)
        self._worth: Worth | None = None
        words.bind("<Configure>", self._wrap)
        build_map.put_in(self._map_place, theme)

    def show(
        self,
        answer: Answer | None,
        unit: str,
        words: str,
        old: bool = False,
        worth: Worth | None = None,
    ) -> None:
        """Draw all three anew.

        answer: the newest or None; unit: 'mm', 'um', 'in' or 'thou'; words: 'UK' or 'US'; old: it
        is from before the last change, and drawn faint; worth: of further readings, once known.
        """
        if answer is not None:
            answer = replace(answer, job=replace(answer.job, unit=unit, words=words))
        self._answer, self._worth = answer, worth
        self.bars.show(answer, old)
        self.map.show(answer, old)
        self._say()

    @property
    def least_height(self) -> int:
        """What the foot needs for its title and four bars or lines of words [px]."""
        theme = self._theme
        row = max(theme.tall("body"), theme.space("badge"))
        return theme.tall("title") + theme.px(7) + 4 * (row + theme.px(3))

    def _say(self) -> None:
        """What further readings are worth; until that is known, what the answer hangs on."""
        answer = self._answer
        told = answer is not None and self._worth is not None and bool(self._worth.readings)
        if told and answer is not None and answer.agreement.state != "disagree":
            self.words.pack_forget()
            self.worth.pack(fill="both", expand=True)
            self.worth.show(answer, self._worth)
            return
        self.worth.pack_forget()
        self.words.pack(anchor="w")
        if answer is None or not answer.budget:
            self.words.configure(
                text="With an answer, the reading that is worth taking again is named here.",
                style="Soft.Card.TLabel",
            )
            return
        self.words.configure(style="Card.TLabel")
        todo, why = do_about(answer), hangs_on_sentence(answer)
        self.words.configure(text=f"{todo}\n\n{why}")
        self.update_idletasks()
        room = self.words.master.winfo_height() - self._title.winfo_reqheight()
        if self.words.winfo_reqheight() > room - self._theme.px(5):
            self.words.configure(text=todo)

    def _wrap(self, event: tk.Event[tk.Misc]) -> None:
        self.words.configure(wraplength=event.width)
        self.after_idle(self._say)
