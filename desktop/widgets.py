"""The parts that every panel is put together from: card, badge, field, toggle, buttons, column."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from tkinter import ttk
from typing import Any

from desktop import pixels
from desktop.theme import Theme

REDRAW_MS = 40  # after the last change of size
_DUE: set[str] = set()  # widgets that are still to be drawn at their new size


def draw_on_resize(widget: tk.Misc, draw: Callable[[], object]) -> None:
    """Draw a widget anew when its size has changed and come to rest.

    widget: any; draw: called on the Tk loop, never after the widget is gone.
    """
    size = (0, 0)
    timer: str | None = None

    def due() -> None:
        nonlocal timer
        timer = None
        _DUE.discard(str(widget))
        draw()

    def forget() -> None:
        nonlocal timer
        if timer is not None:
            widget.after_cancel(timer)
            timer = None
            _DUE.discard(str(widget))

    def changed(_: object) -> None:
        nonlocal size, timer
        now = (widget.winfo_width(), widget.winfo_height())
        if now != size:
            size = now
            forget()
            timer = widget.after(REDRAW_MS, due)
            _DUE.add(str(widget))

    widget.bind("<Configure>", changed, add="+")
    widget.bind("<Destroy>", lambda event: forget() if event.widget is widget else None, add="+")


def drawn_within(widget: tk.Misc) -> bool:
    """Whether nothing in a widget is still to be drawn at its new size. widget: any."""
    return not any(name.startswith(str(widget)) for name in _DUE)


def cut_to(theme: Theme, name: str, room: float, font: str) -> str:
    """Cut a name that is too long, so that it ends in dots.

    theme: the look; name; room [px]; font: name of one of the theme's. Returns text.
    """
    if theme.wide(font, name) <= room:
        return name
    while name and theme.wide(font, f"{name}…") > room:
        name = name[:-1]
    return f"{name.rstrip()}…"


def written_on(canvas: Any) -> tuple[str, ...]:
    """Read what is written on a canvas. canvas: any. Returns the texts in the order of writing."""
    items = (item for item in canvas.find_all() if canvas.type(item) == "text")
    return tuple(str(canvas.itemcget(item, "text")) for item in items)


class Card(ttk.Frame):
    """A rounded frame; children go into `body`. Rings itself while the focus is inside it."""

    def __init__(self, parent: tk.Misc, theme: Theme, kind: str = "card") -> None:
        """parent: any widget; theme: the look; kind: 'card' for a reading or 'panel'."""
        super().__init__(parent, style="Card.TFrame")
        self.body = ttk.Frame(self, style="Inner.TFrame")
        x, y = theme.space(f"{kind}_x"), theme.space(f"{kind}_y")
        self.body.pack(fill="both", expand=True, padx=x, pady=y)

    def ring(self, on: bool) -> None:
        """Draw the focus ring or take it away. on: true for drawn."""
        self.state(["selected" if on else "!selected"])

    @property
    def ringed(self) -> bool:
        """Whether the focus ring is drawn."""
        return bool(self.instate(["selected"]))

    def ring_on_focus(self, told: Callable[[bool], object] | None = None) -> None:
        """Ring the card whenever the focus is on something in it; call when all fields are there.

        told: called with true when the focus comes and false when it goes.
        """

        def change(on: bool) -> None:
            if on != self.ringed:
                self.ring(on)
                if told is not None:
                    told(on)

        def left() -> None:
            # From one field to the next in the same card the ring stays.
            if self.winfo_exists() and not str(self.tk.call("focus")).startswith(str(self.body)):
                change(False)

        def bind(widget: Any) -> None:
            widget.bind("<FocusIn>", lambda _: change(True), add="+")
            widget.bind("<FocusOut>", lambda _: self.after_idle(left), add="+")
            for child in widget.winfo_children():
                bind(child)

        bind(self.body)


class Badge(tk.Label):
    """A number in a disc: the same in the card, the drawing and the chart."""

    def __init__(self, parent: tk.Misc, theme: Theme, number: int, ground: str = "") -> None:
        """parent: any widget; theme: the look; number: of the reading; ground: colour behind."""
        self._looks = badge_looks(parent, theme)
        self._theme = theme
        super().__init__(
            parent,
            text=str(number),
            image=self._looks[False],
            compound="center",
            font=theme.font("label"),
            bd=0,
            padx=0,
            pady=0,
            bg=ground or theme.colours.card,
            fg=theme.colours.card,
        )
        self.lit = False

    def light(self, on: bool) -> None:
        """Light the badge or put it out. on: true for lit."""
        self.lit = on
        c = self._theme.colours
        self.configure(image=self._looks[on], fg=c.on_accent if on else c.card)


def badge_looks(master: tk.Misc, theme: Theme) -> dict[bool, tk.PhotoImage]:
    """Make the discs of a badge. master: any widget; theme: the look. Returns them by 'lit'."""
    c, size = theme.colours, theme.space("badge")
    if "badge" not in theme.images:
        theme.images["badge"] = pixels.disc(master, diameter=size, fill=c.ink)
        theme.images["badge lit"] = pixels.disc(master, diameter=size, fill=c.accent)
    return {False: theme.images["badge"], True: theme.images["badge lit"]}


class BenchField(ttk.Frame):
    """A field for a figure from the bench, with room for one line of fault under it."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        label: str = "",
        width: int = 6,
        told: Callable[[str], object] | None = None,
    ) -> None:
        """parent: any widget; theme: the look; label: soft word before the field; width: of the
        field [digits]; told: called with the text at every change."""
        super().__init__(parent, style="Inner.TFrame")
        self._told = told
        if label:
            ttk.Label(self, text=label, style="Hint.TLabel").grid(
                row=0, column=0, sticky="w", padx=(0, theme.px(6))
            )
        self.text = tk.StringVar(self)
        # ttk.Entry takes no font from its style.
        self.entry = ttk.Entry(
            self,
            textvariable=self.text,
            style="Field.TEntry",
            font=theme.font("value"),
            justify="right",
            width=width,
        )
        self.entry.grid(row=0, column=1, sticky="ew")
        self.columnconfigure(1, weight=1)
        self.fault = ttk.Label(self, style="Fault.TLabel")
        self.text.trace_add("write", self._changed)
        self.entry.bind("<Return>", self._next)
        self.entry.bind("<KP_Enter>", self._next)
        self.entry.bind("<FocusIn>", lambda _: self.entry.selection_range(0, "end"), add="+")

    def show_fault(self, words: str) -> None:
        """Show what is wrong with the figure. words: one short line; '' takes the fault away."""
        self.entry.state(["invalid" if words else "!invalid"])
        self.fault.configure(text=words)
        if words:
            self.fault.grid(row=1, column=0, columnspan=2, sticky="w")
        else:
            self.fault.grid_remove()

    def _changed(self, *_: object) -> None:
        if self._told is not None:
            self._told(self.text.get())

    def _next(self, _: object) -> str:
        after = self.entry.tk_focusNext()
        if after is not None:
            after.focus_set()
        return "break"


class Segments(ttk.Frame):
    """A row of choices of which one holds."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        choices: Sequence[tuple[str, str]],
        chosen: str,
        told: Callable[[str], object],
        *,
        ground: str = "Bg.",
    ) -> None:
        """parent: any widget; theme: the look; choices: (value, word) pairs; chosen: the value that
        holds; told: called with a newly chosen value; ground: 'Bg.' on the window, '' on a card."""
        super().__init__(parent, style="TFrame" if ground else "Inner.TFrame")
        self.value = tk.StringVar(self, chosen)
        self.buttons: dict[str, ttk.Radiobutton] = {}
        for place, (value, word) in enumerate(choices):
            button = ttk.Radiobutton(
                self,
                text=word,
                value=value,
                variable=self.value,
                style=f"{ground}Segment.Toolbutton",
                command=lambda: told(self.value.get()),
            )
            button.grid(row=0, column=place, padx=(theme.px(6) if place else 0, 0))
            self.buttons[value] = button


def filled_button(
    parent: tk.Misc, text: str, command: Callable[[], object], *, ground: str = ""
) -> ttk.Button:
    """Make the one button that stands out. parent: any widget; text: on it; command: what it does;
    ground: '' on a card, 'Bg.' on the window. Returns it; Return presses it too."""
    return _button(parent, text, command, f"{ground}Filled.TButton")


def quiet_button(
    parent: tk.Misc, text: str, command: Callable[[], object], *, ground: str = ""
) -> ttk.Button:
    """Make a button that does not stand out. parent: any widget; text: on it; command: what it
    does; ground: '' on a card, 'Bg.' on the window. Returns it; Return presses it too."""
    return _button(parent, text, command, f"{ground}Quiet.TButton")


def _button(parent: tk.Misc, text: str, command: Callable[[], object], style: str) -> ttk.Button:
    button = ttk.Button(parent, text=text, command=command, style=style)
    for key in ("<Return>", "<KP_Enter>"):  # ttk itself listens to the space bar only
        button.bind(key, lambda _: button.invoke())
    return button
