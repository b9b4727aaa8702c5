"""The rows of a line in the set-up: its parts with what is drawn of them, and its seats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from tkinter import ttk

from desktop import line_words as say
from desktop.edits import Edit, Table, value_at
from desktop.form_chips import Choice, Flow, tip_on
from desktop.form_kinds import NUMBER
from desktop.line_edits import (
    may_be_called,
    rename,
    rename_result,
    set_of_part,
    set_way,
    take_out,
)
from desktop.line_fields import FactorField, NameField, SignPick
from desktop.line_table import DIMENSIONS, LINES, lines_of, named_in
from desktop.setup_edits import set_pruned
from desktop.setup_form import Form
from solver.trouble import Place

Begun = Callable[[Edit, Place], object]  # an edit after which the section is another, and the place


@dataclass(slots=True, eq=False)
class Kept:
    """What the form knows that the job does not say (yet)."""

    ways: dict[str, str] = field(default_factory=dict)  # of tolerances to be typed, by dimension
    levers: set[str] = field(default_factory=set)  # parts whose factor is a field


@dataclass(slots=True, eq=False)
class Hands:
    """What the sections are built with."""

    form: Form
    table: Table
    kept: Kept
    begun: Begun
    renamed: Callable[[Edit, str, str], object]  # an edit, a name and what it becomes
    go: Callable[[Place], object]
    unit: str
    words: str

    def chip(self, row: ttk.Frame, text: str, told: Callable[[], object], why: str = "") -> None:
        """Put a button in a row. row; text: on it; told: what it does; why: its tip."""
        wide = 2 if len(text) == 1 else 0
        button = ttk.Button(row, text=text, style="Chip.TButton", command=told, width=wide)
        button.bind("<Return>", lambda _: button.invoke())
        if why:
            tip_on(button, self.form.theme, why)


def build_term(hand: Hands, at: int, name: str, *, told_above: bool) -> None:
    """Build a part: its name, its sign, and what its drawing says of it.

    hand: what it is built with; at: of the line, from 0; name: of the part; told_above: whether a
    line before has it too.
    """
    form, table, place = hand.form, hand.table, (LINES, at, "terms", name)
    row = _named_row(hand, place, name, "terms", at, say.PART_WHY)
    _sign(hand, row, place, say.SIGN_WHY)
    factor = named_in(lines_of(table)[at], "terms")[name]
    own = (DIMENSIONS, name)
    if abs(factor) != 1.0 or name in hand.kept.levers:
        hand.kept.levers.add(name)  # while it is typed it may be 1
        lever = FactorField(row, form.theme, place, form.told)
        form.fields[lever.place_of] = lever
        tip_on(lever.entry, form.theme, say.FACTOR_WHY)
    if told_above:
        form.after(row, "as said of it above")
    else:
        _build_tolerance(hand, row, name)
    hand.chip(
        row, "×", lambda: hand.begun(take_out(at, "terms", name), (LINES, at)),
        f"Take {name} out of this line, with what is said of it where no other line has it.",
    )  # fmt: skip
    keys = ("low", "high", "drawn", "within", "shape", "k", "metal")
    places = [] if told_above else [*((*own, key) for key in keys), own]
    form.line(place, *places)


def _build_tolerance(hand: Hands, row: Flow, name: str) -> None:
    form, own = hand.form, (DIMENSIONS, name)
    way = way_of(hand.table, name, hand.kept.ways)
    for key in say.KEYS_OF[way]:
        form.field(row, (*own, key), label=key, width=7, edit=partial(set_of_part, name, key))
    _choice(hand, row, (*own, "way"), partial(_set_way, hand, name), say.WAY_WHY)
    shape = (*own, "shape")
    _choice(
        hand, row, shape,
        lambda value: hand.begun(
            set_of_part(name, "shape", None if value == "rectangular" else value), shape
        ),
        say.SHAPE_WHY,
    )  # fmt: skip
    if value_at(hand.table, shape) == "normal":
        form.field(row, (*own, "k"), NUMBER, label="k", width=3, why=say.SHAPE_WHY,
                   edit=partial(set_of_part, name, "k"))  # fmt: skip
    metal = (*own, "metal")
    _choice(
        hand, row, metal,
        lambda value: form.told(set_of_part(name, "metal", value or None), metal, False),
        say.METAL_WHY,
    )  # fmt: skip


def build_seat(hand: Hands, at: int, name: str, *, told_above: bool) -> None:
    """Build a place for shims: its name, its sign, how many go there.

    hand: what it is built with; at: of the line, from 0; name: of the seat; told_above: whether a
    line before has it too.
    """
    form, place = hand.form, (LINES, at, "seats", name)
    row = _named_row(hand, place, name, "seats", at, say.SEAT_WHY)
    _sign(hand, row, place, say.SEAT_SIGN_WHY)
    if told_above:
        form.after(row, "as said of it above")
    for key in () if told_above else ("least", "most"):
        spot = ("seats", name, key)
        form.field(row, spot, NUMBER, label=key, width=3, why=say.COUNT_WHY,
                   edit=partial(set_pruned, spot))  # fmt: skip
    hand.chip(row, "×", lambda: hand.begun(take_out(at, "seats", name), (LINES, at)),
              f"Take {name} out of this line.")  # fmt: skip
    spots = [] if told_above else [("seats", name, key) for key in ("least", "most")]
    form.line(place, *spots, *([] if told_above else [("seats", name)]))


def _named_row(hand: Hands, place: Place, name: str, key: str, at: int, why: str) -> Flow:
    """A row beside the field of a name."""
    form = hand.form
    entry = name_field(hand, form.body, place, name, key, at, why)
    if key == "seats":
        entry.configure(foreground=form.theme.side(name))
    return form.beside(entry)


def name_field(
    hand: Hands, parent: ttk.Frame, place: Place, name: str, key: str, at: int, why: str
) -> NameField:
    """Put the field of a name.

    hand: what it is built with; parent: any widget; place: of what is named; name: that it has;
    key: 'terms', 'seats' or 'result'; at: of the line, from 0; why: its tip. Returns the field.
    """

    def told(to: str) -> None:
        edit = rename_result(at, to) if key == "result" else rename(at, key, name, to)
        hand.renamed(edit, name, to)

    entry = NameField(
        parent, hand.form.theme, place, name, told=told, width=18 if key == "result" else 15,
        may_be=lambda to: may_be_called(hand.table, at, key, to),
    )  # fmt: skip
    hand.form.fields[entry.place_of] = entry  # type: ignore[assignment]  # as a Field to the form
    tip_on(entry, hand.form.theme, why)
    return entry


def _sign(hand: Hands, row: Flow, place: Place, why: str) -> None:
    pick = SignPick(row, hand.form.theme, place, hand.form.told)
    hand.form.fields[place] = pick
    for button in pick.buttons.values():
        tip_on(button, hand.form.theme, why)


def _choice(hand: Hands, row: Flow, place: Place, told: Callable[[str], object], why: str) -> None:
    chip = Choice(row, hand.form.theme, told, place=place)
    tip_on(chip, hand.form.theme, why)
    hand.form.fields[place] = chip


def way_of(table: Table, name: str, ways: dict[str, str]) -> str:
    """Tell how a tolerance is said: by what is there, else as was chosen for what is to come.

    table: the job's; name: of the dimension; ways: as chosen. Returns a key of `KEYS_OF`.
    """
    for way, keys in say.KEYS_OF.items():
        if any(value_at(table, (DIMENSIONS, name, key)) is not None for key in keys):
            return way
    return ways.get(name, "ends")


def _set_way(hand: Hands, name: str, way: str) -> None:
    hand.kept.ways[name] = way
    hand.begun(set_way(name, say.KEYS_OF[way]), (DIMENSIONS, name, say.KEYS_OF[way][0]))
