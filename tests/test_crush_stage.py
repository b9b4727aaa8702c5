"""The crush spacer's stage: every state, every edit in the job, the numbers of the answer."""

from __future__ import annotations

import json
import shutil
import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import as_file, files
from itertools import pairwise
from pathlib import Path
from tkinter import ttk
from typing import Any

import fake_crush
import pytest
from fake_crush import LIMITS, PAUSES, crush_text
from whole_window import Bench

from desktop import crush_asking
from desktop.crush_edits import (
    add_pause,
    begin_crush,
    last_angle_deg,
    pauses_of,
    remove_pause,
    set_amounts,
    switch_pause,
    tool_kind,
    way_of,
)
from desktop.crush_kinds import amount_kind, amounts_kind, split_amounts
from desktop.crush_paint import ticks
from desktop.crush_plot import CrushPlot
from desktop.crush_said import said_of, shout_of
from desktop.settings import Settings
from desktop.stages import CRUSH
from desktop.theme import apply_theme
from desktop.turn_bars import TurnBars, offered
from solver import terminal
from solver.crush import Crush, Tightening, Turn
from solver.report_tighten import crush_cautions
from solver.torque_units import shown_torque

Opened = Callable[..., Bench]
HEAD = 'title = "A pinion"\nunit = "mm"\n\n'


def job_with(tmp_path: Path, crush: str) -> Path:
    """A job of which only the crush spacer is there. Returns its path."""
    path = tmp_path / "pinion.toml"
    path.write_text(HEAD + crush, encoding="utf-8")
    return path


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> dict[str, Tightening]:
    """Answers made up, by state; the one under 'now' is given for whatever is asked."""
    answers = fake_crush.states()
    answers["now"] = answers["tighten"]

    def tightened(crush: Crush, _halt: Any) -> Tightening:
        return replace(answers["now"], crush=crush)

    monkeypatch.setattr(crush_asking, "_tightened", tightened)
    return answers


@pytest.fixture
def on_stage(
    opened: Opened, tmp_path: Path, made_up: dict[str, Tightening]
) -> Callable[..., Bench]:
    """Opens a job on the stage. Returns the bench, at rest."""

    def made(crush: str = "", state: str = "tighten", **how: Any) -> Bench:
        made_up["now"] = made_up[state]
        bench = opened(job_with(tmp_path, crush or crush_text()), **how).start()
        bench.window.stages.turn_to(CRUSH)
        bench.settle()
        return bench

    return made


def stage_of(bench: Bench) -> Any:
    """The stage in sight."""
    return bench.window.stages.frame


def pauses(bench: Bench) -> list[dict[str, Any]]:
    """The pauses as the job has them."""
    return pauses_of(bench.desk.document.table)


def field(bench: Bench, number: int, key: str) -> Any:
    """A field of a pause's card. number: from 0; key: in the file."""
    return stage_of(bench).left.cards[number].fields[("crush", "pauses", number, key)]


# Edits and kinds


def test_edits_say_what_was_asked_and_nothing_more() -> None:
    """A crush spacer begins with what was asked; pauses come, go off, and leave no empty list."""
    table = begin_crush("lbf.in", "used")({"title": "x"})
    assert table["crush"] == {"unit": "lbf.in", "bearings": "used"}
    two = add_pause(20.0)(add_pause()(table))
    assert pauses_of(two) == [{}, {"angle": 20}]
    assert repr(pauses_of(add_pause(7.5)(table))[0]["angle"]) == "7.5"
    off = switch_pause(1, on=False)(two)
    assert pauses_of(off)[1]["off"] is True and last_angle_deg(off) is None
    assert last_angle_deg(two) == 20.0
    assert pauses_of(switch_pause(1, on=True)(off)) == pauses_of(two)
    assert "pauses" not in remove_pause(0)(remove_pause(0)(two))["crush"]
    place = ("crush", "pauses", 0, "torque")
    assert pauses_of(set_amounts(place, [3])(two))[0] == {"torque": 3}
    assert pauses_of(set_amounts(place, [3, 4])(two))[0] == {"torque": [3, 4]}
    assert pauses_of(set_amounts(place, [])(set_amounts(place, [3])(two)))[0] == {}


def test_the_tool_decides_the_key_of_a_reading() -> None:
    """What a reading says of itself comes first, then the tool's kind, then the other readings."""
    table: dict[str, Any] = {"crush": {"tool": {"kind": "pull"}, "pauses": [{"angle": 0}]}}
    assert tool_kind(table) == "pull" and way_of({}, table) == "pull"
    assert way_of({"torque": 3}, table) == "torque"
    table["crush"] = {"pauses": [{"weight": "2 kg"}, {}]}
    assert tool_kind(table) == "weight" and way_of({}, table) == "weight"
    assert tool_kind({}) == "wrench"


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("23 23,5; 24", ["23", "23,5", "24"]),
        ("2.3 N.m 2.4 N.m", ["2.3 N.m", "2.4 N.m"]),
        ("8 lbf, 8.2 lbf", ["8 lbf", "8.2 lbf"]),
        ("", []),
        ("x", ["x"]),
    ],
)
def test_repeats_are_parted_with_their_units(text: str, parts: list[str]) -> None:
    """A unit stays with its number."""
    assert split_amounts(text) == parts


def test_a_unit_at_home_is_written_behind_a_bare_number() -> None:
    """What was typed with a unit of its own keeps it; shown, the home unit is left off."""
    pull = amounts_kind("lbf")
    assert pull.read("8 8,2 35 N", "mm", "mm") == ["8 lbf", "8.2 lbf", "35 N"]
    assert pull.shown(["8 lbf", "8.2 lbf", "35 N"], "mm", "mm") == "8  8.2  35 N"
    plain = amounts_kind()
    assert repr(plain.read("20.0 21", "mm", "mm")) == "[20.0, 21]"
    nut = amount_kind("lbf.ft")
    assert nut.read("120", "mm", "mm") == "120 lbf.ft" and nut.read("", "mm", "mm") is None
    assert nut.shown("120 lbf.ft", "mm", "mm") == "120"
    assert nut.shown("160 N.m", "mm", "mm") == "160 N.m"


# States


def test_a_job_without_one_is_offered_to_begin(opened: Opened, tmp_path: Path) -> None:
    """Bearings and unit are asked, none assumed; begun, the limits are what is still to come."""
    bench = opened(job_with(tmp_path, "")).start()
    bench.press("Control-Key-2")
    bench.settle()
    stage = stage_of(bench)
    assert stage.offer.winfo_ismapped() and not stage.left.winfo_ismapped()
    assert stage.offer.button.instate(["disabled"])
    assert "crush" not in bench.desk.document.table
    stage.offer.bearings.buttons["used"].invoke()
    assert stage.offer.button.instate(["disabled"])
    stage.offer.unit.buttons["N.m"].invoke()
    stage.offer.button.invoke()
    bench.settle()
    assert bench.desk.document.table["crush"] == {"unit": "N.m", "bearings": "used"}
    assert not stage.offer.winfo_ismapped() and stage.left.winfo_ismapped()
    said = "\n".join(stage.answer.written())
    assert "NEARLY THERE" in said and "the manual's window for used bearings" in said
    assert not stage.left.form.fold.winfo_ismapped()  # what is missing cannot be folded away
    bench.window.undo()
    bench.settle()
    assert stage.offer.winfo_ismapped()


def test_half_filled_names_what_is_missing_and_nothing_is_red(on_stage: Any) -> None:
    """No window and no meaning yet: soft words under the fields, the first pause one press away."""
    limits = LIMITS.replace('means    = "moving"\n', "").replace(
        "new      = { low = 20, high = 28 }  # from the manual\n", ""
    )
    bench = on_stage(crush_text((), limits))
    stage = stage_of(bench)
    assert bench.window.stages.crush.state == "half-filled"
    said = "\n".join(stage.answer.written())
    assert "whether the window is moving or starting torque" in said
    lines = stage.left.form.rows.lines
    assert "maker's manual" in str(lines[("crush", "new")].cget("text"))
    assert str(lines[("crush", "means")].cget("style")) == "Hint.TLabel"
    for one in stage.left.form.rows.fields.values():
        assert not (hasattr(one, "entry") and one.entry.instate(["invalid"]))
    assert str(stage.answer.button.cget("text")) == "Add the first pause"
    stage.answer.button.invoke()
    bench.settle()
    assert pauses(bench) == [{}]
    assert bench.top.focus_get() is field(bench, 0, "angle").entry


def test_faulty_reddens_its_field_and_leads_there(on_stage: Any) -> None:
    """A slip stands red under its own field; put right, the answer is there again."""
    bench = on_stage()
    stage = stage_of(bench)
    bench.put(field(bench, 1, "torque"), "6.x")
    bench.settle()
    assert field(bench, 1, "torque").entry.instate(["invalid"])
    said = "\n".join(stage.answer.written())
    assert "MEND THE RED" in said and "Pause 2: found '6.x'" in said
    bench.top.focus_force()
    bench.top.update()
    stage.answer.button.invoke()
    bench.top.update()
    assert bench.top.focus_get() is field(bench, 1, "torque").entry
    bench.put(field(bench, 1, "torque"), "6.3")
    bench.settle()
    assert not field(bench, 1, "torque").entry.instate(["invalid"])
    assert "THEN READ" in "\n".join(stage.answer.written())


def test_a_fault_of_the_limits_opens_the_folded_form(on_stage: Any) -> None:
    """Folded while nothing is wrong; a slip in it comes into sight by itself."""
    bench = on_stage()
    form = stage_of(bench).left.form
    assert not form.open
    assert "New bearings: 20 to 28 lbf·in" in str(form.said.cget("text"))
    form.fold.invoke()
    assert form.open
    form.fold.invoke()
    place = ("crush", "new", "low")
    bench.window.edited(crush_at(place, 30), place, False)
    bench.settle()
    assert form.open and form.rows.fields[place].entry.instate(["invalid"])


def crush_at(place: Any, value: object) -> Any:
    """An edit of the job. place; value."""
    from desktop.edits import set_at

    return set_at(place, value)


@pytest.mark.parametrize("state", ["tighten", "near", "creep", "stop", "over", "measure"])
def test_every_answer_says_what_to_do_in_large_words(on_stage: Any, state: str) -> None:
    """The words, the torque with its window, the chance of a hundred, cautions, and the button."""
    bench = on_stage(state=state, size="1920x1080")
    stage = stage_of(bench)
    written = stage.answer.written()
    found = bench.window.stages.crush.answer
    words = {
        "tighten": "TURN 20°,\nTHEN READ", "near": "TURN 10°,\nTHEN READ",
        "creep": "CREEP 1°,\nTHEN READ", "stop": "STOP", "over": "OVER:\nNEW SPACER",
        "measure": "MEASURE\nAGAIN",
    }[state]  # fmt: skip
    assert words in written
    torque = shown_torque(found.torque_newton_m, "lbf.in").split()[0]
    assert any(text.startswith(f"{torque} ± ") for text in written)
    assert "20.0" in written and "28.0" in written
    chance = {
        "stop": "Inside the window: 97 of 100.", "over": "Past the window: more than 99 of 100.",
    }.get(state, "Inside the window: fewer than 1 of 100.")  # fmt: skip
    assert chance in written
    assert set(crush_cautions("UK")) <= set(written)
    button = str(stage.answer.button.cget("text"))
    turn = {"tighten": "20", "near": "10", "creep": "1"}.get(state)
    if turn:
        assert button == f"I turned it {turn}°: read again"
        assert f"{turn}°" in stage.bars.written() and f"next {turn}°" in stage.plot.written()
    else:
        assert button == ("Read again: at the same angle" if state == "measure" else "Copy as text")
        assert not stage.bars.winfo_ismapped()


def test_american_words(on_stage: Any) -> None:
    """The spacer is a sleeve there, in the switch, the answer and the cautions."""
    bench = on_stage(state="over", settings=Settings(words="US"))
    written = stage_of(bench).answer.written()
    assert "OVER:\nNEW SLEEVE" in written
    assert any("crush sleeve" in text for text in written)
    assert not any("spacer" in text.lower() for text in written)
    assert str(bench.frame.bar.stages.buttons[CRUSH].cget("text")) == "Crush sleeve"


def test_a_turn_that_was_made_is_a_pause_to_be_read(on_stage: Any) -> None:
    """The filled button adds the pause at its angle, the keyboard on its torque; then yes or no."""
    bench = on_stage()
    stage = stage_of(bench)
    stage.answer.button.invoke()
    bench.settle()
    assert pauses(bench)[-1] == {"angle": 80}
    assert bench.top.focus_get() is field(bench, 4, "torque").entry
    assert "NEARLY THERE" in stage.answer.written()
    bench.type("13.9")
    bench.press("Key-Return")
    assert bench.top.focus_get() is field(bench, 4, "turned").buttons["yes"]
    bench.settle()
    line = stage.left.cards[4].lines[("crush", "pauses", 4, "turned")]
    assert "turned ten times both ways" in str(line.cget("text"))
    bench.press("Key-Return")
    bench.settle()
    assert pauses(bench)[-1] == {"angle": 80, "torque": 13.9, "turned": True}
    assert bench.window.stages.crush.state == "done"
    assert len(bench.window.stages.crush.crush.pauses) == 5


def test_measure_again_reads_at_the_same_angle(on_stage: Any) -> None:
    """Its button adds a pause where the nut is."""
    bench = on_stage(state="measure")
    stage_of(bench).answer.button.invoke()
    bench.settle()
    assert pauses(bench)[-1] == {"angle": 60}


def test_every_field_of_a_pause_goes_into_the_job(on_stage: Any) -> None:
    """Angle, repeats, whether turned, torque on the nut; left out, put back, removed; undone."""
    bench = on_stage()
    bench.put(field(bench, 0, "angle"), "2.5")
    bench.put(field(bench, 0, "torque"), "4 4.2 3,9")
    bench.put(field(bench, 0, "nut"), "120")
    field(bench, 0, "turned").buttons["no"].invoke()
    bench.settle()
    kept = pauses(bench)[0]
    assert kept == {"angle": 2.5, "torque": [4, 4.2, 3.9], "turned": False, "nut": "120 lbf.ft"}
    assert stage_of(bench).hint.cget("text") == "○ bearings not turned"
    card = stage_of(bench).left.cards[1]
    card.more.menu.invoke(0)
    bench.settle()
    assert pauses(bench)[1]["off"] is True
    assert "Left out: 20°  6.3" in str(card.left_out.cget("text"))
    assert [one.number for one in bench.window.stages.crush.crush.pauses] == [1, 3, 4]
    card.more.menu.invoke(0)
    bench.settle()
    assert "off" not in pauses(bench)[1]
    card.more.menu.invoke(1)
    bench.settle()
    assert [one["angle"] for one in pauses(bench)] == [2.5, 40, 60]
    bench.window.undo()
    bench.settle()
    assert [one["angle"] for one in pauses(bench)] == [2.5, 20, 40, 60]
    assert len(stage_of(bench).left.cards) == 4


def test_every_field_of_the_form_goes_into_the_job(on_stage: Any) -> None:
    """Limits, what they mean and count, the tool, the radius, and what can be left alone."""
    bench = on_stage()
    form = stage_of(bench).left.form
    form.fold.invoke()
    form.rows.more_button.invoke()
    fields = form.rows.fields
    fields[("crush", "bearings")].buttons["used"].invoke()
    bench.settle()
    fields = form.rows.fields
    bench.put(fields[("crush", "used", "low")], "10")
    bench.put(fields[("crush", "used", "high")], "15")
    fields[("crush", "means")].buttons["starting"].invoke()
    fields[("crush", "with", "carrier")].buttons["yes"].invoke()
    bench.put(fields[("crush", "ceiling")], "300")
    bench.put(fields[("crush", "pitch")], "14 tpi")
    bench.put(fields[("crush", "risk")], "2")
    bench.put(fields[("crush", "angle_within")], "5")
    bench.put(fields[("crush", "drag", "torque")], "2 2.5")
    bench.put(fields[("crush", "tool", "within")], "4")
    bench.settle()
    crush = bench.desk.document.table["crush"]
    assert (crush["used"], crush["means"]) == ({"low": 10, "high": 15}, "starting")
    assert crush["with"] == {"seal": True, "carrier": True}
    assert (crush["ceiling"], crush["pitch"], crush["risk"]) == ("300 lbf.ft", "14 tpi", 0.02)
    assert (crush["angle_within"], crush["drag"]) == (5, {"torque": [2, 2.5]})
    assert crush["tool"]["within"] == "4 %"
    assert bench.window.stages.crush.crush.risk == pytest.approx(0.02)
    assert bench.window.stages.crush.crush.wanted == "starting"
    fields[("crush", "tool", "kind")].pick("pull")
    bench.settle()
    bench.put(form.rows.fields[("crush", "radius", "value")], "3")
    bench.put(form.rows.fields[("crush", "radius", "within")], "0.03")
    bench.settle()
    assert bench.desk.document.table["crush"]["radius"] == {"value": "3 in", "within": "0.03 in"}
    # The torques of the wrench are now of another tool: their own cards say so.
    assert "pull" in str(
        stage_of(bench).left.cards[0].lines[("crush", "pauses", 0, "torque")]["text"]
    )


def test_what_turned_along_can_differ_from_the_manual(on_stage: Any) -> None:
    """Said to differ, the drag of that part is asked for, and then moves the window."""
    bench = on_stage()
    form = stage_of(bench).left.form
    form.fold.invoke()
    form.want("yours")
    place = ("crush", "readings_with", "seal")
    assert form.rows.fields[place].value.get() == "yes"  # as in the manual, until said otherwise
    form.rows.fields[place].buttons["no"].invoke()
    bench.settle()
    drag = ("crush", "seal_drag", "torque")
    assert drag in form.rows.fields
    bench.put(form.rows.fields[drag], "2")
    bench.settle()
    assert bench.window.stages.crush.state == "done"
    low = bench.window.stages.crush.crush.low_newton_m
    assert low == pytest.approx(18 * fake_crush.LBF_IN)


def test_an_example_mark_is_said_and_taken_off(on_stage: Any) -> None:
    """EXAMPLE limits are named in the answer until they are one's own."""
    bench = on_stage(crush_text(limits=LIMITS + "example = true\n"), size="1920x1080")
    stage = stage_of(bench)
    assert any(text.startswith("EXAMPLE LIMITS") for text in stage.answer.written())
    stage.left.form.fold.invoke()
    buttons = [w for w in walk(stage.left.form) if isinstance(w, ttk.Button)]
    next(one for one in buttons if one.cget("text") == "Now from my manual").invoke()
    bench.settle()
    assert "example" not in bench.desk.document.table["crush"]
    assert not any(text.startswith("EXAMPLE") for text in stage.answer.written())


def walk(widget: Any) -> list[Any]:
    """A widget and all in it."""
    return [widget, *(inner for child in widget.winfo_children() for inner in walk(child))]


def test_the_axle_says_its_own_faults_as_before(on_stage: Any) -> None:
    """A job without readings yet: the crush spacer is answered, the axle says what it lacks."""
    bench = on_stage()
    assert bench.window.stages.crush.state == "done"
    assert bench.window.inputs.state != "ready"
    bench.press("Control-Key-1")
    bench.settle()
    assert "maker's manual" in bench.frame.status.text


def test_the_answer_goes_to_the_clipboard_as_the_text_door_writes_it(on_stage: Any) -> None:
    """Copied from the stage, it is the text of `shimwright tighten`."""
    from solver.report_tighten import tightening_as_text

    bench = on_stage(state="stop")
    stage_of(bench).answer.button.invoke()
    found = bench.window.stages.crush.answer
    assert bench.top.clipboard_get() == tightening_as_text("A pinion", "UK", found)


def test_an_older_answer_stays_faint_until_the_newer_is_there(
    on_stage: Any, made_up: dict[str, Tightening]
) -> None:
    """While keys are typed the figures of before stand soft, and nothing is advised by them."""
    bench = on_stage()
    stage = stage_of(bench)
    bench.put(field(bench, 3, "torque"), "")
    bench.settle()
    assert "NEARLY THERE" in stage.answer.written()
    assert stage.answer.button.instate(["disabled"])
    assert stage.plot._shown[2] and "next 20°" not in stage.plot.written()
    made_up["now"] = made_up["stop"]
    bench.put(field(bench, 3, "torque"), "23")
    bench.settle()
    assert "STOP" in stage.answer.written() and not stage.plot._shown[2]


def test_a_card_with_the_keyboard_lights_its_dot(on_stage: Any) -> None:
    """The same number, lit in the card and in the plot."""
    bench = on_stage()
    field(bench, 1, "torque").entry.focus_force()
    bench.top.update()
    stage = stage_of(bench)
    assert stage.left.cards[1].badge.lit and stage.plot.find_withtag("lit")
    assert stage.plot._lit == 2


def test_what_fails_here_is_loud_and_said(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, root: tk.Tk
) -> None:
    """Our own mistake is no silent 'one moment'."""
    heard: list[BaseException] = []

    def fails(_crush: Crush, _halt: Any) -> Tightening:
        raise ZeroDivisionError

    monkeypatch.setattr(crush_asking, "_tightened", fails)
    bench = opened(job_with(tmp_path, crush_text())).start()
    monkeypatch.setattr(
        root, "report_callback_exception", lambda _k, fault, _t: heard.append(fault)
    )
    bench.window.stages.turn_to(CRUSH)
    bench.settle()
    assert "NO ANSWER" in stage_of(bench).answer.written()
    assert [type(one) for one in heard] == [ZeroDivisionError]


def test_the_numbers_are_those_of_the_text_door(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The shipped example, answered in earnest: state, torque, chances and turn as in the JSON."""
    with as_file(files("stock_lists") / "crush_spacer.toml") as shipped:
        path = tmp_path / "crush_spacer.toml"
        shutil.copy(shipped, path)
    assert terminal.main(["tighten", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    bench = opened(path, size="1920x1080").start()
    bench.window.stages.turn_to(CRUSH)
    bench.settle()
    stage, found = stage_of(bench), bench.window.stages.crush.answer
    turn = told["advice"]["turn_deg"]
    assert (found.state, found.advice.turn_deg) == (told["state"], turn)
    assert f"TURN {turn:g}°,\nTHEN READ" in stage.answer.written()
    figure = shown_torque(told["now"]["torque_newton_m"], "lbf.in").split()[0]
    assert any(text.startswith(f"{figure} ± ") for text in stage.answer.written())
    assert f"next {turn:g}°" in stage.plot.written()
    over = {one["turn_deg"]: one["over"] for one in told["turns"]}
    assert [one.over for one in offered(found)] == [over[o.turn_deg] for o in offered(found)]
    bench.window.copy()
    assert terminal.main(["tighten", str(path)]) == 1
    assert bench.top.clipboard_get() == capsys.readouterr().out


# What is drawn


@pytest.fixture
def drawn(window: tk.Toplevel) -> Callable[[type], Any]:
    """Makes a canvas on a window of its own."""

    def made(kind: type, wide: int = 600, tall: int = 400) -> Any:
        one = kind(window, apply_theme(window, "light", False))
        one.place(x=0, y=0, width=wide, height=tall)
        window.update()
        return one

    return made


def test_the_plot_stands_to_scale(drawn: Any) -> None:
    """Dots, window and next turn stand where their figures say; the window's ends are written."""
    plot = drawn(CrushPlot)
    found = fake_crush.states()["tighten"]
    plot.show(found.crush, found)
    axes = plot.axes
    low, high = found.crush.low_newton_m, found.crush.high_newton_m
    per = (axes.y(low) - axes.y(high)) / (high - low)
    assert axes.y(0.0) - axes.y(low) == pytest.approx(per * low)
    assert axes.x(80.0) - axes.x(60.0) == pytest.approx((axes.x(60.0) - axes.x(0.0)) / 3)
    assert axes.y(10 * high) == axes.top  # held inside
    written = plot.written()
    assert "window  20.0 to 28.0" in written and "next 20°" in written
    assert {"1", "2", "3", "4"} <= set(written) and "rotating torque, lbf·in" in written
    picture = plot._picture
    band = picture.get(int(axes.right) - 40, int(axes.y((low + high) / 2)))
    above = picture.get(int(axes.right) - 40, int(axes.y(high * 1.1)))
    below = picture.get(int(axes.right) - 40, int(axes.y(low * 0.1)))
    assert len({band, above, below}) == 3
    last = found.crush.pauses[-1]
    ink = picture.get(int(axes.x(last.angle_deg)), int(axes.y(last.torque_newton_m)))
    assert sum(ink) < 200
    plot.show(replace(found, state="stop", advice=None).crush, None)
    assert "next 20°" not in plot.written()


def test_bars_show_the_chance_of_going_past(drawn: Any) -> None:
    """Each column's top is its chance; the advised one is ringed; the figures are of a hundred."""
    bars = drawn(TurnBars, 600, 140)
    turns = tuple(
        Turn(turn, max(0.9 - over, 0.0), min(0.1, 1.0 - over), over)
        for turn, over in ((5.0, 0.001), (10.0, 0.01), (20.0, 0.25), (45.0, 0.6), (90.0, 0.999))
    )
    found = replace(fake_crush.states()["tighten"], turns=turns, advice=turns[1])
    assert [turn.turn_deg for turn in offered(found)] == [5.0, 10.0, 20.0, 45.0, 90.0]
    bars.show(found)
    over = [bars.itemcget(one, "text") for one in bars.find_withtag("over")]
    assert over == ["<1", "1", "25", "60", ">99"]
    assert len(bars.find_withtag("advised")) == 1
    red = bars._theme.colours.bad
    talls = {}
    for one in bars.find_withtag("bar"):
        if bars.itemcget(one, "fill") == red:
            x0, y0, x1, y1 = bars.coords(one)
            talls[round((x0 + x1) / 2)] = y1 - y0
    small, mid, large = (talls[x] for x in sorted(talls)[-3:])
    assert mid / large == pytest.approx(0.6, abs=0.03) and small / large == pytest.approx(
        0.25, abs=0.03
    )


def test_turns_that_do_not_fit_are_dropped_but_never_the_advised(drawn: Any) -> None:
    """In little room fewer columns, the advised one among them."""
    bars = drawn(TurnBars, 150, 140)
    bars.show(fake_crush.states()["tighten"])
    shown = [bars.itemcget(one, "text") for one in bars.find_withtag("turn")]
    assert "20°" in shown and 2 <= len(shown) < 8
    assert shown == sorted(shown, key=lambda text: float(text[:-1]))


@pytest.mark.parametrize(("span", "low"), [(20.0, 0.0), (37.8, 0.0), (92.0, -3.0), (730.0, 10.0)])
def test_ticks_are_round_and_few(span: float, low: float) -> None:
    """Three to nine, inside the span, evenly apart."""
    found = [value for _, value in ticks(span, low)]
    assert 3 <= len(found) <= 9
    assert all(low - 1e-6 <= value <= low + span + 1e-6 for value in found)
    steps = {round(b - a, 6) for a, b in pairwise(found)}
    assert len(steps) == 1


def test_words_of_every_state_are_short() -> None:
    """At most four words and a figure to be read from afar; the reason stands below."""
    for name, found in fake_crush.states().items():
        assert len(shout_of(found, "US").split()) <= 4, name
        said = said_of("done", found, (), "UK")
        assert said.then and said.cautions == crush_cautions("UK")
        assert "The play is out since pause 2." in said.lines
    assert PAUSES[0][0] == 0
