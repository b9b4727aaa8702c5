"""The rows of the crush spacer's form: what the manual says, the tool, what can be left alone."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

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
from desktop.form_parts import Pick, Told
from desktop.setup_form import Rows
from desktop.theme import Theme
from solver.torque_units import TORQUE_UNITS, torque_unit_shown
from solver.trouble import Place

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


class CrushRows(Rows):
    """The rows in a frame on a card; built anew when what is asked for changes."""

    def __init__(
        self, body: ttk.Frame, theme: Theme, told: Told, turned: Callable[[str], object]
    ) -> None:
        """body: on a card; theme: the look; told: called with every edit; turned: called with
        'more' or 'yours' where more rows are wanted, or fewer."""
        super().__init__(body, theme, told, NARROW_PX, say.wish_words)
        self._turned = turned

    def build(self, table: Table, unit: str, words: str, *, more: bool, yours: bool) -> None:
        """Build all rows. table: the job's; unit: of bare torques; words: 'UK' or 'US'; more: also
        what can be left alone; yours: also what was in the readings."""
        self.destroy_all()
        self._build_limits(table, unit, yours)
        self._build_tool(table, unit)
        row = self.named("")
        text = "Less ▴" if more else "More: thread, nut, risk ▾"
        self.more_button = self._chip(row, text, lambda: self._turned("more"))
        if more:
            self._build_rare(table, unit, words)
        self.line(("crush",), column=0)

    def fill(self, table: Table) -> None:
        """Show what the job says in every field. table: the job's."""
        for place, field in self.fields.items():
            if not isinstance(field, Choice):
                field.show_value(_shown_at(table, place), "mm", "mm")

    def _chip(self, row: tk.Misc, text: str, call: Callable[[], object]) -> ttk.Button:
        button = ttk.Button(row, text=text, style="Chip.TButton", command=call)
        button.bind("<Return>", lambda _: button.invoke())
        return button

    def _build_limits(self, table: Table, unit: str, yours: bool) -> None:
        """What the manual says: of which bearings, how much, and what it means by it."""
        row = self.named("Bearings", why=say.BEARINGS_WHY)
        self.pick(row, ("crush", "bearings"), say.BEARINGS, why=say.BEARINGS_WHY)
        self.line(("crush", "bearings"))
        bearings = value_at(table, ("crush", "bearings"))
        window = bearings if bearings in ("new", "used") else "new"
        row = self.named("Window", why=say.WINDOW_WHY)
        for end, label in (("low", ""), ("high", "to")):
            place = ("crush", window, end)
            self.field(row, place, NUMBER, label=label, width=4, why=say.WINDOW_WHY)
        chip = Choice(row, self.theme, self._set_unit, place=("crush", "unit"))
        chip.offer([(one, torque_unit_shown(one)) for one in TORQUE_UNITS], unit)
        self.fields[chip.place_of] = chip
        self.line(
            ("crush", window, "low"), ("crush", window, "high"), ("crush", window),
            ("crush", "unit"),
        )  # fmt: skip
        if value_at(table, ("crush", "example")) is True:
            row = self.named("")
            self.after(row, say.EXAMPLE)
            mark = ("crush", "example")
            self._chip(row, say.MENDED, lambda: self.told(remove_at(mark), mark, False))
        row = self.named("It means", why=say.MEANS_WHY)
        self.pick(row, ("crush", "means"), say.MEANS, why=say.MEANS_WHY)
        self.line(("crush", "means"))
        self._in_out("with", "It counts")
        if yours:
            self._in_out("readings_with", "You had")
        else:
            row = self.named("You had")
            same = self._chip(row, "the same in it ▾", lambda: self._turned("yours"))
            tip_on(same, self.theme, say.YOURS_WHY)
        for what in parts_apart(table):
            self._drag(table, f"{what}_drag", f"{what.capitalize()} alone", say.AWAY_WHY, unit)

    def _in_out(self, key: str, label: str) -> None:
        """Whether seal and carrier are in the manual's figure, or in the readings."""
        why = say.WITH_WHY if key == "with" else say.YOURS_WHY
        for at, what in enumerate(WITH):
            row = self.named("" if at else label, why=why)
            place = ("crush", key, what)
            pick = YesNo(
                row, self.theme, place, (f"{what} in", f"{what} out"), self.told,
                lambda value, what=what: set_with(key, what, value),  # type: ignore[misc]  # bound
            )  # fmt: skip
            for button in pick.buttons.values():
                tip_on(button, self.theme, why)
            self.fields[place] = pick
            self.line(place)
        self.line(("crush", key))

    def _build_tool(self, table: Table, unit: str) -> None:
        """What the torque is read with."""
        kind = tool_kind(table)
        row = self.named("Read with", why=say.TOOL_WHY)
        chip = Choice(row, self.theme, self._set_tool, place=("crush", "tool", "kind"))
        chip.offer(say.KINDS, kind)
        tip_on(chip, self.theme, say.TOOL_WHY)
        self.fields[chip.place_of] = chip
        self.field(
            row, ("crush", "tool", "within"), amount_kind("%"), label="within %", width=3,
            why=say.WITHIN_WHY,
        )  # fmt: skip
        self.line(chip.place_of, ("crush", "tool", "within"), ("crush", "tool"))
        if kind != "wrench":
            own = RADIUS_UNIT[unit]
            row = self.named("Radius", why=say.RADIUS_WHY)
            places = [("crush", "radius", key) for key in ("value", "within")]
            self.field(row, places[0], amount_kind(own), width=4, why=say.RADIUS_WHY)
            self.field(
                row, places[1], amount_kind(own), label="within", width=4, why=say.RADIUS_WHY
            )
            self.after(row, own)
            self.line(*places, ("crush", "radius"))

    def _build_rare(self, table: Table, unit: str, words: str) -> None:
        """What can be left alone: each has its usual value, listed as assumed."""
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
            row = self.named(label, why=why)
            self.field(row, ("crush", key), kind, width=8 if key == "pitch" else 4, why=why)
            self.after(row, after)
            self.line(("crush", key))

    def _drag(self, table: Table, key: str, label: str, why: str, unit: str) -> None:
        """The repeats of a drag, read as the pauses are."""
        drag = value_at(table, ("crush", key), {})
        place = ("crush", key, way_of(drag if isinstance(drag, dict) else {}, table))
        own = amounts_unit(tool_kind(table), unit)
        row = self.named(label, why=why)
        self.field(
            row, place, amounts_kind(own), width=12, why=why,
            edit=lambda values: set_drag(place, values),
        )  # fmt: skip
        self.after(row, own or torque_unit_shown(unit))
        self.line(place, ("crush", key))

    def _set_unit(self, unit: str) -> None:
        self.told(set_at(("crush", "unit"), unit), ("crush", "unit"), False)

    def _set_tool(self, kind: str) -> None:
        self.told(set_at(("crush", "tool", "kind"), kind), ("crush", "tool", "kind"), False)


def _shown_at(table: Table, place: Place) -> object:
    """What a field shows: what the file says there, or where it says it shorter, there."""
    value = value_at(table, place)
    whole = value_at(table, place[:2])
    short = (place[1] == "radius" and place[-1] == "value") or str(place[1]).endswith("drag")
    if short and not isinstance(whole, dict):
        return whole
    if place[1] == "readings_with" and value is None:
        return value_at(table, ("crush", "with", place[-1]))
    return value


def parts_apart(table: Table) -> tuple[str, ...]:
    """Find what is either in the manual's figure or in the readings. table: the job's."""
    crush = value_at(table, ("crush",), {})
    found = []
    for what in ("seal", "carrier"):
        own = value_at(crush, ("with", what))
        yours = value_at(crush, ("readings_with", what), own)
        if own != yours or f"{what}_drag" in crush:
            found.append(what)
    return tuple(found)
