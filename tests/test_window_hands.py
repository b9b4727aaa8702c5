"""Where a newcomer's hands slipped: what the window does about each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from test_window import edited
from whole_window import Bench, example_in

from desktop import edits
from desktop.tips import Tip

Opened = Callable[..., Bench]


def test_a_field_in_sight_stays_put(opened: Opened, tmp_path: Path) -> None:
    """In a list that scrolls, the keyboard coming to a field that is seen moves nothing."""
    bench = opened(example_in(tmp_path), size="1024x480").start()
    column = bench.frame.readings.column
    assert column.scrolls
    seen = column.canvas.winfo_rooty() + column.canvas.winfo_height()
    fields = [f for card in bench.frame.readings.cards for f in card.fields.values()]
    entries = [field.entry for field in fields if hasattr(field, "entry")]
    inside = [one for one in entries if one.winfo_rooty() + one.winfo_height() <= seen]
    assert 0 < len(inside) < len(entries)
    for entry in inside:
        place = entry.winfo_rooty()
        entry.focus_force()
        bench.top.update()
        assert entry.winfo_rooty() == place
    entries[-1].focus_force()
    bench.top.update()
    assert entries[-1].winfo_rooty() + entries[-1].winfo_height() <= seen


def test_one_card_is_ringed(opened: Opened, tmp_path: Path) -> None:
    """A field that goes while it has the keyboard leaves no second card ringed."""
    bench = opened(example_in(tmp_path)).start()
    bench.field(1, "goes").entry.focus_force()
    bench.top.update()
    bench.window.edited(edits.take_as(1, "values"), ("readings", 1), False)
    bench.settle()
    bench.field(0, "values").entry.focus_force()
    bench.top.update()
    assert [card.ringed for card in bench.frame.readings.cards] == [True, False, False]


def test_an_empty_job_takes_the_unit_that_is_shown(opened: Opened) -> None:
    """The switch sets the unit of a job with nothing in it; one with numbers keeps its own."""
    bench = opened().start()
    bench.press("Control-n")
    bench.settle()
    bench.frame.bar.unit.buttons["mm"].invoke()
    bench.settle()
    assert bench.desk.document.table["unit"] == "mm"
    bench.put(bench.field(0, "goes"), "0.5")
    bench.settle()
    bench.frame.bar.unit.buttons["thou"].invoke()
    bench.settle()
    assert bench.desk.document.table["unit"] == "mm"
    assert bench.window.unit == "thou"


def test_a_picked_plan_is_not_called_the_best(opened: Opened, tmp_path: Path) -> None:
    """What is copied of a plan that somebody looks at says that it is not the chosen one."""
    bench = opened(edited(tmp_path, ("chance = 0.95", "chance = 0.995"))).start()
    assert "The best there is in this drawer" in bench.window.answer_text()
    bench.window.asking.pick(0)
    bench.until(lambda: bench.window.asking.picked)
    bench.settle()
    assert "The best there is" not in bench.window.answer_text()
    assert "A plan that was picked" in bench.window.answer_text()
    assert bench.frame.answer.heading.cget("text") == "A plan you picked"


def test_control_a_selects_all_of_a_field(opened: Opened, tmp_path: Path) -> None:
    """What is typed after it replaces everything, as in a spreadsheet."""
    bench = opened(example_in(tmp_path)).start()
    field = bench.field(1, "goes")
    field.entry.focus_force()
    bench.top.update()
    field.entry.selection_clear()
    bench.press("Control-a")
    bench.type("22")
    assert field.text.get() == "22"


def test_a_stock_list_asks_what_is_owned(opened: Opened, tmp_path: Path) -> None:
    """Rows of a ready-made list are questioned, and go again with one press."""
    bench = opened(example_in(tmp_path)).start()
    bench.frame.middle.turn_to("drawer")
    bench.top.update()
    table, before = bench.frame.middle.drawer, bench.desk.document.sheet
    table.load_stock(next(iter(table._stocks)))
    bench.settle()
    assert len(bench.desk.document.sheet.rows) > len(before.rows)
    assert "as if you had every piece" in bench.frame.notice.text
    bench.frame.notice.buttons["Take them out"].invoke()
    bench.settle()
    assert bench.desk.document.sheet.rows == before.rows


def test_news_pushes_nothing(opened: Opened, tmp_path: Path) -> None:
    """Words that come and go by themselves lie over the top; everything stays in its place."""
    bench = opened(example_in(tmp_path)).start()
    place = bench.frame.middle.winfo_rooty()
    bench.frame.notice.tell("Saved example.toml.")
    bench.top.update()
    notice = bench.frame.notice
    assert notice.winfo_ismapped() and bench.frame.middle.winfo_rooty() == place
    assert notice.winfo_width() < bench.frame.bar.tools.winfo_x()
    notice.hush()
    bench.top.update()
    assert not notice.winfo_ismapped() and bench.frame.middle.winfo_rooty() == place


def test_a_tip_stands_beside_its_panel(opened: Opened, tmp_path: Path) -> None:
    """A tip that the keyboard brings does not lie on the fields that come next."""
    bench = opened(example_in(tmp_path)).start()
    entry = bench.field(0, "values").entry
    entry.focus_force()
    bench.top.update()
    tip = Tip(entry, bench.frame.theme, "Why this is read.")
    tip.on_enter(None)
    bench.until(tip.winfo_ismapped, "the tip")
    panel = bench.frame.readings
    assert tip.winfo_rootx() >= panel.winfo_rootx() + panel.winfo_width()
    bench.press("Key-5")
    bench.until(lambda: not tip.winfo_ismapped(), "typing sends it away")


def test_columns_that_do_not_fit_can_be_scrolled_to(opened: Opened, tmp_path: Path) -> None:
    """On a narrow screen a bar says that the drawer has more columns."""
    bench = opened(example_in(tmp_path), size="1024x700").start()
    bench.frame.middle.turn_to("drawer")
    bench.top.update()
    grid = bench.frame.middle.drawer.cells
    assert grid.across.winfo_ismapped()
    grid.tree.xview_moveto(1.0)
    bench.top.update()
    assert grid.across.get()[1] == 1.0


def test_return_in_the_last_field_stays(opened: Opened, tmp_path: Path) -> None:
    """It does not go round to the first reading, where the next key would type over it."""
    bench = opened(example_in(tmp_path)).start()
    before = bench.field(0, "values").text.get()
    last = [f for f in bench.frame.readings.cards[-1].fields.values() if hasattr(f, "entry")][-1]
    last.entry.focus_force()
    bench.top.update()
    bench.press("Return")
    bench.type("7")
    bench.settle()
    assert bench.field(0, "values").text.get() == before


def test_a_fault_of_the_drawer_names_its_row(opened: Opened, tmp_path: Path) -> None:
    """By its id, for the line in the file counts the heading too."""
    path = example_in(tmp_path)
    drawer = tmp_path / "example_drawer.csv"
    drawer.write_text(drawer.read_text("utf-8").replace("A6,6.0", "A6,-6.0"), encoding="utf-8")
    bench = opened(path).start()
    bench.frame.middle.turn_to("drawer")
    bench.settle()
    assert str(bench.frame.middle.drawer.fault.cget("text")).startswith("A6: ")


def test_other_plans_can_always_be_picked(opened: Opened, tmp_path: Path) -> None:
    """They stand in the answer at every size of window, scrolled to where they must be."""
    bench = opened(example_in(tmp_path)).start()
    assert len(bench.frame.answer.rows) == len(bench.window.asking.answer.others)
    assert "Also possible" in bench.frame.answer.written()
    assert any("The dial should show" in text for text in bench.frame.answer.written())
