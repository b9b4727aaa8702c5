"""The contact pattern's stage: clicks on the tooth, chips, and the advice as shown."""

from __future__ import annotations

import math
import tkinter as tk
from collections.abc import Callable
from typing import Any

import pytest

from desktop.pattern_stage import EMPTY, PatternStage
from desktop.theme import apply_theme
from desktop.tooth import KEYS, NOT_SEEN, Tooth
from desktop.widgets import drawn_within
from solver.job_pattern import read_pattern
from solver.job_table import Notes, Page
from solver.pattern import judge_pattern
from solver.pattern_rules import ACROSS, ALONG, FLANKS, Flank, Pattern, pattern_table

MOVE = Pattern("face milled", "new", Flank("toe", "root"), Flank("heel", "root"))
CENTRED = Pattern("face hobbed", "new", Flank("middle", "middle"), Flank("middle", "middle"))
Made = Callable[..., PatternStage]


class Edits(list[dict[str, Any]]):
    """Tables as they were handed on; each is read, judged and shown, as the window does."""

    stage: PatternStage

    def __call__(self, table: dict[str, Any]) -> None:
        self.append(table)
        notes = Notes("job.toml")
        pattern = read_pattern(Page({"pattern": table}, (), notes, "mm"))
        assert not notes.faults, notes.faults
        assert pattern is not None
        self.stage.show(pattern, judge_pattern(pattern, None))


@pytest.fixture
def stage(window: tk.Toplevel, until: Callable[[Callable[[], bool]], None]) -> Made:
    """Makes a stage on a window of its own; its edits come back to it."""

    def made(mode: str = "light", large: bool = False, size: tuple[int, int] = (1240, 640)) -> Any:
        edits = Edits()
        theme = apply_theme(window, mode, large, dense=size[0] < 1150)
        edits.stage = PatternStage(window, theme, edits)
        edits.stage.place(x=0, y=0, width=size[0], height=size[1])
        window.update()
        until(lambda: drawn_within(edits.stage) and len(edits.stage.tooth.faces) == 2)
        return edits

    return made


def click(tooth: Tooth, flank: str, along: str, across: str) -> None:
    """Click in the middle of a zone. flank, along, across: its words."""
    face = next(face for face in tooth.faces if face.name == flank)
    corners = face.box(along, across)
    x, y = (round(sum(axis) / len(corners)) for axis in zip(*corners, strict=True))
    tooth.event_generate("<Motion>", x=x, y=y)
    assert tooth.find_withtag("over")
    tooth.event_generate("<Button-1>", x=x, y=y)
    tooth.update()


def test_a_stage_without_answers_asks(stage: Made) -> None:
    """Nothing chosen, nothing advised, cautions all the same."""
    shown = stage().stage
    assert shown.written()[0] == EMPTY
    assert any("manual is right" in line for line in shown.written())
    assert shown.teeth.value.get() == shown.gears.value.get() == ""
    assert shown.tooth.written().count(NOT_SEEN) == 2


@pytest.mark.parametrize("flank", FLANKS)
@pytest.mark.parametrize("along", ALONG)
@pytest.mark.parametrize("across", ACROSS)
def test_every_zone_can_be_clicked(stage: Made, flank: str, along: str, across: str) -> None:
    """The table says what was clicked; teeth are not known until they are asked for."""
    edits = stage()
    click(edits.stage.tooth, flank, along, across)
    (table,) = edits
    assert (table["teeth"], table["gears"]) == ("not known", "new")
    spot = {"along": along, "across": across}
    centred = along == across == "middle"
    assert table[flank] == (spot if centred else {**spot, "how_far": "slight"})
    assert edits.stage.chips[flank, "along"].value == along
    assert edits.stage.chips[flank, "across"].value == across


def test_toe_and_heel_are_where_the_words_are(stage: Made) -> None:
    """A zone lies at the end that bears its name, on both flanks; the two are mirrored."""
    edits = stage()
    tooth: Any = edits.stage.tooth
    words = {
        (tooth.itemcget(item, "text"), place): tooth.coords(item)
        for text in ("toe", "heel", "tip", "root")
        for place, item in enumerate(
            item for item in tooth.find_all()
            if tooth.type(item) == "text" and tooth.itemcget(item, "text") == text
        )
    }  # fmt: skip
    for place, face in enumerate(tooth.faces):
        for end, axis in (("toe", 0), ("heel", 0), ("tip", 1), ("root", 1)):
            spot = face.at(*{"toe": (-1, 0), "heel": (1, 0), "tip": (0, 1), "root": (0, -1)}[end])
            beyond = words[end, place][axis] - face.middle[axis]
            assert math.copysign(1.0, beyond) == math.copysign(1.0, spot[axis] - face.middle[axis])
            assert abs(beyond) > abs(spot[axis] - face.middle[axis])
    assert tooth.faces[0].heading == -tooth.faces[1].heading


def test_clicks_and_choices_end_in_advice(stage: Made) -> None:
    """The way of a person at the bench: both flanks, the teeth, how far; then used after all."""
    edits = stage()
    shown = edits.stage
    click(shown.tooth, "drive", "toe", "root")
    assert "Look at both flanks" in shown.written()[0]
    click(shown.tooth, "coast", "heel", "root")
    shown.teeth.buttons["face milled"].invoke()
    assert pattern_table(MOVE) == edits[-1]
    assert shown.written()[0] == "→ Move the pinion out, about 0.05 mm"
    assert any("To keep the backlash where it was" in line for line in shown.written())
    assert KEYS[2] in shown.tooth.written()
    shown.far["drive"].buttons["far"].invoke()
    assert edits[-1]["drive"]["how_far"] == "far" and edits[-1]["coast"]["how_far"] == "slight"
    shown.chips["coast", "along"].pick("middle")
    assert edits[-1]["coast"] == {"along": "middle", "across": "root", "how_far": "slight"}
    shown.gears.buttons["used"].invoke()
    assert "Not judged" in shown.written()[0]
    assert KEYS[1] not in shown.tooth.written()


def test_how_far_is_kept_through_the_middle(stage: Made) -> None:
    """In the middle nobody asks how far; off it again it is as far as before."""
    edits = stage()
    click(edits.stage.tooth, "drive", "heel", "tip")
    edits.stage.far["drive"].buttons["clear"].invoke()
    click(edits.stage.tooth, "drive", "middle", "middle")
    assert edits[-1]["drive"] == {"along": "middle", "across": "middle"}
    assert not edits.stage.far["drive"].winfo_ismapped()
    click(edits.stage.tooth, "drive", "heel", "tip")
    assert edits[-1]["drive"]["how_far"] == "clear"
    assert edits.stage.far["drive"].winfo_ismapped()


def test_a_click_beside_the_tooth_is_nothing(stage: Made) -> None:
    """Not in the margin, not between the flanks."""
    edits = stage()
    for x, y in ((2, 2), (edits.stage.tooth.winfo_width() // 2, 5)):
        edits.stage.tooth.event_generate("<Button-1>", x=x, y=y)
    assert not edits


def painted(tooth: Any, colour: str, flank: int) -> tuple[float, float]:
    """The middle of everything in a colour on one flank's half of the picture [px]."""
    picture = tooth._picture._PhotoImage__photo
    wanted = tuple(value >> 8 for value in tooth.winfo_rgb(colour))
    face, found = tooth.faces[flank], []
    left, right = (round(face.middle[0] + side * face.half[0]) for side in (-1, 1))
    top, low = (round(face.middle[1] + side * face.half[1]) for side in (-1, 1))
    for x in range(left, right, 2):
        for y in range(top, low, 2):
            pixel = picture.get(x, y)
            if sum(abs(a - b) for a, b in zip(pixel, wanted, strict=True)) < 12:
                found.append((x, y))
    assert found
    return tuple(sum(axis) / len(found) for axis in zip(*found, strict=True))  # type: ignore[return-value]  # of two


@pytest.mark.parametrize("mode", ["light", "dark"])
def test_the_pattern_is_painted_where_it_was_found(stage: Made, mode: str) -> None:
    """Its colour's middle lies in the zone that was said; the arrow leaves it for the middle."""
    shown = stage(mode).stage
    shown.show(MOVE, judge_pattern(MOVE, None))
    tooth: Any = shown.tooth
    for place, flank in enumerate((MOVE.drive, MOVE.coast)):
        assert flank is not None
        face = tooth.faces[place]
        spot = painted(tooth, shown._theme.colours.accent, place)
        assert face.zone(*spot) == (flank.along, flank.across)
        tip = painted(tooth, shown._theme.colours.ink, place)
        assert math.dist(tip, face.middle) < math.dist(spot, face.middle)


def test_a_good_pattern_is_green_and_says_so(stage: Made) -> None:
    """In the middle of its ring, with nothing to move."""
    shown = stage().stage
    shown.show(CENTRED, judge_pattern(CENTRED, None))
    tooth: Any = shown.tooth
    spot = painted(tooth, shown._theme.colours.good, 0)
    assert math.dist(spot, tooth.faces[0].middle) < 4.0
    assert shown.written()[0] == "✓ Good pattern" and KEYS[2] not in tooth.written()


@pytest.mark.parametrize("size", [(1240, 640), (990, 600), (1880, 900)])
@pytest.mark.parametrize("large", [False, True])
def test_everything_fits(
    stage: Made, until: Callable[..., None], size: tuple[int, int], large: bool
) -> None:
    """Every word of the drawing inside it, the answers inside the window, at every size of type."""
    shown = stage("light", large, size).stage
    shown.show(MOVE, judge_pattern(MOVE, None), "thou", "US")
    shown.update()
    until(lambda: drawn_within(shown))
    tooth: Any = shown.tooth
    for item in tooth.find_all():
        if tooth.type(item) == "text":
            left, top, right, bottom = tooth.bbox(item)
            assert left >= -1 and top >= -1, tooth.itemcget(item, "text")
            assert right <= tooth.winfo_width() + 1 and bottom <= tooth.winfo_height() + 1
    for part in (*shown.far.values(), *shown.chips.values(), shown.gears):
        right = part.winfo_rootx() + part.winfo_width()
        assert right <= tooth.winfo_rootx() + tooth.winfo_width()
        assert part.winfo_rooty() + part.winfo_height() <= shown.winfo_rooty() + size[1]
        assert part.winfo_width() >= part.winfo_reqwidth()
    assert tooth.faces[0].half[1] > 40
    assert any("ring gear" in line for line in shown.written())


def test_how_far_of_a_shown_pattern_is_kept(stage: Made) -> None:
    """A pattern out of a file, clicked elsewhere: as far off as the file had it."""
    edits = stage()
    far = Pattern("face milled", "new", Flank("toe", "root", "far"), Flank("heel", "root", "clear"))
    edits.stage.show(far, judge_pattern(far, None))
    click(edits.stage.tooth, "drive", "heel", "tip")
    assert edits[-1] == {
        **pattern_table(far),
        "drive": {"along": "heel", "across": "tip", "how_far": "far"},
    }
