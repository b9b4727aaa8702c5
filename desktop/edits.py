"""Edits of a job as pure functions: a table in, a new table out, the old one left as it was.

A table is what TOML gives, with values as typed. A place is a path into it, as in a fault:
('readings', 1, 'goes').
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from solver.trouble import Place

Table = dict[str, Any]
Edit = Callable[[Table], Table]

WAYS = {  # of taking a reading, and the keys of each
    "value": ("value",),
    "values": ("values",),
    "goes": ("goes", "stops"),
    "at_least": ("at_least",),
    "at_most": ("at_most",),
    "around": ("around",),
}
FOUND = tuple(key for keys in WAYS.values() for key in keys)
OFF = "off"  # the key of a reading that is left out


def value_at(table: Mapping[str, Any], place: Place, default: object = None) -> Any:
    """Look up a place. table; place: path into it; default: where nothing is. Returns it."""
    found: Any = table
    for part in place:
        try:
            found = found[part]
        except (KeyError, IndexError, TypeError):
            return default
    return found


def alike(one: object, other: object) -> bool:
    """Whether two tables or values are the same to their owner: 24.50 and 24.5 are not.

    one, other: anything a table can hold. Returns it; the order of keys does not count.
    """
    if one is other:
        return True
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return repr(one) == repr(other)  # also right for not-a-number
    return type(one) is type(other) and one == other


def together(*edits: Edit) -> Edit:
    """Make one edit of several. edits: done in order. Returns the edit."""

    def edit(table: Table) -> Table:
        for each in edits:
            table = each(table)
        return table

    return edit


def set_at(place: Place, value: object) -> Edit:
    """Put a value at a place; tables on the way there are made.

    place: a path, not empty; a list is entered at one of its numbers, or just past its end;
    value: as typed, None to take away what is there. Returns the edit.
    """
    if value is None:
        return remove_at(place)
    clean = _clean(value)
    return lambda table: _set(table, place, clean)


def _clean(value: object) -> object:
    """Half characters, which Tk can hand over from a paste, have no place in a file."""
    if isinstance(value, str):
        return value.encode("utf-8", "ignore").decode("utf-8")
    return [_clean(one) for one in value] if isinstance(value, list) else value


def _set(inside: object, place: Place, value: object) -> Any:
    if not place:
        return value
    part, rest = place[0], place[1:]
    if isinstance(part, str):
        table = dict(inside) if isinstance(inside, dict) else {}
        table[part] = _set(table.get(part), rest, value)
        return table
    # A single value where a list may stand, as in values = 5.6, is a list of one.
    items = list(inside) if isinstance(inside, list) else [] if inside is None else [inside]
    if not 0 <= part <= len(items):
        raise IndexError(f"no number {part} in a list of {len(items)}")
    items[part : part + 1] = [_set(items[part] if part < len(items) else None, rest, value)]
    return items


def remove_at(place: Place) -> Edit:
    """Take away what is at a place, if anything; a list left empty goes too.

    place: a path, not empty. Returns the edit.
    """
    return lambda table: _removed(table, place)


def _removed(inside: Any, place: Place) -> Any:
    part, rest = place[0], place[1:]
    if isinstance(inside, dict) and part in inside:
        below = _removed(inside[part], rest) if rest else []
        if below is inside[part] and rest:
            return inside
        copy = {**inside, part: below}
        if below == [] and (not rest or inside[part] != []):
            del copy[part]
        return copy
    if isinstance(inside, list) and isinstance(part, int) and 0 <= part < len(inside):
        if rest:
            below = _removed(inside[part], rest)
            if below is inside[part]:
                return inside
            return [*inside[:part], below, *inside[part + 1 :]]
        return [*inside[:part], *inside[part + 1 :]]
    return inside


def add_reading(of: str, tool: str | None = None) -> Edit:
    """Add a reading at the end that has found nothing yet.

    of: what is read; tool: name of the tool, or None for no tool yet. Returns the edit.
    """
    fresh: Table = {"of": of} if tool is None else {"of": of, "tool": tool}
    return lambda table: {**table, "readings": [*readings_of(table), fresh]}


def repeat_reading(number: int) -> Edit:
    """Add a reading after one, of the same thing taken the same way, that has found nothing yet.

    number: which one, from 0. Returns the edit.
    """

    def edit(table: Table) -> Table:
        readings = readings_of(table)
        like = readings[number]
        fresh = {key: value for key, value in like.items() if key not in (*FOUND, "leaves", OFF)}
        return {**table, "readings": [*readings[: number + 1], fresh, *readings[number + 1 :]]}

    return edit


def remove_reading(number: int) -> Edit:
    """Take a reading away. number: which one, from 0. Returns the edit."""
    return remove_at(("readings", number))


def move_reading(number: int, to: int) -> Edit:
    """Move a reading to another place among them. number, to: from 0. Returns the edit."""

    def edit(table: Table) -> Table:
        readings = readings_of(table)
        readings.insert(to, readings.pop(number))
        return {**table, "readings": readings}

    return edit


def switch_reading(number: int, *, on: bool) -> Edit:
    """Switch a reading on, or off to leave it out. number: which one, from 0. Returns the edit."""
    return set_at(("readings", number, OFF), None if on else True)


def take_as(number: int, way: str) -> Edit:
    """Have a reading taken another way: what it found in the ways before goes.

    number: which one, from 0; way: a key of WAYS. Returns the edit.
    """
    others = (key for key in FOUND if key not in WAYS[way])
    return together(*(remove_at(("readings", number, key)) for key in others))


def set_found(number: int, values: list[object]) -> Edit:
    """Put a reading's repeats. number: which one, from 0; values: as typed, empty for none.

    Returns the edit. A single one stays a single `value` where the file has it so.
    """

    def edit(table: Table) -> Table:
        reading = value_at(table, ("readings", number), {})
        if len(values) == 1 and "value" in reading:
            return set_at(("readings", number, "value"), values[0])(table)
        place = ("readings", number)
        return together(
            remove_at((*place, "value")), set_at((*place, "values"), list(values) or None)
        )(table)

    return edit


def found_of(reading: Mapping[str, Any]) -> list[Any]:
    """The repeats of a reading, one or many. reading: its table. Returns them as typed."""
    found = reading.get("values", reading.get("value", []))
    return list(found) if isinstance(found, list) else [found]


def readings_of(table: Mapping[str, Any]) -> list[Table]:
    """The tables of a job's readings. table: the job's. Returns a list of its own.

    In a faulty file a reading that is no table stands as an empty one.
    """
    readings = table.get("readings", [])
    readings = readings if isinstance(readings, list) else []
    return [reading if isinstance(reading, dict) else {} for reading in readings]


def set_tool(name: str, **keys: object) -> Edit:
    """Put a tool, or some keys of it. name; keys: as typed, None to take one away."""
    return together(*(set_at(("tools", name, key), value) for key, value in keys.items()))


def remove_tool(name: str) -> Edit:
    """Take a tool away; readings that name it go on naming it, and say so. name: of the tool."""
    return remove_at(("tools", name))


def rename_tool(name: str, to: str) -> Edit:
    """Give a tool another name, in its place among the tools and in every reading.

    name: that it has; to: a name no tool has. Returns the edit. The drawer's own column is not a
    job's: its rows are renamed by whoever holds the sheet.
    """

    def edit(table: Table) -> Table:
        tools = {to if key == name else key: tool for key, tool in table.get("tools", {}).items()}
        readings = [
            {**reading, "tool": to} if reading.get("tool") == name else reading
            for reading in readings_of(table)
        ]
        renamed = {**table, "tools": tools}
        return {**renamed, "readings": readings} if "readings" in table else renamed

    return edit


def fresh_table(unit: str = "mm") -> Table:
    """The table of a new job: the two readings that every job needs, and no limits.

    unit: 'mm', 'um', 'in' or 'thou'. Returns it. Limits come from the maker's manual for that very
    unit, so none stand here.
    """
    return {
        "title": "",
        "unit": unit,
        "tools": {
            "feelers": {"kind": "feelers"},
            "dial": {"kind": "dial"},
            "micrometer": {"kind": "micrometer"},
        },
        "readings": [
            {"of": "total clearance", "tool": "feelers"},
            {"of": "mesh gap", "tool": "feelers"},
        ],
    }


def fresh_pinion_table(unit: str = "mm") -> Table:
    """The table of a new job about the pinion alone. unit: 'mm', 'um', 'in' or 'thou'.

    Returns it: no limits, and a reading of what most depth gauges show.
    """
    readings = [{"of": "mounting distance", "tool": "micrometer"}]
    return {**fresh_table(unit), "readings": readings, "pinion": {}}


def fresh_line_table(unit: str = "mm") -> Table:
    """The table of a new job about one line of dimensions. unit: 'mm', 'um', 'in' or 'thou'.

    Returns it: two parts to be renamed and measured, a place for shims, no limits.
    """
    parts = {"housing depth": 1, "shaft length": -1}
    line = {"result": "end float", "terms": parts, "seats": {"under the cover": -1}}
    readings = [{"of": part, "tool": "micrometer"} for part in parts]
    return {**fresh_table(unit), "readings": readings, "lines": [line]}


def is_bare(table: Mapping[str, Any]) -> bool:
    """Whether nothing has been typed into a new job that has a unit. table: of it."""
    plain = {**table, "title": "", "unit": "mm"}
    return plain in (fresh_table(), fresh_pinion_table(), fresh_line_table())
