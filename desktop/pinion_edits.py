"""Edits of a job's pinion as pure functions: begun, given marks, carried over, taken out again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.edits import (
    FOUND,
    Edit,
    Table,
    fresh_pinion_table,
    fresh_table,
    readings_of,
    remove_at,
    set_at,
    together,
    value_at,
)
from desktop.setup_edits import set_pruned
from solver import job_file
from solver.job import CARRIER_SEATS, PINION_READABLE, PINION_SEATS, PINION_SPACER
from solver.job_limits import CARRIER_LIMITS, PINION_LIMITS
from solver.trouble import Place

PINION = ("pinion",)
MOST_MARKS = 2  # offered; a file may say more


def about_carrier(table: Mapping[str, Any]) -> bool:
    """Tell whether a job is about its carrier, as its reader does. table: the job's. Returns it."""
    return job_file.about_carrier(dict(table))


def can_be_alone(table: Mapping[str, Any]) -> bool:
    """Tell whether nothing has been said of the carrier yet, so that the pinion can stand alone.

    table: the job's. Returns it: no reading of the carrier has found anything, none of its limits
    and seats is there.
    """
    told = [
        key
        for part, names in (("limits", CARRIER_LIMITS), ("seats", CARRIER_SEATS))
        for key in names
        if value_at(table, (part, key)) is not None
    ]
    return not told and not any(_found(one) for one in readings_of(table) if not _of_pinion(one))


def begin_pinion() -> Edit:
    """Let a job tell of its pinion, of which nothing is known yet. Returns the edit."""
    return lambda table: table if "pinion" in table else {**table, "pinion": {}}


def begin_alone() -> Edit:
    """Let a job be about nothing but its pinion; readings of the carrier go. Returns the edit."""

    def edit(table: Table) -> Table:
        kept = [reading for reading in readings_of(table) if _of_pinion(reading)]
        fresh = fresh_pinion_table()["readings"]
        return {**begin_pinion()(table), "readings": kept or fresh}

    return edit


def with_carrier() -> Edit:
    """Let a job about a pinion alone be about the carrier too. Returns the edit."""
    fresh = fresh_table()["readings"]
    return lambda table: {**table, "readings": [*readings_of(table), *fresh]}


def drop_pinion() -> Edit:
    """Take everything out that tells of the pinion. Returns the edit; a carrier stays behind."""
    places = [("limits", key) for key in PINION_LIMITS.values()]
    places += [("seats", name) for name in PINION_SEATS]

    def edit(table: Table) -> Table:
        for place in places:
            table = set_pruned(place, None)(table)
        kept = [reading for reading in readings_of(table) if not _of_pinion(reading)]
        left = {key: value for key, value in table.items() if key != "pinion"}
        return {**left, "readings": kept or fresh_table()["readings"]}

    return edit


def set_pinion(place: Place, value: object) -> Edit:
    """Put a value of the pinion. The pinion, its old build and a mark among several stay, empty as
    they may be while their only value is typed anew; other tables that are left empty go.

    place: into the job; value: as typed, None to take away. Returns the edit.
    """

    def edit(table: Table) -> Table:
        table = set_at(place, value)(table)
        inner = place[:-1]
        stays = inner in (PINION, (*PINION, "carried")) or isinstance(inner[-1], int)
        return remove_at(inner)(table) if not stays and value_at(table, inner) == {} else table

    return edit


def set_spacer(value: object) -> Edit:
    """Say whether the spacer is crushed or solid; a crushed one is set by torque, not by a limit.

    value: 'crush' or 'solid'. Returns the edit.
    """
    edit = set_at((*PINION, "spacer"), value)
    if value != "crush":
        return edit
    gone = (("limits", PINION_LIMITS["pinion end float"]), ("seats", PINION_SPACER))
    return together(edit, *(set_pruned(place, None) for place in gone))


def set_bearing(value: object) -> Edit:
    """Say what became of the old head bearing; how much two may differ counts for a new one only.

    value: 'kept', 'measured' or 'new'. Returns the edit.
    """
    place = (*PINION, "carried")
    edit = set_at((*place, "bearing"), value)
    return edit if value == "new" else together(edit, remove_at((*place, "bearing_within")))


def marks_at(table: Mapping[str, Any], place: Place) -> tuple[Place, ...]:
    """List the places of marks. table: the job's; place: of one, or of a list of them.

    Returns: a place for each; the one where the first will stand where there is none.
    """
    value = value_at(table, place)
    if isinstance(value, list) and value:
        return tuple((*place, at) for at in range(len(value)))
    return (place,)


def add_mark(place: Place) -> Edit:
    """Add a mark to the one there is, of which nothing is said yet. place: of them. Returns it."""

    def edit(table: Table) -> Table:
        value = value_at(table, place)
        marks = value if isinstance(value, list) else [value]
        return set_at(place, [*marks, {}])(table)

    return edit


def remove_mark(place: Place) -> Edit:
    """Take a mark away; one that is left alone stands alone. place: of it. Returns the edit."""

    def edit(table: Table) -> Table:
        table = remove_at(place)(table)
        left = value_at(table, place[:-1])
        alone = isinstance(place[-1], int) and isinstance(left, list) and len(left) == 1
        return set_at(place[:-1], left[0])(table) if alone else table

    return edit


def _of_pinion(reading: Mapping[str, Any]) -> bool:
    return reading.get("of") in PINION_READABLE


def _found(reading: Mapping[str, Any]) -> bool:
    return any(reading.get(key) not in (None, "", []) for key in FOUND)
