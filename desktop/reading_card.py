"""One reading as a card: what was read, the way it was taken, what was fitted."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop import edits
from desktop.form_kinds import LEAVES, LENGTH, LENGTHS, NUMBER, STACK
from desktop.form_parts import Choice, Field, Flow, Line, Told, next_field, tip_on
from desktop.reading_faults import sort_faults
from desktop.reading_words import (
    FITTED_WHY,
    LEAVES_WHY,
    WAY_WHYS,
    WAY_WORDS,
    WHERE_WHY,
    hint_of,
    kind_of_tool,
    title_of,
    usual_way,
    way_in,
    way_words,
    where_words,
    why_of,
)
from desktop.theme import Theme
from desktop.widgets import Badge, Card
from solver.job import DIRECTIONS, FITTED_SEATS
from solver.report_words import UNIT_SHOWN
from solver.trouble import Fault, Place

NO_TOOL = ""  # among the choices of a tool: the reading says its own within
MOST_LEAVES = 8  # offered; a file may say more
ON_TOOTH = (("tooth", "on a tooth"), ("lever", "on a lever or flange"))


class ReadingCard(Card):
    """A card that shows one reading; its fields stay while what is read and how stay."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_focus: Callable[[ReadingCard, bool], object],
    ) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed; on_focus: called with the card and whether the
        keyboard came in."""
        super().__init__(parent, theme)
        self._theme, self._on_edit, self._on_focus = theme, on_edit, on_focus
        self.number, self.way = 0, ""
        self.reading: edits.Table = {}
        self._table: edits.Table = {}
        self._built: tuple[object, ...] = ()
        self._where_open = self._own_within = False
        self.fields: dict[Place, Field | Choice] = {}
        self._lines: dict[Place, Line] = {}
        self.body.columnconfigure(0, weight=1)
        self.badge: Badge | None = None
        self._head = ttk.Frame(self.body, style="Inner.TFrame")
        self._head.grid(row=0, column=0, sticky="ew")
        self._head.columnconfigure(1, weight=1)
        self.title = ttk.Label(self._head, style="Title.TLabel")
        self.title.grid(row=0, column=1, sticky="w", padx=(theme.px(8), theme.px(6)))
        self.unit = ttk.Label(self._head, style="Hint.TLabel")
        self.unit.grid(row=0, column=2, sticky="e")
        self.inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.tools: Choice | None = None
        self.ways: Choice | None = None

    def show(
        self,
        number: int,
        table: edits.Table,
        faults: tuple[Fault, ...],
        *,
        unit: str,
        words: str,
    ) -> None:
        """Show a reading.

        number: which one, from 0; table: the job's; faults: of it; unit: shown; words: UK or US.
        """
        reading = edits.readings_of(table)[number]
        if reading.get("of") != self.reading.get("of"):
            self.way, self._where_open, self._own_within = "", False, False
        self.way = way_in(reading) or self.way or usual_way(reading, table)
        self._own_within = self._own_within or "within" in reading
        self._table, self.reading = table, reading
        of = str(reading.get("of", ""))
        feelers = kind_of_tool(reading.get("tool"), table) == "feelers" or "leaves" in reading
        needs = (
            number, of, self.way, bool(reading.get("off") is True), self._where_open, words,
            feelers, self._own_within or "tool" not in reading,
        )  # fmt: skip
        if needs != self._built:
            held = self._held()
            self.number, self._built = number, needs
            self._build(of, words, feelers)
            self._hold(held)
        self._fill(unit, words)
        self._mark(faults)

    def take_focus(self, place: Place) -> bool:
        """Put the keyboard on the field of a place. place. Returns whether there is one."""
        if len(place) > 2 and place[2] in ("read", "radius", "on", "lever_angle", "out_of_line"):
            self._open_where(True)
        near = _nearest(place, self.fields)
        field = self.fields[near] if near else next(iter(self.fields.values()), None)
        if field is not None:
            field.take_focus()
        return near is not None

    # Building

    def _build(self, of: str, words: str, feelers: bool) -> None:
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
        self.fields, self._lines = {}, {}
        self.title.configure(text=title_of(of, words))
        off = self.reading.get("off") is True
        style = ttk.Style(self)
        style.configure("Off.TLabel", font=theme.font("title"), background=theme.colours.card)
        style.configure("Off.TLabel", foreground=theme.colours.soft)
        self.title.configure(style="Off.TLabel" if off else "Title.TLabel")
        tip_on(self.title, theme, why_of(of, words))
        if off:
            self._build_off()
        else:
            self._build_found(words)
            for seat in FITTED_SEATS.get(of, ()):
                self._build_seat(seat)
            self._build_chips(of, feelers)
            if of == "backlash" and self._where_open:
                self._build_where()
            if not theme.large:
                text = str(self.reading.get("note") or hint_of(of))
                if text:
                    Line(self.inside, theme, "Hint.TLabel").at(
                        row=self._row(), column=0, pady=(theme.px(6), 0)
                    ).say(text)
        self._line(self._place())
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
        whole = self._place("values")
        if self.way == "values":
            numbered = self.number
            self._field(
                row, whole, LENGTHS, width=8, edit=lambda values: edits.set_found(numbered, values)
            ).grid(row=0, column=0, sticky="ew")
        else:
            labels = {"goes": "goes", "at_least": "at least", "at_most": "at most"}
            kind = LEAVES if self.way == "goes" else LENGTH
            self._field(row, self._place(self.way), kind, label=labels[self.way]).grid(
                row=0, column=0, sticky="ew"
            )
        row.columnconfigure(0, weight=1, uniform="half")
        if self.way == "goes":
            self._field(row, self._place("stops"), LENGTH, label="stops").grid(
                row=0, column=1, sticky="ew", padx=(gap, 0)
            )
        within = self._own_within or "tool" not in self.reading
        if within:
            beside = self.way in ("at_least", "at_most")
            self._field(row, self._place("within"), LENGTH, label="within").grid(
                row=0 if beside else 1, column=1 if beside else 0, sticky="ew",
                padx=(gap if beside else 0, 0), pady=(0 if beside else self._theme.px(5), 0),
            )  # fmt: skip
        if self.way == "goes" or (within and beside):
            row.columnconfigure(1, weight=1, uniform="half")
        for place, field in self.fields.items():
            why = WAY_WHYS[self.way]
            tip_on(field.entry if isinstance(field, Field) else field, self._theme, why)
            self._line(place)

    def _build_seat(self, seat: str) -> None:
        """A field for what was fitted in a seat."""
        theme = self._theme
        row = ttk.Frame(self.inside, style="Inner.TFrame")
        row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
        row.columnconfigure(1, weight=1)
        widest = max(theme.wide("caption", name) for name in ("wheel side", "plain side"))
        label = ttk.Label(row, text=seat, style="Hint.TLabel", foreground=theme.side(seat))
        label.grid(row=0, column=0, sticky="w")
        row.columnconfigure(0, minsize=widest + theme.px(6))
        place = self._place("fitted", seat)
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
        self.ways = Choice(chips, theme, self._taken_as)
        ways = [(way, way_words(way, of)) for way in WAY_WORDS]
        short = "goes / stops" if self.way == "goes" else ""
        self.ways.offer(ways, self.way, short)
        tip_on(self.ways, theme, WAY_WHYS[self.way])
        self.tools = Choice(chips, theme, self._with_tool, place=self._place("tool"))
        self.fields[self.tools.place_of] = self.tools
        self._line(self.tools.place_of)
        if feelers:
            place = self._place("leaves")
            self.leaves = Choice(chips, theme, self._with_leaves, place=place)
            self.fields[place] = self.leaves
            tip_on(self.leaves, theme, LEAVES_WHY)
            self._line(place)
        if of == "backlash":
            self.where = ttk.Button(
                chips, style="Chip.TButton", command=lambda: self._open_where(not self._where_open)
            )
            self.where.bind("<Return>", lambda _: self.where.invoke())
            tip_on(self.where, theme, WHERE_WHY)
        self.more = Choice(row, theme, self._do, marks=False)
        self.more.grid(row=0, column=1, sticky="ne", padx=(theme.px(5), 0))
        self.more.offer(
            (("repeat", "Repeat it"), ("off", "Leave it out"), ("remove", "Remove it")), word="⋯"
        )

    def _build_where(self) -> None:
        """Where and how a backlash is read."""
        theme = self._theme
        chips = Flow(self.inside, theme)
        chips.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
        for key in ("read", "on"):
            place = self._place(key)
            self.fields[place] = Choice(chips, theme, self._setter(place), place=place)
            self._line(place)
        for key, label in (
            ("radius", "radius of the dial"),
            ("lever_angle", "lever at an angle of (°)"),
            ("out_of_line", "out of line by (°)"),
        ):
            row = ttk.Frame(self.inside, style="Inner.TFrame")
            row.grid(row=self._row(), column=0, sticky="ew", pady=(theme.px(5), 0))
            row.columnconfigure(0, weight=1)
            place = self._place(key)
            kind = LENGTH if key == "radius" else NUMBER
            field = self._field(row, place, kind, label=label, font="label")
            field.grid(row=0, column=0, sticky="e")
            tip_on(field.entry, theme, WHERE_WHY)
            self._line(place)

    def _field(self, row: ttk.Frame, place: Place, kind: Any, **looks: Any) -> Field:
        field = Field(row, self._theme, place, kind, self._on_edit, **looks)
        for key in ("<Return>", "<KP_Enter>"):
            field.entry.bind(key, next_field)
        self.fields[place] = field
        return field

    def _line(self, place: Place) -> None:
        if place not in self._lines:
            line = Line(self.inside, self._theme)
            self._lines[place] = line.at(
                row=self._row(), column=0, columnspan=2, pady=(self._theme.px(3), 0)
            )
            line.keep_row()

    def _row(self) -> int:
        return len(self.inside.winfo_children()) + 1

    def _place(self, *rest: str) -> Place:
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

    # Showing

    def _fill(self, unit: str, words: str) -> None:
        reading, own = self.reading, str(self._table.get("unit", "mm"))
        self.unit.configure(text="" if self._theme.large else UNIT_SHOWN.get(unit, unit))
        if reading.get("off") is True:
            found = " ".join(self._texts(own, unit))
            self.left_out.configure(text=f"Left out: {found}" if found else "Left out")
            return
        for place, field in self.fields.items():
            if isinstance(field, Field):
                value = edits.value_at(self._table, place)
                if place[-1] == "values":
                    value = edits.found_of(reading) or None
                field.show_value(value, own, unit)
        self._fill_chips()

    def _fill_chips(self) -> None:
        reading = self.reading
        names = self._table.get("tools", {})
        names = [str(name) for name in names] if isinstance(names, dict) else []
        tool = reading.get("tool", NO_TOOL)
        assert self.tools is not None
        choices = [*((name, name) for name in names), (NO_TOOL, "no tool")]
        self.tools.offer(choices, str(tool))
        leaves = self.fields.get(self._place("leaves"))
        if isinstance(leaves, Choice):
            many = reading.get("leaves", 1)
            counts = [(str(n), f"{n} {'leaf' if n == 1 else 'leaves'}") for n in _counts(many)]
            leaves.offer(counts, str(many))
        if reading.get("of") == "backlash":
            arrow = "▴" if self._where_open else "▾"
            self.where.configure(text=f"{where_words(reading)} {arrow}")
        for key, choices in (("read", [(d, d) for d in DIRECTIONS]), ("on", list(ON_TOOTH))):
            chip = self.fields.get(self._place(key))
            if isinstance(chip, Choice):
                chip.offer(choices, str(reading.get(key, choices[0][0])))
        for child in self.inside.winfo_children():
            for flow in (child, *child.winfo_children()):
                if isinstance(flow, Flow) and flow.winfo_width() > 1:
                    flow.arrange(flow.winfo_width())

    def _texts(self, own: str, unit: str) -> list[str]:
        found = edits.found_of(self.reading) or [
            self.reading[key] for key in ("goes", "stops", "at_least", "at_most")
            if key in self.reading
        ]  # fmt: skip
        return [LEAVES.shown(one, own, unit) for one in found]

    def _mark(self, faults: tuple[Fault, ...]) -> None:
        said = sort_faults(faults, tuple(self.fields), self._place())
        for place, field in self.fields.items():
            words, soft = said.get(place, ("", False))
            field.mark(bool(words) and not soft)
        for place, line in self._lines.items():
            line.say(*said.get(place, ("", False)))

    # Doing

    def switch(self) -> None:
        """Leave the reading out, or put it back."""
        on = self.reading.get("off") is True
        self._tell(edits.switch_reading(self.number, on=on), self._place("off"))

    def _do(self, what: str) -> None:
        if what == "repeat":
            self._tell(edits.repeat_reading(self.number), ("readings", self.number + 1))
        elif what == "remove":
            self._tell(edits.remove_reading(self.number), self._place())
        else:
            self.switch()

    def _taken_as(self, way: str) -> None:
        edit = edits.take_as(self.number, way)
        if way == "at_most":
            edit = edits.together(edit, edits.set_at(self._place("at_most"), 0))
        self.way = way
        self._tell(edit, self._place(way))

    def _with_tool(self, name: str) -> None:
        self._own_within = "within" in self.reading
        self._tell(edits.set_at(self._place("tool"), name or None), self._place("tool"))

    def _with_leaves(self, many: str) -> None:
        value = int(many) if many.isdigit() and many != "1" else None
        self._tell(edits.set_at(self._place("leaves"), value), self._place("leaves"))

    def _setter(self, place: Place) -> Callable[[str], object]:
        usual = (DIRECTIONS[0], ON_TOOTH[0][0])
        return lambda value: self._tell(
            edits.set_at(place, None if value in usual else value), place
        )

    def _open_where(self, on: bool) -> None:
        if self._where_open != on:
            self._where_open = on
            self._tell(lambda table: table, self._place())  # asks to be shown again

    def _tell(self, edit: edits.Edit, place: Place) -> None:
        self._on_edit(edit, place, False)

    # The keyboard across a rebuild

    def _held(self) -> tuple[Place, int] | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        for place, field in self.fields.items():
            if isinstance(field, Field) and field.entry == focus:
                return place, field.entry.index("insert")
            if field == focus:
                return place, 0
        return None

    def _hold(self, held: tuple[Place, int] | None) -> None:
        if held is None:
            return
        field = self.fields.get((*self._place(), *held[0][2:]))
        if field is not None:
            field.take_focus()
            if isinstance(field, Field):
                field.entry.icursor(held[1])


def _counts(many: object) -> list[object]:
    offered: list[object] = list(range(1, MOST_LEAVES + 1))
    return offered if many in offered else [*offered, many]


def _nearest(place: Place, known: Any) -> Place | None:
    return next((place[:k] for k in range(len(place), 2, -1) if place[:k] in known), None)
