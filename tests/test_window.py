"""The whole window: every state of a job, edits that ask anew, and the same numbers as the text."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import answers
import pytest
from whole_window import Bench, example_in

from desktop import asking as asking_room
from desktop.settings import Settings
from solver import terminal
from solver.report import answer_as_text, counts

Opened = Callable[..., Bench]


def edited(tmp_path: Path, *changes: tuple[str, str]) -> Path:
    """The example with some of its text changed. changes: (old, new) pairs. Returns its path."""
    path = example_in(tmp_path)
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return path


# States


def test_what_to_read_next_is_that_of_the_text_door(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The foot ranks further readings as `remeasure --json` does; a picked plan has no list."""
    path = example_in(tmp_path)
    assert terminal.main(["remeasure", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    bench = opened(path, size="1920x1080").start()
    written = bench.frame.charts.worth.written()
    assert written[0].rstrip(".") == found["advice"].partition(":")[0] == "Fit it"
    assert written[1:3] == ("As it is", counts(found["now"]))
    assert written[3] == "A trial fit, backlash read"
    assert found["readings"][0]["action"] == "trial"
    assert written[4] == counts(found["readings"][0]["chance"])
    bench.window.asking.pick(0)
    bench.until(lambda: bench.window.asking.picked is not None)
    bench.settle()
    assert bench.window.asking.worth is None
    assert not bench.frame.charts.worth.winfo_ismapped()


def test_met_shows_the_numbers_of_the_text_door(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Totals, pieces, predictions and the chance on the screen are those of `choose --json`."""
    path = example_in(tmp_path)
    assert terminal.main(["choose", str(path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    bench = opened(path, size="1920x1080").start()  # room for every piece in the drawing
    assert bench.window.asking.state == "done"
    written = bench.frame.answer.written()
    for seat in found["seats"].values():
        assert f"{seat['thickness_um'] / 25.4:.1f}" in written
        for piece in seat["pieces"]:
            assert any(piece["id"] in text for text in written)
    for result in found["results"].values():
        assert f"{result['predicted_um'] / 25.4:.1f} thou" in written
    assert f"{counts(found['chance'])} builds" in bench.texts()
    first = found["budget"]["backlash"][0]
    assert f"{100 * first['share']:.0f} %" in bench.frame.charts.bars.written()
    drawn = " ".join(bench.frame.middle.drawing.written())
    for seat in found["seats"].values():
        assert f"{seat['thickness_um'] / 25.4:.1f} thou" in drawn
        for piece in seat["pieces"]:
            assert f"{piece['thickness_um'] / 25.4:.1f}" in drawn
    assert bench.steps == ["paint", "panels", "chart", "solver", "answer", "worth"]


def test_empty(opened: Opened) -> None:
    """A new job says what to do first, and its drawing that no side has a plan."""
    bench = opened().start()
    bench.press("Control-n")
    bench.settle()
    assert bench.window.asking.state == "empty"
    assert "Nothing to fit yet" in bench.texts()
    assert "no plan yet" in bench.texts()
    assert "20.0" not in bench.texts()  # nothing of the job before
    assert bench.frame.bar.choose.instate(["disabled"])


def test_half_filled(opened: Opened, tmp_path: Path) -> None:
    """What is still to be read is named, in the trade's words, and nothing is red."""
    path = edited(tmp_path, ("goes = 23.5\nstops = 24.5\n", ""), ("fitted =", "#"))
    path.write_text(path.read_text("utf-8").split("[[readings]]                        #")[0])
    bench = opened(path).start()
    assert bench.window.asking.state == "half-filled"
    assert "Still to read: mesh gap." in bench.texts()
    assert bench.window.inputs.missing == ("Mesh gap",)


def test_limits_to_come_lead_to_the_set_up(opened: Opened, tmp_path: Path) -> None:
    """Without limits the window says where they come from, and one press goes to their field."""
    path = edited(tmp_path)
    text = path.read_text("utf-8")
    head, tail = text.split("[limits]")
    path.write_text(head + "[mesh]" + tail.split("[mesh]")[1], encoding="utf-8")
    bench = opened(path).start()
    assert bench.window.asking.state == "half-filled"
    assert "maker's manual" in bench.frame.status.text
    bench.frame.status.buttons["Set-up"].invoke()
    bench.top.update()
    assert bench.window.face == "set-up"
    assert str(bench.top.focus_get()).startswith(str(bench.frame.middle.setup))


def test_faulty_reddens_its_field_and_nothing_else_stops(opened: Opened, tmp_path: Path) -> None:
    """A slip stands under its own field and in one line; put right, the answer is there again."""
    bench = opened(example_in(tmp_path)).start()
    field = bench.field(1, "stops")
    bench.put(field, "2x")
    bench.settle()
    assert bench.window.asking.state == "faulty"
    assert field.entry.instate(["invalid"])
    assert "2x" in bench.frame.status.text
    bench.put(field, "24.5")
    bench.settle()
    assert bench.window.asking.state == "done"
    assert bench.frame.status.text == ""


def test_a_fault_of_the_drawer_leads_there(opened: Opened, tmp_path: Path) -> None:
    """A fault in a row of the drawer is said below the drawing and marked on the drawer's name."""
    path = example_in(tmp_path)
    drawer = tmp_path / "example_drawer.csv"
    drawer.write_text(drawer.read_text("utf-8").replace("A6,6.0", "A6,6.o"), encoding="utf-8")
    bench = opened(path).start()
    assert bench.window.asking.state == "faulty"
    assert "6.o" in bench.frame.status.text
    assert "✕" in str(bench.frame.middle.tabs.buttons["drawer"].cget("text"))
    bench.frame.status.buttons["Show it"].invoke()
    bench.top.update()
    assert bench.window.face == "drawer"
    assert bench.frame.middle.drawer.cells.row == 5


def test_short(opened: Opened, tmp_path: Path) -> None:
    """Where the drawer falls short, the best there is stands there with what would mend it."""
    path = edited(tmp_path, ("chance = 0.95", "chance = 0.995"))
    bench = opened(path).start()
    assert bench.window.asking.answer.status == "short"  # type: ignore[union-attr]
    assert "The best there is" in bench.texts()


def test_nothing_fits(opened: Opened, tmp_path: Path) -> None:
    """Without a plan the window says so, draws none, and marks nothing in the drawer as used."""
    path = example_in(tmp_path)
    (tmp_path / "example_drawer.csv").write_text(
        "id,thickness,unit,count\nA15,1.5,thou,2\nA18,1.8,thou,1\nA22,2.2,thou,1\n", "utf-8"
    )
    bench = opened(path).start()
    assert bench.window.asking.answer.status == "none"  # type: ignore[union-attr]
    assert "Nothing fits" in bench.texts()
    assert "no plan yet" in bench.texts()


def test_readings_disagree(opened: Opened, tmp_path: Path) -> None:
    """Readings that cannot all be right come before any plan, and none is drawn."""
    path = edited(tmp_path, ("goes = 23.5\nstops = 24.5", "goes = 33.5\nstops = 34.5"))
    bench = opened(path).start()
    assert "Measure again first" in bench.texts()
    assert "no plan yet" in "\n".join(bench.frame.middle.drawing.written())


def test_what_only_solving_finds_is_said(opened: Opened, tmp_path: Path) -> None:
    """Trouble raised by the corridor itself is one line in the window, and no traceback."""
    bench = opened(example_in(tmp_path)).start()
    bench.window.asking._failed(terminal.Trouble([terminal.Fault("job", "a", "b", "c")]))
    bench.settle()
    assert "job: found a, wanted b; c." in bench.frame.status.text


# The loop


def test_an_edit_chooses_anew_and_undo_goes_back(opened: Opened, tmp_path: Path) -> None:
    """Typing asks again after a pause; undo brings back the field and the answer before."""
    bench = opened(example_in(tmp_path)).start()
    before = bench.window.asking.answer
    assert before is not None and before.verdict is not None
    bench.put(bench.field(1, "goes"), "22.5")
    bench.settle()
    after = bench.window.asking.answer
    assert after is not None and after is not before
    assert bench.desk.document.unsaved
    assert "not saved" in bench.frame.bar.text
    bench.press("Control-z")
    bench.settle()
    assert bench.field(1, "goes").text.get() == "23.5"
    again = bench.window.asking.answer
    assert again is not None and again.verdict is not None
    assert again.verdict.plan == before.verdict.plan
    assert not bench.desk.document.unsaved
    bench.top.clipboard_clear()
    bench.top.clipboard_append("pasted")  # what X11 would do with the key
    bench.press("Control-y")
    bench.settle()
    assert bench.field(1, "goes").text.get() == "22.5"


def test_an_older_answer_never_takes_the_place_of_a_newer(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first question is slower than the second; only the second's answer is ever shown."""
    bench = opened(example_in(tmp_path)).start()
    slow, seen = threading.Event(), []
    found = bench.window.asking.answer
    assert found is not None

    def answer(job: Any, _drawer: Any, halt: Any) -> Any:
        if job.title == "slow":
            assert slow.wait(30)
        return replace(found, job=job), False

    monkeypatch.setattr(asking_room, "_answer", answer)
    monkeypatch.setattr(
        bench.window.asking, "_done", lambda one: (seen.append(one[0].job.title), done(one))
    )
    done = type(bench.window.asking)._done.__get__(bench.window.asking)
    for title in ("slow", "quick"):
        bench.window.edited(lambda table, title=title: {**table, "title": title}, ("title",), False)
        bench.window.choose()
        bench.top.update()
    slow.set()
    bench.settle()
    assert seen == ["quick"]
    assert bench.window.asking.answer.job.title == "quick"  # type: ignore[union-attr]


def test_while_it_solves_the_old_answer_stays_marked_and_escape_stops(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last answer stands there as old; Escape, and the button, raise the flag."""
    bench = opened(example_in(tmp_path)).start()
    halted = threading.Event()

    def answer(_job: Any, _drawer: Any, halt: Any) -> Any:
        assert halt.wait(30)
        halted.set()
        return answers.none(), True

    monkeypatch.setattr(asking_room, "_answer", answer)
    bench.press("F5")
    bench.until(lambda: bench.frame.settled)
    assert bench.window.asking.state == "solving"
    assert "Old answer, from before the last change:" in bench.texts()
    assert "20.0" in bench.frame.answer.written()
    assert str(bench.frame.bar.choose.cget("text")) == "Stop"
    bench.press("Escape")
    bench.settle()
    assert halted.is_set()
    # Stopped before any plan was found is not 'nothing fits'.
    assert bench.window.asking.state == "stopped"
    assert "Nothing fits" not in bench.texts()
    assert "Stopped before any plan was found." in bench.texts()


def test_another_plan_is_shown_everywhere_and_escape_returns(
    opened: Opened, tmp_path: Path
) -> None:
    """Picking a row or dot shows that plan in answer, drawing and map; Escape goes back."""
    bench = opened(example_in(tmp_path)).start()
    chosen = bench.window.asking.answer
    assert chosen is not None and chosen.verdict is not None
    other = chosen.others[0]
    bench.window.asking.pick(0)
    bench.until(lambda: bench.window.asking.picked and bench.frame.settled)
    shown = bench.window.asking.shown
    assert shown is not None and shown.verdict is not None
    assert shown.verdict.plan == other.plan
    assert shown.chance == pytest.approx(other.chance, abs=1e-12)
    for stack in other.plan.stacks:
        assert f"{stack.thickness_um / 25.4:.1f}" in bench.frame.answer.written()
        drawn = " ".join(bench.frame.middle.drawing.written())
        assert f"{stack.thickness_um / 25.4:.1f} thou" in drawn
    assert bench.window.map._shown[0].verdict.plan == other.plan
    assert "Another plan" in bench.frame.status.text
    bench.press("Escape")
    bench.settle()
    assert bench.window.asking.shown is chosen
    assert bench.frame.status.text == ""
    bench.window.asking.pick(0)
    bench.until(lambda: bench.window.asking.picked)
    bench.window.asking.pick(0)  # the chosen one stands first among the others of that one
    assert bench.window.asking.picked is None


# How it is shown


def test_units_go_round_and_come_back(opened: Opened, tmp_path: Path) -> None:
    """Toggling converts everything shown; back again, every field and the file are as typed."""
    bench = opened(example_in(tmp_path)).start()
    before = (bench.texts(), bench.field(1, "goes").text.get())
    bench.frame.bar.unit.buttons["mm"].invoke()
    bench.settle()
    assert "0.508" in bench.frame.answer.written()
    assert bench.field(1, "goes").text.get() == "0.5969"  # 23.5 thou, to one digit more
    assert not bench.desk.document.unsaved
    bench.frame.bar.unit.buttons["thou"].invoke()
    bench.settle()
    assert (bench.texts(), bench.field(1, "goes").text.get()) == before
    assert bench.desk.settings.shown_unit == ""


def test_words_type_and_light_are_remembered(opened: Opened, tmp_path: Path) -> None:
    """American words, large type and dark change what is shown and nothing in the job."""
    bench = opened(example_in(tmp_path)).start()
    answer = bench.window.asking.answer
    bench.frame.bar.words.buttons["US"].invoke()
    bench.press("Control-plus")
    bench.frame.bar._calls["mode"]("dark")
    bench.settle()
    assert "side-bearing preload" in bench.texts().lower() or "preload" in bench.texts().lower()
    settings = bench.desk.settings
    assert (settings.words, settings.large, settings.theme) == ("US", True, "dark")
    assert bench.frame.theme.large and bench.frame.theme.mode == "dark"
    assert bench.window.asking.answer is answer  # nothing was chosen anew for it
    assert not bench.desk.document.unsaved
    bench.press("Control-0")
    assert not bench.desk.settings.large


def test_the_answer_goes_to_the_clipboard_as_text(opened: Opened, tmp_path: Path) -> None:
    """The filled button copies the whole answer, in the unit that is shown; the menu saves it."""
    bench = opened(example_in(tmp_path)).start()
    bench.frame.answer.button.invoke()
    answer = bench.window.asking.answer
    assert answer is not None
    assert bench.top.clipboard_get() == answer_as_text(answer)
    bench.answers = [tmp_path / "answer.txt"]
    bench.window.save_text()
    assert (tmp_path / "answer.txt").read_text("utf-8") == answer_as_text(answer)
    bench.frame.bar.unit.buttons["mm"].invoke()
    assert "0.508 mm" in bench.window.answer_text().split("How sure")[0]


def test_a_lit_card_lights_its_badge_in_the_drawing(opened: Opened, tmp_path: Path) -> None:
    """The keyboard in a card lights the same number in the drawing."""
    bench = opened(example_in(tmp_path)).start()
    bench.field(1, "goes").entry.focus_force()
    bench.settle()
    assert bench.frame.middle.drawing.find_withtag("lit")
    tags = bench.frame.middle.drawing.gettags(bench.frame.middle.drawing.find_withtag("lit")[0])
    assert "badge-2" in tags


@pytest.mark.parametrize("size", ["1024x700", "1920x1080"])
@pytest.mark.parametrize("large", [False, True])
def test_bar_and_strips_fit(opened: Opened, tmp_path: Path, size: str, large: bool) -> None:
    """No part of the bar or of a strip is wider than its place, at either type size."""
    bench = opened(example_in(tmp_path), size=size, settings=Settings(large=large)).start()
    bench.window.edited(lambda table: {**table, "title": "A long title " * 9}, ("title",), False)
    bench.press("Control-n")  # asks, for there is unsaved work
    bench.settle()
    wide = bench.top.winfo_width()
    assert wide == int(size.split("x")[0])
    assert bench.frame.winfo_reqwidth() <= wide
    for part in (bench.frame.bar, bench.frame.notice):
        assert part.winfo_ismapped()
        assert part.winfo_reqwidth() <= part.winfo_width()
        for child in part.winfo_children():
            assert child.winfo_x() + child.winfo_width() <= part.winfo_width()
    font = bench.frame.theme.font("body")
    title = bench.frame.bar.title
    assert font.measure(str(title.cget("text"))) <= title.winfo_width()
    assert set(bench.frame.notice.buttons) == {"Save", "Do not save", "Keep working"}


def test_f6_goes_through_the_columns(opened: Opened, tmp_path: Path) -> None:
    """F6 takes the keyboard from column to column and round again; Shift-F6 goes back."""
    bench = opened(example_in(tmp_path)).start()
    bench.field(0, "values").entry.focus_force()
    bench.top.update()
    seen = []
    for _ in range(4):
        bench.press("F6")
        at = str(bench.top.focus_get())
        seen.append(next(k for k, p in enumerate(bench.frame.parts) if at.startswith(str(p))))
    assert seen == [1, 2, 3, 0]
    bench.press("Shift-F6")
    assert str(bench.top.focus_get()).startswith(str(bench.frame.bar))
