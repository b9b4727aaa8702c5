"""The look put on Tk: one ttk theme of our own, its fonts, and the measures panels ask for."""

from __future__ import annotations

import itertools
import re
import shutil
import subprocess
import tkinter as tk
from dataclasses import dataclass, field
from tkinter import font as tkfont
from tkinter import ttk

from desktop.tokens import (
    DENSE_SPACE,
    DENSE_TYPE,
    FAMILIES,
    LARGE_TYPE,
    SEAT_TOKENS,
    SPACE,
    SURE_FAMILY,
    TYPE,
    Palette,
    palette,
)

_COUNT = itertools.count()


@dataclass(frozen=True, slots=True, eq=False)
class Theme:
    """What a panel has to know of the look: colours, fonts, measures."""

    mode: str  # 'light' or 'dark'
    large: bool
    dense: bool
    zoom: float  # screen pixels to a pixel at 96 dpi
    colours: Palette
    family: str
    fonts: dict[str, tkfont.Font]  # by the name of the type token
    images: dict[str, tk.PhotoImage]  # kept, or Tk forgets them
    seats: dict[str, str] = field(default_factory=dict)  # colours of seats that a job has named

    def px(self, at_96_dpi: float) -> int:
        """Turn a fixed length into screen pixels. at_96_dpi: [px]. Returns at least 1 [px]."""
        return max(1, round(at_96_dpi * self.zoom))

    def space(self, name: str) -> int:
        """Give a space token on this screen. name: of the token. Returns it [px]."""
        part = DENSE_SPACE if self.dense and name != "badge" else 1.0
        grown = self.type_scale if name in ("badge", "field_x", "field_y") else 1.0
        return self.px(SPACE[name] * part * (grown if self.large else 1.0))

    @property
    def type_scale(self) -> float:
        """How much larger type is than usual."""
        return type_scale(self.large, self.dense)

    def font(self, name: str) -> tkfont.Font:
        """Give a font. name: of the type token. Returns it."""
        return self.fonts[name]

    def wide(self, name: str, text: str) -> int:
        """Measure a text. name: of the type token; text: one line. Returns its width [px]."""
        return self.fonts[name].measure(text)

    def tall(self, name: str) -> int:
        """Measure a line. name: of the type token. Returns its height [px]."""
        return int(self.fonts[name].metrics("linespace"))

    def name_seats(self, names: tuple[str, ...]) -> None:
        """Give every seat of a job a colour of its own. names: of the seats, in the job's order."""
        tokens = [name.replace(" ", "_") for name in names]
        free = [token for token in SEAT_TOKENS if token not in tokens]
        own = [name for name, token in zip(names, tokens, strict=True) if token not in SEAT_TOKENS]
        self.seats.clear()
        self.seats.update(zip(own, free, strict=False))

    def side(self, seat: str) -> str:
        """Give the colour of a seat. seat: 'wheel side' or another. Returns '#RRGGBB'."""
        token = self.seats.get(seat, seat.replace(" ", "_"))
        return str(getattr(self.colours, token if token in SEAT_TOKENS else "plain_side"))


def type_scale(large: bool, dense: bool) -> float:
    """Give the factor on every type size. large, dense: as themed. Returns it; large wins."""
    if large:
        return LARGE_TYPE
    return DENSE_TYPE if dense else 1.0


def screen_dpi(root: tk.Misc) -> float:
    """Find the dots per inch that the desktop is set to.

    root: the window. Returns: Xft.dpi where X11 has one, else Tk's own figure, from 72 to 400.
    """
    dpi = 72 * float(root.tk.call("tk", "scaling"))
    xrdb = shutil.which("xrdb") if root.tk.call("tk", "windowingsystem") == "x11" else None
    if xrdb:
        try:
            asked = subprocess.run(
                [xrdb, "-query"], capture_output=True, text=True, timeout=1, check=False
            ).stdout
        except (OSError, subprocess.TimeoutExpired):
            asked = ""
        if found := re.search(r"^Xft\.dpi:\s*([0-9.]+)\s*$", asked, re.MULTILINE):
            dpi = float(found[1])
    return min(max(dpi, 72.0), 400.0)


def chosen_family(root: tk.Misc) -> str:
    """Choose the family: the first present whose digits are all of one width.

    root: the window. Returns a name. Tk substitutes a missing family without a word, so presence
    is asked; without digits of one width no column of figures stands straight.
    """
    present = set(tkfont.families(root))
    for family in FAMILIES:
        if family in present:
            probe = tkfont.Font(root, family=family, size=-40, weight="bold")
            if len({probe.measure(digit) for digit in "0123456789"}) == 1:
                return family
    return SURE_FAMILY


def apply_theme(
    root: tk.Misc, mode: str, large: bool, dense: bool = False, family: str | None = None
) -> Theme:
    """Put the look on a window, its fonts and its ttk styles, before panels are built.

    root: the window; mode: 'light' or 'dark'; large: large type; dense: on a narrow screen; family:
    of the type, or None to choose. Returns the theme to hand to the panels, which have to be built
    again after another call.
    """
    zoom = max(screen_dpi(root) / 96, 0.75)
    root.tk.call("tk", "scaling", zoom * 96 / 72)
    family = family or chosen_family(root)
    scale = type_scale(large, dense) * zoom * 96 / 72
    fonts = {name: _font(root, name, family, scale) for name in TYPE}
    theme = Theme(mode, large, dense, zoom, palette(mode), family, fonts, {})
    style = ttk.Style(root)
    name = f"bench-{next(_COUNT)}"
    style.theme_create(name, parent="clam")
    style.theme_use(name)
    from desktop.styles import draw_elements, set_styles  # here: styles needs Theme

    draw_elements(root, style, theme)
    set_styles(style, theme)
    top = root.winfo_toplevel()
    top.configure(background=theme.colours.bg)
    return theme


def _font(root: tk.Misc, name: str, family: str, scale: float) -> tkfont.Font:
    """A named font, made once for a root and set anew: widgets that use it follow by themselves."""
    points, bold = TYPE[name]
    named = f"bench.{name}"
    exists = named in tkfont.names(root)
    font = tkfont.Font(root, name=named, exists=exists)
    # Negative is pixels: points would be rounded by another scaling than ours.
    font.configure(family=family, size=-round(points * scale), weight="bold" if bold else "normal")
    # Tk deletes a named font with its Python object; these have to outlive any one theme.
    font.delete_font = False
    return font
