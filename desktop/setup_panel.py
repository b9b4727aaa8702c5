"""The set-up of a job: limits, seats, mesh, tools, and what is assumed where it says nothing."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

from desktop import edits
from desktop import setup_words as say
from desktop.form_chips import prepare_chips, stop_at_fields
from desktop.form_parts import Field, Pick, Told
from desktop.line_fields import NameField
from desktop.line_said import NOTHING_KNOWN, Known
from desktop.line_table import LINES, lines_alone
from desktop.pinion_edits import PINION
from desktop.setup_bench import BenchPart, build_notes
from desktop.setup_bench_edits import bench_shape
from desktop.setup_bench_ring import CutKept, Cutter, build_rings, show_cut
from desktop.setup_edits import hold_to
from desktop.setup_form import Form
from desktop.setup_lines import (
    Hands,
    Kept,
    LinesPart,
    build_lines,
    lines_shape,
    part_at,
    show_lines,
)
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
from solver.plan import Plan
from solver.trouble import Fault, Place


class SetupPanel(ttk.Frame):
    """The set-up as a form; goes into the body of a card, told of every edit it makes."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, *, on_edit: Told,
        on_go: Callable[[Place], object] | None = None, cutter: Cutter | None = None,
    ) -> None:  # fmt: skip
        """parent: body of a card; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field; on_go: puts the keyboard on a place that may lie
        outside the set-up; cutter: writes templates of rings, None where nobody does."""
        super().__init__(parent, style="Inner.TFrame")
        prepare_chips(self, theme)
        self._theme, self._on_edit = theme, on_edit
        self._go = on_go or self.focus_place
        self.form = Form(self, theme, self._told)
        self.form.column.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self._built: tuple[object, ...] = ()
        self._pinch = ""
        self._pinion = PinionPart()
        self.bench, self._cut, self._cutter = BenchPart(), CutKept(), cutter
        self._lines, self._kept = LinesPart(), Kept()
        self._hands: Hands | None = None
        self._drawn: tuple[Plan | None, Known] = (None, NOTHING_KNOWN)
        self._lit = ""  # the part of a line that the keyboard is on
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
        drawn: tuple[Plan | None, Known] | None = None,
    ) -> None:
        """Show the set-up; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of the job; assumed: what stands in for what the job does not say;
        unit: that lengths are shown in; words: UK or US; drawn: the plan and the lengths that lines
        are drawn by, as before unless given.
        """
        self._drawn = drawn or self._drawn
        self._last = (table, faults, assumed, unit, words)
        self._pinch = pinch_kind(table) or self._pinch or "pinch"
        tools = table.get("tools", {})
        tools = tools if isinstance(tools, dict) else {}
        needs = (
            words, tuple(tools), self._pinch, unit, pinion_shape(table), _spoken(table),
            lines_shape(table, self._kept), bench_shape(table),
        )  # fmt: skip
        if needs != self._built:
            self._built = needs
            self._build(table, tuple(map(str, tools)), unit, words)
        assert self._hands is not None
        self._hands.table = table
        self.form.show_values(table, unit)
        show_limits(self.form, table)
        show_warmth(self.form, table)
        show_tools(self.form, table, unit, words)
        show_pinion(self.form, self._pinion, table, unit=unit, words=words)
        self.form.show_faults(show_lines(self._hands, self._lines, faults, self._lit, self._drawn))
        if self._cutter is not None:
            show_cut(self.form, self.bench, table, self._cut, self._cutter)
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
        if near is None and place[-1:] != ("name",):
            inside = (known for known in self.form.fields if known[: len(place)] == place)
            near = next(inside, None)
        if near is not None:
            field = self.form.fields[near]
            field.take_focus()
            self.update_idletasks()
            self.form.column.see(field)
        elif place[-1:] == ("name",):
            self._wants = place  # of something new, still to be built
        elif place[:1] == PINION and self._pinion.begin is not None:
            self._pinion.begin.focus_set()
            self.update_idletasks()
            self.form.column.see(self._pinion.begin)

    def _build(self, table: edits.Table, tools: tuple[str, ...], unit: str, words: str) -> None:
        held = self._held()
        form = self.form
        form.destroy_all()
        build_job(form)
        scope, alone = scope_of(table), lines_alone(table)
        self._hands = Hands(
            form, table, self._kept, self._begun, self._renamed, self._go, unit, words
        )
        self._lines, self._pinion = LinesPart(), PinionPart()
        if alone:
            self._lines = build_lines(self._hands)
        else:
            build_limits(form, self._pinch, self._swap, scope, unit=unit, words=words)
            build_seats(form, scope)
            self._pinion = build_pinion(form, table, self._begun, unit=unit, words=words)
        if scope.carrier or "mesh" in table:
            build_mesh(form, table, unit)
        if not alone:
            self._lines = build_lines(self._hands)
        build_tools(form, tools, unit=unit, words=words)
        if scope.carrier or "warmth" in table:
            build_warmth(form, unit)
        self.bench = build_notes(self._hands, self._held)
        build_rings(self._hands, self.bench, self._cut, self._cutter)
        if not alone:
            build_layout(form)
        form.section("Assumed", "What stands in for what the job does not say, said as such.")
        self.assumed_line = form.note("")
        for place, field in form.fields.items():
            if part_at(table, place):
                self._light_on_focus(field, part_at(table, place))
        if held is not None and held[0] in form.fields:
            field = form.fields[held[0]]
            field.take_focus()
            if isinstance(field, Field):
                field.entry.icursor(held[1])

    def _light_on_focus(self, widget: tk.Misc, name: str) -> None:
        """Light a part of a line in the sketches while the keyboard is on what is said of it."""

        def light(name: str) -> None:
            self._lit = name
            for sketch in self._lines.sketches:
                if sketch.winfo_exists():
                    sketch.light(name)

        widget.bind("<FocusIn>", lambda _: light(name), add="+")
        widget.bind("<FocusOut>", lambda _: light(""), add="+")
        for child in widget.winfo_children():
            self._light_on_focus(child, name)

    def _renamed(self, edit: edits.Edit, name: str, to: str) -> None:
        """Take an edit after which something has another name; the keyboard stays where it is, or
        goes on from that name's own field."""
        held = self._held()
        place = tuple(to if part == name else part for part in held[0]) if held else ()
        if place[-1:] == ("name",):
            place = place[:-1] if len(place) > 3 else (*place[:-1], "low")
        self._wants = place
        self._told(edit, place or (LINES,), False)

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
            if isinstance(field, Field | NameField) and field.entry == focus:
                return place, field.entry.index("insert")
            if isinstance(field, Pick) and focus in field.buttons.values():
                return place, 0
        return None


def _spoken(table: edits.Table) -> tuple[bool, ...]:
    """Whether a job about the pinion alone says something that is the carrier's."""
    if scope_of(table).carrier:
        return ()
    return "mesh" in table, "warmth" in table
