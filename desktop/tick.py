"""A box to tick, with words beside it, for one value of the job."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk
from typing import Any

from desktop import pixels
from desktop.answer_parts import MARKS
from desktop.edits import set_at
from desktop.form_parts import Told
from desktop.theme import Theme
from desktop.tokens import RADIUS, RING, SURE_FAMILY
from solver.trouble import Place


class Tick(ttk.Frame):
    """A box that is ticked or not, and tells of it; its words tick it too."""

    def __init__(self, parent: tk.Misc, theme: Theme, place: Place, words: str, told: Told) -> None:
        """parent: on a card; theme: the look; place: in the job; words: beside the box; told:
        called with the edit."""
        super().__init__(parent, style="Inner.TFrame")
        tick_style(self, theme)
        self.place_of, self._told = place, told
        self._set = tk.BooleanVar(self)
        self.box = ttk.Checkbutton(
            self, text=MARKS["good"], variable=self._set, style="Tick.Toolbutton",
            command=self._pressed,
        )  # fmt: skip
        for key in ("<Return>", "<KP_Enter>"):
            self.box.bind(key, lambda _: self.box.invoke())
        self.box.pack(side="left", padx=(0, theme.px(6)))
        label = ttk.Label(self, text=words, style="Card.TLabel", cursor="hand2")
        label.pack(side="left")
        label.bind("<Button-1>", lambda _: self.box.invoke())

    @property
    def ticked(self) -> bool:
        """Whether the box is ticked."""
        return bool(self._set.get())

    def show_value(self, value: object, _unit: str = "", _shown: str = "") -> None:
        """Show whether it is ticked. value: as the job keeps it."""
        self._set.set(value is True)

    def mark(self, bad: bool) -> None:
        """A box does not redden: the line under it says what is wrong."""

    def take_focus(self) -> None:
        """Take the keyboard."""
        self.box.focus_set()

    def _pressed(self) -> None:
        self._told(set_at(self.place_of, self.ticked), self.place_of, False)


def tick_style(widget: tk.Misc, theme: Theme) -> None:
    """Add the look of a box to be ticked to the theme in use: a button with the mark alone, unseen
    until it is set. widget: any; theme: the look."""
    style, c = ttk.Style(widget), theme.colours
    font = (SURE_FAMILY, int(theme.font("label").cget("size")), "bold")
    if "tick.border" not in style.element_names():
        radius, hair, ring = theme.px(RADIUS["field"]), theme.px(1), theme.px(RING)
        pictures: list[Any] = []
        for states, fill, edge, edge_px in (
            ("", c.card, c.field_edge, hair),
            ("selected focus", c.good_tint, c.accent, ring),
            ("focus", c.card, c.accent, ring),
            ("selected", c.good_tint, c.good, hair),
        ):
            theme.images[f"tick{states}"] = pixels.rounded_box(
                widget, size=(theme.px(40), theme.px(40)), radius=radius, fill=fill, edge=edge,
                edge_px=edge_px, ground=c.card,
            )  # fmt: skip
            picture = theme.images[f"tick{states}"]
            pictures.append((*states.split(), picture) if states else picture)
        border = radius + ring
        style.element_create(
            "tick.border", "image", *pictures, border=border, width=2 * border, height=2 * border,
            sticky="nsew", padding=0,
        )  # fmt: skip
    inside: Any = [("Button.padding", {"children": [("Button.label", {})]})]
    style.layout("Tick.Toolbutton", [("tick.border", {"children": inside})])
    style.configure(
        "Tick.Toolbutton", background=c.card, foreground=c.card, font=font,
        padding=(theme.px(6), theme.px(2)), anchor="center",
    )  # fmt: skip
    style.map("Tick.Toolbutton", foreground=[("selected", c.good), ("!selected", c.card)])
    style.configure("TickMark.TLabel", background=c.card, font=font)
