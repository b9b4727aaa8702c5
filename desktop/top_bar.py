"""The bar at the top: whose job this is, its file, how things are shown, and what can be done."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from tkinter import ttk

from desktop.form_chips import DOWN, prepare_chips, tip_on
from desktop.stage_switch import StageSwitch
from desktop.stages import AXLE, CRUSH
from desktop.theme import Theme
from desktop.widgets import Segments, quiet_button

NAME = "Shimwright"
LEAST_TITLE_PX = 120
Calls = dict[str, Callable[..., object]]  # what the bar can ask for, by name

WHY = {
    "file": "Jobs are small text files; the drawer lies beside them as a spreadsheet.",
    "undo": "Take the last change back (Ctrl+Z).",
    "redo": "Do again what was taken back (Ctrl+Y).",
    "words": "UK: crown wheel, end float. US: ring gear, end play. The files stay as they are.",
    "unit": "Converts everything shown. What you typed keeps its own digits in the file.",
    "choose": "Every change chooses anew by itself; F5 does so at once, Escape stops.",
    "large": "Larger type (Ctrl +, Ctrl −).",
    "mode": "Dark for a dim bench, light for daylight.",
}


@dataclass(frozen=True, slots=True)
class Shown:
    """What the bar shows."""

    title: str
    file: str  # its name, or what it is called before it has one
    unsaved: bool
    unit: str
    words: str
    large: bool
    mode: str
    can_undo: bool
    can_redo: bool
    solving: bool
    can_choose: bool
    has_answer: bool
    recent: tuple[str, ...]
    stage: str = AXLE
    lines: bool = False  # about lines of dimensions and no axle


class TopBar(ttk.Frame):
    """The bar; what does not fit goes into its menu."""

    def __init__(self, parent: tk.Misc, theme: Theme, calls: Calls, *, unit: str, words: str):
        """parent: any widget; theme: the look; calls: what it asks for, by name; unit, words: as
        shown now."""
        super().__init__(parent)
        prepare_chips(self, theme)
        self._theme, self._calls = theme, calls
        self._shown: Shown | None = None
        gap = theme.px(6)
        self.name = ttk.Label(self, text=NAME, style="TLabel", font=theme.font("heading"))
        self.name.grid(row=0, column=0, sticky="w", padx=(0, theme.px(14)))
        self.stages = StageSwitch(self, theme, AXLE, words, calls["stage"])
        self.stages.grid(row=0, column=1, sticky="w")
        self.title = ttk.Label(self, style="Soft.TLabel")
        self.title.grid(row=0, column=2, sticky="w", padx=(theme.px(14), theme.px(14)))
        self.columnconfigure(2, weight=1)
        self.tools = ttk.Frame(self)
        self.tools.grid(row=0, column=3, sticky="e")
        self.large, self.dark = tk.BooleanVar(self), tk.BooleanVar(self)
        self._trade = tk.StringVar(self)
        self.menu_button = self._menu_button()
        button = partial(quiet_button, self.tools, ground="Bg.")
        self.undo = button("↶", calls["undo"])
        self.redo = button("↷", calls["redo"])
        self.unit = Segments(
            self.tools, theme, (("mm", "mm"), ("thou", "thou")), unit, calls["unit"]
        )
        self.words = Segments(
            self.tools, theme, (("UK", "UK"), ("US", "US")), words, calls["words"]
        )
        self.large_button = self._switch("Aa", self.large, calls["large"])
        self.mode_button = self._switch("◐", self.dark, self._turn_dark)
        self.choose = button("Choose", self._choose)
        self.choose.configure(width=-len("Choose"))  # no jump when it says Stop
        self._needs: dict[ttk.Widget, int] = {}  # room that each takes [px]
        parts: tuple[ttk.Widget, ...] = (
            self.menu_button, self.undo, self.redo, self.unit, self.words, self.large_button,
            self.mode_button, self.choose,
        )  # fmt: skip
        for place, part in enumerate(parts):
            near = part in (self.redo, self.mode_button)
            pad = (0 if not place else gap if near else theme.space("gutter"), 0)
            part.grid(row=0, column=place, padx=pad)
            self._needs[part] = part.winfo_reqwidth() + pad[0]
        for segments in (self.unit, self.words):  # their grid has not yet been worked out
            wide = sum(one.winfo_reqwidth() + gap for one in segments.buttons.values())
            self._needs[segments] += wide - gap
        self._extras = (self.mode_button, self.large_button, self.words)
        self._stage_needs = {short: self.stages.room(short) for short in (False, True)}  # [px]
        for name, widget in (
            ("file", self.menu_button), ("undo", self.undo), ("redo", self.redo),
            ("choose", self.choose), ("large", self.large_button), ("mode", self.mode_button),
            *(("unit", one) for one in self.unit.buttons.values()),
            *(("words", one) for one in self.words.buttons.values()),
        ):  # fmt: skip
            tip_on(widget, theme, WHY[name])
        self.bind("<Configure>", lambda _: self._fit())

    def show(self, shown: Shown) -> None:
        """Show how things stand. shown: all of it."""
        if shown == self._shown:
            return
        self._shown = shown
        self.unit.value.set(shown.unit)
        self.words.value.set(shown.words)
        self.stages.show(shown.stage, shown.words, lines=shown.lines)
        self._trade.set(shown.words)
        self.large.set(shown.large)
        self.dark.set(shown.mode == "dark")
        self._able(self.undo, shown.can_undo)
        self._able(self.redo, shown.can_redo)
        self.choose.configure(text="Stop" if shown.solving else "Choose")
        self._able(self.choose, shown.solving or shown.can_choose)
        self._fill_menu(shown)
        self._fit()

    @property
    def text(self) -> str:
        """The whole of the title, also where the bar has no room for it."""
        shown = self._shown
        if shown is None:
            return ""
        mark = "● " if shown.unsaved else ""
        parts = [part for part in (shown.title, shown.file) if part]
        return mark + "  ·  ".join(parts) + ("  not saved" if shown.unsaved else "")

    def _menu_button(self) -> ttk.Menubutton:
        theme, c = self._theme, self._theme.colours
        button = ttk.Menubutton(
            self.tools, text=f"Job {DOWN}", style="Bg.Quiet.TMenubutton", takefocus=True
        )

        def menu(parent: tk.Misc) -> tk.Menu:
            return tk.Menu(
                parent, tearoff=False, font=theme.font("body"), background=c.card,
                foreground=c.ink, activebackground=c.tint, activeforeground=c.ink,
                disabledforeground=c.soft, selectcolor=c.accent, relief="solid", borderwidth=1,
                activeborderwidth=0,
            )  # fmt: skip

        self.menu = menu(button)
        self.recent_menu = menu(self.menu)
        button.configure(menu=self.menu)
        for key in ("<Return>", "<KP_Enter>", "<Down>"):
            button.bind(key, self._open_menu)
        return button

    def _open_menu(self, _: object) -> str:
        self.tk.call("ttk::menubutton::Popdown", self.menu_button)
        return "break"

    def _fill_menu(self, shown: Shown) -> None:
        calls, menu = self._calls, self.menu
        menu.delete(0, "end")

        def add(label: str, call: str, keys: str = "", able: bool = True) -> None:
            menu.add_command(
                label=label, command=calls[call], accelerator=keys,
                state="normal" if able else "disabled",
            )  # fmt: skip

        add("New", "new", "Ctrl+N")
        add("New: a line of dimensions", "new line")
        add("Open…", "open", "Ctrl+O")
        self.recent_menu.delete(0, "end")
        for path in shown.recent:
            self.recent_menu.add_command(label=near_home(path), command=partial(self._reopen, path))
        menu.add_cascade(
            label="Open again", menu=self.recent_menu,
            state="normal" if shown.recent else "disabled",
        )  # fmt: skip
        add("Open the example", "example")
        add("Save", "save", "Ctrl+S")
        add("Save as…", "save_as", "Shift+Ctrl+S")
        menu.add_separator()
        add("Copy the answer as text", "copy", able=shown.has_answer)
        add("Save the answer as text…", "save_text", able=shown.has_answer)
        add("Bench sheet…", "bench sheet", able=shown.has_answer)
        add("Template to cut…", "template", able=shown.has_answer)
        menu.add_separator()
        menu.add_checkbutton(label="Large type", variable=self.large, command=calls["large"])
        menu.add_checkbutton(label="Dark", variable=self.dark, command=self._turn_dark)
        for words, said in (("UK", "British words"), ("US", "American words")):
            call = partial(calls["words"], words)
            menu.add_radiobutton(label=said, value=words, variable=self._trade, command=call)
        menu.add_separator()
        add("Close", "close", "Ctrl+Q")

    def _reopen(self, path: str) -> None:
        self._calls["reopen"](Path(path))

    def _switch(
        self, text: str, variable: tk.BooleanVar, call: Callable[[], object]
    ) -> ttk.Checkbutton:
        button = ttk.Checkbutton(
            self.tools, text=text, variable=variable, style="Bg.Segment.Toolbutton", command=call
        )
        for key in ("<Return>", "<KP_Enter>"):
            button.bind(key, lambda _: button.invoke())
        return button

    def _turn_dark(self) -> None:
        self._calls["mode"]("dark" if self.dark.get() else "light")

    def _choose(self) -> None:
        stop = self._shown is not None and self._shown.solving
        self._calls["stop" if stop else "choose"]()

    @staticmethod
    def _able(button: ttk.Button, able: bool) -> None:
        button.state(["!disabled" if able else "disabled"])

    def _idle(self) -> tuple[ttk.Widget, ...]:
        """What has nothing to do on the stage in sight: torques have units of their own."""
        stage = self._shown.stage if self._shown is not None else AXLE
        return () if stage == AXLE else (self.choose, *((self.unit,) if stage == CRUSH else ()))

    def _fit(self) -> None:
        """Take extras off the bar, for the menu has them too, then words, then shorten the title.

        What the name says stands on the window's frame as well, so it goes before the stages' own.
        """
        wide = self.winfo_width()
        if wide < 60:
            return
        theme = self._theme
        idle = self._idle()
        needs = {part: need for part, need in self._needs.items() if part not in idle}
        name = theme.wide("heading", NAME) + theme.px(14)
        room = wide - theme.px(LEAST_TITLE_PX) - theme.px(28)
        need = sum(needs.values()) + name + self._stage_needs[False]
        for part in (*idle, *(one for one in self._extras if one not in idle)):
            off = part in idle or need > room
            need -= needs.get(part, 0) if off else 0
            if off:
                part.grid_remove()
            else:
                part.grid()
        for part in (self.unit, self.choose):
            if part not in idle:
                part.grid()
        without_name = need > room
        need -= name if without_name else 0
        short = need > room
        need += self._stage_needs[short] - self._stage_needs[False]
        if without_name:
            self.name.grid_remove()
        else:
            self.name.grid()
        self.stages.shorten(short)
        room = wide - theme.px(28) - need
        text = self.text
        while text and theme.wide("body", text) > room:
            text = f"{text[:-2].rstrip()}…" if len(text) > 2 else ""
        self.title.configure(text=text)


def near_home(path: str) -> str:
    """Say a path shortly. path: of a file. Returns it with the home folder as '~'."""
    try:
        return f"~/{Path(path).relative_to(Path.home()).as_posix()}"
    except ValueError:
        return path
