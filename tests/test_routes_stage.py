"""The stage of cutting and buying: its states, its lists on the disk, its chart, its numbers."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from kept_routes import kept_routes
from shots import STATES, job_of
from whole_window import Bench

from desktop import routes_asking
from desktop.document import Saved, open_document, save_document
from desktop.routes_files import HEADERS, LISTS, OFFERS, SHEETS, PriceList, begin_list, merged
from desktop.routes_labels import marks_of
from desktop.routes_words import done_by, figure_words, no_gain, parts_of
from desktop.settings import Settings
from desktop.stages import AXLE, ROUTES, stage_of
from solver.drawer_sheet import sheet_of
from solver.market_file import load_market
from solver.report_routes import route_done
from solver.routes import Routes
from solver.terminal import main

Opened = Callable[..., Bench]
ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(autouse=True)
def _once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same question is put to the solver once in the whole file."""
    monkeypatch.setattr(routes_asking, "_found", kept_routes)


def at_stage(opened: Opened, tmp_path: Path, state: str = "routes", **how: Any) -> Bench:
    """A window on a state of the stage. state: of the pictures. Returns it."""
    bench = opened(job_of(state, tmp_path), **how).start()
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    return bench


def asking_of(bench: Bench) -> Any:
    """What the window knows of cutting and buying."""
    return bench.window.stages.routes


def said(bench: Bench) -> str:
    """Everything said at the right."""
    return "\n".join(bench.window.stages.frame.answer.written())


def routes_now(bench: Bench) -> Routes:
    """The routes shown."""
    found = asking_of(bench).routes
    assert isinstance(found, Routes)
    return found


# The lists on the disk


def a_list(tmp_path: Path, key: str = OFFERS) -> PriceList:
    """A list read from the shipped one. Returns it."""
    path = tmp_path / f"{key}.csv"
    path.write_bytes((ROOT / "stock_lists" / f"routes_{key}.csv").read_bytes())
    one = PriceList(key)
    assert one.look(path)
    return one


def test_a_change_is_in_the_file_at_once_and_can_be_taken_back(tmp_path: Path) -> None:
    """Only the changed row is written anew; undone, the file is byte for byte what it was."""
    one = a_list(tmp_path)
    assert one.path is not None and one.sheet is not None
    before = one.path.read_bytes()
    assert one.put(one.sheet.edited(3, "price", "25")) == ""
    lines = (before.splitlines(), one.path.read_bytes().splitlines())
    changed = [at for at, (old, new) in enumerate(zip(*lines, strict=True)) if old != new]
    assert changed == [4] and b",25," in lines[1][4]
    assert one.market.packs[1].price_cents == 2500
    assert one.undo() == "" and one.path.read_bytes() == before
    assert one.market.packs[1].price_cents == 400
    assert one.redo() == "" and b",25," in one.path.read_bytes()
    assert not one.can_redo and one.can_undo


def test_another_programs_change_is_never_written_over(tmp_path: Path) -> None:
    """What a spreadsheet saved meanwhile stays and is shown; the change here is said to be lost."""
    one = a_list(tmp_path)
    assert one.path is not None and one.sheet is not None
    mine = one.sheet.edited(3, "price", "25")
    theirs = one.path.read_bytes().replace(b"Mill Lane", b"Quay Road")
    one.path.write_bytes(theirs)
    assert "another program" in one.put(mine)
    assert one.path.read_bytes() == theirs
    assert one.sheet is not None and one.sheet.cell(3, "seller") == "Quay Road"
    assert one.put(one.sheet.edited(3, "price", "25")) == ""  # now it is known
    assert one.market.packs[1].seller == "Quay Road"


def test_a_list_is_read_again_when_its_file_changes(tmp_path: Path) -> None:
    """And not otherwise; what was done here before cannot be undone over another's work."""
    one = a_list(tmp_path)
    assert one.path is not None and one.sheet is not None
    one.put(one.sheet.edited(3, "price", "25"))
    assert not one.look(one.path)
    one.path.write_bytes(one.path.read_bytes() + b"N1,Mill Lane,,0.3,mm,1,0.003,4,,3\n")
    assert one.look(one.path) and one.rows == 7 and not one.can_undo
    one.path.unlink()
    assert one.look(one.path) and one.missing and one.red and one.sheet is None


def test_what_is_missing_is_no_slip(tmp_path: Path) -> None:
    """A blank price is still to come, by the row's own name; rubbish in it is red."""
    one = a_list(tmp_path)
    assert one.sheet is not None
    one.put(one.sheet.edited(3, "price", ""))
    assert one.wish_names == ("the price of M50",) and not one.red
    one.put(one.sheet.edited(3, "price", "4 crowns"))
    assert len(one.red) == 1 and one.red[0].place == ("rows", 3, "price")


@pytest.mark.parametrize("key", LISTS)
def test_a_list_begun_is_one_that_can_be_read(tmp_path: Path, key: str) -> None:
    """The header has what the solver wants; a file that is there is left as it is."""
    path = tmp_path / "new.csv"
    assert begin_list(key, path) == ""
    assert path.read_text() == f"{HEADERS[key]}\n"
    pair = (path, None) if key == OFFERS else (None, path)
    market = load_market(*pair)
    assert not market.packs and not market.sheets
    path.write_text("mine")
    assert begin_list(key, path) == "" and path.read_text() == "mine"
    assert begin_list(key, tmp_path / "none" / "x.csv") != ""


def test_both_lists_together_are_what_the_solver_reads(tmp_path: Path) -> None:
    """The window's market is that of the terminal."""
    lists = {key: a_list(tmp_path, key) for key in LISTS}
    assert merged(lists) == load_market(lists[OFFERS].path, lists[SHEETS].path)


def test_saved_elsewhere_a_job_still_finds_its_lists(tmp_path: Path) -> None:
    """The names are made right from the new folder."""
    job = job_of("routes", tmp_path)
    (tmp_path / "sub").mkdir()
    saved = save_document(open_document(job), tmp_path / "sub" / "new.toml")
    assert isinstance(saved, Saved)
    document = saved.document
    for key in LISTS:
        path = document.folder / document.table[key]
        assert path.resolve() == (tmp_path / f"routes_{key}.csv").resolve()


# The stage in the window


def test_its_places_are_its_own() -> None:
    """Costs and both lists are shown here."""
    for place in (("costs", "hour"), ("offers",), ("sheets",)):
        assert stage_of(place) == ROUTES


def test_it_is_loaded_when_first_shown() -> None:
    """The window opens without any of it."""
    code = (
        "import sys, desktop.window, desktop.frame; "
        "print([one for one in sys.modules if one.startswith('desktop.routes')], "
        "'PIL' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[] False"


def test_it_says_what_the_terminal_says(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Copied as text, the answer is that of `routes`, word for word; its headline is the shout."""
    bench = at_stage(opened, tmp_path)
    assert main(["routes", str(tmp_path / "example.toml")]) == 0
    text = capsys.readouterr().out
    assert bench.window.answer_text() == text
    bench.window.stages.frame.answer.button.invoke()
    assert bench.top.clipboard_get() == text
    shout = text.splitlines()[0]
    assert shout in said(bench) and "Buy M50 from Mill Lane, wait 3 days." in said(bench)
    best = routes_now(bench).best
    assert best is not None and best.best is not None
    for stack in best.best.plan.stacks:
        assert f"{stack.thickness_um / 25.4:.2f}".rstrip("0") in said(bench)


SHOUTS = {
    "routes": ("done", "BUY 1 PACK"),
    "routes-cut": ("done", "CUT 1 PIECE"),
    "routes-none": ("none", "CUT IT, BUY IT, OR USE WHAT IS THERE?"),
    "routes-half": ("half-filled", "NEARLY THERE"),
    "routes-faulty": ("faulty", "MEND THE RED"),
    "routes-no-axle": ("no axle", "THE AXLE COMES FIRST"),
    "routes-disagree": ("done", "SPEND NOTHING YET"),
    "routes-poor": ("done", "NOTHING ON OFFER IS GOOD ENOUGH"),
    "routes-nothing": ("done", "NOTHING ON OFFER FITS"),
}


@pytest.mark.parametrize("state", SHOUTS)
def test_every_state_says_what_to_do(opened: Opened, tmp_path: Path, state: str) -> None:
    """Its own shout, never a plan to be built where there is none, and cautions when cutting."""
    bench = at_stage(opened, tmp_path, state)
    name, shout = SHOUTS[state]
    assert asking_of(bench).state == name
    assert shout in said(bench)
    assert ("razor" in said(bench)) == (state in ("routes-cut", "routes-none", "routes-half"))
    assert ("Spend nothing before they agree" in said(bench)) == (state == "routes-disagree")
    if name == "done":
        assert bench.window.answer_text().splitlines()[0] == shout
    else:
        assert bench.window.answer_text() == ""


def test_every_picture_has_its_state_here() -> None:
    """No state of the stage is without its test."""
    shown = {"routes-picked", "routes-offers", "routes-row"}
    assert {state for state in STATES if state.startswith("routes")} - shown == set(SHOUTS)


def test_a_slip_in_the_costs_is_nothing_to_the_axle(opened: Opened, tmp_path: Path) -> None:
    """The axle is answered; here the field is red, says why, and is where the button goes."""
    bench = at_stage(opened, tmp_path, "routes-faulty")
    assert bench.window.asking.state == "done"
    frame = bench.window.stages.frame
    field = frame.left.costs.fields["hour"]
    assert field.entry.instate(["invalid"])
    frame.answer.button.invoke()
    bench.settle()
    assert bench.top.focus_get() is field.entry
    bench.put(field, "20")
    bench.settle()
    assert not field.entry.instate(["invalid"]) and "BUY 1 PACK" in said(bench)


def test_a_slip_in_a_list_is_shown_where_it_is(opened: Opened, tmp_path: Path) -> None:
    """The axle goes on; the card, the tab and the grid say it, and the button goes to the row."""
    job = job_of("routes", tmp_path)
    path = tmp_path / "routes_offers.csv"
    path.write_bytes(path.read_bytes().replace(b",4,5,3", b",four,5,3"))
    bench = opened(job).start()
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    frame = bench.window.stages.frame
    assert bench.window.asking.state == "done" and asking_of(bench).state == "faulty"
    assert "found 'four'" in str(frame.left.cards[OFFERS].fault.cget("text"))
    assert "✕" in str(frame.tabs.buttons[OFFERS].cget("text"))
    frame.answer.button.invoke()
    bench.settle()
    grid = frame.lists[OFFERS].cells
    assert frame.face == OFFERS and grid.row == 3 and grid.marks.red
    assert "M50" in str(frame.lists[OFFERS].fault.cget("text"))


def test_a_price_typed_is_in_the_file_and_in_the_answer(opened: Opened, tmp_path: Path) -> None:
    """Dear packs: cut. Ctrl+Z in the list takes the price back, on the disk too, not the job."""
    bench = at_stage(opened, tmp_path)
    path = tmp_path / "routes_offers.csv"
    before = path.read_bytes()
    frame = bench.window.stages.frame
    frame.turn_to(OFFERS)
    bench.settle()
    grid = frame.lists[OFFERS].cells
    column = grid._sheet.column("price")
    grid.edit(3, column)
    bench.top.update()
    grid.cell.entry.delete(0, "end")
    bench.type("25")
    bench.press("Key-Return")
    bench.settle()
    assert b",25," in path.read_bytes()
    assert "CUT 1 PIECE" in said(bench)
    assert not bench.desk.document.unsaved
    grid.tree.focus_force()
    bench.top.update()
    bench.press("Control-z")
    bench.settle()
    assert path.read_bytes() == before and "BUY 1 PACK" in said(bench)


def test_costs_typed_are_the_jobs_and_change_the_answer(opened: Opened, tmp_path: Path) -> None:
    """Two days of patience: cut. Undo brings the ten back, and the pack."""
    bench = at_stage(opened, tmp_path)
    axle = bench.window.asking.answer
    bench.put(bench.window.stages.frame.left.costs.fields["patience"], "2")
    bench.settle()
    assert bench.desk.document.table["costs"]["patience"] == 2
    assert "CUT 1 PIECE" in said(bench)
    assert bench.window.asking.answer is axle
    bench.window.undo()
    bench.settle()
    assert "BUY 1 PACK" in said(bench)


def test_what_a_spreadsheet_saves_is_weighed(opened: Opened, tmp_path: Path) -> None:
    """A list changed by another program while the stage is in sight is read by itself."""
    bench = at_stage(opened, tmp_path)
    path = tmp_path / "routes_offers.csv"
    path.write_bytes(path.read_bytes().replace(b",4,5,3", b",25,5,3"))
    bench.until(lambda: "CUT 1 PIECE" in said(bench), "the new price")


def test_a_list_is_begun_beside_the_job(opened: Opened, tmp_path: Path) -> None:
    """From a job with nothing on offer: a file with its header, named by the job, typed into."""
    bench = at_stage(opened, tmp_path, "routes-none")
    frame = bench.window.stages.frame
    frame.left.cards[SHEETS].buttons["begin"].invoke()
    bench.settle()
    path = tmp_path / "sheets.csv"
    assert path.read_text() == f"{HEADERS[SHEETS]}\n"
    assert bench.desk.document.table["sheets"] == "sheets.csv"
    assert frame.face == SHEETS
    frame.lists[SHEETS].add()
    bench.top.update()
    for text in ("0.05", "", "0.003", "", "0.5", "25", "4"):
        if text:
            bench.top.focus_get().delete(0, "end")  # type: ignore[union-attr]  # an entry
            bench.type(text)
        bench.press("Key-Return")
    bench.settle()
    sheet = sheet_of(path.read_bytes(), path.name)
    row = {name: sheet.cell(0, name) for name in HEADERS[SHEETS].split(",")}
    assert row == {
        "id": "S1", "thickness": "0.05", "unit": "mm", "within": "0.003", "lift": "",
        "price_per_piece": "0.5", "minutes": "25", "left": "4",
    }  # fmt: skip
    assert "NEARLY THERE" in said(bench)
    frame.turn_to("compare")
    for key, text in (("hour", "20"), ("redo", "160")):
        bench.put(frame.left.costs.fields[key], text)
    bench.settle()
    assert asking_of(bench).state == "done"


def test_another_file_can_be_picked(opened: Opened, tmp_path: Path) -> None:
    """The job names it from its own folder; undo goes back to the one before."""
    bench = at_stage(opened, tmp_path)
    other = tmp_path / "other.csv"
    other.write_bytes((tmp_path / "routes_offers.csv").read_bytes().replace(b",4,5,3", b",25,5,3"))
    bench.answers.append(other)
    bench.window.stages.frame.left.cards[OFFERS].buttons["pick"].invoke()
    bench.settle()
    assert bench.desk.document.table["offers"] == "other.csv"
    assert "CUT 1 PIECE" in said(bench)
    bench.top.focus_force()
    bench.window.stages.frame.turn_to("compare")
    bench.window.undo()
    bench.settle()
    assert "BUY 1 PACK" in said(bench)


def test_a_newer_question_makes_the_older_worthless(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the first is worked out it is stopped, and its answer never shown."""
    bench = at_stage(opened, tmp_path)
    first = routes_now(bench)
    gates: list[threading.Event] = []
    asked: list[int] = []

    def slow(answer: Any, market: Any, halt: Any) -> Any:
        asked.append(answer.job.costs.patience_days)
        gates.append(threading.Event())
        if len(gates) == 1:
            halt.then(gates[0].set)
            assert gates[0].wait(20)
            return first  # stale: it must not be taken for the answer to two days
        return kept_routes(answer, market, halt)

    monkeypatch.setattr(routes_asking, "_found", slow)
    field = bench.window.stages.frame.left.costs.fields["patience"]
    bench.put(field, "9")
    bench.until(lambda: gates, "the first question")
    assert asking_of(bench).state == "solving" and "ONE MOMENT" in said(bench)
    bench.put(field, "2")
    bench.settle()
    assert asked == [9, 2]
    assert routes_now(bench) is not first and "CUT 1 PIECE" in said(bench)


def test_escape_stops_and_the_button_goes_on(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped is said as stopped, with the old plan faint; weighed again it is answered."""
    bench = at_stage(opened, tmp_path)
    halted: list[Any] = []

    def endless(_answer: Any, _market: Any, halt: Any) -> Any:
        halted.append(halt)
        assert halt.wait(20)

    monkeypatch.setattr(routes_asking, "_found", endless)
    bench.put(bench.window.stages.frame.left.costs.fields["patience"], "2")
    bench.until(lambda: halted, "the question")
    bench.press("Escape")
    bench.settle()
    assert halted[0].is_set()
    assert asking_of(bench).state == "stopped" and "STOPPED" in said(bench)
    assert bench.window.answer_text() == ""
    monkeypatch.setattr(routes_asking, "_found", kept_routes)
    bench.window.stages.frame.answer.button.invoke()
    bench.settle()
    assert "CUT 1 PIECE" in said(bench)


def test_it_works_only_while_it_is_in_sight(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing before it is shown; turned away from, it is stopped; back, it is asked again."""
    halts: list[Any] = []

    def endless(_answer: Any, _market: Any, halt: Any) -> Any:
        halts.append(halt)
        assert halt.wait(20)

    monkeypatch.setattr(routes_asking, "_found", endless)
    bench = opened(job_of("routes", tmp_path)).start()
    assert bench.window.stages.routes is None and not halts
    bench.window.stages.turn_to(ROUTES)
    bench.until(lambda: halts, "the question")
    bench.window.stages.turn_to(AXLE)
    bench.settle()
    assert halts[0].is_set() and not asking_of(bench).busy
    monkeypatch.setattr(routes_asking, "_found", kept_routes)
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    assert "BUY 1 PACK" in said(bench)


def test_a_new_answer_of_the_axle_is_weighed_anew(opened: Opened, tmp_path: Path) -> None:
    """A reading changed: the routes are of the axle's new answer."""
    bench = at_stage(opened, tmp_path)
    bench.window.stages.turn_to(AXLE)
    bench.settle()
    bench.put(bench.field(1, "goes"), "23.7")
    bench.settle()
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    answer = bench.window.asking.answer
    assert answer is not None
    assert routes_now(bench).answer.verdict is answer.verdict


# The chart and the ways


def test_every_point_is_drawn_once_and_the_least_is_marked(opened: Opened, tmp_path: Path) -> None:
    """Where it stands is what it costs and how sure it is; a press near it picks it."""
    bench = at_stage(opened, tmp_path)
    routes, plot = routes_now(bench), bench.window.stages.frame.compare.plot
    points = [point for route in routes.routes for point in route.points]
    marks = marks_of(routes)
    assert all(sum(mark.point == point for mark in marks) == 1 for point in points)
    best = routes.best
    assert best is not None
    assert [mark.point for mark in marks if mark.best] == [best.best]
    axes = plot.axes
    xs = [axes.x(mark.point.cents) for mark in marks]
    assert xs == sorted(xs) and xs[0] == pytest.approx(axes.left)
    other = next(mark for mark in marks if done_by(mark.point) == "cut")
    x, y = axes.x(other.point.cents), axes.y(other.point.chance)
    plot.event_generate("<Button-1>", x=round(x) - 4, y=round(y) + 4)
    bench.settle()
    assert asking_of(bench).picked == other.point
    assert "Another way than the advised one" in said(bench) and "Cut 1 piece" in said(bench)
    assert plot.nearest(axes.left + 5, axes.bottom - 5) is None


def test_keys_go_along_the_chart_and_escape_comes_back(opened: Opened, tmp_path: Path) -> None:
    """Left looks at the next cheaper; Escape, or the button, at the advised one again."""
    bench = at_stage(opened, tmp_path)
    plot = bench.window.stages.frame.compare.plot
    plot.focus_force()
    bench.top.update()
    bench.press("Key-Left")
    bench.settle()
    picked = asking_of(bench).picked
    assert picked is not None and done_by(picked) == "cut"
    bench.press("Key-Left")
    bench.press("Key-Left")
    bench.settle()
    assert done_by(asking_of(bench).picked) == "drawer"
    bench.press("Escape")
    bench.settle()
    assert asking_of(bench).picked is None and "BUY 1 PACK" in said(bench)
    bench.window.stages.frame.compare.rows.rows[1].invoke()
    bench.settle()
    assert asking_of(bench).picked is not None
    bench.window.stages.frame.answer.back.invoke()
    assert asking_of(bench).picked is None


def test_every_way_says_money_time_days_chance_and_all(opened: Opened, tmp_path: Path) -> None:
    """The parts are those of the expected cost; a way that is no other says so."""
    bench = at_stage(opened, tmp_path)
    routes, rows = routes_now(bench), bench.window.stages.frame.compare.rows
    assert [row.kind for row in rows.rows] == [route.kind for route in routes.routes]
    for row, route in zip(rows.rows, routes.routes, strict=True):
        best, text = route.best, "\n".join(row.written())
        assert best is not None
        parts = parts_of(best, routes.costs)
        assert parts.whole == best.expected_cents and min(parts.paid, parts.time, parts.risk) >= 0
        same = no_gain(route.kind, best)
        assert bool(same) == (route_done(route) != route.kind)
        if same:
            assert same in text
            continue
        assert f"{best.expected_cents / 100:.2f}" in text
        assert all(words in text for words in figure_words(best, routes.costs))
        assert f"{int(100 * best.chance)} of 100 builds" in text
        assert (f"{best.days} days to wait" if best.days else "no wait") in text
    cut = routes.route("cut").best
    assert cut is not None and parts_of(cut, routes.costs).time == round(25 / 60 * 2000)


def test_one_piece_is_named_from_the_sheets_and_of_any_thickness(
    opened: Opened, tmp_path: Path
) -> None:
    """With how far it raises the chance, in the unit that is shown."""
    bench = at_stage(opened, tmp_path)
    routes = routes_now(bench)
    assert routes.one_cut is not None and routes.one_any is not None
    text = "\n".join(bench.window.stages.frame.compare.written())
    bare_um = routes.one_cut.cut[0][0].bare_um
    assert f"one piece of {bare_um / 25.4:.2f} thou (S02)" in text
    assert f"{routes.one_any.thickness_um / 25.4:.1f} thou for the {routes.one_any.seat}" in text
    bench.window.set_unit("mm")
    bench.settle()
    text = "\n".join(bench.window.stages.frame.compare.written())
    assert f"one piece of {bare_um / 1000:.3f} mm" in text


def test_what_the_plan_takes_is_marked_in_its_list(opened: Opened, tmp_path: Path) -> None:
    """One of M50, and none of the others."""
    bench = at_stage(opened, tmp_path)
    frame = bench.window.stages.frame
    frame.turn_to(OFFERS)
    bench.settle()
    tree = frame.lists[OFFERS].cells.tree
    marks = [tree.set(item, "mark") for item in tree.get_children()]
    assert marks == ["", "", "", "● 1", "", ""]


@pytest.mark.parametrize("large", [False, True])
def test_the_form_and_a_list_share_the_room(opened: Opened, tmp_path: Path, large: bool) -> None:
    """While a list is in sight it has the form's room; a cost in it is gone to all the same."""
    bench = at_stage(opened, tmp_path, settings=Settings(large=large))
    frame = bench.window.stages.frame
    narrow = frame.middle.winfo_width()
    frame.turn_to(OFFERS)
    bench.settle()
    assert not frame.left.winfo_ismapped() and frame.middle.winfo_width() > narrow
    bench.window.go_to(("costs", "redo"))
    bench.settle()
    assert bench.top.focus_get() is frame.left.costs.fields["redo"].entry
