"""One tooth of the wheel, both flanks: the pattern as found, where it should be, where it goes.

      drive (convex)                 coast (concave)       the two are seen from opposite sides
    toe +----------+ heel        heel +----------+ toe     of the tooth, as one walks round it

Each flank has nine zones to click at. Painted larger than wanted and brought down smooth.
"""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from desktop.theme import Theme
from desktop.tokens import mixed
from desktop.tooth_face import Face
from desktop.widgets import draw_on_resize, written_on
from solver.pattern import GOOD, PatternAdvice, Spot, drawn_at
from solver.pattern_rules import FLANKS, GEARS, HOBBED, MILLED, Pattern
from solver.report_tooth import CURVE, flank_words

if TYPE_CHECKING:
    from PIL import ImageDraw

SMOOTH = 3  # times too large
TAPER = {MILLED: 0.62, HOBBED: 1.0}  # depth at the toe, of that at the heel; drawn, not measured
TAPER_UNKNOWN = 0.82
BLOT = (0.38, 0.4)  # half sizes of a pattern, of half a flank
LONG = 2.6  # most that a flank is drawn longer than deep
LAND = 0.17  # the tooth's top, of half its depth
NOT_SEEN = "click where it lies"
KEYS = ("as found", "where it should be", "where the move would take it")
Told = Callable[[str, str, str], object]  # flank, along, across


class Tooth(tk.Canvas):
    """Both flanks with their zones; redrawn at every `show`."""

    def __init__(self, parent: tk.Misc, theme: Theme, told: Told) -> None:
        """parent: any widget on a card; theme: the look; told: called with flank, along and across
        of a zone that was clicked."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, takefocus=0, width=1,
            height=theme.px(240), cursor="hand2",
        )  # fmt: skip
        self._theme, self._told = theme, told
        self._pattern: Pattern | None = None
        self._advice: PatternAdvice | None = None
        self._picture: Any = None  # Tk forgets a picture that nobody keeps
        self.faces: tuple[Face, ...] = ()
        draw_on_resize(self, self._draw)
        self.bind("<Button-1>", self._clicked)
        self.bind("<Motion>", self._over)
        self.bind("<Leave>", lambda _: self.delete("over"))

    def show(self, pattern: Pattern | None, advice: PatternAdvice | None) -> None:
        """Draw a pattern. pattern: None where nothing was seen; advice: on it, None without."""
        self._pattern, self._advice = pattern, advice
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _clicked(self, event: tk.Event[Any]) -> None:
        for face in self.faces:
            zone = face.zone(event.x, event.y)
            if zone is not None:
                self._told(face.name, *zone)

    def _over(self, event: tk.Event[Any]) -> None:
        self.delete("over")
        for face in self.faces:
            zone = face.zone(event.x, event.y)
            if zone is not None:
                c = self._theme.colours
                self.create_polygon(
                    face.box(*zone), outline=c.accent, fill="", width=self._theme.px(2), tags="over"
                )

    def _draw(self) -> None:
        self.delete("all")
        wide, tall = self.winfo_width(), self.winfo_height()
        if wide < 120 or tall < 120:
            self.faces = ()
            return
        self.faces = self._placed(wide, tall)
        self._paint(wide, tall)
        for face in self.faces:
            self._letter(face)
        self._key(tall)

    def _placed(self, wide: int, tall: int) -> tuple[Face, ...]:
        """Both flanks side by side or one above the other, whichever draws them larger."""
        ways = [self._arranged(wide, tall, columns) for columns in (2, 1)]
        return max(ways, key=lambda faces: faces[0].half[0] * faces[0].half[1])

    def _arranged(self, wide: int, tall: int, columns: int) -> tuple[Face, ...]:
        theme, gap = self._theme, self._theme.px(18)
        rows = 3 - columns
        key = theme.tall("caption") + theme.px(14)
        room = (wide - (columns - 1) * gap) / columns, (tall - key) / rows
        ends = max(theme.wide("label", end) for end in ("toe", "heel")) + theme.px(8)
        above = theme.tall("label") + 2 * theme.tall("caption") + theme.px(8)
        below = theme.tall("caption") + theme.px(8)
        deep = min((room[1] - above - below) / (2.0 + LAND), room[0] * 0.26)
        half = max(min(room[0] / 2 - ends, LONG * deep), 20.0), max(deep, 8.0)
        spare = max(room[1] - above - below - half[1] * (2.0 + LAND), 0.0) / 2
        down = above + spare + half[1] * (1.0 + LAND)
        taper = TAPER.get(self._pattern.teeth if self._pattern else "", TAPER_UNKNOWN)
        faces = []
        for place, name in enumerate(FLANKS):
            column, row = (place, 0) if columns == 2 else (0, place)
            middle = column * (room[0] + gap) + room[0] / 2, row * room[1] + down
            faces.append(Face(name, middle, half, taper))
        return tuple(faces)

    def _letter(self, face: Face) -> None:
        """The flank's name, where its pattern lies, and its four ends in words."""
        theme, c = self._theme, self._theme.colours
        x, y = face.middle
        flank = getattr(self._pattern, face.name, None)
        above = y - face.half[1] * (1.0 + LAND) - theme.px(2)
        lines = (
            (above, "tip", "caption", c.soft, "s"),
            (y + face.half[1] + theme.px(3), "root", "caption", c.soft, "n"),
            (above - theme.tall("caption") - theme.px(3),
             NOT_SEEN if flank is None else flank_words(flank), "caption", c.soft, "s"),
            (above - 2 * theme.tall("caption") - theme.px(4),
             f"{face.name.title()} flank, {CURVE[face.name]}", "label", c.ink, "s"),
        )  # fmt: skip
        for at, text, font, fill, anchor in lines:
            look: dict[str, Any] = {"font": theme.font(font), "fill": fill, "anchor": anchor}
            self.create_text(x, at, text=text, **look)
        for end, side in (("toe", -face.heading), ("heel", face.heading)):
            self.create_text(
                x + side * (face.half[0] + theme.px(6)), y, text=end, font=theme.font("label"),
                fill=c.ink, anchor="w" if side > 0 else "e",
            )  # fmt: skip

    def _key(self, tall: int) -> None:
        """What the marks mean, in one line."""
        theme, c = self._theme, self._theme.colours
        advice = self._advice
        shown = KEYS if advice is not None and advice.moves else KEYS[: 1 if self._worn else 2]
        x, y = theme.px(2), tall - theme.tall("caption") / 2 - theme.px(2)
        half = theme.px(5)
        for word in shown:
            if word == KEYS[2]:
                self.create_line(
                    x, y, x + 3 * half, y, fill=c.ink, width=theme.px(2), arrow="last",
                    arrowshape=(half * 1.4, half * 1.6, half * 0.8),
                )  # fmt: skip
            else:
                found = word == KEYS[0]
                self.create_oval(
                    x, y - half, x + 2 * half, y + half, fill=self._blot if found else "",
                    outline=self._blot if found else c.good, width=theme.px(2),
                    dash=() if found else (3, 2),
                )  # fmt: skip
            x += 4 * half
            self.create_text(
                x, y, text=word, font=theme.font("caption"), fill=c.soft, anchor="w", tags="key"
            )
            x += theme.wide("caption", word) + theme.px(16)

    @property
    def _blot(self) -> str:
        """The pattern's colour: good where it is, else the accent."""
        c = self._theme.colours
        return c.good if self._advice is not None and self._advice.status == GOOD else c.accent

    @property
    def _worn(self) -> bool:
        """Whether the gears are used: then there is no place where the pattern should be."""
        return self._pattern is not None and self._pattern.gears == GEARS[1]

    def _paint(self, wide: int, tall: int) -> None:
        from PIL import Image, ImageDraw, ImageTk  # late: not wanted before the first paint

        image = Image.new("RGB", (wide * SMOOTH, tall * SMOOTH), self._theme.colours.card)
        pen = ImageDraw.Draw(image)
        advice = self._advice
        for place, face in enumerate(self.faces):
            self._paint_face(pen, face)
            flank = getattr(self._pattern, face.name, None)
            found = None if flank is None else _spot(flank.steps)
            if found is not None:
                self._paint_blot(pen, face, found)
            if not self._worn:
                self._paint_target(pen, face)
            after = advice.after[place] if advice is not None and advice.moves else None
            if found is not None and after is not None:
                self._paint_arrow(pen, face, found, _spot(after))
        small = image.resize((wide, tall), Image.Resampling.LANCZOS)
        self._picture = ImageTk.PhotoImage(small, master=self)
        self.create_image(0, 0, image=self._picture, anchor="nw")

    def _paint_face(self, pen: ImageDraw.ImageDraw, face: Face) -> None:
        """The flank, the tooth's top above it, and the lines between its zones."""
        c, line = self._theme.colours, self._theme.zoom * SMOOTH
        corners = [face.at(*spot) for spot in ((-1, -1), (-1, 1), (1, 1), (1, -1))]
        up = face.half[1] * LAND
        inset = face.half[0] * 0.03
        (x0, y0), (x1, y1) = corners[1], corners[2]
        land = [(x0, y0), (x0 + face.heading * inset, y0 - up * face.taper),
                (x1 - face.heading * inset, y1 - up), (x1, y1)]  # fmt: skip
        for shape, fill in ((land, c.gear), (corners, c.bearing)):
            big = _large(shape)
            pen.polygon(big, fill=fill)
            pen.line([*big, *big[:2]], fill=c.edge, width=round(1.4 * line), joint="curve")
        faint = mixed(c.bearing, c.edge, 0.4)
        for third in (-1.0 / 3.0, 1.0 / 3.0):
            for ends in (((third, -1), (third, 1)), ((-1, third), (1, third))):
                pen.line(
                    _large([face.at(*end) for end in ends]), fill=faint, width=max(round(line), 1)
                )

    def _paint_blot(self, pen: ImageDraw.ImageDraw, face: Face, spot: Spot) -> None:
        """The compound rubbed off: full in the middle, thinner towards its rim."""
        c = self._theme.colours
        for size, part in ((1.0, 0.45), (0.8, 0.72), (0.55, 1.0)):
            ring = _large(_ellipse(face, spot, size))
            pen.polygon(ring, fill=mixed(c.bearing, self._blot, part))

    def _paint_target(self, pen: ImageDraw.ImageDraw, face: Face) -> None:
        """A dashed ring in the middle: where it should be."""
        c, line = self._theme.colours, self._theme.zoom * SMOOTH
        ring = _large(_ellipse(face, (0.0, 0.0), 1.0))
        for at in range(0, len(ring) - 2, 4):
            pen.line(ring[at : at + 3], fill=c.good, width=round(2.0 * line))

    def _paint_arrow(self, pen: ImageDraw.ImageDraw, face: Face, found: Spot, after: Spot) -> None:
        """From the pattern to where the moves would take it."""
        c, line = self._theme.colours, self._theme.zoom * SMOOTH
        (x0, y0), (x1, y1) = _large([face.at(*found), face.at(*after)])
        far = math.hypot(x1 - x0, y1 - y0)
        if far < 4 * line:
            return
        ux, uy = (x1 - x0) / far, (y1 - y0) / far
        head = min(9 * line, far)
        x2, y2 = x1 - head * ux, y1 - head * uy
        shape = [(x1, y1), (x2 - 0.55 * head * uy, y2 + 0.55 * head * ux),
                 (x2 + 0.55 * head * uy, y2 - 0.55 * head * ux)]  # fmt: skip
        pen.line([(x0, y0), (x2, y2)], fill=c.card, width=round(6 * line))
        pen.line([(x0, y0), (x2, y2)], fill=c.ink, width=round(3 * line))
        pen.polygon(shape, fill=c.ink)
        half = 3.4 * line
        pen.ellipse((x0 - half, y0 - half, x0 + half, y0 + half), fill=c.ink)


def _spot(steps: Spot) -> Spot:
    """A place on the drawing, kept off the very ends. steps: off the middle."""
    return 0.86 * drawn_at(steps[0]), 0.8 * drawn_at(steps[1])


def _ellipse(face: Face, spot: Spot, size: float) -> list[tuple[float, float]]:
    """A pattern's rim [px], cut off where the flank ends."""
    turns = (math.tau * step / 72 for step in range(73))
    return [
        face.at(
            min(max(spot[0] + size * BLOT[0] * math.cos(turn), -0.98), 0.98),
            min(max(spot[1] + size * BLOT[1] * math.sin(turn), -0.97), 0.97),
        )
        for turn in turns
    ]


def _large(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(x * SMOOTH, y * SMOOTH) for x, y in points]
