"""The pinion in the set-up: offered, and empty until it is begun."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from tkinter import ttk

from desktop import pinion_words as say
from desktop.edits import Edit, Table, remove_at, set_at, value_at
from desktop.form_chips import tip_on
from desktop.form_kinds import LENGTH, NUMBER, STACK, Kind
from desktop.pick_lines import PickLines
from desktop.pinion_edits import (
    PINION,
    about_carrier,
    begin_alone,
    begin_pinion,
    can_be_alone,
    drop_pinion,
    set_bearing,
    set_pinion,
    set_spacer,
    with_carrier,
)
from desktop.pinion_sketch import PinionSketch
from desktop.setup_form import Form
from desktop.setup_marks import MarkRow, build_marks, shape_of, show_marks
from solver.report_words import UNIT_SHOWN
from solver.trouble import Place

CARRIED = (*PINION, "carried")
Begun = Callable[[Edit, Place], object]


@dataclass(slots=True, eq=False)
class PinionPart:
    """What shows how the pinion stands, besides its fields."""

    begin: ttk.Button | None = None  # while it is only offered
    sketch: PinionSketch | None = None
    marks: list[MarkRow] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Scope:
    """What a job is about, as the set-up asks for it."""

    carrier: bool
    pinion: bool
    solid: bool  # whether its spacer is, or is said to be by something else


def scope_of(table: Table) -> Scope:
    """Tell what a job is about. table: the job's. Returns it."""
    begun = "pinion" in table
    told = [("limits", "pinion_end_float"), ("seats", "pinion spacer")]
    solid = value_at(table, (*PINION, "spacer")) == "solid"
    return Scope(
        about_carrier(table),
        begun,
        begun and (solid or any(value_at(table, place) is not None for place in told)),
    )


def pinion_shape(table: Table) -> tuple[object, ...]:
    """Tell what the section hangs on, whatever is typed in it. table: the job's.

    Returns something that changes only where it has to be built anew.
    """
    carried = value_at(table, CARRIED)
    bearing = carried.get("bearing") if isinstance(carried, dict) else None
    places = ((*PINION, "mark"), (*CARRIED, "mark"), (*PINION, "wheel_mark"))
    return (
        scope_of(table),
        "pinion" not in table and can_be_alone(table),
        carried is None,
        bearing == "new" or value_at(table, (*CARRIED, "bearing_within")) is not None,
        about_carrier(table) or value_at(table, (*PINION, "fitted")) is not None,
        *(shape_of(table, place) for place in places),
    )


def build_pinion(form: Form, table: Table, begun: Begun, *, unit: str, words: str) -> PinionPart:
    """Build the section. form; table: the job's; begun: called with an edit and the place where
    the keyboard goes then; unit: shown; words: UK or US. Returns what it shows besides fields."""
    part = PinionPart()
    if "pinion" not in table:
        form.section("Pinion", say.OFFER)
        row = form.beside(None)
        first = (*PINION, "stack_sits")
        part.begin = _chip(row, say.BEGIN, lambda: begun(begin_pinion(), first))
        if can_be_alone(table):
            alone = _chip(row, say.ALONE, lambda: begun(begin_alone(), first))
            tip_on(alone, form.theme, say.ALONE_WHY)
        return part
    carrier = about_carrier(table)
    form.section("Pinion", "", PINION)
    part.sketch = PinionSketch(form.body, form.theme)
    part.sketch.grid(row=form.row(), column=0, columnspan=2, sticky="ew")
    _build_place(form, unit, words)
    part.marks += build_marks(
        form, table, (*PINION, "mark"), "Etched mark", whose="this pinion", words=words,
        why=say.MARK_WHY,
    )  # fmt: skip
    _build_spacer(form, words)
    if carrier or value_at(table, (*PINION, "fitted")) is not None:
        _field(form, (*PINION, "fitted"), "At the head", STACK, say.FITTED_WHY, width=10,
               after="while the carrier was read")  # fmt: skip
    part.marks += _build_carried(form, table, unit, words)
    part.marks += build_marks(
        form, table, (*PINION, "wheel_mark"), "Wheel's mark", whose="wheel", words=words,
        why=say.said(say.WHEEL_MARK_WHY, words),
    )  # fmt: skip
    _field(form, (*PINION, "etched_backlash"), "Etched backlash", LENGTH, say.ETCHED_WHY,
           after=f"{UNIT_SHOWN[unit]}, where the pair has one")  # fmt: skip
    _pair(form, "give", "Gives by", LENGTH, say.GIVE_WHY, say.give_blank(unit))
    if carrier or value_at(table, (*PINION, "ratio")) is not None:
        _pair(form, "ratio", "Backlash closes by", NUMBER, say.RATIO_WHY, say.ratio_blank())
    row = form.beside(None)
    away = _chip(row, say.DROP, lambda: begun(drop_pinion(), PINION))
    tip_on(away, form.theme, say.DROP_WHY)
    if not carrier:
        _chip(row, say.CARRIER_TOO, lambda: begun(with_carrier(), ("limits", "backlash", "low")))
    return part


def show_pinion(form: Form, part: PinionPart, table: Table, *, unit: str, words: str) -> None:
    """Show what the fields of the pinion do not. form; part: of it; table: the job's; unit: shown;
    words: UK or US."""
    show_marks(part.marks, table, unit, words)
    if part.sketch is not None:
        part.sketch.show(value_at(table, PINION, {}), words)


def _build_place(form: Form, unit: str, words: str) -> None:
    """Where the stack sits, what the distance is measured to, and how long it is."""
    place = (*PINION, "stack_sits")
    choices = tuple((key, name, say.said(line, words)) for key, (name, line) in say.SITS.items())
    _lines(form, place, "The stack sits", choices, partial(set_pinion, place), say.SITS_WHY)
    place = (*PINION, "measured_to")
    why = say.said(say.FACE_WHY, words)
    row = form.named("Measured to", why=why)
    form.after(row, "the pinion's")
    form.pick(row, place, say.FACES, edit=partial(set_pinion, place), why=why)
    form.line(place)
    _field(
        form, (*PINION, "nominal"), "Mounting distance", LENGTH, say.said(say.NOMINAL_WHY, words),
        width=9, after=f"{UNIT_SHOWN[unit]}, as drawn",
    )  # fmt: skip


def _build_spacer(form: Form, words: str) -> None:
    place, why = (*PINION, "spacer"), say.said(say.SPACER_WHY, words)
    row = form.named("Its spacer is", why=why)
    form.pick(row, place, say.SPACERS, edit=set_spacer, why=why)
    form.line(place)


def _build_carried(form: Form, table: Table, unit: str, words: str) -> list[MarkRow]:
    """The old build: offered, or its stack, marks and bearing."""
    carried = value_at(table, CARRIED)
    row = form.named("The old build", why=say.CARRY_NOTE)
    if carried is None:
        _chip(row, say.CARRY, lambda: form.told(set_at(CARRIED, {}), CARRIED, False))
        form.line(CARRIED)
        form.note(say.CARRY_NOTE)
        return []
    _chip(row, say.CARRY_NOT, lambda: form.told(remove_at(CARRIED), CARRIED, False))
    form.line(CARRIED)
    _field(form, (*CARRIED, "fitted"), "Old stack", STACK, say.OLD_STACK_WHY, width=10,
           after="at the head, as it came out")  # fmt: skip
    rows = build_marks(
        form,
        table,
        (*CARRIED, "mark"),
        "Old mark",
        whose="the old pinion",
        words=words,
        why=say.MARK_WHY,
    )
    _lines(form, (*CARRIED, "bearing"), "Head bearing", say.BEARINGS, set_bearing, say.BEARING_WHY)
    place = (*CARRIED, "bearing_within")
    if isinstance(carried, dict) and (carried.get("bearing") == "new" or place[-1] in carried):
        _field(form, place, "May differ by", LENGTH, say.BEARING_WHY, after=UNIT_SHOWN[unit])
    _field(form, (*CARRIED, "within"), "It was right within", LENGTH, say.OLD_RIGHT_WHY,
           after=say.carried_blank(unit))  # fmt: skip
    return rows


def _lines(
    form: Form,
    place: Place,
    label: str,
    choices: tuple[tuple[str, str, str], ...],
    edit: Callable[[str], Edit],
    why: str,
) -> None:
    """Choices one below the other under their name."""
    form.named(label, why=why)
    pick = PickLines(form.body, form.theme, place, choices, form.told, edit=edit)
    pick.grid(row=form.row(), column=0, columnspan=2, sticky="ew")
    form.fields[place] = pick
    for button in pick.buttons.values():
        tip_on(button, form.theme, why)
    form.line(place, column=0)


def _field(
    form: Form, place: Place, label: str, kind: Kind, why: str, *, width: int = 7, after: str = ""
) -> None:
    """A row of one field and soft words after it."""
    row = form.named(label, why=why)
    form.field(row, place, kind, width=width, why=why, edit=partial(set_pinion, place))
    if after:
        form.after(row, after)
    form.line(place)


def _pair(form: Form, key: str, label: str, kind: Kind, why: str, blank: str) -> None:
    """A value with its spread, and what stands in for both."""
    row = form.named(label, why=why)
    places = [(*PINION, key, end) for end in ("value", "within")]
    for place, word in zip(places, ("", "within"), strict=True):
        edit = partial(set_pinion, place)
        form.field(row, place, kind, label=word, width=7, why=why, edit=edit)
    form.line(*places, (*PINION, key))
    form.note(blank)


def _chip(row: ttk.Frame, text: str, told: Callable[[], object]) -> ttk.Button:
    button = ttk.Button(row, text=text, style="Chip.TButton", command=told)
    button.bind("<Return>", lambda _: button.invoke())
    return button
