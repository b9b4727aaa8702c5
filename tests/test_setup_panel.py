"""The set-up: every field typed in, limits that nothing stands in for, faults on their fields."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from whole_window import come_to_rest

from desktop import edits, setup_words
from desktop.form_chips import Choice
from desktop.form_parts import Field, Pick
from desktop.setup_edits import add_tool, set_of_seat, set_pruned
from desktop.setup_panel import SetupPanel
from desktop.theme import apply_theme
from solver.job import Job
from solver.job_file import read_job
from solver.trouble import Fault, Trouble

READINGS = [{"of": "total clearance", "value": 51, "within": 1}, {"of": "mesh gap", "value": 24}]
READINGS[1]["within"] = 1


class Bench:
    """Stands in for the window: keeps the job, judges it, shows it again after every edit."""

    def __init__(self, window: tk.Toplevel, *, mode: str = "light", large: bool = False) -> None:
        self.window, self.unit, self.words = window, "thou", "UK"
        self.table: edits.Table = {**edits.fresh_table("thou"), "readings": READINGS}
        self.told: list[tuple[tuple[object, ...], bool]] = []
        theme = apply_theme(window, mode, large)
        self.panel = SetupPanel(window, theme, on_edit=self.edited)
        self.panel.pack(fill="both", expand=True)
        self.show()
        window.update()
        window.focus_force()

    def edited(self, edit: edits.Edit, place: tuple[Any, ...], typing: bool) -> None:
        """Take an edit as the window does."""
        self.table = edit(self.table)
        self.told.append((place, typing))
        self.show()

    def job(self) -> Job:
        """The job as it is read now."""
        return read_job(self.table, "job.toml", Path())

    def faults(self) -> tuple[Fault, ...]:
        """Everything wrong with the job now."""
        try:
            self.job()
        except Trouble as trouble:
            return trouble.faults
        return ()

    def show(self) -> None:
        """Show the job as it is."""
        faults = self.faults()
        assumed = () if faults else self.job().assumed
        self.panel.show(self.table, faults, assumed, unit=self.unit, words=self.words)

    def type(self, place: tuple[str, ...], text: str) -> None:
        """Type into the field of a place."""
        self.panel.focus_place(place)
        self.window.update()
        for one in text:
            where = self.window.focus_get()
            assert where is not None
            keys = {" ": "space", ".": "period", ",": "comma"}
            where.event_generate(f"<Key-{keys.get(one, one)}>")
            self.window.update()

    def pick(self, place: tuple[str, ...], value: str) -> None:
        """Press a choice, or pick from a chip."""
        field = self.panel.form.fields[place]
        if isinstance(field, Choice):
            field.pick(value)
        else:
            assert isinstance(field, Pick)
            field.buttons[value].invoke()

    def line(self, place: tuple[str, ...]) -> str:
        """What stands under the field of a place."""
        return str(self.panel.form.lines[place].cget("text"))

    def limits(self) -> None:
        """Type limits, as from a manual."""
        for key, low, high in (("backlash", "5", "8"), ("pinch", "4,5", "7")):
            self.type(("limits", key, "low"), low)
            self.type(("limits", key, "high"), high)
        self.pick(("limits", "pinch", "counted"), "each side")


@pytest.fixture
def bench(window: tk.Toplevel) -> Iterator[Bench]:
    """A new job in thou, with two readings, in its set-up."""
    window.geometry("660x900+0+0")
    yield Bench(window)


def written(widget: Any) -> Iterator[tuple[Any, str]]:
    """Every label, chip and button that is to be seen, with its text."""
    kinds = ("TLabel", "TButton", "TMenubutton", "TRadiobutton")
    if widget.winfo_class() in kinds and widget.winfo_ismapped():
        yield widget, str(widget.cget("text"))
    for child in widget.winfo_children():
        yield from written(child)


def entries(widget: Any) -> Iterator[Any]:
    """Every field that can be typed into."""
    if widget.winfo_class() == "TEntry":
        yield widget
    for child in widget.winfo_children():
        yield from entries(child)


def test_a_job_set_up_by_keyboard(bench: Bench) -> None:
    """What is typed into the form is what the job says, limits for each side counted twice."""
    bench.limits()
    bench.type(("title",), "rear axle")
    bench.type(("wanted", "chance"), "97,5")
    bench.type(("wanted", "most_shims"), "3")
    bench.pick(("seats", "plain side", "under"), "cover")
    bench.type(("seats", "wheel side", "least"), "1")
    bench.type(("mesh", "transfer_ratio", "value"), "0.7")
    bench.type(("mesh", "transfer_ratio", "within"), "0.1")
    bench.type(("mesh", "pinch_share", "value"), "0.5")
    bench.type(("mesh", "pinch_share", "within"), "0.2")
    bench.type(("tools", "dial", "repeat"), "0.3")
    bench.pick(("layout", "wheel"), "right")
    bench.pick(("layout", "shims"), "inside")
    job = bench.job()
    assert (job.title, job.wanted_chance, job.unit) == ("rear axle", 0.975, "thou")
    assert (job.limit("backlash").low_um, job.limit("backlash").high_um) == (127.0, 203.2)
    assert job.limit("pinch").high_um == pytest.approx(2 * 7 * 25.4)
    assert [(s.under, s.least, s.most) for s in job.seats] == [("bearing", 1, 3), ("cover", 0, 3)]
    assert (job.mesh.ratio, job.mesh.ratio_within, job.mesh.share_within) == (0.7, 0.1, 0.2)
    dial = next(tool for tool in job.tools if tool.name == "dial")
    assert dial.repeat_um == pytest.approx(0.3 * 25.4)
    assert (job.layout.wheel, job.layout.shims) == ("right", "inside")
    assert str(bench.table["wanted"]["chance"]) == "0.975"


def test_limits_have_no_default(bench: Bench) -> None:
    """A new job has no limit, none is chosen for it, and the form says where they come from."""
    texts = " ".join(text for _, text in written(bench.panel))
    assert "no default" in texts and "maker's manual" in texts
    counted = bench.panel.form.fields[("limits", "pinch", "counted")]
    assert isinstance(counted, Pick)
    assert counted.value.get() == ""
    assert "manual" in bench.line(("limits", "backlash"))
    low = bench.panel.form.fields[("limits", "backlash", "low")]
    assert isinstance(low, Field)
    assert not low.entry.instate(["invalid"])  # missing, not wrong
    bench.limits()
    assert bench.line(("limits", "backlash")) == bench.line(("limits", "pinch")) == ""


def test_no_limit_can_be_typed(bench: Bench) -> None:
    """An end that the manual leaves open is typed as such, whatever unit is shown."""
    bench.limits()
    bench.unit = "mm"
    bench.show()
    bench.type(("limits", "backlash", "high"), "no limit")
    assert bench.table["limits"]["backlash"]["high"] == "no limit"
    assert bench.job().limit("backlash").high_um == float("inf")


def test_end_float_in_place_of_pinch(bench: Bench) -> None:
    """Held to end float instead, the carrier has no pinch limit, and its fields are other ones."""
    bench.limits()
    bench.panel._swap("end_float")
    assert "pinch" not in bench.table["limits"]
    bench.type(("limits", "end_float", "low"), "1")
    bench.type(("limits", "end_float", "high"), "3")
    limit = bench.job().limit("pinch")
    assert (limit.counted, limit.high_um) == ("end float", -25.4)


def test_example_mark(bench: Bench) -> None:
    """Example limits are marked as such until their owner says that they are from a manual."""
    bench.limits()
    bench.edited(edits.set_at(("limits", "backlash", "example"), True), ("limits",), False)
    bench.window.update()
    texts = [text for _, text in written(bench.panel)]
    assert texts.count(setup_words.EXAMPLE_NOTE) == 1
    next(w for w, text in written(bench.panel) if text == setup_words.OWN_WORDS).invoke()
    bench.window.update()
    assert setup_words.EXAMPLE_NOTE not in [text for _, text in written(bench.panel)]
    assert not bench.job().limit("backlash").example


def test_teeth(bench: Bench) -> None:
    """Teeth give the ratio, listed as assumed; cleared again, nothing of them is left."""
    bench.limits()
    for key, text in (
        ("pressure_angle", "20"),
        ("spiral_angle", "35"),
        ("pinion_teeth", "11"),
        ("wheel_teeth", "41"),
    ):
        bench.type(("mesh", "teeth", key), text)
    job = bench.job()
    assert job.mesh.teeth is not None and job.mesh.teeth.spiral_deg == 35
    assert any("from the teeth" in one for one in bench.panel.assumed)
    text = str(bench.panel.assumed_line.cget("text"))
    assert all(one in text for one in job.assumed)
    for key in ("pressure_angle", "spiral_angle", "pinion_teeth", "wheel_teeth"):
        bench.edited(set_pruned(("mesh", "teeth", key), None), ("mesh",), False)
    assert "mesh" not in bench.table


def test_where_the_limit_is_stated(bench: Bench) -> None:
    """Where backlash is stated can be chosen; without teeth that is a fault of its own row."""
    bench.limits()
    bench.pick(("limits", "backlash", "read"), "square to the tooth")
    assert "teeth" in bench.line(("limits", "backlash", "read"))
    bench.pick(("limits", "backlash", "read"), "along the rotation")
    assert "read" not in bench.table["limits"]["backlash"]
    assert bench.faults() == ()


def test_tools(bench: Bench) -> None:
    """Tools are added under free names, renamed with their readings, and taken away."""
    bench.edited(add_tool("dial"), ("tools",), False)
    bench.edited(edits.set_at(("readings", 0, "tool"), "dial 2"), ("readings",), False)
    assert list(bench.table["tools"]) == ["feelers", "dial", "micrometer", "dial 2"]
    name = next(one for one in entries(bench.panel) if one.get() == "dial 2")
    name.focus_set()
    bench.window.update()
    name.delete(0, "end")
    name.insert(0, "old  dial ")
    name.event_generate("<Return>")
    bench.window.update()
    assert ("tools", "old dial", "within") in bench.panel.form.fields
    assert bench.table["readings"][0]["tool"] == "old dial"
    bench.edited(edits.remove_tool("old dial"), ("tools",), False)
    assert ("tools", "old dial", "within") not in bench.panel.form.fields
    bench.window.update()
    texts = " ".join(text for _, text in written(bench.panel))
    assert "common practice, no source" in texts  # what stands in for blanks


def test_seat_that_says_anything_says_under_what() -> None:
    """A seat given only a count gets the bearing it had by default; emptied it is gone."""
    table = set_of_seat("plain side", "most", 2)({})
    assert table["seats"]["plain side"] == {"under": "bearing", "most": 2}
    assert set_of_seat("plain side", "most", None)({}) == {}


def test_faults_land_on_their_fields(bench: Bench) -> None:
    """A faulty value reddens its own field, with one line under its row; the rest stays."""
    bench.limits()
    bench.type(("wanted", "chance"), "950")
    chance = bench.panel.form.fields[("wanted", "chance")]
    title = bench.panel.form.fields[("title",)]
    assert isinstance(chance, Field) and isinstance(title, Field)
    assert chance.entry.instate(["invalid"])
    assert not title.entry.instate(["invalid"])
    assert bench.line(("wanted", "chance")).startswith("found ")
    assert bench.window.focus_get() == chance.entry
    bench.type(("mesh", "transfer_ratio", "value"), "0.7")
    bench.type(("mesh", "transfer_ratio", "within"), "x")
    within = bench.panel.form.fields[("mesh", "transfer_ratio", "within")]
    assert isinstance(within, Field) and within.entry.instate(["invalid"])


def test_show_keeps_focus_caret_and_half_typed(bench: Bench) -> None:
    """Shown again, the field with the keyboard keeps it, its caret and what is half typed."""
    bench.type(("limits", "backlash", "low"), "5.")
    field = bench.panel.form.fields[("limits", "backlash", "low")]
    assert isinstance(field, Field)
    field.entry.icursor(1)
    bench.show()
    bench.window.update()
    assert (field.text.get(), field.entry.index("insert")) == ("5.", 1)
    assert bench.window.focus_get() == field.entry
    assert bench.panel.form.fields[("limits", "backlash", "low")] is field


def test_unit_of_the_job(bench: Bench) -> None:
    """Another unit of the job converts nothing: numbers are read anew."""
    bench.limits()
    bench.pick(("unit",), "mm")
    assert bench.table["limits"]["backlash"]["low"] == 5
    assert bench.job().limit("backlash").low_um == 5000.0


def test_us_words(bench: Bench) -> None:
    """US words reach the limits and the tools; the job's keys stay."""
    bench.words = "US"
    bench.show()
    bench.window.update()
    texts = [text for _, text in written(bench.panel)]
    assert "Side-bearing preload" in texts and "End play" in texts
    assert ("limits", "pinch", "low") in bench.panel.form.fields


def test_tab_stops_only_where_something_can_be_done(bench: Bench) -> None:
    """Tab goes through fields, chips and buttons, and never stops at a frame or a label."""
    field = bench.panel.form.fields[("title",)]
    assert isinstance(field, Field)
    where: Any = field.entry
    for _ in range(60):
        where = where.tk_focusNext()
        assert where.winfo_class() in ("TEntry", "TMenubutton", "TButton", "TRadiobutton"), where


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("wide", [400, 660])
def test_all_text_fits(window: tk.Toplevel, large: bool, wide: int) -> None:
    """Every label, chip and button has the room its text asks for, in the width there is."""
    bench = Bench(window, large=large)
    bench.limits()
    window.geometry(f"{wide}x900")
    come_to_rest(window)
    edge = bench.panel.winfo_rootx() + bench.panel.winfo_width()
    found = 0
    for widget, text in written(bench.panel):
        assert widget.winfo_width() >= widget.winfo_reqwidth(), text
        assert widget.winfo_height() >= widget.winfo_reqheight(), text
        assert widget.winfo_rootx() + widget.winfo_width() <= edge, text
        found += 1
    assert found > 40
