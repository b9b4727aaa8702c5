"""The crush spacer of the job in hand: read as the solver reads it, and what to do next with it.

The answer is worked out beside the window; a newer question makes an older one worthless. Nothing
is asked again where only another part of the job has changed.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from typing import TYPE_CHECKING

from desktop.crush_edits import crush_of
from desktop.document import Document
from desktop.edits import Table, alike
from desktop.reading_faults import NOTHING
from desktop.timers import Timers
from desktop.worker import Halt, Worker
from solver.crush import Crush
from solver.job_crush import read_crush_alone
from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded with the first question
    from solver.crush import Tightening

PAUSE_MS = 200  # after the last edit


class CrushAsking:
    """Keeps the newest answer and how it stands to what is in the window now."""

    def __init__(self, clock: tk.Misc, told: Callable[[], object]) -> None:
        """clock: a widget that lives as long; told: called when an answer has come."""
        self._told = told
        self._timers = Timers(clock)
        self._worker = Worker(clock.after)
        self._asked: Table | None = None  # what was last read, of the job's table
        self.crush: Crush | None = None
        self.title = ""
        self.faults: tuple[Fault, ...] = ()
        self.answer: Tightening | None = None  # to the newest question that was answered
        self.fresh = False  # the answer is to what stands in the window
        self.failed = False  # our own mistake: no answer will come

    @property
    def busy(self) -> bool:
        """Whether an answer is on its way."""
        return self._timers.waits("ask") or self._worker.busy

    @property
    def state(self) -> str:
        """How things stand: 'none', 'half-filled', 'faulty', 'solving', 'stopped' or 'done'."""
        if self._asked is None or crush_of(self._asked) is None:
            return "none"
        if self.faults:
            wishes = all(fault.found == NOTHING for fault in self.faults)
            return "half-filled" if wishes else "faulty"
        if self.failed:
            return "stopped"
        return "done" if self.fresh else "solving"

    @property
    def wishes(self) -> tuple[Fault, ...]:
        """What is merely still to be filled in."""
        return tuple(fault for fault in self.faults if fault.found == NOTHING)

    def ask(self, document: Document, *, at_once: bool = False) -> None:
        """Read the crush spacer and ask what to do next, unless nothing of it has changed.

        document: the job; at_once: without the pause that waits for more edits, and also where no
        answer has come of it so far.
        """
        own = {key: document.table[key] for key in _OWN if key in document.table}
        same = self._asked is not None and alike(own, self._asked)
        if same and (not at_once or self.state == "done"):
            return
        if crush_of(own) is None:
            self.answer = None  # another job, or this one thought better of
        self._asked, self.fresh, self.failed = own, False, False
        self._worker.forget()
        self._timers.never("ask")
        self.crush, self.faults = None, ()
        if crush_of(own) is None:
            return
        try:
            self.title, _, self.crush = read_crush_alone(own, document.name)
        except Trouble as trouble:
            self.faults = trouble.faults
            return
        self._timers.later("ask", 0 if at_once else PAUSE_MS, self._begin)

    def as_text(self, words: str) -> str:
        """Write the answer. words: 'UK' or 'US'. Returns text, '' where there is none."""
        if self.answer is None or not self.fresh:
            return ""
        from solver.report_tighten import tightening_as_text

        return str(tightening_as_text(self.title, words, self.answer))

    def close(self) -> None:
        """Let the thread end."""
        self._timers.close()
        self._worker.close()

    def _begin(self) -> None:
        crush = self.crush
        assert crush is not None
        self._worker.run(lambda _halt: _tightened(crush, _halt), self._done, self._failed)

    def _done(self, answer: Tightening) -> None:
        self.answer, self.fresh = answer, True
        self._told()

    def _failed(self, error: BaseException) -> None:
        if isinstance(error, Trouble):
            self.faults = error.faults
            self._told()
            return
        self.failed = True
        self._told()
        raise error  # our own mistake is loud


_OWN = ("title", "unit", "words", "crush")


def _tightened(crush: Crush, _halt: Halt) -> Tightening:
    """In the thread: what to do next."""
    from solver.tighten import tighten

    return tighten(crush)
