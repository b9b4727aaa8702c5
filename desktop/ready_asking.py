"""May the crush spacer be crushed: asked of the pinion of the job in hand, beside the window.

The axle's reading of the job serves again, with what this stage alone knows put back into it, so
that a slip in either stops only its own answer.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from desktop.document import Document
from desktop.edits import alike, value_at
from desktop.inputs import Inputs
from desktop.timers import Timers
from desktop.worker import Halt, Worker
from solver.drawer import Drawer
from solver.drawer_file import drawer_faults
from solver.job import Job
from solver.job_ready import TABLE, read_ready
from solver.job_table import Notes, Page
from solver.trouble import Fault, Trouble
from solver.units import unit_named

if TYPE_CHECKING:  # loaded with the first question
    from solver.ready import Readiness


def has_gate(table: Mapping[str, Any]) -> bool:
    """Whether there is anything to be judged: a pinion that a crush spacer sets.

    table: the job's. Returns it.
    """
    solid = value_at(table, ("pinion", "spacer")) == "solid"
    return "pinion" in table and (not solid or "crush" in table or TABLE in table)


class ReadyAsking:
    """Keeps the newest judgement and how it stands to what is in the window now."""

    def __init__(self, clock: tk.Misc, told: Callable[[], object]) -> None:
        """clock: a widget that lives as long; told: called when a judgement has come."""
        self._told = told
        self._timers = Timers(clock)
        self._worker = Worker(clock.after)
        self._asked: tuple[Inputs, object] | None = None  # what was last read
        self._job: Job | None = None  # with what is done; None where it cannot be judged
        self._drawer: Drawer | None = None
        self._gate = False
        self.axle = "empty"  # how the axle's reading of the job stands
        self.missing: tuple[str, ...] = ()  # of the axle, in words
        self.faults: tuple[Fault, ...] = ()  # of what is done
        self.readiness: Readiness | None = None  # to the newest question that was answered
        self.loaded = False  # the words of the report are there
        self.fresh = self.failed = False

    @property
    def busy(self) -> bool:
        """Whether a judgement is on its way."""
        return self._timers.waits("ask") or self._worker.busy

    @property
    def state(self) -> str:
        """How things stand: 'none', 'faulty', 'axle', 'solving', 'stopped' or 'done'."""
        if self._asked is None or not self._gate:
            return "none"
        if self.faults:
            return "faulty"
        if self._job is None:
            return "axle"
        if self.failed:
            return "stopped"
        return "done" if self.fresh else "solving"

    def ask(self, document: Document, inputs: Inputs, *, at_once: bool = False) -> None:
        """Read what is done and judge it, unless nothing of it has changed.

        document: the job; inputs: the same, as the axle reads it; at_once: also where no judgement
        has come of it so far.
        """
        own = document.table.get(TABLE)
        asked, self._gate = self._asked, has_gate(document.table)
        same = asked is not None and asked[0] is inputs and alike(own, asked[1])
        if same and not (at_once and self.failed):
            return
        self._asked, self.fresh, self.failed = (inputs, own), False, False
        self._worker.forget()
        self._timers.never("ask")
        self._job, self._drawer = None, inputs.drawer
        self.axle, self.missing = inputs.state, inputs.missing
        self.faults = ()
        if not self._gate:
            self.readiness = None
            return
        self._read(document, inputs)
        if self._job is not None or not self.loaded:
            self._timers.later("ask", 0, self._begin)

    def shown(self, unit: str, words: str) -> Readiness | None:
        """Give the judgement in the unit and the words that are shown.

        unit: 'mm', 'um', 'in' or 'thou'; words: 'UK' or 'US'. Returns it, None while there is none
        to what stands in the window.
        """
        found = self.readiness
        if found is None or self.state != "done":
            return None
        job = replace(found.answer.job, unit=unit, words=words)
        return replace(found, answer=replace(found.answer, job=job))

    def as_text(self, unit: str, words: str) -> str:
        """Write the judgement. unit; words: as shown. Returns text, '' where there is none."""
        found = self.shown(unit, words)
        if found is None:
            return ""
        from solver.report_ready import ready_as_text

        return ready_as_text(found)

    def close(self) -> None:
        """Let the thread end."""
        self._timers.close()
        self._worker.close()

    def _read(self, document: Document, inputs: Inputs) -> None:
        """What is done, by the solver's own reader, and against the drawer."""
        table = document.table
        notes = Notes(document.name)
        own = {TABLE: table[TABLE]} if TABLE in table else {}
        ready = read_ready(Page(own, (), notes, unit_named(table.get("unit")) or ""))
        self.faults = tuple(notes.faults)
        if self.faults or inputs.job is None or inputs.drawer is None:
            return
        job = replace(inputs.job, ready=ready)
        source = inputs.sheet.source if inputs.sheet is not None else "drawer"
        against = drawer_faults(inputs.drawer, job, source)
        self.faults = tuple(fault for fault in against if fault.place[:1] == (TABLE,))
        if not self.faults and inputs.state == "ready" and job.pinion is not None:
            self._job = job

    def _begin(self) -> None:
        job, drawer = self._job, self._drawer
        self._worker.run(lambda halt: _judged(job, drawer, halt), self._done, self._failed)

    def _done(self, readiness: Readiness | None) -> None:
        self.loaded = True
        self.readiness, self.fresh = readiness, readiness is not None
        self._told()

    def _failed(self, error: BaseException) -> None:
        self.failed = True
        if isinstance(error, Trouble):
            self.faults = error.faults
            self._told()
            return
        self._told()
        raise error  # our own mistake is loud


def _judged(job: Job | None, drawer: Drawer | None, _halt: Halt) -> Readiness | None:
    """In the thread: the judgement; without a job no more than its words are loaded."""
    import solver.report_ready  # noqa: F401  (so that the window need not wait for it)
    from solver.ready import judge_ready

    return judge_ready(job, drawer) if job is not None and drawer is not None else None
