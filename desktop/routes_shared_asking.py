"""One order for several jobs: which ones were added, and what was worked out for them.

It is worked out beside the window and only when asked for: it takes longer with every job.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from desktop.document import Document
from desktop.routes_files import seen
from desktop.routes_shared_jobs import (
    Added,
    OwnDrawer,
    own_drawer,
    read_added,
    same_file,
    with_faults,
)
from desktop.worker import Halt, Worker
from solver.trouble import Trouble

if TYPE_CHECKING:  # loaded with the first question
    from solver.findings import Answer
    from solver.market import Market
    from solver.master import Halt as SolverHalt
    from solver.routes import Shopping


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What an order is worked out from, besides the files of the jobs that were added."""

    answer: Answer  # of the open job, with the costs of now
    market: Market
    own: OwnDrawer

    def same(self, other: Ground | None) -> bool:
        """Whether nothing has changed. other: the ground before."""
        if other is None:
            return False
        mine, its = self.answer, other.answer
        return mine.job == its.job and mine.drawer == its.drawer and self.market == other.market


@dataclass(frozen=True, slots=True)
class Worked:
    """What was worked out."""

    added: tuple[Added, ...]  # as read for it
    answers: tuple[Answer, ...] = ()  # the open job's first; none where one cannot be answered
    shopping: Shopping | None = None  # None: nothing serves them all


class SharedOrder:
    """The jobs that were added for this session, and the newest order for them all."""

    def __init__(self, clock: tk.Misc, told: Callable[[], object]) -> None:
        """clock: a widget that lives as long; told: called when anything here has changed."""
        self._told = told
        self._worker = Worker(clock.after)
        self._ground: Ground | None = None  # as everything stands now
        self._asked: tuple[Ground, tuple[Added, ...]] | None = None
        self._wanting = "none"  # why there is no ground
        self._job: object = None
        self.open_name = ""  # of the open job's file
        self.added: tuple[Added, ...] = ()
        self.worked: Worked | None = None  # the newest answer there is
        self.stopped = self.failed = False

    @property
    def busy(self) -> bool:
        """Whether an order is on its way."""
        return self._worker.busy

    @property
    def fresh(self) -> bool:
        """Whether the order is for what stands here now."""
        return self.worked is not None and not self.busy and self._is_asked()

    @property
    def state(self) -> str:
        """How things stand: 'none', 'faulty', 'half-filled', 'no axle' and 'axle solving' as for
        the ways; 'alone', 'job faulty', 'working', 'failed', 'stopped', 'done', 'stale' where an
        order is from before the last change, or 'ready' where there is none yet."""
        if self._ground is None:
            return self._wanting
        if not self.added:
            return "alone"
        if self.busy:
            return "working"
        if any(one.faults for one in self.added):
            return "job faulty"
        if self.failed or self.stopped:
            return "failed" if self.failed else "stopped"
        if self.worked is None:
            return "ready"
        return "done" if self.fresh else "stale"

    def stand(
        self, document: Document, answer: Answer | None, market: Market, wanting: str
    ) -> None:
        """Take in how everything stands now.

        document: the open job; answer: of it with the costs of now, None where there is nothing to
        work from; market: what is on offer; wanting: the state to be in then.
        """
        job = (document.folder, document.name)
        if job != self._job:
            self._job, self.worked = job, None  # another job
        self.open_name = document.name
        ground = None
        if answer is not None:
            ground = Ground(answer, market, own_drawer(document, answer.drawer))
        before, self._ground, self._wanting = self._ground, ground, wanting
        moved = not ground.same(before) if ground is not None else before is not None
        added = tuple(one for one in self.added if not same_file(one.path, document.path))
        own = ground.own if ground is not None else None
        added = tuple(
            read_added(one.path, own) if moved or one.seen != seen(one.path) else one
            for one in added
        )
        self._put(added, moved)

    def add(self, paths: tuple[Path, ...], open_job: Path | None) -> tuple[str, ...]:
        """Add jobs. paths: of their files; open_job: of that one, None for none.

        Returns: names of those that were there already.
        """
        there, added = [], self.added
        own = self._ground.own if self._ground is not None else None
        for path in paths:
            if same_file(path, open_job) or any(same_file(path, one.path) for one in added):
                there.append(path.name)
            else:
                added = (*added, read_added(path, own))
        self._put(added)
        self._told()
        return tuple(there)

    def remove(self, path: Path) -> None:
        """Take a job off the list. path: of its file."""
        self._put(tuple(one for one in self.added if one.path != path))
        self._told()

    def work_out(self) -> None:
        """Read the jobs anew and work the order out."""
        ground = self._ground
        if ground is None or not self.added:
            return
        added = tuple(read_added(one.path, ground.own) for one in self.added)
        self._forget()
        self.added, self.stopped, self.failed = added, False, False
        if not any(one.faults for one in added):
            self._asked = (ground, added)
            self._worker.run(
                lambda halt: _worked_out(ground, added, halt), self._done, self._fail
            )  # fmt: skip
        self._told()

    def stop(self) -> None:
        """Stop working it out; the order from before stays, faint."""
        if self.busy:
            self._forget()
            self.stopped = True
            self._told()

    def rest(self) -> None:
        """The stage is out of sight: nothing is worked out for nobody."""
        if self.busy:
            self._forget()
            self.stopped = True

    def look(self) -> bool:
        """Whether another program has changed a job that was added."""
        return any(one.seen != seen(one.path) for one in self.added)

    def close(self) -> None:
        """Let the thread end."""
        self._worker.close()

    def _put(self, added: tuple[Added, ...], moved: bool = False) -> None:
        """Go on with these jobs; what is being worked out is for others, if anything changed."""
        if moved or _files(added) != _files(self.added):
            self._worker.forget()
            self.stopped = self.failed = False
        self.added = added

    def _is_asked(self) -> bool:
        """Whether the newest question is what stands here now."""
        if self._asked is None or self._ground is None:
            return False
        return self._ground.same(self._asked[0]) and _files(self.added) == _files(self._asked[1])

    def _forget(self) -> None:
        self._worker.forget()
        self._asked = None

    def _done(self, worked: Worked) -> None:
        assert self._asked is not None
        self.added = worked.added
        self._asked = (self._asked[0], worked.added)
        if worked.answers:
            self.worked = worked
        self._told()

    def _fail(self, error: BaseException) -> None:
        self.failed = True
        self._told()
        raise error  # our own mistake is loud: what is wrong with a job comes home as its faults


def order_in(worked: Worked, unit: str, words: str) -> Worked:
    """Put an order into the window's own choice of words.

    worked: with answers; unit, words: as shown. Returns it; as long as the window shows the open
    job's own unit, every job keeps its own, as in the terminal.
    """
    chosen = unit != worked.answers[0].job.unit
    answers = tuple(
        replace(one, job=replace(one.job, unit=unit if chosen else one.job.unit, words=words))
        for one in worked.answers
    )
    return replace(worked, answers=answers)


def _files(added: tuple[Added, ...]) -> tuple[object, ...]:
    return tuple((one.path, one.seen) for one in added)


def _worked_out(ground: Ground, jobs: tuple[Added, ...], halt: Halt) -> Worked:
    """In the thread: the jobs answered, and one order for them all."""
    from solver.master import Halt as OwnHalt

    own = OwnHalt()
    halt.then(own.stop)
    added, answers = [], [ground.answer]
    for one in jobs:
        try:
            answers.append(_answered(one, own))
            added.append(one)
        except Trouble as trouble:
            added.append(with_faults(one, trouble))
    if any(one.faults for one in added):
        return Worked(tuple(added))
    return Worked(tuple(added), tuple(answers), _ordered(tuple(answers), ground.market, own))


def _answered(one: Added, halt: SolverHalt) -> Answer:
    from solver.answer import answer_job

    assert one.job is not None and one.drawer is not None
    return answer_job(one.job, one.drawer, halt)


def _ordered(answers: tuple[Answer, ...], market: Market, halt: SolverHalt) -> Shopping | None:
    from solver.routes import find_shopping

    return find_shopping(answers, market, halt)
