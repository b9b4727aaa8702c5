"""The fields of a reading's card: laid out for what is read and how, and what they do."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop import edits
from desktop.form_chips import Choice, Flow, tip_on
from desktop.form_kinds import LEAVES, LENGTH, LENGTHS, NUMBER, STACK
from desktop.form_parts import Field, Line, Told, next_field
from desktop.line_table import readable_in, seats_read
from desktop.polar import Polar
from desktop.reading_words import (
    CIRCUMSTANCES,
    FITTED_WHY,
    LEAVES_WHY,
    LOADED_WHY,
    TURNED,
    WAY_WHYS,
    WHERE_WHY,
    hint_of,
    title_of,
    way_words,
    ways_of,
    why_of,
)
from desktop.theme import Theme
from desktop.widgets import Badge, Card, cut_to
from solver.job import DIRECTIONS, LOADABLE, PINION_READABLE
from solver.trouble import Place

ON_TOOTH = (("tooth", "on a tooth"), ("lever", "on a lever or flange"))


class CardFields(Card):
    """The card of a reading, its fields and what they do; what they show is another's."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_focus: Callable[[Any, bool], object],
    ) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed; on_focus: called with the card and whether the
        keyboard came in."""
        super().__init__(parent, theme)
        self._theme, self._on_edit, self._on_focus = theme, on_edit, on_focus
        self.number, self.way = 0, ""
        self.reading: edits.Table = {}
        self.table: edits.Table = {}
        self.where_open = self.own_within = self.around_open = False
        self.fields: dict[Place, Field | Choice] = {}
        self.lines: dict[Place, Line] = {}
        self.body.columnconfigure(0, weight=1)
        self.badge: Badge | None = None
        self._head = ttk.Frame(self.body, style="Inner.TFrame")
        self._head.grid(row=0, column=0, sticky="ew")
        self._head.columnconfigure(1, weight=1)
        self.title = ttk.Label(self._head, style="Title.TLabel")
        self.title.bind(
            "<Configure>", lambda event: self.title.configure(wraplength=event.width)
        )  # a job's own parts may have long names
        self.title.grid(row=0, column=1, sticky="ew", padx=(theme.px(8), theme.px(6)))
        self.unit = ttk.Label(self._head, style="Hint.TLabel")
        self.unit.grid(row=0, column=2, sticky="e")
        self.inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.tools: Choice | None = None
        self.ways: Choice | None = None
        self.polar: Polar | None = None  # of a backlash read round the wheel

    # Building

    def build(self, of: str, words: str, feelers: bool) -> None:
        """Lay out the fields anew. of: what is read; words: UK or US; feelers: with leaves."""
        theme = self._theme
        if self.badge is None or self.badge["text"] != str(self.number + 1):
            if self.badge is not None:
                self.badge.destroy()
            self.badge = Badge(self._head, theme, self.number + 1)
            self.badge.grid(row=0, column=0)
        self.inside.destroy()
        self.inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.inside.columnconfigure(0, weight=1)
        self.inside.grid(row=1, column=0, sticky="ew", pady=(theme.px(7), 0))
        self.fields, self.lines, self.polar = {}, {}, None
        self.title.configure(text=title_of(of, words))
        off = self.reading.get("off") is True
        style = ttk.Style(self)
        style.configure("Off.TLabel", font=theme.font("title"), background=theme.colours.card)
        style.configure("Off.TLabel", foreground=theme.colours.soft)
        self.title.configure(style="Off.TLabel" if off else "Title.TLabel")
        tip_on(self.title, theme, why_of(of, words, self.table))
        if off:
            self._build_off()
        else:
            self._build_found(words)
            if self.way == "around":
                self.polar = Polar(self.inside, theme)
                self.polar.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(6), 0))
            seats = seats_read(self.table, of)
            for seat in seats:
                self._build_seat(seat, seats)
            self._build_chips(of, feelers)
            if of == "backlash" and self.where_open:
                self._build_where()
            if self.around_open or any(key in self.reading for key in CIRCUMSTANCES):
                self._build_circumstances(of)
            if not theme.large:
                text = str(self.reading.get("note") or hint_of(of, self.table))
                if text:
                    Line(self.inside, theme, "Hint.TLabel").at(
                        row=self._row(), column=0, pady=(theme.px(6), 0)
                    ).say(text)
        self._line(self.place_at())
        self._listen(self.inside)

    def _build_off(self) -> None:
        """What stands while a reading is left out: that it is, what it found, the way back."""
        theme = self._theme
        self.left_out = ttk.Label(self.inside, style="Hint.TLabel")
        self.left_out.grid(row=0, column=0, sticky="w")
        self.back = ttk.Button(
            self.inside, text="Put back", style="Chip.TButton", command=self.switch
        )
        self.back.grid(row=0, column=1, sticky="e", padx=(theme.px(6), 0))
        self.back.bind("<Return>", lambda _: self.back.invoke())

    def _build_found(self, words: str) -> None:
        """The fields of what was found, as it was taken."""
        row = ttk.Frame(self.inside, style="Inner.TFrame")
        row.grid(row=self._row(), column=0, sticky="ew")
        gap = self._theme.px(12)
        whole = self.place_at("values")
        if self.way == "around":
            place = self.place_at("around")
            self._field(
                row, place, LENGTHS, width=8, font="label",
                edit=lambda values: edits.set_at(place, list(values) or None),
            ).grid(row=0, column=0, sticky="ew")  # fmt: skip
        elif self.way == "values":
            numbered = self.number
            self._field(
                row, whole, LENGTHS, width=8, edit=lambda values: edits.set_found(numbered, values)
            ).grid(row=0, column=0, sticky="ew")
        else:
            labels = {"goes": "goes", "at_least": "at least", "at_most": "at most"}
            kind = LEAVES if self.way == "goes" else LENGTH
            self._field(row, self.place_at(self.way), kind, label=labels[self.way]).grid(
                row=0, column=0, sticky="ew"
            )
        row.columnconfigure(0, weight=1, uniform="half")
        if self.way == "goes":
            self._field(row, self.place_at("stops"), LENGTH, label="stops").grid(
                row=0, column=1, sticky="ew", padx=(gap, 0)
            )
        within = self.own_within or "tool" not in self.reading
        if within:
            beside = self.way in ("at_least", "at_most")
            self._field(row, self.place_at("within"), LENGTH, label="within").grid(
                row=0 if beside else 1, column=1 if beside else 0, sticky="ew",
                padx=(gap if beside else 0, 0), pady=(0 if beside else self._theme.px(5), 0),
            )  # fmt: skip
        if self.way == "goes" or (within and beside):
            row.columnconfigure(1, weight=1, uniform="half")
        for place, field in self.fields.items():
            why = WAY_WHYS[self.way]
            tip_on(field.entry if isinstance(field, Field) else field, self._theme, why)
            self._line(place)

    def _build_seat(self, seat: str, seats: tuple[str, ...]) -> None:
        """A field for what was fitted in a seat, in line with those of the others."""
        theme = self._theme
        row = ttk.Frame(self.inside, style="Inner.TFrame")
        row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
        row.columnconfigure(1, weight=1)
        room = theme.px(130 * theme.type_scale)  # a job's own seats may have any name
        usual = ("wheel side", "plain side")
        widest = max(min(theme.wide("caption", one), room) for one in (*seats, *usual))
        name = cut_to(theme, seat, room, "caption")
        label = ttk.Label(row, text=name, style="Hint.TLabel", foreground=theme.side(seat))
        label.grid(row=0, column=0, sticky="w")
        row.columnconfigure(0, minsize=widest + theme.px(6))
        place = self.place_at("fitted", seat)
        field = self._field(row, place, STACK, width=8, font="label")
        field.grid(row=0, column=1, sticky="ew")
        tip_on(field.entry, theme, FITTED_WHY)
        self._line(place)

    def _build_chips(self, of: str, feelers: bool) -> None:
        """The way, the tool, the leaves, where, and what can be done with the card."""
        theme = self._theme
        row = ttk.Frame(self.inside, style="Inner.TFrame")
        row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(7), 0))
        row.columnconfigure(0, weight=1)
        chips = Flow(row, theme)
        chips.grid(row=0, column=0, sticky="ew")
        ways = [(way, way_words(way, of)) for way in ways_of(of, self.way, self.table)]
        self.ways = None
        if len(ways) > 1:
            self.ways = Choice(chips, theme, self._taken_as)
            short = "goes / stops" if self.way == "goes" else ""
            self.ways.offer(ways, self.way, short)
            tip_on(self.ways, theme, WAY_WHYS[self.way])
        self.tools = Choice(chips, theme, self._with_tool, place=self.place_at("tool"))
        self.fields[self.tools.place_of] = self.tools
        self._line(self.tools.place_of)
        if feelers:
            place = self.place_at("leaves")
            self.leaves = Choice(chips, theme, self._with_leaves, place=place)
            self.fields[place] = self.leaves
            tip_on(self.leaves, theme, LEAVES_WHY)
            self._line(place)
        if of in LOADABLE:
            place = self.place_at("loaded")
            self.fields[place] = Choice(chips, theme, self._with_load, place=place)
            tip_on(self.fields[place], theme, LOADED_WHY)
            self._line(place)
        if of == "backlash":
            self.where = ttk.Button(
                chips, style="Chip.TButton", command=lambda: self.open_where(not self.where_open)
            )
            self.where.bind("<Return>", lambda _: self.where.invoke())
            tip_on(self.where, theme, WHERE_WHY)
        self.more = Choice(row, theme, self._do, marks=False)
        self.more.grid(row=0, column=1, sticky="ne", padx=(theme.px(5), 0))
        deeds = [("repeat", "Repeat it"), ("off", "Leave it out"), ("remove", "Remove it")]
        if of in readable_in(self.table):
            deeds.insert(1, ("around", "It was warm"))
        elif of not in PINION_READABLE:
            deeds.insert(1, ("around", "It was warm, or read at one tooth"))
        self.more.offer(deeds, word="⋯")

    def _build_where(self) -> None:
        """Where and how a backlash is read."""
        theme = self._theme
        chips = Flow(self.inside, theme)
        chips.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
        for key in ("read", "on"):
            place = self.place_at(key)
            self.fields[place] = Choice(chips, theme, self._setter(place), place=place)
            self._line(place)
        for key, label in (
            ("radius", "radius of the dial"),
            ("radius_within", "known within"),
            ("lever_angle", "lever at an angle of (°)"),
            ("out_of_line", "out of line by (°)"),
        ):
            row = ttk.Frame(self.inside, style="Inner.TFrame")
            row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
            row.columnconfigure(0, weight=1)
            place = self.place_at(key)
            kind = LENGTH if key.startswith("radius") else NUMBER
            field = self._field(row, place, kind, label=label, font="label")
            field.grid(row=0, column=0, sticky="e")
            tip_on(field.entry, theme, WHERE_WHY)
            self._line(place)

    def _build_circumstances(self, of: str) -> None:
        """How warm it was, and where the wheel stood."""
        theme = self._theme
        turned = "turn" in self.reading or (self.way != "around" and of in TURNED)
        for key in ("temperature", "turn") if turned else ("temperature",):
            row = ttk.Frame(self.inside, style="Inner.TFrame")
            row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
            row.columnconfigure(0, weight=1)
            place = self.place_at(key)
            label, why = CIRCUMSTANCES[key]
            field = self._field(row, place, NUMBER, label=label, font="label")
            field.grid(row=0, column=0, sticky="e")
            tip_on(field.entry, theme, why)
            self._line(place)

    def _field(self, row: ttk.Frame, place: Place, kind: Any, **looks: Any) -> Field:
        field = Field(row, self._theme, place, kind, self._on_edit, **looks)
        for key in ("<Return>", "<KP_Enter>"):
            field.entry.bind(key, next_field)
        self.fields[place] = field
        return field

    def _line(self, place: Place) -> None:
        if place not in self.lines:
            line = Line(self.inside, self._theme)
            self.lines[place] = line.at(
                row=self._row(), column=0, columnspan=2, pady=(self._theme.px(3), 0)
            )
            line.keep_row()

    def _row(self) -> int:
        return len(self.inside.winfo_children()) + 1

    def place_at(self, *rest: str) -> Place:
        """Give a place in this reading. rest: keys below it. Returns it."""
        return ("readings", self.number, *rest)

    def _listen(self, widget: Any) -> None:
        """Ring the card while the keyboard is in it."""
        widget.bind("<FocusIn>", lambda _: self._focused(True), add="+")
        widget.bind("<FocusOut>", lambda _: self._focused(False), add="+")
        for child in widget.winfo_children():
            self._listen(child)

    def _focused(self, on: bool) -> None:
        self.ring(on)
        if self.badge is not None:
            self.badge.light(on)
        self._on_focus(self, on)

    # Doing

    def switch(self) -> None:
        """Leave the reading out, or put it back."""
        on = self.reading.get("off") is True
        self._tell(edits.switch_reading(self.number, on=on), self.place_at("off"))

    def _do(self, what: str) -> None:
        if what == "repeat":
            self._tell(edits.repeat_reading(self.number), ("readings", self.number + 1))
        elif what == "around":
            self.around_open = True
            self._tell(lambda table: table, self.place_at("temperature"))
        elif what == "remove":
            self._tell(edits.remove_reading(self.number), self.place_at())
        else:
            self.switch()

    def _taken_as(self, way: str) -> None:
        edit = edits.take_as(self.number, way)
        if way == "at_most":
            edit = edits.together(edit, edits.set_at(self.place_at("at_most"), 0))
        self.way = way
        self._tell(edit, self.place_at(way))

    def _with_tool(self, name: str) -> None:
        self.own_within = "within" in self.reading
        self._tell(edits.set_at(self.place_at("tool"), name or None), self.place_at("tool"))

    def _with_load(self, loaded: str) -> None:
        place = self.place_at("loaded")
        self._tell(edits.set_at(place, True if loaded else None), place)

    def _with_leaves(self, many: str) -> None:
        value = int(many) if many.isdigit() and many != "1" else None
        self._tell(edits.set_at(self.place_at("leaves"), value), self.place_at("leaves"))

    def _setter(self, place: Place) -> Callable[[str], object]:
        usual = (DIRECTIONS[0], ON_TOOTH[0][0])
        return lambda value: self._tell(
            edits.set_at(place, None if value in usual else value), place
        )

    def open_where(self, on: bool) -> None:
        """Open or close where a backlash is read. on: true for open."""
        if self.where_open != on:
            self.where_open = on
            self._tell(lambda table: table, self.place_at())  # asks to be shown again

    def _tell(self, edit: edits.Edit, place: Place) -> None:
        self._on_edit(edit, place, False)
