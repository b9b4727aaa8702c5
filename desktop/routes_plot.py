"""Cost against chance: every plan worth its money as a mark that can be picked, the least filled.

Lines and marks are painted by `routes_paint`; words are Tk's own.
"""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from desktop.routes_labels import Labels, Mark, marks_of
from desktop.routes_paint import Axes, Painter
from desktop.routes_words import done_by
from desktop.theme import Theme
from desktop.widgets import draw_on_resize, written_on

if TYPE_CHECKING:  # loaded with the first answer
    from solver.routes import Point, Routes

NEAR_PX = 22  # that a press may miss a mark by: fingers are thick and gloves thicker
STEPS = (1.0, 2.0, 5.0, 10.0)  # between ticks, times a power of ten


class RoutesPlot(tk.Canvas):
    """The chart; redrawn at every `show`."""

    def __init__(self, parent: tk.Misc, theme: Theme, on_pick: Callable[[Point], object]) -> None:
        """parent: any widget on a card; theme: the look; on_pick: called with a point."""
        super().__init__(
            parent, bg=theme.colours.card, highlightthickness=theme.px(2), bd=0, takefocus=0,
            width=1, height=1, highlightbackground=theme.colours.card,
            highlightcolor=theme.colours.accent,
        )  # fmt: skip
        self._theme, self._on_pick = theme, on_pick
        self._shown: tuple[Routes | None, Point | None, bool] = (None, None, False)
        self._picture: Any = None  # Tk forgets a picture that nobody keeps
        self.axes: Axes | None = None
        self.marks: tuple[Mark, ...] = ()
        self._line: list[tuple[float, float]] = []  # ends of that of equal cost: (cents, chance)
        draw_on_resize(self, self._draw)
        self.bind("<Button-1>", self._pressed)
        self.bind("<Motion>", self._moved)
        for key, step in (("<Left>", -1), ("<Down>", -1), ("<Right>", 1), ("<Up>", 1)):
            self.bind(key, lambda _, step=step: self.step(step))  # type: ignore[misc]  # bound

    def show(self, routes: Routes | None, picked: Point | None, *, faint: bool = False) -> None:
        """Draw it. routes: the newest; picked: the point looked at, None for the advised one;
        faint: they are from before the last change."""
        now = (routes, picked, faint)
        before = self._shown
        if now[0] is before[0] and now[1:] == before[1:] and self.axes is not None:
            return
        self._shown = now
        self.marks = marks_of(routes) if routes is not None else ()
        self.configure(takefocus=len(self.marks) > 1 and not faint)
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts in the order of writing."""
        return written_on(self)

    def step(self, step: int) -> str:
        """Look at the next mark by cost. step: 1 for dearer, -1 for cheaper. Returns 'break'."""
        if self.marks and not self._shown[2]:
            at = min(max(self._at + step, 0), len(self.marks) - 1)
            self._on_pick(self.marks[at].point)
        return "break"

    def nearest(self, x: float, y: float) -> Mark | None:
        """Find the mark at a spot. x, y: on the canvas [px]. Returns it, or None."""
        if self.axes is None or self._shown[2]:
            return None
        axes = self.axes
        found = [
            (math.hypot(axes.x(m.point.cents) - x, axes.y(m.point.chance) - y), place)
            for place, m in enumerate(self.marks)
        ]
        far, place = min(found, default=(math.inf, 0))
        return self.marks[place] if far <= self._theme.px(NEAR_PX) else None

    @property
    def _at(self) -> int:
        """Number of the mark that is looked at."""
        picked = self._shown[1]
        for place, mark in enumerate(self.marks):
            if mark.point == picked or (picked is None and mark.best):
                return place
        return 0

    def _pressed(self, event: tk.Event[Any]) -> None:
        mark = self.nearest(event.x, event.y)
        if mark is not None:
            self.focus_set()
            self._on_pick(mark.point)

    def _moved(self, event: tk.Event[Any]) -> None:
        near = self.nearest(event.x, event.y) is not None
        self.configure(cursor="hand2" if near else "")

    # Drawing

    def _draw(self) -> None:
        self.delete("all")
        self.axes = None
        wide, tall = self.winfo_width(), self.winfo_height()
        routes, picked, faint = self._shown
        if wide < 120 or tall < 80:
            return
        if routes is None or not self.marks:
            return
        self.axes = axes = self._laid(routes, (wide, tall))
        self._line = []
        xs, ys = self._ticks(axes)
        painter = Painter((wide, tall), axes, self._theme, faint=faint)
        painter.ground(routes.answer.job.wanted_chance, xs, ys)
        for route in routes.routes:
            painter.climb([(point.cents, point.chance) for point in route.points])
        self._level(painter, routes, axes)
        for mark in sorted(self.marks, key=lambda mark: mark.best):
            point = mark.point
            painter.mark(
                done_by(point), point.cents, point.chance, best=mark.best, picked=point == picked
            )
        self._picture = tk.PhotoImage(master=self, data=painter.as_ppm())
        self.create_image(0, 0, image=self._picture, anchor="nw", tags="picture")
        words = Labels(self, self._theme, axes, self.marks, routes, self._line)
        words.write_ticks(xs, ys)
        words.write_names(picked, faint=faint)

    def _laid(self, routes: Routes, size: tuple[int, int]) -> Axes:
        theme = self._theme
        chances = [mark.point.chance for mark in self.marks]
        wanted = routes.answer.job.wanted_chance
        low = min(*chances, wanted) - 0.03 if chances else 0.0
        high = min(max(*chances, wanted) + 0.015, 1.0)
        low = max(min(low, high - 0.08), 0.0)
        best = next((mark.point.expected_cents for mark in self.marks if mark.best), 0)
        most = max(*(mark.point.cents for mark in self.marks), best, 100) * 1.12
        left = theme.px(10) + theme.wide("caption", "100")
        top = theme.tall("caption") + theme.px(12)
        bottom = size[1] - theme.tall("caption") - theme.px(9)
        return Axes(left, size[0] - theme.px(14), top, bottom, most, (low, high))

    def _ticks(self, axes: Axes) -> tuple[list[float], list[float]]:
        """Round costs and round chances inside the chart."""
        theme = self._theme
        room = axes.right - axes.left
        most = axes.most_cents / 100.0
        many = max(2, int(room / (theme.wide("caption", f"{most:.0f}") + theme.px(36))))
        step = _round_step(most / many)
        xs = [100.0 * step * k for k in range(int(most / step + 1e-9) + 1)]
        tall = max(2, int((axes.bottom - axes.top) / (theme.tall("caption") * 1.8)))
        low, high = (100.0 * end for end in axes.chances)
        step = max(_round_step((high - low) / tall), 1.0)
        first = math.ceil(low / step - 1e-9)
        ys = [step * k / 100.0 for k in range(first, math.floor(high / step + 1e-9) + 1)]
        return xs, ys

    def _level(self, painter: Painter, routes: Routes, axes: Axes) -> None:
        """Through the least: what costs as much in all. Nothing lies above it."""
        best = next((mark.point for mark in self.marks if mark.best), None)
        redo = routes.costs.redo_cents
        if best is None or redo <= 0 or len(self.marks) < 2:
            return
        whole = best.expected_cents
        low, high = axes.chances
        ends = [
            (cents, 1.0 - (whole - cents) / redo)
            for cents in (max(whole - (1.0 - low) * redo, 0.0), whole - (1.0 - high) * redo)
        ]
        ends = [(min(max(c, 0.0), axes.most_cents), p) for c, p in ends]
        if ends[1][0] > ends[0][0]:
            painter.level(*ends)
            self._line = ends


def _round_step(least: float) -> float:
    """The first round step that is no smaller. least: above 0."""
    power = 10.0 ** math.floor(math.log10(max(least, 1e-9)))
    return next(k * power for k in STEPS if k * power >= least * (1.0 - 1e-9))
