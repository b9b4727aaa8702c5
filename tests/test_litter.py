"""Garbage that holds parts of Tk is collected on the Tk loop, however busy a worker is."""

from __future__ import annotations

import gc
import threading
import tkinter as tk
from collections.abc import Callable, Iterator

import pytest

from desktop import litter
from desktop.litter import Litter

Until = Callable[[Callable[[], bool]], None]


class Part:
    """Something in a circle, as panels are."""

    def __init__(self, told: list[threading.Thread]) -> None:
        self.told, self.itself = told, self

    def __del__(self) -> None:
        self.told.append(threading.current_thread())


@pytest.fixture
def clock(window: tk.Toplevel, monkeypatch: pytest.MonkeyPatch) -> Iterator[tk.Frame]:
    """A part of a window that goes before the test ends, so that Python's habit comes back."""
    monkeypatch.setattr(litter, "EVERY_MS", 20)
    frame = tk.Frame(window)
    yield frame
    frame.destroy()
    assert gc.isenabled()


def busy() -> None:
    """Make so much that Python would collect garbage by itself."""
    made = []
    for _ in range(200_000):
        made.append([made])


def test_a_worker_collects_nothing(clock: tk.Frame, until: Until) -> None:
    """A circle dropped on the Tk loop is let go of there, not in a thread that makes objects."""
    Litter(clock)
    told: list[threading.Thread] = []
    Part(told)
    worker = threading.Thread(target=busy)
    worker.start()
    worker.join()
    assert not told
    until(lambda: bool(told))
    assert told == [threading.main_thread()]


def test_what_has_grown_old_is_collected_too(
    clock: tk.Frame, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What outlived younger collections is let go of in the end."""
    monkeypatch.setattr(litter, "YOUNG", -1)
    told: list[threading.Thread] = []
    part = Part(told)
    gc.collect()
    Litter(clock)
    del part
    assert not told
    until(lambda: bool(told))
