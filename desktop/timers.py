"""What is done a little later, by name: asked again, it waits anew; the window's end forgets it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable


class Timers:
    """Calls that are still to come; each name has one."""

    def __init__(self, clock: tk.Misc) -> None:
        """clock: a widget that lives as long."""
        self._clock = clock
        self._due: dict[str, str] = {}

    def later(self, name: str, after_ms: int, call: Callable[[], object]) -> None:
        """Call something later, in place of what was to be called by that name.

        name; after_ms: from now [ms]; call: takes nothing.
        """
        self.never(name)

        def due() -> None:
            self._due.pop(name, None)
            call()

        self._due[name] = self._clock.after(after_ms, due)

    def never(self, name: str) -> None:
        """Do not call it after all. name."""
        timer = self._due.pop(name, None)
        if timer is not None:
            self._clock.after_cancel(timer)

    def waits(self, name: str) -> bool:
        """Whether something of a name is still to be called, or of a name that begins so. name."""
        return any(one.startswith(name) for one in self._due)

    def close(self) -> None:
        """Call nothing any more."""
        for name in list(self._due):
            self.never(name)
