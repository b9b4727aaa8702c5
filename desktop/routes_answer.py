"""The right of the stage: what to do in large words, why, the plan, what to mind."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from dataclasses import replace
from tkinter import ttk
from typing import Any

from desktop.answer_parts import MARKS
from desktop.column import ScrollColumn
from desktop.routes_said import Said
from desktop.side_block import NEW, Drawn, SideBlock
from desktop.theme import Theme
from desktop.tokens import SURE_FAMILY
from desktop.widgets import draw_on_resize, filled_button, quiet_button
from solver.market_file import BOUGHT, CUT
from solver.plan import Piece

SHOUTS = ("shout", "display", "heading", "title")  # type tokens, the largest that fits is taken
SHOUT_LINES = 2  # that a large shout may take
BACK = "Back to the advised one"


class PieceBlock(SideBlock):
    """One seat of a plan; what has still to be cut or bought is dashed, as a new piece is."""

    def _draw_piece(
        self, piece: Piece, box: tuple[float, float, float, float], colour: str
    ) -> None:
        if piece.id.startswith((BOUGHT, CUT)):
            piece = replace(piece, id=NEW)
        super()._draw_piece(piece, box, colour)


class RoutesAnswer(ttk.Frame):
    """The answer, drawn anew from scratch at every `show`; goes into the body of a card."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, actions: Mapping[str, Callable[[], object]]
    ) -> None:
        """parent: body of a card; theme: the look; actions: what the buttons do, by name: 'copy',
        'show', 'axle', 'stop', 'again', 'back'."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._actions = theme, actions
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(row=0, column=0, columnspan=2, sticky="nsew", pady=(0, theme.px(8)))
        self.back = quiet_button(self, BACK, lambda: actions["back"]())
        self.back.grid(row=1, column=0, sticky="ew", pady=(0, theme.px(6)))
        self.button = filled_button(self, "", self._press)
        self.button.grid(row=2, column=0, sticky="ew")
        self.columnconfigure(0, weight=1)
        self.columnconfigure(1, minsize=self.column.bar_room)
        self.rowconfigure(0, weight=1)
        self._shown: tuple[Said, str, str] | None = None
        self._drawn_at = (0, 0)
        draw_on_resize(self, self._resized)

    def show(self, said: Said, unit: str, words: str) -> None:
        """Show it. said: the words; unit: of lengths; words: 'UK' or 'US'."""
        if (said, unit, words) != self._shown:
            self._shown = (said, unit, words)
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the panel. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: Any) -> None:
            if isinstance(widget, Drawn):
                texts.extend(widget.written())
            elif isinstance(widget, ttk.Label | ttk.Button) and widget.winfo_manager():
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self)
        return tuple(text for text in texts if text)

    def _press(self) -> None:
        if self._shown is not None and self._shown[0].button[1]:
            self._actions[self._shown[0].button[1]]()

    def _resized(self) -> None:
        if (self.winfo_width(), self.winfo_height()) != self._drawn_at:
            self._draw()

    def _draw(self) -> None:
        if self._shown is None or self.winfo_width() < 40:
            return
        said, unit, words = self._shown
        self._drawn_at = (self.winfo_width(), self.winfo_height())
        self._wide = self._drawn_at[0] - self.column.bar_room
        for child in self.column.body.winfo_children():
            child.destroy()
        self._shout(said)
        for line in said.lines:
            self._say(line, "Card.TLabel")
        self._plan(said, unit, words)
        for line in said.after:
            self._say(line, "Card.TLabel")
        self._cautions(said.cautions)
        for line in said.notes:
            self._say(line, "Soft.Card.TLabel")
        self.button.configure(text=said.button[0])
        self.button.state(["!disabled" if said.button[1] else "disabled"])
        if said.back:
            self.back.grid()
        else:
            self.back.grid_remove()
        self.column.catch_wheel()
        self.column.canvas.yview_moveto(0)

    def _shout(self, said: Said) -> None:
        """What to do, as large as it fits, on the tint of how things stand."""
        theme, title = self._theme, said.tone.title()
        box = ttk.Frame(self.column.body, style=f"{title}Card.TFrame")
        box.pack(fill="x", pady=(0, theme.px(10)))
        inner = ttk.Frame(box, style=f"{title}.TFrame")
        pad = theme.space("card_x")
        inner.pack(fill="x", padx=pad, pady=theme.space("card_y"))
        wide = self._wide - 2 * pad
        mark = MARKS.get(said.tone, "")
        if mark:
            font = (SURE_FAMILY, int(theme.font("display").cget("size")), "bold")
            label = ttk.Label(inner, text=mark, style=f"{title}Word.TLabel", font=font)
            label.pack(side="left", anchor="n", padx=(0, theme.px(10)), pady=theme.px(3))
            wide -= label.winfo_reqwidth() + theme.px(10)
        words = ttk.Frame(inner, style=f"{title}.TFrame")
        words.pack(side="left", fill="x", expand=True)
        ttk.Label(
            words, text=said.shout, style=f"{title}Word.TLabel", wraplength=wide,
            font=theme.font(self._shout_font(said.shout, wide)),
        ).pack(anchor="w")  # fmt: skip
        ttk.Label(words, text=said.then, style=f"{title}.TLabel", wraplength=wide).pack(
            anchor="w", pady=(theme.px(2), 0)
        )

    def _shout_font(self, shout: str, wide: int) -> str:
        """The largest type in which a shout breaks into few lines, and no word is cut."""
        theme = self._theme
        for name in SHOUTS[:-1]:
            lines, line = 1, ""
            for word in shout.split():
                longer = f"{line} {word}".strip()
                if line and theme.wide(name, longer) > wide:
                    lines, longer = lines + 1, word
                line = longer
            longest = max(theme.wide(name, word) for word in shout.split())
            if lines <= SHOUT_LINES and longest <= wide:
                return name
        return SHOUTS[-1]

    def _plan(self, said: Said, unit: str, words: str) -> None:
        if said.point is None:
            return
        stacks = said.point.plan.stacks
        most_um = max((stack.thickness_um for stack in stacks), default=0.0)
        for stack in stacks:
            PieceBlock(
                self.column.body, self._theme, stack, wide=self._wide, most_um=most_um, unit=unit,
                words=words, old=said.faint,
            ).pack(anchor="w", pady=(0, self._theme.px(8)))  # fmt: skip

    def _say(self, text: str, style: str) -> None:
        label = ttk.Label(self.column.body, text=text, style=style, wraplength=self._wide)
        label.pack(anchor="w", pady=(0, self._theme.px(6)))

    def _cautions(self, cautions: tuple[str, ...]) -> None:
        """What hurts people and bearings, each with its mark."""
        if not cautions:
            return
        theme = self._theme
        box = ttk.Frame(self.column.body, style="SunkCard.TFrame")
        box.pack(fill="x", pady=(theme.px(4), theme.px(8)))
        inner = ttk.Frame(box, style="Sunk.TFrame")
        pad = theme.space("card_x")
        inner.pack(fill="x", padx=pad, pady=theme.space("card_y"))
        inner.columnconfigure(1, weight=1)
        wide = self._wide - 2 * pad - theme.px(16)
        for row, caution in enumerate(cautions):
            ttk.Label(inner, text="!", style="SunkWord.TLabel", foreground=theme.colours.warn).grid(
                row=row, column=0, sticky="nw", padx=(0, theme.px(8))
            )
            ttk.Label(inner, text=caution, style="Sunk.TLabel", wraplength=wide).grid(
                row=row, column=1, sticky="w", pady=(0, theme.px(2))
            )
