"""The ways one by one: what each is likely to cost in all, what that is made of, how sure it is."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import TYPE_CHECKING, Any

from desktop.routes_words import (
    WAY_HINTS,
    WAYS,
    bare_money,
    done_by,
    figure_words,
    no_gain,
    parts_of,
    wait_words,
)
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.tokens import mixed

if TYPE_CHECKING:  # loaded with the first answer
    from solver.routes import Point, Route, Routes

BAR_PX = 9


class WayRow(Drawn):
    """One way: its mark, its name, what it comes to, a bar parted as that is, two lines of figures.

    It can be picked with pointer or keyboard.
    """

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        route: Route,
        routes: Routes,
        *,
        wide: int,
        most_cents: int,
        chosen: bool,
        seen: bool,
        faint: bool,
        on_pick: Callable[[Point], object],
    ) -> None:
        """parent: on a card; theme: the look; route: the way; routes: it is of, in the words shown;
        wide: room [px]; most_cents: the dearest, as long as the room; chosen: it is the advised
        one; seen: its best is looked at; faint: from before the last change; on_pick."""
        super().__init__(parent, theme, theme.colours.tint if seen else theme.colours.card)
        self._route, self._on_pick = route, on_pick
        self._faint, self._chosen, self._seen = faint, chosen, seen
        self._wide = wide
        self._ground = str(self.cget("bg"))
        bottom = self._draw(routes, most_cents)
        self.configure(width=wide, height=bottom)
        can = route.best is not None and not faint
        if can:
            self.configure(cursor="hand2", takefocus=1)
            for event in ("<Button-1>", "<Return>", "<KP_Enter>", "<space>"):
                self.bind(event, lambda _: self.invoke(), add="+")
        self.create_rectangle(
            1, 1, wide - 2, bottom - 2, outline=theme.colours.accent, width=theme.px(2),
            state="hidden", tags="ring",
        )  # fmt: skip
        self.bind("<FocusIn>", lambda _: self._ring("normal"), add="+")
        self.bind("<FocusOut>", lambda _: self._ring("hidden"), add="+")

    @property
    def kind(self) -> str:
        """The way it is of."""
        return self._route.kind

    def invoke(self) -> None:
        """Pick this way, as a click does."""
        if self._route.best is not None:
            self._on_pick(self._route.best)

    def _ring(self, state: str) -> None:
        self.itemconfigure("ring", state=state)

    def _fade(self, colour: str) -> str:
        return mixed(colour, self._ground, 0.5) if self._faint else colour

    def _draw(self, routes: Routes, most_cents: int) -> int:
        theme, c = self._theme, self._theme.colours
        pad = theme.px(8)
        top = theme.px(7)
        best, route = self._route.best, self._route
        same = no_gain(route.kind, best) if best is not None else "No plan fits this way."
        ink = self._fade(c.soft if same else c.accent if self._chosen else c.ink)
        mark = theme.px(20)
        middle = (pad + mark / 2 - theme.px(3), top + theme.tall("label") / 2)
        fill = ink if self._chosen and not self._faint else self._ground
        draw_mark(self, theme, route.kind, middle, ink, fill)
        self.create_text(
            pad + mark, top, text=WAYS[route.kind], font=theme.font("label"), fill=ink,
            anchor="nw", tags="name",
        )  # fmt: skip
        right = self._wide - pad
        if best is not None and not same:
            text = f"{bare_money(best.expected_cents)} {routes.costs.currency}".rstrip()
            self.create_text(
                right, top, text=self._fitted(text, mark), font=theme.font("label"), fill=ink,
                anchor="ne", tags="whole",
            )  # fmt: skip
        y: float = top + theme.tall("label") + theme.px(3)
        if best is None or same:
            return self._write(same, pad + mark, y, c.soft) + theme.px(6)
        y = self._draw_bar(best, routes, pad + mark, y, most_cents)
        y = self._write_figures(best, routes, pad + mark, y)
        return self._write(wait_words(best), pad + mark, y, c.ink) + theme.px(6)

    def _fitted(self, text: str, mark: float) -> str:
        """The amount, without its currency where the longest name leaves it no room."""
        theme = self._theme
        longest = max(theme.wide("label", name) for name in WAYS.values())
        room = self._wide - mark - theme.px(26) - longest
        return text if theme.wide("label", text) <= room else text.split(" ")[0]

    def _draw_bar(
        self, best: Point, routes: Routes, left: float, top: float, most_cents: int
    ) -> float:
        """What is paid, time and risk end to end on the scale that all ways share."""
        theme, c = self._theme, self._theme.colours
        room = self._wide - theme.px(8) - left
        tall = theme.px(BAR_PX)
        self.create_rectangle(left, top, left + room, top + tall, fill=c.hair, width=0)
        x = left
        for colour, cents in zip(self._colours(), _amounts(best, routes), strict=True):
            end = x + room * cents / most_cents if most_cents else x
            if end - x >= 1:
                self.create_rectangle(x, top, end, top + tall, fill=colour, width=0, tags="part")
            x = end
        return top + tall + theme.px(4)

    def _colours(self) -> tuple[str, str, str]:
        c = self._theme.colours
        parts = (c.accent, mixed(c.accent, c.card, 0.5), c.warn)
        return tuple(map(self._fade, parts))  # type: ignore[return-value]  # three of three

    def _write_figures(self, best: Point, routes: Routes, left: float, top: float) -> float:
        """The three parts in figures, each with the colour of its part of the bar."""
        theme = self._theme
        square, gap = theme.px(8), theme.px(14)
        x, y, tall = left, top, theme.tall("caption")
        figures = figure_words(best, routes.costs)
        for colour, text in zip(self._colours(), figures, strict=True):
            need = square + theme.px(5) + theme.wide("caption", text)
            if x > left and x + need > self._wide - theme.px(8):
                x, y = left, y + tall
            middle = y + tall / 2
            self.create_rectangle(
                x, middle - square / 2, x + square, middle + square / 2, fill=colour, width=0
            )
            self.create_text(
                x + square + theme.px(5), y, text=text, font=theme.font("caption"), anchor="nw",
                fill=self._fade(theme.colours.ink), tags="part",
            )  # fmt: skip
            x += need + gap
        return y + tall + theme.px(2)

    def _write(self, text: str, left: float, top: float, colour: str) -> int:
        """A line of figures. Returns where it ends."""
        theme = self._theme
        item = self.create_text(
            left, top, text=text, font=theme.font("caption"), fill=self._fade(colour), anchor="nw",
            width=self._wide - theme.px(8) - left,
        )  # fmt: skip
        return int(self.bbox(item)[3])


def _amounts(best: Point, routes: Routes) -> tuple[int, int, int]:
    parts = parts_of(best, routes.costs)
    return parts.paid, parts.time, parts.risk


class Promise(Drawn):
    """A way before anything is known of it: what it would ask for."""

    def __init__(self, parent: tk.Misc, theme: Theme, kind: str, wide: int) -> None:
        """parent: on a card; theme: the look; kind: of the way; wide: room [px]."""
        super().__init__(parent, theme, theme.colours.card)
        pad, mark, top = theme.px(8), theme.px(20), theme.px(7)
        soft = theme.colours.soft
        middle = (pad + mark / 2 - theme.px(3), top + theme.tall("label") / 2)
        draw_mark(self, theme, kind, middle, soft, theme.colours.card)
        self.create_text(
            pad + mark, top, text=WAYS[kind], font=theme.font("label"), fill=soft, anchor="nw"
        )
        item = self.create_text(
            pad + mark, top + theme.tall("label") + theme.px(2), text=WAY_HINTS[kind], fill=soft,
            font=theme.font("caption"), anchor="nw", width=wide - 2 * pad - mark,
        )  # fmt: skip
        self.configure(width=wide, height=int(self.bbox(item)[3]) + theme.px(6))


def draw_mark(
    canvas: tk.Canvas,
    theme: Theme,
    kind: str,
    middle: tuple[float, float],
    ink: str,
    fill: str,
) -> None:
    """Draw the mark of a way, as the chart has it.

    canvas; theme: the look; kind: of the way; middle: of the mark [px]; ink, fill: '#RRGGBB'.
    """
    from desktop.routes_paint import MARK_PX, corners  # here: it brings in Pillow

    if kind == "buy":  # Tk draws a rounder disc than any polygon
        half = MARK_PX * theme.zoom
        x, y = middle
        canvas.create_oval(
            x - half, y - half, x + half, y + half, fill=fill, outline=ink, width=theme.px(2)
        )
        return
    flat = [value for spot in corners(kind, middle, MARK_PX * theme.zoom) for value in spot]
    canvas.create_polygon(*flat, fill=fill, outline=ink, width=theme.px(2))


class WayRows(ttk.Frame):
    """All ways, the advised one marked; drawn anew from scratch at every `show`."""

    def __init__(self, parent: tk.Misc, theme: Theme, on_pick: Callable[[Point], object]) -> None:
        """parent: on a card; theme: the look; on_pick: called with a point."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._on_pick = theme, on_pick
        self.rows: list[WayRow] = []
        self._ghosts: list[Promise] = []  # in their place before there is an answer
        self._shown: tuple[Any, ...] = ()

    def show(
        self, routes: Routes | None, picked: Point | None, wide: int, *, faint: bool = False
    ) -> None:
        """Show every way. routes: in the words shown; picked: looked at, None for the advised one;
        wide: room [px]; faint: from before the last change."""
        now = (routes, picked, wide, faint)
        before = self._shown
        if before and now[0] is before[0] and now[1:] == before[1:]:
            return
        self._shown = now
        held = next((row.kind for row in self.rows if row == self.focus_displayof()), "")
        for row in self.rows:
            row.destroy()
        self.rows = []
        for ghost in self._ghosts:
            ghost.destroy()
        self._ghosts = []
        if wide < 80:
            return
        if routes is None:
            self._promise(wide)
            return
        bests = [route.best for route in routes.routes if route.best is not None]
        most = max((best.expected_cents for best in bests), default=0)
        looked = picked or (routes.best.best if routes.best is not None else None)
        for route in routes.routes:
            own = route.best is not None and done_by(route.best) == route.kind
            row = WayRow(
                self, self._theme, route, routes, wide=wide, most_cents=most,
                chosen=route is routes.best, seen=own and route.best == looked and not faint,
                faint=faint, on_pick=self._on_pick,
            )  # fmt: skip
            row.pack(anchor="w")
            self.rows.append(row)
            if row.kind == held:
                row.focus_set()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts from the top down."""
        return tuple(text for row in (*self.rows, *self._ghosts) for text in row.written())

    def _promise(self, wide: int) -> None:
        """What will stand here."""
        for kind in WAYS:
            ghost = Promise(self, self._theme, kind, wide)
            ghost.pack(anchor="w")
            self._ghosts.append(ghost)
