"""The right of the crush spacer's stage: what to do with the nut, in words to be read from afar."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from functools import partial
from tkinter import ttk

from desktop import pixels
from desktop.answer_parts import MARKS
from desktop.column import ScrollColumn
from desktop.crush_said import Said
from desktop.side_block import Drawn
from desktop.theme import Theme
from desktop.tokens import SURE_FAMILY
from desktop.torque_strip import TorqueStrip
from desktop.widgets import draw_on_resize, filled_button
from solver.crush import Tightening
from solver.report_words import counts

COPY = "Copy as text"
SHOUTS = ("shout", "display", "heading", "title")  # type tokens, the largest that fits is taken


class CrushAnswer(ttk.Frame):
    """The answer, drawn anew from scratch at every `show`; goes into the body of a card."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_turned: Callable[[float], object],
        on_first: Callable[[], object],
        on_copy: Callable[[], object],
        on_show: Callable[[], object],
    ) -> None:
        """parent: body of a card; theme: the look; on_turned: called with how far the mechanic says
        that the nut was turned, 0 to read again where it is [degrees]; on_first: begins the first
        pause; on_copy: copies the answer; on_show: goes to the first fault."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme = theme
        self._on_turned, self._on_first = on_turned, on_first
        self._on_copy, self._on_show = on_copy, on_show
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(row=0, column=0, columnspan=2, sticky="nsew", pady=(0, theme.px(8)))
        self.button = filled_button(self, COPY, self._press)
        self.button.grid(row=1, column=0, sticky="ew")
        self.columnconfigure(0, weight=1)
        self.columnconfigure(1, minsize=self.column.bar_room)
        self.rowconfigure(0, weight=1)
        self._press_does: Callable[[], object] = on_copy
        self._shown: tuple[Said, Tightening | None, bool] | None = None
        self._drawn_at = (0, 0)
        draw_on_resize(self, self._resized)

    def show(self, said: Said, found: Tightening | None, *, faint: bool = False) -> None:
        """Show it. said: the words; found: the answer whose figures go with them; faint: the
        figures are from before the last change."""
        if (said, found, faint) != self._shown:
            self._shown = (said, found, faint)
            self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the panel. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: tk.Misc) -> None:
            if isinstance(widget, Drawn):
                texts.extend(widget.written())
            elif isinstance(widget, ttk.Label | ttk.Button):
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self)
        return tuple(text for text in texts if text)

    def _press(self) -> None:
        self._press_does()

    def _resized(self) -> None:
        if (self.winfo_width(), self.winfo_height()) != self._drawn_at:
            self._draw()

    def _draw(self) -> None:
        if self._shown is None or self.winfo_width() < 40:
            return
        said, found, faint = self._shown
        self._drawn_at = (self.winfo_width(), self.winfo_height())
        self._wide = self._drawn_at[0] - self.column.bar_room
        for child in self.column.body.winfo_children():
            child.destroy()
        self._shout(said)
        if found is not None:
            self._now(found, faint)
        for line in said.lines:
            self._say(line, "Card.TLabel")
        self._cautions(said.cautions)
        for line in said.notes:
            self._say(line, "Soft.Card.TLabel")
        self._set_button(said, found, faint)
        self.column.catch_wheel()

    def _shout(self, said: Said) -> None:
        """What to do, as large as it fits, on the tint of how things stand."""
        theme = self._theme
        title = said.tone.title() if said.tone != "go" else "Go"
        if said.tone == "go":
            _go_style(self, theme)
        box = ttk.Frame(self.column.body, style=f"{title}Card.TFrame")
        box.pack(fill="x", pady=(0, theme.px(10)))
        inner = ttk.Frame(box, style=f"{title}.TFrame")
        pad = theme.space("card_x")
        inner.pack(fill="x", padx=pad, pady=theme.space("card_y"))
        wide = self._wide - 2 * pad
        mark = MARKS.get(said.tone, "")
        if mark:
            label = ttk.Label(inner, text=mark, style=f"{title}Word.TLabel", font=_mark_font(theme))
            label.pack(side="left", anchor="n", padx=(0, theme.px(10)), pady=theme.px(3))
            wide -= label.winfo_reqwidth() + theme.px(10)
        words = ttk.Frame(inner, style=f"{title}.TFrame")
        words.pack(side="left", fill="x", expand=True)
        longest = max(said.shout.split("\n"), key=lambda line: theme.wide("title", line))
        font = next((name for name in SHOUTS if theme.wide(name, longest) <= wide), SHOUTS[-1])
        ttk.Label(
            words, text=said.shout, style=f"{title}Word.TLabel", font=theme.font(font),
            wraplength=wide,
        ).pack(anchor="w")  # fmt: skip
        if said.then:
            ttk.Label(words, text=said.then, style=f"{title}.TLabel", wraplength=wide).pack(
                anchor="w", pady=(theme.px(2), 0)
            )

    def _now(self, found: Tightening, faint: bool) -> None:
        """The torque now with its window, and how likely it is inside."""
        theme = self._theme
        strip = TorqueStrip(self.column.body, theme, found, self._wide, faint)
        strip.pack(anchor="w", pady=(0, theme.px(6)))
        chance = f"Inside the window: {counts(found.chance_in)}."
        if found.state == "over":
            chance = f"Past the window: {counts(found.chance_over)}."
        if found.crush.pauses:
            self._say(chance, "Soft.Card.TLabel" if faint else "Label.TLabel")

    def _say(self, text: str, style: str) -> None:
        label = ttk.Label(self.column.body, text=text, style=style, wraplength=self._wide)
        label.pack(anchor="w", pady=(0, self._theme.px(6)))

    def _cautions(self, cautions: tuple[str, ...]) -> None:
        """What hurts people and spacers, each with its mark."""
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

    def _set_button(self, said: Said, found: Tightening | None, faint: bool) -> None:
        """The one filled button: what to do next in the job, else the answer is copied."""
        words, does = self._next_step(said, found, faint)
        if self._theme.wide("label", words) > self._wide - self._theme.px(24):
            words = words.partition(":")[0]
        self._press_does = does if does is not None else self._on_copy
        self.button.configure(text=words)
        self.button.state(["!disabled" if does is not None else "disabled"])

    def _next_step(
        self, said: Said, found: Tightening | None, faint: bool
    ) -> tuple[str, Callable[[], object] | None]:
        """Words of the button and what it does, None for nothing to do."""
        if found is None or faint:
            if said.red:
                return "Show it", self._on_show
            return ("Add the first pause", self._on_first) if said.first else (COPY, None)
        if found.state == "tighten" and found.advice is not None:
            turn = found.advice.turn_deg
            return f"I turned it {turn:g}°: read again", partial(self._on_turned, turn)
        if found.state == "measure":
            return "Read again: at the same angle", partial(self._on_turned, 0.0)
        return COPY, self._on_copy


def _mark_font(theme: Theme) -> tuple[str, int, str]:
    """A font that has the marks, as large as the words beside them."""
    return (SURE_FAMILY, int(theme.font("display").cget("size")), "bold")


def _go_style(widget: tk.Misc, theme: Theme) -> None:
    """The look of a next turn: neither good nor bad, in the accent's tint."""
    style, c = ttk.Style(widget), theme.colours
    if "cardgo.border" not in style.element_names():
        from desktop.tokens import RADIUS, RING

        radius = theme.px(RADIUS["card"])
        size = (pixels.SPAN_PX, pixels.SPAN_PX)
        theme.images["cardgo"] = pixels.rounded_box(
            widget, size=size, radius=radius, fill=c.tint, edge=c.accent, edge_px=theme.px(1),
            ground=c.card,
        )  # fmt: skip
        border = radius + theme.px(RING)
        style.element_create(
            "cardgo.border", "image", theme.images["cardgo"], border=border, width=2 * border,
            height=2 * border, sticky="nsew", padding=0,
        )  # fmt: skip
        style.layout("GoCard.TFrame", [("cardgo.border", {"sticky": "nsew"})])
        style.configure("GoCard.TFrame", background=c.card)
        style.configure("Go.TFrame", background=c.tint)
        style.configure("Go.TLabel", background=c.tint, foreground=c.ink)
        style.configure(
            "GoWord.TLabel", background=c.tint, foreground=c.accent, font=theme.font("label")
        )
