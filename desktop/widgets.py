"""The parts that every panel is put together from: card, badge, field, toggle, buttons, column."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from tkinter import ttk

from desktop import pixels
from desktop.theme import Theme
from desktop.tokens import RING


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
            self.ring(on)
            if told is not None:
                told(on)

        def bind(widget: tk.Misc) -> None:
            widget.bind("<FocusIn>", lambda _: change(True), add="+")
            widget.bind("<FocusOut>", lambda _: change(False), add="+")
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


class ScrollColumn(ttk.Frame):
    """A column that scrolls when its content is taller than it; children go into `body`."""

    def __init__(self, parent: tk.Misc, theme: Theme, ground: str = "") -> None:
        """parent: any widget; theme: the look; ground: colour behind, the window's own unless."""
        super().__init__(parent)
        colour = ground or theme.colours.bg
        on_card = colour == theme.colours.card
        self.canvas = tk.Canvas(self, bg=colour, highlightthickness=0, bd=0, takefocus=0)
        self.bar = ttk.Scrollbar(
            self, orient="vertical", command=self.canvas.yview, style="Slim.Vertical.TScrollbar"
        )
        self.body = ttk.Frame(self.canvas, style="Inner.TFrame" if on_card else "TFrame")
        self._item = self.canvas.create_window(0, 0, window=self.body, anchor="nw")
        self.canvas.configure(yscrollcommand=self.bar.set)
        self.canvas.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self._gap = theme.px(RING * 3)
        self.scrolls = False
        self.body.bind("<Configure>", lambda _: self._fit())
        self.canvas.bind("<Configure>", lambda _: self._fit())
        for wheel, step in (("<Button-4>", -1), ("<Button-5>", 1)):
            self.canvas.bind_class(self._tag(), wheel, self._turned(step))
        self.canvas.bind_class(
            self._tag(), "<MouseWheel>", lambda event: self._turn(-1 if event.delta > 0 else 1)
        )
        self.canvas.bindtags((*self.canvas.bindtags(), self._tag()))

    def catch_wheel(self) -> None:
        """Let the mouse wheel scroll from over every child; call when the children are there."""

        def tag(widget: tk.Misc) -> None:
            if self._tag() not in widget.bindtags():
                widget.bindtags((*widget.bindtags(), self._tag()))
                widget.bind("<FocusIn>", lambda _, seen=widget: self.see(seen), add="+")
            for child in widget.winfo_children():
                tag(child)

        tag(self.body)

    def see(self, widget: tk.Misc) -> None:
        """Scroll until a child is in sight. widget: any descendant of the body."""
        if not self.scrolls:
            return
        top = widget.winfo_rooty() - self.body.winfo_rooty()
        tall, whole = self.canvas.winfo_height(), max(self.body.winfo_height(), 1)
        seen = self.canvas.canvasy(0)
        if top < seen:
            self.canvas.yview_moveto(max(top - 12, 0) / whole)
        elif top + widget.winfo_height() > seen + tall:
            self.canvas.yview_moveto((top + widget.winfo_height() + 12 - tall) / whole)

    def _tag(self) -> str:
        return f"wheel{self.canvas}"

    def _turned(self, step: int) -> Callable[[tk.Event], None]:
        return lambda _: self._turn(step)

    def _turn(self, step: int) -> None:
        if self.scrolls:
            self.canvas.yview_scroll(3 * step, "units")

    def _fit(self) -> None:
        """Width follows the column; the bar stands only where there is something to scroll."""
        wide, tall = self.canvas.winfo_width(), self.canvas.winfo_height()
        need = self.body.winfo_reqheight()
        self.scrolls = need > tall > 1
        self.canvas.itemconfigure(self._item, width=wide)
        self.canvas.configure(scrollregion=(0, 0, wide, max(need, tall)), yscrollincrement=8)
        if self.scrolls:
            self.bar.grid(row=0, column=1, sticky="ns", padx=(self._gap, 0))
        else:
            self.bar.grid_remove()
            self.canvas.yview_moveto(0)
