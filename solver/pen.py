"""A pen that writes down a column of a sheet of paper, measuring and wrapping as it goes; mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from solver.paper import Area, Item, Line, Measure, Words, box

LEAD = 1.32  # from line to line, of the size of the words
BODY_MM, SMALL_MM, HEAD_MM = 3.0, 2.55, 3.3  # sizes of words, before the page is made to fit


@dataclass(slots=True)
class Pen:
    """Where on the paper it stands, and what it has drawn."""

    measure: Measure
    left_mm: float
    right_mm: float
    y_mm: float  # top of what comes next
    scale: float = 1.0
    items: list[Item] = field(default_factory=list)

    @property
    def wide_mm(self) -> float:
        """Room across [mm]."""
        return self.right_mm - self.left_mm

    def beside(self, left_mm: float, right_mm: float) -> Pen:
        """Another column at the same height, on the same paper. left_mm, right_mm. Returns it."""
        return Pen(self.measure, left_mm, right_mm, self.y_mm, self.scale, self.items)

    def gap(self, mm: float) -> None:
        """Leave some room. mm: before scaling."""
        self.y_mm += mm * self.scale

    def put(self, text: str, x_mm: float, y_mm: float, size_mm: float, **look: bool) -> None:
        """Write one line where it is told. text; x_mm, y_mm: its start; size_mm; look: bold, white.

        Characters that no font can show become question marks.
        """
        clean = "".join(c if c.isprintable() else "?" for c in text)
        if clean.strip():
            self.items.append(Words(clean, x_mm, y_mm, size_mm, **look))

    def say(
        self,
        text: str,
        size_mm: float = BODY_MM,
        *,
        bold: bool = False,
        white: bool = False,
        indent_mm: float = 0.0,
        first: str = "",
    ) -> None:
        """Write words, wrapped, and go on below them.

        text; size_mm, indent_mm: before scaling; bold; white; first: stands in the indent of the
        first line.
        """
        size, indent = size_mm * self.scale, indent_mm * self.scale
        for at, line in enumerate(self.wrapped(text, size, self.wide_mm - indent, bold=bold)):
            self.y_mm += size * LEAD
            base = self.y_mm - size * (LEAD - 1.0)
            if first and not at:
                self.put(first, self.left_mm, base, size, bold=bold, white=white)
            self.put(line, self.left_mm + indent, base, size, bold=bold, white=white)

    def head(self, text: str) -> None:
        """Write the heading of a block, with a line under it. text."""
        self.say(text, HEAD_MM, bold=True)
        y = self.y_mm + 0.5 * self.scale
        self.items.append(Line(((self.left_mm, y), (self.right_mm, y)), 0.3))
        self.gap(1.0)

    def tick(self, x_mm: float, base_mm: float, size_mm: float, *, on: bool) -> None:
        """Draw a box to tick. x_mm, base_mm: its lower left corner; size_mm; on: it is ticked."""
        top = base_mm - size_mm
        self.items.append(Area(box(x_mm, top, x_mm + size_mm, base_mm), 1.0, 0.25))
        if on:
            points = ((0.18, 0.55), (0.42, 0.82), (0.85, 0.15))
            way = tuple((x_mm + x * size_mm, top + y * size_mm) for x, y in points)
            self.items.append(Line(way, 0.5))

    def rule(self, left_mm: float, right_mm: float, y_mm: float) -> None:
        """Draw a line to write on. left_mm, right_mm, y_mm."""
        self.items.append(Line(((left_mm, y_mm), (right_mm, y_mm)), 0.2))

    def wrapped(
        self, text: str, size_mm: float, room_mm: float, *, bold: bool = False
    ) -> list[str]:
        """Break words into lines. text; size_mm; room_mm; bold. Returns at least one line."""
        lines: list[str] = []
        line = ""
        for word in self._words(text, size_mm, room_mm, bold):
            longer = f"{line} {word}" if line else word
            if line and self.measure(longer, size_mm, bold) > room_mm:
                lines.append(line)
                line = word
            else:
                line = longer
        return [*lines, line]

    def _words(self, text: str, size_mm: float, room_mm: float, bold: bool) -> Iterable[str]:
        """Words, those that are wider than the column broken where they must be."""
        for word in text.split():
            rest = word
            while len(rest) > 1 and self.measure(rest, size_mm, bold) > room_mm:
                cut = len(rest) - 1
                while cut > 1 and self.measure(rest[:cut], size_mm, bold) > room_mm:
                    cut -= 1
                yield rest[:cut]
                rest = rest[cut:]
            yield rest

    def shortened(self, text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> str:
        """Cut words to one line. text; size_mm; room_mm; bold. Returns it, with '...' where cut."""
        if self.measure(text, size_mm, bold) <= room_mm:
            return text
        while text and self.measure(f"{text}...", size_mm, bold) > room_mm:
            text = text[:-1]
        return f"{text.rstrip()}..."
