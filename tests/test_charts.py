"""The bars and the map: their data, their words, their picking."""

from __future__ import annotations

import subprocess
import sys
import tkinter as tk
from dataclasses import replace
from types import SimpleNamespace

import fake_answer
import numpy as np
import pytest

from desktop.bars import SensitivityBars, bar_name, hung_on
from desktop.build_map import BuildMap
from desktop.charts import Charts
from desktop.theme import apply_theme
from solver.findings import Answer
from solver.units import UM_PER

PIXEL = 1.5  # px: canvas coordinates are whole pixels


@pytest.fixture
def foot(window: tk.Toplevel) -> tuple[Charts, BuildMap, list[int]]:
    """The foot of a window, its map awake, and what was picked in it."""
    picked: list[int] = []
    theme = apply_theme(window, "light", False)
    build_map = BuildMap(window, theme, picked.append)
    charts = Charts(window, theme, build_map)
    charts.place(x=0, y=0, width=1250, height=160)
    window.update()
    build_map.wake()
    window.update()
    return charts, build_map, picked


def in_thou(answer: Answer) -> np.ndarray:
    """Where its other plans land [thou, (n, 2)]."""
    return np.array([other.predicted_um for other in answer.others]) / UM_PER["thou"]


def test_bars_are_sorted_and_to_scale(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """The longest bar comes first, in the accent; lengths are as the shares."""
    charts, _, _ = foot
    answer = fake_answer.met()
    charts.show(answer, "thou", "UK")
    bars = charts.bars
    shares = [share.share for share in hung_on(answer)[1]]
    boxes = [bars.coords(item) for item in bars.find_withtag("bar")]
    lengths = [right - left for left, _, right, _ in boxes]
    assert len(lengths) >= 3
    assert lengths == sorted(lengths, reverse=True)
    for length, share in zip(lengths, shares, strict=False):
        assert length == pytest.approx(lengths[0] * share / shares[0], abs=PIXEL)
    fills = [bars.itemcget(item, "fill") for item in bars.find_withtag("bar")]
    assert fills[0] != fills[1] and len(set(fills[1:])) == 1


def test_bars_say_their_values(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """A bar has its name at the left, its share at its end, and its reading's badge."""
    charts, _, _ = foot
    charts.show(fake_answer.met(), "thou", "UK")
    said = charts.bars.written()
    assert said[0] == "What the backlash hangs on"
    assert {"Mesh gap", "52 %", "2", "Transfer ratio", "27 %"} <= set(said)


def test_name_of_a_bar_leaves_the_number_to_its_badge() -> None:
    """The number of a reading is not said twice."""
    share = hung_on(fake_answer.met())[1][0]
    assert share.input == "mesh gap (reading 2)"
    assert bar_name(share) == "Mesh gap"


def test_no_answer_no_bars(window: tk.Toplevel) -> None:
    """Without an answer the bars say what will stand there."""
    bars = SensitivityBars(window, apply_theme(window, "dark", False))
    bars.place(x=0, y=0, width=500, height=150)
    window.update()
    bars.show(None)
    assert not bars.find_withtag("bar")
    assert len(bars.written()) == 2


def test_words_beside_the_bars_say_what_to_do(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """The sentence beside the bars names the reading to improve."""
    charts, _, _ = foot
    charts.show(fake_answer.met(), "thou", "UK")
    assert "reading 2" in str(charts.words.cget("text"))


def test_map_holds_the_answer(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """Box, cloud, chosen plan and others carry the answer's own figures in the shown unit."""
    charts, build_map, _ = foot
    answer = fake_answer.met()
    charts.show(answer, "thou", "UK")
    a = build_map._artists
    assert (a["box"].get_x(), a["box"].get_y()) == pytest.approx((5.0, 5.0))
    assert (a["box"].get_width(), a["box"].get_height()) == pytest.approx((3.0, 3.0))
    assert a["cloud"].get_xydata() * UM_PER["thou"] == pytest.approx(answer.verdict.cloud_um)
    assert a["others"].get_xydata() == pytest.approx(in_thou(answer))
    assert a["chosen"].get_xydata()[0] * UM_PER["thou"] == pytest.approx((163.2, 164.0))


def test_a_dot_can_be_picked(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """A click on a dot picks that plan, one beside every dot picks none."""
    charts, build_map, picked = foot
    answer = fake_answer.met()
    charts.show(answer, "mm", "UK")
    dots = build_map._axes.transData.transform(in_thou(answer) * UM_PER["thou"] / UM_PER["mm"])
    for x, y in dots:
        build_map._pressed(SimpleNamespace(x=x, y=y))
    build_map._pressed(SimpleNamespace(x=dots[0][0] + 40, y=dots[0][1] + 40))
    assert picked == list(range(len(answer.others)))


def test_map_keeps_its_artists(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """Another answer moves the same artists; none are added."""
    charts, build_map, _ = foot
    charts.show(fake_answer.met(), "thou", "UK")
    before = (len(build_map._axes.get_children()), id(build_map._artists["cloud"]))
    charts.show(fake_answer.short(), "mm", "US")
    charts.show(None, "mm", "US")
    assert (len(build_map._axes.get_children()), id(build_map._artists["cloud"])) == before
    assert build_map._artists["none"].get_visible()
    assert not build_map._artists["cloud"].get_visible()


def test_open_limit_is_drawn_to_the_edge(foot: tuple[Charts, BuildMap, list[int]]) -> None:
    """A limit that is open above reaches the top of the map and has no figure there."""
    charts, build_map, _ = foot
    answer = fake_answer.met()
    results = tuple(
        replace(r, high_um=float("inf")) if r.name == "pinch" else r for r in answer.verdict.results
    )
    charts.show(replace(answer, verdict=replace(answer.verdict, results=results)), "thou", "UK")
    box = build_map._artists["box"]
    assert box.get_y() + box.get_height() == pytest.approx(build_map._axes.get_ylim()[1])
    assert not build_map._artists["y high"].get_visible()


def test_map_survives_its_panel(window: tk.Toplevel) -> None:
    """The one figure outlives the panel it lies in and takes the look of the next."""
    theme = apply_theme(window, "light", False)
    build_map = BuildMap(window, theme, lambda _: None)
    first = Charts(window, theme, build_map)
    first.place(x=0, y=0, width=1250, height=160)
    window.update()
    build_map.wake()
    figure = build_map.figure
    first.destroy()
    dark = apply_theme(window, "dark", True)
    second = Charts(window, dark, build_map)
    second.place(x=0, y=0, width=1250, height=220)
    window.update()
    second.show(fake_answer.met(), "thou", "UK")
    assert build_map.figure is figure
    assert build_map.winfo_ismapped()
    assert figure.get_facecolor()[0] < 0.2


def test_waking_leaves_the_focus(window: tk.Toplevel) -> None:
    """Making the chart does not take the focus from the field it is in."""
    entry = tk.Entry(window)
    entry.pack()
    window.update()
    entry.focus_force()
    window.update()
    build_map = BuildMap(window, apply_theme(window, "light", False), lambda _: None)
    build_map.pack()
    build_map.wake()
    window.update()
    assert window.focus_get() is entry


def test_matplotlib_comes_late() -> None:
    """Importing every panel brings in neither matplotlib nor its image library."""
    code = (
        "import sys, desktop.charts, desktop.build_map, desktop.answer_panel, desktop.drawing;"
        "print([m for m in ('matplotlib', 'PIL', 'ortools', 'tktooltip') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
