"""The window's files: nothing is lost, nothing is overwritten unasked, all of it by keyboard."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from whole_window import Bench, example_in

from desktop.document import open_document
from solver import terminal

Opened = Callable[..., Bench]
HOUSE = Path(__file__).resolve().parent.parent


def retitle(bench: Bench, title: str) -> None:
    """Edit the job's title as its field does."""
    bench.window.edited(lambda table: {**table, "title": title}, ("title",), False)
    bench.top.update()


def test_a_whole_job_by_keyboard(opened: Opened, tmp_path: Path) -> None:
    """New, readings, limits, drawer, choose, save: without once touching the mouse."""
    bench = opened().start()
    bench.press("Control-n")
    bench.settle()
    for text in ("1.30", "1.32", "0.60", "0.62"):  # New put the keyboard on the first field
        bench.type(text)
        bench.press("Return")
    bench.settle()
    assert bench.window.asking.state == "half-filled"
    bench.field(1, "goes").entry.focus_force()
    bench.press("F6")
    tabs = bench.frame.middle.tabs.buttons
    bench.tab_to(tabs["set-up"])
    bench.press("space")
    fields = bench.frame.middle.setup.form.fields
    for result in ("backlash", "pinch"):
        for key, text in (("low", "0.05"), ("high", "0.30")):
            bench.tab_to(fields["limits", result, key].entry)
            bench.type(text)
    bench.tab_to(fields["limits", "pinch", "counted"].buttons["total"])
    bench.press("space")
    bench.press("F6")
    bench.press("Shift-F6")
    bench.tab_to(tabs["drawer"])
    bench.press("space")
    drawer = bench.frame.middle.drawer
    bench.tab_to(drawer.cells.tree)
    bench.press("Insert")
    for text in ("0.50", "2", "0.80", "3", "0.90", "2"):
        bench.type(text)
        bench.press("Return")
    bench.press("Escape")
    bench.press("Control-Return")
    bench.settle()
    assert bench.window.asking.state == "done", bench.window.inputs
    bench.answers = [tmp_path / "mine.toml"]
    bench.press("Control-s")
    assert bench.asked == ["save job.toml"]
    assert not bench.desk.document.unsaved
    assert terminal.main(["choose", str(tmp_path / "mine.toml")]) in (0, 1)
    again = open_document(tmp_path / "mine.toml")
    assert str(again.table["readings"][0]["goes"]) == "1.30"
    assert [again.sheet.cell(row, "count") for row in range(3)] == ["2", "3", "2"]  # type: ignore[union-attr]


def test_control_return_chooses_from_within_a_field(opened: Opened, tmp_path: Path) -> None:
    """A field takes Return for itself, with Control it does not get it."""
    bench = opened(example_in(tmp_path)).start()
    before = bench.window.asking.answer
    field = bench.field(1, "goes").entry
    field.focus_force()
    bench.top.update()
    bench.press("Control-Return")
    bench.settle()
    assert bench.window.asking.answer is not before
    assert bench.top.focus_get() is field


def test_the_example_is_never_written_to(opened: Opened, tmp_path: Path) -> None:
    """Saving the edited example asks for a name, and its drawer goes beside the new job."""
    shipped = {
        name: files("stock_lists").joinpath(name).read_bytes()
        for name in ("example.toml", "example_drawer.csv")
    }
    bench = opened().start()
    assert "the example" in bench.frame.bar.text
    retitle(bench, "Mine")
    sheet = bench.desk.document.sheet
    assert sheet is not None
    bench.window.sheet_edited(sheet.edited(0, "count", "9"))
    bench.answers = [tmp_path / "mine.toml"]
    bench.press("Control-s")
    bench.settle()
    assert (tmp_path / "drawer.csv").read_text("utf-8").splitlines()[1].startswith("A3,3.0,thou,9")
    assert "# An invented axle" in (tmp_path / "mine.toml").read_text("utf-8")  # comments stay
    for name, data in shipped.items():
        assert files("stock_lists").joinpath(name).read_bytes() == data
    assert "mine.toml" in bench.frame.bar.text
    assert bench.desk.settings.last_job == str(tmp_path / "mine.toml")


def test_save_keeps_to_its_own_file(opened: Opened, tmp_path: Path) -> None:
    """A job with a file is saved there, unasked, and the bar says so."""
    path = example_in(tmp_path)
    bench = opened(path).start()
    retitle(bench, "Other")
    assert "not saved" in bench.frame.bar.text
    bench.press("Control-s")
    assert bench.asked == []
    assert "Other" in path.read_text("utf-8")
    assert "Saved example.toml." in bench.frame.notice.text
    assert "not saved" not in bench.frame.bar.text


def test_closing_asks_in_the_window(opened: Opened, tmp_path: Path) -> None:
    """Escape goes on with the job; Save saves and closes."""
    path = example_in(tmp_path)
    bench = opened(path).start()
    retitle(bench, "Other")
    bench.press("Control-q")
    assert "There is unsaved work in example.toml." in bench.frame.notice.text
    assert str(bench.top.focus_get()).startswith(str(bench.frame.notice))
    bench.press("Escape")
    assert bench.frame.notice.text == ""
    assert not bench.window.ended
    bench.press("Control-q")
    bench.frame.notice.buttons["Save"].invoke()
    assert bench.window.ended
    assert "Other" in path.read_text("utf-8")
    assert list(bench.drafts.glob("*")) == []


def test_nothing_unsaved_closes_at_once(opened: Opened, tmp_path: Path) -> None:
    """Without unsaved work nothing is asked; the size is remembered."""
    bench = opened(example_in(tmp_path), size="1111x777").start()
    bench.press("Control-q")
    assert bench.window.ended
    settings = bench.desk.settings
    assert (settings.width_px, settings.height_px) == (1111, 777)


def test_a_file_changed_by_another_program_is_noticed(opened: Opened, tmp_path: Path) -> None:
    """It is said when the window gets the keyboard back, once; reading again takes it in."""
    path = example_in(tmp_path)
    bench = opened(path).start()
    text = path.read_text("utf-8")
    path.write_text(text.replace("Orchard sprayer", "Barn crawler"), encoding="utf-8")
    bench.top.event_generate("<FocusIn>")
    bench.until(lambda: bench.frame.notice.text)
    assert "changed by another program" in bench.frame.notice.text
    bench.frame.notice.buttons["Keep what is here"].invoke()
    bench.window.files.check_disk()
    assert bench.frame.notice.text == ""  # asked once, not at every turn
    path.write_text(text.replace("Orchard sprayer", "Hill crawler"), encoding="utf-8")
    bench.window.files.check_disk()
    bench.frame.notice.buttons["Read it again"].invoke()
    bench.settle()
    assert "Hill crawler" in bench.frame.bar.text


def test_a_file_changed_by_another_program_is_not_saved_over(
    opened: Opened, tmp_path: Path
) -> None:
    """Saving over a foreign change asks first; nothing is written until it is answered."""
    path = example_in(tmp_path)
    bench = opened(path).start()
    foreign = path.read_text("utf-8").replace("Orchard sprayer", "Barn crawler")
    path.write_text(foreign, encoding="utf-8")
    retitle(bench, "Mine")
    bench.press("Control-s")
    assert "Not saved: example.toml was changed by another program" in bench.frame.notice.text
    assert path.read_text("utf-8") == foreign
    bench.frame.notice.buttons["Save over it"].invoke()
    assert '"Mine"' in path.read_text("utf-8")
    assert not bench.desk.document.unsaved


def test_open_new_and_again(opened: Opened, tmp_path: Path) -> None:
    """Opening asks for a file; jobs that were open lately are in the menu; undo starts anew."""
    path = example_in(tmp_path)
    bench = opened().start()
    bench.answers = [path, None]
    bench.press("Control-o")
    bench.settle()
    assert bench.asked == ["open"]
    assert "example.toml" in bench.frame.bar.text
    assert not bench.desk.history.can_undo
    bench.press("Control-o")  # given up
    assert bench.desk.document.path == path
    bench.press("Control-n")
    bench.settle()
    assert "new job" in bench.frame.bar.text
    assert bench.desk.document.table["unit"] == "thou"  # as the job before
    assert bench.frame.bar.recent_menu.index("end") == 0
    bench.frame.bar.recent_menu.invoke(0)
    bench.settle()
    assert bench.desk.document.path == path
    assert bench.window.asking.state == "done"


def test_a_job_that_is_gone_is_said_and_forgotten(opened: Opened, tmp_path: Path) -> None:
    """A recent job whose file is gone is a line in the window; the job in hand stays."""
    path = example_in(tmp_path)
    bench = opened(path).start()
    bench.press("Control-n")
    path.unlink()
    bench.window.files.reopen(path)
    assert "example.toml: found no such file" in bench.frame.notice.text
    assert bench.desk.settings.recent == ()
    assert bench.desk.document.path is None


def test_undo_over_another_drawer_gives_back_its_file(opened: Opened, tmp_path: Path) -> None:
    """Opening another drawer can be undone, and saving then leaves that other one alone."""
    path = example_in(tmp_path)
    other = tmp_path / "other.csv"
    other.write_text("id,thickness,unit,count\nZ1,5.0,thou,2\n", encoding="utf-8")
    bench = opened(path).start()
    bench.answers = [other]
    bench.window.files.open_drawer()
    bench.settle()
    assert bench.desk.document.drawer_path == other
    bench.press("Control-z")
    assert bench.desk.document.drawer_path == tmp_path / "example_drawer.csv"
    assert not bench.desk.document.unsaved
    sheet = bench.desk.document.sheet
    assert sheet is not None
    bench.window.sheet_edited(sheet.edited(0, "count", "7"))
    bench.press("Control-s")
    assert other.read_text("utf-8").endswith("Z1,5.0,thou,2\n")
    assert "A3,3.0,thou,7" in (tmp_path / "example_drawer.csv").read_text("utf-8")


KILLED = """
import sys, tkinter as tk
from pathlib import Path
sys.path.insert(0, "tests")
from whole_window import Bench
root = tk.Tk()
root.withdraw()
bench = Bench(root, Path(sys.argv[1]))
bench.window.edited(lambda table: {**table, "title": "Typed before the cut"}, ("title",), True)
bench.until(lambda: list(bench.drafts.glob("*.json")))
print("kept", flush=True)
root.mainloop()
"""


def test_work_of_a_killed_window_is_offered_back(opened: Opened, tmp_path: Path) -> None:
    """After kill -9 in the middle of typing, the next window offers the work and takes it up."""
    given = os.environ | {"PYTHONPATH": str(HOUSE)}
    with subprocess.Popen(
        [sys.executable, "-c", KILLED, str(tmp_path)],
        cwd=HOUSE, env=given, stdout=subprocess.PIPE, text=True,
    ) as run:  # fmt: skip
        assert run.stdout is not None
        assert run.stdout.readline() == "kept\n"
        run.send_signal(signal.SIGKILL)
    bench = opened(example_in(tmp_path)).start()
    bench.window.files.offer_drafts()
    assert "Unsaved work on Typed before the cut was left behind" in bench.frame.notice.text
    bench.frame.notice.buttons["Take it up again"].invoke()
    bench.settle()
    assert bench.desk.document.table["title"] == "Typed before the cut"
    assert bench.desk.document.unsaved
    assert len(list(bench.drafts.glob("*.json"))) == 1  # kept anew, the old one gone


def test_a_draft_not_wanted_goes(opened: Opened, tmp_path: Path) -> None:
    """Thrown away, it is not offered again."""
    first = opened().start()
    retitle(first, "Left")
    assert first.desk.keep_draft() == ""
    keeper = first.desk.keeper
    assert keeper is not None and keeper._lock is not None
    keeper._lock.close()  # as the system does for a window that has crashed
    first.desk.keeper = None
    bench = opened(example_in(tmp_path)).start()
    bench.window.files.offer_drafts()
    bench.frame.notice.buttons["Throw it away"].invoke()
    assert list(bench.drafts.glob("*.json")) == []
    bench.window.files.offer_drafts()
    assert bench.frame.notice.text == ""
