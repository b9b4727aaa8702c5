"""Boxes of the crush spacer's stage: what to do, to be read from afar, and what to beware of."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk

from desktop import pixels
from desktop.answer_parts import MARKS
from desktop.theme import Theme
from desktop.tokens import RADIUS, RING, SURE_FAMILY

SHOUTS = ("shout", "display", "heading", "title")  # type tokens, the largest that fits is taken


def shout_box(
    parent: tk.Misc, theme: Theme, shout: str, then: str, *, tone: str, wide: int
) -> ttk.Frame:
    """Draw what to do, as large as it fits, on the tint of how things stand.

    parent: on a card; theme: the look; shout: in capitals, a line or two; then: more, or ''; tone:
    'good', 'warn', 'bad' or 'go'; wide: room [px]. Returns it, to be put in its place.
    """
    title = tone.title()
    if tone == "go":
        _go_style(parent, theme)
    box = ttk.Frame(parent, style=f"{title}Card.TFrame")
    inner = ttk.Frame(box, style=f"{title}.TFrame")
    pad = theme.space("card_x")
    inner.pack(fill="x", padx=pad, pady=theme.space("card_y"))
    wide -= 2 * pad
    mark = MARKS.get(tone, "")
    if mark:
        label = ttk.Label(inner, text=mark, style=f"{title}Word.TLabel", font=_mark_font(theme))
        label.pack(side="left", anchor="n", padx=(0, theme.px(10)), pady=theme.px(3))
        wide -= label.winfo_reqwidth() + theme.px(10)
    words = ttk.Frame(inner, style=f"{title}.TFrame")
    words.pack(side="left", fill="x", expand=True)
    longest = max(shout.split("\n"), key=lambda line: theme.wide("title", line))
    font = next((name for name in SHOUTS if theme.wide(name, longest) <= wide), SHOUTS[-1])
    ttk.Label(
        words, text=shout, style=f"{title}Word.TLabel", font=theme.font(font), wraplength=wide
    ).pack(anchor="w")
    if then:
        ttk.Label(words, text=then, style=f"{title}.TLabel", wraplength=wide).pack(
            anchor="w", pady=(theme.px(2), 0)
        )
    return box


def caution_box(parent: tk.Misc, theme: Theme, cautions: tuple[str, ...], wide: int) -> ttk.Frame:
    """Draw what to beware of, each line with its mark.

    parent: on a card; theme: the look; cautions: sentences; wide: room [px]. Returns it.
    """
    box = ttk.Frame(parent, style="SunkCard.TFrame")
    inner = ttk.Frame(box, style="Sunk.TFrame")
    pad = theme.space("card_x")
    inner.pack(fill="x", padx=pad, pady=theme.space("card_y"))
    inner.columnconfigure(1, weight=1)
    wide -= 2 * pad + theme.px(16)
    for row, caution in enumerate(cautions):
        ttk.Label(inner, text="!", style="SunkWord.TLabel", foreground=theme.colours.warn).grid(
            row=row, column=0, sticky="nw", padx=(0, theme.px(8))
        )
        ttk.Label(inner, text=caution, style="Sunk.TLabel", wraplength=wide).grid(
            row=row, column=1, sticky="w", pady=(0, theme.px(2))
        )
    return box


def _mark_font(theme: Theme) -> tuple[str, int, str]:
    """A font that has the marks, as large as the words beside them."""
    return (SURE_FAMILY, int(theme.font("display").cget("size")), "bold")


def _go_style(widget: tk.Misc, theme: Theme) -> None:
    """The look of a next turn: neither good nor bad, in the accent's tint."""
    style, c = ttk.Style(widget), theme.colours
    if "cardgo.border" not in style.element_names():
        radius = theme.px(RADIUS["card"])
        size = (pixels.SPAN_PX, pixels.SPAN_PX)
        theme.images["cardgo"] = pixels.rounded_box(
            widget, size=size, radius=radius, fill=c.tint, edge=c.accent, edge_px=theme.px(1),
            ground=c.card,
        )  # fmt: skip
        border = radius + theme.px(RING)
        style.element_create(
            "cardgo.border", "image", theme.images["cardgo"], border=border, width=2 * border,
            height=2 * border, sticky="nsew", padding=0,
        )  # fmt: skip
        style.layout("GoCard.TFrame", [("cardgo.border", {"sticky": "nsew"})])
        style.configure("GoCard.TFrame", background=c.card)
        style.configure("Go.TFrame", background=c.tint)
        style.configure("Go.TLabel", background=c.tint, foreground=c.ink)
        style.configure(
            "GoWord.TLabel", background=c.tint, foreground=c.accent, font=theme.font("label")
        )
