"""What a job notes for the bench sheet, in the set-up: fasteners with torques, assembly marks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from tkinter import ttk

from desktop import setup_bench_words as say
from desktop.edits import Edit, set_at, value_at
from desktop.form_chips import Choice, Flow, tip_on
from desktop.form_kinds import WORDS
from desktop.form_parts import Field, next_field
from desktop.line_fields import NameField
from desktop.setup_bench_edits import (
    FASTENERS,
    MARKS,
    add_fastener,
    add_mark,
    fasteners_of,
    free_mark,
    marks_of,
    may_be_marked,
    remove_fastener,
    remove_mark,
    rename_mark,
)
from desktop.setup_lines import Hands
from desktop.tick import Tick
from solver.job_sheet import MOST_FASTENERS, MOST_MARKS
from solver.trouble import Place

Held = Callable[[], "tuple[Place, int] | None"]  # where the keyboard is
NAME_DIGITS = 15  # wide, as the names of parts and seats


@dataclass(slots=True, eq=False)
class BenchPart:
    """What the rows have besides their fields."""

    gone: dict[Place, ttk.Button] = field(default_factory=dict)  # take a row away
    another: Choice | None = None  # seats that can get a ring of their own
    seat: Choice | None = None  # that a ring to cut is for
    write: ttk.Button | None = None  # its template


def build_notes(hand: Hands, held: Held) -> BenchPart:
    """Build fasteners and marks. hand: what they are built with; held: tells where the keyboard is.

    Returns what they have besides their fields.
    """
    form, table, part = hand.form, hand.table, BenchPart()
    form.section("For the bench sheet", say.NOTE)
    form.note(say.FASTENERS_NOTE)
    form.line((FASTENERS,), column=0)
    many = len(fasteners_of(table))
    for at in range(many):
        _build_fastener(hand, part, at)
    row = form.beside(None)
    if many < MOST_FASTENERS:
        place = (FASTENERS, many, "what")
        hand.chip(row, say.ADD_FASTENER, lambda: hand.begun(add_fastener(), place))
    else:
        form.after(row, say.full_words(many))
    form.note(say.MARKS_NOTE)
    form.line((MARKS,), column=0)
    for what in marks_of(table):
        _build_mark(hand, held, part, what)
    row = form.beside(None)
    if len(marks_of(table)) < MOST_MARKS:
        name = free_mark(table)
        hand.chip(row, say.ADD_MARK, lambda: hand.begun(add_mark(name), (MARKS, name, "name")))
    else:
        form.after(row, say.full_words(len(marks_of(table))))
    return part


def take_away(hand: Hands, part: BenchPart, row: Flow, edit: Edit, place: Place) -> None:
    """Put a button that takes a row away. hand; part; row; edit: that does it; place: of it."""
    form = hand.form
    button = ttk.Button(
        row, text="×", style="Chip.TButton", width=2,
        command=lambda: form.told(edit, place, False),
    )  # fmt: skip
    button.bind("<Return>", lambda _: button.invoke())
    name = value_at(hand.table, (*place, "what"), "") if place[0] == FASTENERS else place[-1]
    tip_on(button, form.theme, say.gone_words(str(name)))
    part.gone[place] = button


def _build_fastener(hand: Hands, part: BenchPart, at: int) -> None:
    form, theme, place = hand.form, hand.form.theme, (FASTENERS, at)
    what = _words(hand, form.body, (*place, "what"), NAME_DIGITS, say.WHAT_WHY)
    row = form.beside(what)  # type: ignore[arg-type]  # laid out as any entry
    torque = (*place, "torque")
    form.field(row, torque, WORDS, why=say.TORQUE_WHY, width=9, left=True,
               edit=partial(set_at, torque))  # fmt: skip
    tick = Tick(row, theme, (*place, "checked"), say.CHECKED, form.told)
    tip_on(tick.box, theme, say.CHECKED_WHY)
    form.fields[tick.place_of] = tick  # type: ignore[assignment]  # as a Field to the form
    take_away(hand, part, row, remove_fastener(at), place)
    form.line(*((*place, key) for key in ("what", "torque", "checked")), place)
    row = form.beside(None)
    _words(hand, row, (*place, "note"), 30, say.NOTE_WHY, label="note")
    form.line((*place, "note"))


def _words(
    hand: Hands, parent: ttk.Frame, place: Place, wide: int, why: str, label: str = ""
) -> Field:
    """A field of words that stays where it is when it is empty."""
    form = hand.form
    made = Field(
        parent, form.theme, place, WORDS, form.told, edit=partial(set_at, place), left=True,
        width=wide, font="label", label=label,
    )  # fmt: skip
    for key in ("<Return>", "<KP_Enter>"):
        made.entry.bind(key, next_field)
    tip_on(made.entry, form.theme, why)
    form.fields[place] = made
    return made


def _build_mark(hand: Hands, held: Held, part: BenchPart, what: str) -> None:
    form, place = hand.form, (MARKS, what)

    def renamed(to: str) -> None:
        edit, here = rename_mark(what, to), held()
        if here is not None and here[0][:2] == place:
            hand.begun(edit, (MARKS, to))  # the keyboard goes on to how it is marked
        else:
            form.told(edit, (MARKS, to), False)

    name = NameField(
        form.body, form.theme, place, what, told=renamed, width=NAME_DIGITS,
        may_be=lambda to: may_be_marked(hand.table, what, to),
    )  # fmt: skip
    tip_on(name, form.theme, say.MARK_WHY)
    form.fields[name.place_of] = name  # type: ignore[assignment]  # as a Field to the form
    row = form.beside(name)
    form.field(row, place, WORDS, why=say.HOW_WHY, width=26, left=True,
               edit=lambda how: set_at(place, how or ""))  # fmt: skip
    take_away(hand, part, row, remove_mark(what), place)
    form.line(place)
