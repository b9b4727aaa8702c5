"""The block 'Before you crush': whether the spacer may be crushed, and the list that gates it."""

from __future__ import annotations

import tkinter as tk
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import ready_said as say
from desktop.answer_parts import MARKS
from desktop.column import ScrollColumn
from desktop.crush_edits import pauses_of
from desktop.edits import OFF, Table, set_at, value_at
from desktop.form_chips import Flow, prepare_chips, stop_at_fields, tip_on
from desktop.form_kinds import STACK
from desktop.form_parts import Field, Line, Told, next_field
from desktop.inputs import unit_of
from desktop.reading_faults import sort_faults
from desktop.ready_asking import ReadyAsking
from desktop.shout_box import caution_box, shout_box
from desktop.theme import Theme
from desktop.tick import tick_style
from desktop.widgets import Card, draw_on_resize
from solver.job_ready import TABLE, TICKS
from solver.trouble import Place

HEAD: Place = (TABLE, "head")
BEGUN = 2  # pauses: from here on the spacer is being crushed, and the block folds
SHORT_TYPES = ("title", "label", "caption")  # of the line while folded, the largest that fits


class ReadyBlock(Card):
    """The block; told of every edit it makes. Open it fills its place, folded it is one line."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, *, on_edit: Told, on_fold: Any = None
    ) -> None:
        """parent: the stage; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field; on_fold: called without anything when it was
        opened or folded by hand."""
        super().__init__(parent, theme, "panel")
        prepare_chips(self, theme)
        tick_style(self, theme)
        self._theme, self._on_edit, self._on_fold = theme, on_edit, on_fold
        self.open = True
        self._chosen: bool | None = None  # open or folded by hand
        self._said: say.ReadySaid | None = None
        self._drawn: tuple[object, ...] = ()
        self._table: Table = {}
        self.ticks: dict[str, ttk.Checkbutton] = {}
        self._set: dict[str, tk.BooleanVar] = {}
        self.words: dict[str, ttk.Label] = {}  # beside each tick
        self.lines: dict[Place, Line] = {}
        self._build()
        draw_on_resize(self, self._resized)

    def show(self, table: Table, asking: ReadyAsking, unit: str, words: str) -> None:
        """Show how everything stands; what is being typed, and the caret, stay where they are.

        table: the job's; asking: with the judgement; unit, words: as shown.
        """
        self._table = table
        pauses = [one for one in pauses_of(table) if one.get(OFF) is not True]
        if asking.faults and not self.open:
            self._chosen = None  # what is wrong has to be in sight
        by_itself = len(pauses) < BEGUN or asking.state == "faulty"
        self.open = by_itself if self._chosen is None else self._chosen
        self._said = say.ready_said(asking, unit, words)
        for tick in TICKS:
            self._set[tick].set(value_at(table, (TABLE, tick)) is True)
        self.head.show_value(value_at(table, HEAD), unit_of(table, ""), unit)
        fields = [HEAD, *((TABLE, tick) for tick in TICKS)]
        faults = sort_faults(asking.faults, fields, (TABLE,))
        for place, line in self.lines.items():
            line.say(*faults.get(place, ("", False)))
        self.head.mark(HEAD in faults)
        self._show_fold()
        self._draw()

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on what a place is shown by, in sight. place: into [before_crush]."""
        if not self.open:
            self._turn()
        self.update_idletasks()
        tick = self.ticks.get(str(place[1])) if len(place) > 1 else None
        widget: Any = tick if tick is not None else self.head.entry
        widget.focus_set()
        self.column.see(widget)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        focus = self.head.focus_now()
        if focus is None:
            return ()
        if focus == self.head.entry:
            return HEAD
        return next(((TABLE, tick) for tick, box in self.ticks.items() if box == focus), ())

    def written(self) -> tuple[str, ...]:
        """Read everything written that is in sight. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: Any) -> None:
            if isinstance(widget, ttk.Label | ttk.Button) and widget.winfo_ismapped():
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self)
        return tuple(text for text in texts if text)

    # Building

    def _build(self) -> None:
        theme, body = self._theme, self.body
        body.columnconfigure(1, weight=1)
        body.rowconfigure(1, weight=1)
        self._title = ttk.Label(body, text=say.TITLE, style="Title.TLabel")
        self._title.grid(row=0, column=0, sticky="w")
        self.short = Line(body, theme, "Title.TLabel")
        self.short_type = SHORT_TYPES[0]
        self.fold = ttk.Button(body, style="Chip.TButton", command=self._turn)
        self.fold.bind("<Return>", lambda _: self.fold.invoke())
        self.fold.grid(row=0, column=2, sticky="e")
        self.column = ScrollColumn(body, theme, theme.colours.card)
        self.column.canvas.configure(width=1)
        inside = self.column.body
        inside.columnconfigure(0, weight=1)
        self._top = ttk.Frame(inside, style="Inner.TFrame")
        self._list = ttk.Frame(inside, style="Inner.TFrame")
        self._end = ttk.Frame(inside, style="Inner.TFrame")
        for row, part in enumerate((self._top, self._list, self._end)):
            part.grid(row=row, column=0, sticky="ew")
        self._list.columnconfigure(1, weight=1)
        self._build_depth()
        for number, tick in enumerate(TICKS):
            self._build_tick(tick, 4 + 2 * number)
        self._line((TABLE,), 4 + 2 * len(TICKS))
        stop_at_fields(self.column.body)
        self.ring_on_focus()

    def _build_depth(self) -> None:
        """What the depth is like, which is judged and not ticked, and what is fitted."""
        theme = self._theme
        self.depth_mark = ttk.Label(self._list, style="TickMark.TLabel", anchor="center")
        self.depth_mark.grid(row=0, column=0, sticky="n", padx=(0, theme.px(10)))
        self.depth = Line(self._list, theme, "Card.TLabel").at(row=0, column=1)
        row = Flow(self._list, theme)
        row.grid(row=1, column=1, sticky="ew", pady=theme.px(5))
        ttk.Label(row, text=say.HEAD, style="Hint.TLabel")
        self.head = Field(row, theme, HEAD, STACK, self._on_edit, width=12, font="label")
        tip_on(self.head.entry, theme, say.HEAD_WHY)
        for key in ("<Return>", "<KP_Enter>"):
            self.head.entry.bind(key, next_field)
        self._line(HEAD, 2)

    def _build_tick(self, tick: str, row: int) -> None:
        theme = self._theme
        self._set[tick] = tk.BooleanVar(self)
        press = partial(self._pressed, tick)
        box = ttk.Checkbutton(
            self._list, text=MARKS["good"], variable=self._set[tick], style="Tick.Toolbutton",
            command=press,
        )  # fmt: skip
        for key in ("<Return>", "<KP_Enter>"):
            box.bind(key, lambda _: box.invoke())
        box.grid(row=row, column=0, sticky="n", padx=(0, theme.px(10)), pady=theme.px(2))
        label = Line(self._list, theme, "Card.TLabel").at(row=row, column=1, pady=theme.px(4))
        label.configure(cursor="hand2")
        label.bind("<Button-1>", lambda _: box.invoke())
        self.ticks[tick], self.words[tick] = box, label
        self._line((TABLE, tick), row + 1)

    def _line(self, place: Place, row: int) -> None:
        self.lines[place] = Line(self._list, self._theme).at(row=row, column=1)
        self.lines[place].keep_row()

    # Doing

    def _pressed(self, tick: str) -> None:
        place = (TABLE, tick)
        self._on_edit(set_at(place, self._set[tick].get()), place, False)

    def _turn(self) -> None:
        self._chosen = self.open = not self.open
        self._show_fold()
        self._draw()
        if self._on_fold is not None:
            self._on_fold()

    # Drawing

    def _resized(self) -> None:
        self._show_fold()
        self._draw()

    def _show_fold(self) -> None:
        """Folded, the first line says it all."""
        said = self._said
        self.fold.configure(text="Fold ▴" if self.open else "Open ▾")
        if self.open or said is None:
            self.short.say("")
            self.column.grid(row=1, column=0, columnspan=3, sticky="nsew", pady=(8, 0))
            return
        self.column.grid_remove()
        c = self._theme.colours
        ink = c.accent if said.tone == "go" else getattr(c, said.tone)
        shout = " ".join(said.shout.split()).rstrip(":")
        self.short.configure(foreground=ink)
        text = f"{MARKS.get(said.tone, '')} {shout}".strip()
        apart = self._theme.px(12)
        room = self.body.winfo_width() - 2 * apart
        room -= self._title.winfo_reqwidth() + self.fold.winfo_reqwidth()
        self.short.grid_forget()
        wide = self.body.winfo_width()
        names = [name for name in SHORT_TYPES if self._theme.wide(name, text) <= wide]
        self.short_type = names[0] if names else SHORT_TYPES[-1]
        self.short.configure(font=self._theme.font(self.short_type))
        if self._theme.wide(self.short_type, text) <= room:
            self.short.at(row=0, column=1, padx=apart)
        else:
            self.short.at(row=1, column=0, columnspan=3)
        self.short.say(text)

    def _draw(self) -> None:
        """What is not typed into, from scratch, where anything of it has changed."""
        said, wide = self._said, self.body.winfo_width() - self.column.bar_room
        if said is None or not self.open or wide < 40 or (said, wide) == self._drawn:
            return
        self._drawn = (said, wide)
        theme = self._theme
        for part in (self._top, self._end):
            for child in part.winfo_children():
                child.destroy()
        box = shout_box(self._top, theme, said.shout, said.then, tone=said.tone, wide=wide)
        box.pack(fill="x", pady=(0, theme.px(8)))
        for reason in said.reasons:
            label = ttk.Label(self._top, text=reason, style="Card.TLabel", wraplength=wide)
            label.pack(anchor="w", pady=(0, theme.px(6)))
        self._draw_list(said)
        if said.cautions:
            caution_box(self._end, theme, said.cautions, wide).pack(fill="x", pady=theme.px(8))
        self.column.catch_wheel()
        stop_at_fields(self._end)

    def _draw_list(self, said: say.ReadySaid) -> None:
        """The words of the list; before they are loaded there is none."""
        if not said.rows:
            self._list.grid_remove()
            return
        self._list.grid()
        words, deep = said.depth
        c = self._theme.colours
        mark, ink = "", c.soft
        if deep is not None:
            mark, ink = ("good", c.good) if deep else ("bad", c.bad)
        self.depth_mark.configure(text=MARKS.get(mark, "?"), foreground=ink)
        self.depth.say(words)
        for tick, text in zip(TICKS, said.rows, strict=True):
            label = self.words[tick]
            assert isinstance(label, Line)
            label.say(text)
