"""A backlash read round the wheel, in its card: the chart, its words, the way there and back."""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from shots import ROUND, TIGHTEST
from test_window import edited
from whole_window import Bench

from desktop.edits import remove_at
from desktop.polar import TOO_FEW, Polar
from desktop.theme import apply_theme
from solver.units import UM_PER

Opened = Callable[..., Bench]


@pytest.fixture
def polar(window: tk.Toplevel) -> Polar:
    """A chart on a window of its own."""
    made = Polar(window, apply_theme(window, "light", False))
    made.place(x=0, y=0, width=260)
    window.update()
    return made


def off_centre(tight_deg: float, teeth: int) -> tuple[float, ...]:
    """Backlash of a wheel a thou off centre [µm]. tight_deg: from the first tooth. Returns it."""
    turns = (math.radians(360.0 * at / teeth - tight_deg) for at in range(teeth))
    return tuple(UM_PER["thou"] * (7.5 - math.cos(turn)) for turn in turns)


def painted(polar: Polar, colour: str) -> tuple[float, float]:
    """The middle of everything in a colour, from the middle of the chart [px]."""
    picture = polar._picture
    red, green, blue = (value >> 8 for value in polar.winfo_rgb(colour))
    found = []
    for x in range(picture.width()):
        for y in range(picture.height()):
            pixel = picture._PhotoImage__photo.get(x, y)
            if sum(abs(a - b) for a, b in zip(pixel, (red, green, blue), strict=True)) < 12:
                found.append((x - picture.width() / 2, y - picture.height() / 2))
    assert found
    return tuple(sum(axis) / len(found) for axis in zip(*found, strict=True))  # type: ignore[return-value]  # of two


@pytest.mark.parametrize("tight_deg", [0, 90, 225])
def test_the_arrow_points_at_the_tight_spot(polar: Polar, tight_deg: int) -> None:
    """The first tooth at the top, the turn clockwise; the words name the nearest tooth."""
    polar.show(off_centre(tight_deg, 8), "thou")
    x, y = painted(polar, polar._theme.colours.warn)
    assert math.degrees(math.atan2(x, -y)) % 360 == pytest.approx(tight_deg % 360, abs=8) or (
        tight_deg == 0 and abs(math.degrees(math.atan2(x, -y))) < 8
    )
    said = " ".join(polar.written())
    assert "Wanders 2.0 thou" in said and "mean 7.5 thou" in said
    assert f"tightest at {tight_deg // 45 + 1} of 8" in said


def test_too_few_teeth_say_so(polar: Polar) -> None:
    """Two readings are no turn."""
    polar.show((190.0, 200.0), "thou")
    assert polar.written() == (TOO_FEW,)


def test_an_even_wheel_is_drawn(polar: Polar) -> None:
    """No run-out at all: no division by nought."""
    polar.show((190.0,) * 4, "mm")
    assert "Wanders 0.000 mm" in polar.written()


def test_the_card_of_a_wheel_read_round(opened: Opened, tmp_path: Path) -> None:
    """The chart stands in the card, the answer is about the tightest tooth; other ways go back."""
    bench = opened(edited(tmp_path, ROUND, TIGHTEST)).start()
    card: Any = bench.frame.readings.cards[2]
    assert card.polar is not None and "Wanders 1.9 thou" in card.polar.written()
    job = bench.window.asking.answer.job
    assert job.wheel is not None and job.wheel.where == "tightest"
    field = card.fields[("readings", 2, "around")]
    bench.put(field, "7.0 7.0 7.0 7.0")
    bench.settle()
    assert "Wanders 0.0 thou" in card.polar.written()
    assert bench.window.asking.answer.job.wheel.half_um == pytest.approx(0.0, abs=1e-9)
    card._taken_as("values")
    bench.settle()
    assert card.polar is None
    bench.put(card.fields[("readings", 2, "values")], "7.0 7.1")
    bench.settle()
    assert bench.window.asking.answer.job.wheel is None


def test_a_warm_reading_and_where_the_wheel_stood(opened: Opened, tmp_path: Path) -> None:
    """Both are typed in the card, by way of its menu; the answer tells of the unit at work."""
    metals = 'housing = "aluminium"\ncarrier = "steel"\nwidth = "150 mm"\nworking = 80\n\n[limits]'
    path = edited(tmp_path, ROUND, TIGHTEST, ("[limits]", f"[warmth]\n{metals}"))
    bench = opened(path, size="1920x1080").start()
    cold = bench.window.asking.answer.estimates[0].value
    assert any(text.startswith("At 80 °C") for text in bench.frame.answer.written())
    card: Any = bench.frame.readings.cards[0]
    assert ("readings", 0, "temperature") not in card.fields
    card._do("around")
    bench.settle()
    assert ("readings", 0, "turn") not in card.fields  # a clearance is the same all round
    bench.put(card.fields[("readings", 0, "temperature")], "35")
    bench.settle()
    job = bench.window.asking.answer.job
    assert job.readings[0].celsius == 35.0
    grown = 150_000.0 * 11.5e-6 * 15.0
    assert bench.window.asking.answer.estimates[0].value < cold - 0.5 * grown
    card = bench.frame.readings.cards[1]
    card._do("around")
    bench.settle()
    bench.put(card.fields[("readings", 1, "turn")], "90")
    bench.settle()
    assert bench.window.asking.answer.job.readings[1].turn_deg == 90.0


def test_metals_are_chosen_in_the_set_up(opened: Opened, tmp_path: Path) -> None:
    """Chosen, shown, and taken away again with one button's edit."""
    bench = opened(edited(tmp_path)).start()
    bench.frame.middle.turn_to("set-up")
    bench.settle()
    form = bench.frame.middle.setup.form
    form.fields[("warmth", "housing")]._told("aluminium")
    form.fields[("warmth", "carrier")]._told("steel")
    bench.put(form.fields[("warmth", "width")], "150 mm")
    bench.put(form.fields[("warmth", "working")], "80")
    bench.settle()
    warmth = bench.window.asking.answer.job.warmth
    assert warmth is not None and warmth.working_c == 80.0
    assert form.fields[("warmth", "housing")].value == "aluminium"
    form.told(remove_at(("warmth",)), ("warmth",), False)
    bench.settle()
    assert bench.window.asking.answer.job.warmth is None
    assert form.fields[("warmth", "housing")].value == ""
