"""The arrows of a line, painted larger than wanted and brought down smooth.

Import this late: it brings in Pillow.
"""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image, ImageDraw

from desktop.line_loop import Arrow
from desktop.tokens import Palette

SMOOTH = 3
HEAD = 0.85  # length of an arrow's head, of its height
BREAK = 0.4  # width of a break, of the height


class ArrowBrush:
    """Paints arrows on a picture."""

    def __init__(self, size: tuple[int, int], colours: Palette, ground: str, line_px: float):
        """size: of the finished picture [px]; colours: of the mode; ground: behind; line_px: width
        of an outline [px]."""
        self._image = Image.new("RGB", (size[0] * SMOOTH, size[1] * SMOOTH), ground)
        self._pen = ImageDraw.Draw(self._image)
        self._colours = colours
        self._line = max(round(line_px * SMOOTH), 1)

    def band(self, box: tuple[float, float, float, float], colour: str, radius: float) -> None:
        """Paint a row's ground. box: left, top, right, bottom [px]; colour; radius [px]."""
        self._pen.rounded_rectangle(
            [part * SMOOTH for part in box], radius=radius * SMOOTH, fill=colour
        )

    def rule(self, x0: float, y0: float, x1: float, y1: float, colour: str, dash: float) -> None:
        """Paint a dashed line, upright or level. x0, y0, x1, y1: ends [px]; colour; dash [px]."""
        whole = max(abs(x1 - x0), abs(y1 - y0))
        done = 0.0
        while done < whole:
            stop = min(done + dash, whole)
            ends = [
                (x0 + (x1 - x0) * part / whole, y0 + (y1 - y0) * part / whole)
                for part in (done, stop)
            ]
            flat = [(round(x) * SMOOTH + 1, round(y) * SMOOTH + 1) for x, y in ends]
            self._pen.line(flat, fill=colour, width=self._line)
            done += 1.8 * dash

    def arrow(
        self,
        arrow: Arrow,
        y: float,
        tall: float,
        *,
        fill: str,
        edge: str,
        both: bool = False,
        parts: Sequence[float] = (),
        ground: str,
    ) -> None:
        """Paint one arrow.

        arrow: from where to where [px]; y: its middle [px]; tall: of its head [px]; fill, edge:
        colours; both: a head at either end; parts: shares of its length that pieces take; ground:
        colour seen through a break.
        """
        x0, x1 = arrow.start * SMOOTH, arrow.end * SMOOTH
        way, middle, half = arrow.way, y * SMOOTH, tall * SMOOTH / 2.0
        if not way:  # nothing there: a mark where it would stand
            self._pen.line((x0, middle - half, x0, middle + half), fill=edge, width=2 * self._line)
            return
        head = min(HEAD * tall * SMOOTH, abs(x1 - x0) * (0.4 if both else 0.6))
        body = half * 0.56
        neck, tail = x1 - way * head, x0 + way * head if both else x0
        upper = [(tail, middle - body), (neck, middle - body), (neck, middle - half), (x1, middle)]
        lower = [(x, 2 * middle - yy) for x, yy in reversed(upper[:-1])]
        back = [(tail, middle + half), (x0, middle), (tail, middle - half)] if both else []
        outline = [*upper, *lower, *back]
        self._pen.polygon(outline, fill=fill)
        self._pen.line(
            [*outline, outline[0], outline[1]], fill=edge, width=self._line, joint="curve"
        )
        at = x0
        for share in parts[:-1]:
            at += (x1 - x0) * share
            if (neck - at) * way > SMOOTH:
                self._pen.line(
                    (at, middle - body, at, middle + body), fill=ground, width=2 * self._line
                )
        if arrow.broken:
            wide = min(BREAK * half, 0.12 * abs(x1 - x0))
            wide = SMOOTH if wide < 2.5 * SMOOTH else wide
            self._break((tail + neck) / 2.0, middle, half, wide, edge, ground)

    def _break(
        self, x: float, middle: float, half: float, wide: float, edge: str, ground: str
    ) -> None:
        """Two slanted strokes with nothing between them."""
        lean = half * 0.3
        top, foot = middle - half * 0.95, middle + half * 0.95
        gap = [
            (x - wide + lean, top), (x + wide + lean, top), (x + wide - lean, foot),
            (x - wide - lean, foot),
        ]  # fmt: skip
        self._pen.polygon(gap, fill=ground)
        if wide <= SMOOTH:
            return  # no room for its edges
        for start, end in ((gap[0], gap[3]), (gap[1], gap[2])):
            self._pen.line((start, end), fill=edge, width=self._line)

    def plus(self, x: float, y: float, radius: float, fill: str, cross: str) -> None:
        """Paint a disc with a plus. x, y: its middle [px]; radius [px]; fill, cross: colours."""
        x, y, radius = x * SMOOTH, y * SMOOTH, radius * SMOOTH
        self._pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=fill)
        arm, wide = radius * 0.5, round(radius * 0.24)
        self._pen.line((x - arm, y, x + arm, y), fill=cross, width=wide)
        self._pen.line((x, y - arm, x, y + arm), fill=cross, width=wide)

    def as_ppm(self) -> bytes:
        """Bring the picture down. Returns it as a PPM file, which Tk reads fastest."""
        small = self._image.reduce(SMOOTH)
        return b"P6 %d %d 255\n" % small.size + small.tobytes()
