"""The words of the chart of cost against chance: ticks, the wanted chance, the marks that matter.

A word stands where nothing else does, or not at all.
"""

from __future__ import annotations

import tkinter as tk
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from desktop.routes_paint import Axes
from desktop.routes_words import WAYS, bare_money, done_by
from desktop.theme import Theme
from solver.report_words import wanted_counts

if TYPE_CHECKING:  # loaded with the first answer
    from solver.routes import Point, Routes

SAME = "the same in all"
Line = list[tuple[float, float]]  # its ends as (cents, chance), none for no line


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of the routes where it is drawn."""

    point: Point
    best: bool


def marks_of(routes: Routes) -> tuple[Mark, ...]:
    """List every point once, also where several ways share it. routes. Returns them by cost."""
    advised = routes.best.best if routes.best is not None else None
    points: list[Point] = []
    for route in routes.routes:
        points += [point for point in route.points if point not in points]
    points.sort(key=lambda point: (point.cents, point.chance))
    return tuple(Mark(point, point == advised) for point in points)


@dataclass(frozen=True, slots=True)
class Labels:
    """Writes on a chart that is painted."""

    canvas: tk.Canvas
    theme: Theme
    axes: Axes
    marks: tuple[Mark, ...]
    routes: Routes
    line: Line  # of equal cost

    def write_ticks(self, xs: list[float], ys: list[float]) -> None:
        """Write costs and chances. xs: ticks in cents; ys: ticks as chances."""
        theme, axes, routes, c = self.theme, self.axes, self.routes, self.theme.colours
        looks: dict[str, Any] = {"font": theme.font("caption"), "fill": c.soft}
        self.canvas.create_text(
            theme.px(3), theme.px(2), text="builds of 100", anchor="nw", tags="title", **looks
        )
        for chance in ys:
            y = axes.y(chance)
            text = f"{100 * chance:.0f}"
            self.canvas.create_text(
                axes.left - theme.px(6), y, text=text, anchor="e", tags="y", **looks
            )
        said = f"{routes.costs.currency} to pay, time counted".strip()
        if theme.wide("caption", said) > (axes.right - axes.left) * 0.6:
            said = routes.costs.currency[:12] or "to pay"
        end = axes.right - theme.wide("caption", said) - theme.px(8)
        y = axes.bottom + theme.px(5)
        for cents in xs:
            text, x = f"{cents / 100:g}", axes.x(cents)
            if x + theme.wide("caption", text) / 2 < end:
                self.canvas.create_text(x, y, text=text, anchor="n", tags="x", **looks)
        self.canvas.create_text(axes.right, y, text=said, anchor="ne", tags="x", **looks)

    def write_names(self, picked: Point | None, *, faint: bool) -> None:
        """Name the wanted chance, the least and what is looked at, where nothing is in the way.

        picked: the point looked at, None for the advised one; faint: from before the last change.
        """
        theme, axes, c = self.theme, self.axes, self.theme.colours
        wanted = self.routes.answer.job.wanted_chance
        text = f"{wanted_counts(wanted).removesuffix(' of 100')} wanted"
        wide, half = theme.wide("caption", text), theme.tall("caption") / 2
        y, gap = axes.y(wanted), theme.px(3) + half
        spots = [
            (left, y + down * gap)
            for left in (axes.right - wide - theme.px(2), axes.left + theme.px(6))
            for down in (1, -1)
        ]
        free = (spot for spot in spots if not self._taken(_box(spot, wide, half)))
        left, middle = next(free, spots[0])
        self.canvas.create_text(
            left, middle, text=text, anchor="w", font=theme.font("caption"), fill=c.good,
            tags="wanted",
        )  # fmt: skip
        for mark in self.marks:
            if mark.best or mark.point == picked:
                self._name_mark(mark, faint=faint)
        if self.line:
            self._name_line()

    def _name_mark(self, mark: Mark, *, faint: bool) -> None:
        theme, axes, c = self.theme, self.axes, self.theme.colours
        point = mark.point
        word = WAYS[done_by(point)]
        texts = [f"{word}: {bare_money(point.expected_cents)} in all", word]
        x, y = axes.x(point.cents), axes.y(point.chance)
        gap = theme.px(15)
        fill = c.soft if faint else c.accent if mark.best else c.ink
        half = theme.tall("label") / 2
        for text in texts:
            wide = theme.wide("label", text)
            spots = [
                (left, y + down * half)
                for down in (0.0, 1.5, -1.5, 2.6)
                for left in (x + gap, x - gap - wide)
            ]
            spots += [(x - wide / 2, y + side * (gap + half)) for side in (1, -1)]
            for left, middle in spots:
                if self._taken(_box((left, middle), wide, half)):
                    continue
                self.canvas.create_text(
                    left, middle, text=text, anchor="w", font=theme.font("label"), fill=fill,
                    tags="name",
                )  # fmt: skip
                return

    def _name_line(self) -> None:
        """Say what the dashed line is, above it or below it, as far left as there is room."""
        theme, axes = self.theme, self.axes
        wide, tall = theme.wide("caption", SAME), theme.tall("caption")
        for side in (-0.75, 0.75):
            for part in (0.02, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6):
                left = axes.left + theme.px(6) + part * (axes.right - axes.left)
                middle = self._line_y(left) + side * tall
                if not self._taken(_box((left, middle), wide, tall / 2)):
                    self.canvas.create_text(
                        left, middle, text=SAME, anchor="w", font=theme.font("caption"),
                        fill=theme.colours.soft, tags="line",
                    )  # fmt: skip
                    return

    def _line_y(self, x: float) -> float:
        axes = self.axes
        (x0, y0), (x1, y1) = ((axes.x(cents), axes.y(chance)) for cents, chance in self.line)
        return y0 + (y1 - y0) * (x - x0) / (x1 - x0)

    def _climbs(self) -> list[tuple[int, int, int, int]]:
        """The lines of the ways' climbs, as boxes."""
        axes, boxes = self.axes, []
        for route in self.routes.routes:
            at = [(int(axes.x(p.cents)), int(axes.y(p.chance))) for p in route.points]
            for (x0, y0), (x1, y1) in pairwise(at):
                boxes += [(x0, y0 - 1, x1, y0 + 1), (x1 - 1, y1, x1 + 1, y0)]
        return boxes

    def _taken(self, box: tuple[float, float, float, float]) -> bool:
        """Whether text, mark or line stands where text is to be written, or the axes end."""
        drawn = self.canvas
        boxes = [drawn.bbox(one) for one in drawn.find_all() if str(drawn.type(one)) == "text"]
        reach, axes = self.theme.px(6), self.axes
        if box[0] < axes.left + 2 or box[2] > axes.right:
            return True
        if box[1] < axes.top - reach or box[3] > axes.bottom:
            return True
        if self.line:
            ends = [self._line_y(x) for x in (box[0], box[2])]
            if min(ends) < box[3] and max(ends) > box[1]:
                return True
        for mark in self.marks:
            x, y = axes.x(mark.point.cents), axes.y(mark.point.chance)
            boxes.append((int(x - reach), int(y - reach), int(x + reach), int(y + reach)))
        boxes += self._climbs()
        return any(
            box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]
            for other in boxes
        )  # fmt: skip


def _box(spot: tuple[float, float], wide: float, half: float) -> tuple[float, float, float, float]:
    """What a text takes. spot: its left end, in the middle of its height; half: of its height."""
    return spot[0], spot[1] - half, spot[0] + wide, spot[1] + half
