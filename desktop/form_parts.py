"""The parts a form of the job is made of: typed fields, rows of choices, lines of fault."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from tkinter import ttk
from typing import Any

from desktop.edits import Edit, alike, set_at
from desktop.form_kinds import Kind, keep_typed
from desktop.theme import Theme
from desktop.widgets import BenchField, Segments
from solver.trouble import Place

Told = Callable[[Edit, Place, bool], object]  # the edit, its place, whether keys are being typed


class Field(BenchField):
    """A field of the job: knows its place, and keeps what is half typed."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        place: Place,
        kind: Kind,
        told: Told,
        *,
        label: str = "",
        width: int = 5,
        edit: Callable[[Any], Edit] | None = None,
        left: bool = False,
        font: str = "value",
    ) -> None:
        """parent; theme; place: in the job; kind: of value; told: called with every edit; label;
        width [digits]; edit: makes the edit of a value, one that puts it at its place unless given;
        left: words, not a figure; font: type token."""
        self.place_of, self._kind, self._edit_told = place, kind, told
        self._edit = edit or (lambda value: set_at(place, value))
        self._units, self._setting = ("mm", "mm"), True
        self._shown: object = None
        super().__init__(parent, theme, label=label, width=width, told=self._typed)
        if font != "value":
            self.entry.configure(font=theme.font(font))
        if left:
            self.entry.configure(justify="left")
        self._setting = False

    def show_value(self, value: object, unit: str, shown: str) -> None:
        """Show a value, unless the field says it already.

        value: as the job keeps it; unit: the job's; shown: that of the field.
        """
        kept = alike(value, self._shown) and (unit, shown) == self._units
        self._units, self._shown = (unit, shown), value
        if self.entry == self.focus_now():
            read = keep_typed(value, self._kind.read(self.text.get(), unit, shown), unit, shown)
            if kept or alike(read, value) or (read in ([], "") and value is None):
                return
        text = self._kind.shown(value, unit, shown)
        if text != self.text.get():
            self._setting = True
            self.text.set(text)
            self._setting = False

    def focus_now(self) -> tk.Misc | None:
        """Tell where the keyboard is in this window, also while another program has it."""
        try:
            return self.focus_lastfor()
        except KeyError:  # a menu that Tk made by itself
            return None

    def mark(self, bad: bool) -> None:
        """Redden the field or not. bad: whether its value is faulty."""
        self.entry.state(["invalid" if bad else "!invalid"])

    def take_focus(self) -> None:
        """Take the keyboard."""
        self.entry.focus_set()

    def _typed(self, text: str) -> None:
        if not self._setting:
            value = keep_typed(self._shown, self._kind.read(text, *self._units), *self._units)
            self._edit_told(self._edit(value), self.place_of, True)


class Pick(Segments):
    """A row of choices for one value of the job, none of them chosen while it says nothing."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        place: Place,
        choices: Sequence[tuple[str, str]],
        told: Told,
        *,
        edit: Callable[[Any], Edit] | None = None,
        default: str = "",
    ) -> None:
        """parent; theme; place: in the job; choices: (value, word) pairs; told: called with the
        edit; edit: makes it of the value; default: what holds where the job says nothing."""
        make = edit or (lambda value: set_at(place, value))
        super().__init__(
            parent, theme, choices, default, lambda value: told(make(value), place, False),
            ground="",
        )  # fmt: skip
        self.place_of, self._default = place, default
        for button in self.buttons.values():
            for key in ("<Return>", "<KP_Enter>"):
                button.bind(key, lambda event: event.widget.invoke())

    def show_value(self, value: object, _unit: str = "", _shown: str = "") -> None:
        """Show what is chosen. value: as the job keeps it."""
        known = isinstance(value, str) and value in self.buttons
        self.value.set(str(value) if known else self._default if value is None else "")

    def mark(self, bad: bool) -> None:
        """A row of choices does not redden: the line under it says what is wrong."""

    def take_focus(self) -> None:
        """Take the keyboard, to the choice that holds."""
        first = next(iter(self.buttons.values()))
        self.buttons.get(self.value.get(), first).focus_set()


class Line(ttk.Label):
    """A line that stands only while it says something, and wraps to its width."""

    def __init__(self, parent: tk.Misc, theme: Theme, style: str = "Fault.TLabel") -> None:
        """parent: any widget; theme: the look; style: of the label."""
        super().__init__(parent, style=style, justify="left")
        self._style = style
        self._grid: dict[str, Any] = {}
        # Asks for next to no width of its own, and takes what the column has.
        self.configure(wraplength=theme.px(120))
        self.bind("<Configure>", self._wrap)

    def at(self, **grid: Any) -> Line:
        """Give the line its place. grid: for tkinter's grid. Returns the line."""
        self._grid = {"sticky": "ew", **grid}
        return self

    def keep_row(self) -> None:
        """Take the row now, unseen, among what is laid out after it."""
        self.grid(**self._grid)
        self.grid_remove()

    def say(self, words: str, soft: bool = False) -> None:
        """Say something. words: '' takes the line away; soft: it is no fault."""
        self.configure(text=words, style="Hint.TLabel" if soft else self._style)
        if words:
            self.grid(**self._grid)
        else:
            self.grid_remove()

    def _wrap(self, event: tk.Event[Any]) -> None:
        if event.width > 20 and str(self.cget("wraplength")) != str(event.width):
            self.configure(wraplength=event.width)


def _above(one: Any, other: Any) -> bool:
    """Whether a field stands above another, where Tab goes round."""
    return bool(one.winfo_rooty() + one.winfo_height() <= other.winfo_rooty())


def next_field(event: tk.Event[Any]) -> str:
    """Go to the next field that can be typed into, past chips and buttons; from the last, nowhere.

    Round to the first it would lie selected, and the next key would type over it.

    event: of a key. Returns: 'break', so that nothing else comes of the key.
    """
    start = event.widget
    after = start.tk_focusNext()
    for _ in range(60):
        if after is None or after == start or _above(after, start):
            break
        if isinstance(after, ttk.Entry):
            after.focus_set()
            return "break"
        after = after.tk_focusNext()
    return "break"
