"""The keys of the whole window."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from typing import Any

FIRST = "bench keys"  # a tag ahead of a widget's own, for keys that fields would swallow
_KEYS = {
    "choose": ("<F5>",),
    "escape": ("<Escape>",),
    "save": ("<Control-s>",),
    "save_as": ("<Control-Shift-S>", "<Control-Shift-s>"),
    "open": ("<Control-o>",),
    "new": ("<Control-n>",),
    "undo": ("<Control-z>",),
    "redo": ("<Control-Shift-Z>", "<Control-Shift-z>"),
    "larger": ("<Control-plus>", "<Control-equal>", "<Control-KP_Add>"),
    "usual": ("<Control-minus>", "<Control-KP_Subtract>", "<Control-0>", "<Control-KP_0>"),
    "next": ("<F6>",),
    "back": ("<Shift-F6>",),
    "close": ("<Control-q>",),
    # 'Key', or Tk takes the figure for a button of the mouse.
    "axle": ("<Control-Key-1>", "<Control-KP_1>"),
    "crush": ("<Control-Key-2>", "<Control-KP_2>"),
    "pattern": ("<Control-Key-3>", "<Control-KP_3>"),
    "routes": ("<Control-Key-4>", "<Control-KP_4>"),
}
_AHEAD = {"choose": ("<Control-Return>", "<Control-KP_Enter>"), "redo": ("<Control-y>",)}


def bind_keys(window: tk.Misc, calls: Mapping[str, Callable[[], object]]) -> None:
    """Bind the window's keys. window: toplevel; calls: what to do, by name.

    Fields take Return for themselves, with Control or without, and on X11 Control-y pastes into
    them, so those are bound ahead of them.
    """
    tag = f"{FIRST} {window}"

    def called(name: str) -> Callable[[object], str]:
        def call(_event: object) -> str:
            calls[name]()
            return "break"

        return call

    for name, keys in _KEYS.items():
        for key in keys:
            window.bind(key, called(name))
    for name, keys in _AHEAD.items():
        for key in keys:
            window.bind_class(tag, key, called(name))

    # Whoever comes from a spreadsheet selects everything with it; Tk on X11 means the line's start.
    window.event_delete("<<LineStart>>", "<Control-a>", "<Control-A>")
    window.event_add("<<SelectAll>>", "<Control-a>", "<Control-A>")

    def focused(event: tk.Event[Any]) -> None:
        widget = event.widget
        if isinstance(widget, tk.Misc) and tag not in widget.bindtags():
            widget.bindtags((tag, *widget.bindtags()))

    window.bind("<FocusIn>", focused, add="+")


def first_stop(widget: Any) -> tk.Misc | None:
    """Find where Tab would stop first inside a part of the window. widget: the part. Returns it."""
    if widget.winfo_viewable():
        if bool(widget.tk.call("tk::FocusOK", widget)) and widget.winfo_class() not in _PASSED:
            return widget  # type: ignore[no-any-return]  # tkinter types no children
        for child in widget.winfo_children():
            found = first_stop(child)
            if found is not None:
                return found
    return None


_PASSED = ("TFrame", "Frame", "TLabel", "Label", "Canvas", "TScrollbar", "Menu", "Toplevel")
