"""One side of a plan as the answer shows it: word, total, and pieces as bars on a shared scale."""

from __future__ import annotations

import tkinter as tk

from desktop.theme import Theme
from desktop.tokens import mixed, trade_name
from desktop.widgets import written_on
from solver.plan import Piece, SeatStack
from solver.report_words import UNIT_SHOWN, bare_length

NEW = "new"  # id of the piece that a mend adds


class Drawn(tk.Canvas):
    """A canvas as wide as its place and as tall as what is drawn on it."""

    def __init__(self, parent: tk.Misc, theme: Theme, ground: str) -> None:
        super().__init__(
            parent, bg=ground, highlightthickness=0, bd=0, width=1, height=1, takefocus=0
        )
        self._theme = theme

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)


class SideBlock(Drawn):
    """One side: its word, its total in display size, its pieces as bars, which ones to take."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        stack: SeatStack,
        *,
        wide: int,
        most_um: float,
        unit: str,
        words: str,
        old: bool = False,
        pending: bool = False,
        under: str = "",
    ) -> None:
        """parent: any widget; theme: the look; stack: of a plan; wide: room [px]; most_um: the
        thickest stack, as wide as the room [µm]; unit, words: as shown; old: to be drawn faint;
        pending: no plan yet; under: where the shims sit, in words, '' to leave it out."""
        super().__init__(parent, theme, theme.colours.card)
        self._old = old
        self._none = "–" if pending else "0"
        self._unit = unit
        bar_top, room = self._write_head(stack, wide, words)
        bar_tall = theme.tall("label") + theme.px(10)
        self._draw_bars(stack, wide, most_um, bar_top, bar_tall)
        bottom = bar_top + bar_tall
        bottom = self._write_taken(stack, wide, room, bottom)
        self.configure(width=wide, height=self._write_under(under, wide, bottom))

    def _write_under(self, under: str, wide: int, bottom: int) -> int:
        """Where the shims sit, below everything else."""
        if not under:
            return bottom
        theme = self._theme
        self.create_text(
            0,
            bottom + theme.px(3),
            text=under[:1].upper() + under[1:],
            font=theme.font("caption"),
            fill=self._faint(theme.colours.soft),
            anchor="nw",
            width=wide,
            tags="under",
        )
        return int(self.bbox("under")[3])

    def _write_taken(self, stack: SeatStack, wide: int, room: tuple[int, int], bottom: int) -> int:
        """Which pieces to take: beside the word where there is room, else under the bars."""
        theme, text = self._theme, taken(stack.pieces)
        gap = theme.px(8)
        beside = theme.wide("caption", text) + 2 * gap <= room[1] - room[0]
        base = self._base - theme.font("caption").metrics("ascent")
        self.create_text(
            room[0] + gap if beside else 0,
            base if beside else bottom + theme.px(3),
            text=text,
            font=theme.font("caption"),
            fill=self._faint(theme.colours.soft),
            anchor="nw",
            width=0 if beside else wide,
            tags="taken",
        )
        return bottom if beside or not text else int(self.bbox("taken")[3])

    def _faint(self, colour: str) -> str:
        return mixed(colour, self._theme.colours.card, 0.5) if self._old else colour

    def _write_head(self, stack: SeatStack, wide: int, words: str) -> tuple[int, tuple[int, int]]:
        """The word at the left, the total at the right; what is under them and free between."""
        theme, c = self._theme, self._theme.colours
        unit = UNIT_SHOWN[self._unit]
        total = bare_length(stack.thickness_um, self._unit, True) if stack.pieces else self._none
        name = trade_name(stack.seat, words)
        free = wide - theme.wide("caption", unit) - theme.px(5) - theme.wide("display", total)
        # Where both do not fit on one line the word stands above its total.
        above = theme.wide("label", name) + theme.px(8) > free
        self._base = theme.font("display").metrics("ascent")
        self._base += theme.tall("label") if above else 0
        base = self._base
        self.create_text(
            0,
            0 if above else base - theme.font("label").metrics("ascent"),
            text=name,
            font=theme.font("label"),
            fill=self._faint(theme.side(stack.seat)),
            anchor="nw",
        )
        self.create_text(
            wide,
            base - theme.font("caption").metrics("ascent"),
            text=unit,
            font=theme.font("caption"),
            fill=self._faint(c.soft),
            anchor="ne",
        )
        self.create_text(
            wide - theme.wide("caption", unit) - theme.px(5),
            base - theme.font("display").metrics("ascent"),
            text=total,
            font=theme.font("display"),
            fill=self._faint(c.ink),
            anchor="ne",
            tags="total",
        )
        gap = theme.px(8)
        under = base + theme.font("display").metrics("descent") // 2 + theme.px(2)
        return under, (-gap if above else theme.wide("label", name), free)

    def _draw_bars(self, stack: SeatStack, wide: int, most_um: float, top: int, tall: int) -> None:
        """Every piece as long as it is thick; what the other side has more is left grey."""
        theme, c = self._theme, self._theme.colours
        gap = theme.px(2)
        colour = self._faint(theme.side(stack.seat))
        self.create_rectangle(0, top, wide, top + tall, fill=c.hair, width=0, tags="room")
        at = 0.0
        for piece in stack.pieces:
            for _ in range(piece.count):
                end = at + wide * piece.thickness_um / most_um if most_um else at
                end = min(end, float(wide))
                self._draw_piece(piece, (at, top, end, top + tall), colour)
                at = end
        if stack.pieces and at < wide - gap:
            self.create_rectangle(at - gap, top, at, top + tall, fill=c.card, width=0)

    def _draw_piece(
        self, piece: Piece, box: tuple[float, float, float, float], colour: str
    ) -> None:
        theme, c = self._theme, self._theme.colours
        left, top, right, bottom = box
        gap = theme.px(2) if right < self._room() - 1 else 0
        new = piece.id == NEW
        self.create_rectangle(left, top, right, bottom, fill=c.card, width=0)
        self.create_rectangle(
            left + (1 if new else 0),
            top + (1 if new else 0),
            right - max(gap, 2 if new else 0),
            bottom - (1 if new else 0),
            fill=c.card if new else colour,
            outline=colour,
            width=2 if new else 0,
            dash=(4, 3) if new else (),
            tags="piece",
        )
        text = bare_length(piece.thickness_um, self._unit, True)
        if theme.wide("label", text) + theme.px(4) <= right - gap - left:
            self.create_text(
                (left + right - gap) / 2,
                (top + bottom) / 2,
                text=text,
                font=theme.font("label"),
                fill=colour if new else c.on_accent,
            )

    def _room(self) -> float:
        box = self.bbox("room")
        return float(box[2]) if box else 0.0


def taken(pieces: tuple[Piece, ...]) -> str:
    """Name the pieces to take. pieces: of one seat. Returns text such as 'A7 + 2 x B3'."""
    names = ("a new piece" if p.id == NEW else p.id for p in pieces)
    return " + ".join(
        f"{piece.count} x {name}" if piece.count > 1 else name
        for piece, name in zip(pieces, names, strict=True)
    )
