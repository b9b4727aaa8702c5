"""Work beside the window: answers in order, the newest only, Tk never touched from the thread."""

from __future__ import annotations

import gc
import threading
import time
import weakref
from collections.abc import Callable, Iterator

import pytest

from desktop.worker import Halt, Worker

LIMIT_S = 10.0


class Clock:
    """Stands in for Tk's loop: `after` notes, `turn` calls, both in the thread that made it."""

    def __init__(self) -> None:
        self.waiting: list[Callable[[], None]] = []
        self.home = threading.get_ident()

    def after(self, _ms: int, call: Callable[[], None]) -> str:
        """Note a call. Returns a name for it."""
        assert threading.get_ident() == self.home, "Tk was touched from the thread"
        self.waiting.append(call)
        return "after#1"

    def until(self, done: Callable[[], object]) -> None:
        """Turn the loop until something holds, or fail at the deadline."""
        end = time.monotonic() + LIMIT_S
        while not done():
            assert time.monotonic() < end, "the deadline passed"
            calls, self.waiting = self.waiting, []
            for call in calls:
                call()
            time.sleep(0.001)


@pytest.fixture
def clock() -> Clock:
    """A loop that is turned by hand."""
    return Clock()


@pytest.fixture
def worker(clock: Clock) -> Iterator[Worker]:
    """A worker on that loop."""
    made = Worker(clock.after)
    yield made
    made.close()


def surprised(error: BaseException) -> None:
    """A `failed` that must not be called."""
    raise AssertionError(f"unexpected {error!r}")


def test_answer_comes_home(worker: Worker, clock: Clock) -> None:
    """The work runs in another thread and its answer is given on the loop."""
    threads: list[int] = []
    answers: list[tuple[int, int]] = []

    def work(_halt: Halt) -> int:
        threads.append(threading.get_ident())
        return 7

    worker.run(work, lambda answer: answers.append((answer, threading.get_ident())), surprised)
    assert worker.busy
    clock.until(lambda: answers)
    assert answers == [(7, clock.home)]
    assert threads[0] != clock.home
    assert not worker.busy
    assert not clock.waiting, "an idle worker keeps no clock running"


def test_older_answers_are_dropped(worker: Worker, clock: Clock) -> None:
    """A newer question stops the older one, whose answer is never given."""
    begun, answers = threading.Event(), []

    def slow(halt: Halt) -> str:
        begun.set()
        assert halt.wait(LIMIT_S)
        return "old"

    first = worker.run(slow, answers.append, surprised)
    assert begun.wait(LIMIT_S)
    second = worker.run(lambda _halt: "never begun", answers.append, surprised)
    third = worker.run(lambda _halt: "new", answers.append, surprised)
    assert first < second < third
    clock.until(lambda: answers)
    clock.until(lambda: not clock.waiting)
    assert answers == ["new"]


def test_an_older_answer_that_is_home_already_is_dropped(worker: Worker, clock: Clock) -> None:
    """An answer that came home before the newer question was asked, unread, is dropped too."""
    finished, answers = threading.Event(), []

    def quick(_halt: Halt) -> str:
        finished.set()
        return "old"

    worker.run(quick, answers.append, surprised)
    assert finished.wait(LIMIT_S)
    time.sleep(0.05)
    worker.run(lambda _halt: "new", answers.append, surprised)
    clock.until(lambda: answers)
    clock.until(lambda: not clock.waiting)
    assert answers == ["new"]


def test_only_the_newest_of_many_is_begun(worker: Worker, clock: Clock) -> None:
    """Of many questions asked while one runs, all but the newest are never begun."""
    gate, begun, answers = threading.Event(), [], []

    def ask(number: int) -> Callable[[Halt], int]:
        def work(_halt: Halt) -> int:
            begun.append(number)
            assert gate.wait(LIMIT_S)
            return number

        return work

    worker.run(ask(0), answers.append, surprised)
    clock.until(lambda: begun)
    for number in range(1, 30):
        worker.run(ask(number), answers.append, surprised)
    gate.set()
    clock.until(lambda: answers)
    assert begun == [0, 29]
    assert answers == [29]


def test_stop_keeps_the_answer(worker: Worker, clock: Clock) -> None:
    """Work that is stopped says itself what it has found by then."""
    begun, answers = threading.Event(), []

    def work(halt: Halt) -> str:
        begun.set()
        return "stopped" if halt.wait(LIMIT_S) else "ran out"

    worker.run(work, answers.append, surprised)
    assert begun.wait(LIMIT_S)
    worker.stop()
    clock.until(lambda: answers)
    assert answers == ["stopped"]


def test_stop_before_the_work_begins(worker: Worker, clock: Clock) -> None:
    """Work stopped before it begins still answers, with its flag up from the start."""
    gate, answers = threading.Event(), []
    other: list[object] = []
    worker.run(lambda _halt: gate.wait(LIMIT_S), other.append, surprised)
    worker.run(lambda halt: halt.is_set(), answers.append, surprised)
    worker.stop()
    gate.set()
    clock.until(lambda: answers)
    assert answers == [True]
    assert not other


def test_forget_drops_the_answer(worker: Worker, clock: Clock) -> None:
    """A question that is forgotten is stopped, and nothing is heard of it."""
    begun, answers = threading.Event(), []

    def work(halt: Halt) -> bool:
        begun.set()
        return halt.wait(LIMIT_S)

    worker.run(work, answers.append, surprised)
    assert begun.wait(LIMIT_S)
    worker.forget()
    assert not worker.busy
    clock.until(lambda: not clock.waiting)
    assert not answers


@pytest.mark.parametrize("error", [ValueError("ours"), SystemExit(3)])
def test_mistakes_are_loud(worker: Worker, clock: Clock, error: BaseException) -> None:
    """Whatever the work raises is given to `failed`, with its traceback, and the thread lives."""
    failures: list[BaseException] = []
    answers: list[int] = []

    def work(_halt: Halt) -> int:
        raise error

    worker.run(work, answers.append, failures.append)
    clock.until(lambda: failures)
    assert failures == [error]
    assert failures[0].__traceback__ is not None
    worker.run(lambda _halt: 1, answers.append, surprised)
    clock.until(lambda: answers)


def test_a_callback_that_raises_is_loud_and_stops_nothing(worker: Worker, clock: Clock) -> None:
    """An exception in `done` reaches the loop's owner, and later answers still come."""
    worker.run(lambda _halt: 1, lambda answer: 1 // (answer - 1), surprised)
    with pytest.raises(ZeroDivisionError):
        clock.until(lambda: False)
    answers: list[int] = []
    worker.run(lambda _halt: 2, answers.append, surprised)
    clock.until(lambda: answers)


def test_a_question_asked_from_an_answer(worker: Worker, clock: Clock) -> None:
    """An answer may ask the next question."""
    answers: list[int] = []

    def next_one(answer: int) -> None:
        answers.append(answer)
        if answer < 3:
            worker.run(lambda _halt: answer + 1, next_one, surprised)

    worker.run(lambda _halt: 1, next_one, surprised)
    clock.until(lambda: len(answers) == 3)
    assert not worker.busy


class Witness:
    """Tells which thread let go of it."""


def test_nothing_is_let_go_of_in_the_thread(worker: Worker, clock: Clock) -> None:
    """What work and callbacks refer to is let go of on the loop, be the question old or new."""
    ends: list[int] = []
    gate = threading.Event()
    begun = threading.Event()

    def ask() -> None:
        for number in range(3):
            witness = Witness()
            weakref.finalize(witness, lambda: ends.append(threading.get_ident()))

            def work(_halt: Halt, seen: Witness = witness, first: bool = number == 0) -> Witness:
                if first:
                    begun.set()
                    gate.wait(LIMIT_S)
                return seen

            worker.run(work, lambda answer, _seen=witness: None, surprised)  # type: ignore[misc]
            if number == 0:
                assert begun.wait(LIMIT_S)

    ask()
    gate.set()
    clock.until(lambda: not clock.waiting)
    gc.collect()
    assert ends == [clock.home] * 3


def test_halt_calls_whoever_asked() -> None:
    """A stop calls those who asked to be told, once, and at once those who ask later."""
    halt, calls = Halt(), []
    halt.then(lambda: calls.append("early"))
    halt.set()
    halt.set()
    halt.then(lambda: calls.append("late"))
    assert calls == ["early", "late"]


def test_closed_worker_ends_its_thread(clock: Clock) -> None:
    """A closed worker's thread ends."""
    worker = Worker(clock.after)
    threads: list[threading.Thread] = []
    worker.run(lambda _halt: threading.current_thread(), threads.append, surprised)
    clock.until(lambda: threads)
    worker.close()
    threads[0].join(LIMIT_S)
    assert not threads[0].is_alive()
