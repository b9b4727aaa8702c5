"""Measure again, or fit it: what the next reading would bring, best first, on a few lines."""

from __future__ import annotations

import tkinter as tk
from typing import Any

from desktop.theme import Theme
from desktop.widgets import cut_to, draw_on_resize, written_on
from solver.findings import LEAST_GAIN, Answer, Further, Worth
from solver.report_words import counts
from solver.report_worth import advised, further_words, worth_advice

AS_IT_IS = "as it is"


class WorthList(tk.Canvas):
    """The advice, and below it a line a reading: its name and builds of a hundred."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        ground = theme.colours.card
        super().__init__(
            parent, bg=ground, highlightthickness=0, bd=0, takefocus=0, width=1, height=1
        )
        self._theme = theme
        self._shown: tuple[Answer, Worth] | None = None
        self._tip: object = None
        draw_on_resize(self, self._draw)

    def show(self, answer: Answer | None, worth: Worth | None) -> None:
        """Draw the worth of further readings. answer: in the words to be shown; worth: of it."""
        self._shown = (answer, worth) if answer is not None and worth is not None else None
        if self._tip is None:
            from desktop.tips import Tip  # here: a library the first paint can do without

            self._tip = Tip(self, self._theme, self._why)
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        self.delete("all")
        wide, tall = self.winfo_width(), self.winfo_height()
        if self._shown is None or wide < 80 or tall < 20:
            return
        answer, worth = self._shown
        theme, c = self._theme, self._theme.colours
        lead, about = advised(answer, worth)
        met = lead == "Fit it"
        top = theme.tall("label") + theme.px(4)
        self.create_text(
            0, 0, text=_lead(lead, about), font=theme.font("label"),
            fill=c.good if met else c.warn, anchor="nw",
        )  # fmt: skip
        least = theme.tall("body") + theme.px(1)
        fit = max(int((tall - top) // least) - 1, 0)
        rows = self._rows(answer, worth, about, fit)
        step = min((tall - top) / max(len(rows), 1), least + theme.px(6))
        for place, row in enumerate(rows):
            self._row(row, top + step * (place + 0.5), wide)

    def _rows(
        self, answer: Answer, worth: Worth, about: Further | None, fit: int
    ) -> list[tuple[str, float, bool]]:
        """Name, chance and whether it is the advised one; the one that is first comes first."""
        kept: list[Further] = [] if about is None else [about]
        for one in worth.readings:  # the best of each kind of work on one thing
            if not any(_same(one, other) for other in kept):
                kept.append(one)
        kept = sorted(kept[:fit], key=lambda one: -one.chance)
        named = [(further_words(answer, one, short=True), one.chance, one is about) for one in kept]
        return [(AS_IT_IS, worth.now, about is None), *named]

    def _row(self, row: tuple[str, float, bool], middle: float, wide: int) -> None:
        """One line: what gains nothing is soft, what is advised is bold."""
        assert self._shown is not None
        name, chance, first = row
        theme, c = self._theme, self._theme.colours
        font = "label" if first else "body"
        value = counts(chance).replace("more than ", "> ").replace("fewer than ", "< ")
        room = wide - theme.wide(font, value) - theme.px(12)
        idle = chance < self._shown[1].now + LEAST_GAIN and not first
        text: dict[str, Any] = {"font": theme.font(font), "fill": c.soft if idle else c.ink}
        shown = cut_to(theme, name[:1].upper() + name[1:], room, font)
        self.create_text(0, middle, text=shown, anchor="w", tags="name", **text)
        self.create_text(wide, middle, text=value, anchor="e", tags="value", **text)

    def _why(self) -> str:
        """The advice in full, for the tip."""
        return worth_advice(*self._shown) if self._shown is not None else ""


def _lead(lead: str, about: Further | None) -> str:
    return f"{lead}, or be surer:" if lead == "Fit it" and about else f"{lead}."


def _same(one: Further, other: Further) -> bool:
    """Whether two are the same work, done once or three times."""
    return (one.kind, one.reading, one.lot) == (other.kind, other.reading, other.lot)
