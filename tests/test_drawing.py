"""The section as geometry, and what is written in the drawing."""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from itertools import combinations

import answers
import fake_answer
import pytest

from desktop.drawing import AxleDrawing
from desktop.section import Section, draw_section
from desktop.section_parts import STACK_MOST, Side
from desktop.stacks_drawn import SHIM_LEAST, sides_as_drawn, stack_words
from desktop.theme import apply_theme
from solver.job import CARRIER_READABLE, PLAIN_SIDE, WHEEL_SIDE, Layout, Seat
from solver.plan import Piece, Plan, SeatStack

UNDERS = ("bearing", "cover")
WAYS = [(wheel, shims) for wheel in ("left", "right") for shims in ("outside", "inside")]
BADGE_UNITS = 24.0  # of a badge in a drawing as wide as its units
ROUNDING = 1e-9  # of a drawing unit


def seats(under: tuple[str, str] = ("bearing", "bearing")) -> tuple[Seat, ...]:
    """Both seats of a job. under: of wheel side and plain side. Returns them."""
    names = (WHEEL_SIDE, PLAIN_SIDE)
    return tuple(Seat(name, kind, 0, 4) for name, kind in zip(names, under, strict=True))


def drawn(wheel: str, shims: str, under: tuple[str, str] = ("bearing", "bearing")) -> Section:
    """The section of the made-up plan. Returns it."""
    sides, _ = sides_as_drawn(seats(under), answers.a_plan())
    return draw_section(Layout(wheel, shims), sides[WHEEL_SIDE], sides[PLAIN_SIDE])


@pytest.mark.parametrize("under", [(a, b) for a in UNDERS for b in UNDERS])
@pytest.mark.parametrize(("wheel", "shims"), WAYS)
def test_every_reading_has_its_spot(wheel: str, shims: str, under: tuple[str, str]) -> None:
    """Whatever a carrier shows has a spot and a badge inside the drawing; no two badges touch."""
    section = drawn(wheel, shims, under)
    assert set(section.spots) == set(CARRIER_READABLE)
    for spot, badge in section.spots.values():
        for x, y in (spot, badge):
            assert section.left <= x <= section.right
            assert section.top <= y <= section.bottom
    badges = [badge for _, badge in section.spots.values()]
    assert min(math.dist(a, b) for a, b in combinations(badges, 2)) >= BADGE_UNITS


@pytest.mark.parametrize("shims", ["outside", "inside"])
def test_wheel_on_the_right_is_the_mirror(shims: str) -> None:
    """With the wheel on the right every shim stands where its mirror image stood."""
    left, right = drawn("left", shims), drawn("right", shims)
    assert [(b.seat, -b.right, b.top, -b.left, b.bottom) for b in left.shims] == [
        (b.seat, b.left, b.top, b.right, b.bottom) for b in right.shims
    ]
    assert (right.left, right.right) == (-left.right, -left.left)


@pytest.mark.parametrize("under", [(a, b) for a in UNDERS for b in UNDERS])
@pytest.mark.parametrize(("wheel", "shims"), WAYS)
def test_wheel_side_is_where_the_wheel_backs_to(
    wheel: str, shims: str, under: tuple[str, str]
) -> None:
    """The wheel side's shims are on the wheel's own side of the pinion, the other's opposite."""
    way = -1 if wheel == "left" else 1
    for box in drawn(wheel, shims, under).shims:
        middle = (box.left + box.right) / 2
        assert (middle * way > 0) == (box.seat == WHEEL_SIDE)


def test_shims_are_to_one_scale() -> None:
    """Both stacks are drawn to one scale, the thickest as thick as the drawing allows."""
    sides, per_um = sides_as_drawn(seats(), answers.a_plan())
    assert sum(sides[PLAIN_SIDE].shims) == pytest.approx(STACK_MOST)
    assert sides[WHEEL_SIDE].shims == pytest.approx((406.4 * per_um,))
    assert sides[PLAIN_SIDE].shims == pytest.approx((387.35 * per_um,) * 2)


def test_thin_shim_is_still_seen() -> None:
    """A shim too thin for the scale is drawn thick enough to be seen."""
    pieces = (Piece("A1", 1, 1000.0), Piece("A2", 1, 5.0))
    plan = Plan((SeatStack(WHEEL_SIDE, pieces), SeatStack(PLAIN_SIDE, ())))
    sides, _ = sides_as_drawn(seats(), plan)
    assert sides[WHEEL_SIDE].shims[1] == SHIM_LEAST


def test_dimension_spans_its_stack() -> None:
    """A dimension reaches from the first to the last of its shims, above them all."""
    section = drawn("left", "outside")
    for dim in section.dimensions:
        boxes = [box for box in section.shims if box.seat == dim.seat]
        assert dim.left == pytest.approx(min(box.left for box in boxes), abs=ROUNDING)
        assert dim.right == pytest.approx(max(box.right for box in boxes), abs=ROUNDING)
        assert dim.top == min(box.top for box in boxes)


def test_tooth_lines_meet_where_the_axes_meet() -> None:
    """Both long edges of every tooth point at the meeting of the axes.

    Source: bevel gearing: the elements of pitch, root and face cones share one apex here.
    """
    teeth = [shape for shape in drawn("left", "outside").shapes if shape.fill == "tooth"]
    assert len(teeth) == 4
    for tooth in teeth:
        for (ax, ay), (bx, by) in (tooth.points[:2], tooth.points[2:]):
            assert ax * by - ay * bx == pytest.approx(0.0, abs=1e-6)


def test_cover_carries_its_shims_under_its_flange() -> None:
    """Under a cover the shims lie outside the housing, and the flange outside the shims."""
    section = draw_section(Layout(), Side("bearing", (20.0,), True), Side("cover", (30.0,), True))
    boxes = [box for box in section.shims if box.seat == PLAIN_SIDE]
    housing = max(x for x, _ in section.shapes[0].points)
    assert {box.left for box in boxes} == {housing}
    assert section.right > max(box.right for box in boxes)


def test_stack_is_said_at_falling_length() -> None:
    """A stack reads with its parts, then as its total; without a plan it says so."""
    stack = answers.a_plan().stack(PLAIN_SIDE)
    assert stack_words(stack, "Plain side", "thou") == (
        "Plain side  2 x 15.25 = 30.5 thou",
        "Plain side  30.5 thou",
        "Plain 30.5",
        "30.5 thou",
    )
    assert stack_words(None, "Plain side", "mm")[0] == "Plain side: no plan yet"
    assert stack_words(SeatStack(PLAIN_SIDE, ()), "Plain side", "mm")[0] == "Plain side: no shim"


def shown(window: tk.Toplevel, size: tuple[int, int], *, large: bool = False) -> AxleDrawing:
    """A drawing of a size in a window. Returns it, nothing shown yet."""
    theme = apply_theme(window, "light", large)
    drawing = AxleDrawing(window, theme)
    drawing.place(x=0, y=0, width=size[0], height=size[1])
    window.update()
    return drawing


@pytest.mark.parametrize("size", [(460, 420), (600, 520), (1150, 800)])
@pytest.mark.parametrize("large", [False, True])
def test_dimensions_never_touch(window: tk.Toplevel, size: tuple[int, int], large: bool) -> None:
    """The two totals keep apart and inside the drawing at every size."""
    drawing = shown(window, size, large=large)
    extra = (Piece("C1", 2, 127.0), Piece("C9", 1, 51.3))
    plan = answers.a_plan(3, extra=extra)
    drawing.show(Layout(), seats(), plan, fake_answer.BADGES, 2, "thou", "UK")
    left, right = (drawing.bbox(item) for item in drawing.find_withtag("total"))
    assert left[2] < right[0]
    assert left[0] >= 0 and right[2] <= size[0]


@pytest.mark.parametrize("size", [(330, 260), (360, 300), (460, 420)])
def test_sides_are_told_apart_by_more_than_colour(
    window: tk.Toplevel, size: tuple[int, int]
) -> None:
    """In large type and little room the totals still say which side they are of."""
    drawing = shown(window, size, large=True)
    drawing.show(Layout(), seats(), answers.a_plan(3), (), None, "thou", "UK")
    texts = [drawing.itemcget(item, "text") for item in drawing.find_withtag("total")]
    assert [text.split()[0] for text in texts] == ["Wheel", "Plain"]


def test_exaggeration_is_said(window: tk.Toplevel) -> None:
    """The drawing says how far its shims are exaggerated, and of which wheel."""
    drawing = shown(window, (900, 600))
    drawing.show(Layout(), seats(), answers.a_plan(), (), None, "mm", "US")
    assert any("times too thick for a 200 mm ring gear" in text for text in drawing.written())


def test_side_without_plan_says_so(window: tk.Toplevel) -> None:
    """Without a plan both sides say so and nothing is in a side's colour."""
    drawing = shown(window, (600, 520))
    drawing.show(Layout(), seats(), None, (), None, "mm", "UK")
    said = [text for text in drawing.written() if text.endswith("no plan yet")]
    assert said == ["Wheel side: no plan yet", "Plain side: no plan yet"]


def test_one_badge_is_lit(window: tk.Toplevel) -> None:
    """Lighting a badge puts the others out; each number is written once."""
    drawing = shown(window, (600, 520))
    drawing.show(Layout(), seats(), answers.a_plan(), fake_answer.BADGES, 2, "mm", "UK")
    drawing.light(5)
    texts = [item for item in drawing.find_withtag("lit") if drawing.type(item) == "text"]
    lit = {drawing.itemcget(item, "text") for item in texts}
    numbers = [text for text in drawing.written() if text.isdigit()]
    assert lit == {"5"}
    assert sorted(numbers) == [str(number) for number, _ in fake_answer.BADGES]


def test_badges_of_one_reading_stand_apart(window: tk.Toplevel) -> None:
    """Three readings of the same thing get three badges that do not cover one another."""
    drawing = shown(window, (600, 520))
    badges = ((1, "mesh gap"), (2, "mesh gap"), (3, "mesh gap"))
    drawing.show(Layout(), seats(), None, badges, None, "mm", "UK")
    places = [drawing.coords(f"badge-{number}") for number, _ in badges]
    wide = drawing.bbox("badge-1")[2] - drawing.bbox("badge-1")[0]
    assert min(math.dist(a, b) for a, b in combinations(places, 2)) >= wide


def test_drawing_follows_its_size(
    window: tk.Toplevel, until: Callable[[Callable[[], bool]], None]
) -> None:
    """A wider place makes a wider drawing, without another call of show."""
    drawing = shown(window, (500, 450))
    drawing.show(Layout(), seats(), answers.a_plan(), (), None, "mm", "UK")
    before = drawing.bbox("total")[2]
    drawing.place(width=900, height=700)
    until(lambda: drawing.bbox("total")[2] > before + 300)
