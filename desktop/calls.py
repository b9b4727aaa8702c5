"""What the parts of the window can ask it for, by name."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from desktop.sheet_action import SheetAction
from desktop.stages import STAGES

if TYPE_CHECKING:
    from desktop.window import Window

Calls = dict[str, Callable[..., object]]


def calls_of(window: Window) -> Calls:
    """Give a window's calls. window: theirs. Returns them by name."""
    files, printed = window.files, SheetAction(window)
    return {
        "new": files.new,
        "new line": files.new_line,
        "open": files.open,
        "reopen": files.reopen,
        "example": files.open_example,
        "save": lambda: files.save(),
        "save_as": lambda: files.save_as(),
        "copy": window.copy,
        "save_text": window.save_text,
        "bench sheet": printed.bench_sheet,
        "template": printed.template,
        "advised": printed.advised,
        "cut": printed.cut,
        "undo": window.undo,
        "redo": window.redo,
        "choose": window.choose,
        "stop": window.asking.stop,
        "escape": window.escape,
        "unit": window.set_unit,
        "words": window.set_words,
        "mode": window.set_mode,
        "large": lambda: window.set_large(not window.desk.settings.large),
        "larger": lambda: window.set_large(True),
        "usual": lambda: window.set_large(False),
        "next": lambda: window.cycle(1),
        "back": lambda: window.cycle(-1),
        "close": window.close,
        "stage": window.stages.turn_to,
        **{name: partial(window.stages.turn_to, name, keyboard=True) for name in STAGES},
        "edit": window.edited,
        "sheet": window.sheet_edited,
        "open drawer": files.open_drawer,
        "save drawer": files.save_drawer,
        "stock": window.stock_added,
        "books": window.books.shown,
        "take": window.books.take,
        "put back": window.books.put_back,
        "measure": window.books.measure,
        "adopt": window.books.adopt,
        "undo entry": window.books.undo_entry,
        "face": window.turned,
        "go": window.go_to,
        "lit": window.lit,
        "pick": window.asking.pick,
        "unpick": window.asking.unpick,
    }
