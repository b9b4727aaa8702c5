"""The ring of a shim in the set-up: its widths, those of seats with their own, and one to cut."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import setup_bench_words as say
from desktop.edits import Table, set_at
from desktop.form_chips import Choice, tip_on
from desktop.setup_bench import BenchPart, take_away
from desktop.setup_bench_edits import (
    RING,
    WIDTHS,
    add_ring,
    one_for_all,
    own_rings,
    remove_ring,
    seats_of,
)
from desktop.setup_edits import set_pruned
from desktop.setup_form import Form
from desktop.setup_lines import Hands
from desktop.theme import Theme
from desktop.widgets import BenchField
from solver.report_words import UNIT_SHOWN
from solver.trouble import Place

CUT: Place = (RING, "cut")  # of the field of a thickness to cut; no key of a job

Advised = tuple[str, str, str]  # thickness as shown, seat, and what is to be said of it


@dataclass(frozen=True, slots=True)
class Cutter:
    """Who knows what the answer advises to cut, and writes templates."""

    advised: Callable[..., Any]  # of nothing; gives Advised
    cut: Callable[..., Any]  # of a thickness as typed and a seat; why not, '' where it is written


@dataclass(slots=True, eq=False)
class CutKept:
    """What stands in the row of a ring to cut, whenever it is built anew."""

    text: str = ""
    seat: str = ""
    offered: tuple[str, str] = ("", "")  # thickness and seat that nobody typed
    said: str = ""  # of what is advised
    refused: str = ""  # why the last one was not written


class CutField(BenchField):
    """A thickness to cut; no part of the job."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, told: Callable[[str], object],
        see: Callable[[], object],
    ) -> None:  # fmt: skip
        """parent: on a card; theme: the look; told: called with the text at every change; see:
        brings its row in sight."""
        super().__init__(parent, theme, label="thickness", width=7, told=told)
        self.place_of, self._see = CUT, see
        self.entry.configure(font=theme.font("label"))

    def show_value(self, _value: object, _unit: str = "", _shown: str = "") -> None:
        """A job says nothing of it."""

    def mark(self, bad: bool) -> None:
        """Its faults are none of the job's."""

    def take_focus(self) -> None:
        """Take the keyboard, with what stands beside it in sight."""
        self.entry.focus_set()
        self.update_idletasks()
        self._see()


def build_rings(hand: Hands, part: BenchPart, kept: CutKept, cutter: Cutter | None) -> None:
    """Build the ring's section. hand: what it is built with; part: takes what it has besides its
    fields; kept: of a ring to cut; cutter: writes its template, None where nobody does."""
    form, table = hand.form, hand.table
    form.section("Ring of a shim", say.RING_NOTE, (RING,))
    own = own_rings(table)
    for seat in ("", *own):
        name = seat[:1].upper() + seat[1:] if seat else say.EVERY_SEAT
        row = form.named(name, form.theme.side(seat) if seat else "")
        place: Place = (RING, seat) if seat else (RING,)
        for key in WIDTHS:
            at = (*place, key)
            edit = partial(set_at if seat else set_pruned, at)
            form.field(row, at, label=key, width=6, edit=edit)
        if seat:
            take_away(hand, part, row, remove_ring(seat), place)
        else:
            form.after(row, UNIT_SHOWN[hand.unit])
        form.line(*((*place, key) for key in WIDTHS), *([place] if seat else []))
    left = [seat for seat in seats_of(table) if seat not in own]
    if left:
        row = form.beside(None)
        part.another = Choice(
            row, form.theme, lambda seat: hand.begun(add_ring(seat), (RING, seat, WIDTHS[0])),
            style="Quiet.TMenubutton", marks=False,
        )  # fmt: skip
        part.another.offer([(seat, seat) for seat in left], word=say.ANOTHER_RING)
    if cutter is not None:
        _build_cut(hand, part, kept, cutter)


def show_cut(form: Form, part: BenchPart, table: Table, kept: CutKept, cutter: Cutter) -> None:
    """Show what is advised to be cut, unless something else has been typed.

    form; part: of the ring's section; table: the job's; kept: of the ring to cut; cutter: knows.
    """
    field = form.fields.get(CUT)
    if not isinstance(field, CutField):
        return
    text, seat, kept.said = cutter.advised()
    seats = _seats_to_cut(table)
    seat = seat if seat in dict(seats) or not seats else seats[0][0]
    if (kept.text.strip(), kept.seat) == kept.offered:
        if (text, seat) != kept.offered:
            kept.refused = ""
        kept.text, kept.seat = text, seat
        kept.offered = (text, seat)
    if kept.seat not in dict(seats) and seats:
        kept.seat = seats[0][0]
    if field.text.get() != kept.text:
        field.text.set(kept.text)
    if part.seat is not None:
        word = dict(seats).get(kept.seat, kept.seat)
        part.seat.offer(seats, kept.seat, f"for the {word}" if kept.seat else f"for {word}")
    _say_cut(form, kept)


def _say_cut(form: Form, kept: CutKept) -> None:
    field, line = form.fields[CUT], form.lines[CUT]
    assert isinstance(field, CutField)
    field.entry.state(["invalid" if kept.refused else "!invalid"])
    untouched = (kept.text.strip(), kept.seat) == kept.offered
    words = kept.said if untouched or not kept.text.strip() else say.BY_HAND
    line.say(kept.refused or words, soft=not kept.refused)


def _seats_to_cut(table: Table) -> list[tuple[str, str]]:
    """Seats that a piece can be for, and any where one ring serves them all."""
    own = own_rings(table)
    seats = dict.fromkeys((*seats_of(table), *own))
    some = [("", say.ANY_SEAT)] if one_for_all(table) or not own else []
    return [*some, *((seat, seat) for seat in seats)]


def _build_cut(hand: Hands, part: BenchPart, kept: CutKept, cutter: Cutter) -> None:
    form = hand.form

    def typed(text: str) -> None:
        if text != kept.text:
            kept.text, kept.refused = text, ""
            _say_cut(form, kept)

    def picked(seat: str) -> None:
        kept.seat, kept.refused = seat, ""
        show_cut(form, part, hand.table, kept, cutter)
        row.settle()

    def write() -> None:
        kept.refused = cutter.cut(kept.text, kept.seat)
        _say_cut(form, kept)
        row.update_idletasks()
        form.column.see(form.lines[CUT] if kept.refused else row)

    row = form.named(say.CUT, why=say.CUT_WHY)
    field = CutField(row, form.theme, typed, lambda: form.column.see(row))
    field.text.set(kept.text)
    tip_on(field.entry, form.theme, say.CUT_WHY)
    form.after(row, UNIT_SHOWN[hand.unit])
    part.seat = Choice(row, form.theme, picked)
    tip_on(part.seat, form.theme, say.CUT_SEAT_WHY)
    button = ttk.Button(row, text=say.WRITE, style="Chip.TButton", command=write)
    for key in ("<Return>", "<KP_Enter>"):
        button.bind(key, lambda _: button.invoke())
        field.entry.bind(key, lambda _: button.invoke())
    part.write = button
    form.fields[CUT] = field  # type: ignore[assignment]  # as a Field to the form
    form.line(CUT)
