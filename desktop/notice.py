"""Questions and news in the window itself, in strips of their own; never a box over it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from tkinter import ttk

from desktop.theme import Theme
from desktop.widgets import filled_button, quiet_button

NEWS_MS = 6000  # how long news stands that asks nothing
LEAST_WORDS = 220  # px at 96 dpi that words get beside the buttons; with less, these go below
MARKS = {"good": "✓", "warn": "!", "bad": "✕"}
Answers = Sequence[tuple[str, Callable[[], object]]]


@dataclass(frozen=True, slots=True)
class Question:
    """One question: its words, its answers in the order of the buttons, what Escape does."""

    words: str
    answers: tuple[tuple[str, Callable[[], object]], ...]
    escape: Callable[[], object] | None = None
    tone: str = "warn"
    name: str = ""  # a newer question of one name takes the place of the older
    takes_focus: bool = True


class Strip(ttk.Frame):
    """Words on a tint with buttons beside them; takes no room while there is nothing to say."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, style: str = "TFrame") -> None:
        """parent: any widget, in whose grid it is put by its owner; theme: the look; style: of the
        ground behind it."""
        super().__init__(parent, style=style)
        self._theme = theme
        self._ground = "Bg." if style == "TFrame" else ""
        self._row: ttk.Frame | None = None
        self._words: ttk.Label | None = None
        self.buttons: dict[str, ttk.Button] = {}
        self._afloat = False
        self.bind("<Configure>", self._fit)

    @property
    def text(self) -> str:
        """What the strip says now; '' while it says nothing."""
        return str(self._words.cget("text")) if self._words is not None else ""

    def clear(self) -> None:
        """Say nothing, and take no room."""
        for child in self.winfo_children():
            child.destroy()
        self._row = self._words = None
        self.buttons = {}
        self._afloat = False
        self.place_forget()
        self.grid_remove()

    def say(self, words: str, tone: str, answers: Answers) -> None:
        """Say something. words: one or two sentences; tone: 'good', 'warn' or 'bad'; answers:
        (label, what it does) pairs for buttons, the first one filled."""
        self.clear()
        theme, title = self._theme, tone.title()
        card = ttk.Frame(self, style=f"{self._ground}{title}Card.TFrame")
        card.pack(fill="x")
        inner = ttk.Frame(card, style=f"{title}.TFrame")
        inner.pack(fill="x", padx=theme.space("card_x"), pady=theme.px(6))
        inner.columnconfigure(1, weight=1)
        mark = ttk.Label(inner, text=MARKS[tone], style=f"{title}Word.TLabel")
        mark.grid(row=0, column=0, padx=(theme.px(2), theme.px(10)))
        self._words = ttk.Label(inner, text=words, style=f"{title}.TLabel")
        self._words.grid(row=0, column=1, sticky="w")
        row = self._row = ttk.Frame(inner, style=f"{title}.TFrame")
        for place, (label, then) in enumerate(answers):
            make = quiet_button if place else filled_button
            button = make(row, label, then)
            button.configure(style=self._style_on(tone, filled=not place))
            button.grid(row=0, column=place, padx=(theme.px(8) if place else 0, 0))
            self.buttons[label] = button
        self.grid()
        if self.winfo_width() > 1:
            self._wrap(self.winfo_width())

    def _style_on(self, tone: str, *, filled: bool) -> str:
        """A button's style with the strip's tint behind its round corners."""
        base = "Filled.TButton" if filled else "Quiet.TButton"
        name, style = f"{tone.title()}.{base}", ttk.Style(self)
        style.configure(name, background=getattr(self._theme.colours, f"{tone}_tint"))
        return name

    def _fit(self, event: tk.Event[tk.Misc]) -> None:
        if not self._afloat:  # what floats is as wide as its words
            self._wrap(event.width)

    def _wrap(self, wide: int) -> None:
        if self._words is not None and self._row is not None:
            theme, row = self._theme, self._row
            whole = wide - 2 * theme.space("card_x") - theme.px(60)
            beside = whole
            for button in self.buttons.values():  # the row itself does not know yet
                beside -= button.winfo_reqwidth() + theme.px(8)
            if beside >= min(theme.px(LEAST_WORDS), theme.wide("body", self.text)):
                row.grid(row=0, column=2, sticky="e", padx=(theme.px(14), 0), pady=0)
            else:
                row.grid(row=1, column=1, sticky="w", padx=0, pady=(theme.px(6), 0))
                beside = whole
            self._words.configure(wraplength=max(beside, theme.px(120)))


class Notice(Strip):
    """The strip under the top bar: one question at a time, or a piece of news."""

    def __init__(self, parent: tk.Misc, theme: Theme, waiting: list[Question]) -> None:
        """parent; theme; waiting: questions not yet answered, the first of them shown; the list
        outlives a change of the look."""
        super().__init__(parent, theme)
        self.waiting = waiting
        self._news = False
        self._timer: str | None = None
        self.bind("<Destroy>", lambda _: self._forget(), add="+")

    def ask(self, question: Question) -> None:
        """Ask something; questions wait for one another. question."""
        self.waiting[:] = [one for one in self.waiting if not one.name or one.name != question.name]
        self.waiting.append(question)
        self.draw()

    def tell(self, words: str, tone: str = "good") -> None:
        """Say something that asks nothing; it goes by itself. words: a sentence; tone."""
        if not self.waiting:
            self.hush()
            self.say(words, tone, ())
            self._float()
            self._news = True
            self._timer = self.after(NEWS_MS, self.hush)

    def _float(self) -> None:
        """Lie over the top of the window: news that went would pull all else from the pointer."""
        assert self._words is not None
        self._afloat = True
        self.grid_remove()
        self._words.configure(wraplength=max(self.master.winfo_width() // 2, 200))
        self.place(x=self._theme.space("gutter"), y=self._theme.px(4))
        self.lift()

    def hush(self) -> None:
        """Take news away; questions stay."""
        self._forget()
        if self._news:
            self._news = False
            self.draw()

    def escape(self) -> bool:
        """Answer the question as Escape does. Returns whether there was anything to answer."""
        if not self.waiting:
            was = self._news
            self.hush()
            return was
        self._answer(self.waiting[0].escape or (lambda: None))
        return True

    def withdraw(self, name: str) -> None:
        """Take a question back that has settled itself. name: of the question."""
        if any(one.name == name for one in self.waiting):
            self.waiting[:] = [one for one in self.waiting if one.name != name]
            self.draw()

    def draw(self) -> None:
        """Show the first question that waits, or nothing."""
        self._forget()
        self._news = False
        if not self.waiting:
            self.clear()
            return
        first = self.waiting[0]
        answers = [(label, partial(self._answer, then)) for label, then in first.answers]
        self.say(first.words, first.tone, answers)
        if first.takes_focus and answers:
            self.buttons[answers[0][0]].focus_set()

    def _answer(self, then: Callable[[], object]) -> None:
        asked = self.waiting.pop(0)
        self.draw()
        if not self.waiting and asked.takes_focus:
            self.winfo_toplevel().focus_set()
        then()

    def _forget(self) -> None:
        if self._timer is not None:
            self.after_cancel(self._timer)
            self._timer = None
