"""The stages: one job, one undo and one look on all of them, and the axle as fast as without."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fake_crush import crush_text
from test_window import edited
from whole_window import Bench

from desktop.edits import set_at
from desktop.settings import Settings
from desktop.stages import AXLE, CRUSH, PATTERN, STAGES, stage_of, stage_words
from desktop.timers import Timers

Opened = Callable[..., Bench]
ROOT = Path(__file__).resolve().parents[1]


def with_crush(tmp_path: Path) -> Path:
    """The example with a crush spacer. Returns its path."""
    return edited(tmp_path, ("[tools.feelers]", crush_text() + "\n[tools.feelers]"))


def test_every_place_has_its_stage() -> None:
    """What is in a stage's own table is shown there, all else with the axle."""
    assert stage_of(("crush", "pauses", 2, "angle")) == CRUSH
    assert stage_of(("pattern",)) == PATTERN
    assert {stage_of(p) for p in ((), ("readings", 0), ("limits", "pinch"), ("rows", 1))} == {AXLE}
    assert [name for name, _, _ in stage_words("US")] == list(STAGES)
    assert stage_words("US")[1][1] == "Crush sleeve"


def test_the_window_opens_on_the_axle_and_loads_no_other_stage() -> None:
    """Neither stage is imported before it is shown: they cost nothing at the start."""
    code = (
        "import sys, desktop.window, desktop.frame; "
        "late = ('crush_stage', 'crush_asking', 'crush_form', 'crush_plot', 'pattern_place', "
        "'pattern_stage'); "
        "print([one for one in late if f'desktop.{one}' in sys.modules], 'numpy' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[] False"


def test_the_switch_shows_a_stage_and_the_axle_again(opened: Opened, tmp_path: Path) -> None:
    """A stage takes the place of the axle's parts; back, they are as they were, nothing solved."""
    bench = opened(with_crush(tmp_path)).start()
    answer = bench.window.asking.answer
    switch = bench.frame.bar.stages
    switch.buttons[CRUSH].invoke()
    bench.settle()
    assert bench.frame.stage is bench.window.stages.frame
    assert bench.frame.stage.winfo_ismapped()
    for part in (bench.frame.readings, bench.frame.middle, bench.frame.right, bench.frame.foot):
        assert not part.winfo_ismapped()
    assert not bench.frame.bar.choose.winfo_ismapped()
    assert not bench.frame.bar.unit.winfo_ismapped()
    switch.buttons[PATTERN].invoke()
    bench.settle()
    assert bench.frame.stage.winfo_ismapped()
    assert bench.frame.bar.unit.winfo_ismapped()
    switch.buttons[AXLE].invoke()
    bench.settle()
    assert bench.frame.stage is None
    assert bench.frame.readings.winfo_ismapped() and bench.frame.foot.winfo_ismapped()
    assert bench.frame.bar.choose.winfo_ismapped()
    assert bench.window.asking.answer is answer


def test_keys_go_to_the_stages(opened: Opened, tmp_path: Path) -> None:
    """Ctrl and a figure goes to a stage and its first field; arrows go along the switch."""
    bench = opened(with_crush(tmp_path)).start()
    bench.press("Control-Key-2")
    bench.settle()
    assert bench.window.stages.name == CRUSH
    assert str(bench.top.focus_get()).startswith(str(bench.frame.stage))
    bench.press("Control-Key-3")
    bench.settle()
    assert bench.window.stages.name == PATTERN
    bench.press("Control-Key-1")
    bench.settle()
    assert bench.window.stages.name == AXLE
    assert str(bench.top.focus_get()).startswith(str(bench.frame.readings))
    switch = bench.frame.bar.stages
    bench.tab_to(switch.buttons[AXLE])
    bench.press("Key-Right")
    assert bench.top.focus_get() is switch.buttons[CRUSH]
    assert bench.window.stages.name == CRUSH
    bench.press("Key-Left")
    bench.press("Key-Left")
    assert bench.window.stages.name == AXLE
    # One Tab stop: from the stage in sight Tab leaves the switch.
    bench.press("Tab")
    assert not str(bench.top.focus_get()).startswith(str(switch))


def test_an_edit_of_a_stage_is_nothing_to_the_axle(opened: Opened, tmp_path: Path) -> None:
    """The axle's answer stays fresh, its inputs are not read anew; file and undo know the edit."""
    bench = opened(with_crush(tmp_path)).start()
    answer, inputs = bench.window.asking.answer, bench.window.inputs
    bench.window.stages.turn_to(CRUSH)
    place = ("crush", "pauses", 0, "torque")
    bench.window.edited(set_at(place, 5), place, False)
    bench.settle()
    assert bench.desk.document.unsaved
    assert bench.window.asking.answer is answer and bench.window.asking.fresh
    assert bench.window.inputs is inputs
    bench.window.stages.turn_to(AXLE)
    bench.settle()
    bench.press("Control-z")  # undo shows where it was: on the other stage
    bench.settle()
    assert bench.window.stages.name == CRUSH
    card = bench.frame.stage.left.cards[0]
    assert bench.top.focus_get() is card.fields[place].entry
    assert not bench.desk.document.unsaved
    bench.press("Control-y")
    bench.settle()
    assert bench.desk.document.table["crush"]["pauses"][0]["torque"] == 5
    assert bench.window.asking.answer is answer


def test_a_slip_on_a_stage_does_not_stop_the_axle(opened: Opened, tmp_path: Path) -> None:
    """A faulty crush spacer or pattern leaves the axle's answer alone."""
    crush = crush_text(((0, '"4.x"'),)) + '\n[pattern]\nteeth = "sawn"\n'
    path = edited(tmp_path, ("[tools.feelers]", crush + "\n[tools.feelers]"))
    bench = opened(path).start()
    assert bench.window.asking.state == "done"
    bench.window.stages.turn_to(PATTERN)
    bench.settle()
    assert "sawn" in bench.frame.stage.strip.text


def test_undo_of_the_axle_comes_back_to_it(opened: Opened, tmp_path: Path) -> None:
    """An edit of a reading undone from another stage shows the reading."""
    bench = opened(with_crush(tmp_path)).start()
    bench.put(bench.field(1, "goes"), "22.5")
    bench.settle()
    bench.window.stages.turn_to(CRUSH)
    bench.settle()
    bench.window.undo()
    bench.settle()
    assert bench.window.stages.name == AXLE
    assert bench.field(1, "goes").text.get() == "23.5"


def test_save_open_and_look_work_on_a_stage(opened: Opened, tmp_path: Path) -> None:
    """Comments in the file stay; dark and large type build the stage again, in sight."""
    path = with_crush(tmp_path)
    bench = opened(path).start()
    bench.window.stages.turn_to(CRUSH)
    place = ("crush", "pauses", 1, "torque")
    bench.window.edited(set_at(place, 6), place, False)
    bench.press("Control-s")
    bench.settle()
    text = path.read_text("utf-8")
    assert "torque = 6\n" in text and "# from the manual" in text
    assert text.count("[[crush.pauses]]") == 4
    before = bench.frame.stage
    bench.frame.bar._calls["mode"]("dark")
    bench.press("Control-plus")
    bench.settle()
    assert bench.frame.stage is not before and bench.frame.stage.winfo_ismapped()
    assert bench.frame.theme.large and bench.frame.theme.mode == "dark"
    bench.press("Control-n")
    bench.settle()
    assert bench.window.stages.name == CRUSH  # the new job's offer
    assert bench.frame.stage._offering


def test_a_pause_added_to_a_file_is_a_table_of_its_own(opened: Opened, tmp_path: Path) -> None:
    """Also where the job had none yet, so that hands can go on with the file."""
    path = edited(tmp_path)
    bench = opened(path).start()
    bench.window.stages.turn_to(CRUSH)
    table = {"unit": "N.m", "bearings": "used", "pauses": [{"angle": 0, "torque": 1}]}
    bench.window.edited(set_at(("crush",), table), ("crush",), False)
    bench.press("Control-s")
    bench.settle()
    text = path.read_text("utf-8")
    assert "[crush]\n" in text and "[[crush.pauses]]\nangle = 0\n" in text


def test_the_pattern_is_taken_by_clicks(opened: Opened, tmp_path: Path) -> None:
    """A click on the tooth goes into the job, can be undone, and is written down as text."""
    bench = opened(edited(tmp_path)).start()
    bench.window.stages.turn_to(PATTERN)
    bench.settle()
    stage = bench.frame.stage.stage
    for name in ("drive", "coast"):
        stage._zone(name, "toe", "root")
    stage._tell("teeth", "face milled")
    bench.settle()
    assert bench.desk.document.table["pattern"]["drive"]["along"] == "toe"
    assert (
        bench.window.stages.pattern is not None and bench.window.stages.pattern.advice is not None
    )
    bench.window.copy()
    assert bench.top.clipboard_get().startswith(stage.written()[0].lstrip("✓→!?– ").upper()[:12])
    for _ in range(3):
        bench.window.undo()
    bench.settle()
    assert "pattern" not in bench.desk.document.table


@pytest.mark.parametrize("size", ["1024x700", "1280x800", "1920x1080"])
@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("stage", STAGES)
def test_the_bar_has_room_for_the_switch(
    opened: Opened, tmp_path: Path, size: str, large: bool, stage: str
) -> None:
    """Nothing of the bar leaves it, whatever stage; the switch stands whole."""
    bench = opened(edited(tmp_path), size=size, settings=Settings(large=large)).start()
    bench.window.stages.turn_to(stage)
    bench.window.edited(lambda table: {**table, "title": "A long title " * 9}, ("title",), False)
    bench.settle()
    bar: Any = bench.frame.bar
    for child in bar.winfo_children():
        if child.winfo_ismapped():
            assert child.winfo_x() + child.winfo_width() <= bar.winfo_width()
            assert child.winfo_width() >= child.winfo_reqwidth()
    for button in bar.stages.buttons.values():
        assert button.winfo_width() >= button.winfo_reqwidth()
    assert bar.stages.value.get() == stage


def test_timers_keep_one_call_a_name(root: Any, until: Callable[..., None]) -> None:
    """Asked again, a call waits anew; taken back or closed, it never comes."""
    timers, seen = Timers(root), []
    timers.later("one", 1, lambda: seen.append("old"))
    timers.later("one", 1, lambda: seen.append("new"))
    timers.later("two", 1, lambda: seen.append("two"))
    timers.never("two")
    assert timers.waits("on") and not timers.waits("two")
    until(lambda: bool(seen))
    assert seen == ["new"] and not timers.waits("one")
    timers.later("three", 1, lambda: seen.append("three"))
    timers.close()
    for _ in range(20):
        root.update()
    assert seen == ["new"]
