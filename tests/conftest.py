"""What window tests share: one hidden root, a window a test, and no fault in it unheard."""

from __future__ import annotations

import gc
import os
import time
import tkinter as tk
from collections.abc import Callable, Iterator
from pathlib import Path
from tkinter import commondialog, messagebox, simpledialog
from typing import Any

import pytest

import desktop.theme
from desktop.tokens import SURE_FAMILY

# The same type on every machine, the widest there is. To try another: TYPE_FAMILY="Noto Sans".
desktop.theme.FAMILIES = (os.environ.get("TYPE_FAMILY", SURE_FAMILY),)
BOXES = ("showinfo", "showwarning", "showerror", "askquestion", "askokcancel", "askyesno")
BOXES += ("askretrycancel", "askyesnocancel")


@pytest.fixture(scope="session")
def root() -> Iterator[tk.Tk]:
    """The one hidden root of the process."""
    try:
        made = tk.Tk()
    except tk.TclError as fault:
        if os.environ.get("CI"):
            pytest.fail(f"window tests need a display, and in CI they have to run: {fault}")
        pytest.skip(f"no display for window tests: {fault}")
    made.withdraw()
    yield made
    made.destroy()
    gc.collect()


@pytest.fixture
def window(root: tk.Tk, monkeypatch: pytest.MonkeyPatch) -> Iterator[tk.Toplevel]:
    """A window of its own for a test; a fault in any callback, or a box, fails the test."""
    faults: list[BaseException] = []

    def heard(_kind: type, fault: BaseException, _trace: object) -> None:
        faults.append(fault)

    def box(*words: Any, **_named: Any) -> None:
        raise AssertionError(f"a box opened: {words}")

    def background(words: str) -> None:
        faults.append(RuntimeError(f"Tcl: {words}"))

    monkeypatch.setattr(root, "report_callback_exception", heard)
    root.createcommand("bgerror", background)
    for name in BOXES:
        monkeypatch.setattr(messagebox, name, box)
    monkeypatch.setattr(commondialog.Dialog, "show", box)
    monkeypatch.setattr(simpledialog.Dialog, "__init__", box)
    made = tk.Toplevel(root)
    made.geometry("1280x800+0+0")
    made.update()
    # The pointer out of the way: without a window manager Tk 8.6.13 gives the keyboard to whatever
    # window is under it, and ends in a fault of memory once that one has shrunk or gone.
    made.event_generate("<Motion>", warp=True, x=1919, y=1079)
    made.update()
    gc.disable()  # as the program does (desktop/litter.py): a worker must not collect Tk's litter
    yield made
    made.update()
    made.destroy()
    root.update()
    gc.enable()
    gc.collect()  # here, on the main thread, and not in some worker later
    if faults:
        raise faults[0]


@pytest.fixture
def until(root: tk.Tk) -> Callable[[Callable[[], bool]], None]:
    """Run the Tk loop until something holds; fail after five seconds."""

    def wait(holds: Callable[[], bool]) -> None:
        end = time.monotonic() + 5.0
        while not holds():
            assert time.monotonic() < end, "it did not come about in 5 s"
            root.update()

    return wait


@pytest.fixture
def opened(window: tk.Toplevel, root: tk.Tk, tmp_path: Path) -> Iterator[Callable[..., Any]]:
    """Opens whole windows and closes them; each call gives a Bench."""
    from whole_window import Bench  # here: most tests need no window

    benches: list[Bench] = []

    def made(job: Path | None = None, **how: Any) -> Bench:
        benches.append(Bench(root, tmp_path, job, **how))
        return benches[-1]

    yield made
    for bench in benches:
        bench.close()
    root.update()
