"""The set-up of a job: limits, seats, mesh, tools, and what is assumed where it says nothing."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk

from desktop import edits
from desktop import setup_words as say
from desktop.form_chips import prepare_chips, stop_at_fields
from desktop.form_parts import Field, Pick, Told
from desktop.pinion_edits import PINION
from desktop.setup_edits import hold_to
from desktop.setup_form import Form
from desktop.setup_pinion import (
    PinionPart,
    build_pinion,
    pinion_shape,
    scope_of,
    show_pinion,
)
from desktop.setup_sections import (
    build_job,
    build_layout,
    build_limits,
    build_mesh,
    build_seats,
    build_warmth,
    pinch_kind,
    show_limits,
    show_warmth,
)
from desktop.setup_tools import build_tools, show_tools
from desktop.theme import Theme
from solver.trouble import Fault, Place


class SetupPanel(ttk.Frame):
    """The set-up as a form; goes into the body of a card, told of every edit it makes."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, on_edit: Told) -> None:
        """parent: body of a card; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field."""
        super().__init__(parent, style="Inner.TFrame")
        prepare_chips(self, theme)
        self._theme, self._on_edit = theme, on_edit
        self.form = Form(self, theme, self._told)
        self.form.column.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self._built: tuple[object, ...] = ()
        self._pinch = ""
        self._pinion = PinionPart()
        self._wants: Place = ()  # where the keyboard goes once that is built
        self._last: tuple[edits.Table, tuple[Fault, ...], tuple[str, ...], str, str] | None = None
        self.assumed: list[str] = []

    def show(
        self,
        table: edits.Table,
        faults: tuple[Fault, ...],
        assumed: tuple[str, ...],
        *,
        unit: str,
        words: str,
    ) -> None:
        """Show the set-up; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of the job; assumed: what stands in for what the job does not say;
        unit: that lengths are shown in; words: UK or US.
        """
        self._last = (table, faults, assumed, unit, words)
        self._pinch = pinch_kind(table) or self._pinch or "pinch"
        tools = table.get("tools", {})
        tools = tools if isinstance(tools, dict) else {}
        needs = (words, tuple(tools), self._pinch, unit, pinion_shape(table), _spoken(table))
        if needs != self._built:
            self._built = needs
            self._build(table, tuple(map(str, tools)), unit, words)
        self.form.show_values(table, unit)
        show_limits(self.form, table)
        show_warmth(self.form, table)
        show_tools(self.form, table, unit, words)
        show_pinion(self.form, self._pinion, table, unit=unit, words=words)
        self.form.show_faults(faults)
        self.assumed = list(assumed)
        text = "\n".join(f"·  {one}" for one in assumed) or (
            say.ASSUMED_LATER if faults else say.NOTHING_ASSUMED
        )
        self.assumed_line.say(text, soft=True)
        self.form.settle()
        self.form.column.catch_wheel()
        stop_at_fields(self.form.column.body)
        offered = self._wants == PINION and self._pinion.begin is not None
        if self._wants in self.form.fields or offered:
            wanted, self._wants = self._wants, ()
            self.focus_place(wanted)

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on the field of a place, in sight. place: into the job."""
        ways = (place[:k] for k in range(len(place), 0, -1))
        near = next((way for way in ways if way in self.form.fields), None)
        if near is None:
            inside = (known for known in self.form.fields if known[: len(place)] == place)
            near = next(inside, None)
        if near is not None:
            field = self.form.fields[near]
            field.take_focus()
            self.update_idletasks()
            self.form.column.see(field)
        elif place[:1] == PINION and self._pinion.begin is not None:
            self._pinion.begin.focus_set()
            self.update_idletasks()
            self.form.column.see(self._pinion.begin)

    def _build(self, table: edits.Table, tools: tuple[str, ...], unit: str, words: str) -> None:
        held = self._held()
        form = self.form
        form.destroy_all()
        build_job(form)
        scope = scope_of(table)
        build_limits(form, self._pinch, self._swap, scope, unit=unit, words=words)
        build_seats(form, scope)
        self._pinion = build_pinion(form, table, self._begun, unit=unit, words=words)
        if scope.carrier or "mesh" in table:
            build_mesh(form, table, unit)
        build_tools(form, tools, unit=unit, words=words)
        if scope.carrier or "warmth" in table:
            build_warmth(form, unit)
        build_layout(form)
        form.section("Assumed", "What stands in for what the job does not say, said as such.")
        self.assumed_line = form.note("")
        if held is not None and held[0] in form.fields:
            field = form.fields[held[0]]
            field.take_focus()
            if isinstance(field, Field):
                field.entry.icursor(held[1])

    def _begun(self, edit: edits.Edit, place: Place) -> None:
        """Take an edit after which the section is another, the keyboard on a place of it."""
        self._wants = place
        self._told(edit, place, False)

    def _swap(self, to: str) -> None:
        self._pinch = to
        self._told(hold_to(to), ("limits", to), False)

    def _told(self, edit: edits.Edit, place: Place, typing: bool) -> None:
        self._on_edit(edit, place, typing)
        if not typing and self._last is not None:
            table, faults, assumed, unit, words = self._last
            self.show(table, faults, assumed, unit=unit, words=words)

    def _held(self) -> tuple[Place, int] | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        for place, field in self.form.fields.items():
            if isinstance(field, Field) and field.entry == focus:
                return place, field.entry.index("insert")
            if isinstance(field, Pick) and focus in field.buttons.values():
                return place, 0
        return None


def _spoken(table: edits.Table) -> tuple[bool, ...]:
    """Whether a job about the pinion alone says something that is the carrier's."""
    if scope_of(table).carrier:
        return ()
    return "mesh" in table, "warmth" in table
