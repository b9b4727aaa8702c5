"""What is loaded after the window has been painted, and in which order.

Libraries are imported in a thread; whatever they make is made on Tk's own. The order is measured:
with everything imported first, the first paint took three times as long.
"""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from importlib import import_module

from desktop.worker import Worker

PANELS = ("desktop.answer_panel", "desktop.charts")  # with numpy
CHART = ("matplotlib.backends.backend_tkagg", "matplotlib.figure", "matplotlib.font_manager")
SOLVER = ("solver.answer", "solver.report", "pint", "desktop.tips")
Step = tuple[Sequence[str], Callable[[], object]]


class Waking:
    """Loads one thing after another, each followed by what can be made of it."""

    def __init__(self, clock: tk.Misc, steps: Sequence[Step]) -> None:
        """clock: a widget that lives as long; steps: (modules, what to do when they are there)."""
        self._clock, self._steps = clock, list(steps)
        self._worker = Worker(clock.after)
        self._closed = False

    def go_on(self) -> None:
        """Load what comes next."""
        if self._closed:
            return
        if not self._steps:
            self._worker.close()
            return
        modules, then = self._steps.pop(0)

        def done(_: object) -> None:
            then()
            self._clock.after(1, self.go_on)  # what was made is drawn before more is loaded

        self._worker.run(lambda _halt: [import_module(name) for name in modules], done, _loud)

    def close(self) -> None:
        """Load no more."""
        if not self._closed:
            self._closed = True
            self._worker.close()


def _loud(error: BaseException) -> None:
    raise error
