"""The switch between the stages of a rebuild: one Tab stop, the arrow keys go along it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from typing import Any

from desktop.form_chips import tip_on
from desktop.stages import OF_AXLES, stage_words
from desktop.theme import Theme
from desktop.widgets import Segments

WHYS = {
    "axle": "What the readings say, and which shims go where (Ctrl+1).",
    "crush": "Tightening the pinion nut: how far to turn it next (Ctrl+2).",
    "pattern": "What the marking compound shows, and which way to move (Ctrl+3).",
    "routes": "Cut a piece, buy some, or use what is there: what costs least (Ctrl+4).",
}


class StageSwitch(Segments):
    """The stages in a row; its words can be short."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, stage: str, words: str, told: Callable[[str], object]
    ) -> None:
        """parent: on the window's ground; theme: the look; stage: in sight; words: 'UK' or 'US';
        told: called with the stage that is wanted."""
        named = stage_words(words)
        super().__init__(parent, theme, [(name, said) for name, said, _ in named], stage, told)
        self._gap = theme.px(6)
        self._words, self._short, self._lines = words, False, False
        for name, button in self.buttons.items():
            tip_on(button, theme, WHYS[name])
            for key, step in (("<Left>", -1), ("<Right>", 1), ("<Up>", -1), ("<Down>", 1)):
                button.bind(key, lambda _, step=step: self._step(step))  # type: ignore[misc]  # bound
        self.show(stage, words)

    def show(self, stage: str, words: str, *, lines: bool = False) -> None:
        """Show which stage is in sight. stage; words: 'UK' or 'US'; lines: of a job about lines of
        dimensions, which has nothing to do on the stages of an axle."""
        self.value.set(stage)
        self._words, self._lines = words, lines
        self._say()
        for name, button in self.buttons.items():
            button.configure(takefocus=name == stage)
            if lines and name in OF_AXLES and name != stage:
                button.grid_remove()
            else:
                button.grid()

    def shorten(self, short: bool) -> None:
        """Say the stages in one word each, or in full. short: which."""
        if short != self._short:
            self._short = short
            self._say()

    def room(self, short: bool) -> int:
        """Tell how wide the switch is [px]. short: with one word each."""
        was = self._short
        self.shorten(short)
        wide = sum(button.winfo_reqwidth() for button in self.buttons.values())
        self.shorten(was)
        return wide + self._gap * (len(self.buttons) - 1)

    def _say(self) -> None:
        for name, said, short in stage_words(self._words, lines=self._lines):
            self.buttons[name].configure(text=short if self._short else said)

    def _step(self, step: int) -> str:
        names = [name for name, button in self.buttons.items() if button.winfo_manager()]
        at = names.index(self.value.get()) + step
        if 0 <= at < len(names):
            button: Any = self.buttons[names[at]]
            button.focus_set()
            button.invoke()
        return "break"
