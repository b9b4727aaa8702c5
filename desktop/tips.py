"""Tips that hold the why of a thing; what has to be known stands in the card itself.

Import this after the first paint: it brings in a library that nothing else needs.
"""

from __future__ import annotations

import contextlib
import tkinter as tk
from collections.abc import Callable
from typing import Any

from tktooltip import ToolTip
from tktooltip.tooltip import ToolTipStatus

from desktop.theme import Theme

DELAY_S = 0.5
WIDTH_PX = 320


class Tip(ToolTip):  # type: ignore[misc]  # the library says no types
    """A tip on a widget: dies with it, waits once, stays on the screen, opens for the keyboard."""

    open: Tip | None = None  # the one that was shown last; there is never a second

    def __init__(self, widget: tk.Widget, theme: Theme, words: str | Callable[[], str]) -> None:
        """widget: what the tip belongs to; theme: the look; words: the why of it, or its giver."""
        c = theme.colours
        self.bindigs: list[
            Any
        ] = []  # the library's destroy reads it, even where its __init__ failed
        self._timer: str | None = None
        super().__init__(
            widget,
            msg=words,
            delay=DELAY_S,
            follow=False,
            # The widget as master, or the tip outlives it.
            parent_kwargs={"master": widget, "bg": c.line, "padx": 1, "pady": 1},
            width=theme.px(WIDTH_PX),
            bg=c.card,
            fg=c.ink,
            font=theme.font("body"),
            padx=theme.px(10),
            pady=theme.px(8),
        )
        widget.bind("<FocusIn>", self._focused, add="+")
        widget.bind("<FocusOut>", self.on_leave, add="+")
        widget.bind("<Button>", self.on_leave, add="+")
        widget.bind("<Key>", self.on_leave, add="+")  # whoever types knows, and has to see

    def destroy(self) -> None:
        """Take the tip away. Bindings stay: before Python 3.11.8 unbinding drops others' too."""
        self._forget()
        if Tip.open is self:
            Tip.open = None
        self.bindigs = []
        with contextlib.suppress(tk.TclError):
            tk.Toplevel.destroy(self)

    def on_enter(self, event: tk.Event[Any]) -> None:
        """Start the one timer. event: the pointer's."""
        self._forget()
        self.status = ToolTipStatus.INSIDE
        self._timer = self.after(round(self.delay * 1000), self._show)

    def on_leave(self, event: tk.Event[Any] | None = None) -> None:
        """Hide the tip. event: whatever ended it."""
        self._forget()
        self.status = ToolTipStatus.OUTSIDE
        if self.winfo_exists():
            self.withdraw()

    def _focused(self, event: tk.Event[Any]) -> None:
        # A click takes the focus too; only the keyboard's way in opens the tip.
        x, y = self.widget.winfo_pointerxy()
        if self.widget.winfo_containing(x, y) != self.widget:
            self.on_enter(event)

    def _forget(self) -> None:
        if self._timer is not None:
            with contextlib.suppress(tk.TclError):
                self.after_cancel(self._timer)
            self._timer = None

    def _show(self) -> None:
        """Show once, wholly on the screen, and not over what comes next where there is room."""
        self._timer = None
        if self.status == ToolTipStatus.OUTSIDE or not self.widget.winfo_viewable():
            return
        if Tip.open is not None and Tip.open is not self:
            Tip.open.on_leave()
        Tip.open = self
        self.status = ToolTipStatus.VISIBLE
        self._update_message()
        self.update_idletasks()
        wide, tall = self.winfo_reqwidth(), self.winfo_reqheight()
        x, y = self._beside(wide) or self._beneath(tall)
        x = min(x, self.winfo_screenwidth() - wide - 4)
        y = min(y, self.winfo_screenheight() - tall - 4)
        self.geometry(f"+{max(x, 4)}+{max(y, 4)}")
        self.deiconify()
        self.lift()

    def _beside(self, wide: int) -> tuple[int, int] | None:
        """Right or left of the panel that the widget is in; None where the screen ends there."""
        panel: Any = self.widget
        while panel.master is not None and panel.master.master is not panel.winfo_toplevel():
            panel = panel.master
            if panel is panel.winfo_toplevel():
                return None
        right = panel.winfo_rootx() + panel.winfo_width() + 6
        if right + wide + 4 <= self.winfo_screenwidth():
            return right, self.widget.winfo_rooty()
        left = panel.winfo_rootx() - wide - 6
        return (left, self.widget.winfo_rooty()) if left >= 4 else None

    def _beneath(self, tall: int) -> tuple[int, int]:
        y = self.widget.winfo_rooty() + self.widget.winfo_height() + 6
        if y + tall > self.winfo_screenheight() - 4:
            y = self.widget.winfo_rooty() - tall - 6
        return self.widget.winfo_rootx(), y
