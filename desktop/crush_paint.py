"""The plot of torque against the angle of the nut, painted: axes, window, model, readings.

Painted three times too large and brought down, which smooths every line. Import this late: it
brings in Pillow, which matplotlib needs in any case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from PIL import Image, ImageDraw

from desktop.theme import Theme
from desktop.tokens import mixed
from solver.crush import Crush, Tightening
from solver.report_tighten import K95
from solver.torque_units import NEWTON_M_PER

SMOOTH = 3  # times too large
STEPS = (1.0, 2.0, 5.0, 10.0)  # between ticks, times a power of ten
BAND = 0.28  # of its colour
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Axes:
    """Where an angle and a torque stand on the canvas."""

    left: float  # px, as the three below
    right: float
    top: float
    bottom: float
    angles_deg: tuple[float, float]
    most_newton_m: float  # at the top; the bottom is 0

    def x(self, angle_deg: float) -> float:
        """Place an angle [degrees]. Returns it [px], held inside the plot."""
        low, high = self.angles_deg
        part = min(max((angle_deg - low) / (high - low), 0.0), 1.0)
        return self.left + part * (self.right - self.left)

    def y(self, newton_m: float) -> float:
        """Place a torque [N·m]. Returns it [px], held inside the plot."""
        part = min(max(newton_m / self.most_newton_m, 0.0), 1.0)
        return self.bottom - part * (self.bottom - self.top)


def next_deg(found: Tightening) -> Point:
    """From where to where the next turn goes [degrees]. found: an answer that advises one."""
    assert found.advice is not None
    last = max(pause.angle_deg for pause in found.crush.pauses)
    return last, last + found.advice.turn_deg


def ticks(span: float, low: float = 0.0) -> list[tuple[str, float]]:
    """Choose round figures over a span. span: of them; low: the first. Returns (word, figure)."""
    power = 10.0 ** math.floor(math.log10(span / 4.0))
    step = next(k * power for k in STEPS if span / (k * power) <= 7.0)
    first = math.ceil(low / step - 1e-9)
    many = range(first, math.floor((low + span) / step + 1e-9) + 1)
    return [(f"{k * step:g}", k * step) for k in many]


class Painter:
    """Paints one plot."""

    def __init__(self, size: tuple[int, int], axes: Axes, theme: Theme, *, faint: bool) -> None:
        """size: of the picture [px]; axes: on it; theme: the look; faint: the answer is from before
        the last change."""
        self._image = Image.new("RGB", (size[0] * SMOOTH, size[1] * SMOOTH), theme.colours.card)
        self._pen = ImageDraw.Draw(self._image)
        self._axes, self._theme, self._faint = axes, theme, faint
        self._line = theme.zoom * SMOOTH
        self._accent = theme.colours.quiet if faint else theme.colours.accent

    def as_ppm(self) -> bytes:
        """Bring the picture down. Returns it as a PPM file, which Tk reads fastest."""
        small = self._image.reduce(SMOOTH)
        return b"P6 %d %d 255\n" % small.size + small.tobytes()

    def ground(self, crush: Crush) -> None:
        """Paint the window as a band, what lies past it, and the two axes. crush."""
        axes, c, pen, line = self._axes, self._theme.colours, self._pen, self._line
        left, right = axes.left * SMOOTH, axes.right * SMOOTH
        low, high = (axes.y(end) * SMOOTH for end in (crush.low_newton_m, crush.high_newton_m))
        top, bottom = axes.top * SMOOTH, axes.bottom * SMOOTH
        pen.rectangle((left, top, right, high), fill=mixed(c.card, c.bad, 0.07))
        pen.rectangle((left, high, right, low), fill=mixed(c.card, c.good, 0.2))
        for y in (high, low):
            pen.line([(left, y), (right, y)], fill=c.good, width=round(1.2 * line))
        for _, tick in ticks(axes.most_newton_m / NEWTON_M_PER[crush.unit]):
            y = axes.y(tick * NEWTON_M_PER[crush.unit]) * SMOOTH
            pen.line([(left - 4 * line, y), (left, y)], fill=c.field_edge, width=round(line))
        ends = [(left, top), (left, bottom), (right, bottom)]
        pen.line(ends, fill=c.field_edge, width=round(line))

    def model(self, found: Tightening) -> None:
        """Paint the model's 5 to 95 %, so thin that the window shines through, and its middle.

        found: the answer.
        """
        if not len(found.angles_deg):
            return
        axes = self._axes
        xs = [axes.x(float(angle)) * SMOOTH for angle in found.angles_deg]
        rows = [[axes.y(float(value)) for value in row] for row in found.curve_newton_m]
        low, middle, high = (
            [(x, row[at] * SMOOTH) for x, row in zip(xs, rows, strict=True)] for at in range(3)
        )
        thin = Image.new("L", self._image.size)
        ImageDraw.Draw(thin).polygon([*high, *reversed(low)], fill=round(255 * BAND))
        self._image.paste(self._accent, mask=thin)
        seen = [(x, y) for x, y in middle if y > (axes.top + 1) * SMOOTH]
        self._pen.line(seen, fill=self._accent, width=round(2.2 * self._line), joint="curve")

    def next_turn(self, found: Tightening) -> None:
        """Paint the next turn as an arrow between two dashed lines. found: it advises one."""
        axes, c, line = self._axes, self._theme.colours, self._line
        start, end = (axes.x(angle) * SMOOTH for angle in next_deg(found))
        top, bottom = axes.top * SMOOTH, axes.bottom * SMOOTH
        _dashes(self._pen, (end, top), (end, bottom), c.accent, line)
        _dashes(self._pen, (start, top), (start, bottom), c.field_edge, line)
        y = (axes.top + self._theme.px(10)) * SMOOTH
        self._pen.line([(start, y), (end, y)], fill=c.accent, width=round(2.4 * line))
        reach = min(9 * line, max(end - start, 1.0))
        head = [(end, y), (end - reach, y - 0.55 * reach), (end - reach, y + 0.55 * reach)]
        self._pen.polygon(head, fill=c.accent)

    def readings(self, crush: Crush, lit: int | None) -> None:
        """Paint each pause with what it may be off, hollow where bearings were not turned.

        crush; lit: number of the pause whose card has the keyboard, or None.
        """
        axes, c, line = self._axes, self._theme.colours, self._line
        for pause in crush.pauses:
            x = axes.x(pause.angle_deg) * SMOOTH
            half = K95 * pause.u_newton_m
            low, y, high = (
                axes.y(pause.torque_newton_m + k * half) * SMOOTH for k in (-1.0, 0.0, 1.0)
            )
            self._pen.line([(x, low), (x, high)], fill=c.ink, width=round(1.6 * line))
            _disc(self._pen, (x, y), 5.4 * line, c.card)
            _disc(self._pen, (x, y), 4.4 * line, c.accent if pause.number == lit else c.ink)
            if not pause.turned:
                _disc(self._pen, (x, y), 2.4 * line, c.card)


def _disc(pen: ImageDraw.ImageDraw, spot: Point, half: float, fill: str) -> None:
    x, y = spot
    pen.ellipse((x - half, y - half, x + half, y + half), fill=fill)


def _dashes(pen: ImageDraw.ImageDraw, top: Point, bottom: Point, fill: str, line: float) -> None:
    """An upright line in dashes."""
    y, step = top[1], 5 * line
    while y < bottom[1]:
        pen.line([(top[0], y), (top[0], min(y + step, bottom[1]))], fill=fill, width=round(line))
        y += 2 * step
