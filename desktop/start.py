"""The front door: a verb goes to the terminal, anything else opens the window."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from solver.terminal import MET, VERBS
from solver.terminal import main as type_verb

if TYPE_CHECKING:  # a terminal never loads a window
    from desktop.window import Window

USAGE = "usage: shimwright [JOB], or shimwright choose JOB [--drawer CSV] [--json]"
NO_TK = (
    "shimwright: Python has no tkinter here, so there is no window (Debian and Ubuntu: "
    "apt install python3-tk); the answer follows as text."
)
NO_DISPLAY = "shimwright: no display for the window ({}); the answer follows as text."
WELCOME = (
    "This is an example, an invented axle, to look round with. Change anything; it is never "
    "overwritten."
)


def main(arguments: list[str] | None = None) -> int:
    """Open the window on a job, or do what a verb says.

    arguments: words after the command's name; None takes the process's own. Returns an exit code:
    0 once the window has closed; without a window, and for verbs, that of the answer as text.
    """
    words = sys.argv[1:] if arguments is None else arguments
    if words and (words[0] in VERBS or words[0].startswith("-") or len(words) > 1):
        if words[0] in ("-h", "--help"):
            print(f"{USAGE}\n")
        return type_verb(words)
    job = Path(words[0]) if words else None
    try:
        import tkinter as tk
    except ImportError:
        print(NO_TK, file=sys.stderr)
        return _as_text(job)
    _ask_for_sharp_pixels()
    try:
        top = tk.Tk(className="shimwright")
    except tk.TclError as error:
        print(NO_DISPLAY.format(str(error).splitlines()[0]), file=sys.stderr)
        return _as_text(job)
    open_window(top, job)
    top.mainloop()
    return MET


def open_window(
    top: object, job: Path | None, told: Callable[[str], object] | None = None
) -> Window:
    """Open the window and paint it.

    top: the root; job: to open, None for the one open last or the example; told: of every step of
    waking up. Returns the window.
    """
    from tkinter import Tk

    from desktop.desk import Desk
    from desktop.drafts import DraftKeeper
    from desktop.litter import Litter
    from desktop.settings import load_settings, save_settings
    from desktop.window import LEAST_PX, Window, unheard

    assert isinstance(top, Tk)
    Litter(top)
    settings = load_settings()
    desk = Desk(settings, DraftKeeper())
    trouble = _lay(desk, job)
    wide = min(settings.width_px, top.winfo_screenwidth())
    tall = min(settings.height_px, top.winfo_screenheight())
    top.title("Shimwright")
    top.minsize(*LEAST_PX)
    top.geometry(f"{wide}x{tall}")
    window = Window(
        top, desk, told=told or unheard, ended=lambda: save_settings(desk.settings)
    )  # fmt: skip
    top.update()  # the first paint, before anything heavy is loaded
    window.start()
    _greet(window, trouble)
    return window


def _lay(desk: object, job: Path | None) -> str:
    """Put the job on the desk. Returns '' or what was wrong with it."""
    from desktop.desk import Desk, open_example
    from desktop.document import open_document
    from solver.trouble import Trouble

    assert isinstance(desk, Desk)
    last = desk.settings.last_job
    path = job or (Path(last) if last else None)
    if path is not None:
        try:
            desk.take(open_document(path))
            return ""
        except Trouble as trouble:
            words = str(trouble.faults[0])
            if job is None:
                desk.settings = desk.settings.without_job(path)
    settings = desk.settings
    desk.take(open_example(), example=True)
    if path is not None:
        desk.settings = settings  # a disk that is away for a day does not lose the last job
        return words
    return ""


def _greet(window: Window, trouble: str) -> None:
    """Offer drafts back; say what could not be opened, or that this is the example."""
    from desktop.file_work import nothing
    from desktop.notice import Question

    notice = window.panels.notice
    if trouble:
        words = f"{trouble}. Here is the example instead."
        notice.ask(Question(words, (("All right", nothing),), tone="bad"))
    elif window.desk.example:
        answers = (("Begin my own job", window.files.new), ("Look round first", nothing))
        notice.ask(Question(WELCOME, answers, tone="good", name="welcome", takes_focus=False))
    window.files.offer_drafts()


def _as_text(job: Path | None) -> int:
    """The answer as text, for the job that the window would have opened."""
    if job is None:
        from desktop.settings import load_settings

        last = load_settings().last_job
        job = Path(last) if last else None
    if job is not None:
        return type_verb(["choose", str(job)])
    from importlib.resources import as_file, files

    with as_file(files("stock_lists")) as folder:
        return type_verb(["choose", str(folder / "example.toml")])


def _ask_for_sharp_pixels() -> None:
    """Windows blurs a window that does not say it knows about scaled screens."""
    if sys.platform == "win32":
        import contextlib
        from ctypes import windll

        with contextlib.suppress(AttributeError, OSError):
            windll.shcore.SetProcessDpiAwareness(1)


if __name__ == "__main__":
    sys.exit(main())
