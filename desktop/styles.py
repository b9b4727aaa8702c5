"""The image elements and styles that the theme is made of."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk
from typing import Any

from desktop import pixels
from desktop.theme import Theme
from desktop.tokens import RADIUS, RING, TYPE, mixed


def draw_elements(root: tk.Misc, style: ttk.Style, theme: Theme) -> None:
    """Make the image elements of the theme in use: card, buttons, field, thumb.

    root: the window; style: of the root; theme: the look, which keeps the pictures.
    """
    c, ring = theme.colours, theme.px(RING)
    hover = mixed(c.card, c.ink, 0.05)
    pressed = mixed(c.accent, c.ink if theme.mode == "light" else c.card, 0.22)
    over = mixed(c.accent, c.ink if theme.mode == "light" else c.card, 0.12)
    dull = mixed(c.card, c.quiet, 0.35)

    def image(key: str, radius: float, fill: str, edge: str, edge_px: float) -> tk.PhotoImage:
        size = (pixels.SPAN_PX, pixels.SPAN_PX if key.startswith("card") else theme.px(60))
        theme.images[key] = pixels.rounded_box(
            root, size=size, radius=radius, fill=fill, edge=edge, edge_px=edge_px,
            ground=c.bg if key.startswith("card") else c.card,
        )  # fmt: skip
        return theme.images[key]

    def element(name: str, token: str, looks: list[tuple[str, str, str, float]]) -> None:
        radius = theme.px(RADIUS[token])
        border = radius + ring
        pictures = [
            (states, image(f"{name}{k}", radius, fill, edge, wide))
            for k, (states, fill, edge, wide) in enumerate(looks)
        ]
        maps: list[Any] = [(*states.split(), picture) for states, picture in pictures[1:]]
        # Without its own width and height the whole picture would be the smallest size.
        style.element_create(
            f"{name}.border",
            "image",
            pictures[0][1],
            *maps,
            border=border,
            width=2 * border,
            height=2 * border,
            sticky="nsew",
            padding=0,
        )

    hair = theme.px(1)
    element(
        "card",
        "card",
        [
            ("", c.card, c.line, hair),
            ("invalid", c.card, c.bad, ring),
            ("selected", c.card, c.accent, ring),
        ],
    )
    for state in ("good", "warn", "bad"):
        tint = getattr(c, f"{state}_tint")
        element(f"card{state}", "card", [("", tint, c.bad if state == "bad" else tint, hair)])
    element("cardsunk", "card", [("", c.sunk, c.hair, hair)])
    element(
        "filled",
        "button",
        [
            ("", c.accent, c.accent, hair),
            ("disabled", dull, dull, hair),
            ("pressed", pressed, pressed, hair),
            ("focus", c.accent, c.ink, ring),
            ("active", over, over, hair),
        ],
    )
    element(
        "quiet",
        "button",
        [
            ("", c.card, c.line, hair),
            ("disabled", c.card, c.hair, hair),
            ("pressed", c.tint, c.accent, hair),
            ("focus", c.card, c.accent, ring),
            ("active", hover, c.line, hair),
        ],
    )
    element(
        "segment",
        "button",
        [
            ("", c.card, c.line, hair),
            ("selected focus", c.tint, c.accent, ring),
            ("focus", c.card, c.accent, ring),
            ("selected", c.tint, c.accent, hair),
            ("active", hover, c.line, hair),
        ],
    )
    field = c.sunk if theme.mode == "dark" else c.card
    element(
        "field",
        "field",
        [
            ("", field, c.field_edge, hair),
            ("invalid", field, c.bad, ring),
            ("focus", field, c.accent, ring),
            ("disabled", c.sunk, c.line, hair),
        ],
    )
    _draw_bars(root, style, theme)


def _draw_bars(root: tk.Misc, style: ttk.Style, theme: Theme) -> None:
    """The scroll bars: a thumb with round ends, upright and lying, in no groove."""
    c, thick, long = theme.colours, theme.px(8), theme.px(60)
    for way, size, border, sticky in (
        ("", (thick, long), (0, thick // 2), "ns"), ("wide", (long, thick), (thick // 2, 0), "ew")
    ):  # fmt: skip
        for key, colour in (("groove", None), ("thumb", c.line), ("thumbactive", c.quiet)):
            theme.images[key + way] = pixels.rounded_box(
                root, size=size, radius=thick / 2, fill=colour
            )
        active = ("active", theme.images[f"thumbactive{way}"])
        for key, maps, stuck in (("groove", (), sticky), ("thumb", (active,), "nsew")):
            style.element_create(
                f"slim.{key}{way}", "image", theme.images[key + way], *maps, border=border,
                width=thick, height=thick, sticky=stuck,
            )  # fmt: skip


TIGHT_PX = 4  # beside the words of a button where there is little room


def set_styles(style: ttk.Style, theme: Theme) -> None:
    """Lay out the styles on the elements. style: of the root; theme: the look.

    Labels drop clam's border, which would shift them off the left edge.
    """
    c = theme.colours
    button = (theme.space("button_x"), theme.space("button_y"))
    style.configure(".", background=c.bg, foreground=c.ink, font=theme.font("body"))
    style.configure("TFrame", background=c.bg)
    style.configure("Inner.TFrame", background=c.card)
    style.layout("TLabel", [("Label.padding", {"children": [("Label.label", {})]})])
    for ground, colour in (("", c.bg), ("Card.", c.card)):
        style.configure(f"{ground}TLabel", background=colour, foreground=c.ink, padding=0)
        style.configure(f"Soft.{ground}TLabel", foreground=c.soft, background=colour)
    for name in TYPE:
        style.configure(f"{name.title()}.TLabel", font=theme.font(name), background=c.card)
    style.configure("Hint.TLabel", font=theme.font("caption"), background=c.card, foreground=c.soft)
    style.configure("Fault.TLabel", font=theme.font("caption"), background=c.card, foreground=c.bad)
    for name, ground in (("", c.card), ("good", c.good_tint), ("warn", c.warn_tint)):
        _card_style(style, theme, name, ground)
    _card_style(style, theme, "bad", c.bad_tint)
    _card_style(style, theme, "sunk", c.sunk)
    for kind in ("filled", "quiet", "segment"):
        base = f"{kind.title()}.TButton" if kind != "segment" else "Segment.Toolbutton"
        style.layout(
            base,
            [
                (
                    f"{kind}.border",
                    {"children": [("Button.padding", {"children": [("Button.label", {})]})]},
                )
            ],
        )
        # The card behind the round corners; buttons on the window's own ground say 'Bg.'.
        for ground, colour in (("", c.card), ("Bg.", c.bg)):
            style.configure(f"{ground}{base}", background=colour, padding=button, anchor="center")
            style.configure(f"{ground}{base}", font=theme.font("label"), foreground=c.accent)
        style.configure(f"Tight.{base}", padding=(theme.px(TIGHT_PX), button[1]))
    for name in ("Filled.TButton", "Bg.Filled.TButton"):
        style.configure(name, foreground=c.on_accent)
        style.map(name, foreground=[("disabled", c.ink)])
    for name in ("Quiet.TButton", "Bg.Quiet.TButton"):
        style.map(name, foreground=[("disabled", c.soft)])
    style.layout(
        "Field.TEntry",
        [
            (
                "field.border",
                {"children": [("Entry.padding", {"children": [("Entry.textarea", {})]})]},
            )
        ],
    )
    style.configure(
        "Field.TEntry",
        background=c.card,
        foreground=c.ink,
        insertcolor=c.ink,
        insertwidth=theme.px(2),
        selectbackground=c.accent,
        selectforeground=c.on_accent,
        padding=(theme.space("field_x"), theme.space("field_y")),
    )
    style.map("Field.TEntry", foreground=[("disabled", c.soft)])
    style.layout(
        "Slim.Vertical.TScrollbar",
        [("slim.groove", {"sticky": "ns", "children": [("slim.thumb", {"sticky": "nswe"})]})],
    )
    style.layout(
        "Slim.Horizontal.TScrollbar",
        [
            (
                "slim.groovewide",
                {"sticky": "ew", "children": [("slim.thumbwide", {"sticky": "nswe"})]},
            )
        ],
    )
    for way in ("Vertical", "Horizontal"):
        style.configure(f"Slim.{way}.TScrollbar", background=c.card, troughcolor=c.card)
    style.configure("Bg.Slim.Vertical.TScrollbar", background=c.bg, troughcolor=c.bg)


def _card_style(style: ttk.Style, theme: Theme, name: str, ground: str) -> None:
    """A card's frame and the labels that lie on it."""
    title = name.title()
    frame = f"{title}Card.TFrame" if name else "Card.TFrame"
    style.layout(frame, [(f"card{name}.border", {"sticky": "nsew"})])
    behind = theme.colours.card if name else theme.colours.bg
    style.configure(frame, background=behind)
    style.configure(f"Bg.{frame}", background=theme.colours.bg)
    if name:
        style.configure(f"{title}.TFrame", background=ground)
        style.configure(f"{title}.TLabel", background=ground, foreground=theme.colours.ink)
        ink = theme.colours.soft if name == "sunk" else getattr(theme.colours, name)
        style.configure(
            f"{title}Word.TLabel", background=ground, foreground=ink, font=theme.font("label")
        )
