"""What a job's table says of its lines of dimensions, faulty as it may be while it is typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.edits import FOUND, Table, readings_of, value_at
from desktop.pinion_edits import about_carrier
from solver.job import FITTED_SEATS
from solver.units import NotAQuantity, length_um

LINES, DIMENSIONS = "lines", "dimensions"
ENDS, MIDDLE = ("low", "high"), ("drawn", "within")


def lines_of(table: Mapping[str, Any]) -> list[Table]:
    """List the tables of a job's lines. table: the job's. What is no table stands as empty."""
    lines = table.get(LINES)
    lines = lines if isinstance(lines, list) else []
    return [line if isinstance(line, dict) else {} for line in lines]


def lines_alone(table: Mapping[str, Any]) -> bool:
    """Tell whether a job is about lines of dimensions and no axle. table: the job's. Returns it."""
    return LINES in table and "pinion" not in table and not about_carrier(table)


def result_of(line: Mapping[str, Any]) -> str:
    """Name what a line adds up to. line: its table. Returns text, '' where it has no name yet."""
    return " ".join(str(line.get("result") or "").split())


def named_in(line: Mapping[str, Any], key: str) -> dict[str, float]:
    """List what is in a line with its factor. line: its table; key: 'terms' or 'seats'."""
    inside = line.get(key)
    found = {}
    for name, factor in (inside if isinstance(inside, dict) else {}).items():
        plain = isinstance(factor, int | float) and not isinstance(factor, bool)
        found[str(name)] = float(factor) if plain else 1.0
    return found


def in_lines(table: Mapping[str, Any], key: str) -> tuple[str, ...]:
    """Name what is in any line, each once. table: the job's; key: 'terms' or 'seats'."""
    return tuple(dict.fromkeys(name for line in lines_of(table) for name in named_in(line, key)))


def readable_in(table: Mapping[str, Any]) -> tuple[str, ...]:
    """Name what can be read of a job's lines: dimensions, then results. table: the job's."""
    results = (result_of(line) for line in lines_of(table))
    return (*in_lines(table, "terms"), *dict.fromkeys(name for name in results if name))


def line_named(table: Mapping[str, Any], of: object) -> Table | None:
    """Find a line by its result. table: the job's; of: what is read. Returns None for no line."""
    return next((line for line in lines_of(table) if of and result_of(line) == of), None)


def seats_read(table: Mapping[str, Any], of: str) -> tuple[str, ...]:
    """List the seats whose shims enter a reading. table: the job's; of: what is read."""
    line = line_named(table, of)
    if line is not None:
        return tuple(named_in(line, "seats"))
    return () if of in in_lines(table, "terms") else FITTED_SEATS.get(of, ())


def numbers_of(table: Mapping[str, Any], of: str) -> tuple[int, ...]:
    """Number the readings of something that count, from 1. table: the job's; of: what is read."""
    readings = enumerate(readings_of(table), 1)
    return tuple(at for at, one in readings if one.get("of") == of and one.get("off") is not True)


def drawn_um(table: Mapping[str, Any], name: str) -> tuple[float, float] | None:
    """Read a dimension as drawn. table: the job's; name: of the dimension.

    Returns: its middle and half its tolerance [µm]; None where it is not, or not rightly, said.
    """
    for keys in (ENDS, MIDDLE):
        one, other = (_um(table, value_at(table, (DIMENSIONS, name, key))) for key in keys)
        if one is not None and other is not None:
            return ((one + other) / 2.0, (other - one) / 2.0) if keys == ENDS else (one, other)
    return None


def read_um(table: Mapping[str, Any], name: str) -> float | None:
    """Find about how long a part was read. table: the job's; name: of the dimension.

    Returns: the mean of its first reading that found anything [µm], None without one.
    """
    for number in numbers_of(table, name):
        reading = readings_of(table)[number - 1]
        for key in FOUND:
            value = reading.get(key)
            values = value if isinstance(value, list) else [] if value is None else [value]
            known = [one for one in (_um(table, each) for each in values) if one is not None]
            if known:
                return sum(known) / len(known)
    return None


def limits_um(table: Mapping[str, Any], line: Mapping[str, Any]) -> tuple[float | None, ...]:
    """Read the limits of a line [µm]. table: the job's; line: its table. None for an end unsaid."""
    return tuple(_um(table, line.get(key)) for key in ENDS)


def _um(table: Mapping[str, Any], value: object) -> float | None:
    if value is None or isinstance(value, bool | dict | list):
        return None
    try:
        return length_um(value, str(table.get("unit", "mm")))
    except NotAQuantity:
        return None
