"""Where the next turn of the nut would end, by how far it goes: still below, inside, past it."""

from __future__ import annotations

import tkinter as tk

from desktop.theme import Theme
from desktop.tokens import mixed
from desktop.widgets import draw_on_resize, written_on
from solver.crush import Tightening, Turn
from solver.report_words import risk_counts

OFFERED_DEG = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0)
TITLE, TITLE_SHORT = "Of 100, so many go past it if turned next by", "Past it, of 100, if turned by"


class TurnBars(tk.Canvas):
    """A column a turn; its top is the chance of going past, which stands over it in figures."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, takefocus=0, width=1,
            height=self.tall(theme),
        )  # fmt: skip
        self._theme = theme
        self._found: Tightening | None = None
        self._faint = False
        draw_on_resize(self, self._draw)

    @staticmethod
    def tall(theme: Theme) -> int:
        """How tall the bars would like to be [px]. theme: the look."""
        return theme.tall("label") + 2 * theme.tall("caption") + theme.px(72)

    def show(self, found: Tightening | None, *, faint: bool = False) -> None:
        """Draw them. found: the newest answer; faint: it is from before the last change."""
        if found is not self._found or faint != self._faint:
            self._found, self._faint = found, faint
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        self.delete("all")
        wide, tall = self.winfo_width(), self.winfo_height()
        if self._found is None or wide < 120 or tall < 60:
            return
        theme, c = self._theme, self._theme.colours
        turns = offered(self._found)
        least = max(theme.wide("caption", text) for turn in turns for text in _figures(turn))
        least += theme.px(8)
        while len(turns) > 2 and len(turns) * least > wide:
            turns = _thinned(turns, self._found)
        if not turns:
            return
        title = TITLE if theme.wide("label", TITLE) <= wide else TITLE_SHORT
        self.create_text(0, 0, text=title, font=theme.font("label"), fill=c.ink, anchor="nw")
        top = theme.tall("label") + theme.px(6)
        step = min(wide / len(turns), theme.px(76) * theme.type_scale)
        self._legend(theme.wide("label", title) + theme.px(16), wide)
        for place, turn in enumerate(turns):
            self._column(turn, (place + 0.5) * step, step * 0.62, (top, tall))

    def _column(self, turn: Turn, x: float, wide: float, ends: tuple[float, float]) -> None:
        theme, c = self._theme, self._theme.colours
        assert self._found is not None
        advised = self._found.advice is not None and turn == self._found.advice
        over, name = _figures(turn)
        top = ends[0] + theme.tall("caption") + theme.px(2)
        bottom = ends[1] - theme.tall("caption") - theme.px(3)
        ink = c.soft if self._faint else c.ink
        font = theme.font("label" if advised else "caption")
        self.create_text(
            x, top - theme.px(2), text=over, font=theme.font("caption"), anchor="s", tags="over",
            fill=ink,
        )  # fmt: skip
        colours = (c.bad, c.good, mixed(c.card, c.quiet, 0.45))
        if self._faint:
            colours = (c.quiet, mixed(c.card, c.quiet, 0.6), mixed(c.card, c.quiet, 0.3))
        at, left, right = top, round(x - wide / 2), round(x + wide / 2)
        for share, colour in zip((turn.over, turn.inside, turn.under), colours, strict=True):
            end = at + share * (bottom - top)
            if round(end) > round(at):
                self.create_rectangle(
                    left, round(at), right, round(end), fill=colour, width=0, tags="bar"
                )
            at = end
        if advised:
            ring = theme.px(2)
            self.create_rectangle(
                left - ring, round(top) - ring, right + ring, round(bottom) + ring,
                outline=c.quiet if self._faint else c.accent, width=ring, tags="advised",
            )  # fmt: skip
        self.create_text(
            x, ends[1], text=name, font=font, anchor="s", tags="turn",
            fill=c.accent if advised and not self._faint else ink,
        )  # fmt: skip

    def _legend(self, left: float, wide: int) -> None:
        """What the colours mean, from the top down as they stand, where there is room for it."""
        theme, c = self._theme, self._theme.colours
        parts = (("past", c.bad), ("inside", c.good), ("below", mixed(c.card, c.quiet, 0.45)))
        size = theme.px(9)
        need = sum(theme.wide("caption", name) + size + theme.px(16) for name, _ in parts)
        x = wide - need + theme.px(12)
        if x < left:
            return
        middle = theme.tall("label") / 2
        for name, colour in parts:
            self.create_rectangle(
                x, middle - size / 2, x + size, middle + size / 2, fill=colour, width=0
            )
            x += size + theme.px(4)
            self.create_text(
                x, middle, text=name, font=theme.font("caption"), fill=c.soft, anchor="w",
                tags="legend",
            )  # fmt: skip
            x += theme.wide("caption", name) + theme.px(12)


def offered(found: Tightening) -> tuple[Turn, ...]:
    """Choose the turns that are shown: round ones, and the advised one. found: the answer."""
    chosen: dict[float, Turn] = {}
    for wanted in OFFERED_DEG:
        near = min(found.turns, key=lambda turn: abs(turn.turn_deg - wanted), default=None)
        if near is not None and abs(near.turn_deg - wanted) <= 0.2 * wanted:
            chosen[near.turn_deg] = near
    if found.advice is not None:
        advice = found.advice
        near_ones = [turn for turn in chosen if abs(turn - advice.turn_deg) < 0.1 * advice.turn_deg]
        for turn_deg in near_ones:
            del chosen[turn_deg]
        chosen[advice.turn_deg] = advice
    ordered = tuple(chosen[turn] for turn in sorted(chosen))
    sure = [turn for turn in ordered if turn.over > 0.985]
    return tuple(turn for turn in ordered if turn not in sure[1:])  # past the first it is certain


def _thinned(turns: tuple[Turn, ...], found: Tightening) -> tuple[Turn, ...]:
    """One fewer, never the advised one: first those far below it, then those far above."""
    advice = found.advice
    others = [turn for turn in turns if turn != advice]
    if advice is None:
        gone = others[0]
    else:
        below = [turn for turn in others if turn.turn_deg < advice.turn_deg]
        above = [turn for turn in others if turn.turn_deg > advice.turn_deg]
        gone = below[0] if len(below) >= len(above) and below else above[-1]
    return tuple(turn for turn in turns if turn is not gone)


def _figures(turn: Turn) -> tuple[str, str]:
    """The chance of going past, of a hundred, and the turn."""
    said = risk_counts(turn.over).replace("fewer than ", "<").replace("more than ", ">")
    number, _, of = said.partition(" of ")
    if of != "100":
        number = "1" if number == "10" else "<1"
    return number, f"{turn.turn_deg:g}°"
