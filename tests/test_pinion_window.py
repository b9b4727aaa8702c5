"""The pinion in the window: drawn, answered, mapped; and every subset of results at every door."""

from __future__ import annotations

import json
import math
import tkinter as tk
from dataclasses import replace
from itertools import combinations, product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from desktop.answer_panel import AnswerPanel
from desktop.answer_parts import Strip
from desktop.build_map import BuildMap, axis_name
from desktop.charts import Charts
from desktop.drawing import AxleDrawing
from desktop.inputs import drawn_as
from desktop.section import Section, draw_section
from desktop.section_parts import BOTTOM, HALF_WIDE, PINION_END, Side, pinion_faces
from desktop.section_pinion import PinionParts, PinionSaid, stations
from desktop.side_block import SideBlock
from desktop.stacks_drawn import PINION_MOST, beside_words, pinion_as_drawn, sides_as_drawn
from desktop.theme import apply_theme
from solver.job import (
    BEHIND_RACE,
    CARRIER_SEATS,
    FLANGE,
    PINION_HEAD,
    PINION_READABLE,
    PINION_SPACER,
    PLAIN_SIDE,
    READABLE,
    SITS,
    UNDER_CONE,
    WHEEL_SIDE,
    Layout,
    Seat,
)
from solver.plan import Piece, Plan, SeatStack
from solver.report import answer_as_json, answer_as_text, signed_words
from solver.report_worth import worth_as_json, worth_as_text
from solver.units import UM_PER
from solver.worth import weigh_readings
from tests.subsets import ENDS, SUBSETS, answer_of

SPACERS = ("solid", "crush")
BADGE_UNITS = 24.0  # of a badge in a drawing as wide as its units
ROUNDING = 1e-9  # of a drawing unit
BADGES = tuple(enumerate(PINION_READABLE, 1))
KINDS = list(product((True, False), SITS, SPACERS))


def seats_of(sits: str, spacer: str, carrier: bool) -> tuple[Seat, ...]:
    """The seats of a job. sits, spacer, carrier: what it says. Returns them in its order."""
    sides = tuple(Seat(name, "bearing", 0, 4) for name in CARRIER_SEATS) if carrier else ()
    head = Seat(PINION_HEAD, sits, 0, 4)
    return (*sides, head, Seat(PINION_SPACER, "spacer", 0, 4))[: None if spacer == "solid" else -1]


def plan_of(seats: tuple[Seat, ...]) -> Plan:
    """An invented plan. seats: that it fills. Returns it, the spacer's stack the thickest."""
    pieces = {
        WHEEL_SIDE: (Piece("A", 1, 500.0),),
        PLAIN_SIDE: (Piece("B", 2, 300.0),),
        PINION_HEAD: (Piece("C", 1, 350.0), Piece("D", 1, 400.0)),
        PINION_SPACER: (Piece("E", 1, 400.0), Piece("F", 2, 500.0)),
    }
    return Plan(tuple(SeatStack(seat.name, pieces[seat.name]) for seat in seats))


def drawn(
    sits: str,
    spacer: str = "solid",
    *,
    carrier: bool = True,
    planned: bool = True,
    face: str = "shoulder",
    layout: Layout | None = None,
) -> Section:
    """The section of a job with its pinion. Parameters: what the job says. Returns it."""
    seats = seats_of(sits, spacer, carrier)
    sides, _ = sides_as_drawn(seats, plan_of(seats) if planned else None)
    parts = pinion_as_drawn(seats, sides, PinionSaid(spacer, face))
    return draw_section(
        layout or Layout(), sides[WHEEL_SIDE], sides[PLAIN_SIDE], parts, alone=not carrier
    )


def boxes_of(section: Section, seat: str) -> list[Any]:
    """The shims of a seat as drawn. section; seat: its name."""
    return [box for box in section.shims if box.seat == seat]


@pytest.mark.parametrize(("carrier", "sits", "spacer"), KINDS)
@pytest.mark.parametrize("wheel", ["left", "right"])
@pytest.mark.parametrize("shims", ["outside", "inside"])
def test_every_reading_has_its_spot(
    carrier: bool, sits: str, spacer: str, wheel: str, shims: str
) -> None:
    """Whatever can be read has a spot and a badge inside the drawing, and no two badges touch."""
    section = drawn(sits, spacer, carrier=carrier, layout=Layout(wheel, shims))
    assert set(section.spots) == set(READABLE if carrier else PINION_READABLE)
    for name, places in section.spots.items():
        for x, y in places:
            assert section.left <= x <= section.right, name
            assert section.top <= y <= section.bottom, name
    badges = [badge for _, badge in section.spots.values()]
    assert min(math.dist(a, b) for a, b in combinations(badges, 2)) >= BADGE_UNITS


def test_the_stack_sits_where_the_job_says() -> None:
    """Behind the race it is below the cup, under the cone above it, under a flange outside."""
    _, back = pinion_faces()
    for sits in SITS:
        section = drawn(sits)
        at = stations(_parts(sits))
        boxes = boxes_of(section, PINION_HEAD)
        top, bottom = min(b.top for b in boxes), max(b.bottom for b in boxes)
        if sits == BEHIND_RACE:
            assert at.cup < top and bottom == pytest.approx(at.seat, abs=ROUNDING)
        elif sits == UNDER_CONE:
            assert (top, bottom) == pytest.approx((back, at.cone), abs=ROUNDING)
        else:
            assert top == BOTTOM and min(abs(b.left) for b in boxes) > 50.0


def _parts(sits: str) -> PinionParts:
    seats = seats_of(sits, "solid", True)
    sides, _ = sides_as_drawn(seats, plan_of(seats))
    parts = pinion_as_drawn(seats, sides, PinionSaid("solid", "shoulder"))
    assert parts is not None
    return parts


@pytest.mark.parametrize(("carrier", "sits", "spacer"), KINDS)
def test_all_stacks_are_to_one_scale(carrier: bool, sits: str, spacer: str) -> None:
    """Every shim of every seat is drawn as thick as it is, on one scale, the thickest in full."""
    seats = seats_of(sits, spacer, carrier)
    plan = plan_of(seats)
    sides, per_um = sides_as_drawn(seats, plan)
    thick = {stack.seat: stack.thickness_um for stack in plan.stacks}
    assert max(side.room for side in sides.values()) == pytest.approx(PINION_MOST)
    section = drawn(sits, spacer, carrier=carrier)
    for name in thick.keys() & {PINION_HEAD, PINION_SPACER}:
        boxes = [box for box in boxes_of(section, name) if box.left > 0]
        tall = sum(box.bottom - box.top for box in boxes)
        assert tall == pytest.approx(thick[name] * per_um)
    beside = {one.seat: one for one in section.beside if not one.sleeve}
    assert {name: one.bottom - one.top for name, one in beside.items()} == pytest.approx(
        {name: thick[name] * per_um for name in beside}
    )
    assert all(abs(one.line) > 60.0 for one in beside.values())  # outside the metal at the tail


def test_a_crush_spacer_bulges_and_takes_no_shims() -> None:
    """A crush spacer is named, has no shims, and is wider in its middle than a plain tube."""
    crush, solid = drawn(BEHIND_RACE, "crush"), drawn(BEHIND_RACE)
    assert not boxes_of(crush, PINION_SPACER) and boxes_of(solid, PINION_SPACER)
    (sleeve,) = [one for one in crush.beside if one.sleeve]
    assert abs(sleeve.near) > 26.0
    assert not any(one.sleeve for one in solid.beside)


def test_without_a_plan_the_room_is_dashed() -> None:
    """Before there is a plan every seat of the pinion shows an empty room."""
    section = drawn(FLANGE, planned=False)
    for name in (PINION_HEAD, PINION_SPACER):
        boxes = boxes_of(section, name)
        assert boxes and all(box.pending and box.bottom > box.top for box in boxes)


def test_a_stack_that_nobody_placed_is_not_drawn() -> None:
    """A job that does not say where its stack sits, or to which face, has neither assumed."""
    section = drawn("", planned=False, face="")
    assert not boxes_of(section, PINION_HEAD) and section.depth is None
    assert [one.seat for one in section.beside] == [PINION_SPACER]


@pytest.mark.parametrize("wheel", ["left", "right"])
def test_the_distance_ends_at_the_face_that_is_measured_to(wheel: str) -> None:
    """The mounting distance runs from the wheel's axis to the nose or to the shoulder."""
    nose, back = pinion_faces()
    for face, at in (("nose", nose), ("shoulder", back)):
        depth = drawn(BEHIND_RACE, face=face, layout=Layout(wheel)).depth
        assert depth is not None and depth.face == at
        assert (depth.line > 0) == (wheel == "left")


def test_a_pinion_alone_has_no_carrier_to_shim() -> None:
    """The carrier is broken off above its axis, without shims, dimensions or spots of its own."""
    section = drawn(BEHIND_RACE, carrier=False)
    assert not section.dimensions
    assert {box.seat for box in section.shims} == {PINION_HEAD, PINION_SPACER}
    assert section.top > -80.0
    filled = [shape for shape in section.shapes if shape.fill not in ("", "card")]
    assert min(y for shape in filled for _, y in shape.points) > -80.0


def test_a_carrier_alone_is_drawn_as_ever() -> None:
    """Without a pinion in the job nothing of it is dimensioned, and the drawing ends as it did."""
    section = draw_section(Layout(), Side("bearing", (20.0,), True), Side("bearing", (30.0,), True))
    assert not section.beside and section.depth is None
    assert (section.left, section.right, section.bottom) == (-HALF_WIDE, HALF_WIDE, PINION_END + 6)
    assert {box.seat for box in section.shims} == {WHEEL_SIDE, PLAIN_SIDE}


def test_mirroring_keeps_the_pinion_s_dimensions_beside_their_stacks() -> None:
    """With the wheel on the right every dimension stands where its mirror image stood."""
    left, right = (drawn(FLANGE, layout=Layout(wheel)) for wheel in ("left", "right"))
    assert [(one.seat, -one.line, one.top) for one in left.beside] == [
        (one.seat, one.line, one.top) for one in right.beside
    ]


@pytest.mark.parametrize(
    ("table", "seats", "said"),
    [
        ({}, CARRIER_SEATS, None),
        ({"pinion": {}}, (PINION_HEAD,), PinionSaid()),
        (
            {"pinion": {"stack_sits": FLANGE, "spacer": "solid", "measured_to": "nose"}},
            (PINION_HEAD, PINION_SPACER),
            PinionSaid("solid", "nose"),
        ),
        (
            {"pinion": {"stack_sits": 3, "spacer": "crush"}, "limits": {"pinch": {}}},
            (*CARRIER_SEATS, PINION_HEAD),
            PinionSaid("crush"),
        ),
        ({"pinion": "oil", "readings": 7}, (PINION_HEAD,), PinionSaid()),
    ],
)
def test_a_faulty_job_is_drawn_as_far_as_it_says(
    table: dict[str, Any], seats: tuple[str, ...], said: PinionSaid | None
) -> None:
    """The seats and where they sit are told of faulty jobs too; what is not said stays unsaid."""
    _, found, pinion = drawn_as(table)
    assert tuple(seat.name for seat in found) == seats
    assert pinion == said
    sits = table["pinion"].get("stack_sits") if isinstance(table.get("pinion"), dict) else None
    head = [seat.under for seat in found if seat.name == PINION_HEAD]
    assert head in ([], [sits if sits in SITS else ""])


def test_a_stack_is_said_beside_the_metal_at_falling_width() -> None:
    """A stack of the pinion reads with its parts, then as its total, then with one word."""
    stack = plan_of(seats_of(BEHIND_RACE, "crush", False)).stack(PINION_HEAD)
    assert beside_words(stack, "Pinion head", "mm") == (
        ("Pinion head", "0.350 + 0.400 = 0.750 mm"),
        ("Pinion head", "0.750 mm"),
        ("Head", "0.750 mm"),
        ("0.750 mm",),
    )
    assert beside_words(None, "Pinion head", "mm")[0] == ("Pinion head", "no plan yet")
    assert beside_words(SeatStack(PINION_HEAD, ()), "Pinion head", "mm")[1][-1] == "no shim"


@pytest.mark.parametrize("size", [(386, 380), (420, 400), (600, 500), (1150, 800)])
@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize(("carrier", "sits", "spacer"), KINDS)
def test_no_text_stands_on_a_badge(
    window: tk.Toplevel, carrier: bool, sits: str, spacer: str, large: bool, size: tuple[int, int]
) -> None:
    """What is written beside the metal keeps off every badge, off one another and on the canvas."""
    drawing = _shown(window, (carrier, sits, spacer), large, size)
    items = (*drawing.find_withtag("beside"), *drawing.find_withtag("depth"))
    texts = [drawing.bbox(item) for item in items]
    assert texts
    badges = [drawing.bbox(f"badge-{number}") for number, _ in BADGES]
    for at, box in enumerate(texts):
        assert box[0] >= 0 and box[2] <= size[0] and box[3] <= size[1]
        for other in (*badges, *texts[at + 1 :]):
            across = min(box[2], other[2]) - max(box[0], other[0])
            down = min(box[3], other[3]) - max(box[1], other[1])
            assert across <= 1 or down <= 2, (box, other)


def _shown(
    window: tk.Toplevel, kind: tuple[bool, str, str], large: bool, size: tuple[int, int]
) -> AxleDrawing:
    """A drawing of a job with a plan, every badge of its pinion in it."""
    carrier, sits, spacer = kind
    theme = apply_theme(window, "light", large)
    drawing = AxleDrawing(window, theme)
    drawing.place(x=0, y=0, width=size[0], height=size[1])
    window.update()
    seats = seats_of(sits, spacer, carrier)
    said = PinionSaid(spacer, "shoulder", 77_970.0)
    drawing.show(Layout(), seats, plan_of(seats), BADGES, None, "mm", "US", pinion=said)
    return drawing


def test_the_drawing_says_what_is_wanted(window: tk.Toplevel) -> None:
    """Totals, the distance wanted and the spacer's name stand in the drawing, in US words too."""
    drawing = _shown(window, (False, BEHIND_RACE, "crush"), False, (700, 560))
    said = drawing.written()
    for text in ("Pinion head", "0.350 + 0.400 = 0.750 mm", "77.970 mm", "Crush sleeve"):
        assert text in said
    assert not any("no seat" in text or "side" in text for text in said)
    assert any("times too thick" in text for text in said)
    solid = _shown(window, (True, BEHIND_RACE, "solid"), False, (900, 700)).written()
    assert "Pinion spacer" in solid and any(text.startswith("Wheel side") for text in solid)


def panel_of(window: tk.Toplevel, wide: int = 320, tall: int = 900) -> AnswerPanel:
    """An answer panel in a window. Returns it, nothing shown yet."""
    theme = apply_theme(window, "light", False)
    panel = AnswerPanel(window, theme, lambda _: None, lambda: None)
    panel.place(x=0, y=0, width=wide, height=tall)
    window.update()
    return panel


def found(widget: tk.Misc, kind: type) -> list[Any]:
    """Every widget of a kind beneath one. Returns them from the top down."""
    own = [widget] if isinstance(widget, kind) else []
    return own + [hit for child in widget.winfo_children() for hit in found(child, kind)]


@pytest.mark.parametrize("subset", SUBSETS)
def test_a_block_for_every_seat_and_a_strip_for_every_result(
    window: tk.Toplevel, subset: str
) -> None:
    """The panel shows one to four blocks and strips, each seat's total among what it says."""
    answer = answer_of(subset, "met")
    assert answer.verdict is not None
    panel = panel_of(window)
    panel.show(answer, "done", "mm", "UK", seats=answer.job.seats)
    assert len(found(panel, SideBlock)) == len(answer.job.seats)
    assert len(found(panel, Strip)) == len(answer.verdict.results)
    said = "\n".join(panel.written())
    for stack in answer.verdict.plan.stacks:
        assert f"{stack.thickness_um / 1000:.3f}" in said
    assert ("Axis to shoulder should measure" in said) == (subset != "carrier")
    assert ("The dial should show" in said) == ("carrier" in subset)


def test_blocks_say_where_the_shims_sit(window: tk.Toplevel) -> None:
    """With room enough a seat of the pinion says where its shims sit; strips say too far out."""
    answer = answer_of("solid", "met")
    panel = panel_of(window, 420, 1400)
    panel.show(answer, "done", "mm", "US", seats=answer.job.seats)
    said = panel.written()
    assert "Behind the head bearing's race" in said and "Between spacer and bearing" in said
    assert answer.verdict is not None
    for result in answer.verdict.results:
        assert signed_words(result.name, result.predicted_um, "mm", "US") in said


def test_signs_have_their_words() -> None:
    """A depth is too far out or in, a negative end float is preload; a backlash stays a figure."""
    assert signed_words("depth", 12.0, "mm", "UK") == "0.012 mm too far out"
    assert signed_words("depth", -12.0, "mm", "UK") == "0.012 mm too far in"
    assert signed_words("pinion end float", -30.0, "mm", "US") == "0.030 mm preload"
    assert signed_words("pinion end float", 30.0, "mm", "US") == "0.030 mm end play"
    assert signed_words("backlash", 127.0, "thou", "UK") == "5.0 thou"


@pytest.mark.parametrize("state", ["empty", "half-filled", "solving"])
def test_waiting_states_show_the_seats_at_hand(window: tk.Toplevel, state: str) -> None:
    """Without an answer, or with one of other seats, the job's own seats stand there, empty."""
    panel = panel_of(window)
    seats = seats_of(UNDER_CONE, "solid", False)
    old = answer_of("carrier", "met") if state == "solving" else None
    panel.show(old, state, "mm", "UK", seats=seats)
    said = "\n".join(panel.written())
    assert len(found(panel, SideBlock)) == 2
    assert "Pinion head" in said and "Pinion spacer" in said and "Wheel side" not in said
    assert "Between the pinion's head and its bearing's cone" in said


def foot_of(window: tk.Toplevel, picked: list[int]) -> tuple[Charts, BuildMap]:
    """The foot of a window, its map awake. picked: takes what is picked in it."""
    theme = apply_theme(window, "light", False)
    build_map = BuildMap(window, theme, picked.append)
    charts = Charts(window, theme, build_map)
    charts.place(x=0, y=0, width=1250, height=160)
    window.update()
    build_map.wake()
    window.update()
    return charts, build_map


@pytest.mark.parametrize("subset", SUBSETS)
def test_the_map_is_of_the_first_results(window: tk.Toplevel, subset: str) -> None:
    """Axes, box, cloud and every other plan are those of the first one or two results."""
    answer = answer_of(subset, "met")
    verdict = answer.verdict
    assert verdict is not None
    picked: list[int] = []
    charts, build_map = foot_of(window, picked)
    charts.show(answer, "mm", "UK")
    a, shown = build_map._artists, verdict.clouded
    assert a["across"].get_text() == axis_name(shown[0].name, "UK")
    assert a["up"].get_visible() == (len(shown) == 2)
    cloud = a["cloud"].get_xydata() * UM_PER["mm"]
    assert cloud[:, : len(shown)] == pytest.approx(verdict.cloud_um)
    assert a["chosen"].get_xydata()[0, 0] * UM_PER["mm"] == pytest.approx(shown[0].predicted_um)
    left, right = a["box"].get_x(), a["box"].get_x() + a["box"].get_width()
    assert (left, right) == pytest.approx((shown[0].low_um / 1000, shown[0].high_um / 1000))
    dots = build_map._axes.transData.transform(build_map._dots)
    assert len(dots) == len(answer.others)
    for x, y in dots:
        build_map._pressed(SimpleNamespace(x=x, y=y))
    near = [math.dist(dots[place], dot) for place, dot in zip(picked, dots, strict=True)]
    assert max(near, default=0.0) <= 12.0  # px: one that stands on another gives that one


def test_builds_of_one_result_are_heaped(window: tk.Toplevel) -> None:
    """With one result the heaps are as high as builds are many, and plans stand below them."""
    answer = answer_of("crush", "met")
    charts, build_map = foot_of(window, [])
    charts.show(answer, "mm", "UK")
    a = build_map._artists
    heights = a["cloud"].get_ydata()
    assert heights.min() > 0.0 and 0.9 < heights.max() <= 1.0
    assert len(np.unique(a["cloud"].get_xydata(), axis=0)) == len(heights)
    middle = np.median(a["cloud"].get_xdata())
    assert abs(a["cloud"].get_xdata()[heights.argmax()] - middle) < 0.01  # mm: near the middle
    assert a["chosen"].get_ydata()[0] < 0.0


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("subset", SUBSETS)
def test_every_door_shows_every_answer(window: tk.Toplevel, subset: str, end: str) -> None:
    """Text, JSON, the worth of readings and every panel take each subset, met or not."""
    answer = answer_of(subset, end)
    assert answer.status == ("none" if end == "none" else answer.status)
    assert (answer.agreement.state == "disagree") == (end == "disagree")
    if end in ("met", "short"):
        assert answer.status == end
    names = [limit.result for limit in answer.job.limits]
    told = json.loads(json.dumps(answer_as_json(answer), allow_nan=False))
    assert set(told["results"]) == set(names)
    assert set(told["seats"]) == {seat.name for seat in answer.job.seats}
    assert all(set(other["predicted_um"]) == set(names) for other in told["others"])
    worth = weigh_readings(answer)
    json.dumps(worth_as_json(answer, worth), allow_nan=False)
    assert worth_as_text(answer, worth)
    panel = panel_of(window)
    charts, _ = foot_of(window, [])
    for unit, words in (("mm", "UK"), ("thou", "US")):
        shown = replace(answer, job=replace(answer.job, unit=unit, words=words))
        text = answer_as_text(shown)
        assert all(len(line) <= 88 for line in text.splitlines())
        assert ("The pinion" in text) == (subset != "carrier")
        panel.show(answer, "done", unit, words, seats=answer.job.seats)
        charts.show(answer, unit, words, worth=worth)
        window.update()
        assert panel.written() and charts.bars.written()
    drawing = AxleDrawing(window, apply_theme(window, "dark", False))
    drawing.place(x=0, y=0, width=500, height=460)
    window.update()
    said = PinionSaid("solid" if "solid" in subset else "crush", "shoulder", 77_970.0)
    drawing.show(
        Layout(), answer.job.seats, answer.verdict.plan if answer.verdict else None, BADGES, None,
        "mm", "UK", pinion=said if answer.job.pinion else None,
    )  # fmt: skip
    assert drawing.written()
