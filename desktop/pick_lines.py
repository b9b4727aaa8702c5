"""Choices one below the other, each with a line on what comes of it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Sequence
from tkinter import ttk
from typing import Any

from desktop.form_parts import Pick, Told
from desktop.theme import Theme
from solver.trouble import Place


class PickLines(Pick):
    """A choice a line; for few choices whose words alone would not tell them apart."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        place: Place,
        choices: Sequence[tuple[str, str, str]],
        told: Told,
        **looks: Any,
    ) -> None:
        """parent; theme; place: in the job; choices: (value, word, line) triples; told: called with
        the edit; looks: for Pick."""
        named = [(value, word) for value, word, _ in choices]
        super().__init__(parent, theme, place, named, told, **looks)
        self._theme, self._beside = theme, True
        self.columnconfigure(1, weight=1)
        self.lines: list[ttk.Label] = []
        for value, _, line in choices:
            self.buttons[value].configure(width=-1)
            said = ttk.Label(self, text=line, style="Hint.TLabel", justify="left")
            self.lines.append(said)
        self._lay()
        self.bind("<Configure>", lambda event: self._fit(event.width))

    def _lay(self) -> None:
        """Lines beside their choices, or below them where there is no room."""
        px = self._theme.px
        pairs = zip(self.buttons.values(), self.lines, strict=True)
        for at, (button, line) in enumerate(pairs):
            gap = px(4) if at else 0
            button.grid(row=2 * at, column=0, sticky="ew", padx=0, pady=(gap, 0))
            if self._beside:
                line.grid(row=2 * at, column=1, sticky="w", padx=(px(10), 0), pady=(gap, 0))
            else:
                line.grid(row=2 * at + 1, column=0, sticky="w", padx=0, pady=(px(2), 0))
        self.columnconfigure(0, weight=0 if self._beside else 1)

    def _fit(self, wide: int) -> None:
        if wide < 20:
            return
        names = max(button.winfo_reqwidth() for button in self.buttons.values())
        room = wide - names - self._theme.px(10)
        beside = room >= self._theme.px(170 * self._theme.type_scale)
        if beside != self._beside:
            self._beside = beside
            self._lay()
        for line in self.lines:
            wrap = room if beside else wide
            if str(line.cget("wraplength")) != str(wrap):
                line.configure(wraplength=wrap)
