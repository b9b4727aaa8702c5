"""The drawer's books: pieces are only ever moved, nothing is erased, nobody's change is lost."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from solver import books
from solver.book_moves import Measurement
from solver.books import open_books, peek_books
from solver.drawer_file import drawer_of, load_drawer
from solver.drawer_merge import changes, merged, said_changes
from solver.drawer_sheet import bytes_of, path_of_books, read_sheet, sheet_of
from solver.file_lock import held
from solver.ledger import Said
from solver.on_hand import load_for
from solver.plan import Piece, Plan, SeatStack
from solver.trouble import Trouble

HEAD = "id,thickness,unit,count,within,tool,fits,note,maker\n"
DRAWER = HEAD + (
    'A1,18.0,thou,2,0.1,mic,,"old, but good",x\n'
    "A2,19.0,thou,3,0.1,mic,plain side,,y\n"
    "\n"
    "B1,0.5,mm,1,,,,,\n"
)
JOB = "Orchard sprayer, rear"


def plan_of(wheel: dict[str, int], plain: dict[str, int] | None = None) -> Plan:
    """A plan of lots and counts for two seats."""
    stacks = (("wheel side", wheel), ("plain side", plain or {}))
    return Plan(
        tuple(
            SeatStack(seat, tuple(Piece(lot, count, 1.0) for lot, count in lots.items()))
            for seat, lots in stacks
        )
    )


@pytest.fixture
def drawer(tmp_path: Path) -> Path:
    """A drawer on disk, with no books yet."""
    path = tmp_path / "drawer.csv"
    path.write_text(DRAWER, encoding="utf-8")
    return path


def counts(path: Path) -> dict[str, int]:
    """What lies in a drawer."""
    return {lot.id: lot.count for lot in drawer_of(read_sheet(path), empty=True).lots}


def faults_of(deed: Callable[[], object]) -> str:
    """What a deed is refused with."""
    with pytest.raises(Trouble) as caught:
        deed()
    return str(caught.value)


def test_taking_a_plan_counts_down_and_is_told_in_a_file_beside(drawer: Path) -> None:
    """The lots of the plan have less, all else is to the letter as it was; the books say why."""
    booked = books.take(drawer, plan_of({"A1": 1}, {"A1": 1, "A2": 2}), JOB)
    text = drawer.read_text("utf-8")
    assert text == DRAWER.replace("thou,2,", "thou,0,").replace("A2,19.0,thou,3", "A2,19.0,thou,1")
    assert booked.entry == 2
    told = path_of_books(drawer).read_text("utf-8").splitlines()
    assert path_of_books(drawer).name == "drawer.books.csv"
    assert told[0].startswith("entry,when,what,job,lot,count,left,thickness,unit")
    assert [line.split(",")[2] for line in told[1:4]] == ["start"] * 3
    assert told[4].startswith(f'2,{booked.lines[0].when},taken,"{JOB}",A1,2,0,18.0,thou,0.1,mic')
    assert '"wheel side 1, plain side 1"' in told[4] and told[4].endswith(",done")
    assert booked.after.balance.holds and booked.after.balance.fitted == 4


def test_taking_again_exchanges_only_what_differs(drawer: Path) -> None:
    """What is out stays out, what the new plan drops goes back, the same plan books nothing."""
    books.take(drawer, plan_of({"A1": 1, "A2": 1}), JOB)
    second = books.take(drawer, plan_of({"A1": 2}), JOB)
    assert [(line.what, line.lot, line.count) for line in second.lines] == [
        ("put back", "A2", 1),
        ("taken", "A1", 1),
    ]
    assert counts(drawer) == {"A1": 0, "A2": 3, "B1": 1}
    before = path_of_books(drawer).read_bytes()
    assert books.take(drawer, plan_of({"A1": 2}), JOB).entry == 0
    assert path_of_books(drawer).read_bytes() == before


def test_what_is_out_for_a_job_is_on_hand_for_it_alone(drawer: Path) -> None:
    """A job can be chosen anew with the pieces that are in its axle, and says so."""
    assert load_for(drawer, JOB) == load_drawer(drawer)
    books.take(drawer, plan_of({"A1": 2}), JOB)
    mine, others = load_for(drawer, JOB), load_for(drawer, "Another")
    assert (mine.lot("A1").count, others.lot("A1").count) == (2, 0)
    assert mine.assumed[-1] == "2 shims out for this job already, taken as on hand"
    assert others == load_drawer(drawer)


def test_a_drawer_emptied_for_a_job_can_still_be_put_back(drawer: Path) -> None:
    """No piece left is no drawer to choose from, but its books go on."""
    books.take(drawer, plan_of({"A1": 2, "A2": 3, "B1": 1}), JOB)
    assert "no piece at all" in faults_of(lambda: load_drawer(drawer))
    assert load_for(drawer, JOB).lot("A2").count == 3
    books.put_back(drawer, JOB)
    assert drawer.read_text("utf-8") == DRAWER


def test_put_back_gives_a_lot_that_was_thrown_out_its_row_again(drawer: Path) -> None:
    """The books know what the drawer had said of it."""
    books.take(drawer, plan_of({"A2": 1}), JOB)
    kept = [line for line in drawer.read_text("utf-8").splitlines() if not line.startswith("A2")]
    drawer.write_text("\n".join(kept) + "\n", encoding="utf-8")
    books.put_back(drawer, JOB)
    lot = load_drawer(drawer).lot("A2")
    assert (lot.count, lot.tool, lot.fits) == (1, "mic", ("plain side",))
    assert lot.thickness_um == pytest.approx(19 * 25.4)


def test_pieces_can_come_back_by_lot_and_no_more_than_are_out(drawer: Path) -> None:
    """One lot alone; then too many; then for a job that has nothing out."""
    books.take(drawer, plan_of({"A1": 2, "A2": 1}), JOB)
    books.put_back(drawer, JOB, {"A1": 1})
    assert counts(drawer) == {"A1": 1, "A2": 2, "B1": 1}
    before = drawer.read_bytes(), path_of_books(drawer).read_bytes()
    words = faults_of(lambda: books.put_back(drawer, JOB, {"A1": 2}))
    assert "drawer.csv: lot A1: found 1 more back from" in words
    words = faults_of(lambda: books.put_back(drawer, "Other"))
    assert f"out are: '{JOB}'" in words
    assert (drawer.read_bytes(), path_of_books(drawer).read_bytes()) == before


def test_a_plan_that_is_not_there_books_nothing(drawer: Path) -> None:
    """Every lot that falls short is named; neither file is touched."""
    words = faults_of(lambda: books.take(drawer, plan_of({"A1": 3, "A2": 4, "Z": 1}), JOB))
    assert len(words.splitlines()) == 3
    assert "lot A1: found 2 in the drawer, wanted 3" in words and "no lot 'Z'" in words
    assert drawer.read_text("utf-8") == DRAWER and not path_of_books(drawer).exists()


@pytest.mark.parametrize(
    ("typed", "cell"),
    [("0.487", "0.487"), ("0,487 mm", "0.487"), ("19.2 thou", "19.2 thou"), ("487 um", "487 um")],
)
def test_a_measured_thickness_stands_in_the_drawers_own_unit(drawer, typed, cell) -> None:
    """Bare where it is in the row's unit, with its unit where it is not; undo brings all back."""
    start = drawer.read_text("utf-8")
    books.measure(drawer, "B1", Measurement(typed, "0.003 mm", "mic"))
    assert f"B1,{cell},mm,1,0.003,mic," in drawer.read_text("utf-8")
    assert open_books(drawer).balance.holds
    books.undo(drawer)
    assert sheet_of(drawer.read_bytes(), "drawer.csv").rows[2].cells[:6] == (
        "B1", "0.5", "mm", "1", "", "",
    )  # fmt: skip
    assert drawer.read_text("utf-8") == start


def test_a_drawer_with_decimal_commas_keeps_them(drawer: Path) -> None:
    """What the program writes, the spreadsheet that saved the file can read."""
    drawer.write_text("id;thickness;unit;count;within\nA;0,5;mm;3;0,01\n", encoding="utf-8")
    books.measure(drawer, "A", Measurement("0.487 mm", "0.002"), 1)
    text = drawer.read_text("utf-8")
    assert text.endswith("A;0,5;mm;2;0,01\nA-2;0,487;mm;1;0,002\n")
    assert load_drawer(drawer).lot("A-2").thickness_um == pytest.approx(487.0)


def test_one_piece_parted_off_keeps_what_the_lot_says_of_itself(drawer: Path) -> None:
    """Its note, its maker and its seat are the lot's; only what was measured is its own."""
    books.measure(drawer, "A2", Measurement("19.3", "0.05"), 1)
    assert drawer.read_text("utf-8").endswith("A2-2,19.3,thou,1,0.05,mic,plain side,,y\n")
    assert counts(drawer) == {"A1": 2, "A2": 2, "B1": 1, "A2-2": 1}
    books.undo(drawer)
    assert counts(drawer) == {"A1": 2, "A2": 3, "B1": 1, "A2-2": 0}


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (Measurement("x"), "found 'x', wanted a length"),
        (Measurement("0", "0.1"), "wanted a length above 0"),
        (Measurement("0.5"), "within: found nothing, wanted how far off a piece can be"),
        (Measurement("0.5", "0.6"), "less than the thickness"),
    ],
)
def test_a_measurement_that_makes_no_drawer_is_refused(drawer, found, said) -> None:
    """Nothing that could not be read again is written."""
    assert said in faults_of(lambda: books.measure(drawer, "B1", found))
    assert drawer.read_text("utf-8") == DRAWER and not path_of_books(drawer).exists()


def test_pieces_arrive_bought_or_cut_and_are_used_up(drawer: Path) -> None:
    """More of a lot, a new lot, some spoiled in the drawer, one spoiled while it was out."""
    books.add(drawer, "bought", "A1", 3)
    books.add(drawer, "cut", "C1", 2, Said("0.25 mm", "", "0.01 mm"))
    books.take(drawer, plan_of({"C1": 2}), JOB)
    books.use_up(drawer, "A1", 1)
    books.use_up(drawer, "C1", 1, JOB)
    found = open_books(drawer).balance
    assert (found.drawer, found.fitted, found.used_up) == (8, 1, 2)
    assert (found.start, found.bought, found.cut) == (6, 3, 2) and found.holds
    assert "no lot 'D1'" in faults_of(lambda: books.add(drawer, "cut", "D1", 1))
    assert "a new id" in faults_of(lambda: books.add(drawer, "cut", "A1", 1, Said("0.1 mm")))
    assert "from 1 to" in faults_of(lambda: books.add(drawer, "cut", "A1", 0))


def test_undo_turns_the_last_entry_round_and_erases_nothing(drawer: Path) -> None:
    """Each undo takes the one before; undoing an undo does the thing again."""
    books.take(drawer, plan_of({"A1": 1}), JOB)
    books.use_up(drawer, "A2", 2)
    told = path_of_books(drawer).read_text("utf-8")
    assert books.undo(drawer).lines[0].undoes == 3
    assert path_of_books(drawer).read_text("utf-8").startswith(told)
    assert books.undo(drawer).lines[0].undoes == 2
    assert drawer.read_text("utf-8") == DRAWER
    assert "nothing to undo" in faults_of(lambda: books.undo(drawer))
    again = books.undo(drawer, 5)
    assert counts(drawer)["A1"] == 1 and again.after.books.fitted(JOB) == {"A1": 1}
    assert "undone by entry 4" in faults_of(lambda: books.undo(drawer, 3))
    assert "the start of the books" in faults_of(lambda: books.undo(drawer, 1))


def test_undo_is_refused_where_later_entries_stand_on_it(drawer: Path) -> None:
    """Pieces that have gone on, and a thickness measured again since."""
    books.add(drawer, "bought", "B1", 2)
    books.take(drawer, plan_of({"B1": 3}), JOB)
    assert "found none in the drawer, wanted 2" in faults_of(lambda: books.undo(drawer, 2))
    books.measure(drawer, "A1", Measurement("18.1"))
    books.measure(drawer, "A1", Measurement("18.2"))
    assert "measured again since, by entry 5" in faults_of(lambda: books.undo(drawer, 4))
    books.undo(drawer)
    books.undo(drawer)
    assert drawer.read_text("utf-8").startswith(HEAD + "A1,18.0,thou,2,")


def test_a_change_by_hand_is_told_and_can_be_taken_in(drawer: Path) -> None:
    """Lot by lot; as counted, or what is more as bought and what is less as used up."""
    books.take(drawer, plan_of({"A1": 1}), JOB)
    text = drawer.read_text("utf-8")
    changed = text.replace("thou,3,", "thou,1,").replace("mm,1,", "mm,4,")
    drawer.write_text(changed, encoding="utf-8")
    found = open_books(drawer).balance
    assert not found.holds
    assert [(d.lot, d.there, d.expected) for d in found.differences] == [
        ("A2", 1, 3),
        ("B1", 4, 1),
    ]
    bought = books.adopt(drawer, "bought")
    assert [(line.lot, line.count, line.left) for line in bought.lines] == [("B1", 3, 4)]
    assert not bought.after.balance.holds
    assert books.adopt(drawer, "counted").lines[0].count == -2
    assert drawer.read_text("utf-8") == changed and open_books(drawer).balance.holds
    assert books.adopt(drawer).entry == 0
    books.undo(drawer)  # found again
    assert counts(drawer) == {"A1": 1, "A2": 3, "B1": 4} and open_books(drawer).balance.holds


def test_a_lot_changed_by_another_since_is_told_row_by_row(drawer: Path) -> None:
    """Nothing is booked on a drawer that is not the one that was chosen from."""
    base = read_sheet(drawer)
    drawer.write_text(DRAWER.replace("A1,18.0,thou,2", "A1,18.0,thou,1"), encoding="utf-8")
    words = faults_of(lambda: books.take(drawer, plan_of({"A1": 1}), JOB, base=base))
    assert words == (
        "drawer.csv: A1: count 2, now 1: found it changed since it was read, "
        "wanted it as it was; read it again and choose anew"
    )
    assert counts(drawer)["A1"] == 1 and not path_of_books(drawer).exists()


def test_other_lots_changed_by_another_are_kept(drawer: Path) -> None:
    """Their change and the booking are both in the drawer afterwards."""
    base = read_sheet(drawer)
    drawer.write_text(DRAWER.replace("B1,0.5,mm,1", "B1,0.5,mm,7") + "N,1,mm,1,,,,,\n", "utf-8")
    booked = books.take(drawer, plan_of({"A1": 1}), JOB, base=base)
    assert booked.merged and counts(drawer) == {"A1": 1, "A2": 3, "B1": 7, "N": 1}


def test_two_changed_drawers_are_put_together_where_no_lot_is_in_both() -> None:
    """Cells, rows that came and rows that went, of both; their own form and columns kept."""

    def sheet(text: str):
        return sheet_of(text.encode(), "drawer.csv")

    base = sheet(DRAWER)
    mine = sheet(DRAWER.replace("A1,18.0,thou,2", "A1,18.0,thou,1") + "M,1,mm,1,,,,,\n")
    theirs = sheet(
        "id;thickness;unit;count;within;tool;fits;note;maker\n"
        "T;2;mm;1;;;;;\nA1;18.0;thou;2;0.1;mic;;old, but good;x\nB1;0.5;mm;5;;;;;z\n"
    )
    both, conflicts = merged(base, mine, theirs)
    assert conflicts == () and both is not None
    assert bytes_of(both).decode() == (
        "id;thickness;unit;count;within;tool;fits;note;maker\n"
        "T;2;mm;1;;;;;\nA1;18.0;thou;1;0.1;mic;;old, but good;x\nB1;0.5;mm;5;;;;;z\n"
        "M;1;mm;1;;;;;\n"
    )
    clash, conflicts = merged(base, mine, sheet(DRAWER.replace("A1,18.0", "A1,18.4")))
    assert clash is None and said_changes(conflicts) == "A1: thickness 18.0, now 18.4"
    alike, conflicts = merged(base, mine, mine)
    assert alike is not None and not changes(mine, alike) and conflicts == ()
    assert (
        said_changes(changes(base, theirs))
        == "A2: gone; B1: count 1, now 5; maker blank, now z; T: added"
    )


def test_books_spoilt_by_hand_are_refused_with_every_fault(drawer: Path) -> None:
    """No booking goes on top of books that cannot be read."""
    books.take(drawer, plan_of({"A1": 1}), JOB)
    path = path_of_books(drawer)
    spoilt = (
        path.read_text("utf-8").replace("taken", "lent").replace(",start,,A2,3", ",start,,A2,x")
    )
    path.write_text(spoilt, encoding="utf-8")
    words = faults_of(lambda: books.undo(drawer))
    assert len(words.splitlines()) == 2
    assert "drawer.books.csv: line 3: count: found 'x', wanted a whole number" in words
    assert "drawer.books.csv: line 5: what: found 'lent', wanted one of start" in words
    assert path.read_text("utf-8") == spoilt


def test_a_spreadsheets_form_and_columns_of_the_books_are_kept(drawer: Path) -> None:
    """Semicolons, a column of one's own, a date as the spreadsheet likes it."""
    books.take(drawer, plan_of({"A1": 1}), JOB)
    path = path_of_books(drawer)
    rows = [
        line.replace(f'"{JOB}"', "Orchard").replace('"', "")
        for line in path.read_text("utf-8").splitlines()
    ]
    text = "\r\n".join(row.replace(",", ";") + ";mine" for row in rows) + "\r\n"
    path.write_bytes(text.encode("utf-8"))
    books.use_up(drawer, "A2", 1)
    after = path.read_bytes().decode("utf-8")
    assert after.startswith(text) and ";used up;;A2;1;2;" in after
    assert after.endswith(";done;\r\n")


def test_links_to_one_drawer_share_its_books(drawer: Path, tmp_path: Path) -> None:
    """Or two names for one drawer would have two histories."""
    link = tmp_path / "link.csv"
    link.symlink_to(drawer)
    books.take(link, plan_of({"A1": 1}), JOB)
    assert link.is_symlink() and peek_books(drawer).fitted(JOB) == {"A1": 1}
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "drawer.books.csv", "drawer.csv", "link.csv",
    ]  # fmt: skip


def test_a_lock_file_left_behind_locks_nothing(drawer: Path) -> None:
    """A file of that name from a machine that lost its power is only a file."""
    lock = drawer.with_name(".drawer.csv.lock")
    lock.write_bytes(b"")
    books.take(drawer, plan_of({"A1": 1}), JOB)
    assert counts(drawer)["A1"] == 1 and not lock.exists()


def _hold(drawer: Path, ready, go) -> None:
    with held(drawer):
        ready.set()
        go.wait(30)


@pytest.mark.skipif(sys.platform == "win32", reason="a process is started otherwise there")
def test_a_lock_that_is_held_is_waited_for_and_then_told(drawer: Path, monkeypatch) -> None:
    """Another process at work on the drawer; when it is killed its lock is gone with it."""
    context = multiprocessing.get_context("spawn")
    ready, go = context.Event(), context.Event()
    other = context.Process(target=_hold, args=(drawer, ready, go))
    other.start()
    assert ready.wait(30)
    monkeypatch.setattr("solver.file_lock.WAIT_S", 0.1)
    with pytest.raises(Trouble, match="another program at work on it"), held(drawer, wait_s=0.1):
        pass
    assert other.pid is not None
    os.kill(other.pid, signal.SIGKILL)
    other.join(30)
    books.take(drawer, plan_of({"A1": 1}), JOB)
    assert counts(drawer)["A1"] == 1


def _take_many(drawer: Path, name: str, times: int) -> None:
    for _ in range(times):
        books.add(drawer, "cut", "A1", 1)
        books.use_up(drawer, "A1", 1)
        books.add(drawer, "bought", name, 1)


@pytest.mark.skipif(sys.platform == "win32", reason="a process is started otherwise there")
def test_three_processes_at_once_lose_nothing(drawer: Path) -> None:
    """Every one of their bookings is in the books, and in the drawer."""
    context = multiprocessing.get_context("spawn")
    workers = [
        context.Process(target=_take_many, args=(drawer, lot, 8)) for lot in ("A1", "A2", "B1")
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(120)
        assert worker.exitcode == 0
    assert counts(drawer) == {"A1": 10, "A2": 11, "B1": 9}
    opened = open_books(drawer)
    assert opened.balance.holds and len({line.entry for line in opened.books.lines}) == 1 + 3 * 24


def test_a_thousand_lots_are_booked_in_a_moment(tmp_path: Path) -> None:
    """The first booking writes what is there at the start: a line for every lot."""
    path = tmp_path / "drawer.csv"
    rows = "".join(f"L{k},{0.1 + k / 1000:.3f},mm,3,0.01,,,,\n" for k in range(1000))
    path.write_text(HEAD + rows, encoding="utf-8")
    started = time.perf_counter()
    books.take(path, plan_of({f"L{k}": 1 for k in range(6)}), JOB)
    assert open_books(path).balance.fitted == 6
    assert time.perf_counter() - started < 60.0  # far off what it takes; only no endless loop
