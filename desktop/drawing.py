"""The drawing in the middle of the window: the axle in section, with its shims and its badges.

The metal is painted three times too large and brought down, which smooths every slant; what is
written stands on the canvas above it, so that tests and people can read it.
"""

from __future__ import annotations

import tkinter as tk
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from desktop import pixels
from desktop.pinion_drawn import PinionWriter
from desktop.section import Dimension, Section, draw_section
from desktop.section_pinion import PinionSaid
from desktop.stacks_drawn import pinion_as_drawn, sides_as_drawn, stack_words
from desktop.theme import Theme
from desktop.tokens import mixed, trade_name
from desktop.widgets import badge_looks, draw_on_resize, written_on
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Layout, Seat
from solver.plan import Plan
from solver.report_words import TRADE_WORDS

if TYPE_CHECKING:
    from PIL import Image

SMOOTH = 3  # times too large
WHEEL_MM = 200.0  # wheel that the exaggeration is said for; common practice, no source
WHEEL_UNITS = 296.0  # its diameter as drawn

Badges = tuple[tuple[int, str], ...]
Place = tuple[int, tuple[float, float], tuple[float, float]]  # number, spot [px], badge [px]


@dataclass(frozen=True, slots=True)
class _Shown:
    """What the drawing was last asked to show."""

    layout: Layout
    seats: tuple[Seat, ...]
    plan: Plan | None
    badges: Badges
    lit: int | None
    unit: str
    words: str
    pinion: PinionSaid | None


@dataclass(frozen=True, slots=True)
class _Fit:
    """How drawing units become screen pixels."""

    scale: float
    x0: float
    y0: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.x0 + x * self.scale, self.y0 + y * self.scale


def _type_of(texts: tuple[str, ...]) -> str:
    """The type that a dimension is written in: a figure larger than its want."""
    return "label" if texts[-1].startswith("no ") or "no seat" in texts[-1] else "dimension"


class AxleDrawing(tk.Canvas):
    """The axle in section; redraws itself at every change of size."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget; theme: the look."""
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
        self._shown: _Shown | None = None
        self._metal: tuple[object, Image.Image] | None = None
        self._images: list[tk.PhotoImage] = []
        self.section: Section | None = None
        draw_on_resize(self, self._draw)

    def show(
        self,
        job_layout: Layout,
        seats: tuple[Seat, ...],
        plan: Plan | None,
        badges: Badges,
        lit: int | None,
        unit: str,
        words: str,
        theme: Theme | None = None,
        pinion: PinionSaid | None = None,
    ) -> None:
        """Draw the axle from scratch.

        job_layout: how the axle is drawn; seats: of the job; plan: or None; badges: (number, name
        of the reading) pairs; lit: number of the badge that is lit, or None; unit: 'mm', 'um', 'in'
        or 'thou'; words: 'UK' or 'US'; theme: the look, where it has changed; pinion: what the job
        says of its pinion, None where it tells of none.
        """
        if theme is not None and theme is not self._theme:
            self._theme = theme
            self._metal = None
            self.configure(bg=theme.colours.card)
        self._shown = _Shown(job_layout, seats, plan, badges, lit, unit, words, pinion)
        self._draw()

    def light(self, number: int | None) -> None:
        """Light one badge and put the others out. number: of the badge, or None."""
        if self._shown is not None and self._shown.lit != number:
            self._shown = replace(self._shown, lit=number)
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the drawing. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        shown, wide, tall = self._shown, self.winfo_width(), self.winfo_height()
        if shown is None or wide < 60 or tall < 60:
            return
        self.delete("all")
        self._images.clear()
        sides, per_um = sides_as_drawn(shown.seats, shown.plan)
        alone = not any(seat.name == WHEEL_SIDE for seat in shown.seats)
        parts = pinion_as_drawn(shown.seats, sides, shown.pinion)
        self.section = draw_section(
            shown.layout, sides[WHEEL_SIDE], sides[PLAIN_SIDE], parts, alone=alone
        )
        fit = self._fit(self.section, wide, tall)
        places = self._badge_places(fit)
        self._paint(fit, wide, tall, places)
        self._write_head(wide, per_um)
        if self.section.dimensions:
            self._write_dimensions(fit)
        if shown.pinion is not None:
            badges = tuple(badge for _, _, badge in places)
            writer = PinionWriter(self, self._theme, fit.at, badges, (shown.unit, shown.words))
            writer.write(self.section, shown.plan, shown.pinion)
        self._write_badges(places)

    def _fit(self, section: Section, wide: int, tall: int) -> _Fit:
        """The largest scale that leaves room for the head and the dimensions above the metal."""
        theme = self._theme
        head = theme.tall("title") + theme.px(8)
        above = theme.tall("dimension") + theme.px(16) if section.dimensions else theme.px(4)
        free = tall - head - above - theme.px(2)
        across = section.right - section.left
        scale = min((wide - 2) / across, free / (section.bottom - section.top))
        spare = free - scale * (section.bottom - section.top)
        top = head + above + spare * 0.4
        middle = (section.left + section.right) / 2
        return _Fit(scale, wide / 2 - middle * scale, top - section.top * scale)

    def _badge_places(self, fit: _Fit) -> list[Place]:
        """Number, spot and badge of each reading on the screen; badges never on one another."""
        assert self._shown is not None and self.section is not None
        apart = self._theme.space("badge") + self._theme.px(6)
        low = apart / 2 + 1
        places: list[Place] = []
        for number, name in self._shown.badges:
            if name not in self.section.spots:
                continue
            spot, badge = (fit.at(*point) for point in self.section.spots[name])
            x, y = badge
            way = 1 if x < fit.x0 else -1  # towards the middle, where there is room
            while any((x - px) ** 2 + (y - py) ** 2 < apart**2 for _, _, (px, py) in places):
                x += way * apart / 3
            x = min(max(x, low), self.winfo_width() - low)
            places.append((number, spot, (x, min(y, self.winfo_height() - low))))
        return places

    def _paint(self, fit: _Fit, wide: int, tall: int, places: list[Place]) -> None:
        """Paint metal, shims and leaders; the metal is kept while only a badge is lit."""
        from desktop.paint import Brush  # late: brings in the image library

        assert self._shown is not None and self.section is not None
        c = self._theme.colours
        shown = self._shown
        key = (wide, tall, shown.layout, shown.seats, shown.plan, shown.pinion, id(self._theme))
        if self._metal is None or self._metal[0] != key:
            brush = Brush((wide, tall), SMOOTH, c, fit.at, max(self._theme.zoom, 1.0), fit.scale)
            for shape in self.section.shapes:
                brush.shape(shape)
            for box in self.section.shims:
                brush.shim(box, self._theme.side(box.seat))
            self._metal = (key, brush.image)
        brush = Brush.over(self._metal[1], SMOOTH, c, fit.at, max(self._theme.zoom, 1.0), fit.scale)
        for number, spot, badge in places:
            brush.leader(spot, badge, c.accent if number == shown.lit else c.ink)
        picture = tk.PhotoImage(master=self, data=brush.as_ppm(), format="PPM")
        self._images.append(picture)
        self.create_image(0, 0, image=picture, anchor="nw", tags="metal")

    def _write_head(self, wide: int, per_um: float) -> None:
        theme = self._theme
        title = "Where the shims go"
        base = theme.font("title").metrics("ascent")
        self.create_text(
            0, 0, text=title, font=theme.font("title"), fill=theme.colours.ink, anchor="nw"
        )
        room = wide - theme.wide("title", title) - theme.px(24)
        text = next((t for t in self._scale_words(per_um) if theme.wide("caption", t) <= room), "")
        self.create_text(
            wide,
            base - theme.font("caption").metrics("ascent"),
            text=text,
            font=theme.font("caption"),
            fill=theme.colours.soft,
            anchor="ne",
            tags="scale",
        )

    def _scale_words(self, per_um: float) -> tuple[str, ...]:
        """How far the shims are exaggerated, at falling length."""
        assert self._shown is not None
        if not per_um:
            return ("Not to scale",)
        times = per_um * WHEEL_MM * 1000 / WHEEL_UNITS
        shown = f"{times:.0f}" if times >= 10 else f"{times:.1f}"
        wheel = TRADE_WORDS[self._shown.words].crown_wheel
        size = "an 8 in" if self._shown.unit in ("in", "thou") else "a 200 mm"  # WHEEL_MM
        return (
            f"Not to scale: shims drawn {shown} times too thick for {size} {wheel}",
            f"Shims drawn {shown} times too thick for {size} {wheel}",
            f"Shims drawn about {shown} times too thick",
            f"Shims {shown} x too thick",
        )

    def _write_dimensions(self, fit: _Fit) -> None:
        """Both totals above the metal, at the same fullness, the first at which they are apart.

        Over the metal's ends, or over the drawing's where that saves the names of the sides.
        """
        assert self._shown is not None and self.section is not None
        theme = self._theme
        dims = sorted(self.section.dimensions, key=lambda d: d.left)
        texts = [self._dimension_words(d) for d in dims]
        metal = fit.at(self.section.left, 0)[0], fit.at(self.section.right, 0)[0]
        whole = 0.0, float(self.winfo_width())
        needs = [sum(theme.wide(_type_of(t), t[k]) for t in texts) for k in range(len(texts[0]))]
        gap, last = theme.px(12), len(needs) - 1
        ways = ((0, metal), (1, metal), (1, whole), (2, metal), (2, whole), (last, metal))
        full, (left, right) = next(
            ((k, ends) for k, ends in ways if needs[k] <= ends[1] - ends[0] - gap), ways[-1]
        )
        crowded = needs[full] > right - left - gap
        level = fit.at(0, self.section.top)[1] - theme.px(11)
        for dim, text, x in zip(dims, texts, (left, right), strict=True):
            self._dimension(dim, fit, level)
            if x == right and crowded and text[full] == texts[0][full]:
                continue  # what is said of both sides is said once where there is no room for two
            self.create_text(
                x,
                level - theme.px(4),
                text=text[full],
                font=theme.font(_type_of(text)),
                fill=theme.colours.soft if text[-1] == "no plan yet" else theme.side(dim.seat),
                anchor="sw" if x == left else "se",
                tags=("total", dim.seat.replace(" ", "-")),
            )

    def _dimension_words(self, dim: Dimension) -> tuple[str, ...]:
        assert self._shown is not None
        name = trade_name(dim.seat, self._shown.words)
        if all(seat.name != dim.seat for seat in self._shown.seats):
            return (f"{name}: no seat",) * 4
        plan = self._shown.plan
        stack = next((s for s in plan.stacks if s.seat == dim.seat), None) if plan else None
        return stack_words(stack, name, self._shown.unit)

    def _dimension(self, dim: Dimension, fit: _Fit, level: float) -> None:
        """Extension lines up from the stack, and the dimension line between them."""
        if dim.right <= dim.left:
            return
        theme = self._theme
        assert self._shown is not None
        planned = self._shown.plan is not None
        colour = theme.side(dim.seat) if planned else theme.colours.soft
        dash = () if planned else (theme.px(3), theme.px(3))
        foot = fit.at(0, dim.top)[1] - theme.px(2)
        ends = [round(fit.at(x, 0)[0]) for x in (dim.left, dim.right)]
        for x in ends:
            self.create_line(
                x, foot, x, level - theme.px(3), fill=colour, width=theme.px(1), dash=dash
            )
        self.create_line(ends[0], level, ends[1], level, fill=colour, width=theme.px(2))

    def _write_badges(self, places: list[Place]) -> None:
        assert self._shown is not None
        theme, c = self._theme, self._theme.colours
        plain = badge_looks(self, theme)[False]
        for number, _, (x, y) in places:
            lit = number == self._shown.lit
            picture = plain
            if lit:
                picture = pixels.lit_disc(
                    self,
                    diameter=theme.space("badge"),
                    fill=c.accent,
                    gap=mixed(c.card, c.tint, 0.6),
                    ring=c.accent,
                    ring_px=theme.px(2),
                )
                self._images.append(picture)
            tags = ("badge", f"badge-{number}", *(("lit",) if lit else ()))
            self.create_image(round(x), round(y), image=picture, tags=tags)
            self.create_text(
                round(x),
                round(y),
                text=str(number),
                font=theme.font("label"),
                fill=c.on_accent if lit else c.card,
                tags=tags,
            )
