"""The pinion's readings among the cards: offered where they make sense, and read as taken."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from test_readings_panel import Bench, _all

from desktop import edits, pinion_words
from desktop.document import new_document
from desktop.form_chips import GROUP, Choice
from desktop.inputs import DRAWER_MISSING, read_document
from desktop.pinion_edits import begin_alone, begin_pinion
from desktop.reading_words import (
    LOADED_WHY,
    choices_to_add,
    hint_of,
    title_of,
    usual_tool,
    ways_of,
    why_of,
)
from solver.job import (
    CARRIER_READABLE,
    FITTED_SEATS,
    LOADABLE,
    PINION_HEAD,
    PINION_READABLE,
    PINION_SPACER,
    Job,
)
from solver.job_file import read_job

PINION = {
    "stack_sits": "head bearing race",
    "measured_to": "shoulder",
    "nominal": 78.0,
    "spacer": "solid",
}
LIMITS = {"depth": {"low": -0.03, "high": 0.03}, "pinion_end_float": {"low": -0.06, "high": 0.0}}


class PinionBench(Bench):
    """A bench with a job about a pinion on a solid spacer, in mm."""

    def __init__(self, window: tk.Toplevel, **looks: Any) -> None:
        super().__init__(window, **looks)
        self.unit = "mm"
        self.table = {**begin_alone()(edits.fresh_table("mm")), "pinion": PINION, "limits": LIMITS}
        self.show()
        window.update()

    def job(self) -> Job:
        """The job as it is read now."""
        return read_job(self.table, "job.toml", Path())

    def chip(self, number: int, key: str) -> Choice:
        """A chip of a reading."""
        found = self.panel.cards[number].fields[("readings", number, key)]
        assert isinstance(found, Choice)
        return found


@pytest.fixture
def bench(window: tk.Toplevel) -> Iterator[PinionBench]:
    """A job about a pinion alone."""
    yield PinionBench(window)


@pytest.fixture
def axle(window: tk.Toplevel) -> Iterator[Bench]:
    """A new job, about a carrier until it says otherwise."""
    yield Bench(window)


def offered(table: edits.Table) -> list[str]:
    """What can be added to a job, a heading as its words."""
    return [word if of == GROUP else of for of, word in choices_to_add("UK", table)]


# What is offered


def test_the_carriers_readings_come_first(axle: Bench) -> None:
    """A carrier's job offers its own readings first, the pinion's under a heading of their own."""
    found = offered(axle.table)
    assert found[: len(CARRIER_READABLE)] == list(CARRIER_READABLE)
    assert found[len(CARRIER_READABLE)] == "Pinion"
    assert set(found[len(CARRIER_READABLE) + 1 :]) == set(PINION_READABLE) - {"old head height"}
    menu = axle.panel.add.menu
    kinds = [menu.type(at) for at in range(int(menu.index("end") or 0) + 1)]
    assert kinds.count("separator") == 1 and len(kinds) == len(found) + 1
    heading = kinds.index("separator") + 1
    assert menu.entrycget(heading, "state") == "disabled"
    assert menu.entrycget(heading, "label") == "Pinion"


def test_the_pinions_come_first_where_it_is_alone(bench: PinionBench) -> None:
    """A job about the pinion alone offers its readings first, and the carrier's after them."""
    found = offered(bench.table)
    assert found[0] == "axis to seat" and found[found.index("Carrier") + 1] == "total clearance"


def test_only_what_makes_sense_is_offered() -> None:
    """An old height only where both bearings are measured, end float on no crush spacer."""
    table = {**edits.fresh_table(), "pinion": {**PINION, "carried": {"bearing": "measured"}}}
    assert set(offered(table)) >= set(PINION_READABLE)
    crush = edits.set_at(("pinion", "spacer"), "crush")(table)
    assert "pinion end float" not in offered(crush) and "pinion end float" in offered(table)
    kept = edits.set_at(("pinion", "carried", "bearing"), "kept")(table)
    assert "old head height" not in offered(kept)


def test_adding_one_begins_the_pinion(axle: Bench) -> None:
    """In a carrier's job a reading of the pinion makes it a job about both, in one edit."""
    told = len(axle.told)
    axle.panel.add.pick("mounting distance")
    assert axle.table["pinion"] == {}
    assert [one["of"] for one in axle.table["readings"]][2:] == ["mounting distance"]
    assert len(axle.told) == told + 1  # one step of undo
    axle.panel.add.pick("backlash")
    assert axle.reading(3)["of"] == "backlash"


@pytest.mark.parametrize(
    ("of", "tool"),
    [
        ("axis to seat", "depth-gauge"),
        ("mounting distance", "depth-gauge"),
        ("head height", "micrometer"),
        ("old head height", "micrometer"),
        ("pinion end float", "dial"),
        ("mesh gap", "feelers"),
        ("backlash", "dial"),
    ],
)
def test_usual_tools(of: str, tool: str) -> None:
    """Each reading begins with the tool it is usually taken with."""
    table = edits.set_at(("tools", "depth-gauge", "kind"), "other")(edits.fresh_table())
    assert usual_tool(of, table) == tool
    if tool == "depth-gauge":
        assert usual_tool(of, edits.fresh_table()) == "micrometer"
    assert usual_tool(of, {"readings": []}) is None


# Taken


def test_a_distance_typed_by_keyboard(bench: PinionBench) -> None:
    """Repeats, and what was at the head, typed with Return between them, are read as that."""
    bench.panel.focus_place(("readings", 0, "values"))
    bench.type("78.20 78.21")
    bench.press("Return")
    bench.type("H14 + H16")
    bench.panel.add.pick("pinion end float")
    bench.window.update()
    bench.type("0.104")
    bench.press("Return")
    bench.type("1.3")
    bench.press("Return")
    bench.type("0.81")
    assert bench.faults() == ()
    distance, loose = bench.job().readings
    assert distance.values_um == (78200.0, 78210.0)
    assert distance.stack(PINION_HEAD).lots == (("H14", 1), ("H16", 1))
    assert not distance.loaded
    assert loose.values_um == (104.0,)
    assert loose.stack(PINION_SPACER).thickness_um == 1300.0
    assert loose.stack(PINION_HEAD).thickness_um == 810.0
    assert loose.tool is not None and loose.tool.name == "dial"


@pytest.mark.parametrize("of", LOADABLE)
def test_whether_the_bearings_were_loaded(bench: PinionBench, of: str) -> None:
    """A chip says it, unloaded until it is chosen; back again nothing of it is in the file."""
    bench.edited(edits.set_at(("readings",), [{"of": of, "tool": "micrometer"}]), (), False)
    chip = bench.chip(0, "loaded")
    assert chip.cget("text").startswith("no preload")
    chip.pick("loaded")
    assert bench.reading(0)["loaded"] is True
    assert bench.chip(0, "loaded").cget("text").startswith("bearings loaded")
    bench.chip(0, "loaded").pick("")
    assert "loaded" not in bench.reading(0)
    assert "added" in LOADED_WHY


@pytest.mark.parametrize("of", ["axis to seat", "pinion end float", "backlash", "mesh gap"])
def test_others_have_no_such_chip(bench: PinionBench, of: str) -> None:
    """Where preload has no say there is no chip for it: the reader would refuse it."""
    bench.edited(edits.set_at(("readings",), [{"of": of, "tool": "dial"}]), (), False)
    assert ("readings", 0, "loaded") not in bench.panel.cards[0].fields


@pytest.mark.parametrize("of", PINION_READABLE)
def test_seats_whose_shims_enter(bench: PinionBench, of: str) -> None:
    """Each card asks for exactly the seats that enter its reading."""
    bench.edited(edits.set_at(("readings",), [{"of": of, "tool": "dial"}]), (), False)
    asked = [place[3] for place in bench.panel.cards[0].fields if place[2:3] == ("fitted",)]
    assert asked == list(FITTED_SEATS.get(of, ()))


def test_ways_that_make_sense(bench: PinionBench) -> None:
    """A height over a bearing is read as figures only; a file's other way is still shown."""
    assert ways_of("head height", "values") == ("values",)
    assert ways_of("pinion end float", "values") == ("values", "at_most")
    assert set(ways_of("head height", "goes")) == {"goes", "values"}
    assert "around" in ways_of("backlash", "values") and "around" not in ways_of("mesh gap", "goes")
    bench.edited(edits.set_at(("readings", 0, "of"), "head height"), (), False)
    assert bench.panel.cards[0].ways is None
    bench.edited(edits.set_at(("readings", 0), {"of": "head height", "goes": 3}), (), False)
    assert bench.panel.cards[0].ways is not None


def test_a_stack_that_does_not_enter_is_a_fault_of_its_card(bench: PinionBench) -> None:
    """What is wrong with a reading of the pinion stands in its own card."""
    place = ("readings", 0, "fitted", "wheel side")
    bench.edited(edits.set_at(place, 1), place, False)
    line = bench.panel.cards[0].lines[("readings", 0, "fitted", PINION_HEAD)]
    assert "found the wheel side" in line.cget("text")
    bench.edited(edits.remove_at(("readings", 0, "fitted")), (), False)
    bench.edited(edits.set_at(("readings", 0, "loaded"), "yes"), (), False)
    assert "true or false" in bench.panel.cards[0].lines[("readings", 0, "loaded")].cget("text")
    assert bench.chip(0, "loaded").instate(["invalid"])


# The pinion alone


def test_a_new_job_can_be_about_the_pinion_alone(axle: Bench) -> None:
    """One press makes a new job one about the pinion, its first reading with the keyboard on it."""
    axle.table = edits.fresh_table("mm")
    axle.show()
    axle.window.update()
    assert axle.panel.alone.winfo_ismapped()
    assert axle.panel.alone.cget("text") == pinion_words.ALONE
    axle.panel.alone.invoke()
    axle.window.update()
    assert axle.table["readings"] == [{"of": "mounting distance", "tool": "micrometer"}]
    assert axle.window.focus_get() is axle.field(0, "values").entry
    assert not axle.panel.alone.winfo_ismapped()
    assert not any(fault.place[1:2] == ("backlash",) for fault in axle.faults())


def test_it_is_not_offered_once_something_was_read(axle: Bench) -> None:
    """Nothing that was read can be lost by it."""
    axle.table = edits.fresh_table("mm")
    axle.show()
    axle.field(0, "goes").take_focus()
    axle.type("5")
    assert not axle.panel.alone.winfo_ismapped()


def test_a_bare_pinion_takes_another_unit() -> None:
    """A new job about the pinion with nothing typed is as bare as any, and changes its unit."""
    for unit in ("mm", "thou"):
        assert edits.is_bare(begin_alone()(edits.fresh_table(unit)))
    assert not edits.is_bare({**begin_alone()(edits.fresh_table()), "pinion": PINION})
    assert not edits.is_bare(begin_pinion()(edits.fresh_table()))


def test_what_is_missing_is_said_once() -> None:
    """A job just begun misses the pinion's set-up, in one phrase, and is not faulty."""
    inputs = read_document(new_document(table=begin_alone()(edits.fresh_table())), "US")
    assert inputs.state == "empty"
    asked = "what the set-up asks of the pinion"
    assert inputs.missing.count(asked) == 1 and DRAWER_MISSING in inputs.missing
    assert "the limits of pinion end play" in [name.lower() for name in inputs.missing]


def test_heights_still_to_be_measured_are_wished_for() -> None:
    """Both heights not read yet are missing, not wrong."""
    table = begin_alone()(edits.fresh_table())
    carried = {"fitted": 0.8, "bearing": "measured"}
    del table["readings"]
    pinion = {**PINION, "spacer": "crush", "carried": carried}
    table = {**table, "pinion": pinion, "limits": {"depth": LIMITS["depth"]}}
    inputs = read_document(new_document(table=table), "UK")
    assert inputs.state != "faulty"
    assert any("head height and old head height" in name.lower() for name in inputs.missing)


def test_an_old_build_alone_is_a_whole_job(tmp_path: Path) -> None:
    """Bearing kept and old build carried over: no reading is wanted, and the job is ready."""
    from desktop.document import open_document

    carried = 'fitted = { thickness = 0.81, within = 0.004 }\nbearing = "kept"\n'
    job = tmp_path / "job.toml"
    job.write_text(
        'unit = "mm"\ndrawer = "d.csv"\n[pinion]\nstack_sits = "cartridge flange"\n'
        f'measured_to = "nose"\nspacer = "crush"\n[pinion.carried]\n{carried}'
        "[limits]\ndepth = { low = -0.05, high = 0.05 }\n",
        encoding="utf-8",
    )
    (tmp_path / "d.csv").write_text("id,thickness,unit,count\nA,0.8,mm,1\n", encoding="utf-8")
    inputs = read_document(open_document(job), "UK")
    assert (inputs.state, inputs.missing, inputs.faults) == ("ready", (), ())


def test_the_window_begins_and_answers_a_pinion(opened: Callable[..., Any], tmp_path: Path) -> None:
    """From a new job to an answer by the window's own fields: no backlash is ever asked for."""
    whole = opened().start()
    whole.press("Control-n")
    whole.settle()
    whole.window.set_unit("mm")
    whole.frame.readings.alone.invoke()
    whole.settle()
    assert "pinion" in whole.frame.status.text
    whole.frame.status.buttons["Set-up"].invoke()
    whole.settle()
    form = whole.frame.middle.setup.form
    for key, value in (("stack_sits", "head bearing race"), ("measured_to", "nose"),
                       ("spacer", "crush")):  # fmt: skip
        whole.frame.middle.setup.form.fields[("pinion", key)].buttons[value].invoke()
        whole.settle()
    for place, text in ((("pinion", "nominal"), "78"), (("limits", "depth", "low"), "-0.05"),
                        (("limits", "depth", "high"), "0.05")):  # fmt: skip
        whole.put(form.fields[place], text)
    whole.put(whole.field(0, "values"), "78.2 78.21")
    whole.put(whole.field(0, "fitted", PINION_HEAD), "0.8")
    whole.frame.middle.turn_to("drawer")
    whole.settle()
    from solver.drawer_sheet import sheet_of

    sheet = sheet_of(b"id,thickness,unit,count\nA,1.0,mm,1\nB,1.02,mm,1\n", "d.csv")
    whole.window.sheet_edited(sheet)
    whole.settle()
    assert whole.window.inputs.state == "ready"
    answer = whole.window.asking.shown
    assert answer is not None and answer.verdict is not None
    assert [seat.name for seat in answer.job.seats] == [PINION_HEAD]
    assert "backlash" not in " ".join(whole.window.inputs.missing)


# Words and room


@pytest.mark.parametrize("words", ["UK", "US"])
@pytest.mark.parametrize("of", PINION_READABLE)
def test_words_of_both_trades(of: str, words: str) -> None:
    """Every reading has its name, its hint and its why, in the words of the trade."""
    why = why_of(of, words)
    assert len(why) > 80 and "{" not in why and hint_of(of)
    other = {"UK": ("ring gear", "end play"), "US": ("crown wheel", "end float")}[words]
    assert not any(word in (why + title_of(of, words)).lower() for word in other)


@pytest.mark.parametrize("large", [False, True])
def test_all_text_fits(window: tk.Toplevel, large: bool) -> None:
    """Every label and chip of the pinion's cards has the room it asks for, hints on one line."""
    bench = PinionBench(window, large=large)
    bench.edited(edits.set_at(("readings",), []), (), False)
    for of in PINION_READABLE:
        bench.edited(edits.add_reading(of, "micrometer"), ("readings",), False)
    window.geometry("800x1000")
    window.update()
    window.update()
    theme = bench.panel._theme
    room = bench.panel.wide - 2 * theme.space("card_x") - bench.panel.column.bar_room
    for of in PINION_READABLE:
        assert theme.wide("caption", hint_of(of)) <= room or large, of
    edge = bench.panel.winfo_rootx() + bench.panel.winfo_width()
    seen = 0
    for widget in _all(bench.panel):
        if widget.winfo_class() in ("TLabel", "TButton", "TMenubutton") and widget.winfo_ismapped():
            assert widget.winfo_width() >= widget.winfo_reqwidth(), widget.cget("text")
            assert widget.winfo_height() >= widget.winfo_reqheight(), widget.cget("text")
            assert widget.winfo_rootx() + widget.winfo_width() <= edge, widget.cget("text")
            seen += 1
    assert seen > 20
