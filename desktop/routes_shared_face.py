"""The jobs that share one order: the list, and what each is fitted with; goes on the stage."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from pathlib import Path
from tkinter import ttk
from typing import Any

from desktop.answer_parts import MARKS, mark_font
from desktop.column import ScrollColumn
from desktop.form_chips import Flow
from desktop.form_parts import Line
from desktop.routes_answer import PieceBlock
from desktop.routes_shared_said import ADD, JobRow
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.widgets import draw_on_resize, quiet_button

SEAT_PX = 300  # at 96 dpi and the usual type: a seat's room where several stand side by side
MOST_BESIDE = 2
REMOVE = "Remove"
HINT = (
    "Added jobs stay on this list until the window closes. They are read from their files whenever"
    " the order is worked out, and never written."
)


class OrderFace(ttk.Frame):
    """The list, drawn anew from scratch at every `show` that brings anything new."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_add: Callable[[], object],
        on_remove: Callable[[Path], object],
    ) -> None:
        """parent: on a card; theme: the look; on_add: asks for jobs; on_remove: takes the job of a
        file off the list."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._on_remove = theme, on_remove
        bar = Flow(self, theme, 6)
        bar.grid(row=0, column=0, sticky="ew", pady=(0, theme.px(10)))
        self.add = quiet_button(bar, ADD, on_add)
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(row=1, column=0, sticky="nsew")
        self.hint = Line(self, theme, "Hint.TLabel").at(row=2, column=0, pady=(theme.px(4), 0))
        self.hint.say("" if theme.large else HINT, soft=True)
        self.columnconfigure(0, weight=1)
        self.rowconfigure(1, weight=1)
        self.removes: dict[Path, ttk.Button] = {}
        self._shown: tuple[tuple[JobRow, ...], str] = ((), "UK")
        self._drawn: object = None
        draw_on_resize(self, self._draw)

    def show(self, rows: tuple[JobRow, ...], words: str) -> None:
        """Show the jobs. rows: the open one first; words: 'UK' or 'US'."""
        self._shown = (rows, words)
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the list. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: Any) -> None:
            if isinstance(widget, Drawn):
                texts.extend(widget.written())
            elif isinstance(widget, ttk.Label) and widget.winfo_manager():
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self.column.body)
        return tuple(text for text in texts if text)

    def _draw(self) -> None:
        wide = self.winfo_width() - self.column.bar_room
        rows, words = self._shown
        if wide < 80 or (rows, words, wide) == self._drawn:
            return
        self._drawn = (rows, words, wide)
        body = self.column.body
        held = str(self.tk.call("focus")).startswith(str(body))
        for child in body.winfo_children():
            child.destroy()
        self.removes = {}
        most_um = max(
            (s.thickness_um for row in rows if row.plan for s in row.plan.stacks), default=0.0
        )
        for at, row in enumerate(rows):
            self._job(row, at, wide, most_um, words)
        if held:
            self.add.focus_set()
        self.column.catch_wheel()

    def _job(self, row: JobRow, at: int, wide: int, most_um: float, words: str) -> None:
        """One job: title and file, what is wrong or how sure it is, the plan."""
        theme = self._theme
        if at:
            line = tk.Frame(self.column.body, bg=theme.colours.hair, height=theme.px(1))
            line.pack(fill="x", pady=theme.px(9))
        head = ttk.Frame(self.column.body, style="Inner.TFrame")
        head.pack(fill="x")
        room = wide
        if row.path is not None:
            path = row.path
            button = quiet_button(head, REMOVE, lambda: self._on_remove(path))
            button.pack(side="right", anchor="n", padx=(theme.px(8), 0))
            self.removes[path] = button
            room -= button.winfo_reqwidth() + theme.px(8)
        names = ttk.Frame(head, style="Inner.TFrame")
        names.pack(side="left", fill="x", expand=True)
        file = row.file if row.path is not None else f"{row.file}, as it stands in the window"
        for text, style in ((row.title, "Title.TLabel"), (file, "Hint.TLabel")):
            ttk.Label(names, text=text, style=style, wraplength=room).pack(anchor="w")
        if row.fault:
            fault = ttk.Label(
                self.column.body, text=row.fault, style="Fault.TLabel", wraplength=wide
            )
            fault.pack(anchor="w", pady=(theme.px(3), 0))
        if row.sure:
            self._sure(row, wide)
        if row.plan is not None:
            self._plan(row, wide, most_um, words)

    def _sure(self, row: JobRow, wide: int) -> None:
        """How sure it is, with the mark that says whether that is what was asked for."""
        theme, tone = self._theme, "good" if row.met else "warn"
        colour = theme.colours.soft if row.faint else getattr(theme.colours, tone)
        line = ttk.Frame(self.column.body, style="Inner.TFrame")
        line.pack(fill="x", pady=(theme.px(3), 0))
        mark = ttk.Label(
            line, text=MARKS[tone], style="Card.TLabel", font=mark_font(theme), foreground=colour
        )
        mark.pack(side="left", anchor="n", padx=(0, theme.px(6)))
        style = "Soft.Card.TLabel" if row.faint else "Card.TLabel"
        room = wide - mark.winfo_reqwidth() - theme.px(6)
        ttk.Label(line, text=row.sure, style=style, wraplength=room).pack(side="left", anchor="w")

    def _plan(self, row: JobRow, wide: int, most_um: float, words: str) -> None:
        """Its seats, side by side where there is room."""
        theme = self._theme
        assert row.plan is not None
        gap = theme.px(18)
        many = max(1, min(MOST_BESIDE, wide // theme.px(SEAT_PX * theme.type_scale)))
        room = (wide - (many - 1) * gap) // many
        grid = ttk.Frame(self.column.body, style="Inner.TFrame")
        grid.pack(fill="x", pady=(theme.px(6), 0))
        for at, stack in enumerate(row.plan.stacks):
            last = at // many == (len(row.plan.stacks) - 1) // many
            PieceBlock(
                grid, theme, stack, wide=room, most_um=most_um, unit=row.unit, words=words,
                old=row.faint,
            ).grid(
                row=at // many, column=at % many, sticky="nw", pady=(0, 0 if last else theme.px(8)),
                padx=(gap if at % many else 0, 0),
            )  # fmt: skip
