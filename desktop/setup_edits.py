"""Edits of the set-up that leave no empty table behind and no seat half said."""

from __future__ import annotations

from desktop.edits import Edit, Table, remove_at, set_at, together, value_at
from solver.trouble import Place


def set_pruned(place: Place, value: object) -> Edit:
    """Put a value, and take away the tables that are left empty when it goes.

    place: a path of names; value: as typed, None to take away. Returns the edit.
    """

    def edit(table: Table) -> Table:
        table = set_at(place, value)(table)
        for end in range(len(place) - 1, 0, -1):
            if value_at(table, place[:end]) == {}:
                table = remove_at(place[:end])(table)
        return table

    return edit


def set_of_seat(seat: str, key: str, value: object) -> Edit:
    """Put a key of a seat, which has to say what its shims sit under once it says anything.

    seat: its name; key: 'under', 'least' or 'most'; value: as typed. Returns the edit.
    """

    def edit(table: Table) -> Table:
        place = ("seats", seat, "under")
        if value_at(table, place) is None and key != "under" and value is not None:
            table = set_at(place, "bearing")(table)
        return set_pruned(("seats", seat, key), value)(table)

    return edit


def hold_to(pinch: str) -> Edit:
    """Hold the carrier to pinch or to end float; a limit of one says nothing of the other.

    pinch: 'pinch' or 'end_float', as among the limits. Returns the edit.
    """
    return set_pruned(("limits", "end_float" if pinch == "pinch" else "pinch"), None)


def own_limit(result: str) -> Edit:
    """Take the EXAMPLE mark from a limit. result: its key among the limits. Returns the edit."""
    return remove_at(("limits", result, "example"))


def add_tool(kind: str) -> Edit:
    """Add a tool of a kind, under a name that is free. kind: of KINDS. Returns the edit."""

    def edit(table: Table) -> Table:
        taken = value_at(table, ("tools",), {})
        stem = kind if kind != "other" else "tool"
        free = (f"{stem} {n}" if n > 1 else stem for n in range(1, len(taken) + 2))
        name = next(one for one in free if one not in taken)
        return set_at(("tools", name, "kind"), kind)(table)

    return edit


def set_teeth(key: str, value: object) -> Edit:
    """Put a key of the teeth; numbers of teeth take the place of a pitch angle.

    key: of the teeth; value: as typed. Returns the edit.
    """
    edit = set_pruned(("mesh", "teeth", key), value)
    if value is not None and key in ("pinion_teeth", "wheel_teeth"):
        return together(edit, set_pruned(("mesh", "teeth", "pitch_angle"), None))
    return edit
