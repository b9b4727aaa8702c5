"""The pinion in the set-up: offered until begun, every field typed in, marks read back."""

from __future__ import annotations

import itertools
import time
import tkinter as tk
from collections.abc import Callable, Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from test_setup_panel import READINGS, Bench, entries, written
from whole_window import come_to_rest

from desktop import edits, pinion_words
from desktop.form_parts import Field, Pick
from desktop.pinion_edits import (
    about_carrier,
    add_mark,
    begin_alone,
    begin_pinion,
    can_be_alone,
    drop_pinion,
    remove_mark,
    set_bearing,
    set_pinion,
    set_spacer,
    with_carrier,
)
from desktop.toml_text import table_of, toml_with
from solver.job import BEHIND_RACE, FLANGE, PINION_HEAD, PINION_SPACER, SITS, UNDER_CONE
from solver.job_file import read_job
from solver.trouble import Trouble

LIMITS = {"backlash": {"low": 5, "high": 8}, "pinch": {"low": 5, "high": 8, "counted": "total"}}


class PinionBench(Bench):
    """A bench whose job is about the pinion alone, in mm, with its distance read."""

    def __init__(self, window: tk.Toplevel, **looks: Any) -> None:
        super().__init__(window, **looks)
        self.unit = "mm"
        self.table = begin_alone()(edits.fresh_table("mm"))
        read = {"value": 78.2, "within": 0.01, "fitted": {PINION_HEAD: 0.8}}
        self.table["readings"] = [{"of": "mounting distance", **read}]
        self.show()
        window.update()

    def type(self, place: tuple[Any, ...], text: str) -> None:
        """Type into the field of a place; a sign has a name of its own among keys."""
        self.panel.focus_place(place)
        self.window.update()
        keys = {" ": "space", ".": "period", ",": "comma", "-": "minus", "+": "plus"}
        for one in text:
            where = self.window.focus_get()
            assert where is not None
            where.event_generate(f"<Key-{keys.get(one, one)}>")
            self.window.update()

    def texts(self) -> list[str]:
        """Everything that is written in the form."""
        self.window.update()
        return [text for _, text in written(self.panel)]

    def press(self, text: str) -> None:
        """Press the button that says something."""
        self.window.update()
        next(w for w, said in written(self.panel) if said == text).invoke()
        self.window.update()

    def places(self) -> set[tuple[object, ...]]:
        """Places that have a field."""
        return set(self.panel.form.fields)


@pytest.fixture
def bench(window: tk.Toplevel) -> Iterator[PinionBench]:
    """A job about a pinion alone, in its set-up."""
    window.geometry("660x1000+0+0")
    yield PinionBench(window)


@pytest.fixture
def axle(window: tk.Toplevel) -> Iterator[Bench]:
    """A job about a carrier alone, in thou."""
    window.geometry("660x1000+0+0")
    yield Bench(window)


def fill(bench: PinionBench) -> None:
    """Choose and type what every pinion on a crush spacer is asked."""
    bench.pick(("pinion", "stack_sits"), BEHIND_RACE)
    bench.pick(("pinion", "measured_to"), "shoulder")
    bench.type(("pinion", "nominal"), "78")
    bench.pick(("pinion", "spacer"), "crush")
    bench.type(("limits", "depth", "low"), "-0.03")
    bench.type(("limits", "depth", "high"), "0.03")


# Begun and taken out


def test_a_pinion_is_offered_until_it_is_begun(axle: Bench) -> None:
    """A carrier's set-up asks nothing of a pinion but whether the job sets it."""
    axle.window.update()
    fields = axle.panel.form.fields
    assert not any(place[0] == "pinion" or place[-1] == PINION_HEAD for place in fields)
    assert ("limits", "depth", "low") not in fields
    begin = axle.panel._pinion.begin
    assert begin is not None and begin.cget("text") == pinion_words.BEGIN
    begin.invoke()
    axle.window.update()
    assert axle.table["pinion"] == {}
    sits = axle.panel.form.fields[("pinion", "stack_sits")]
    assert isinstance(sits, Pick)
    assert axle.window.focus_get() in sits.buttons.values()
    assert ("limits", "backlash", "low") in axle.panel.form.fields
    assert ("limits", "depth", "low") in axle.panel.form.fields
    assert ("seats", PINION_HEAD, "most") in axle.panel.form.fields


def test_nothing_is_assumed_of_a_pinion(bench: PinionBench) -> None:
    """A pinion just begun has nothing chosen, and what is missing is asked for, not red."""
    for place, field in bench.panel.form.fields.items():
        if place[0] == "pinion" and isinstance(field, Pick):
            assert field.value.get() == "", place
        elif place[0] == "pinion" and isinstance(field, Field):
            assert not field.entry.instate(["invalid"]) and field.text.get() == ""
    assert bench.line(("pinion", "stack_sits")).startswith("Still to choose")
    assert bench.line(("pinion", "nominal")).startswith("Still to come")
    assert bench.line(("pinion", "mark", "plus")) == ""  # no mark, nothing to ask of it


def test_the_pinion_alone_is_offered_only_while_nothing_is_said_of_the_carrier(axle: Bench) -> None:
    """Readings and limits of a carrier that were typed are never thrown away by a choice."""
    axle.window.update()
    assert pinion_words.ALONE not in [text for _, text in written(axle.panel)]  # readings are in
    axle.table = edits.fresh_table("mm")
    axle.show()
    axle.window.update()
    assert pinion_words.ALONE in [text for _, text in written(axle.panel)]
    fresh = edits.fresh_table()
    assert can_be_alone(fresh)
    assert not can_be_alone({**fresh, "limits": LIMITS})
    assert not can_be_alone({**fresh, "seats": {"plain side": {"under": "cover"}}})
    assert not can_be_alone({**fresh, "readings": READINGS})


def test_the_pinion_alone_is_asked_for_nothing_of_the_carrier(bench: PinionBench) -> None:
    """Backlash, pinch, the carrier's seats, mesh and warmth are not there, nor missed."""
    parts = {place[0] for place in bench.places()}
    assert not parts & {"mesh", "warmth"}
    assert not any(place[1:2] in (("backlash",), ("pinch",)) for place in bench.places())
    assert ("seats", "wheel side", "most") not in bench.places()
    assert not any(fault.place[1:2] == ("backlash",) for fault in bench.faults())
    assert ("pinion", "fitted") not in bench.places()  # nothing was read of a carrier
    fill(bench)
    assert bench.faults() == ()


def test_a_pinion_typed_and_chosen(bench: PinionBench) -> None:
    """What is chosen and typed is what the job says, a mark in its own unit and sense."""
    fill(bench)
    bench.type(("pinion", "mark", "value"), "-8")
    bench.pick(("pinion", "mark", "unit"), "0.001 in")
    bench.pick(("pinion", "mark", "plus"), "in")
    bench.type(("pinion", "etched_backlash"), "0,12")
    bench.type(("pinion", "give", "value"), "0.02")
    bench.type(("pinion", "give", "within"), "0.004")
    bench.type(("pinion", "wheel_mark", "value"), "2")
    bench.pick(("pinion", "wheel_mark", "unit"), "0.01 mm")
    bench.pick(("pinion", "wheel_mark", "plus"), "out")
    bench.type(("seats", PINION_HEAD, "most"), "3")
    job = bench.job()
    pinion = job.pinion
    assert pinion is not None and not job.carrier
    assert (pinion.sits, pinion.measured_to) == (BEHIND_RACE, "shoulder")
    assert pinion.wanted_um == pytest.approx(78_000.0 + 8 * 25.4)
    assert (pinion.give_um, pinion.give_within_um) == (20.0, 4.0)
    assert pinion.etched_backlash_um == pytest.approx(120.0)
    assert [mark.um for mark in pinion.wheel_marks] == [20.0]
    assert [(seat.name, seat.most) for seat in job.seats] == [(PINION_HEAD, 3)]
    assert (job.limit("depth").low_um, job.limit("depth").high_um) == (-30.0, 30.0)


def test_taken_out_again_nothing_of_it_is_left(bench: PinionBench) -> None:
    """The pinion goes with its limits, seats and readings, and a carrier's job is left."""
    fill(bench)
    bench.type(("seats", PINION_HEAD, "most"), "3")
    bench.press(pinion_words.DROP)
    fresh = edits.fresh_table("mm")
    assert {key: bench.table.get(key) for key in fresh} == fresh
    assert not bench.table.keys() & {"pinion", "limits", "seats"}
    assert bench.window.focus_get() is bench.panel._pinion.begin


def test_the_carrier_can_be_added(bench: PinionBench) -> None:
    """A job about the pinion alone becomes one about both, asked for what the carrier needs."""
    fill(bench)
    bench.press(pinion_words.CARRIER_TOO)
    assert [one["of"] for one in bench.table["readings"]][1:] == ["total clearance", "mesh gap"]
    assert ("limits", "backlash", "low") in bench.places()
    low = bench.panel.form.fields[("limits", "backlash", "low")]
    assert isinstance(low, Field) and bench.window.focus_get() is low.entry
    assert bench.line(("pinion", "fitted")).startswith("Still to come: the stack at the head")
    bench.type(("pinion", "fitted"), "0.81")
    bench.type(("pinion", "ratio", "value"), "0.3")
    bench.type(("pinion", "ratio", "within"), "0.1")
    assert bench.table["pinion"]["fitted"] == 0.81
    assert bench.table["pinion"]["ratio"] == {"value": 0.3, "within": 0.1}


# Where the stack sits


def test_each_place_of_the_stack_says_what_more_shim_does(bench: PinionBench) -> None:
    """Three choices, each with its line, and only under a flange does more shim move it out."""
    texts = bench.texts()
    for sits in SITS:
        name, line = pinion_words.SITS[sits]
        assert name in texts and pinion_words.said(line, "UK") in texts
    assert "OUT" in pinion_words.SITS[FLANGE][1]
    assert not any("out" in pinion_words.SITS[one][1].lower() for one in (BEHIND_RACE, UNDER_CONE))


@pytest.mark.parametrize("sits", SITS)
def test_the_sketch_points_the_way_the_solver_reckons(bench: PinionBench, sits: str) -> None:
    """The arrow of more shim points in where the seat's sign is plus, out where it is minus."""
    fill(bench)
    bench.pick(("pinion", "stack_sits"), sits)
    sketch = bench.panel._pinion.sketch
    assert sketch is not None
    seat = bench.job().seats[0]
    assert sketch.arrow("more shim") == -seat.sign
    bench.window.update()
    x0, _, x1, _ = sketch.coords("more shim")
    assert (x1 - x0 > 0) is (seat.sign < 0)  # the wheel is at the left


@pytest.mark.parametrize(("plus", "way"), [("out", 1), ("in", -1)])
def test_the_sketch_shows_which_way_plus_is(bench: PinionBench, plus: str, way: int) -> None:
    """The arrow of plus points away from the wheel for out, towards it for in; none unsaid."""
    sketch = bench.panel._pinion.sketch
    assert sketch is not None and sketch.arrow("plus") == 0
    assert "plus on the mark" not in sketch.written()
    bench.pick(("pinion", "mark", "plus"), plus)
    bench.window.update()
    assert sketch.arrow("plus") == way
    x0, _, x1, _ = sketch.coords("plus")
    assert (x1 - x0 > 0) is (way > 0)
    assert "plus on the mark" in sketch.written()


# Marks


@pytest.mark.parametrize(
    ("unit", "plus", "said"),
    [
        ("0.01 mm", "out", "0.080 mm further in, nearer the crown wheel's axis, than drawn"),
        ("0.01 mm", "in", "0.080 mm further out from the crown wheel's axis than drawn"),
        ("0.001 in", "out", "0.203 mm further in"),
    ],
)
def test_a_mark_is_read_back(bench: PinionBench, unit: str, plus: str, said: str) -> None:
    """Value, step and sense together are said in plain words, with the distance they come to."""
    bench.type(("pinion", "mark", "value"), "-8")
    assert not any("than drawn" in text for text in bench.texts())
    assert bench.line(("pinion", "mark", "unit")).startswith("Still to choose")
    assert bench.line(("pinion", "mark", "plus")).startswith("Still to choose")
    bench.pick(("pinion", "mark", "unit"), unit)
    bench.pick(("pinion", "mark", "plus"), plus)
    assert any(said in text for text in bench.texts())


def test_two_marks(bench: PinionBench) -> None:
    """A second mark has its own unit and sense; taken away, the first stands alone as before."""
    fill(bench)
    bench.type(("pinion", "mark", "value"), "-3")
    bench.pick(("pinion", "mark", "unit"), "0.01 mm")
    bench.pick(("pinion", "mark", "plus"), "out")
    one = dict(bench.table["pinion"]["mark"])
    more = bench.panel._pinion.marks[0].more
    assert more is not None
    more.invoke()
    assert bench.table["pinion"]["mark"] == [one, {}]
    bench.type(("pinion", "mark", 1, "value"), "2")
    bench.pick(("pinion", "mark", 1, "unit"), "0.001 in")  # type: ignore[arg-type]  # in a list
    bench.pick(("pinion", "mark", 1, "plus"), "in")  # type: ignore[arg-type]  # in a list
    pinion = bench.job().pinion
    assert pinion is not None
    assert pinion.wanted_um == pytest.approx(78_000.0 - 30.0 - 50.8)
    bench.panel._pinion.marks[1].gone.invoke()
    assert bench.table["pinion"]["mark"] == one


def test_whose_mark_it_is_is_said(bench: PinionBench) -> None:
    """The old pinion's mark and the wheel's are read back as theirs, not as this pinion's."""
    mark = {"value": 2, "unit": "0.01 mm", "plus": "out"}
    bench.edited(edits.set_at(("pinion", "carried"), {"mark": mark}), ("pinion",), False)
    bench.edited(edits.set_at(("pinion", "wheel_mark"), mark), ("pinion",), False)
    texts = bench.texts()
    way = "stands 0.020 mm further out from"
    assert f"So the old pinion {way} the crown wheel's axis than drawn." in texts
    assert f"So this crown wheel {way} the pinion's axis than drawn." in texts
    assert not any(text.startswith("So this pinion") for text in texts)


def test_a_mark_is_taken_away(bench: PinionBench) -> None:
    """Taken away, nothing of a mark is left to be asked for."""
    bench.pick(("pinion", "mark", "plus"), "in")
    assert bench.line(("pinion", "mark", "value")) == "Still to come"
    bench.panel._pinion.marks[0].gone.invoke()
    assert "mark" not in bench.table["pinion"]
    assert bench.line(("pinion", "mark", "value")) == ""


def test_a_step_of_the_files_own_is_offered(bench: PinionBench) -> None:
    """A step that only the file has is a third choice, and stays chosen."""
    mark = {"value": 5, "unit": "0.005 mm", "plus": "out"}
    bench.edited(edits.set_at(("pinion", "mark"), mark), ("pinion",), False)
    unit = bench.panel.form.fields[("pinion", "mark", "unit")]
    assert isinstance(unit, Pick)
    assert (unit.value.get(), len(unit.buttons)) == ("0.005 mm", 3)


# Spacer, old build


def test_a_solid_spacer_brings_its_limit_and_seat(bench: PinionBench) -> None:
    """End float and its seat are asked for on a solid spacer only, and go with it."""
    fill(bench)
    assert ("limits", "pinion_end_float", "low") not in bench.places()
    spacer = bench.panel.form.fields[("pinion", "spacer")]
    assert isinstance(spacer, Pick)
    spacer.buttons["solid"].focus_set()
    bench.window.update()
    spacer.buttons["solid"].invoke()
    bench.window.update()
    again = bench.panel.form.fields[("pinion", "spacer")]
    assert isinstance(again, Pick) and bench.window.focus_get() in again.buttons.values()
    bench.type(("limits", "pinion_end_float", "low"), "-0.06")
    bench.type(("limits", "pinion_end_float", "high"), "-0.01")
    bench.type(("seats", PINION_SPACER, "most"), "5")
    assert any("minus: preload" in text for text in bench.texts())
    bench.pick(("pinion", "spacer"), "crush")
    assert "pinion_end_float" not in bench.table["limits"] and "seats" not in bench.table
    assert bench.faults() == ()


def test_the_old_build_is_carried_over(bench: PinionBench) -> None:
    """Its stack, mark and bearing are asked for; the distance as drawn may stay empty then."""
    fill(bench)
    bench.edited(set_pinion(("pinion", "nominal"), None), ("pinion",), False)
    bench.press(pinion_words.CARRY)
    assert bench.line(("pinion", "nominal")) == ""
    assert bench.line(("pinion", "carried", "fitted")).startswith("Still to come")
    bench.type(("pinion", "carried", "fitted"), "0.81")
    bench.pick(("pinion", "carried", "bearing"), "new")
    assert bench.line(("pinion", "carried", "bearing_within")).startswith("Still to come: how far")
    bench.type(("pinion", "carried", "bearing_within"), "0.1")
    carried = bench.job().pinion
    assert carried is not None and carried.carried is not None
    assert (carried.carried.bearing, carried.carried.bearing_within_um) == ("new", 100.0)
    bench.pick(("pinion", "carried", "bearing"), "kept")
    assert "bearing_within" not in bench.table["pinion"]["carried"]
    assert ("pinion", "carried", "bearing_within") not in bench.places()
    bench.press(pinion_words.CARRY_NOT)
    assert "carried" not in bench.table["pinion"]
    assert bench.line(("pinion", "nominal")).startswith("Still to come")


def test_the_only_value_of_the_old_build_can_be_typed_anew(bench: PinionBench) -> None:
    """Emptied to be typed again, the old build and the pinion stay where they are."""
    bench.press(pinion_words.CARRY)
    bench.type(("pinion", "carried", "within"), "3")
    field = bench.panel.form.fields[("pinion", "carried", "within")]
    assert isinstance(field, Field)
    field.entry.event_generate("<Key-BackSpace>")
    bench.window.update()
    assert bench.table["pinion"] == {"carried": {}}
    assert bench.window.focus_get() is field.entry
    bench.type(("pinion", "carried", "within"), "0.05")
    assert bench.table["pinion"]["carried"] == {"within": 0.05}


# Faults, defaults, room


@pytest.mark.parametrize(
    ("place", "value", "found"),
    [
        (("pinion", "nominal"), "x", "found 'x'"),
        (("pinion", "mark", "value"), "two", "found 'two'"),
        (("pinion", "mark", "unit"), "inches", "found 'inches'"),
        (("pinion", "carried", "fitted"), "-1", "found '-1'"),
        (("pinion", "give", "within"), 0, "found 0"),
        (("limits", "depth", "low"), 1, "found 1, with high 0.03"),
        (("seats", PINION_HEAD, "most"), 99, "found 99"),
        (("pinion", "spacer"), "wood", "found 'wood'"),
    ],
)
def test_faults_land_under_their_fields(
    bench: PinionBench, place: tuple[str, ...], value: object, found: str
) -> None:
    """A slip has one line under its own row, and its field alone is red."""
    fill(bench)
    bench.edited(edits.set_at(place, value), place, False)
    assert bench.line(place).startswith(found)
    field = bench.panel.form.fields[place]
    if isinstance(field, Field):
        assert field.entry.instate(["invalid"])
        others = (f for at, f in bench.panel.form.fields.items() if at != place)
        assert not any(isinstance(f, Field) and f.entry.instate(["invalid"]) for f in others)


def test_what_stands_in_for_blanks_is_said(bench: PinionBench) -> None:
    """Give and the old build's doubt are shown as assumed, in the unit shown, with their source."""
    bench.press(pinion_words.CARRY)
    texts = " ".join(bench.texts())
    assert "0.0185 within 0.0035 mm (common practice, no source)" in texts
    assert "0.025 if left empty" in texts
    bench.unit = "thou"
    bench.show()
    texts = " ".join(bench.texts())
    assert "0.728 within 0.138 thou" in texts
    assert "no source" in pinion_words.ratio_blank() and "0.2" in pinion_words.ratio_blank()


def test_example_limits_of_a_pinion(bench: PinionBench) -> None:
    """Its limits carry the EXAMPLE mark with a way out, as those of the carrier do."""
    fill(bench)
    bench.edited(edits.set_at(("limits", "depth", "example"), True), ("limits",), False)
    bench.press("Now from my manual")
    assert not bench.job().limit("depth").example


def test_us_words(bench: PinionBench) -> None:
    """The trade's words reach the section: end play and ring gear."""
    bench.pick(("pinion", "spacer"), "solid")
    bench.words = "US"
    bench.show()
    texts = " ".join(bench.texts())
    assert "Pinion end play" in texts and "end float" not in texts.lower()
    sketch = bench.panel._pinion.sketch
    assert sketch is not None
    deadline = time.monotonic() + 5.0
    while not sketch.written() and time.monotonic() < deadline:  # laid out anew, drawn when it is
        bench.window.update()
    assert "ring gear's axis" in sketch.written()


def test_show_keeps_focus_caret_and_half_typed(bench: PinionBench) -> None:
    """Shown again, a field of the pinion keeps the keyboard, its caret and what is half typed."""
    bench.type(("pinion", "nominal"), "78.")
    field = bench.panel.form.fields[("pinion", "nominal")]
    assert isinstance(field, Field)
    field.entry.icursor(1)
    bench.show()
    bench.window.update()
    assert (field.text.get(), field.entry.index("insert")) == ("78.", 1)
    assert bench.panel.form.fields[("pinion", "nominal")] is field


@pytest.mark.parametrize("name", ["pinion_solid.toml", "pinion_crush.toml"])
def test_shipped_jobs_are_shown_whole(bench: PinionBench, name: str) -> None:
    """Every value that a shipped job gives its pinion stands in a field of the form."""
    bench.table = table_of((files("stock_lists") / name).read_text("utf-8"))
    bench.show()
    bench.window.update()

    def leaves(value: object, place: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        spread = isinstance(value, dict) and "thickness" in value  # one field shows both
        if isinstance(value, dict) and not spread:
            for key, inner in value.items():
                yield from leaves(inner, (*place, key))
        else:
            yield place

    told = list(leaves(bench.table["pinion"], ("pinion",)))
    assert len(told) > 6
    for place in told:
        field = bench.panel.form.fields[place]
        assert isinstance(field, Field | Pick)
        shown = field.text.get() if isinstance(field, Field) else field.value.get()
        assert shown, place
    assert bench.faults() == ()


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("wide", [400, 660])
def test_all_text_fits(window: tk.Toplevel, large: bool, wide: int) -> None:
    """Every label, chip and button of a whole pinion has the room its text asks for."""
    bench = PinionBench(window, large=large)
    fill(bench)
    bench.pick(("pinion", "spacer"), "solid")
    bench.edited(edits.set_at(("pinion", "carried"), {"bearing": "new"}), ("pinion",), False)
    mark = {"value": -3, "unit": "0.01 mm", "plus": "in"}
    bench.edited(edits.set_at(("pinion", "mark"), [mark, mark]), ("pinion",), False)
    bench.edited(with_carrier(), ("readings",), False)
    window.geometry(f"{wide}x1000")
    come_to_rest(window)
    edge = bench.panel.winfo_rootx() + bench.panel.winfo_width()
    found = 0
    for widget, text in written(bench.panel):
        assert widget.winfo_width() >= widget.winfo_reqwidth(), text
        assert widget.winfo_height() >= widget.winfo_reqheight(), text
        assert widget.winfo_rootx() + widget.winfo_width() <= edge, text
        found += 1
    assert found > 80
    assert len(list(entries(bench.panel))) > 20
    sketch = bench.panel._pinion.sketch
    assert sketch is not None
    for item in sketch.find_all():
        box = sketch.bbox(item)
        assert box[0] >= 0 and box[2] <= sketch.winfo_width(), sketch.type(item)
    texts = [sketch.bbox(one) for one in sketch.find_all() if sketch.type(one) == "text"]
    assert len(texts) == 4
    for at, one in enumerate(texts):  # words do not run into one another
        for other in texts[at + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0]
            assert apart or one[3] <= other[1] + 2 or other[3] <= one[1] + 2


# Edits alone


JOBS: list[tuple[str, edits.Table]] = [
    ("fresh", edits.fresh_table()),
    ("alone", begin_alone()(edits.fresh_table())),
    ("both", begin_pinion()(edits.fresh_table())),
    ("limits only", {"pinion": {}, "limits": LIMITS}),
    ("depth only", {"pinion": {}, "limits": {"depth": {}}}),
    ("seat only", {"pinion": {}, "seats": {"plain side": {"under": "cover"}}}),
]


@pytest.mark.parametrize(("name", "table"), JOBS, ids=[name for name, _ in JOBS])
def test_the_form_and_the_reader_agree_on_what_a_job_is_about(
    name: str, table: edits.Table
) -> None:
    """The reader misses limits of the carrier exactly where the form asks for them."""
    with pytest.raises(Trouble) as caught:
        read_job({**table, "unit": "mm"}, "j", Path())
    places = {fault.place[:2] for fault in caught.value.faults}
    found = value = table.get("limits", {})
    wanted = ("limits", "backlash") in places or (isinstance(value, dict) and "backlash" in found)
    assert about_carrier(table) is wanted, name


def test_edits_leave_the_old_table_alone() -> None:
    """Every edit gives a new table; the one before stays as it was, for undo."""
    mark = {"value": 1, "unit": "0.01 mm", "plus": "out"}
    deeds: list[Callable[[edits.Table], edits.Table]] = [
        begin_pinion(), set_pinion(("pinion", "mark"), mark), add_mark(("pinion", "mark")),
        remove_mark(("pinion", "mark", 1)), set_spacer("crush"), set_bearing("kept"),
        with_carrier(), drop_pinion(),
    ]  # fmt: skip
    tables = [edits.fresh_table()]
    kept = [repr(tables[0])]
    for deed in deeds:
        tables.append(deed(tables[-1]))
        kept.append(repr(tables[-1]))
    assert [repr(table) for table in tables] == kept
    assert all(before != after for before, after in itertools.pairwise(kept))


def test_an_empty_pinion_is_saved_and_read_again() -> None:
    """A pinion of which nothing is known yet, and half a mark, come back from the file."""
    table = begin_alone()(edits.fresh_table())
    table = edits.set_at(("pinion", "mark"), [{"value": 2}, {}])(table)
    table = edits.set_at(("pinion", "carried"), {})(table)
    text, _ = toml_with("", table)
    assert table_of(text) == table
