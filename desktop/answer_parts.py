"""What the verdict is drawn with: the strip of a result, a row of another plan, the marks."""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from typing import Any

from desktop import pixels
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.tokens import SURE_FAMILY, mixed
from solver.findings import Other, ResultFound
from solver.report import bare_length, counts, length, signed_words, way_words

MARKS = {"good": "✓", "warn": "!", "bad": "✕"}  # the shape says it as well as the colour


class Strip(Drawn):
    """One result: the wanted range as a band, the expected value as dot, its 95 % as a line."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        found: ResultFound,
        *,
        wide: int,
        tone: str,
        names: tuple[str, str],
        unit: str,
        words: str = "UK",
        compact: bool = False,
    ) -> None:
        """parent: any widget; theme: the look; found: the result; wide: room [px]; tone: 'good',
        'warn' or 'bad'; names: of the result as shown, whole and short; unit, words: as shown;
        compact: the limits' figures are left out."""
        ground = getattr(theme.colours, f"{tone}_tint")
        super().__init__(parent, theme, ground)
        self._images: list[tk.PhotoImage] = []
        figures = (
            signed_words(found.name, found.predicted_um, unit, words),
            length(found.predicted_um, unit),
        )
        self._write_head(wide, names, figures)
        top = theme.tall("label") + theme.px(3)
        tall = theme.px(12)
        self._low, self._span = _range(found)
        self._wide = wide
        self._draw_track(found, ground, top, tall)
        self._draw_expected(found, ground, top + tall / 2)
        bottom = top + tall + theme.px(1)
        if not compact:
            self._write_limits(found, unit, bottom)
            self._write_ways(way_words(found.name, words), bottom)
            bottom += theme.tall("caption")
        self.configure(width=wide, height=bottom)

    def _x(self, value_um: float) -> float:
        share = (value_um - self._low) / self._span
        return self._wide * min(max(share, 0.0), 1.0)

    def _write_head(self, wide: int, names: tuple[str, str], figures: tuple[str, str]) -> None:
        """Name and figure, the fullest pair that fits."""
        theme, c = self._theme, self._theme.colours
        pairs = [(name, figure) for figure in figures for name in names]
        name, figure = next((pair for pair in pairs if self._apart(*pair) <= wide), pairs[-1])
        drop = theme.font("label").metrics("ascent") - theme.font("caption").metrics("ascent")
        self.create_text(0, drop, text=name, font=theme.font("caption"), fill=c.ink, anchor="nw")
        self.create_text(
            wide,
            0,
            text=figure,
            font=theme.font("label"),
            fill=c.ink,
            anchor="ne",
        )

    def _apart(self, name: str, figure: str) -> int:
        theme = self._theme
        return theme.wide("caption", name) + theme.px(8) + theme.wide("label", figure)

    def _draw_track(self, found: ResultFound, ground: str, top: int, tall: int) -> None:
        c = self._theme.colours
        ends = (self._x(found.low_um), self._x(found.high_um))
        self.create_rectangle(
            0, top, self._wide, top + tall, fill=mixed(ground, c.ink, 0.09), width=0
        )
        self.create_rectangle(
            ends[0], top, ends[1], top + tall, fill=mixed(ground, c.good, 0.5), width=0, tags="band"
        )
        nought = (0.0 - self._low) / self._span
        if any(way_words(found.name, "UK")) and 0.0 < nought < 1.0:  # where its sign turns
            x = self._wide * nought
            self.create_line(x, top, x, top + tall, fill=ground, tags="nought")

    def _draw_expected(self, found: ResultFound, ground: str, middle: float) -> None:
        theme, c = self._theme, self._theme.colours
        low, high = (self._x(end) for end in found.expect_um)
        half = theme.px(3) / 2
        self.create_rectangle(
            low, middle - half, high, middle + half, fill=c.ink, width=0, tags="line"
        )
        size = theme.px(13)
        picture = pixels.disc(
            self, diameter=size, fill=ground, edge=c.ink, edge_px=2.5 * theme.zoom
        )
        self._images.append(picture)
        at = min(max(self._x(found.predicted_um), size / 2), self._wide - size / 2)
        self.create_image(at, middle, image=picture, tags="dot")

    def _write_limits(self, found: ResultFound, unit: str, top: int) -> None:
        """The limits under the band's ends, pushed apart where they would touch."""
        theme = self._theme
        placed: list[tuple[float, float, str]] = []
        for value_um in (found.low_um, found.high_um):
            if math.isfinite(value_um):
                text = bare_length(value_um, unit, True)
                half = theme.wide("caption", text) / 2
                x = min(max(self._x(value_um), half), self._wide - half)
                placed.append((x, half, text))
        if len(placed) == 2:
            (low, half, left), (high, other, right) = placed
            over = low + half + theme.px(8) - (high - other)
            if over > 0:
                low, high = low - over / 2, high + over / 2
                placed = [(max(low, half), half, left)]
                placed.append((min(high, self._wide - other), other, right))
        for x, _, text in placed:
            self.create_text(
                x,
                top,
                text=text,
                font=theme.font("caption"),
                fill=theme.colours.ink,
                anchor="n",
                tags="limit",
            )

    def _write_ways(self, ways: tuple[str, str], top: int) -> None:
        """What lies at either end, beside the limits where there is room."""
        theme = self._theme
        boxes = [self.bbox(item) for item in self.find_withtag("limit")]
        first = min((box[0] for box in boxes), default=self._wide)
        last = max((box[2] for box in boxes), default=0)
        rooms = (first - theme.px(6), self._wide - last - theme.px(6))
        for place, (way, room) in enumerate(zip(ways, rooms, strict=True)):
            text = next((t for t in (way, way.split(" ")[-1]) if self._fits(t, room)), "")
            if text:
                self.create_text(
                    self._wide if place else 0, top, text=text, font=theme.font("caption"),
                    fill=theme.colours.ink, anchor="ne" if place else "nw", tags="way",
                )  # fmt: skip

    def _fits(self, text: str, room: float) -> bool:
        return bool(text) and self._theme.wide("caption", text) <= room


def _range(found: ResultFound) -> tuple[float, float]:
    """Low end and span of a strip, the wanted band about its middle half."""
    ends = [end for end in (found.low_um, found.high_um) if math.isfinite(end)]
    ends += [*found.expect_um, found.predicted_um]
    low, high = min(ends), max(ends)
    margin = 0.18 * (high - low) or 1.0
    return low - margin, high - low + 2 * margin


class PlanRow(Drawn):
    """Another plan on one line, to be picked with pointer or keyboard."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        other: Other,
        *,
        wide: int,
        unit: str,
        picked: Callable[[], object],
    ) -> None:
        """parent: any widget; theme: the look; other: the plan; wide: room [px]; unit: as shown;
        picked: called when it is picked."""
        super().__init__(parent, theme, theme.colours.card)
        self._picked = picked
        self._hover = self._focused = False
        chance = counts(other.chance).replace("more than ", "> ").replace("fewer than ", "< ")
        self._chance = chance
        totals = [bare_length(stack.thickness_um, unit, True) for stack in other.plan.stacks]
        needs = sum(theme.wide("caption", text) + theme.px(5) for text in totals)
        needs += (len(totals) - 1) * (theme.wide("caption", "+ ") + theme.px(3))
        beside = needs + theme.px(6) + theme.wide("caption", chance) <= wide
        rows = 1 if beside else 2  # four totals in large type leave no room for a chance
        tall = rows * theme.tall("caption") + theme.px(8)
        self.configure(width=wide, height=tall, cursor="hand2", takefocus=1)
        self._size = (wide, tall)
        high = theme.tall("caption") / 2
        self._rows = (tall / 2, tall / 2) if beside else (tall / 2 - high, tall / 2 + high)
        self._write(other, totals)
        for event, change in (
            ("<Enter>", {"hover": True}),
            ("<Leave>", {"hover": False}),
            ("<FocusIn>", {"focus": True}),
            ("<FocusOut>", {"focus": False}),
        ):
            self.bind(event, self._changer(change), add="+")
        for event in ("<Button-1>", "<Return>", "<KP_Enter>", "<space>"):
            self.bind(event, lambda _: self.invoke(), add="+")

    def invoke(self) -> None:
        """Pick this plan, as a click does."""
        self._picked()

    def _changer(self, change: dict[str, bool]) -> Callable[[object], None]:
        def changed(_: object) -> None:
            self._hover = change.get("hover", self._hover)
            self._focused = change.get("focus", self._focused)
            c = self._theme.colours
            self.configure(bg=c.tint if self._hover or self._focused else c.card)
            self.itemconfigure("ring", state="normal" if self._focused else "hidden")

        return changed

    def _write(self, other: Other, totals: list[str]) -> None:
        """The totals side by side in their colours, pieces, and at the right the chance."""
        theme, c = self._theme, self._theme.colours
        wide, tall = self._size
        (first, middle), chance = self._rows, self._chance
        x = 0.0
        figures: dict[str, Any] = {"fill": c.ink, "font": theme.font("caption"), "anchor": "w"}
        for place, (stack, text) in enumerate(zip(other.plan.stacks, totals, strict=True)):
            if place:
                self.create_text(x, first, text="+", **{**figures, "fill": c.soft})
                x += theme.wide("caption", "+ ") + theme.px(3)
            self.create_text(x, first, text=text, **{**figures, "fill": theme.side(stack.seat)})
            x += theme.wide("caption", text) + theme.px(5)
        if first != middle:
            x = 0.0
        left = wide - theme.wide("caption", chance)
        self.create_text(left, middle, text=chance, **figures)
        pieces = f"{other.plan.shims} shim{'' if other.plan.shims == 1 else 's'}"
        room = left - x - theme.px(10)
        if theme.wide("caption", pieces) <= room:
            half = theme.wide("caption", pieces) / 2
            centre = max(wide * 0.54, x + theme.px(5) + half)
            self.create_text(
                min(centre, left - theme.px(5) - half),
                middle,
                text=pieces,
                **{**figures, "fill": c.soft, "anchor": "center"},
            )
        self.create_rectangle(
            0, tall - 2, wide, tall, fill=c.accent, width=0, state="hidden", tags="ring"
        )


def mark_font(theme: Theme) -> tuple[str, int, str]:
    """Give a font that has the marks. theme: the look. Returns (family, size, weight)."""
    return (SURE_FAMILY, int(theme.font("label").cget("size")), "bold")
