"""The whole window for tests: opened on a job in a folder of its own, driven as a person would."""

from __future__ import annotations

import shutil
import time
import tkinter as tk
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from desktop.desk import Desk, open_example
from desktop.document import open_document
from desktop.drafts import DraftKeeper
from desktop.settings import Settings
from desktop.window import Window

LONGEST_S = 60.0  # for any one thing to come about, on a machine that is busy elsewhere
KEYS = {" ": "space", ".": "period", ",": "comma", "+": "plus", "/": "slash", "-": "minus"}


def example_in(folder: Path) -> Path:
    """Copy the example and its drawer. folder: where to. Returns the job's path."""
    with as_file(files("stock_lists")) as shipped:
        for name in ("example.toml", "example_drawer.csv"):
            shutil.copy(shipped / name, folder / name)
    return folder / "example.toml"


class Bench:
    """A window with hands on it."""

    def __init__(
        self,
        root: tk.Tk,
        folder: Path,
        job: Path | None = None,
        *,
        size: str = "1280x800",
        settings: Settings | None = None,
    ) -> None:
        """root; folder: for drafts and whatever is saved; job: None for the example; size; settings
        to begin with."""
        self.top = tk.Toplevel(root)
        self.top.geometry(f"{size}+0+0")
        self.top.update()
        self.drafts = folder / "drafts"
        desk = Desk(settings or Settings(), DraftKeeper(self.drafts))
        desk.take(open_document(job) if job else open_example(), example=job is None)
        self.asked: list[str] = []
        self.answers: list[Path | None] = []  # what the file dialog is to give
        self.steps: list[str] = []
        self.window = Window(
            self.top, desk, asked=self._asked, drafts=self.drafts, told=self.steps.append
        )
        self.top.update()
        self.top.focus_force()

    def _asked(self, kind: str, _types: object, name: str, _folder: Path) -> Path | None:
        self.asked.append(f"{kind} {name}".strip())
        return self.answers.pop(0)

    @property
    def desk(self) -> Desk:
        """What lies on the desk."""
        return self.window.desk

    @property
    def frame(self) -> Any:
        """The parts of the window."""
        return self.window.panels

    def start(self) -> Bench:
        """Let it wake up and answer. Returns itself."""
        self.window.start()
        self.settle()
        return self

    def until(self, holds: Callable[[], object], what: str = "") -> None:
        """Run the Tk loop until something holds. holds; what: it is, for the failure."""
        end = time.monotonic() + LONGEST_S
        while not holds():
            assert time.monotonic() < end, f"it did not come about: {what or self.texts()}"
            self.top.update()

    def settle(self) -> None:
        """Wait until it has woken, read, answered and drawn."""
        window = self.window

        def still() -> bool:
            return (
                "solver" in self.steps
                and not window.timers.waits("read")
                and not window.timers.waits("keyboard")
                and not window.asking.solving
                and not window.stages.busy
                and not window.asking.weighing
                and self.frame.settled
            )

        self.top.update()  # what was asked for by the last deed has to begin before it can end
        self.until(still, "a window at rest")
        self.top.update()

    def texts(self) -> str:
        """Everything written in the answer, the drawing, the strips and the foot."""
        frame = self.frame
        parts = [frame.notice.text, frame.status.text, *frame.middle.drawing.written()]
        if frame.middle.lines is not None:
            parts += frame.middle.lines.written()
        if frame.answer is not None:
            parts += [*frame.answer.written(), *frame.charts.bars.written()]
            parts.append(str(frame.charts.words.cget("text")))
            parts += frame.charts.worth.written()
        return "\n".join(parts)

    def press(self, key: str) -> None:
        """Press a key where the keyboard is. key: of Tk, such as 'Control-s'."""
        where = self.top.focus_get() or self.top
        where.event_generate(f"<{key}>")
        self.top.update()

    def tab_to(self, widget: Any) -> None:
        """Press Tab until the keyboard is on a widget. widget: of this window."""
        for _ in range(120):
            if self.top.focus_get() is widget:
                return
            self.press("Tab")
        raise AssertionError(f"Tab does not come to {widget}")

    def type(self, text: str) -> None:
        """Type where the keyboard is. text."""
        for one in text:
            self.press(f"Key-{KEYS.get(one, one)}")

    def field(self, number: int, *keys: str) -> Any:
        """The field of a reading. number: from 0; keys: of it in the job."""
        return self.frame.readings.cards[number].fields[("readings", number, *keys)]

    def put(self, field: Any, text: str) -> None:
        """Type over what a field says. field; text."""
        field.entry.focus_force()
        self.top.update()
        field.entry.selection_range(0, "end")
        self.press("Key-Delete")
        self.type(text)

    def close(self) -> None:
        """Close without asking."""
        self.window.end()


def come_to_rest(window: tk.Misc, seconds: float = 0.4) -> None:
    """Let everything be drawn that a new size set going, timers included. window."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        window.update()
        time.sleep(0.01)
