"""Lines of dimensions in the set-up: a section a line, with its limits, its parts and its seats."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import partial
from tkinter import ttk

from desktop import line_words as say
from desktop import setup_words
from desktop.edits import Edit, Table, remove_at, set_at, value_at
from desktop.form_chips import Choice, Flow
from desktop.form_kinds import NUMBER
from desktop.line_drawing import LineDrawing
from desktop.line_edits import (
    add_line,
    free_name,
    put_in,
    remove_line,
)
from desktop.line_fields import FactorField
from desktop.line_said import NOTHING_KNOWN, Known, Said, say_lines
from desktop.line_table import DIMENSIONS, LINES, lines_of, named_in, result_of
from desktop.lines_face import hands
from desktop.reading_faults import NOTHING
from desktop.setup_line_rows import Hands as Hands
from desktop.setup_line_rows import Kept as Kept
from desktop.setup_line_rows import build_seat, build_term, name_field, way_of
from desktop.setup_sections import METALS
from solver.metals import EXPANSIONS
from solver.plan import Plan
from solver.report_words import UNIT_SHOWN
from solver.trouble import Fault, Place

SETTLES = "nothing that settles the "


@dataclass(slots=True, eq=False)
class LinesPart:
    """What shows how the lines stand, besides their fields."""

    sketches: list[LineDrawing] = field(default_factory=list)
    said: tuple[Said, ...] = ()
    marks: dict[int, Flow] = field(default_factory=dict)  # EXAMPLE marks, by line


def lines_shape(table: Table, kept: Kept) -> tuple[object, ...]:
    """Tell what the sections hang on, whatever is typed in them. table: the job's; kept: by
    the form. Returns something that changes only where they have to be built anew."""
    shape = []
    for line in lines_of(table):
        terms, seats = named_in(line, "terms"), named_in(line, "seats")
        levers = tuple(
            name for name, factor in terms.items() if abs(factor) != 1.0 or name in kept.levers
        )
        shape.append((result_of(line), tuple(terms), tuple(seats), levers))
    names = {name for line in lines_of(table) for name in named_in(line, "terms")}
    told = tuple(
        (
            name,
            way_of(table, name, kept.ways),
            value_at(table, (DIMENSIONS, name, "shape")) == "normal",
        )
        for name in sorted(names)
    )
    return (tuple(shape), told)


def build_lines(hand: Hands) -> LinesPart:
    """Build a section for each line, or offer one. hand: what they are built with."""
    part, form, table = LinesPart(), hand.form, hand.table
    lines = lines_of(table)
    for at, line in enumerate(lines):
        _build_line(hand, part, at, line, many=len(lines) > 1)
    if not lines:
        form.section("Lines of dimensions", say.OFFER)
    row = form.beside(None)
    place = (LINES, len(lines), "name")
    hand.chip(row, say.ANOTHER if lines else say.BEGIN, lambda: hand.begun(add_line(), place))
    form.line((LINES,), column=0)
    return part


def show_lines(
    hand: Hands,
    part: LinesPart,
    faults: tuple[Fault, ...],
    lit: str = "",
    drawn: tuple[Plan | None, Known] = (None, NOTHING_KNOWN),
) -> tuple[Fault, ...]:
    """Show what the fields of the lines do not.

    hand: what they were built with, its table as it is now; part: of them; faults: of the job; lit:
    name of the part in hand; drawn: the plan and the lengths to draw by. Returns: the
    faults, what nothing settles at the part that it is.
    """
    form, table = hand.form, hand.table
    for one in form.fields.values():
        if isinstance(one, FactorField):
            one.show_factor(value_at(table, one.of))
    part.said = say_lines(table, *drawn, hand.unit, hand.words)
    for sketch, said in zip(part.sketches, part.said, strict=False):
        sketch.show(said, lit)
    for at, mark in part.marks.items():
        if value_at(table, (LINES, at, "example")) is True:
            mark.grid()
        else:
            mark.grid_remove()
    for place, chip in form.fields.items():
        if place[:1] != (DIMENSIONS,) or not isinstance(chip, Choice):
            continue
        value = value_at(table, place)
        if place[-1] == "shape":
            chip.offer(say.SHAPES, str(value or "rectangular"))
        elif place[-1] == "metal":
            known = value is None or str(value) in EXPANSIONS
            word = "" if known else f"{value} per K, 1e-6"
            chip.offer(METALS, str(value or "") if known else "", word or str(value or "metal"))
        else:
            chip.offer(say.WAYS, way_of(table, str(place[1]), hand.kept.ways))
    return tuple(_at_its_part(fault) for fault in faults)


def _at_its_part(fault: Fault) -> Fault:
    if fault.place != (LINES,) or not fault.found.startswith(SETTLES):
        return fault
    name = fault.found.removeprefix(SETTLES)
    return replace(fault, place=(DIMENSIONS, name), found=NOTHING)


def part_at(table: Table, place: Place) -> str:
    """Name the part or seat that a place of the set-up is about. table: the job's; place."""
    if place[:1] == (DIMENSIONS,) and len(place) > 1:
        return str(place[1])
    if place[:1] == (LINES,) and len(place) > 2:
        at = place[1]
        if place[2] in ("terms", "seats"):
            return str(place[3]) if len(place) > 3 else ""
        return result_of(lines_of(table)[at]) if isinstance(at, int) else ""
    if place[:1] == ("seats",) and len(place) > 1:
        return str(place[1])
    return ""


def _build_line(hand: Hands, part: LinesPart, at: int, line: Table, *, many: bool) -> None:
    form, theme = hand.form, hand.form.theme
    name = result_of(line)
    form.section(say.section_title(name, hand.words), say.NOTE if not at else "")
    sketch = LineDrawing(form.body, theme, partial(_asked, hand, part, at), small=True)
    sketch.grid(
        row=form.row(), column=0, columnspan=2, sticky="ew", pady=(theme.px(4), theme.px(8))
    )
    part.sketches.append(sketch)
    row = form.named("Result", why=say.RESULT_WHY)
    name_field(hand, row, (LINES, at), name, "result", at, say.RESULT_WHY)
    if many or hand.table.get("pinion") is not None:
        hand.chip(row, say.DROP, lambda: hand.begun(remove_line(at), (LINES,)))
    form.line((LINES, at, "result"), (LINES, at))
    _build_limits(hand, part, at)
    row = form.named("Holds at", why=say.HEAT_WHY)
    place = (LINES, at, "temperature")
    form.field(row, place, NUMBER, why=say.HEAT_WHY, edit=partial(set_at, place))
    form.after(row, "°C; 20 if left empty")
    form.line(place)
    told = [one for before in lines_of(hand.table)[:at] for one in named_in(before, "terms")]
    for term in named_in(line, "terms"):
        build_term(hand, at, term, told_above=term in told)
    form.line((LINES, at, "terms"), column=0)
    row = form.beside(None)
    hand.chip(row, say.ADD_PART, lambda: _add(hand, at, "terms"))
    above = [one for before in lines_of(hand.table)[:at] for one in named_in(before, "seats")]
    for seat in named_in(line, "seats"):
        build_seat(hand, at, seat, told_above=seat in above)
    form.line((LINES, at, "seats"), column=0)
    row = form.beside(None)
    hand.chip(row, say.ADD_SEAT, lambda: _add(hand, at, "seats"))


def _build_limits(hand: Hands, part: LinesPart, at: int) -> None:
    """A low and a high, and the EXAMPLE mark with its way out."""
    form = hand.form
    row = form.named("Limits", why=say.LIMITS_WHY)
    for key in ("low", "high"):
        place = (LINES, at, key)
        form.field(
            row, place, label=key, width=7, font="value", why=say.LIMITS_WHY,
            edit=partial(set_at, place),
        )  # fmt: skip
    form.after(row, UNIT_SHOWN[hand.unit])
    form.line((LINES, at, "low"), (LINES, at, "high"))
    mark = form.named("")
    badge = ttk.Frame(mark, style="WarnCard.TFrame")
    ttk.Label(badge, text=setup_words.EXAMPLE_NOTE, style="WarnWord.TLabel").pack(
        padx=form.theme.px(10), pady=form.theme.px(4)
    )
    place = (LINES, at, "example")
    hand.chip(mark, setup_words.OWN_WORDS, lambda: form.told(remove_at(place), place, False))
    mark.grid_remove()
    part.marks[at] = mark


def _add(hand: Hands, at: int, key: str) -> None:
    name = free_name(hand.table, key)
    hand.begun(put_in(at, key, name), (LINES, at, key, name, "name"))


def _asked(hand: Hands, part: LinesPart, at: int, what: str, where: int) -> None:
    """Do what was asked for in a sketch."""

    def edit(change: Edit, place: Place, typing: bool) -> None:
        hand.form.told(change, place, typing)

    if at < len(part.said):
        hands(hand.table, part.said[at], edit, hand.go, what, where)
