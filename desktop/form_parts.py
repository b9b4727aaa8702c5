"""The parts a form of the job is made of: typed fields, chips to choose by, lines of fault."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import pixels
from desktop.edits import Edit, alike, set_at
from desktop.form_kinds import Kind
from desktop.theme import Theme
from desktop.tokens import RADIUS, RING, mixed
from desktop.widgets import BenchField, Segments
from solver.trouble import Place

DOWN = "▾"
Told = Callable[[Edit, Place, bool], object]  # the edit, its place, whether keys are being typed


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
                widget, size=(theme.px(60), theme.px(60)), radius=radius, fill=fill, edge=edge,
                edge_px=wide,
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
            activebackground=c.tint, activeforeground=c.ink, selectcolor=c.accent, relief="flat",
            borderwidth=1, activeborderwidth=0,
        )  # fmt: skip
        self.configure(menu=self.menu)
        for key in ("<Return>", "<KP_Enter>", "<Down>"):
            self.bind(key, self._open)

    @property
    def value(self) -> str:
        """What is chosen; '' where nothing is."""
        return self._picked.get()

    def offer(self, choices: Sequence[tuple[str, str]], chosen: str = "", word: str = "") -> None:
        """Offer choices. choices: (value, word) pairs; chosen: the value that holds; word: on the
        chip, that of the chosen one unless given."""
        if tuple(choices) != self._choices:
            self._choices = tuple(choices)
            self.menu.delete(0, "end")
            for value, said in choices:
                pick = partial(self._told, value)
                if self._marks:
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
        self.menu.invoke([one for one, _ in self._choices].index(value))

    def mark(self, bad: bool) -> None:
        """Redden the chip or not. bad: whether its value is faulty."""
        self.state(["invalid" if bad else "!invalid"])

    def take_focus(self) -> None:
        """Take the keyboard."""
        self.focus_set()

    def _open(self, _: object) -> str:
        self.tk.call("ttk::menubutton::Popdown", self)
        return "break"


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
            read = self._kind.read(self.text.get(), unit, shown)
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
            value = self._kind.read(text, *self._units)
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


class Flow(ttk.Frame):
    """Chips in a row, going on below where they do not fit."""

    def __init__(self, parent: tk.Misc, theme: Theme) -> None:
        """parent: on a card; theme: the look."""
        super().__init__(parent, style="Inner.TFrame")
        self._gap = theme.px(5)
        self.bind("<Configure>", lambda event: self.arrange(event.width))

    def arrange(self, wide: int) -> None:
        """Lay the children out. wide: what there is [px]."""
        x = y = tall = 0
        children: list[Any] = self.winfo_children()
        for child in children:
            need = child.winfo_reqwidth()
            if x and x + need > wide:
                x, y = 0, y + tall + self._gap
            child.place(x=x, y=y)
            x += need + self._gap
            tall = child.winfo_reqheight()
        if y + tall != self.winfo_reqheight():
            self.configure(height=y + tall)


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


def next_field(event: tk.Event[Any]) -> str:
    """Go to the next field that can be typed into, past chips and buttons.

    event: of a key. Returns: 'break', so that nothing else comes of the key.
    """
    start = event.widget
    after = start.tk_focusNext()
    for _ in range(60):
        if after is None or after == start:
            break
        if isinstance(after, ttk.Entry):
            after.focus_set()
            return "break"
        after = after.tk_focusNext()
    return "break"
