"""The drawer's books in the window: taken, put back, measured, undone, and held against others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from solver import books
from solver.books import open_books
from solver.drawer_file import load_drawer
from solver.drawer_sheet import path_of_books
from tests.whole_window import Bench, example_in

TITLE = "Orchard sprayer, rear bevel box"


@pytest.fixture
def drawer(tmp_path: Path) -> Path:
    """The drawer that the window has open."""
    return tmp_path / "example_drawer.csv"


@pytest.fixture
def bench(root, tmp_path: Path, drawer: Path) -> Iterator[Bench]:
    """The window on the example in a folder of its own, its answer there."""
    job = example_in(tmp_path)
    window = Bench(root, tmp_path, job).start()
    yield window
    window.close()


def panel(bench: Bench):
    """The face of the books, in sight."""
    bench.frame.middle.turn_to("books")
    bench.top.update()
    return bench.frame.middle.books


def on_disk(drawer: Path) -> dict[str, int]:
    """What lies in the drawer's file."""
    return {lot.id: lot.count for lot in load_drawer(drawer).lots}


def taken(bench: Bench) -> dict[str, int]:
    """Take the plan in hand out, by the answer's button; what it took."""
    plan = bench.window.asking.shown.verdict.plan
    bench.frame.answer.take.invoke()
    bench.settle()
    return {piece.id: piece.count for stack in plan.stacks for piece in stack.pieces}


def test_take_out_books_the_plan_and_the_same_plan_stays(bench, drawer) -> None:
    """The drawer's file has less, the books say for what; the pieces are on hand for this job."""
    before = on_disk(drawer)
    took = taken(bench)
    after = on_disk(drawer)
    assert {lot: before[lot] - after[lot] for lot in before if before[lot] != after[lot]} == took
    assert open_books(drawer).books.fitted(TITLE) == took
    assert not bench.desk.document.unsaved
    assert bench.frame.notice.text.startswith(f"Entry 2: taken out for {TITLE}: ")
    assert bench.window.asking.shown.status == "met"
    again = bench.window.asking.shown.verdict.plan
    assert {p.id: p.count for stack in again.stacks for p in stack.pieces} == took
    bench.frame.answer.take.invoke()
    assert bench.frame.notice.text == "It is out already."
    assert panel(bench).buttons["take"].instate(["disabled"])


def test_undo_and_redo_go_through_the_books(bench, drawer) -> None:
    """Ctrl+Z writes an entry that turns the booking round; the drawer's file is as it was."""
    start = drawer.read_bytes()
    taken(bench)
    out = drawer.read_bytes()
    bench.window.undo()
    bench.settle()
    assert drawer.read_bytes() == start and not bench.desk.document.unsaved
    assert bench.frame.middle.face == "drawer"  # where undo has changed something
    bench.window.redo()
    bench.settle()
    assert drawer.read_bytes() == out
    undoes = {line.entry: line.undoes for line in open_books(drawer).books.lines}
    assert undoes == {1: 0, 2: 0, 3: 2, 4: 3}
    bench.window.undo()
    assert drawer.read_bytes() == start and open_books(drawer).balance.holds


def test_put_back_and_the_history_stand_in_the_panel(bench, drawer) -> None:
    """The latest first, the sum of the books above it."""
    took = taken(bench)
    books_panel = panel(bench)
    assert books_panel.buttons["put back"].instate(["!disabled"])
    books_panel.buttons["put back"].invoke()
    bench.settle()
    texts = books_panel.written()
    assert texts[0] == (
        "The books balance: 39 in the drawer + 0 fitted + 0 used up = "
        "39 at the start + 0 bought + 0 cut."
    )
    assert f"put back from {TITLE}: " in texts[1] and all(lot in texts[1] for lot in took)
    assert texts[1].startswith("3 ") and texts[3].startswith("1 ")
    assert books_panel.buttons["put back"].instate(["disabled"])
    books_panel.tree.selection_set("2")
    books_panel.buttons["undo"].invoke()  # what came back cannot come back once more
    assert bench.frame.notice.text.startswith("Nothing was booked. example_drawer.csv: lot ")
    assert len(open_books(drawer).books.entry(4)) == 0


def test_a_measured_thickness_is_entered(bench, drawer) -> None:
    """One piece parted off; then a slip, said under its field or by the strip."""
    books_panel = panel(bench)
    for name, text in (("lot", "A10"), ("thickness", "10.2"), ("pieces", "1")):
        bench.put(books_panel.fields[name], text)
    books_panel.buttons["measure"].invoke()
    bench.settle()
    assert load_drawer(drawer).lot("A10-2").thickness_um == pytest.approx(10.2 * 25.4)
    assert books_panel.written()[1].endswith("measured: 1 of A10 as A10-2 is 10.2 thou")
    assert bench.desk.document.sheet.cell(len(load_drawer(drawer).lots) - 1, "id") == "A10-2"
    books_panel.measure()
    faults = {name: str(one.fault.cget("text")) for name, one in books_panel.fields.items()}
    assert (faults["lot"], faults["thickness"], faults["within"]) == ("missing", "missing", "")
    bench.put(books_panel.fields["lot"], "A10")
    bench.put(books_panel.fields["thickness"], "thick")
    before = drawer.read_bytes()
    books_panel.measure()
    assert "found 'thick', wanted a length" in bench.frame.notice.text
    assert drawer.read_bytes() == before


def test_an_unsaved_drawer_is_saved_first(bench, drawer) -> None:
    """Asked, not done unasked; the booking goes on after the save."""
    sheet = bench.desk.document.sheet
    bench.window.sheet_edited(sheet.edited(0, "count", "9"))
    bench.settle()
    bench.frame.answer.take.invoke()
    assert "kept beside a drawer that is saved" in bench.frame.notice.text
    assert not path_of_books(drawer).exists()
    bench.frame.notice.buttons["Save"].invoke()
    bench.settle()
    opened = open_books(drawer)
    assert on_disk(drawer)[sheet.cell(0, "id")] == 9 and opened.books.fitted(TITLE)
    assert opened.balance.holds


def test_a_lot_changed_by_another_program_is_told_and_nothing_booked(bench, drawer) -> None:
    """The second writer sees the row that differs, and can read it again."""
    plan = bench.window.asking.shown.verdict.plan
    lot = plan.stacks[0].pieces[0].id
    books.use_up(drawer, lot, 1)
    left = on_disk(drawer)[lot]
    bench.frame.answer.take.invoke()
    assert f"{lot}: count {left + 1}, now {left}" in bench.frame.notice.text
    assert bench.frame.notice.text.startswith("Nothing was booked.")
    bench.frame.notice.buttons["Read it again"].invoke()
    bench.settle()
    assert bench.desk.document.drawer_stamp is not None
    taken(bench)
    assert open_books(drawer).balance.holds


def test_other_lots_changed_by_another_window_are_kept(bench, drawer) -> None:
    """Both windows' bookings are in the drawer and in this window afterwards."""
    plan = bench.window.asking.shown.verdict.plan
    used = {piece.id for stack in plan.stacks for piece in stack.pieces}
    other = next(lot.id for lot in load_drawer(drawer).lots if lot.id not in used and lot.count)
    before = on_disk(drawer)[other]
    books.use_up(drawer, other, 1)
    taken(bench)
    assert "What another program changed in other lots is kept." in bench.frame.notice.text
    assert on_disk(drawer)[other] == before - 1 and open_books(drawer).balance.holds
    assert not bench.desk.document.unsaved


def test_saving_over_another_writer_shows_the_difference_and_puts_both_together(
    bench, drawer
) -> None:
    """A spreadsheet changed one lot, the window another: neither is lost."""
    sheet = bench.desk.document.sheet
    first, second = sheet.cell(0, "id"), sheet.cell(1, "id")
    was = on_disk(drawer)
    bench.window.sheet_edited(sheet.edited(0, "count", "9"))
    text = drawer.read_text("utf-8")
    row = next(line for line in text.splitlines() if line.startswith(f"{second},"))
    cells = row.split(",")
    cells[3] = "7"
    drawer.write_text(text.replace(row, ",".join(cells)), encoding="utf-8")
    bench.window.files.save()
    notice = bench.frame.notice
    assert f"{second}: count {was[second]}, now 7" in notice.text
    assert "Save the drawer elsewhere" in notice.buttons
    notice.buttons["Put both together"].invoke()
    bench.settle()
    assert (on_disk(drawer)[first], on_disk(drawer)[second]) == (9, 7)
    assert not bench.desk.document.unsaved


def test_one_lot_changed_by_both_is_not_put_together(bench, drawer) -> None:
    """Nobody can tell which is right: told, and left to its owner."""
    sheet = bench.desk.document.sheet
    bench.window.sheet_edited(sheet.edited(0, "count", "9"))
    books.use_up(drawer, sheet.cell(0, "id"), 1)
    bench.window.files.save()
    assert f"{sheet.cell(0, 'id')}: count" in bench.frame.notice.text
    assert "Put both together" not in bench.frame.notice.buttons
    assert "Save the drawer elsewhere" in bench.frame.notice.buttons


def test_a_change_by_hand_is_taken_into_the_books(bench, drawer) -> None:
    """The table's own counts, saved past the books: shown lot by lot, adopted by a button."""
    taken(bench)
    sheet = bench.desk.document.sheet
    was = on_disk(drawer)[sheet.cell(0, "id")]
    bench.window.sheet_edited(sheet.edited(0, "count", str(was + 4)))
    bench.window.files.save()
    bench.settle()
    books_panel = panel(bench)
    assert books_panel.written()[0].startswith("The books do not balance in 1 lot: ")
    assert books_panel.adopt.winfo_ismapped()
    books_panel.buttons["bought"].invoke()
    bench.settle()
    assert books_panel.written()[0].endswith("39 at the start + 4 bought + 0 cut.")
    assert not books_panel.adopt.winfo_ismapped()


def test_a_booking_cut_short_is_told_when_the_books_are_opened(bench, drawer) -> None:
    """Settled, and said in the strip; the face shows that it does not count."""
    took = taken(bench)
    path = path_of_books(drawer)
    seals = f"{'0' * 16} {books._seal(drawer.read_bytes())}"
    text = path.read_text("utf-8")
    head, tail = text.split("\n2,", 1)
    path.write_text(head + "\n2," + tail.replace(",done", f",begun {seals}"), encoding="utf-8")
    panel(bench)
    assert bench.frame.notice.text.startswith("Found in the books: entry 2 (taken) was cut short")
    assert open_books(drawer).books.fitted(TITLE) == took


@pytest.mark.parametrize("size", ["1280x800", "1024x700"])
def test_everything_of_the_panel_is_in_sight(root, tmp_path, size) -> None:
    """Also where the books differ, in large type in the smallest window."""
    from desktop.settings import Settings

    wide, tall = map(int, size.split("x"))
    job = example_in(tmp_path)
    settings = Settings(width_px=wide, height_px=tall, large=wide == 1024)
    bench = Bench(root, tmp_path, job, size=size, settings=settings).start()
    taken(bench)
    drawer = tmp_path / "example_drawer.csv"
    drawer.write_text(drawer.read_text("utf-8").replace("thou,2", "thou,3"), encoding="utf-8")
    books_panel = panel(bench)
    bench.window.show()
    bench.settle()
    bottom = bench.frame.middle.body.winfo_rooty() + bench.frame.middle.body.winfo_height()
    for name, button in books_panel.buttons.items():
        assert button.winfo_ismapped(), name
        assert button.winfo_rooty() + button.winfo_height() <= bottom + 1, name
    assert books_panel.tree.winfo_height() > 40
    bench.close()
