"""The torque now beside its window, as a strip."""

from __future__ import annotations

import tkinter as tk
from typing import Any

from desktop import pixels
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.tokens import mixed
from solver.crush import Tightening
from solver.report_tighten import K95
from solver.torque_units import bare_torque, torque_unit_shown


class TorqueStrip(Drawn):
    """The torque now: its window as a band, the estimate as a dot, 95 of 100 as a line."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, found: Tightening, wide: int, faint: bool
    ) -> None:
        """parent: on a card; theme: the look; found: the answer; wide: room [px]; faint: it is from
        before the last change."""
        super().__init__(parent, theme, theme.colours.card)
        self._wide, self._images = wide, list[tk.PhotoImage]()
        crush, c = found.crush, theme.colours
        span = max(crush.high_newton_m * 1.3, (found.torque_newton_m + 3 * found.u_newton_m) * 1.05)
        half = K95 * found.u_newton_m
        ink = c.soft if faint else c.ink
        y = self._head(found, half, ink)
        tall = theme.px(14)

        def at(newton_m: float) -> float:
            return wide * min(max(newton_m / span, 0.0), 1.0)

        low, high = at(crush.low_newton_m), at(crush.high_newton_m)
        self.create_rectangle(0, y, wide, y + tall, fill=mixed(c.card, c.ink, 0.09), width=0)
        band = mixed(c.card, c.quiet if faint else c.good, 0.5)
        self.create_rectangle(low, y, high, y + tall, fill=band, width=0, tags="band")
        middle, thick = y + tall / 2, theme.px(3) / 2
        ends = (at(found.torque_newton_m - half), at(found.torque_newton_m + half))
        self.create_rectangle(
            ends[0], middle - thick, ends[1], middle + thick, fill=ink, width=0, tags="line"
        )
        size = theme.px(13)
        dot = pixels.disc(self, diameter=size, fill=c.card, edge=ink, edge_px=2.5 * theme.zoom)
        self._images.append(dot)
        x = min(max(at(found.torque_newton_m), size / 2), wide - size / 2)
        self.create_image(x, middle, image=dot, tags="dot")
        bottom = self._limits(found, (low, high), y + tall + theme.px(1))
        self.configure(width=wide, height=bottom)

    def _head(self, found: Tightening, half: float, ink: str) -> int:
        """Name and figure, the figure below where both do not fit."""
        theme, unit = self._theme, found.crush.unit
        words: dict[str, Any] = {"font": theme.font("caption"), "fill": theme.colours.soft}
        figure = f"{bare_torque(found.torque_newton_m, unit)} ± {bare_torque(half, unit)}"
        shown = f" {torque_unit_shown(unit)}"
        name = "torque now"
        need = theme.wide("value", figure) + theme.wide("caption", shown)
        left = self._wide - need
        y = 0
        if theme.wide("caption", name) + theme.px(10) > left:
            self.create_text(0, 0, text=name, anchor="nw", **words)
            y, left = theme.tall("caption"), 0
        drop = theme.font("value").metrics("ascent") - theme.font("caption").metrics("ascent")
        if not y:
            self.create_text(0, drop, text=name, anchor="nw", **words)
        self.create_text(
            left, y, text=figure, font=theme.font("value"), fill=ink, anchor="nw", tags="figure"
        )
        self.create_text(self._wide if not y else need, y + drop, text=shown, anchor="ne", **words)
        return y + theme.tall("value") + theme.px(3)

    def _limits(self, found: Tightening, ends: tuple[float, float], top: int) -> int:
        """The window's ends under the band, pushed apart where they would touch."""
        theme, unit = self._theme, found.crush.unit
        texts = [bare_torque(end, unit) for end in (found.crush.low_newton_m,
                                                    found.crush.high_newton_m)]  # fmt: skip
        halves = [theme.wide("caption", text) / 2 for text in texts]
        xs = [min(max(x, half), self._wide - half) for x, half in zip(ends, halves, strict=True)]
        short = halves[0] + halves[1] + theme.px(6) - (xs[1] - xs[0])
        if short > 0:
            xs = [xs[0] - short / 2, xs[1] + short / 2]
            if xs[1] > self._wide - halves[1]:
                xs = [x - (xs[1] - self._wide + halves[1]) for x in xs]
        for x, text in zip(xs, texts, strict=True):
            self.create_text(
                x, top, text=text, font=theme.font("caption"), fill=theme.colours.soft, anchor="n"
            )
        return top + theme.tall("caption")
