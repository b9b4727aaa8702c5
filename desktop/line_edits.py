"""Edits of a job's lines of dimensions as pure functions: begun, put in, turned, taken out."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Any

from desktop.edits import Edit, Table, fresh_line_table, readings_of, remove_at, set_at, value_at
from desktop.line_table import DIMENSIONS, ENDS, LINES, MIDDLE, in_lines, lines_of, result_of
from desktop.typed import Number
from solver.trouble import Place

NEW = {"terms": "new part", "seats": "new seat"}
TOLERANCE = (*ENDS, *MIDDLE, "shape", "k")


def begin_line_alone() -> Edit:
    """Let a job of which nothing is said yet be about one line of dimensions. Returns the edit."""
    fresh = fresh_line_table()
    own = {key: fresh[key] for key in ("readings", LINES)}
    return lambda table: {**{key: table[key] for key in table if key != "pinion"}, **own}


def add_line() -> Edit:
    """Add a line of which only a name is said. Returns the edit."""

    def edit(table: Table) -> Table:
        name = _free("new result", _names(table))
        lines = table.get(LINES)
        kept = list(lines) if isinstance(lines, list) else []
        return {**table, LINES: [*kept, {"result": name, "terms": {}, "seats": {}}]}

    return edit


def remove_line(at: int) -> Edit:
    """Take a line out, with what only it was about. at: which one, from 0. Returns the edit."""
    return lambda table: _only_named(remove_at((LINES, at))(table), table)


def free_name(table: Table, key: str) -> str:
    """Give a name for something new in a line. table: the job's; key: 'terms' or 'seats'."""
    return _free(NEW[key], (*_names(table), *in_lines(table, "seats")))


def put_in(at: int, key: str, name: str, before: int | None = None, factor: int = -1) -> Edit:
    """Put a part or a seat into a line.

    at: of the line, from 0; key: 'terms' or 'seats'; name: of it; before: how many stand before it,
    None to put it last; factor: 1 or -1. Returns the edit.
    """

    def edit(table: Table) -> Table:
        inside = list(value_at(table, (LINES, at, key), {}).items())
        place = len(inside) if before is None else before
        return set_at((LINES, at, key), dict([*inside[:place], (name, factor), *inside[place:]]))(
            table
        )

    return edit


def take_out(at: int, key: str, name: str) -> Edit:
    """Take a part or a seat out of a line, with what was said of it where no other line has it.

    at: of the line, from 0; key: 'terms' or 'seats'; name: of it. Returns the edit.
    """

    def edit(table: Table) -> Table:
        inside = value_at(table, (LINES, at, key), {})
        left = {one: factor for one, factor in inside.items() if one != name}
        return _only_named(set_at((LINES, at, key), left)(table), table)

    return edit


def set_sign(place: Place, sign: str) -> Edit:
    """Say whether more of a part or seat is more of the result. place: of its factor; sign: '+' or
    '-'. Returns the edit; a lever's factor keeps its size."""

    def edit(table: Table) -> Table:
        old = value_at(table, place)
        plain = isinstance(old, int | float) and not isinstance(old, bool)
        size = abs(old) if plain and old else 1
        text = getattr(old, "text", "").lstrip("+-")
        size = Number(text) if text and size != 1 else size
        if sign == "+":
            return set_at(place, size)(table)
        return set_at(place, Number(f"-{text}") if text and size != 1 else -size)(table)

    return edit


def turn(place: Place) -> Edit:
    """Turn the sign of a part or seat round. place: of its factor. Returns the edit."""

    def edit(table: Table) -> Table:
        old = value_at(table, place)
        down = isinstance(old, int | float) and old < 0
        return set_sign(place, "+" if down else "-")(table)

    return edit


def rename(at: int, key: str, name: str, to: str) -> Edit:
    """Give a part or a seat another name, everywhere; or, by a name that another line has already,
    put that one in its place.

    at: of the line, from 0; key: 'terms' or 'seats'; name: that it has; to: that it gets. Returns
    the edit.
    """

    def edit(table: Table) -> Table:
        if to in in_lines(table, key):
            inside = _renamed(value_at(table, (LINES, at, key), {}), name, to)
            return _only_named(set_at((LINES, at, key), inside)(table), table)
        lines = [
            {**line, key: _renamed(line[key], name, to)}
            if isinstance(line.get(key), dict)
            else line
            for line in lines_of(table)
        ]
        table = {**table, LINES: lines}
        told = DIMENSIONS if key == "terms" else "seats"
        if isinstance(table.get(told), dict):
            table = {**table, told: _renamed(table[told], name, to)}
        return _each_reading(table, lambda one: _reading_renamed(one, key, name, to))

    return edit


def rename_result(at: int, to: str) -> Edit:
    """Give a line's result another name, and its readings with it. at: from 0; to: the name."""

    def edit(table: Table) -> Table:
        was = result_of(lines_of(table)[at])
        table = set_at((LINES, at, "result"), to)(table)
        return _each_reading(
            table, lambda one: {**one, "of": to} if was and one.get("of") == was else one
        )

    return edit


def may_be_called(table: Table, at: int, key: str, to: str) -> bool:
    """Tell whether a part, seat or result may have a name. table: the job's; at: of the line; key:
    'terms', 'seats' or 'result'; to: the name. Returns it."""
    from solver.job_lines import TAKEN  # late: the window opens without it

    line = lines_of(table)[at]
    results = [result_of(one) for one in lines_of(table)]
    if key == "seats":
        return to not in (value_at(line, (key,)) or {})
    if key == "result":
        others = [*results[:at], *results[at + 1 :]]
        return to not in (*TAKEN, *others, *in_lines(table, "terms"))
    return to not in (*TAKEN, "end float", *results, *(value_at(line, (key,)) or {}))


def set_way(name: str, way: tuple[str, str]) -> Edit:
    """Say a tolerance by its ends or by its middle; what was said so far is turned into that.

    name: of the dimension; way: ENDS or MIDDLE. Returns the edit, which leaves lengths with units
    of their own as they are.
    """
    place = (DIMENSIONS, name)

    def edit(table: Table) -> Table:
        other = MIDDLE if way == ENDS else ENDS
        typed = [value_at(table, (*place, key)) for key in other]
        said = [_decimal(value) for value in typed]
        if value_at(table, place) is None or any(
            value is not None and plain is None for value, plain in zip(typed, said, strict=True)
        ):
            return table
        for key in other:
            table = remove_at((*place, key))(table)
        one, two = said
        if one is None or two is None:
            return table
        pair = (one - two, one + two) if way == ENDS else ((one + two) / 2, (two - one) / 2)
        for key, value in zip(way, pair, strict=True):
            table = set_at((*place, key), _number(value))(table)
        return table

    return edit


def set_of_part(name: str, key: str, value: object) -> Edit:
    """Put what is said of a dimension; k goes with the shape it belongs to, shape with a tolerance.

    name: of the dimension; key: of its table; value: as typed. Returns the edit.
    """
    place = (DIMENSIONS, name)

    def edit(table: Table) -> Table:
        table = set_at((*place, key), value)(table)
        if key == "shape" and value != "normal":
            table = remove_at((*place, "k"))(table)
        said = value_at(table, place, {})
        if not any(one in said for one in (*ENDS, *MIDDLE)) and key in (*ENDS, *MIDDLE):
            for gone in ("shape", "k"):
                table = remove_at((*place, gone))(table)
        return _without_empty(table, name)

    return edit


def _without_empty(table: Table, name: str) -> Table:
    if value_at(table, (DIMENSIONS, name)) == {}:
        table = remove_at((DIMENSIONS, name))(table)
    if table.get(DIMENSIONS) == {}:
        table = {key: value for key, value in table.items() if key != DIMENSIONS}
    return table


def _only_named(table: Table, before: Table) -> Table:
    """The table without what was said of parts, seats and results that no line has any longer."""
    gone = {
        key: set(in_lines(before, key)) - set(in_lines(table, key)) for key in ("terms", "seats")
    }
    results = {result_of(line) for line in lines_of(before)}
    results -= {result_of(line) for line in lines_of(table)}
    for told, names in ((DIMENSIONS, gone["terms"]), ("seats", gone["seats"])):
        inside = table.get(told)
        if isinstance(inside, dict) and names & set(inside):
            left = {name: value for name, value in inside.items() if name not in names}
            table = {**table, told: left}
            if not left:
                table = {key: value for key, value in table.items() if key != told}
    if "readings" not in table:
        return table
    kept = [one for one in readings_of(table) if one.get("of") not in gone["terms"] | results]
    table = {**table, "readings": kept}
    for seat in gone["seats"]:
        table = _each_reading(table, lambda one, seat=seat: _unfitted(one, seat))  # type: ignore[misc]  # bound
    return table


def _unfitted(reading: Table, seat: str) -> Table:
    fitted = reading.get("fitted")
    if not isinstance(fitted, dict) or seat not in fitted:
        return reading
    return {**reading, "fitted": {name: one for name, one in fitted.items() if name != seat}}


def _reading_renamed(reading: Table, key: str, name: str, to: str) -> Table:
    if key == "terms":
        return {**reading, "of": to} if reading.get("of") == name else reading
    fitted = reading.get("fitted")
    if not isinstance(fitted, dict) or name not in fitted:
        return reading
    return {**reading, "fitted": _renamed(fitted, name, to)}


def _each_reading(table: Table, change: Callable[[Table], Table]) -> Table:
    if "readings" not in table:
        return table
    return {**table, "readings": [change(one) for one in readings_of(table)]}


def _renamed(inside: dict[str, Any], name: str, to: str) -> dict[str, Any]:
    return {to if key == name else key: value for key, value in inside.items()}


def _names(table: Table) -> tuple[str, ...]:
    return (*in_lines(table, "terms"), *(result_of(line) for line in lines_of(table)))


def _free(stem: str, taken: tuple[str, ...]) -> str:
    names = (stem if count == 1 else f"{stem} {count}" for count in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)


def _decimal(value: object) -> Decimal | None:
    """A plain number as it was typed; None for a length with a unit, which nobody converts here."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return Decimal(getattr(value, "text", "") or repr(value))
    except InvalidOperation:
        return None


def _number(value: Decimal) -> object:
    text = f"{value.normalize():f}"
    return Number(text) if "." in text else int(text)
