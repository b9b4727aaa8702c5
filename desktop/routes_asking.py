"""Cut, buy or use what is there: asked for the axle's present answer and what is on offer now.

It takes seconds, so it is worked out beside the window and only while its stage is in sight; a
newer question makes an older one worthless.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from desktop.document import Document
from desktop.edits import Table, alike
from desktop.reading_faults import NOTHING
from desktop.routes_files import LISTS, PriceList, merged
from desktop.routes_shared_asking import SharedOrder, order_in
from desktop.routes_words import COMPARE, TOGETHER, missing_cost
from desktop.timers import Timers
from desktop.worker import Halt, Worker
from solver.job import Costs
from solver.job_costs import read_costs
from solver.job_table import Notes, Page
from solver.market import Market
from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded with the first question
    from desktop.asking import Asking
    from solver.findings import Answer
    from solver.routes import Point, Routes

PAUSE_MS = 250  # after the last edit
LOOK_MS = 1200  # between two looks at the files on the disk
COSTS = "costs"
OWN = (COSTS, *LISTS)  # of a job's table


class RoutesAsking:
    """Keeps the newest answer and how it stands to what is in the window now."""

    def __init__(self, clock: tk.Misc, told: Callable[[], object]) -> None:
        """clock: a widget that lives as long; told: called when anything here has changed."""
        self._told = told
        self._timers = Timers(clock)
        self._worker = Worker(clock.after)
        self._read: tuple[Table, object] | None = None  # what costs were read from
        self._asked: tuple[Answer, Costs, Market] | None = None
        self._axle = "empty"  # how the axle stands
        self.lists = {key: PriceList(key) for key in LISTS}
        self.costs: Costs | None = None
        self.faults: tuple[Fault, ...] = ()  # of the costs alone
        self.routes: Routes | None = None  # to the newest question that was answered
        self.picked: Point | None = None  # that is looked at in place of the advised one
        self.fresh = self.stopped = self.failed = False
        self.face = COMPARE  # of the stage, a key of FACES
        self.order = SharedOrder(clock, told)

    @property
    def busy(self) -> bool:
        """Whether an answer is on its way."""
        return self._weighing or self.order.busy

    @property
    def state(self) -> str:
        """How what is in sight stands: the order for several jobs, or else the ways."""
        return self.order.state if self.face == TOGETHER else self.weighed

    @property
    def red(self) -> tuple[Fault, ...]:
        """What is wrong with the costs, then with the lists."""
        own = (fault for fault in self.faults if fault.found != NOTHING)
        return (*own, *(fault for one in self.lists.values() for fault in one.red))

    @property
    def wishes(self) -> tuple[str, ...]:
        """What is merely still to be filled in, in words."""
        own = (missing_cost(fault) for fault in self.faults if fault.found == NOTHING)
        return (*own, *(name for one in self.lists.values() for name in one.wish_names))

    @property
    def offered(self) -> bool:
        """Whether anything can be bought or cut."""
        return any(one.rows for one in self.lists.values())

    @property
    def weighed(self) -> str:
        """How the ways stand: 'none', 'faulty', 'half-filled', 'no axle', 'axle solving',
        'solving', 'stopped', 'failed' or 'done'."""
        if self._read is None or not any(self._read[0].values()):
            return "none"
        if self.red:
            return "faulty"
        if self.wishes or not self.offered or self.costs is None:
            return "half-filled"
        if self._axle != "done":
            return "axle solving" if self._axle == "solving" else "no axle"
        if self.failed:
            return "failed"
        if self.stopped:
            return "stopped"
        return "done" if self.fresh else "solving"

    def ask(self, document: Document, axle: Asking, *, at_once: bool = False) -> None:
        """Read costs and lists, and ask anew unless nothing has changed.

        document: the job; axle: the axle's asking, whose chosen plan is what there is; at_once:
        without the pause that waits for more edits, and in any case.
        """
        self._read_costs(document)
        for key, one in self.lists.items():
            one.look(_named(document, key))
        self._axle = axle.state
        self._timers.later("look", LOOK_MS, self._look)
        answer, market = axle.answer, merged(self.lists)
        ready = self._axle == "done" and answer is not None and self.costs is not None
        ready = ready and not self.red and not self.wishes and self.offered
        own = None
        if ready and answer is not None:
            own = replace(answer, job=replace(answer.job, costs=self.costs))
        self.order.stand(document, own, market, self.weighed)
        if not ready:
            self._forget()
            return
        assert answer is not None and self.costs is not None
        now = (answer, self.costs, market)
        if not at_once and self._asked is not None and _same(now, self._asked):
            return
        self._forget()
        self._asked = now
        self._timers.later("ask", 0 if at_once else PAUSE_MS, self._begin)

    def stop(self) -> None:
        """Stop what is in sight; what was known before stays, faint."""
        if self.face == TOGETHER and self.order.busy:
            self.order.stop()
        elif self._weighing:
            asked = self._asked
            self._forget()
            self._asked, self.stopped = asked, True
            self._told()

    def rest(self) -> None:
        """The stage is out of sight: what is not answered yet is asked again when it is back."""
        self._timers.never("look")
        self.order.rest()
        if self._weighing:
            self._forget()

    def pick(self, point: Point | None) -> None:
        """Look at a point. point: of the routes, None or the advised one for that."""
        best = self.routes.best if self.routes is not None else None
        advised = best.best if best is not None else None
        point = None if point == advised else point
        if point != self.picked:
            self.picked = point
            self._told()

    def as_text(self, unit: str, words: str) -> str:
        """Write what is in sight. unit; words: as shown. Returns text, '' where there is none."""
        if self.state != "done":
            return ""
        if self.face == TOGETHER:
            return _order_as_text(self.order, unit, words)
        if self.routes is None:
            return ""
        from solver.report_routes import routes_as_text

        return routes_as_text(shown_in(self.routes, unit, words))

    def close(self) -> None:
        """Let the thread end."""
        self._timers.close()
        self._worker.close()
        self.order.close()

    @property
    def _weighing(self) -> bool:
        """Whether the ways are on their way."""
        return self._timers.waits("ask") or self._worker.busy

    def _read_costs(self, document: Document) -> None:
        own = {key: document.table[key] for key in OWN if key in document.table}
        job = (document.folder, document.name)
        if self._read is not None and self._read[1] == job and alike(own, self._read[0]):
            return
        if self._read is None or self._read[1] != job or not own:
            self.routes = self.picked = None  # another job, or this one thought better of
        self._read = (own, job)
        notes = Notes(document.name)
        costs = read_costs(Page(own, (), notes, "mm"), document.folder)
        self.faults = tuple(notes.faults)
        self.costs = None if self.faults else costs

    def _look(self) -> None:
        """Whether another program has changed a file; asked again as long as it is in sight."""
        changed = [one.look(one.path) for one in self.lists.values()]
        if any(changed) or self.order.look():
            self._told()
        else:
            self._timers.later("look", LOOK_MS, self._look)

    def _forget(self) -> None:
        self._timers.never("ask")
        self._worker.forget()
        self._asked = None
        self.fresh = self.stopped = self.failed = False
        self.picked = None

    def _begin(self) -> None:
        assert self._asked is not None
        answer, costs, market = self._asked
        answer = replace(answer, job=replace(answer.job, costs=costs))
        self._worker.run(lambda halt: _found(answer, market, halt), self._done, self._fail)

    def _done(self, routes: Routes) -> None:
        self.routes, self.fresh = routes, True
        self._told()

    def _fail(self, error: BaseException) -> None:
        self.failed = True
        self._told()
        if not isinstance(error, Trouble):
            raise error  # our own mistake is loud


def shown_in(routes: Routes, unit: str, words: str) -> Routes:
    """Put routes into the window's own choice of words. routes; unit; words. Returns them."""
    job = replace(routes.answer.job, unit=unit, words=words)
    return replace(routes, answer=replace(routes.answer, job=job))


def _order_as_text(order: SharedOrder, unit: str, words: str) -> str:
    from solver.report_routes import shopping_as_text

    assert order.worked is not None
    shown = order_in(order.worked, unit, words)
    return shopping_as_text(shown.shopping, shown.answers)


def _named(document: Document, key: str) -> Path | None:
    """The file that a job names, faulty costs or not: its rows are shown all the same."""
    named = document.table.get(key)
    if isinstance(named, str) and named.strip() and "\0" not in named:
        return document.folder / named.strip()
    return None


def _same(one: tuple[Answer, Costs, Market], other: tuple[Answer, Costs, Market]) -> bool:
    return one[0] is other[0] and one[1:] == other[1:]


def _found(answer: Answer, market: Market, halt: Halt) -> Routes:
    """In the thread: the routes."""
    from solver.master import Halt as SolverHalt
    from solver.routes import find_routes

    own = SolverHalt()
    halt.then(own.stop)
    return find_routes(answer, market, own)
