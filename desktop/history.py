"""Undo and redo: every state that the job was in, with typing in one field as one step."""

from __future__ import annotations

from dataclasses import dataclass, replace

from desktop.drawer_edits import same_sheet
from desktop.edits import Table, alike
from solver.drawer_sheet import Sheet
from solver.trouble import Place

DRAWER: Place = ("drawer sheet",)  # begins the place of an edit in the drawer; no key of a job


@dataclass(frozen=True, slots=True)
class Snapshot:
    """Everything that an edit can change."""

    table: Table
    sheet: Sheet | None = None

    def same(self, other: Snapshot) -> bool:
        """Whether two snapshots are alike to their owner. other: the other one. Returns it."""
        return alike(self.table, other.table) and same_sheet(self.sheet, other.sheet)


@dataclass(frozen=True, slots=True)
class Step:
    """A state that was left, and the place of the edit that left it, to show where undo went."""

    snapshot: Snapshot
    place: Place


@dataclass(frozen=True, slots=True)
class History:
    """The states before, the one now, the ones undone; never changed in place."""

    now: Snapshot
    past: tuple[Step, ...] = ()
    future: tuple[Step, ...] = ()
    typing: Place | None = None  # the field whose typing still adds to the last step

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to undo."""
        return bool(self.past)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to redo."""
        return bool(self.future)

    @property
    def undo_place(self) -> Place:
        """Where the next undo changes something; () where there is none."""
        return self.past[-1].place if self.past else ()

    @property
    def redo_place(self) -> Place:
        """Where the next redo changes something; () where there is none."""
        return self.future[-1].place if self.future else ()

    def edited(self, now: Snapshot, place: Place, *, typing: bool = False) -> History:
        """The history after an edit.

        now: the state after it; place: of the edit; typing: one key of many in a field, which
        joins the step of the keys before it there. Returns it; the same one where nothing changed.
        """
        if now.same(self.now):
            return self
        if typing and self.typing == place and self.past:
            if now.same(self.past[-1].snapshot):  # typed back to what it was: no step at all
                return History(self.past[-1].snapshot, self.past[:-1])
            return replace(self, now=now, future=())
        step = Step(self.now, place)
        return History(now, (*self.past, step), (), place if typing else None)

    def settled(self) -> History:
        """The history when a field is left: what is typed there next is a step of its own."""
        return self if self.typing is None else replace(self, typing=None)

    def undone(self) -> History:
        """One step back. Returns it; the same one at the start."""
        if not self.past:
            return self
        step = self.past[-1]
        return History(step.snapshot, self.past[:-1], (*self.future, Step(self.now, step.place)))

    def redone(self) -> History:
        """One step forth again. Returns it; the same one where nothing was undone."""
        if not self.future:
            return self
        step = self.future[-1]
        return History(step.snapshot, (*self.past, Step(self.now, step.place)), self.future[:-1])

    def restated(self, now: Snapshot) -> History:
        """The history with its present put otherwise, as saving does when it names the drawer.

        now: the state in place of the present one. Returns it, with no step added.
        """
        return replace(self, now=now, typing=None)
