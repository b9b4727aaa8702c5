"""Limits and tool of a crush spacer: a compact form on a card, folded once nothing is missing."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop import crush_words as say
from desktop.crush_edits import WITH, set_drag, set_with, tool_kind, way_of
from desktop.crush_kinds import (
    NUT_UNIT,
    PULL_UNIT,
    RADIUS_UNIT,
    WEIGHT_UNIT,
    amount_kind,
    amounts_kind,
)
from desktop.edits import Edit, Table, remove_at, set_at, value_at
from desktop.form_chips import Choice, tip_on
from desktop.form_kinds import CHANCE, NUMBER, Kind
from desktop.form_parts import Field, Pick, Told
from desktop.setup_form import Rows
from desktop.theme import Theme
from desktop.widgets import Card
from solver.torque_units import TORQUE_UNITS, torque_unit_shown
from solver.trouble import Fault, Place

NARROW_PX = 120  # names stand beside their rows in all but the narrowest column
RARE = ("drag", "pitch", "ceiling", "angle_within", "risk")  # of the table, behind 'More'


class YesNo(Pick):
    """A row of two choices for a value that is true or false in the file, unsaid until chosen."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        place: Place,
        words: tuple[str, str],
        told: Told,
        edit: Callable[[bool], Edit] | None = None,
    ) -> None:
        """parent; theme; place: in the job; words: for true and false; told: called with the edit;
        edit: makes it of the value, one that puts it at its place unless given."""
        make = edit or (lambda value: set_at(place, value))
        choices = (("yes", words[0]), ("no", words[1]))
        super().__init__(
            parent, theme, place, choices, told, edit=lambda value: make(value == "yes")
        )

    def show_value(self, value: object, _unit: str = "", _shown: str = "") -> None:
        """Show what is chosen. value: as the job keeps it."""
        self.value.set({True: "yes", False: "no"}.get(value, "") if isinstance(value, bool) else "")


def amounts_unit(kind: str, unit: str) -> str:
    """Give the unit written behind bare readings. kind: of the tool; unit: of torques."""
    return {"pull": PULL_UNIT, "weight": WEIGHT_UNIT}.get(kind, {}).get(unit, "")


class CrushForm(Card):
    """The form; told of every edit it makes."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, on_edit: Told) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field."""
        super().__init__(parent, theme)
        self._theme, self._on_edit = theme, on_edit
        self.body.columnconfigure(0, weight=1)
        self.title = ttk.Label(self.body, text="Limits and tool", style="Title.TLabel")
        self.title.grid(row=0, column=0, sticky="w")
        self.fold = ttk.Button(self.body, style="Chip.TButton", command=self._turn)
        self.fold.bind("<Return>", lambda _: self.fold.invoke())
        self.fold.grid(row=0, column=1, sticky="e")
        self.said = ttk.Label(self.body, style="Soft.Card.TLabel", justify="left")
        self._inside = ttk.Frame(self.body, style="Inner.TFrame")
        self.rows = Rows(self._inside, theme, self._told, NARROW_PX, say.wish_words)
        self._inside.bind("<Configure>", lambda event: self.rows.fit(event.width))
        self.open = True
        self._chosen: bool | None = None  # open or folded by hand
        self.more = False
        self.yours = False  # what was in the readings has rows of its own
        self._built: tuple[object, ...] = ()
        self._last: tuple[Table, tuple[Fault, ...], str] | None = None

    def show(self, table: Table, faults: tuple[Fault, ...], words: str) -> None:
        """Show limits and tool; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of the crush spacer; words: UK or US.
        """
        self._last = (table, faults, words)
        own = [fault for fault in faults if fault.place[1:2] != ("pauses",)]
        if own and not self.open:
            self._chosen = None  # what is missing or wrong has to be in sight
        self.open = bool(own) if self._chosen is None else self._chosen
        crush = value_at(table, ("crush",), {})
        self.more = self.more or any(fault.place[1:2] and fault.place[1] in RARE for fault in own)
        self.yours = self.yours or "readings_with" in crush
        self.fold.configure(text="Fold ▴" if self.open else "Change ▾")
        if own and self.open:
            self.fold.grid_remove()
        else:
            self.fold.grid()
        if not self.open:
            self._inside.grid_remove()
            self.said.configure(text=say.summary(table))
            self.said.grid(row=1, column=0, columnspan=2, sticky="w", pady=(self._theme.px(4), 0))
            return
        self.said.grid_remove()
        self._inside.grid(row=1, column=0, columnspan=2, sticky="ew", pady=(self._theme.px(4), 0))
        unit = crush.get("unit")
        unit = unit if unit in TORQUE_UNITS else TORQUE_UNITS[0]
        needs = (
            unit, crush.get("bearings"), tool_kind(table), words, self.more, self.yours,
            crush.get("example"), _apart(table),
        )  # fmt: skip
        if needs != self._built:
            self._built = needs
            self._build(table, unit, words)
        self._fill(table)
        self.rows.show_faults(tuple(own))
        self.rows.settle()

    def focus_place(self, place: Place) -> bool:
        """Put the keyboard on the field of a place. place. Returns whether there is one."""
        if self._last is not None and not self.open:
            self._chosen = True
            self.show(*self._last)
        if place[1:2] and place[1] in RARE and not self.more and self._last is not None:
            self.more = True
            self.show(*self._last)
        fields = self.rows.fields
        ways = (place[:k] for k in range(len(place), 0, -1))
        near = next((way for way in ways if way in fields), None)
        if near is None:
            near = next((known for known in fields if known[: len(place)] == place), None)
        if near is not None:
            fields[near].take_focus()
        return near is not None

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        found = self._held()
        return found[0] if found else ()

    # Building

    def _build(self, table: Table, unit: str, words: str) -> None:
        held = self._held()
        rows = self.rows
        rows.destroy_all()
        self._build_limits(table, unit)
        self._build_tool(table, unit)
        row = rows.named("")
        more = ttk.Button(
            row, text="Less ▴" if self.more else "More: thread, nut, risk ▾", style="Chip.TButton",
            command=self._turn_more,
        )  # fmt: skip
        more.bind("<Return>", lambda _: more.invoke())
        self.more_button = more
        if self.more:
            self._build_rare(table, unit, words)
        rows.line(("crush",), column=0)
        if held is not None and held[0] in rows.fields:
            field = rows.fields[held[0]]
            field.take_focus()
            if isinstance(field, Field):
                field.entry.icursor(held[1])
        self._listen(self._inside)
        rows.fit(self._inside.winfo_width())

    def _build_limits(self, table: Table, unit: str) -> None:
        """What the manual says: of which bearings, how much, and what it means by it."""
        rows = self.rows
        row = rows.named("Bearings", why=say.BEARINGS_WHY)
        rows.pick(row, ("crush", "bearings"), say.BEARINGS, why=say.BEARINGS_WHY)
        rows.line(("crush", "bearings"))
        bearings = value_at(table, ("crush", "bearings"))
        window = bearings if bearings in ("new", "used") else "new"
        row = rows.named("Window", why=say.WINDOW_WHY)
        for end, label in (("low", ""), ("high", "to")):
            place = ("crush", window, end)
            rows.field(row, place, NUMBER, label=label, width=4, why=say.WINDOW_WHY)
        chip = Choice(row, self._theme, self._set_unit, place=("crush", "unit"))
        chip.offer([(one, torque_unit_shown(one)) for one in TORQUE_UNITS], unit)
        rows.fields[chip.place_of] = chip
        rows.line(
            ("crush", window, "low"), ("crush", window, "high"), ("crush", window),
            ("crush", "unit"),
        )  # fmt: skip
        if value_at(table, ("crush", "example")) is True:
            row = rows.named("")
            rows.after(row, say.EXAMPLE)
            mend = ttk.Button(
                row, text=say.MENDED, style="Chip.TButton",
                command=lambda: self._told(
                    remove_at(("crush", "example")), ("crush", "example"), False
                ),
            )  # fmt: skip
            mend.bind("<Return>", lambda _: mend.invoke())
        row = rows.named("It means", why=say.MEANS_WHY)
        rows.pick(row, ("crush", "means"), say.MEANS, why=say.MEANS_WHY)
        rows.line(("crush", "means"))
        self._in_out("with", "It counts")
        if self.yours:
            self._in_out("readings_with", "You had")
        else:
            row = rows.named("You had")
            same = ttk.Button(
                row, text="the same in it ▾", style="Chip.TButton", command=self._turn_yours
            )
            same.bind("<Return>", lambda _: same.invoke())
            tip_on(same, self._theme, say.YOURS_WHY)
        for what in _apart(table):
            self._drag(table, f"{what}_drag", f"{what.capitalize()} alone", say.AWAY_WHY, unit)

    def _in_out(self, key: str, label: str) -> None:
        """Whether seal and carrier are in the manual's figure, or in the readings."""
        rows, why = self.rows, say.WITH_WHY if key == "with" else say.YOURS_WHY
        for at, what in enumerate(WITH):
            row = rows.named("" if at else label, why=why)
            place = ("crush", key, what)
            pick = YesNo(
                row, self._theme, place, (f"{what} in", f"{what} out"), self._told,
                lambda value, what=what: set_with(key, what, value),  # type: ignore[misc]  # bound
            )  # fmt: skip
            for button in pick.buttons.values():
                tip_on(button, self._theme, why)
            rows.fields[place] = pick
            rows.line(place)
        rows.line(("crush", key))

    def _build_tool(self, table: Table, unit: str) -> None:
        """What the torque is read with."""
        rows, kind = self.rows, tool_kind(table)
        row = rows.named("Read with", why=say.TOOL_WHY)
        chip = Choice(row, self._theme, self._set_tool, place=("crush", "tool", "kind"))
        chip.offer(say.KINDS, kind)
        tip_on(chip, self._theme, say.TOOL_WHY)
        rows.fields[chip.place_of] = chip
        rows.field(
            row, ("crush", "tool", "within"), amount_kind("%"), label="within %", width=3,
            why=say.WITHIN_WHY,
        )  # fmt: skip
        rows.line(chip.place_of, ("crush", "tool", "within"), ("crush", "tool"))
        if kind != "wrench":
            own = RADIUS_UNIT[unit]
            row = rows.named("Radius", why=say.RADIUS_WHY)
            places = [("crush", "radius", key) for key in ("value", "within")]
            rows.field(row, places[0], amount_kind(own), width=4, why=say.RADIUS_WHY)
            rows.field(
                row, places[1], amount_kind(own), label="within", width=4, why=say.RADIUS_WHY
            )
            rows.after(row, own)
            rows.line(*places, ("crush", "radius"))

    def _build_rare(self, table: Table, unit: str, words: str) -> None:
        """What can be left alone: each has its usual value, listed as assumed."""
        rows = self.rows
        self._drag(table, "drag", "Nut loose", say.LOOSE_WHY, unit)
        ceiling = say.CEILING_WHY.format(spacer=say.spacer_of(words))
        plain: tuple[tuple[str, str, Kind, str, str], ...] = (
            ("pitch", "Thread", NUMBER, "as 1.5 mm or 14 tpi", say.PITCH_WHY),
            ("ceiling", "Nut limit", amount_kind(NUT_UNIT[unit]),
             torque_unit_shown(NUT_UNIT[unit]), ceiling),
            ("angle_within", "Angles", NUMBER, "degrees off at most", say.ANGLE_WHY),
            ("risk", "Risk", CHANCE, "of 100 go too far", say.RISK_WHY),
        )  # fmt: skip
        for key, label, kind, after, why in plain:
            row = rows.named(label, why=why)
            rows.field(row, ("crush", key), kind, width=6 if key == "pitch" else 4, why=why)
            rows.after(row, after)
            rows.line(("crush", key))

    def _drag(self, table: Table, key: str, label: str, why: str, unit: str) -> None:
        """The repeats of a drag, read as the pauses are."""
        rows = self.rows
        drag = value_at(table, ("crush", key), {})
        place = ("crush", key, way_of(drag if isinstance(drag, dict) else {}, table))
        own = amounts_unit(tool_kind(table), unit)
        row = rows.named(label, why=why)
        rows.field(
            row, place, amounts_kind(own), width=9, why=why,
            edit=lambda values: set_drag(place, values),
        )  # fmt: skip
        rows.after(row, own or torque_unit_shown(unit))
        rows.line(place, ("crush", key))

    def _fill(self, table: Table) -> None:
        for place, field in self.rows.fields.items():
            value = value_at(table, place)
            if isinstance(field, Choice):
                continue
            if place[1] == "radius" and place[-1] == "value" and value is None:
                whole = value_at(table, ("crush", "radius"))
                value = None if isinstance(whole, dict) else whole
            drag = value_at(table, place[:2])
            if str(place[1]).endswith("drag") and not isinstance(drag, dict):
                value = drag  # what was read alone, without a table
            if place[1] == "readings_with" and value is None:
                value = value_at(table, ("crush", "with", place[-1]))
            field.show_value(value, "mm", "mm")

    # Doing

    def _set_unit(self, unit: str) -> None:
        self._told(set_at(("crush", "unit"), unit), ("crush", "unit"), False)

    def _set_tool(self, kind: str) -> None:
        self._told(set_at(("crush", "tool", "kind"), kind), ("crush", "tool", "kind"), False)

    def _turn(self) -> None:
        self._chosen = not self.open
        if self._last is not None:
            self.show(*self._last)

    def _turn_more(self) -> None:
        self.more = not self.more
        if self._last is not None:
            self.show(*self._last)

    def _turn_yours(self) -> None:
        self.yours = True
        if self._last is not None:
            self.show(*self._last)

    def _told(self, edit: Edit, place: Place, typing: bool) -> None:
        if place[:2] == ("crush", "radius") and self._last is not None:
            whole = value_at(self._last[0], ("crush", "radius"))
            if whole is not None and not isinstance(whole, dict):
                plain = edit  # a radius alone becomes one that can say how well it is known

                def edit(table: Table) -> Table:
                    return plain(set_at(("crush", "radius"), {"value": whole})(table))

        self._chosen = self.open  # a form does not fold under the hand that fills it
        self._on_edit(edit, place, typing)

    def _listen(self, widget: Any) -> None:
        """Ring the card while the keyboard is in it."""
        widget.bind("<FocusIn>", lambda _: self.ring(True), add="+")
        widget.bind("<FocusOut>", lambda _: self.ring(False), add="+")
        for child in widget.winfo_children():
            self._listen(child)

    def _held(self) -> tuple[Place, int] | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        for place, field in self.rows.fields.items():
            if isinstance(field, Field) and field.entry == focus:
                return place, field.entry.index("insert")
        return None


def _apart(table: Table) -> tuple[str, ...]:
    """What is in the manual's figure and not in the readings, or the other way round."""
    crush = value_at(table, ("crush",), {})
    found = []
    for what in ("seal", "carrier"):
        own = value_at(crush, ("with", what))
        yours = value_at(crush, ("readings_with", what), own)
        if own != yours or f"{what}_drag" in crush:
            found.append(what)
    return tuple(found)
