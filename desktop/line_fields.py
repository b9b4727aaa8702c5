"""Fields that only lines of dimensions have: a name that renames, a sign, a menu of ways."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop.edits import set_at
from desktop.form_kinds import NUMBER
from desktop.form_parts import Field, Pick, Told
from desktop.line_edits import set_sign
from desktop.line_words import SIGNS
from desktop.theme import Theme
from solver.trouble import Place


class NameField(ttk.Entry):
    """The name of a part, a seat or a result: told of when it is left with another one."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        place: Place,
        name: str,
        *,
        may_be: Callable[[str], bool],
        told: Callable[[str], object],
        width: int = 16,
    ) -> None:
        """parent: any widget; theme: the look; place: in the job, of what is named; name: that it
        has; may_be: whether it may have another; told: called with a new one; width [digits]."""
        self.text = tk.StringVar(parent, name)
        super().__init__(
            parent, textvariable=self.text, style="Field.TEntry", font=theme.font("label"),
            width=width,
        )  # fmt: skip
        self.place_of, self.entry = (*place, "name"), self
        self._name, self._may_be, self._renamed = name, may_be, told
        for key in ("<Return>", "<KP_Enter>", "<FocusOut>"):
            self.bind(key, lambda _: self.settle(), add="+")

    def settle(self) -> None:
        """Take the name that stands in the field; one that may not be gives way to the old one."""
        to = " ".join(self.text.get().split())
        if to == self._name:
            return
        if to and self._may_be(to):
            self._renamed(to)
        else:
            self.text.set(self._name)

    def show_value(self, _value: object, _unit: str = "", _shown: str = "") -> None:
        """A name changes by renaming alone."""

    def mark(self, bad: bool) -> None:
        """Redden the field or not. bad: whether its value is faulty."""
        self.state(["invalid" if bad else "!invalid"])

    def take_focus(self) -> None:
        """Take the keyboard, the whole name selected."""
        self.focus_set()
        self.selection_range(0, "end")
        self.icursor("end")


class FactorField(Field):
    """By what a lever enlarges a part; its place holds a bare factor, with nothing below it."""

    def __init__(self, parent: tk.Misc, theme: Theme, place: Place, told: Told) -> None:
        """parent: any widget; theme: the look; place: of the factor; told: called with the edit."""
        super().__init__(
            parent, theme, (*place, "factor"), NUMBER, told, label="times", font="label",
            edit=lambda value: set_at(place, value if value is not None else 1),
        )  # fmt: skip
        self.of = place

    def show_value(self, _value: object, _unit: str, _shown: str) -> None:
        """A factor is shown by `show_factor`."""

    def show_factor(self, value: object) -> None:
        """Show the factor. value: as the job keeps it."""
        super().show_value(value, "mm", "mm")


class SignPick(Pick):
    """Whether more of a part or of a stack is more of the result."""

    def __init__(self, parent: tk.Misc, theme: Theme, place: Place, told: Told) -> None:
        """parent: any widget; theme: the look; place: of the factor; told: called with the edit."""
        super().__init__(
            parent, theme, place, SIGNS, told, edit=lambda sign: set_sign(place, sign)
        )  # fmt: skip

    def show_value(self, value: object, _unit: str = "", _shown: str = "") -> None:
        """Show the sign of a factor. value: as the job keeps it."""
        plain: Any = value if isinstance(value, int | float) else 0
        self.value.set("+" if plain > 0 else "-" if plain < 0 else "")
