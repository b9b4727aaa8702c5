"""The offer to begin a crush spacer: what it is for, and the two things that have to be asked."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk

from desktop import crush_words as say
from desktop.crush_edits import begin_crush
from desktop.form_parts import Told
from desktop.theme import Theme
from desktop.widgets import Card, Segments, filled_button
from solver.report_tighten import crush_cautions
from solver.torque_units import torque_unit_shown

WIDE_PX = 560  # at 96 dpi and the usual type


class CrushOffer(ttk.Frame):
    """A card in the middle of nothing else."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, on_edit: Told) -> None:
        """parent: the stage; theme: the look; on_edit: called with the edit that begins one."""
        # A size of its own: Tk 8.6.13 lays out nothing anew whose content asks for one pixel.
        super().__init__(parent, width=theme.px(WIDE_PX), height=theme.px(WIDE_PX) // 2)
        self._theme, self._on_edit = theme, on_edit
        self.card = Card(self, theme, "panel")
        self.card.place(relx=0.5, rely=0.45, anchor="center")
        body = self.card.body
        gap = theme.px(10)
        self.title = ttk.Label(body, text=say.OFFER_TITLE, style="Heading.TLabel")
        self.title.pack(anchor="w", pady=(0, gap))
        self._texts = [ttk.Label(body, style="Card.TLabel", justify="left") for _ in range(3)]
        self._texts[2].configure(style="Soft.Card.TLabel")
        for text in self._texts[:2]:
            text.pack(anchor="w", pady=(0, gap))
        self.bearings = self._asked(
            "Which bearings", [(value, f"{word} bearings") for value, word in say.BEARINGS]
        )
        self.unit = self._asked(
            "Torque in", [(unit, torque_unit_shown(unit)) for unit in say.UNITS_ASKED]
        )
        self.button = filled_button(body, "Begin", self._begin)
        self.button.pack(anchor="w", pady=(gap, gap))
        self._texts[2].pack(anchor="w")
        self.button.state(["disabled"])
        self.bind("<Configure>", lambda event: self._wrap(event.width))

    def show(self, words: str, soft: str = "") -> None:
        """Show the offer. words: 'UK' or 'US'; soft: said under it, '' for nothing."""
        spacer = say.spacer_of(words)
        last = "\n\n".join(text for text in (crush_cautions(words)[0], soft) if text)
        texts = (say.OFFER.format(spacer=spacer), say.OFFER_FIRST.format(spacer=spacer), last)
        for label, text in zip(self._texts, texts, strict=True):
            label.configure(text=text)

    @property
    def parts(self) -> tuple[tk.Misc, ...]:
        """The parts that F6 goes through."""
        return (self,)

    def _asked(self, label: str, choices: list[tuple[str, str]]) -> Segments:
        theme, row = self._theme, ttk.Frame(self.card.body, style="Inner.TFrame")
        row.pack(anchor="w", pady=theme.px(4))
        wide = max(theme.wide("body", text) for text in ("Which bearings", "Torque in"))
        row.columnconfigure(0, minsize=wide + theme.px(14))
        ttk.Label(row, text=label, style="Card.TLabel").grid(row=0, column=0, sticky="w")
        segments = Segments(row, theme, choices, "", lambda _: self._asked_both(), ground="")
        for button in segments.buttons.values():
            for key in ("<Return>", "<KP_Enter>"):
                button.bind(key, lambda event: event.widget.invoke())
        segments.grid(row=0, column=1, sticky="w")
        return segments

    def _asked_both(self) -> None:
        both = self.bearings.value.get() and self.unit.value.get()
        self.button.state(["!disabled" if both else "disabled"])

    def _begin(self) -> None:
        edit = begin_crush(self.unit.value.get(), self.bearings.value.get())
        self._on_edit(edit, ("crush",), False)

    def _wrap(self, wide: int) -> None:
        theme = self._theme
        room = min(theme.px(WIDE_PX * theme.type_scale), wide - theme.px(80))
        for label in (self.title, *self._texts):
            label.configure(wraplength=room)
