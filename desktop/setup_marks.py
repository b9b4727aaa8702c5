"""Marks etched on a gear in the set-up: value, step and sense asked, and read back in words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from tkinter import ttk

from desktop import pinion_words as say
from desktop.edits import Table, value_at
from desktop.form_chips import tip_on
from desktop.form_kinds import NUMBER
from desktop.form_parts import Line
from desktop.pinion_edits import MOST_MARKS, add_mark, marks_at, remove_mark, set_pinion
from desktop.setup_form import Form
from solver.trouble import Place


@dataclass(frozen=True, slots=True, eq=False)
class MarkRow:
    """One mark in the form, and what shows how it stands."""

    place: Place
    whose: str  # as in `pinion_words.mark_words`
    back: Line  # the mark read back
    gone: ttk.Button
    more: ttk.Button | None  # under the last one


def shape_of(table: Table, place: Place) -> tuple[object, ...]:
    """Tell what the rows of some marks hang on, whatever is typed in them. table; place: of them.

    Returns something that changes only where the rows have to be built anew.
    """
    marks = (value_at(table, at, {}) for at in marks_at(table, place))
    return tuple(say.steps_of(mark if isinstance(mark, dict) else {}) for mark in marks)


def build_marks(
    form: Form, table: Table, place: Place, label: str, *, whose: str, words: str, why: str = ""
) -> list[MarkRow]:
    """Build a row for each mark. form; table: the job's; place: of the marks; label: of the first;
    whose: they are, as in `pinion_words.mark_words`; words: UK or US; why: the tip.

    Returns the rows.
    """
    places = marks_at(table, place)
    form.line(place)  # of the whole: no table, say
    rows = []
    for number, at in enumerate(places):
        last = at == places[-1] and len(places) < MOST_MARKS
        name = label if not number else f"{label} {number + 1}"
        rows.append(_build_mark(form, table, at, name, (whose, words, why), place if last else ()))
    return rows


def _build_mark(
    form: Form, table: Table, at: Place, label: str, of: tuple[str, str, str], more: Place
) -> MarkRow:
    whose, words, why = of
    mark = value_at(table, at, {})
    row = form.named(label, why=why)
    edit = partial(set_pinion, (*at, "value"))
    form.field(row, (*at, "value"), NUMBER, why=why, edit=edit)
    form.after(row, "steps of")
    place = (*at, "unit")
    steps = say.steps_of(mark if isinstance(mark, dict) else {})
    form.pick(row, place, steps, edit=partial(set_pinion, place), why=why)
    gone = _chip(form, row, "×", lambda: form.told(remove_mark(at), at, False))
    tip_on(gone, form.theme, "Take this mark away.")
    form.line((*at, "value"))
    form.line(place)
    row = form.named("")
    form.after(row, "plus means")
    place = (*at, "plus")
    form.pick(
        row, place, say.PLUS, edit=partial(set_pinion, place), why=say.said(say.PLUS_WHY, words)
    )
    button = None
    if more:
        button = _chip(form, row, "Another mark", lambda: form.told(add_mark(more), more, False))
    form.line(place, at)
    back = Line(form.body, form.theme, "Label.TLabel")
    back.at(row=form.row(), column=1, pady=(0, form.theme.px(4)))
    back.keep_row()
    return MarkRow(at, whose, back, gone, button)


def _chip(form: Form, row: ttk.Frame, text: str, told: object) -> ttk.Button:
    button = ttk.Button(row, text=text, style="Chip.TButton", command=told)  # type: ignore[arg-type]  # Tk's own
    if len(text) == 1:
        button.configure(width=2)
    button.bind("<Return>", lambda _: button.invoke())
    return button


def show_marks(rows: list[MarkRow], table: Table, unit: str, words: str) -> None:
    """Show what marks come to. rows; table: the job's; unit: shown; words: UK or US."""
    own = str(table.get("unit", "mm"))
    for row in rows:
        mark = value_at(table, row.place)
        there = isinstance(mark, dict)
        back = say.mark_words(mark, own, unit, words=words, whose=row.whose)
        row.back.say(back if there else "")
        for button in (row.gone, row.more):
            if button is not None:
                button.state(["!disabled" if there else "disabled"])
