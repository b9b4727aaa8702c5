"""Backlash round the wheel: a dot a tooth, the run-out through them, the tight spot marked.

The first tooth stands at the top and the turn goes clockwise; further out is more backlash. Painted
three times too large and brought down, which smooths every line.
"""

from __future__ import annotations

import math
import tkinter as tk
from typing import TYPE_CHECKING, Any

from desktop.theme import Theme
from desktop.tokens import mixed
from desktop.widgets import draw_on_resize, written_on
from solver.report_words import length
from solver.wheel_round import LEAST_TEETH, Harmonic, fit_harmonic

if TYPE_CHECKING:
    from PIL import ImageDraw

SMOOTH = 3  # times too large
TALL = 116  # px, of the whole chart
INNER = 0.42  # of the outer circle's radius, where the least backlash stands
TOO_FEW = "Three teeth or more, at equal steps of a turn"


class Polar(tk.Canvas):
    """The chart with two lines of words beside it; redrawn at every `show`."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, takefocus=0, width=1,
            height=theme.px(TALL),
        )  # fmt: skip
        self._theme = theme
        self._values: tuple[float, ...] = ()
        self._unit = "mm"
        self._picture: Any = None  # Tk forgets a picture that nobody keeps
        draw_on_resize(self, self._draw)

    def show(self, values_um: tuple[float, ...], unit: str) -> None:
        """Show readings round the wheel. values_um: in order [µm, (n,)]; unit: as shown."""
        if (values_um, unit) != (self._values, self._unit):
            self._values, self._unit = values_um, unit
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        self.delete("all")
        theme, c = self._theme, self._theme.colours
        wide = self.winfo_width()
        if wide < 80:
            return
        if len(self._values) < LEAST_TEETH:
            self.create_text(
                0, theme.px(4), text=TOO_FEW, font=theme.font("caption"), fill=c.soft, anchor="nw",
                width=wide,
            )  # fmt: skip
            return
        found = fit_harmonic(self._values)
        size = min(theme.px(TALL), wide // 2)
        self._paint(found, size)
        half = math.hypot(found.cosine, found.sine)
        turn = math.atan2(-found.sine, -found.cosine) % math.tau
        tooth = round(turn / math.tau * len(self._values)) % len(self._values) + 1
        lines = (
            ("label", c.ink, f"Wanders {length(2.0 * half, self._unit)}"),
            ("caption", c.ink, f"mean {length(found.mean, self._unit)}"),
            ("caption", c.warn, f"▲ tightest at {tooth} of {len(self._values)}"),
        )
        y = (theme.px(TALL) - sum(theme.tall(font) + theme.px(3) for font, _, _ in lines)) / 2
        for font, colour, text in lines:
            self.create_text(
                size + theme.px(12), y, text=text, font=theme.font(font), fill=colour, anchor="nw",
                width=wide - size - theme.px(12),
            )  # fmt: skip
            y += theme.tall(font) + theme.px(3)

    def _paint(self, found: Harmonic, size: int) -> None:
        from PIL import Image, ImageDraw, ImageTk  # late: not wanted before the first paint

        c = self._theme.colours
        whole = size * SMOOTH
        image = Image.new("RGB", (whole, whole), c.card)
        pen = ImageDraw.Draw(image)
        middle, line = whole / 2, self._theme.zoom * SMOOTH
        outer = middle - 6 * line
        half = math.hypot(found.cosine, found.sine)
        low = min(*self._values, found.mean - half)
        span = max(*self._values, found.mean + half) - low or 1.0

        def at(turn: float, value: float) -> tuple[float, float]:
            far = outer * (INNER + (1.0 - INNER) * (value - low) / span)
            return middle + far * math.sin(turn), middle - far * math.cos(turn)

        def ring(value: float, fill: str, wide: float) -> None:
            far = middle - at(0.0, value)[1]
            box = (middle - far, middle - far, middle + far, middle + far)
            pen.ellipse(box, outline=fill, width=max(round(wide), 1))

        faint = mixed(c.card, c.ink, 0.18)
        ring(low, faint, line)
        ring(low + span, faint, line)
        count = len(self._values)
        for tooth in range(count):
            turn = math.tau * tooth / count
            pen.line([at(turn, low), at(turn, low + span)], fill=faint, width=max(round(line), 1))
        curve = [
            at(turn, found.mean + found.cosine * math.cos(turn) + found.sine * math.sin(turn))
            for turn in (math.tau * step / 120 for step in range(121))
        ]
        pen.line(curve, fill=c.accent, width=round(2.2 * line), joint="curve")
        for tooth, value in enumerate(self._values):
            _dot(pen, at(math.tau * tooth / count, value), 3.6 * line, c.ink)
        tight = math.atan2(-found.sine, -found.cosine)
        _arrow(pen, (middle, middle), tight, (outer * INNER - 3 * line, 9 * line), c.warn)
        small = image.resize((size, size), Image.Resampling.LANCZOS)
        self._picture = ImageTk.PhotoImage(small, master=self)
        self.create_image(0, (self._theme.px(TALL) - size) / 2, image=self._picture, anchor="nw")


def _dot(pen: ImageDraw.ImageDraw, spot: tuple[float, float], half: float, fill: str) -> None:
    x, y = spot
    pen.ellipse((x - half, y - half, x + half, y + half), fill=fill)


def _arrow(
    pen: ImageDraw.ImageDraw,
    centre: tuple[float, float],
    turn: float,
    reach: tuple[float, float],
    fill: str,
) -> None:
    """An arrowhead from the middle towards the tight spot. reach: of its tip, its length."""
    tip, tall = reach

    def at(far: float, aside: float) -> tuple[float, float]:
        x, y = centre
        return (
            x + far * math.sin(turn) + aside * math.cos(turn),
            y - far * math.cos(turn) + aside * math.sin(turn),
        )

    pen.polygon([at(tip, 0.0), at(tip - tall, 0.6 * tall), at(tip - tall, -0.6 * tall)], fill=fill)
