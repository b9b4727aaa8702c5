"""Edits of what a job notes for the bench: fasteners, marks and rings, a row at a time."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.edits import Edit, Table, remove_at, set_at, value_at
from desktop.line_table import in_lines
from desktop.setup_edits import set_pruned
from desktop.setup_pinion import scope_of
from solver.job import CARRIER_SEATS, PINION_HEAD, PINION_SPACER

FASTENERS, MARKS, RING = "fasteners", "marks", "ring"  # tables of a job
WIDTHS = ("outside", "inside", "clearance")  # of a ring


def fasteners_of(table: Mapping[str, Any]) -> list[Any]:
    """List a job's fasteners. table: the job's. Returns them as typed, a faulty table as none."""
    found = table.get(FASTENERS)
    return found if isinstance(found, list) else []


def add_fastener() -> Edit:
    """Add a fastener at the end of which nothing is said yet. Returns the edit."""

    def edit(table: Table) -> Table:
        found = table.get(FASTENERS, [])
        there = len(found) if isinstance(found, list) else 1
        return set_at((FASTENERS, there), {})(table)

    return edit


def marks_of(table: Mapping[str, Any]) -> dict[str, Any]:
    """List a job's assembly marks. table: the job's. Returns how each is marked, as typed."""
    found = table.get(MARKS)
    return found if isinstance(found, dict) else {}


def free_mark(table: Mapping[str, Any]) -> str:
    """Find a name that no mark has yet. table: the job's. Returns it."""
    taken = marks_of(table)
    names = (f"mark {number}" if number > 1 else "mark" for number in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)


def add_mark(what: str) -> Edit:
    """Add a mark, a blank to be filled in. what: is marked. Returns the edit."""
    return set_at((MARKS, what), "")


def remove_mark(what: str) -> Edit:
    """Take a mark away, and the table with the last. what: is marked. Returns the edit."""
    return set_pruned((MARKS, what), None)


def rename_mark(was: str, to: str) -> Edit:
    """Say anew what is marked; it keeps its place. was, to: what. Returns the edit."""

    def edit(table: Table) -> Table:
        marks = marks_of(table)
        if was not in marks or to in marks:
            return table
        return {**table, MARKS: {to if key == was else key: marks[key] for key in marks}}

    return edit


def may_be_marked(table: Mapping[str, Any], was: str, to: str) -> bool:
    """Tell whether a mark may be called so. table: the job's; was: its name; to: the new one."""
    others = (" ".join(key.split()) for key in marks_of(table) if key != was)
    return to not in others


def seats_of(table: Mapping[str, Any]) -> tuple[str, ...]:
    """Name the seats that a job is about. table: the job's. Returns them in the order shown."""
    scope = scope_of(dict(table))
    pinion = ((PINION_HEAD,) if scope.pinion else ()) + ((PINION_SPACER,) if scope.solid else ())
    axle = (CARRIER_SEATS if scope.carrier else ()) + pinion
    return tuple(dict.fromkeys((*axle, *in_lines(table, "seats"))))


def own_rings(table: Mapping[str, Any]) -> tuple[str, ...]:
    """Name the seats that have a ring of their own. table: the job's. Returns them as typed."""
    ring = value_at(table, (RING,), {})
    ring = ring if isinstance(ring, dict) else {}
    return tuple(key for key, value in ring.items() if isinstance(value, dict))


def one_for_all(table: Mapping[str, Any]) -> bool:
    """Tell whether a ring is said for every seat. table: the job's. Returns it."""
    return any(value_at(table, (RING, key)) is not None for key in WIDTHS)


def add_ring(seat: str) -> Edit:
    """Give a seat a ring of its own, of which nothing is said yet. seat. Returns the edit."""
    return set_at((RING, seat), {})


def remove_ring(seat: str) -> Edit:
    """Take a seat's own ring away, and the table with the last. seat. Returns the edit."""
    return set_pruned((RING, seat), None)


def remove_fastener(at: int) -> Edit:
    """Take a fastener away, and the list with the last. at: which, from 0. Returns the edit."""
    return remove_at((FASTENERS, at))


def bench_shape(table: Mapping[str, Any]) -> tuple[object, ...]:
    """Tell what the rows hang on, whatever is typed in them. table: the job's.

    Returns something that changes only where they have to be built anew.
    """
    return len(fasteners_of(table)), tuple(marks_of(table)), own_rings(table), seats_of(table)
