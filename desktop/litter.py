"""Python's litter is collected on the Tk loop only.

Panels hold one another in circles, so Tk's variables in them are let go of whenever Python collects
garbage, in whichever thread that happens; in a worker it can end the program.
"""

from __future__ import annotations

import gc
import tkinter as tk

EVERY_MS = 1000
YOUNG = 700  # new objects that make a look worth while, Python's own threshold
WHOLE_EVERY = 20  # looks that are worth while, between two at everything


class Litter:
    """Collects garbage by Tk's clock, in place of Python's own habit, which is put off."""

    def __init__(self, clock: tk.Misc) -> None:
        """clock: the root; Python goes back to its habit when that is destroyed."""
        self._clock = clock
        self._looks = 0
        gc.disable()
        self._timer = clock.after(EVERY_MS, self._look)
        clock.bind("<Destroy>", self._gone, add="+")

    def _look(self) -> None:
        self._timer = self._clock.after(EVERY_MS, self._look)
        if gc.get_count()[0] > YOUNG:
            self._looks += 1
            gc.collect(1 if self._looks % WHOLE_EVERY else 2)

    def _gone(self, event: tk.Event[tk.Misc]) -> None:
        if event.widget is self._clock:
            self._clock.after_cancel(self._timer)
            gc.enable()
