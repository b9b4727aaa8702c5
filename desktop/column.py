"""A column that scrolls, for more cards or words than fit."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import Any

from desktop.theme import Theme
from desktop.tokens import RING


class ScrollColumn(ttk.Frame):
    """A column that scrolls when its content is taller than it; children go into `body`.

    The bar's room is kept whether it stands or not: were the content as wide as both, and of
    another height when narrower, the bar would come and go for ever.
    """

    def __init__(self, parent: tk.Misc, theme: Theme, ground: str = "") -> None:
        """parent: any widget; theme: the look; ground: colour behind, the window's own unless."""
        colour = ground or theme.colours.bg
        on_card = colour == theme.colours.card
        super().__init__(parent, style="Inner.TFrame" if on_card else "TFrame")
        self.canvas = tk.Canvas(self, bg=colour, highlightthickness=0, bd=0, takefocus=0)
        self.bar = ttk.Scrollbar(
            self,
            orient="vertical",
            command=self.canvas.yview,
            style=f"{'' if on_card else 'Bg.'}Slim.Vertical.TScrollbar",
        )
        self.body = ttk.Frame(self.canvas, style="Inner.TFrame" if on_card else "TFrame")
        self._item = self.canvas.create_window(0, 0, window=self.body, anchor="nw")
        self.canvas.configure(yscrollcommand=self.bar.set)
        self.canvas.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self._gap = theme.px(RING * 3)
        self.columnconfigure(1, minsize=self.bar_room)
        self.scrolls = False
        self.body.bind("<Configure>", lambda _: self._fit())
        self.canvas.bind("<Configure>", lambda _: self._fit())
        for wheel, step in (("<Button-4>", -1), ("<Button-5>", 1)):
            self.canvas.bind_class(self._tag(), wheel, self._turned(step))
        self.canvas.bind_class(
            self._tag(), "<MouseWheel>", lambda event: self._turn(-1 if event.delta > 0 else 1)
        )
        self.canvas.bindtags((*self.canvas.bindtags(), self._tag()))
        self.canvas.bind_class(self._tag(), "<Configure>", lambda _: self._shrunk())

    @property
    def bar_room(self) -> int:
        """What is kept of the width for the scroll bar, with its gap [px]."""
        return self.bar.winfo_reqwidth() + self._gap

    def catch_wheel(self) -> None:
        """Let the mouse wheel scroll from over every child; call when the children are there."""

        def tag(widget: Any) -> None:
            if self._tag() not in widget.bindtags():
                widget.bindtags((*widget.bindtags(), self._tag()))
                widget.bind("<FocusIn>", lambda _, on=widget: self._follow(on), add="+")
            for child in widget.winfo_children():
                tag(child)

        tag(self.body)

    def _follow(self, widget: tk.Misc) -> None:
        # What holds the widget that the keyboard comes to hears of it too, and is often taller.
        if str(self.tk.call("focus")) == str(widget):
            self.see(widget)

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

    def _shrunk(self) -> None:
        """Content that shrank out of sight keeps its size: a canvas resizes only what it shows."""
        if self.scrolls and self.body.winfo_reqheight() != self.body.winfo_height():
            self._fit()

    def _fit(self) -> None:
        """The bar stands only where there is something to scroll."""
        wide, tall = self.canvas.winfo_width(), self.canvas.winfo_height()
        need = self.body.winfo_reqheight()
        self.scrolls = need > tall > 1
        self.canvas.itemconfigure(self._item, width=wide)
        self.canvas.configure(scrollregion=(0, 0, wide, max(need, tall)), yscrollincrement=8)
        if self.scrolls:
            half = self._gap // 2
            self.bar.grid(row=0, column=1, sticky="ns", padx=(half, self._gap - half))
        else:
            self.bar.grid_remove()
            self.canvas.yview_moveto(0)
