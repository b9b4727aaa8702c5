"""Before you crush, in the window: the state, the list, the stack as fitted, nothing stopped."""

from __future__ import annotations

import json
import shutil
import tomllib
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest
from fake_crush import PAUSES, crush_text
from whole_window import Bench

from desktop.edits import set_at
from desktop.ready_asking import has_gate
from desktop.ready_said import NO_PINION
from desktop.settings import Settings
from desktop.stages import AXLE, CRUSH, stage_of
from solver import terminal
from solver.job_ready import TICKS

Opened = Callable[..., Bench]
WIDE = "1920x1080"


def a_job(tmp_path: Path, *changes: tuple[str, str], pauses: Any = None) -> Path:
    """The shipped pinion on a crush spacer, with some of its text changed, beside its drawer.

    pauses: with a crush spacer that has these; None for none. Returns its path.
    """
    with as_file(files("stock_lists")) as shipped:
        shutil.copy(shipped / "pinion_drawer.csv", tmp_path)
        text = (shipped / "pinion_crush.toml").read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "pinion.toml"
    path.write_text(text + ("" if pauses is None else "\n" + crush_text(pauses)), encoding="utf-8")
    return path


@pytest.fixture
def on_stage(opened: Opened, tmp_path: Path) -> Callable[..., Bench]:
    """Opens such a job on the stage of the crush spacer. Returns the bench, at rest."""

    def made(*changes: tuple[str, str], pauses: Any = (), **how: Any) -> Bench:
        bench = opened(a_job(tmp_path, *changes, pauses=pauses), **how).start()
        bench.window.stages.turn_to(CRUSH)
        bench.settle()
        return bench

    return made


def gate_of(bench: Bench) -> Any:
    """The block of the stage in sight."""
    return bench.window.stages.frame.gate


def own(bench: Bench) -> Any:
    """What the job says is done."""
    return bench.desk.document.table.get("before_crush")


def edit(bench: Bench, place: Any, value: object) -> None:
    """Change the job as a form does, and let it settle."""
    bench.window.edited(set_at(place, value), place, False)
    bench.settle()


SPARE = ("spare_spacer     = false", "spare_spacer     = true")
NARROW = ("low = -0.04, high = 0.04", "low = -0.006, high = 0.006")
THINNER = ('["H16", "H17"]', '["H12", "H17"]')
HEAD_LINE = '["H16", "H17"]   # the stack as fitted'


def test_what_is_done_is_this_stages_own() -> None:
    """Its place leads here; a job with a pinion has the block, but one that a solid spacer sets."""
    assert stage_of(("before_crush", "head")) == CRUSH
    assert stage_of(("pinion", "nominal")) == AXLE
    assert has_gate({"pinion": {"spacer": "crush"}}) and has_gate({"pinion": {}})
    assert not has_gate({"crush": {}})
    assert not has_gate({"pinion": {"spacer": "solid"}})
    assert has_gate({"pinion": {"spacer": "solid"}, "crush": {}})


@pytest.mark.parametrize(
    ("changes", "shout", "tone"),
    [
        ((), "NOT YET", "warn"),
        ((SPARE,), "COMMIT", "good"),
        ((THINNER,), "CHANGE THE HEAD'S STACK", "bad"),
        ((NARROW,), "MEASURE AGAIN", "warn"),
    ],
)
def test_every_state_says_what_the_text_door_says(
    on_stage: Any, tmp_path: Path, capsys: Any, changes: Any, shout: str, tone: str
) -> None:
    """State in large words, list, reasons and cautions are those of `shimwright ready`."""
    bench = on_stage(*changes, size=WIDE)
    said = gate_of(bench).written()
    assert any(" ".join(text.split()).rstrip(":") == shout for text in said)
    assert gate_of(bench)._said.tone == tone
    terminal.main(["ready", str(tmp_path / "pinion.toml")])
    told = " ".join(capsys.readouterr().out.split())
    assert told.startswith(shout)
    gate = gate_of(bench)
    depth = str(gate.depth.cget("text"))
    deep = "x" if str(gate.depth_mark.cget("text")) == "✓" else " "
    assert f"[{deep}] {depth[0].lower()}{depth[1:]}" in told
    for tick in TICKS:
        words = str(gate.words[tick].cget("text"))
        mark = "x" if gate.ticks[tick].instate(["selected"]) else " "
        assert f"[{mark}] {words[0].lower()}{words[1:]}" in told
    from solver.report_ready import BEFORE_CRUSHING

    assert set(BEFORE_CRUSHING) <= set(said)
    assert gate._said.reasons
    for reason in gate._said.reasons:
        assert reason in said and " ".join(reason.split()) in told


def test_measure_again_names_what(on_stage: Any, tmp_path: Path, capsys: Any) -> None:
    """Where a reading would help it stands right under the words, as in the JSON."""
    bench = on_stage(("values = [92.668, 92.674, 92.670]", "values = [92.668]"),
                     ("repeat = 0.006", "repeat = 0.05"),
                     ("values = [31.774, 31.775, 31.774]", "values = [31.774]"),
                     ("within = 0.003\nrepeat = 0.001", "within = 0.003\nrepeat = 0.03"),
                     NARROW, ("chance = 0.9", "chance = 0.3"), size=WIDE)  # fmt: skip
    terminal.main(["ready", str(tmp_path / "pinion.toml"), "--json"])
    told = json.loads(capsys.readouterr().out)
    assert told["state"] == "measure" and told["measure"]
    said = gate_of(bench).written()
    assert "MEASURE AGAIN:" in said
    assert f"{told['measure'][0].upper()}{told['measure'][1:]}." in said


def test_ticks_are_clicked_into_the_job(on_stage: Any) -> None:
    """Each writes true or false; the last one commits, unticked it holds back again; undone."""
    bench = on_stage()
    gate = gate_of(bench)
    for tick in TICKS:
        before = own(bench)[tick]
        gate.ticks[tick].invoke()
        bench.settle()
        assert own(bench)[tick] is not before
        assert gate.ticks[tick].instate(["selected" if not before else "!selected"])
        bench.window.undo()
        bench.settle()
        assert own(bench)[tick] is before
        assert gate.ticks[tick].instate(["selected" if before else "!selected"])
    gate.words["spare_spacer"].event_generate("<Button-1>")
    bench.settle()
    assert own(bench)["spare_spacer"] is True and "COMMIT" in gate.written()
    gate.ticks["seated"].invoke()
    bench.settle()
    assert "COMMIT" not in gate.written() and "NOT YET" in gate.written()


def test_the_stack_as_fitted_is_typed_like_that_of_a_reading(on_stage: Any) -> None:
    """Lots, a thickness, one with its spread; empty it is not yet; the depth follows."""
    bench = on_stage(SPARE)
    gate = gate_of(bench)
    assert gate.head.text.get() == "H16 + H17"
    bench.put(gate.head, "H12+H17")
    bench.settle()
    assert own(bench)["head"] == ["H12", "H17"]
    assert "CHANGE THE\nHEAD'S STACK" in gate.written()
    bench.put(gate.head, "0.83")
    bench.settle()
    assert repr(own(bench)["head"]) == "0.83" and "COMMIT" in gate.written()
    bench.put(gate.head, "0.73 +- 0.01")
    bench.settle()
    assert own(bench)["head"] == {"thickness": 0.73, "within": 0.01}
    assert "CHANGE THE\nHEAD'S STACK" in gate.written()
    bench.put(gate.head, "")
    bench.settle()
    assert "head" not in own(bench) and "NOT YET" in gate.written()
    assert "Depth of the pinion: say below what is fitted at its head" in gate.written()


def test_typing_the_stack_leaves_the_tightening_alone(on_stage: Any) -> None:
    """What the nut shows is not worked out again for it."""
    bench = on_stage(pauses=PAUSES)
    before = bench.window.stages.crush.answer
    gate_of(bench).fold.invoke()
    bench.put(gate_of(bench).head, "0.83")
    bench.settle()
    assert bench.window.stages.crush.answer is before and bench.window.stages.crush.fresh


def test_open_before_and_folded_once_tightening_has_begun(on_stage: Any) -> None:
    """From the second pause that counts it is one line over the plot, and opened by hand."""
    bench = on_stage(pauses=PAUSES[:1])
    stage, gate = bench.window.stages.frame, gate_of(bench)
    assert gate.open and gate.column.winfo_ismapped() and not stage.middle.winfo_ismapped()
    edit(bench, ("crush", "pauses", 1), {"angle": 20, "torque": 6.3, "turned": True})
    assert not gate.open and not gate.column.winfo_ismapped() and stage.middle.winfo_ismapped()
    assert "! NOT YET" in gate.written()
    assert gate.winfo_height() < 80 < stage.middle.winfo_height()
    gate.fold.invoke()
    bench.top.update()
    assert gate.column.winfo_ismapped() and not stage.middle.winfo_ismapped()
    gate.fold.invoke()
    edit(bench, ("crush", "pauses", 1, "off"), True)
    assert not gate.open  # folded by hand it stays so
    edit(bench, ("before_crush", "head"), ["H99"])
    assert gate.open and gate.head.entry.instate(["invalid"])  # what is red comes into sight


def test_folded_it_is_whole_in_the_narrowest_window(on_stage: Any) -> None:
    """Large type at 1024 by 700: the longest state stands on one line of its own, none is cut."""
    bench = on_stage(THINNER, pauses=PAUSES, size="1024x700", settings=Settings(large=True))
    gate = gate_of(bench)
    assert gate.short.cget("text") == "✕ CHANGE THE HEAD'S STACK"
    tall = gate._theme.tall(gate.short_type)
    assert tall <= gate.short.winfo_height() < 1.5 * tall
    assert gate.short.winfo_width() >= gate._theme.wide(gate.short_type, gate.short.cget("text"))
    assert bench.window.stages.frame.middle.winfo_height() > 5 * gate.winfo_height() / 2


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("before_crush", "head"), ["H61"]),
        (("before_crush", "seated"), "yes"),
        (("before_crush", "speated"), True),
        (("before_crush",), 3),
    ],
)
def test_a_slip_stops_neither_the_axle_nor_the_spacer(
    on_stage: Any, place: Any, value: object
) -> None:
    """It is red here alone; the choice of shims and the next turn stand as before."""
    bench = on_stage(pauses=PAUSES)
    edit(bench, place, value)
    said = gate_of(bench).written()
    assert "MEND THE RED" in said
    line = gate_of(bench).lines[place if place in gate_of(bench).lines else ("before_crush",)]
    assert line.winfo_ismapped() and str(line.cget("text")).startswith("found ")
    assert bench.window.stages.crush.state == "done"
    bench.window.read(at_once=True)
    bench.settle()
    assert bench.window.inputs.state == "ready" and bench.window.asking.state == "done"
    bench.window.undo()
    bench.settle()
    assert "MEND THE RED" not in gate_of(bench).written()


def test_a_click_mends_a_tick_that_is_no_tick(on_stage: Any) -> None:
    """Whatever stood there, the box writes true."""
    bench = on_stage(("seated           = true", 'seated           = "yes"'))
    assert "MEND THE RED" in gate_of(bench).written()
    gate_of(bench).ticks["seated"].invoke()
    bench.settle()
    assert own(bench)["seated"] is True and "NOT YET" in gate_of(bench).written()


def test_what_the_axle_still_wants_is_named(on_stage: Any) -> None:
    """A pinion not chosen for is not judged; its ticks can be set all the same, and all goes on."""
    limit = "depth = { low = -0.04, high = 0.04, example = true }"
    bench = on_stage((limit, ""), pauses=PAUSES)
    gate = gate_of(bench)
    gate.fold.invoke()
    bench.top.update()
    said = "\n".join(gate.written())
    assert "NOT YET" in said and "Still to come on the Axle stage" in said
    gate.ticks["spare_spacer"].invoke()
    bench.settle()
    assert own(bench)["spare_spacer"] is True
    assert bench.window.stages.crush.state == "done"


def test_an_edit_of_the_axle_is_judged_anew(on_stage: Any) -> None:
    """Another window for the depth is another judgement."""
    bench = on_stage(SPARE)
    assert "COMMIT" in gate_of(bench).written()
    edit(bench, ("limits", "depth", "low"), 0.03)
    assert "COMMIT" not in gate_of(bench).written()


def test_without_a_crush_spacer_yet_it_stands_beside_the_offer(on_stage: Any) -> None:
    """The depth can be judged before anything of the nut is told; begun, it is in the middle."""
    bench = on_stage(SPARE, pauses=None)
    stage = bench.window.stages.frame
    assert stage.offer.winfo_ismapped() and gate_of(bench).winfo_ismapped()
    assert gate_of(bench).winfo_rootx() + gate_of(bench).winfo_width() <= stage.offer.winfo_rootx()
    assert "COMMIT" in gate_of(bench).written()
    assert bench.window.answer_text().startswith("COMMIT")
    edit(bench, ("crush",), {"unit": "N.m", "bearings": "new"})
    assert not stage.offer.winfo_ismapped() and stage.left.winfo_ismapped()
    assert gate_of(bench).winfo_rootx() > stage.left.winfo_rootx()


def test_without_a_pinion_one_soft_line_says_what_to_add(opened: Opened, tmp_path: Path) -> None:
    """No block, no state; tightening works all the same."""
    path = tmp_path / "alone.toml"
    path.write_text('title = "A pinion"\nunit = "mm"\n\n' + crush_text(), encoding="utf-8")
    bench = opened(path).start()
    bench.window.stages.turn_to(CRUSH)
    bench.settle()
    stage = bench.window.stages.frame
    assert not stage.gate.winfo_ismapped() and stage.no_pinion.winfo_ismapped()
    assert stage.no_pinion.cget("text") == NO_PINION.format(spacer="crush spacer")
    assert bench.window.stages.crush.state == "done" and bench.window.stages.ready.state == "none"
    assert "TURN" in "".join(stage.answer.written())


def test_copied_it_stands_above_the_tightening(on_stage: Any, tmp_path: Path, capsys: Any) -> None:
    """Both texts are those of the text door, the gate's first."""
    bench = on_stage(pauses=PAUSES)
    path = str(tmp_path / "pinion.toml")
    terminal.main(["ready", path])
    ready = capsys.readouterr().out
    terminal.main(["tighten", path])
    bench.window.copy()
    assert bench.top.clipboard_get() == f"{ready}\n{capsys.readouterr().out}"


def test_unit_and_words_are_those_shown(on_stage: Any) -> None:
    """Thousandths and American words, in the block and in what is copied; the file stays."""
    bench = on_stage(settings=Settings(words="US", shown_unit="thou"), size=WIDE)
    said = "\n".join(gate_of(bench).written())
    assert "A spare crush sleeve at hand" in said and " thou" in said and " mm" not in said
    assert "spare crush sleeve at hand" in bench.window.answer_text()
    bench.put(gate_of(bench).head, "32.7")
    bench.settle()
    assert own(bench)["head"] == "32.7 thou" and "NOT YET" in gate_of(bench).written()


def test_what_is_ticked_is_saved_in_its_own_table(on_stage: Any, tmp_path: Path) -> None:
    """The comments of the file stay."""
    bench = on_stage()
    gate_of(bench).ticks["spare_spacer"].invoke()
    bench.settle()
    bench.press("Control-s")
    text = (tmp_path / "pinion.toml").read_text("utf-8")
    assert tomllib.loads(text)["before_crush"]["spare_spacer"] is True
    assert HEAD_LINE in text


def test_the_keyboard_comes_back_to_its_place_in_another_look(on_stage: Any) -> None:
    """Built anew, the tick that had the keyboard has it again."""
    bench = on_stage()
    gate_of(bench).ticks["seal_in"].focus_force()
    bench.top.update()
    bench.window.set_mode("dark")
    bench.settle()
    assert bench.top.focus_get() is gate_of(bench).ticks["seal_in"]
    bench.press("space")
    bench.settle()
    assert own(bench)["seal_in"] is False


def test_our_own_mistake_is_loud_and_said(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, root: Any
) -> None:
    """No silent 'one moment', and no text to copy of the depth."""
    from desktop import ready_asking

    def fails(*_: Any) -> Any:
        raise ZeroDivisionError

    heard: list[type] = []
    monkeypatch.setattr(ready_asking, "_judged", fails)
    bench = opened(a_job(tmp_path, pauses=())).start()
    monkeypatch.setattr(root, "report_callback_exception", lambda kind, *_: heard.append(kind))
    bench.window.stages.turn_to(CRUSH)
    bench.settle()
    assert "NO ANSWER" in gate_of(bench).written() and heard == [ZeroDivisionError]
    assert bench.window.answer_text() == ""
