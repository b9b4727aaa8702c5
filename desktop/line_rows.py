"""A line of dimensions drawn as a loop of arrows, a row each, closed by the gap."""

from __future__ import annotations

import tkinter as tk
from typing import Any

from desktop import line_words as say
from desktop.line_loop import Arrow, chain
from desktop.line_said import GAP, SEAT, Part, Said
from desktop.theme import Theme
from desktop.tokens import mixed
from desktop.widgets import badge_looks, cut_to, draw_on_resize, written_on

NAMES_PART, NAMES_NARROW = 0.46, 0.58  # of the width, at most; where there is little
NARROW_PX = 460  # at 96 dpi and the usual type
LEAST_PX, TALL_PX, SMALL_PX = 38, 22, 16  # shortest arrow; height of one, and where rows are low


class LineRows(tk.Canvas):
    """One line; as tall as its rows need, taller where it is given room."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, small: bool = False) -> None:
        """parent: on a card; theme: the look; small: with low rows, no head."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, width=1, height=1,
            takefocus=0 if small else 1,
        )  # fmt: skip
        self._theme, self._small = theme, small
        self._said: Said | None = None
        self._lit = ""
        self._number: int | None = None
        self._room = 0
        self._hover: tuple[str, int] | None = None  # what is under the pointer
        self._at: tuple[str, int] | None = None  # where the keyboard is
        self._picture: Any = None
        self.arrows: tuple[Arrow, ...] = ()  # as drawn, from the canvas's left, the gap last
        self.broken = False
        draw_on_resize(self, self._draw)

    def show(self, said: Said, lit: str = "", number: int | None = None) -> None:
        """Show a line. said: all of it; lit: name of the part in hand; number: of the reading that
        is, from 1, or None."""
        if (said, lit, number) != (self._said, self._lit, self._number):
            self._said, self._lit, self._number = said, lit, number
            stops = self._stops()
            if self._at is not None and self._at not in stops:
                self._at = stops[-1]
            if str(self.cget("height")) == "1":
                self.configure(
                    height=self.least_tall
                )  # so that a column can scroll to what is below
            self._draw()

    def light(self, name: str, number: int | None = None) -> None:
        """Light a part and put the others out. name: of it in the files, '' for none; number: of
        the reading in hand, from 1, or None."""
        if (name, number) != (self._lit, self._number):
            self._lit, self._number = name, number
            self._draw()

    def give_room(self, tall: int) -> None:
        """Let the drawing be taller than it needs. tall: room [px]."""
        if tall != self._room:
            self._room = tall
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the drawing. Returns the texts in the order of writing."""
        return written_on(self)

    @property
    def least_tall(self) -> int:
        """What the line needs, its rows as low as they can be [px]."""
        rows = len(self._said.parts) if self._said else 0
        return self._head() + rows * self._least_row() + self._below()

    def middle_of(self, at: int) -> tuple[int, int]:
        """Give the middle of an arrow. at: number of the part. Returns x, y [px]."""
        one = self.arrows[at]
        return round((one.start + one.end) / 2), round(self._row_y(at))

    def place_between(self, at: int) -> tuple[int, int]:
        """Give the middle of a place where a part can be put in. at: how many stand before it.

        Returns x, y [px].
        """
        return round(self._joint(at)), round(self._row(at)[0])

    def _stops(self) -> list[tuple[str, int]]:
        """Where the keyboard stops: a place before each part and after the last, and every row."""
        said = self._said
        if said is None:
            return []
        stops = []
        for at in range(len(said.parts)):
            if at <= said.terms:
                stops.append(("put in", at))
            stops.append(("part", at))
        return stops

    # Measures

    def _head(self) -> int:
        return 0 if self._small else self._theme.tall("title") + self._theme.px(10)

    def _below(self) -> int:
        """What is wanted of the gap, and how the keys work."""
        return 0 if self._small else 2 * self._theme.tall("caption")

    def _least_row(self) -> int:
        theme = self._theme
        if self._small:
            return max(theme.tall("label"), theme.space("badge")) + theme.px(4)
        return theme.tall("label") + theme.tall("caption") + theme.px(7)

    def _row(self, at: int) -> tuple[float, float]:
        """Top and height of a row [px]; the gap's has a line more."""
        last = self._said is not None and at == len(self._said.parts) - 1 and not self._small
        more = self._theme.tall("caption") if last else 0
        return self._head() + at * self._pitch, self._pitch + more

    def _row_y(self, at: int) -> float:
        top, tall = self._row(at)
        return top + tall / 2.0

    def _joint(self, at: int) -> float:
        """Where on its row the part of a number begins [px]."""
        return self.arrows[at].start if at < len(self.arrows) - 1 else self.arrows[-1].end

    def _draw(self) -> None:
        said, wide = self._said, self.winfo_width()
        if said is None or wide < 60:
            return
        theme = self._theme
        self.delete("all")
        need = self.least_tall
        rows = len(said.parts)
        spare = max(self._room - need, 0) / rows
        self._pitch = self._least_row() + min(spare, theme.px(20))
        tall = round(self._head() + rows * self._pitch) + self._below()
        if str(self.cget("height")) != str(tall):
            self.configure(height=tall)
        badges = any(one.badges for one in said.parts)
        self._names_at = theme.space("badge") + theme.px(7) if badges else 0
        narrow = wide < theme.px(NARROW_PX * theme.type_scale)
        room = round((NAMES_NARROW if narrow else NAMES_PART) * wide) - self._names_at
        self._names_wide = min(room, max(self._name_needs(one) for one in said.parts))
        self._place_arrows(said, wide)
        self._paint(said, wide, tall)
        if not self._small:
            self._write_head(said, wide)
            self._write_foot(wide, tall)
        for at, part in enumerate(said.parts):
            self._write_row(at, part)

    def _name_needs(self, part: Part) -> int:
        theme = self._theme
        figure = theme.wide("caption", part.figures[0])
        if self._small:
            return theme.wide("label", part.title) + theme.px(8) + figure
        least = theme.wide("caption", part.more[-1]) if part.more else 0
        return max(theme.wide("label", part.title), figure, least)

    def _place_arrows(self, said: Said, wide: int) -> None:
        theme = self._theme
        left = self._names_at + self._names_wide + theme.px(18)
        inside = said.parts[:-1]
        arrows, gap = chain(
            [one.um for one in inside], said.parts[-1].um, [one.way for one in inside],
            wide_px=wide - left - theme.px(10), least_px=theme.px(LEAST_PX),
        )  # fmt: skip
        placed = (*arrows, gap)
        self.arrows = tuple(Arrow(left + a.start, left + a.end, a.broken) for a in placed)
        self.broken = any(one.broken for one in placed if one.way)

    # Painting

    def _paint(self, said: Said, wide: int, tall: int) -> None:
        from desktop.line_paint import ArrowBrush  # late: brings in the image library

        theme, c = self._theme, self._theme.colours
        brush = ArrowBrush((wide, tall), c, c.card, max(theme.zoom, 1.0))
        lit = self._lit_part(said)
        for at in range(len(said.parts)):
            if at == lit or self._hover == ("part", at):
                top, high = self._row(at)
                colour = c.tint if at == lit else c.sunk
                brush.band((0, top + 1, wide, top + high - 1), colour, theme.px(6))
        self._paint_joints(brush, c)
        high = theme.px(SMALL_PX if self._small else TALL_PX)
        for at, (part, arrow) in enumerate(zip(said.parts, self.arrows, strict=True)):
            fill, edge, ground = self._colours(part, at == lit)
            whole = sum(part.pieces_um) or 1.0
            brush.arrow(
                arrow, self._row_y(at), high, fill=fill, edge=edge, both=part.kind == GAP,
                parts=[one / whole for one in part.pieces_um], ground=ground,
            )  # fmt: skip
        spot = next((one for one in (self._hover, self._at) if one and one[0] == "put in"), None)
        if spot is None and not said.terms:
            spot = ("put in", 0)  # nothing there yet: the only thing to do
        if spot is not None:
            x, y = self.place_between(spot[1])
            brush.plus(x, y, theme.px(8), c.accent, c.on_accent)
        self._picture = tk.PhotoImage(master=self, data=brush.as_ppm(), format="PPM")
        self.create_image(0, 0, image=self._picture, anchor="nw")
        if self._at is not None and self._at[0] == "part":
            top, high = self._row(self._at[1])
            self.create_rectangle(
                1, top + 1, wide - 2, top + high - 2, outline=c.accent, width=theme.px(2)
            )

    def _paint_joints(self, brush: Any, c: Any) -> None:
        """From each arrow's tip down to the next arrow, and from the first down to the gap."""
        last = len(self.arrows) - 1
        dash = float(self._theme.px(3))
        for at in range(last):
            x = self.arrows[at].end
            brush.rule(x, self._row_y(at), x, self._row_y(at + 1), c.quiet, dash)
        if last > 0:
            x = self.arrows[last].start
            brush.rule(x, self._row_y(0), x, self._row_y(last), c.quiet, dash)

    def _colours(self, part: Part, lit: bool) -> tuple[str, str, str]:
        """Of an arrow: its fill, its edge, and what is seen through a break."""
        c = self._theme.colours
        ground = c.tint if lit else c.card
        if part.kind == SEAT:
            side = self._theme.side(part.name)
            return (ground if part.um is None else side), side, ground
        if part.kind == GAP:
            return mixed(c.card, c.accent, 0.28 if lit else 0.12), c.accent, ground
        if part.um is None:
            return ground, c.soft, ground
        if lit:
            return c.accent, c.accent, ground
        return (c.carrier if part.way > 0 else c.gear), c.edge, ground

    def _lit_part(self, said: Said) -> int | None:
        lit = (at for at, one in enumerate(said.parts) if self._lit and one.name == self._lit)
        return next(lit, None)

    # Writing

    def _write_head(self, said: Said, wide: int) -> None:
        theme, c = self._theme, self._theme.colours
        title = cut_to(theme, said.title, wide, "title")
        self.create_text(0, 0, text=title, font=theme.font("title"), fill=c.ink, anchor="nw")
        room = wide - theme.wide("title", title) - theme.px(20)
        texts = say.NOT_TO_SCALE if self.broken else say.TO_SCALE
        if not any(one.um for one in said.parts):
            texts = say.NO_LENGTHS
        text = next((one for one in texts if theme.wide("caption", one) <= room), "")
        base = theme.font("title").metrics("ascent") - theme.font("caption").metrics("ascent")
        self.create_text(
            wide,
            base,
            text=text,
            font=theme.font("caption"),
            fill=c.soft,
            anchor="ne",
            tags="scale",
        )

    def _write_foot(self, wide: int, tall: int) -> None:
        """How the keys work, while the keyboard is here."""
        if self._at is None:
            return
        theme = self._theme
        text = next((one for one in say.WALK if theme.wide("caption", one) <= wide), "")
        self.create_text(
            0, tall, text=text, font=theme.font("caption"), fill=theme.colours.soft, anchor="sw",
            tags="walk",
        )  # fmt: skip

    def _write_row(self, at: int, part: Part) -> None:
        theme, c = self._theme, self._theme.colours
        y, x, wide = self._row_y(at), self._names_at, self._names_wide
        if part.badges:
            held = self._number in part.badges
            self._write_badge(self._number if held else part.badges[0], y, lit=held)
        ink = (
            theme.side(part.name) if part.kind == SEAT else c.accent if part.kind == GAP else c.ink
        )
        if self._small:
            room = wide - theme.px(8)
            figure = next(
                (one for one in part.figures if theme.wide("caption", one) <= room * 0.6), ""
            )
            name = cut_to(theme, part.title, room - theme.wide("caption", figure), "label")
            tags = ("part", part.kind)
            self.create_text(
                x, y, text=name, font=theme.font("label"), fill=ink, anchor="w", tags=tags
            )
            self.create_text(
                x + wide, y, text=figure, font=theme.font("caption"), fill=c.soft, anchor="e",
                tags=tags,
            )  # fmt: skip
            return
        figure = next((one for one in part.figures if theme.wide("caption", one) <= wide), "")
        texts = [(cut_to(theme, part.title, wide, "label"), "label", ink)]
        texts.append((figure or cut_to(theme, part.figures[-1], wide, "caption"), "caption", c.ink))
        if part.more:
            self._add_more(texts, part, wide)
        top = y - sum(theme.tall(font) for _, font, _ in texts) / 2
        for text, font, colour in texts:
            self.create_text(
                x, top, text=text, font=theme.font(font), fill=colour, anchor="nw",
                tags=("part", part.kind),
            )  # fmt: skip
            top += theme.tall(font)

    def _add_more(self, texts: list[tuple[str, str, str]], part: Part, wide: int) -> None:
        """What is wanted of the gap, after its figure or below it."""
        theme, c = self._theme, self._theme.colours
        figure, font, _ = texts[-1]
        both = f"{figure},  {part.more[0]}"
        if theme.wide(font, both) <= wide:
            texts[-1] = (both, font, c.ink)
        else:
            more = next((one for one in part.more if theme.wide(font, one) <= wide), part.more[-1])
            texts.append((cut_to(theme, more, wide, font), font, c.soft))

    def _write_badge(self, number: int | None, y: float, *, lit: bool) -> None:
        theme, c = self._theme, self._theme.colours
        x = theme.space("badge") / 2
        tags = ("badge", f"badge-{number}", *(("lit",) if lit else ()))
        self.create_image(x, y, image=badge_looks(self, theme)[lit], tags=tags)
        self.create_text(
            x,
            y,
            text=str(number),
            font=theme.font("label"),
            fill=c.on_accent if lit else c.card,
            tags=tags,
        )
