"""One pause of the nut as a card: its angle, the torque read there, whether the bearings turned."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop import crush_words as say
from desktop.crush_edits import (
    pauses_of,
    readings_of_way,
    remove_pause,
    set_amounts,
    switch_pause,
    tool_kind,
    way_of,
)
from desktop.crush_kinds import NUT_UNIT, amount_kind, amounts_kind
from desktop.crush_rows import YesNo, amounts_unit
from desktop.edits import OFF, Table, set_at, value_at
from desktop.form_chips import Choice, Flow, tip_on
from desktop.form_kinds import NUMBER
from desktop.form_parts import Field, Line, Pick, Told, next_field
from desktop.reading_faults import sort_faults
from desktop.theme import Theme
from desktop.widgets import Badge, Card
from solver.torque_units import TORQUE_UNITS, torque_unit_shown
from solver.trouble import Fault, Place

LABELS = {"pull": "pull", "weight": "weight"}  # else the unit says what it is


class PauseCard(Card):
    """A card that shows one pause; its fields stay while what is asked for stays."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_focus: Callable[[PauseCard, bool], object],
    ) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed; on_focus: called with the card and whether the keyboard came
        in."""
        super().__init__(parent, theme)
        self._theme, self._on_edit, self._on_focus = theme, on_edit, on_focus
        self.number = 0
        self.fields: dict[Place, Field | Pick] = {}
        self.lines: dict[Place, Line] = {}
        self.badge: Badge | None = None
        self.flows: list[Flow] = []
        self.inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.body.columnconfigure(0, weight=1)
        self._built: tuple[object, ...] = ()

    def show(self, number: int, table: Table, faults: tuple[Fault, ...], words: str) -> None:
        """Show a pause. number: which one, from 0; table: the job's; faults: of it; words."""
        pause = pauses_of(table)[number]
        way, kind = way_of(pause, table), tool_kind(table)
        unit = value_at(table, ("crush", "unit"))
        unit = str(unit) if unit in TORQUE_UNITS else TORQUE_UNITS[0]
        off = pause.get(OFF) is True
        needs = (number, way, kind, unit, off, words)
        if needs != self._built:
            held = self._held()
            self.number, self._built = number, needs
            self._build(way, amounts_unit(kind, unit), unit, off, words)
            if held is not None:
                self.take_focus((*self.place_at(), *held[3:]))
        if off:
            found = "  ".join(str(one) for one in readings_of_way(pause, way))
            angle = f"{pause['angle']}°" if "angle" in pause else ""
            self.left_out.configure(text=f"Left out: {angle}  {found}".rstrip(" :"))
        for place, field in self.fields.items():
            field.show_value(value_at(table, place), "mm", "mm")
        said = sort_faults(faults, tuple(self.fields), self.place_at())
        turned = self.place_at("turned")
        if readings_of_way(pause, way) and any(f.place == turned for f in faults):
            said.setdefault(turned, (say.TURNED_ASKED, True))
        for place, field in self.fields.items():
            text, soft = said.get(place, ("", False))
            field.mark(bool(text) and not soft)
        for place, line in self.lines.items():
            line.say(*said.get(place, ("", False)))
        for flow in self.flows:
            flow.settle()

    def place_at(self, *rest: str) -> Place:
        """Give a place in this pause. rest: keys below it. Returns it."""
        return ("crush", "pauses", self.number, *rest)

    def take_focus(self, place: Place) -> None:
        """Put the keyboard on the field of a place, or on the first one. place."""
        ways = (place[:k] for k in range(len(place), 0, -1))
        near = next((way for way in ways if way in self.fields), None)
        if near is None and place == self.place_at():  # a new one: to what is still empty
            near = next(
                (p for p, f in self.fields.items() if isinstance(f, Field) and not f.text.get()),
                None,
            )
        field = self.fields[near] if near else next(iter(self.fields.values()), None)
        if field is not None:
            field.take_focus()

    # Building

    def _build(self, way: str, own: str, unit: str, off: bool, words: str) -> None:
        theme = self._theme
        self.inside.destroy()
        self.inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.inside.grid(row=0, column=0, sticky="ew")
        self.inside.columnconfigure(1, weight=1)
        self.fields, self.lines, self.flows = {}, {}, []
        self.badge = Badge(self.inside, theme, self.number + 1)
        self.badge.grid(row=0, column=0, sticky="n", pady=(theme.px(2), 0))
        self.more = Choice(self.inside, theme, self._do, marks=False)
        self.more.offer(
            (("off", "Put it back" if off else "Leave it out"), ("remove", "Remove it")), word="⋯"
        )
        if off:
            self.left_out = ttk.Label(self.inside, style="Hint.TLabel")
            self.left_out.grid(row=0, column=1, sticky="w", padx=theme.px(8))
        else:
            self._build_found(way, own, unit)
            self._build_how(unit, words)
        self.more.grid(row=0, column=2, sticky="ne")
        self.more.lift()  # Tab comes to it last
        self._line(self.place_at())
        self._listen(self.inside)

    def _build_found(self, way: str, own: str, unit: str) -> None:
        """How far the nut was turned, and what was read there."""
        theme = self._theme
        row = ttk.Frame(self.inside, style="Inner.TFrame")
        row.grid(row=0, column=1, sticky="ew", padx=theme.px(8))
        angle, torque = self.place_at("angle"), self.place_at(way)
        self._field(row, angle, NUMBER, width=4, label="at").grid(row=0, column=0)
        ttk.Label(row, text="°", style="Hint.TLabel").grid(row=0, column=1, padx=(theme.px(2), 0))
        label = "" if theme.large else LABELS.get(way, "")
        self._field(
            row, torque, amounts_kind(own), width=8, label=label,
            edit=lambda values: set_amounts(torque, values),
        ).grid(row=0, column=2, sticky="ew", padx=(theme.px(10), 0))  # fmt: skip
        shown = own or torque_unit_shown(unit)
        ttk.Label(row, text=shown, style="Hint.TLabel").grid(row=0, column=3, padx=(theme.px(4), 0))
        row.columnconfigure(2, weight=1)
        for key in ("<Return>", "<KP_Enter>"):
            self._entry(torque).bind(key, self._read)
        tip_on(self._entry(angle), theme, say.ANGLE_OF_NUT_WHY)
        tip_on(self._entry(torque), theme, say.REPEATS_WHY)
        for place in (angle, torque):
            self._line(place)

    def _build_how(self, unit: str, words: str) -> None:
        """Whether the bearings were turned, and what the nut took."""
        theme = self._theme
        flow = Flow(self.inside, theme, 6)
        flow.grid(row=1, column=1, columnspan=2, sticky="ew", padx=(theme.px(8), 0),
                  pady=(theme.px(6), 0))  # fmt: skip
        self.flows.append(flow)
        turned, nut = self.place_at("turned"), self.place_at("nut")
        ttk.Label(flow, text="turned 10×", style="Hint.TLabel")
        pick = YesNo(flow, theme, turned, ("yes", "no"), self._on_edit)
        self.fields[turned] = pick
        for button in pick.buttons.values():
            tip_on(button, theme, say.TURNED_WHY)
        own = NUT_UNIT[unit]
        field = self._field(flow, nut, amount_kind(own), width=4, label="nut", font="label")
        tip_on(field.entry, theme, say.NUT_WHY.format(spacer=say.spacer_of(words)))
        if not theme.large:
            ttk.Label(flow, text=torque_unit_shown(own), style="Hint.TLabel")
        for place in (turned, nut):
            self._line(place)

    def _read(self, event: tk.Event[Any]) -> str:
        """After the torque comes the question that has to be answered, then what can be left."""
        turned = self.fields.get(self.place_at("turned"))
        if not isinstance(turned, Pick) or turned.value.get():
            return next_field(event)
        turned.take_focus()
        return "break"

    def _field(self, row: tk.Misc, place: Place, kind: Any, **looks: Any) -> Field:
        edit = looks.pop("edit", None) or (lambda value: set_at(place, value))
        field = Field(row, self._theme, place, kind, self._on_edit, edit=edit, **looks)
        for key in ("<Return>", "<KP_Enter>"):
            field.entry.bind(key, next_field)
        self.fields[place] = field
        return field

    def _entry(self, place: Place) -> ttk.Entry:
        field = self.fields[place]
        assert isinstance(field, Field)
        return field.entry

    def _line(self, place: Place) -> None:
        line = Line(self.inside, self._theme)
        self.lines[place] = line.at(
            row=2 + len(self.lines), column=0, columnspan=3, pady=(self._theme.px(3), 0)
        )
        line.keep_row()

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

    def _do(self, what: str) -> None:
        if what == "remove":
            self._on_edit(remove_pause(self.number), self.place_at(), False)
        else:
            off = self._built[4] is True
            self._on_edit(switch_pause(self.number, on=off), self.place_at("off"), False)

    def _held(self) -> Place | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        fields = self.fields.items()
        return next((p for p, f in fields if isinstance(f, Field) and f.entry == focus), None)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        return self._held() or ()
