"""Edits of a job's crush spacer as pure functions; its pauses stand in the order of the file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.edits import OFF, Edit, Table, remove_at, set_at, value_at
from desktop.setup_edits import set_pruned
from desktop.typed import Number
from solver.trouble import Place

WAYS = ("torque", "values", "pull", "weight")  # keys that a reading can stand under
WAY_OF = {"wrench": "torque", "pull": "pull", "weight": "weight"}  # by the kind of the tool
WITH = ("seal", "carrier")


def begin_crush(unit: str, bearings: str) -> Edit:
    """Begin a crush spacer: what was asked for, and nothing that was not.

    unit: of bare torques; bearings: 'new' or 'used'. Returns the edit.
    """
    return set_at(("crush",), {"unit": unit, "bearings": bearings})


def crush_of(table: Mapping[str, Any]) -> Table | None:
    """The table of the crush spacer. table: the job's. Returns it, None for none."""
    found = table.get("crush")
    return found if isinstance(found, dict) else None if found is None else {}


def pauses_of(table: Mapping[str, Any]) -> list[Table]:
    """The tables of the pauses. table: the job's. Returns a list of its own.

    In a faulty file a pause that is no table stands as an empty one.
    """
    pauses = value_at(table, ("crush", "pauses"), [])
    pauses = pauses if isinstance(pauses, list) else []
    return [pause if isinstance(pause, dict) else {} for pause in pauses]


def add_pause(angle_deg: float | None = None) -> Edit:
    """Add a pause at the end that has read nothing yet.

    angle_deg: of the nut, where it is known [degrees]. Returns the edit.
    """

    def edit(table: Table) -> Table:
        fresh: Table = {}
        if angle_deg is not None:
            text = f"{angle_deg:.1f}"
            fresh["angle"] = int(angle_deg) if text.endswith(".0") else Number(text)
        return set_at(("crush", "pauses"), [*pauses_of(table), fresh])(table)

    return edit


def remove_pause(number: int) -> Edit:
    """Take a pause away. number: which one, from 0. Returns the edit."""
    return remove_at(("crush", "pauses", number))


def switch_pause(number: int, *, on: bool) -> Edit:
    """Switch a pause on, or off to leave it out. number: which one, from 0. Returns the edit."""
    return set_at(("crush", "pauses", number, OFF), None if on else True)


def set_amounts(place: Place, values: list[object]) -> Edit:
    """Put repeats: one alone stands as itself. place: of them; values: as typed. Returns it."""
    return set_at(place, values[0] if len(values) == 1 else list(values) or None)


def set_drag(place: Place, values: list[object]) -> Edit:
    """Put the repeats of a drag, whose table goes with the last of them.

    place: of the repeats in its table; values: as typed. Returns the edit.
    """
    return set_pruned(place, values[0] if len(values) == 1 else list(values) or None)


def set_with(key: str, what: str, value: bool) -> Edit:
    """Say whether a limit or a reading has something in it.

    key: 'with' or 'readings_with'; what: of WITH; value. Returns the edit.
    """
    return set_at(("crush", key, what), value)


def last_angle_deg(table: Mapping[str, Any]) -> float | None:
    """The furthest angle of the nut among the pauses. table: the job's. Returns it [degrees]."""
    angles = [pause.get("angle") for pause in pauses_of(table) if pause.get(OFF) is not True]
    plain = [float(a) for a in angles if isinstance(a, int | float) and not isinstance(a, bool)]
    return max(plain, default=None)


def tool_kind(table: Mapping[str, Any]) -> str:
    """Tell what the torque is read with. table: the job's. Returns 'wrench', 'pull', 'weight'.

    Where the tool does not say its kind, the first reading does.
    """
    kind = value_at(table, ("crush", "tool", "kind"))
    if kind in WAY_OF:
        return str(kind)
    ways = (way for pause in pauses_of(table) for way in WAYS if way in pause)
    way = next(ways, "torque")
    return next((one for one, of in WAY_OF.items() if of == way), "wrench")


def way_of(reading: Mapping[str, Any], table: Mapping[str, Any]) -> str:
    """Tell under which key a reading stands or will stand. reading; table: the job's."""
    said = next((way for way in WAYS if way in reading), None)
    return said or WAY_OF[tool_kind(table)]


def readings_of_way(reading: Mapping[str, Any], way: str) -> list[Any]:
    """The repeats of a reading, one or many. reading; way: its key. Returns them as typed."""
    found = reading.get(way, [])
    return list(found) if isinstance(found, list) else [found]
