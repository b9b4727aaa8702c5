"""A brush that paints a section larger than wanted and brings it down smooth.

Import this late: it brings in Pillow, which matplotlib needs in any case.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from itertools import pairwise

from PIL import Image, ImageChops, ImageDraw

from desktop.section_parts import Box, Point, Shape
from desktop.tokens import Palette

HATCH_GAP = 9.0  # drawing units between two lines
DASH_DOT_PX = (11, 4, 2, 4)


class Brush:
    """Paints shapes of a section on a picture."""

    def __init__(
        self,
        size: tuple[int, int],
        smooth: int,
        colours: Palette,
        at: Callable[[float, float], Point],
        line_px: float,
        scale: float,
    ) -> None:
        """size: of the finished picture [px]; smooth: times larger; colours: of the mode; at: turns
        drawing units into [px]; line_px: width of an outline [px]; scale: [px] to a unit."""
        self.image = Image.new("RGB", (size[0] * smooth, size[1] * smooth), colours.card)
        self._begin(smooth, colours, at, line_px, scale)

    @classmethod
    def over(
        cls,
        image: Image.Image,
        smooth: int,
        colours: Palette,
        at: Callable[[float, float], Point],
        line_px: float,
        scale: float,
    ) -> Brush:
        """Take a brush to a copy of a painted picture. Parameters as those of the class."""
        brush = cls.__new__(cls)
        brush.image = image.copy()
        brush._begin(smooth, colours, at, line_px, scale)
        return brush

    def _begin(
        self,
        smooth: int,
        colours: Palette,
        at: Callable[[float, float], Point],
        line_px: float,
        scale: float,
    ) -> None:
        self._draw = ImageDraw.Draw(self.image)
        self._smooth, self._at, self._scale = smooth, at, scale
        self._colours: dict[str, str] = asdict(colours)
        self._line = max(round(line_px * smooth), 1)

    def _many(self, points: tuple[Point, ...]) -> list[Point]:
        """Drawing units to painted pixels, on whole screen pixels so that edges stay crisp."""
        s = self._smooth
        placed = (self._at(x, y) for x, y in points)
        return [(round(x) * s + s // 2, round(y) * s + s // 2) for x, y in placed]

    def shape(self, shape: Shape) -> None:
        """Paint one shape. shape: of a section."""
        points = self._many(shape.points)
        if shape.dash:
            self._dashed(points[0], points[-1], self._colours[shape.edge])
            return
        if shape.fill:
            self._draw.polygon(points, fill=self._colours[shape.fill])
            if shape.hatch:
                self._hatch(points, shape.hatch)
            points = [*points, points[0], points[1]]  # once more round the first corner
        self._draw.line(points, fill=self._colours[shape.edge], width=self._line, joint="curve")

    def shim(self, box: Box, colour: str) -> None:
        """Paint one shim, or dash the room for some. box: of a section; colour: '#RRGGBB'."""
        corners = ((box.left, box.top), (box.right, box.bottom))
        (left, top), (right, bottom) = self._many(corners)
        if right - left < 2 * self._smooth and box.right > box.left:
            right = left + 2 * self._smooth
        if bottom - top < 2 * self._smooth and box.bottom > box.top:
            bottom = top + 2 * self._smooth
        if box.pending:
            self._draw.rectangle((left, top, right, bottom), fill=self._colours["card"])
            ring = ((left, top), (right, top), (right, bottom), (left, bottom), (left, top))
            for start, end in pairwise(ring):
                self._dashed(start, end, self._colours["soft"], (4, 3))
            return
        half = self._smooth // 2
        self._draw.rectangle((left, top, right, bottom), fill=colour)
        for x in () if box.down else (left, right):
            self._draw.rectangle((x - half, top, x + half, bottom), fill=self._colours["card"])
        for y in (top, bottom) if box.down else ():
            self._draw.rectangle((left, y - half, right, y + half), fill=self._colours["card"])

    def leader(self, spot: Point, badge: Point, colour: str) -> None:
        """Paint the line from a badge to its spot, a dot at the spot. spot, badge: [px]."""
        s = self._smooth
        ends = [(x * s, y * s) for x, y in (spot, badge)]
        halo = round(self._line * 2.6)
        self._draw.line(ends, fill=self._colours["card"], width=halo)
        self._draw.line(ends, fill=colour, width=round(self._line * 1.2))
        for radius, fill in ((3.6 * s, self._colours["card"]), (2.4 * s, colour)):
            x, y = ends[0]
            self._draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=fill)

    def as_ppm(self) -> bytes:
        """Bring the picture down. Returns it as a PPM file, which Tk reads fastest."""
        small = self.image.reduce(self._smooth)
        return b"P6 %d %d 255\n" % small.size + small.tobytes()

    def _hatch(self, points: list[Point], slant: int) -> None:
        """Lines at 45 degrees over a shape, cut off at its outline."""
        xs, ys = [x for x, _ in points], [y for _, y in points]
        left, right, top, bottom = int(min(xs)), int(max(xs)), int(min(ys)), int(max(ys))
        mask = Image.new("1", self.image.size)
        ImageDraw.Draw(mask).polygon(points, fill=1)
        lines = Image.new("1", self.image.size)
        pen = ImageDraw.Draw(lines)
        gap = max(HATCH_GAP * self._scale, 6.0) * self._smooth * 2**0.5
        tall = bottom - top
        at = float(left - tall)
        while at < right + tall:
            far = (at + tall, bottom) if slant > 0 else (at - tall, bottom)
            pen.line(((at, top), far), fill=1, width=self._line)
            at += gap
        cut = ImageChops.logical_and(mask, lines)
        self.image.paste(self._colours["hatch"], mask=cut)

    def _dashed(
        self, start: Point, end: Point, colour: str, pattern: tuple[int, ...] = DASH_DOT_PX
    ) -> None:
        wide, tall = end[0] - start[0], end[1] - start[1]
        whole = (wide**2 + tall**2) ** 0.5
        done, k = 0.0, 0
        while done < whole:
            step = pattern[k % len(pattern)] * self._line
            stop = min(done + step, whole)
            if k % 2 == 0:
                ends = [
                    (start[0] + wide * d / whole, start[1] + tall * d / whole) for d in (done, stop)
                ]
                self._draw.line(ends, fill=colour, width=self._line)
            done, k = stop, k + 1
