"""The bars at the foot: what the answer hangs on, largest first."""

from __future__ import annotations

import re
import tkinter as tk

from desktop.theme import Theme
from desktop.widgets import badge_looks, cut_to, draw_on_resize, written_on
from solver.findings import Answer, Share
from solver.report import largest_share, trade_words

LEAST_ROWS = 3


class SensitivityBars(tk.Canvas):
    """Sorted horizontal bars, names at the left, values at the bars' ends."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        super().__init__(
            parent,
            bg=theme.colours.card,
            highlightthickness=0,
            bd=0,
            takefocus=0,
            width=1,
            height=1,
        )
        self._theme = theme
        self._answer: Answer | None = None
        self._faint = False
        draw_on_resize(self, self._draw)

    def show(self, answer: Answer | None, old: bool = False) -> None:
        """Draw the bars of the result that the answer hangs on most.

        answer: its job in the words to be shown, or None; old: to be drawn faint.
        """
        self._answer, self._faint = answer, old
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        self.delete("all")
        wide, tall = self.winfo_width(), self.winfo_height()
        if wide < 80 or tall < 40:
            return
        theme, c = self._theme, self._theme.colours
        result, shares = hung_on(self._answer)
        title = "What the answer hangs on"
        if self._answer is not None and result:
            title = f"What the {trade_words(self._answer).result(result)} hangs on"
        self.create_text(0, 0, text=title, font=theme.font("title"), fill=c.ink, anchor="nw")
        top = theme.tall("title") + theme.px(7)
        if not shares:
            words = "With an answer, the readings that matter most stand here."
            self.create_text(
                0, top, text=words, font=theme.font("body"), fill=c.soft, anchor="nw", width=wide
            )
            return
        self._draw_rows(shares, wide, tall, top)

    def _draw_rows(self, shares: tuple[Share, ...], wide: int, tall: int, top: int) -> None:
        """As many rows as there is room for, at most the theme's ease between them."""
        theme = self._theme
        least = max(theme.tall("caption"), theme.space("badge") - theme.px(2)) + theme.px(1)
        fit = max((tall - top) // least, 1)
        rows = shares[:fit]
        step = min((tall - top) / len(rows), least + theme.px(10))
        name_at = theme.space("badge") + theme.px(8)
        names = [bar_name(share) for share in rows]
        name_wide = min(max(theme.wide("body", name) for name in names), wide * 0.42)
        bar_at = name_at + name_wide + theme.px(14)
        room = wide - bar_at - theme.px(10) - theme.wide("label", "100 %")
        largest = max(share.share for share in rows)
        for place, (share, name) in enumerate(zip(rows, names, strict=True)):
            middle = top + step * (place + 0.5)
            if share.reading is not None:
                self._badge(share.reading, middle)
            self.create_text(
                name_at,
                middle,
                text=cut_to(theme, name, name_wide, "body"),
                font=theme.font("body"),
                fill=theme.colours.soft if self._faint else theme.colours.ink,
                anchor="w",
                tags="name",
            )
            self._bar(share, place == 0, (bar_at, middle, room / largest if largest else 0.0))

    def _bar(self, share: Share, first: bool, where: tuple[float, float, float]) -> None:
        theme, c = self._theme, self._theme.colours
        left, middle, per_share = where
        half = theme.tall("caption") * 0.46
        end = left + max(share.share * per_share, theme.px(2))
        colour = c.quiet if self._faint or not first else c.accent
        self.create_rectangle(
            left, round(middle - half), end, round(middle + half), fill=colour, width=0, tags="bar"
        )
        text = f"{100 * share.share:.0f} %" if share.share >= 0.005 else "under 1 %"
        self.create_text(
            end + theme.px(8),
            middle,
            text=text,
            font=theme.font("label" if first else "body"),
            fill=c.soft if self._faint else c.ink,
            anchor="w",
            tags="value",
        )

    def _badge(self, number: int, middle: float) -> None:
        theme = self._theme
        x = theme.space("badge") / 2
        self.create_image(
            round(x), round(middle), image=badge_looks(self, theme)[False], tags="badge"
        )
        self.create_text(
            round(x),
            round(middle),
            text=str(number),
            font=theme.font("label"),
            fill=theme.colours.card,
            tags="badge",
        )


def hung_on(answer: Answer | None) -> tuple[str, tuple[Share, ...]]:
    """Find the result that the answer hangs on most, and its shares. answer: or None.

    Returns (result, shares from the largest down), ('', ()) where there is no budget.
    """
    first = largest_share(answer) if answer is not None else None
    if answer is None or first is None:
        return "", ()
    return first[0], dict(answer.budget)[first[0]]


def bar_name(share: Share) -> str:
    """Name an input beside its bar. share: of a budget. Returns text; its badge has the number."""
    name = share.input
    if share.reading is not None:
        name = re.sub(rf"\s*\(reading {share.reading}\)", "", name)
    return name[:1].upper() + name[1:]
