"""Torque against the angle of the nut: readings, what the model makes of them, window, next turn.

Lines are painted by `crush_paint`; words are Tk's own.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Sequence
from typing import Any

from desktop.crush_paint import Axes, Painter, next_deg, ticks
from desktop.theme import Theme
from desktop.widgets import badge_looks, draw_on_resize, written_on
from solver.crush import Crush, Tightening
from solver.report_tighten import K95
from solver.torque_units import NEWTON_M_PER, bare_torque, torque_unit_shown

LEAST_ANGLES = 20.0  # degrees that the plot is wide at least
HEAD = 0.35  # of the window's upper end that stands free above it


class CrushPlot(tk.Canvas):
    """The plot; redrawn at every `show`."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: any widget on a card; theme: the look."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=0, bd=0, takefocus=0, width=1,
            height=1,
        )  # fmt: skip
        self._theme = theme
        self._shown: tuple[Crush | None, Tightening | None, bool] = (None, None, False)
        self._lit: int | None = None
        self._picture: Any = None  # Tk forgets a picture that nobody keeps
        self.axes: Axes | None = None  # of what is drawn
        draw_on_resize(self, self._draw)

    def show(self, crush: Crush | None, found: Tightening | None, *, faint: bool = False) -> None:
        """Draw it. crush: as read, None while it cannot be; found: the newest answer; faint: it is
        from before the last change."""
        now = (crush, found, faint)
        if now != self._shown or self.axes is None:
            self._shown = now
            self._draw()

    def light(self, number: int | None) -> None:
        """Light a pause. number: from 1, or None."""
        if number != self._lit:
            self._lit = number
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def _draw(self) -> None:
        self.delete("all")
        self.axes = None
        wide, tall = self.winfo_width(), self.winfo_height()
        crush, found, _ = self._shown
        if wide < 120 or tall < 90:
            return
        crush = crush or (found.crush if found is not None else None)
        if crush is None or not crush.pauses:
            theme = self._theme
            self.create_text(
                wide / 2, tall / 2, text="With a reading, the torque is drawn here.",
                font=theme.font("body"), fill=theme.colours.soft, width=wide * 0.8,
                justify="center",
            )  # fmt: skip
            return
        self.axes = self._laid(crush, found, (wide, tall))
        self._paint(crush, found, (wide, tall))
        self._write_ticks(crush.unit)
        self._write_window(crush, found)
        self._write_next(found)
        self._number(crush)

    # Laying out

    def _laid(self, crush: Crush, found: Tightening | None, size: tuple[int, int]) -> Axes:
        theme = self._theme
        angles = [pause.angle_deg for pause in crush.pauses]
        low, high = min(angles), max(angles)
        if found is not None:
            high = max(high, *(float(angle) for angle in found.angles_deg[-1:]))
        high += max((high - low) * 0.06, 2.0)
        low -= max((high - low) * 0.04, 1.0)
        high = max(high, low + LEAST_ANGLES)
        read = max(p.torque_newton_m + K95 * p.u_newton_m for p in crush.pauses)
        most = max(crush.high_newton_m * (1.0 + HEAD), read * 1.1)
        left = theme.px(8) + theme.wide("caption", bare_torque(most, crush.unit))
        top = theme.tall("caption") + theme.px(12)
        bottom = size[1] - theme.tall("caption") - theme.px(6)
        return Axes(left, size[0] - theme.px(10), top, bottom, (low, high), most)

    def _paint(self, crush: Crush, found: Tightening | None, size: tuple[int, int]) -> None:
        assert self.axes is not None
        faint = self._shown[2]
        painter = Painter(size, self.axes, self._theme, faint=faint)
        painter.ground(crush)
        if found is not None:
            painter.model(found)
        if found is not None and found.advice is not None and not faint:
            painter.next_turn(found)
        painter.readings(crush, self._lit)
        self._picture = tk.PhotoImage(master=self, data=painter.as_ppm())
        self.create_image(0, 0, image=self._picture, anchor="nw", tags="picture")

    # Writing

    def _write_ticks(self, unit: str) -> None:
        axes, theme = self.axes, self._theme
        assert axes is not None
        looks: dict[str, Any] = {"font": theme.font("caption"), "fill": theme.colours.soft}
        self.create_text(
            0, 0, text=_title(unit), anchor="nw", tags="title",
            **looks,
        )  # fmt: skip
        per = NEWTON_M_PER[unit]
        for text, tick in ticks(axes.most_newton_m / per):
            y = axes.y(tick * per)
            self.create_text(axes.left - theme.px(6), y, text=text, anchor="e", tags="y", **looks)
        low, high = axes.angles_deg
        end = theme.wide("caption", "of the nut") + theme.wide("caption", "00°") / 2 + theme.px(4)
        for text, tick in ticks(high - low, low):
            x = axes.x(tick)
            if axes.left <= x < axes.right - end:
                self.create_text(
                    x, axes.bottom + theme.px(3), text=f"{text}°", anchor="n", tags="x", **looks
                )
        self.create_text(
            axes.right, axes.bottom + theme.px(3), text="of the nut", anchor="ne", tags="x", **looks
        )

    def _write_window(self, crush: Crush, found: Tightening | None) -> None:
        """Say the window inside its own band, at the left where the curve has not come yet."""
        axes, theme, c = self.axes, self._theme, self._theme.colours
        assert axes is not None
        words = f"{bare_torque(crush.low_newton_m, crush.unit)} to "
        words += bare_torque(crush.high_newton_m, crush.unit)
        y = (axes.y(crush.low_newton_m) + axes.y(crush.high_newton_m)) / 2
        x = axes.left + theme.px(8)
        name = f"window  {words}"
        first = min(
            (axes.x(p.angle_deg) for p in crush.pauses
             if p.torque_newton_m + K95 * p.u_newton_m > crush.low_newton_m * 0.9),
            default=axes.right,
        )  # fmt: skip
        if found is not None and found.advice is not None:
            first = min(first, axes.x(next_deg(found)[0]))
        if first - x < theme.wide("label", name):
            name = words
        self.create_text(
            x, y, text=name, font=theme.font("label"), fill=c.good, anchor="w", tags="window"
        )

    def _write_next(self, found: Tightening | None) -> None:
        """The next turn over its arrow."""
        axes, theme = self.axes, self._theme
        if found is None or found.advice is None or self._shown[2] or axes is None:
            return
        start, end = (axes.x(angle) for angle in next_deg(found))
        text = f"next {found.advice.turn_deg:g}°"
        half = theme.wide("label", text) / 2
        x = min(max((start + end) / 2, axes.left + half), axes.right - half)
        title = theme.wide("caption", _title(found.crush.unit)) + theme.px(10)
        x = max(x, title + half)
        self.create_text(
            x, axes.top - theme.px(1), text=text, font=theme.font("label"),
            fill=theme.colours.accent, anchor="s", tags="next",
        )  # fmt: skip

    def _number(self, crush: Crush) -> None:
        """The number of each pause by its dot where there is room, and of the lit one always."""
        axes, theme, c = self.axes, self._theme, self._theme.colours
        assert axes is not None
        texts = (item for item in self.find_all() if str(self.type(item)) == "text")
        taken: list[Sequence[float]] = [self.bbox(item) for item in texts]
        ordered = sorted(crush.pauses, key=lambda p: (p.number != self._lit, -p.number))
        for pause in ordered:
            lit = pause.number == self._lit
            up = axes.y(pause.torque_newton_m + K95 * pause.u_newton_m)
            size = theme.space("badge") if lit else theme.tall("caption")
            x, y = axes.x(pause.angle_deg), up - size / 2 - theme.px(3)
            box = (x - size / 2, y - size / 2, x + size / 2, y + size / 2)
            if not lit and any(_touch(box, other) for other in taken):
                continue
            taken.append(box)
            if lit:
                self.create_image(x, y, image=badge_looks(self, theme)[True], tags="lit")
            self.create_text(
                x, y, text=str(pause.number), tags="number",
                font=theme.font("label" if lit else "caption"), fill=c.on_accent if lit else c.ink,
            )  # fmt: skip


def _title(unit: str) -> str:
    return f"rotating torque, {torque_unit_shown(unit)}"


def _touch(one: Sequence[float], other: Sequence[float]) -> bool:
    return (
        one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    )  # fmt: skip
