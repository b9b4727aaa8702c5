"""What is written of the pinion in the drawing: stacks beside the metal, its distance inside."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable

from desktop.pinion_places import Beside, Depth
from desktop.section import Section
from desktop.section_pinion import PinionSaid
from desktop.stacks_drawn import beside_words
from desktop.theme import Theme
from desktop.tokens import trade_name
from solver.plan import Plan, SeatStack
from solver.report_words import length

At = Callable[[float, float], tuple[float, float]]  # drawing units to [px]
CLEAR_OF_BADGE = 116.0  # the badge of the mounting distance stands above, in drawing units


class PinionWriter:
    """Writes on the canvas of a drawing; made anew for every drawing."""

    def __init__(
        self,
        canvas: tk.Canvas,
        theme: Theme,
        at: At,
        badges: tuple[tuple[float, float], ...],
        how: tuple[str, str],
    ) -> None:
        """canvas: of the drawing; theme: the look; at: turns drawing units into [px]; badges: where
        they stand [px]; how: unit and words that are shown."""
        self._canvas, self._theme, self._at = canvas, theme, at
        self._badges = badges
        self._unit, self._words = how

    def write(self, section: Section, plan: Plan | None, said: PinionSaid) -> None:
        """Write everything. section: as drawn; plan: or None; said: by the job of its pinion."""
        for one in section.beside:
            if one.sleeve:
                self._write_sleeve(one)
            else:
                self._write_stack(one, plan)
        if section.depth is not None:
            self._write_depth(section.depth, said)

    def _write_stack(self, one: Beside, plan: Plan | None) -> None:
        """Extension lines out of the metal, the dimension line, and the total beside it."""
        theme, c = self._theme, self._theme.colours
        stack = next((s for s in plan.stacks if s.seat == one.seat), None) if plan else None
        colour = theme.side(one.seat) if stack is not None else c.soft
        dash = () if stack is not None else (theme.px(3), theme.px(3))
        way = -1 if one.line < 0 else 1
        (near, top), (line, bottom) = self._at(one.near, one.top), self._at(one.line, one.bottom)
        line, top, bottom = round(line), round(top), round(bottom)
        lines = beside_words(stack, trade_name(one.seat, self._words), self._unit)
        clear = self._at(0, one.clear)[1] + theme.px(5)
        chosen, used, text_x, text_top = self._placed(
            lines, self._fonts(stack), line + way * theme.px(7), way, (clear, (top + bottom) / 2)
        )
        high = sum(theme.tall(font) for font in used)
        foot = max(bottom, text_top + high / 2)  # down to what is written
        for y in (top, bottom) if one.bottom > one.top else ():
            ends = (near + way * theme.px(2), y, line + way * theme.px(3), y)
            self._canvas.create_line(*ends, fill=colour, width=theme.px(1), dash=dash)
        self._canvas.create_line(line, top, line, foot, fill=colour, width=theme.px(2))
        tags = ("beside", one.seat.replace(" ", "-"))
        for text, font in zip(chosen, used, strict=True):
            self._canvas.create_text(
                text_x, text_top, text=text, font=theme.font(font), fill=colour,
                anchor="ne" if way < 0 else "nw", tags=tags,
            )  # fmt: skip
            text_top += theme.tall(font)

    def _placed(
        self,
        lines: tuple[tuple[str, ...], ...],
        fonts: tuple[str, str],
        inner: float,
        way: int,
        rows: tuple[float, float],
    ) -> tuple[tuple[str, ...], tuple[str, ...], float, float]:
        """Choose the fullest text that fits up to the drawing's edge, as near the line as can be.

        lines: at falling width; fonts: of the name and of the figure; inner: edge of the text that
        is next to the line; way: -1 to the left, +1 to the right; rows: the highest that a text may
        stand, and the middle of its stack [px]. Returns: text, fonts, place of its inner corner.
        """
        theme, (clear, middle) = self._theme, rows
        smaller = ((lines[-1], (name,)) for name in ("label", "caption"))
        for chosen, written in (*((text, fonts) for text in lines), *smaller):
            used = written[-len(chosen) :]
            high = sum(theme.tall(font) for font in used)
            tops = (max(clear, middle - high / 2), clear)
            found = [(self._beside_badges(inner, way, (top, top + high)), top) for top in tops]
            x, top = min(found, key=lambda place: abs(place[0] - inner))
            room = x - theme.px(2) if way < 0 else self._canvas.winfo_width() - x
            if max(map(theme.wide, used, chosen)) <= room:
                break
        return chosen, used, x, top

    def _beside_badges(self, x: float, way: int, rows: tuple[float, float]) -> float:
        """Move a text outwards until no badge stands on it. x: its inner edge; rows: top, bottom.

        A badge further out than a text is wide bars it all the same: there is room on its far side.
        """
        half = self._theme.space("badge") / 2 + self._theme.px(3)
        for bx, by in sorted(self._badges, key=lambda badge: way * badge[0]):
            if rows[0] - half < by < rows[1] + half and way * (bx - x) > -half:
                x = bx + way * half
        return x

    def _fonts(self, stack: SeatStack | None) -> tuple[str, str]:
        """Type of the name and of what is below it: a figure larger than its want."""
        return "label", "dimension" if stack is not None and stack.pieces else "label"

    def _write_sleeve(self, one: Beside) -> None:
        """The crush spacer has a name and a leader, and nothing to be chosen."""
        theme = self._theme
        way = -1 if one.line < 0 else 1
        spot = self._at(one.near, one.top)
        x, y = self._at(one.line, one.top)
        y = max(y, self._at(0, one.clear)[1] + theme.px(5) + theme.tall("caption") / 2)
        colour = theme.colours.ink
        self._canvas.create_line(*spot, x, y, fill=colour, width=theme.px(1))
        self._canvas.create_text(
            x + way * theme.px(4), y, text=trade_name(one.seat, self._words), fill=colour,
            font=theme.font("caption"), anchor="w" if way > 0 else "e",
            tags=("beside", "crush-spacer"),
        )  # fmt: skip

    def _write_depth(self, depth: Depth, said: PinionSaid) -> None:
        """From the wheel's axis to the pinion's face, and what is wanted where there is room."""
        theme, c = self._theme, self._theme.colours
        way = -1 if depth.line < 0 else 1
        (x, face), (foot, axis) = self._at(depth.line, depth.face), self._at(depth.foot, 0.0)
        x = round(x)
        self._canvas.create_line(
            foot, round(face), x + way * theme.px(4), round(face), fill=c.ink, width=theme.px(1)
        )
        shape = (theme.px(7), theme.px(8), theme.px(3))
        self._canvas.create_line(
            x, round(axis), x, round(face), fill=c.ink, width=theme.px(1), arrow="both",
            arrowshape=shape, tags="depth-line",
        )  # fmt: skip
        room = abs(self._at(depth.wall, 0)[0] - x) - theme.px(10)
        low = self._at(0, depth.floor)[1] - theme.px(3)
        tall = low - self._at(0, CLEAR_OF_BADGE)[1]
        line = theme.tall("caption")
        for texts in self._depth_words(said):
            wide = max(theme.wide("caption", text) for text in texts)
            if wide <= room and line * len(texts) <= tall:
                for place, text in enumerate(reversed(texts)):
                    self._canvas.create_text(
                        x + way * theme.px(7), low - place * line, text=text,
                        font=theme.font("caption"), fill=c.ink, anchor="sw" if way > 0 else "se",
                        tags="depth",
                    )  # fmt: skip
                return

    def _depth_words(self, said: PinionSaid) -> tuple[tuple[str, ...], ...]:
        """What the distance is, in lines, the fullest first."""
        figure = () if said.wanted_um is None else (length(said.wanted_um, self._unit, True),)
        whole = ("mounting", "distance", *figure)
        shorter = ((f"to {said.face}", *figure), figure) if figure else ((f"to {said.face}",),)
        return (whole, *shorter)
