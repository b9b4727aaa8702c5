"""Chips to choose by, in a row that goes on below, and tips that are made when wanted."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import pixels
from desktop.theme import Theme
from desktop.tokens import RADIUS, RING, mixed
from solver.trouble import Place

DOWN = "▾"
GROUP = "\n"  # stands for the value of a choice that heads a group, and is none itself


def prepare_chips(widget: tk.Misc, theme: Theme) -> None:
    """Add the look of chips to the theme in use, once. widget: any; theme: the look."""
    style, c = ttk.Style(widget), theme.colours
    if "chip.border" not in style.element_names():
        radius, hair, ring = theme.px(RADIUS["field"]), theme.px(1), theme.px(RING)
        looks = (
            ("", c.sunk, c.line, hair),
            ("invalid", c.sunk, c.bad, ring),
            ("focus", c.tint, c.accent, ring),
            ("active", mixed(c.card, c.ink, 0.05), c.line, hair),
        )
        pictures: list[Any] = []
        for states, fill, edge, wide in looks:
            name = f"chip{states}"
            theme.images[name] = pixels.rounded_box(
                widget, size=(theme.px(60), theme.px(30)), radius=radius, fill=fill, edge=edge,
                edge_px=wide, ground=c.card,
            )  # fmt: skip
            pictures.append((states, theme.images[name]) if states else theme.images[name])
        border = radius + ring
        style.element_create(
            "chip.border", "image", *pictures, border=border, width=2 * border, height=2 * border,
            sticky="nsew", padding=0,
        )  # fmt: skip
    inside: Any = [("Button.padding", {"children": [("Button.label", {})]})]
    for name in ("Chip.TMenubutton", "Chip.TButton"):
        style.layout(name, [("chip.border", {"children": inside})])
        style.configure(
            name, background=c.card, foreground=c.soft, font=theme.font("caption"),
            padding=(theme.px(6), theme.px(3)), anchor="center",
        )  # fmt: skip
        style.map(name, foreground=[("invalid", c.bad), ("focus", c.ink), ("active", c.ink)])
    for ground, colour in (("", c.card), ("Bg.", c.bg)):
        name = f"{ground}Quiet.TMenubutton"
        style.layout(name, [("quiet.border", {"children": inside})])
        style.configure(
            name, background=colour, foreground=c.accent, font=theme.font("label"),
            padding=(theme.space("button_x"), theme.space("button_y")), anchor="center",
        )  # fmt: skip


class Choice(ttk.Menubutton):
    """A chip that opens a menu; Return, the space bar and Down open it too."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        told: Callable[[str], object],
        *,
        place: Place = (),
        style: str = "Chip.TMenubutton",
        marks: bool = True,
    ) -> None:
        """parent: any widget; theme: the look; told: called with the value picked; place: in the
        job; style: of the button; marks: false for a menu of things to do."""
        super().__init__(parent, style=style, takefocus=True)
        c = theme.colours
        self.place_of, self._told, self._marks = place, told, marks
        self._picked = tk.StringVar(self)
        self._choices: tuple[tuple[str, str], ...] = ()
        self.menu = tk.Menu(
            self, tearoff=False, font=theme.font("body"), background=c.card, foreground=c.ink,
            activebackground=c.tint, activeforeground=c.ink, selectcolor=c.accent, relief="solid",
            borderwidth=1, activeborderwidth=0, disabledforeground=c.soft,
        )  # fmt: skip
        self._heading = theme.font("caption")
        self.configure(menu=self.menu)
        for key in ("<Return>", "<KP_Enter>", "<Down>"):
            self.bind(key, self._open)

    @property
    def value(self) -> str:
        """What is chosen; '' where nothing is."""
        return self._picked.get()

    def offer(self, choices: Sequence[tuple[str, str]], chosen: str = "", word: str = "") -> None:
        """Offer choices. choices: (value, word) pairs, or (GROUP, heading); chosen: the value that
        holds; word: on the chip, that of the chosen one unless given."""
        if tuple(choices) != self._choices:
            self._choices = tuple(choices)
            self.menu.delete(0, "end")
            for value, said in choices:
                pick = partial(self._told, value)
                if value == GROUP:
                    self.menu.add_separator()
                    self.menu.add_command(label=said, state="disabled", font=self._heading)
                elif self._marks:
                    self.menu.add_radiobutton(
                        label=said, value=value, variable=self._picked, command=pick
                    )
                else:
                    self.menu.add_command(label=said, command=pick)
        self._picked.set(chosen)
        text = word or dict(self._choices).get(chosen, chosen)
        self.configure(text=f"{text} {DOWN}" if self._marks else text)

    def pick(self, value: str) -> None:
        """Pick a choice as the menu does. value: of the choice."""
        before = [one for one, _ in self._choices]
        at = before.index(value)
        self.menu.invoke(at + before[:at].count(GROUP))  # a heading has a line above it

    def mark(self, bad: bool) -> None:
        """Redden the chip or not. bad: whether its value is faulty."""
        self.state(["invalid" if bad else "!invalid"])

    def take_focus(self) -> None:
        """Take the keyboard."""
        self.focus_set()

    def _open(self, _: object) -> str:
        self.tk.call("ttk::menubutton::Popdown", self)
        return "break"


class Flow(ttk.Frame):
    """Chips in a row, going on below where they do not fit."""

    def __init__(self, parent: tk.Misc, theme: Theme, gap: int = 5) -> None:
        """parent: on a card; theme: the look; gap: between children [px at 96 dpi]."""
        super().__init__(parent, style="Inner.TFrame")
        self._gap = theme.px(gap)
        self.bind("<Configure>", lambda event: self.arrange(event.width))

    def arrange(self, wide: int) -> None:
        """Lay the children out, each line's on one middle. wide: what there is [px]."""
        lines: list[list[tuple[Any, int, int]]] = [[]]
        x = 0
        children: list[Any] = self.winfo_children()
        for child in children:
            if isinstance(child, ttk.Label):
                child.configure(wraplength=wide)
            need = min(child.winfo_reqwidth(), wide)
            if x and x + need > wide:
                lines.append([])
                x = 0
            lines[-1].append((child, x, need))
            x += need + self._gap
        y = 0
        for line in lines:
            tall = max((child.winfo_reqheight() for child, _, _ in line), default=0)
            for child, left, need in line:
                child.place(x=left, y=y + (tall - child.winfo_reqheight()) // 2, width=need)
            y += tall + self._gap
        y = max(y - self._gap, 1)
        if y != self.winfo_reqheight():
            self.configure(height=y)

    def settle(self) -> None:
        """Lay the children out again, after their words have changed."""
        if self.winfo_width() > 1:
            self.arrange(self.winfo_width())


def stop_at_fields(widget: Any) -> None:
    """Let Tab stop only where there is something to do: whatever listens for the focus would do.

    widget: it and all in it are seen to.
    """
    if widget.winfo_class() in ("TFrame", "TLabel", "Label", "Frame", "Canvas"):
        widget.configure(takefocus=0)
    for child in widget.winfo_children():
        stop_at_fields(child)


def tip_on(widget: Any, theme: Theme, words: str) -> None:
    """Put a tip on a widget; it is made when first wanted, for each is a window of its own.

    widget: any; theme: the look; words: the why.
    """
    made: list[Any] = []

    def first(event: tk.Event[Any]) -> None:
        if made:
            return
        x, y = widget.winfo_pointerxy()
        if event.type == tk.EventType.FocusIn and widget.winfo_containing(x, y) == widget:
            return  # a click, not the keyboard
        from desktop.tips import Tip  # here: it brings in a library the first paint can do without

        made.append(Tip(widget, theme, words))
        made[0].on_enter(event)

    widget.bind("<Enter>", first, add="+")
    widget.bind("<FocusIn>", first, add="+")
