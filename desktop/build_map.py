"""The map at the foot: backlash across, pinch up, the wanted box, and where builds would land.

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
        across, up = (_result(answer, name) for name in ("backlash", "pinch"))
        cloud = answer.verdict.cloud_um / per
        self._dots = np.array([other.predicted_um for other in answer.others]).reshape(-1, 2) / per
        accent = c.quiet if old else c.accent
        a["cloud"].set(markerfacecolor=accent, alpha=0.16 if old else 0.3)
        a["cloud"].set_data(cloud[:, 0], cloud[:, 1])
        a["others"].set_data(self._dots[:, 0], self._dots[:, 1])
        a["chosen"].set_data([across.predicted_um / per], [up.predicted_um / per])
        a["chosen"].set(markerfacecolor=accent)
        x_view, y_view = (
            _view((found.low_um / per, found.high_um / per), cloud[:, k], self._dots[:, k])
            for k, found in enumerate((across, up))
        )
        for letter, found in (("x", across), ("y", up)):
            a[f"{letter} low"].set_text(bare_length(found.low_um, unit, True))
            a[f"{letter} high"].set_text(bare_length(found.high_um, unit, True))
        self._frame(answer, x_view, y_view)
        self._bounds((across, up), per)

    def _frame(self, answer: Answer, x_view: Span, y_view: Span) -> None:
        """The axes inside their words: title above, limits at the left and below."""
        theme, a = self._theme, self._artists
        pinch = TRADE_WORDS[answer.job.words].result("pinch", short=True)
        wide, tall = (max(n, 1) for n in self._canvas.get_width_height())
        self._entitle(f", {UNIT_SHOWN[answer.job.unit]}")
        a["up"].set_text(pinch)
        a["across"].set_text("backlash")
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
        a["up"].set_visible(high - low > 2 * line)

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


def _result(answer: Answer, name: str) -> ResultFound:
    """A result; one without limits at nought where the job has no such limit."""
    found = next((r for r in answer.verdict.results if r.name == name), None)  # type: ignore[union-attr]  # there is a verdict
    return found or ResultFound(name, 0.0, 0.0, -math.inf, math.inf, 1.0, (0.0, 0.0), math.inf, 0.0)


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
