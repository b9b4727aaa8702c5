"""From edits to answers: one question at a time, the newest only, and a way to stop it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from typing import TYPE_CHECKING

from desktop.inputs import Inputs
from desktop.worker import Halt, Worker
from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded late: the solver's libraries must not hold up the first paint
    from solver.drawer import Drawer
    from solver.findings import Answer, Worth
    from solver.job import Job

PAUSE_MS = 250  # after the last edit


class Asking:
    """Keeps the newest answer and how it stands to what is in the window now."""

    def __init__(self, clock: tk.Misc, told: Callable[[], object]) -> None:
        """clock: a widget that lives as long; told: called whenever anything here has changed."""
        self._clock, self._told = clock, told
        self._worker, self._picker = Worker(clock.after), Worker(clock.after)
        self._weigher = Worker(clock.after)
        self._timer: str | None = None
        self._held = True  # until the solver may be loaded
        self._inputs = Inputs()
        self._wanted = False  # an answer to the inputs as they are
        self.answer: Answer | None = None  # to the newest question that was answered
        self.picked: Answer | None = None  # about another of its plans
        self._worth: Worth | None = None  # of the answer's next reading, once weighed
        self.fresh = False  # the answer is to what stands in the window
        self.stopped = False
        self.faults: tuple[Fault, ...] = ()  # that only solving brought to light

    @property
    def solving(self) -> bool:
        """Whether an answer to what stands in the window is on its way."""
        return self._wanted

    @property
    def shown(self) -> Answer | None:
        """The answer to be shown: that of a picked plan, or the chosen one."""
        return self.picked or self.answer

    @property
    def weighing(self) -> bool:
        """Whether the worth of further readings is on its way."""
        return self._weigher.busy

    @property
    def worth(self) -> Worth | None:
        """What further readings are worth; None until weighed, and for a picked plan."""
        return self._worth if self.fresh and self.picked is None else None

    @property
    def state(self) -> str:
        """How things stand: 'empty', 'half-filled', 'faulty', 'solving', 'stopped', 'done'."""
        if self._wanted:
            return "solving"
        if self.faults:
            return "faulty"
        if self.stopped:
            return "stopped"
        if self._inputs.state != "ready":
            return self._inputs.state
        return "done" if self.fresh else "empty"

    def ask(self, inputs: Inputs, *, at_once: bool = False) -> None:
        """Ask anew: whatever was asked before is worthless now.

        inputs: what stands in the window; at_once: without the pause that waits for more edits.
        """
        self._forget()
        self._inputs = inputs
        self.fresh = self.stopped = False
        self.faults, self.picked, self._worth = (), None, None
        self._wanted = inputs.state == "ready"
        if self._wanted and not self._held:
            if at_once:
                self._begin()
            else:
                self._timer = self._clock.after(PAUSE_MS, self._begin)
        self._told()

    def release(self) -> None:
        """Let the solver be loaded, and ask what has been waiting for it."""
        self._held = False
        if self._wanted:
            self._begin()

    def stop(self) -> None:
        """Stop choosing; a plan that was found so far is shown as not proved."""
        if not self._wanted:
            return
        if self._worker.busy:
            self._worker.stop()
        else:
            self._forget()
            self._wanted, self.stopped = False, True
            self._told()

    def drop(self) -> None:
        """Forget every answer: another job is in the window."""
        self._forget()
        self.answer = self.picked = None
        self.fresh = self._wanted = self.stopped = False

    def pick(self, place: int) -> None:
        """Look at another plan, or at the chosen one again.

        place: among the others of the answer that is shown, from 0.
        """
        answer, shown = self.answer, self.shown
        if answer is None or answer.verdict is None or shown is None or not self.fresh:
            return
        plan = shown.others[place].plan
        if plan == answer.verdict.plan:
            self.unpick()
            return
        at = next(k for k, other in enumerate(answer.others) if other.plan == plan)
        self._picker.run(lambda _halt: _other(answer, at), self._picked, self._failed)

    def unpick(self) -> bool:
        """Go back to the chosen plan. Returns whether another one was shown."""
        self._picker.forget()
        was, self.picked = self.picked, None
        if was is not None:
            self._told()
        return was is not None

    def close(self) -> None:
        """Let the threads end."""
        self._forget()
        self._worker.close()
        self._picker.close()
        self._weigher.close()

    def _forget(self) -> None:
        if self._timer is not None:
            self._clock.after_cancel(self._timer)
            self._timer = None
        self._worker.forget()
        self._picker.forget()
        self._weigher.forget()

    def _begin(self) -> None:
        self._timer = None
        job, drawer = self._inputs.job, self._inputs.drawer
        assert job is not None and drawer is not None
        self._worker.run(
            lambda halt: _answer(job, drawer, halt), self._done, self._failed
        )  # fmt: skip

    def _done(self, found: tuple[Answer, bool]) -> None:
        answer, halted = found
        self._wanted = False
        if halted and answer.verdict is None:
            self.stopped = True  # stopped before any plan: that is not 'nothing fits'
        else:
            self.answer, self.fresh = answer, True
            if answer.verdict is not None and not halted:
                self._weigher.run(lambda _halt: _weighed(answer), self._know_worth, self._failed)
        self._told()

    def _know_worth(self, worth: Worth) -> None:
        self._worth = worth
        self._told()

    def _picked(self, answer: Answer) -> None:
        if self.fresh:
            self.picked = answer
            self._told()

    def _failed(self, error: BaseException) -> None:
        self._wanted = False
        if isinstance(error, Trouble):
            self.faults = error.faults
            self._told()
            return
        self.stopped = True
        self._told()
        raise error  # our own mistake is loud


def _answer(job: Job, drawer: Drawer, halt: Halt) -> tuple[Answer, bool]:
    """In the thread: the answer, and whether it was stopped."""
    from solver.answer import answer_job
    from solver.master import Halt as SolverHalt

    own = SolverHalt()
    halt.then(own.stop)
    answer = answer_job(job, drawer, own)
    return answer, halt.is_set()


def _weighed(answer: Answer) -> Worth:
    from solver.worth import weigh_readings

    return weigh_readings(answer)


def _other(answer: Answer, place: int) -> Answer:
    from solver.another import answer_with

    return answer_with(answer, place)
