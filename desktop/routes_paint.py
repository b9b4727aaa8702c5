"""The chart of cost against chance, painted: axes, each way's climb, the marks of its points.

Painted three times too large and brought down, which smooths every line. Import this late: it
brings in Pillow, which matplotlib needs in any case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from PIL import Image, ImageDraw

from desktop.theme import Theme

SMOOTH = 3  # times too large
Spot = tuple[float, float]
MARK_PX = 5.2  # half the width of a mark, at 96 dpi
BIG = 1.5  # of a mark that is chosen


@dataclass(frozen=True, slots=True)
class Axes:
    """Where a cost and a chance stand on the canvas."""

    left: float  # px, as the three below
    right: float
    top: float
    bottom: float
    most_cents: float  # at the right; the left is 0
    chances: tuple[float, float]  # bottom and top

    def x(self, cents: float) -> float:
        """Place a cost, in cents. Returns it [px]."""
        return self.left + cents / self.most_cents * (self.right - self.left)

    def y(self, chance: float) -> float:
        """Place a chance, 0 to 1. Returns it [px], held inside the chart."""
        low, high = self.chances
        part = min(max((chance - low) / (high - low), 0.0), 1.0)
        return self.bottom - part * (self.bottom - self.top)


def corners(does: str, spot: Spot, half: float) -> list[Spot]:
    """Give the corners of a way's mark.

    does: 'drawer' (square), 'cut' (triangle), 'buy' (disc) or 'any' (diamond); spot: its middle;
    half: of its width [px]. Returns them.
    """
    x, y = spot
    if does == "drawer":
        k = 0.86 * half
        return [(x - k, y - k), (x + k, y - k), (x + k, y + k), (x - k, y + k)]
    if does == "cut":
        k, foot = 1.1 * half, y + 0.8 * half
        return [(x, y - 1.15 * half), (x + k, foot), (x - k, foot)]
    if does == "any":
        k = 1.25 * half
        return [(x, y - k), (x + k, y), (x, y + k), (x - k, y)]
    turns = [2 * math.pi * k / 40 for k in range(40)]
    return [(x + half * math.cos(turn), y + half * math.sin(turn)) for turn in turns]


class Painter:
    """Paints one chart."""

    def __init__(self, size: tuple[int, int], axes: Axes, theme: Theme, *, faint: bool) -> None:
        """size: of the picture [px]; axes: on it; theme: the look; faint: the answer is from before
        the last change."""
        self._image = Image.new("RGB", (size[0] * SMOOTH, size[1] * SMOOTH), theme.colours.card)
        self._pen = ImageDraw.Draw(self._image)
        self._axes, self._theme = axes, theme
        self._line = theme.zoom * SMOOTH
        self._ink = theme.colours.quiet if faint else theme.colours.ink
        self._accent = theme.colours.quiet if faint else theme.colours.accent

    def as_ppm(self) -> bytes:
        """Bring the picture down. Returns it as a PPM file, which Tk reads fastest."""
        small = self._image.reduce(SMOOTH)
        return b"P6 %d %d 255\n" % small.size + small.tobytes()

    def ground(self, wanted: float, xs: list[float], ys: list[float]) -> None:
        """Paint where the wanted chance is reached, thin lines, and the axes.

        wanted: chance, 0 to 1; xs: ticks in cents; ys: ticks as chances.
        """
        axes, c, pen, line = self._axes, self._theme.colours, self._pen, self._line
        left, right = axes.left * SMOOTH, axes.right * SMOOTH
        top, bottom = axes.top * SMOOTH, axes.bottom * SMOOTH
        if axes.chances[0] < wanted < axes.chances[1]:
            y = axes.y(wanted) * SMOOTH
            pen.rectangle((left, top, right, y), fill=c.good_tint)
            pen.line([(left, y), (right, y)], fill=c.good, width=round(1.2 * line))
        for tick in ys:
            y = axes.y(tick) * SMOOTH
            pen.line([(left - 4 * line, y), (left, y)], fill=c.field_edge, width=round(line))
        for tick in xs:
            x = axes.x(tick) * SMOOTH
            pen.line([(x, bottom), (x, bottom + 4 * line)], fill=c.field_edge, width=round(line))
        ends = [(left, top), (left, bottom), (right, bottom)]
        pen.line(ends, fill=c.field_edge, width=round(line))

    def climb(self, points: list[tuple[int, float]]) -> None:
        """Paint what more money buys on one way, as steps. points: (cents, chance), by cost."""
        axes = self._axes
        at = [(axes.x(cents) * SMOOTH, axes.y(chance) * SMOOTH) for cents, chance in points]
        for (x0, y0), (x1, y1) in pairwise(at):
            steps = [(x0, y0), (x1, y0), (x1, y1)]
            self._pen.line(steps, fill=self._theme.colours.quiet, width=round(1.3 * self._line))

    def level(self, low: tuple[float, float], high: tuple[float, float]) -> None:
        """Paint a dashed line through everything that comes to the same in all.

        low, high: its ends as (cents, chance).
        """
        axes, line = self._axes, self._line
        (x0, y0), (x1, y1) = ((axes.x(c) * SMOOTH, axes.y(p) * SMOOTH) for c, p in (low, high))
        long = math.hypot(x1 - x0, y1 - y0) or 1.0
        step, at = 6 * line, 0.0
        while at < long:
            ends = [(x0 + (x1 - x0) * part / long, y0 + (y1 - y0) * part / long)
                    for part in (at, min(at + step, long))]  # fmt: skip
            self._pen.line(ends, fill=self._accent, width=round(1.2 * line))
            at += 2 * step

    def mark(self, does: str, cents: float, chance: float, *, best: bool, picked: bool) -> None:
        """Paint a point: filled where it is the least in all, ringed where it is looked at.

        does: a way; cents: what it costs; chance: 0 to 1; best, picked: which it is.
        """
        c, line = self._theme.colours, self._line
        spot = (self._axes.x(cents) * SMOOTH, self._axes.y(chance) * SMOOTH)
        half = MARK_PX * line * (BIG if best else 1.0)
        if picked:
            reach = half + 6.5 * line
            box = (spot[0] - reach, spot[1] - reach, spot[0] + reach, spot[1] + reach)
            self._pen.ellipse(box, outline=self._accent, width=round(2 * line))
        self._pen.polygon(corners(does, spot, half + 1.6 * line), fill=c.card)
        self._pen.polygon(corners(does, spot, half), fill=self._accent if best else self._ink)
        if not best:
            self._pen.polygon(corners(does, spot, half - 2.0 * line), fill=c.card)
