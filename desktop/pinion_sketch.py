"""A small section of the pinion for the set-up: what was chosen, drawn so that it can be compared.

wheel's axis |        nose  shoulder
     |       |    +-----+ race | housing
  ---+-------|----| head|=cone=|==spacer==|==tail      what more shim does and what plus of the
     |<--- mounting --->|                              mark means are arrows of their own
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from desktop.theme import Theme
from desktop.widgets import draw_on_resize, written_on
from solver.job import BEHIND_RACE, FLANGE, PINION_HEAD, PINION_SPACER, SITS, UNDER_CONE
from solver.report_words import TRADE_WORDS

if TYPE_CHECKING:
    from PIL import ImageDraw

SMOOTH = 3  # times too large
WIDE, TALL = 330.0, 156.0  # drawing units; the pinion's axis is at 0, up is plus
TOP = 72.0
AXIS, NOSE, SHOULDER, END = 14.0, 134.0, 184.0, 322.0
SHAFT, NOSE_RADIUS, HEAD_RADIUS = 10.0, 19.0, 32.0
BEARING, THICK = 26.0, 11.0  # along the shaft; of a stack
CONE_RADIUS, RACE_RADIUS, HOUSING_RADIUS, BOLT_RADIUS = 20.0, 34.0, 46.0, 58.0
LINE_AT, SHIM_AT, PLUS_AT = -72.0, 22.0, -36.0  # of the dimension, of both arrows
Box = tuple[float, float, float, float]  # from, to, inner and outer radius


class PinionSketch(tk.Canvas):
    """The sketch; redrawn at every `show` that changes it."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        self._scale = theme.zoom * (theme.type_scale if theme.large else 1.0)
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, takefocus=0, width=1,
            height=round(TALL * self._scale),
        )  # fmt: skip
        self._theme = theme
        self._shown: tuple[str, str, str, str, str] = ("", "", "", "", "UK")
        self._picture: Any = None  # Tk forgets a picture that nobody keeps
        draw_on_resize(self, self._draw)

    def show(self, pinion: object, words: str) -> None:
        """Show what is chosen. pinion: its table of the job; words: 'UK' or 'US'."""
        table = pinion if isinstance(pinion, Mapping) else {}
        marks = table.get("mark")
        mark = marks[0] if isinstance(marks, list) and marks else marks
        plus = mark.get("plus") if isinstance(mark, Mapping) else ""
        keys = (str(table.get(key, "")) for key in ("stack_sits", "measured_to", "spacer"))
        sits, face, spacer = keys
        now = (sits, face, spacer, str(plus or ""), words)
        if now != self._shown:
            self._shown = now
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read what is written on the sketch. Returns the texts in the order of writing."""
        return written_on(self)

    def arrow(self, what: str) -> int:
        """Tell which way an arrow points. what: 'more shim' or 'plus'. Returns 1 out, -1 in, 0."""
        sits, _, _, plus, _ = self._shown
        if what == "plus":
            return {"out": 1, "in": -1}.get(plus, 0)
        return 0 if sits not in SITS else 1 if sits == FLANGE else -1

    def _draw(self) -> None:
        self.delete("all")
        wide = self.winfo_width()
        if wide < 60:
            return
        most = self._theme.zoom * (self._theme.type_scale if self._theme.large else 1.0)
        self._scale = min(wide / WIDE, most)
        tall = round(TALL * self._scale)
        if str(self.cget("height")) != str(tall):
            self.configure(height=tall)  # it is drawn again once it has that
        self._paint(round(WIDE * self._scale), round(TALL * self._scale))
        self._letter()

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return x * self._scale, (TOP - y) * self._scale

    def _paint(self, wide: int, tall: int) -> None:
        from PIL import Image, ImageDraw, ImageTk  # late: not wanted before the first paint

        c = self._theme.colours
        image = Image.new("RGB", (wide * SMOOTH, tall * SMOOTH), c.card)
        pen = ImageDraw.Draw(image)
        sits, _, spacer, _, _ = self._shown
        cone = SHOULDER + (THICK if sits == UNDER_CONE else 0.0)
        web = cone + BEARING + (THICK if sits == BEHIND_RACE else 0.0)
        tail = 272.0
        housing, inner = (c.housing, c.carrier) if sits == FLANGE else (c.housing, c.housing)
        face = tail + BEARING - 14.0  # of the housing, under a cartridge's flange
        if sits == FLANGE:
            self._both(pen, (cone - 8.0, face, HOUSING_RADIUS - 4.0, BOLT_RADIUS), housing)
            self._both(pen, (cone - 8.0, face + THICK, RACE_RADIUS, HOUSING_RADIUS - 4.0), inner)
            self._both(pen, (face + THICK, tail + BEARING + 10.0, RACE_RADIUS, BOLT_RADIUS), inner)
        else:
            end = tail + BEARING + 4.0
            self._both(pen, (cone - 8.0, end, RACE_RADIUS, HOUSING_RADIUS), inner)
        self._both(pen, (web, tail, 26.0, RACE_RADIUS), inner)
        for left, lean in ((cone, 1.0), (tail, -1.0)):
            self._bearing(pen, left, lean)
        solid = spacer == "solid"
        end = tail - (6.0 if solid else 0.0)
        self._both(pen, (cone + BEARING, end, SHAFT, 15.0), c.carrier)
        if solid:
            self._both(pen, (end, tail, SHAFT, 18.0), self._theme.side(PINION_SPACER))
        head = ((NOSE, NOSE_RADIUS), (SHOULDER, HEAD_RADIUS), (SHOULDER, -HEAD_RADIUS),
                (NOSE, -NOSE_RADIUS))  # fmt: skip
        self._fill(
            pen, ((SHOULDER, SHAFT), (END, SHAFT), (END, -SHAFT), (SHOULDER, -SHAFT)), c.gear
        )
        self._fill(pen, head, c.gear)
        self._stack(pen, sits, cone, face)
        small = image.resize((wide, tall), Image.Resampling.LANCZOS)
        self._picture = ImageTk.PhotoImage(small, master=self)
        self.create_image(0, 0, image=self._picture, anchor="nw")

    def _stack(self, pen: ImageDraw.ImageDraw, sits: str, cone: float, face: float) -> None:
        """The stack at the head, where it was said to be."""
        boxes: dict[str, Box] = {
            BEHIND_RACE: (cone + BEARING, cone + BEARING + THICK, CONE_RADIUS + 4.0, RACE_RADIUS),
            UNDER_CONE: (SHOULDER, SHOULDER + THICK, SHAFT, CONE_RADIUS + 2.0),
            FLANGE: (face, face + THICK, HOUSING_RADIUS - 4.0, BOLT_RADIUS),
        }
        if sits in boxes:
            self._both(pen, boxes[sits], self._theme.side(PINION_HEAD))

    def _bearing(self, pen: ImageDraw.ImageDraw, left: float, lean: float) -> None:
        """A taper roller bearing. left: its edge; lean: 1 with the wide end at the left."""
        c = self._theme.colours
        self._both(pen, (left, left + BEARING, SHAFT, RACE_RADIUS), c.bearing)
        for side in (1.0, -1.0):
            near, far = (24.0, 20.0) if lean > 0 else (20.0, 24.0)
            roller = ((left + 5.0, near - 5.0), (left + BEARING - 5.0, far - 5.0),
                      (left + BEARING - 5.0, far + 5.0), (left + 5.0, near + 5.0))  # fmt: skip
            self._fill(pen, tuple((x, side * y) for x, y in roller), c.tooth)

    def _both(self, pen: ImageDraw.ImageDraw, box: Box, fill: str) -> None:
        """A ring cut open: one box above the axis and one below."""
        left, right, inner, outer = box
        for side in (1.0, -1.0):
            corners = ((left, inner), (right, inner), (right, outer), (left, outer))
            self._fill(pen, tuple((x, side * y) for x, y in corners), fill)

    def _fill(
        self, pen: ImageDraw.ImageDraw, corners: tuple[tuple[float, float], ...], fill: str
    ) -> None:
        placed = [self._at(x, y) for x, y in corners]
        flat = [round(part) * SMOOTH + SMOOTH // 2 for point in placed for part in point]
        pen.polygon(flat, fill=fill)
        wide = max(round(self._theme.zoom * SMOOTH), 1)
        pen.line([*flat, *flat[:2]], fill=self._theme.colours.edge, width=wide, joint="curve")

    def _letter(self) -> None:
        """The axes, the dimension, both arrows, and their words."""
        c, px = self._theme.colours, self._theme.px
        _, face, _, _, words = self._shown
        dash = (px(8), px(3), px(2), px(3))
        axes = ((AXIS, TOP - 4.0, AXIS, LINE_AT - 6.0), (AXIS - 10.0, 0.0, END, 0.0))
        for x0, y0, x1, y1 in axes:
            self.create_line(*self._at(x0, y0), *self._at(x1, y1), fill=c.soft, dash=dash)
        to = {"shoulder": SHOULDER, "nose": NOSE}.get(face)
        caption, wheel = self._theme.font("caption"), TRADE_WORDS[words].crown_wheel
        x, y = self._at(AXIS + 6.0, TOP - 2.0)
        self.create_text(x, y, text=f"{wheel}'s axis", anchor="nw", fill=c.soft, font=caption)
        if to is not None:
            radius = HEAD_RADIUS if face == "shoulder" else NOSE_RADIUS
            foot = [*self._at(to, -radius), *self._at(to, LINE_AT - 6.0)]
            self.create_line(*foot, fill=c.ink)
            ends = [*self._at(AXIS, LINE_AT), *self._at(to, LINE_AT)]
            self.create_line(*ends, fill=c.ink, arrow="both", arrowshape=self._tip)
            x, y = self._at((AXIS + to) / 2.0, LINE_AT)
            room = (to - AXIS) * self._scale - px(4)
            fits = self._theme.wide("caption", "mounting distance") <= room
            text = "mounting distance" if fits else "distance"
            self.create_text(x, y - px(2), text=text, anchor="s", fill=c.ink, font=caption)
        self._arrow("more shim", "more shim", SHIM_AT, self._theme.side(PINION_HEAD))
        self._arrow("plus", "plus on the mark", PLUS_AT, c.accent)

    @property
    def _tip(self) -> tuple[int, int, int]:
        px = self._theme.px
        return px(8), px(8), px(3)

    def _arrow(self, what: str, text: str, at: float, colour: str) -> None:
        """An arrow in the room before the pinion, its words above it."""
        way, px = self.arrow(what), self._theme.px
        if not way:
            return
        middle, half = (AXIS + NOSE) / 2.0 - 2.0, 22.0
        ends = [*self._at(middle - way * half, at), *self._at(middle + way * half, at)]
        shape = (px(11), px(11), px(5))
        self.create_line(
            *ends, fill=colour, width=px(3), arrow="last", arrowshape=shape, tags=(what,)
        )
        x, y = self._at(middle, at)
        self.create_text(
            x, y - px(5), text=text, anchor="s", fill=colour, font=self._theme.font("caption")
        )
