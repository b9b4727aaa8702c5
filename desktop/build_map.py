"""The map at the foot: the first result across, the second up, the wanted box, where builds land.

That is backlash and pinch, or of a pinion alone its depth and its end float. A pinion on a crush
spacer has one result: its builds are heaped above its axis, and plans stand on it.

One figure and one canvas for the window's life: another canvas would leak the first. So the map's
parent is the window itself; `put_in` moves it into whatever panel was built last. matplotlib comes
in with `wake`, late, when the window has been painted.
"""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from typing import Any

import numpy as np

from desktop.theme import Theme
from desktop.tokens import SURE_FAMILY
from solver.findings import Answer, ResultFound
from solver.report_words import TRADE_WORDS, UNIT_SHOWN, bare_length
from solver.units import UM_PER

NEAR_PX = 12  # how near a click has to be to a dot
MOST_SPANS = 1.6  # of the wanted box, shown beyond it on either side
TITLE = "Where builds land"
HEAPS = 56  # that builds are heaped up in where there is one result
ON_AXIS = -0.16  # where plans stand below those heaps; the tallest is 1 high
WAITING = "With a plan, its builds stand here against the limits."
Span = tuple[float, float]


class BuildMap(tk.Frame):
    """The map; blank until it is woken."""

    def __init__(self, window: tk.Misc, theme: Theme, on_pick: Callable[[int], object]) -> None:
        """window: the window itself; theme: the look; on_pick: called with the place of another
        plan in the answer's others."""
        super().__init__(window, bg=theme.colours.card, bd=0, highlightthickness=0)
        self._theme, self._on_pick = theme, on_pick
        self._artists: dict[str, Any] = {}
        self._shown: tuple[Answer | None, bool] = (None, False)
        self._dots = np.zeros((0, 2))  # [unit, (n, 2)] of the other plans, as shown
        self.figure: Any = None

    def put_in(self, place: tk.Misc, theme: Theme) -> None:
        """Move the map into a panel and restyle it. place: the panel; theme: its look."""
        self._theme = theme
        self.pack(in_=place, fill="both", expand=True)
        self.lift()
        self.configure(bg=theme.colours.card)
        if self.figure is not None:
            self._style()
            self.show(*self._shown)

    def wake(self) -> None:
        """Make the figure, once matplotlib can be imported without being missed; main thread."""
        if self.figure is not None:
            return
        from matplotlib.backends.backend_tkagg import FigureCanvasTkAgg
        from matplotlib.figure import Figure

        make_canvas: Any = FigureCanvasTkAgg  # the library says no types for it
        focused = self.focus_get()
        self.figure = Figure(dpi=96)
        self._axes = self.figure.add_axes((0, 0, 1, 1))
        self._axes.set_axis_off()
        self._canvas: Any = make_canvas(self.figure, self)
        widget = self._canvas.get_tk_widget()
        widget.configure(takefocus=0, highlightthickness=0, bd=0)
        widget.pack(fill="both", expand=True)
        # The canvas asked for the focus for when it is mapped. Tk forgets that only on a focus
        # that is a change, so the focus goes by way of the window.
        self.winfo_toplevel().focus_set()
        if focused is not None:
            focused.focus_set()
        self._make_artists()
        self._style()
        self._canvas.mpl_connect("button_press_event", self._pressed)
        self._canvas.mpl_connect("motion_notify_event", self._moved)
        self._canvas.mpl_connect("resize_event", lambda _: self._resized())
        self.show(*self._shown)

    def show(self, answer: Answer | None, old: bool = False) -> None:
        """Show where builds of a plan would land. answer: its job in the unit and words to be
        shown, or None; old: to be drawn faint."""
        self._shown = (answer, old)
        if self.figure is None:
            return
        known = answer is not None and answer.verdict is not None
        for artist in self._artists.values():
            artist.set_visible(known)
        self._artists["none"].set_visible(not known)
        self._artists["title"].set(visible=True)
        self._entitle("")
        self._dots = np.zeros((0, 2))
        if known:
            assert answer is not None
            self._place(answer, old)
        self._canvas.draw_idle()

    def _resized(self) -> None:
        self._style()
        self.show(*self._shown)

    def _make_artists(self) -> None:
        from matplotlib.patches import Rectangle

        axes = self._axes
        box = Rectangle((0, 0), 1, 1, zorder=1)
        axes.add_patch(box)
        self._artists = {
            "box": box,
            "cloud": axes.plot([], [], linestyle="none", marker="o", zorder=2)[0],
            "others": axes.plot([], [], linestyle="none", marker="o", zorder=3)[0],
            "chosen": axes.plot([], [], linestyle="none", marker="o", zorder=4)[0],
            "title": self.figure.text(0, 1, TITLE, va="baseline"),
            "none": self.figure.text(0, 1, WAITING, va="top"),
            **{
                name: axes.text(0, 0, "", ha=ha, va=va)
                for name, ha, va in (
                    ("x low", "center", "top"),
                    ("x high", "center", "top"),
                    ("y low", "right", "center"),
                    ("y high", "right", "center"),
                    ("across", "center", "top"),
                    ("up", "right", "center"),
                )
            },
        }

    def _points(self, name: str) -> float:
        """Size of a type token in this figure's points: pixels over its dpi, never over 96."""
        return float(abs(self._theme.font(name).cget("size")) * 72 / self.figure.dpi)

    def _style(self) -> None:
        """Colours and type of every artist, after the theme."""
        from matplotlib import font_manager

        theme, c = self._theme, self._theme.colours
        known = {font.name for font in font_manager.fontManager.ttflist}
        family = theme.family if theme.family in known else SURE_FAMILY
        self.figure.set_facecolor(c.card)
        self._canvas.get_tk_widget().configure(bg=c.card)
        dot = theme.zoom * 72 / self.figure.dpi  # points to a pixel at 96 dpi
        a = self._artists
        a["box"].set(facecolor=c.good_tint, edgecolor=c.good, linewidth=1.2 * dot)
        a["cloud"].set(markersize=3.4 * dot, markeredgewidth=0)
        a["others"].set(
            markersize=8 * dot,
            markerfacecolor=c.card,
            markeredgecolor=c.soft,
            markeredgewidth=1.8 * dot,
        )
        a["chosen"].set(markersize=12 * dot, markeredgecolor=c.card, markeredgewidth=2 * dot)
        for artist in a.values():
            if hasattr(artist, "set_fontsize"):
                artist.set(fontfamily=family, color=c.soft, fontsize=self._points("caption"))
        a["title"].set(color=c.ink, fontsize=self._points("title"), fontweight="bold")
        a["none"].set(fontsize=self._points("body"))
        tall = max(self._canvas.get_width_height()[1], 1)
        a["title"].set_position((0, 1 - theme.font("title").metrics("ascent") / tall))
        a["none"].set_position((0, 1 - (theme.tall("title") + theme.px(5)) / tall))
        a["none"].set_text(self._wrapped(WAITING))

    def _place(self, answer: Answer, old: bool) -> None:
        """Every artist where the answer puts it."""
        assert answer.verdict is not None
        c, a, unit = self._theme.colours, self._artists, answer.job.unit
        per = UM_PER[unit]
        shown = answer.verdict.clouded
        cloud = answer.verdict.cloud_um / per
        one = len(shown) == 1
        found = (shown[0], BESIDE_IT if one else shown[1])
        dots = np.array([other.predicted_um[: len(shown)] for other in answer.others]) / per
        self._dots = dots.reshape(-1, len(shown))
        x_view = _view(_limits(found[0], per), cloud[:, 0], self._dots[:, 0])
        y_view = (2.0 * ON_AXIS, 1.12)
        chosen = [result.predicted_um / per for result in shown]
        if one:
            cloud = np.column_stack([cloud, _heaped(cloud[:, 0], x_view)])
            self._dots = np.column_stack([self._dots, np.full(len(self._dots), ON_AXIS)])
            chosen.append(ON_AXIS)
        else:
            y_view = _view(_limits(found[1], per), cloud[:, 1], self._dots[:, 1])
        accent = c.quiet if old else c.accent
        a["cloud"].set(markerfacecolor=accent, alpha=0.16 if old else 0.3)
        a["cloud"].set_data(cloud[:, 0], cloud[:, 1])
        a["others"].set_data(self._dots[:, 0], self._dots[:, 1])
        a["chosen"].set_data([chosen[0]], [chosen[1]])
        a["chosen"].set(markerfacecolor=accent)
        for letter, result in zip(("x", "y"), found, strict=True):
            a[f"{letter} low"].set_text(bare_length(result.low_um, unit, True))
            a[f"{letter} high"].set_text(bare_length(result.high_um, unit, True))
        names = tuple(axis_name(result.name, answer.job.words) for result in shown)
        self._frame(unit, names, x_view, y_view)
        self._bounds(found, per)

    def _frame(self, unit: str, names: tuple[str, ...], x_view: Span, y_view: Span) -> None:
        """The axes inside their words: title above, limits at the left and below."""
        theme, a = self._theme, self._artists
        wide, tall = (max(n, 1) for n in self._canvas.get_width_height())
        self._entitle(f", {UNIT_SHOWN[unit]}")
        a["across"].set_text(names[0])
        a["up"].set_text(names[1] if len(names) > 1 else "")
        left = self._wide(a["x low"])
        if len(names) > 1:
            left = max(self._wide(a[name]) for name in ("up", "y low", "y high")) + theme.px(8)
        right = self._wide(a["x high"])
        bottom = theme.tall("caption") + theme.px(3)
        top = theme.tall("title") + theme.px(6)
        self._axes.set_position(
            (
                left / wide,
                bottom / tall,
                max(1 - (left + right) / wide, 0.05),
                max(1 - (top + bottom) / tall, 0.05),
            )
        )
        self._axes.set(xlim=x_view, ylim=y_view)

    def _bounds(self, found: tuple[ResultFound, ResultFound], per: float) -> None:
        """The wanted box, cut to what is shown, and its limits written along the edges."""
        a = self._artists
        (x0, x1), (y0, y1) = self._axes.get_xlim(), self._axes.get_ylim()
        across, up = found
        left, right = max(across.low_um / per, x0), min(across.high_um / per, x1)
        low, high = max(up.low_um / per, y0), min(up.high_um / per, y1)
        a["box"].set_bounds(left, low, right - left, high - low)
        px, py = self._unit_px()
        for name, limit_um, x, y in (
            ("x low", across.low_um, left, y0 - 3 * py),
            ("x high", across.high_um, right, y0 - 3 * py),
            ("y low", up.low_um, x0 - 6 * px, low),
            ("y high", up.high_um, x0 - 6 * px, high),
        ):
            a[name].set_visible(math.isfinite(limit_um))
            a[name].set_position((x, y))
        a["across"].set_position(((left + right) / 2, y0 - 3 * py))
        a["up"].set_position((x0 - 6 * px, (low + high) / 2))
        # Limits that stand close are written outwards, and what they are limits of not at all.
        gap, line = self._theme.px(6) * px, self._theme.tall("caption") * py
        least, most, named = (self._wide(a[key]) * px for key in ("x low", "x high", "across"))
        apart = right - left > (least + most) / 2 + gap
        a["x low"].set_ha("center" if apart else "right")
        a["x high"].set_ha("center" if apart else "left")
        a["across"].set_visible(right - left > (least + most) / 2 + named + 2 * gap)
        apart = high - low > line
        a["y low"].set_va("center" if apart else "top")
        a["y high"].set_va("center" if apart else "bottom")
        a["up"].set_visible(high - low > 2 * line and up is not BESIDE_IT)

    def _wide(self, text: Any) -> float:
        """How wide a text is as drawn [px]; its family may be another than the window's."""
        return float(text.get_window_extent(self._canvas.get_renderer()).width)

    def _entitle(self, unit: str) -> None:
        """Write the title, with its unit where there is room. unit: ', thou' or ''."""
        title, room = self._artists["title"], self._canvas.get_width_height()[0]
        for words in (TITLE + unit, TITLE, "Builds"):
            title.set_text(words)
            if self._wide(title) <= room:
                break

    def _wrapped(self, words: str) -> str:
        """Break a sentence into lines that the figure has room for."""
        text, room = self._artists["none"], self._canvas.get_width_height()[0]
        lines: list[str] = []
        for word in words.split():
            text.set_text(f"{lines[-1]} {word}" if lines else word)
            if lines and self._wide(text) <= room:
                lines[-1] = text.get_text()
            else:
                lines.append(word)
        return "\n".join(lines)

    def _unit_px(self) -> tuple[float, float]:
        """What one pixel is in units of the axes."""
        box = self._axes.get_position()
        wide, tall = self._canvas.get_width_height()
        (x0, x1), (y0, y1) = self._axes.get_xlim(), self._axes.get_ylim()
        return (x1 - x0) / max(box.width * wide, 1), (y1 - y0) / max(box.height * tall, 1)

    def _nearest(self, event: Any) -> int | None:
        """The other plan under the pointer, if any."""
        if not len(self._dots):
            return None
        placed = self._axes.transData.transform(self._dots)
        far = np.hypot(placed[:, 0] - event.x, placed[:, 1] - event.y)
        place = int(np.argmin(far))
        return place if far[place] <= NEAR_PX * self._theme.zoom else None

    def _pressed(self, event: Any) -> None:
        place = self._nearest(event)
        if place is not None:
            self._on_pick(place)

    def _moved(self, event: Any) -> None:
        over = self._nearest(event) is not None
        self._canvas.get_tk_widget().configure(cursor="hand2" if over else "")


# Stands in for a second result where there is none: without limits, and without a name.
BESIDE_IT = ResultFound("", 0.0, 0.0, -math.inf, math.inf, 1.0, (0.0, 0.0), math.inf, 0.0)


def axis_name(result: str, words: str) -> str:
    """Name a result beside its axis. result: its name; words: 'UK' or 'US'. Returns text."""
    trade = TRADE_WORDS[words]
    return trade.end_float if result == "pinion end float" else trade.result(result, short=True)


def _limits(found: ResultFound, per: float) -> Span:
    return found.low_um / per, found.high_um / per


def _heaped(values: np.ndarray, view: Span) -> np.ndarray:
    """Heights at which builds lie on one another, the tallest heap 1 high [(n,)]."""
    if not len(values):
        return values
    heap = np.floor((values - view[0]) / (view[1] - view[0]) * HEAPS)
    order = np.argsort(heap, kind="stable")
    _, first, count = np.unique(heap[order], return_index=True, return_counts=True)
    high = np.empty(len(values))
    high[order] = np.arange(len(values)) - np.repeat(first, count)
    return (high + 0.5) / max(float(count.max()), 1.0)


def _view(limits: Span, cloud: np.ndarray, dots: np.ndarray) -> Span:
    """What to show of one axis: box, nearly all of the cloud, and dots not too far off."""
    ends = [end for end in limits if math.isfinite(end)]
    if len(cloud):
        ends += [float(end) for end in np.quantile(cloud, (0.005, 0.995))]
    low, high = (min(ends), max(ends)) if ends else (0.0, 1.0)
    reach = MOST_SPANS * (high - low)
    near = [float(dot) for dot in dots if low - reach <= dot <= high + reach]
    low, high = min((low, *near)), max((high, *near))
    margin = 0.09 * (high - low) or 1.0
    return low - margin, high + margin
