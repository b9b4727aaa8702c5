"""Work beside the window: one thread, the newest question only, answers brought home by Tk's clock.

The thread never touches Tk. What a question or an answer refers to is let go of on the Tk loop, for
the last reference to a Tk object dropped in a thread can end the program.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Any, TypeVar

T = TypeVar("T")
Poll = Callable[[int, Callable[[], None]], object]  # a widget's `after`
EVERY_MS = 15


class Halt(threading.Event):
    """A stop flag that can also call what has to be told of the stop."""

    def __init__(self) -> None:
        super().__init__()
        self._calls: list[Callable[[], object]] = []
        self._guard = threading.Lock()

    def then(self, call: Callable[[], object]) -> None:
        """Have something called at the stop, at once if it has come. call: quick, of any thread."""
        with self._guard:
            if not self.is_set():
                self._calls.append(call)
                return
        call()

    def set(self) -> None:
        """Stop: raise the flag and tell everyone who asked to be told, once."""
        with self._guard:
            super().set()
            calls, self._calls = self._calls, []
        for call in calls:
            call()


class _Run:
    """One question on its way; the box that travels, so that the thread holds nothing else."""

    def __init__(self, number: int, work: Any, done: Any, failed: Any) -> None:
        self.number, self.work, self.done, self.failed = number, work, done, failed
        self.halt = Halt()
        self.wanted = True
        self.answer: Any = None
        self.error: BaseException | None = None

    def displace(self) -> None:
        self.wanted = False
        self.halt.set()

    def empty(self) -> None:
        self.work = self.done = self.failed = self.answer = self.error = None


class Worker:
    """Runs one kind of question in a thread; a newer question makes the older one worthless.

    What must not displace one another (loading a library, choosing shims) wants a worker each.
    """

    def __init__(self, poll: Poll) -> None:
        """poll: a widget's `after`, called as poll(milliseconds, function) on the Tk loop [ms]."""
        self._poll = poll
        self._newest = 0
        self._out = 0  # runs not yet come home
        self._run: _Run | None = None
        self._asked: queue.SimpleQueue[_Run | None] = queue.SimpleQueue()
        self._home: queue.SimpleQueue[_Run] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None

    @property
    def busy(self) -> bool:
        """Whether the newest question still waits for its answer."""
        return self._run is not None

    def run(
        self,
        work: Callable[[Halt], T],
        done: Callable[[T], object],
        failed: Callable[[BaseException], object],
    ) -> int:
        """Ask a question; the one before it is stopped and its answer dropped.

        work: called in the thread with its stop flag; done: called on the Tk loop with the answer;
        failed: called there with whatever `work` raised. Returns: its generation number.
        """
        if self._run is not None:
            self._run.displace()
        if self._thread is None:
            self._thread = threading.Thread(
                target=_serve, args=(self._asked, self._home), name="worker", daemon=True
            )
            self._thread.start()
        self._newest += 1
        self._run = _Run(self._newest, work, done, failed)
        self._asked.put(self._run)
        self._out += 1
        if self._out == 1:  # else the clock is running already
            self._poll(EVERY_MS, self._collect)
        return self._newest

    def stop(self) -> None:
        """Raise the newest question's flag; what its work then returns is still its answer."""
        if self._run is not None:
            self._run.halt.set()

    def forget(self) -> None:
        """Stop the newest question and drop its answer."""
        if self._run is not None:
            self._run.displace()
        self._newest += 1
        self._run = None

    def close(self) -> None:
        """Forget what runs and let the thread end; a worker is not used after this."""
        self.forget()
        if self._thread is not None:
            self._asked.put(None)

    def _collect(self) -> None:
        """Bring home what is finished; goes on being called while anything is out."""
        try:
            run = self._home.get_nowait()
        except queue.Empty:
            self._poll(EVERY_MS, self._collect)
            return
        self._out -= 1
        if self._out:
            self._poll(0, self._collect)  # before the callbacks: one that raises must not stop it
        newest = run.number == self._newest
        done, failed, answer, error = run.done, run.failed, run.answer, run.error
        run.empty()
        if not newest:
            return
        self._run = None
        if error is None:
            done(answer)
        else:
            failed(error)


def _serve(asked: queue.SimpleQueue[_Run | None], home: queue.SimpleQueue[_Run]) -> None:
    """Answer questions until told to end; in the thread."""
    while (run := asked.get()) is not None:
        if run.wanted:  # one displaced before it began is not worth beginning
            try:
                run.answer = run.work(run.halt)
            except BaseException as error:
                run.error = error
        home.put(run)
