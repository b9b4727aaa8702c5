"""One order for several jobs in the window: what the terminal says, its list, its states."""

from __future__ import annotations

import json
import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tkinter import filedialog
from typing import Any

import pytest
from kept_routes import kept_order, kept_routes
from shots import STATES, job_of
from whole_window import Bench

from desktop import routes_asking, routes_place, routes_shared_asking
from desktop.routes_shared_jobs import DIFFERENT, ONE_DRAWER, ask_jobs
from desktop.routes_words import COMPARE, TOGETHER
from desktop.settings import Settings
from desktop.stages import AXLE, ROUTES
from solver.report_routes import shopping_as_json
from solver.terminal import main

Opened = Callable[..., Bench]
WORKED = "ONE ORDER FOR 2 JOBS: 15.00 crowns"


@pytest.fixture(autouse=True)
def _once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same question is put to the solver once in the whole file."""
    monkeypatch.setattr(routes_asking, "_found", kept_routes)
    monkeypatch.setattr(routes_shared_asking, "_ordered", kept_order)


def at_order(opened: Opened, tmp_path: Path, *added: str, state: str = "routes") -> Bench:
    """A window on the face, with jobs added. added: of ORDERS; state: of the pictures."""
    bench = opened(job_of(state, tmp_path)).start()
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    frame_of(bench).turn_to(TOGETHER)
    add(bench, *(tmp_path / name for name in added))
    return bench


def frame_of(bench: Bench) -> Any:
    """The stage."""
    return bench.window.stages.frame


def order_of(bench: Bench) -> Any:
    """What the window knows of the order."""
    routes = bench.window.stages.routes
    assert routes is not None
    return routes.order


def add(bench: Bench, *paths: Path) -> None:
    """Put jobs on the list."""
    order_of(bench).add(paths, bench.desk.document.path)
    bench.settle()


def work_out(bench: Bench) -> None:
    """Press the button that works the order out."""
    button = frame_of(bench).answer.button
    assert str(button.cget("text")) == "Work it out"
    button.invoke()
    bench.settle()


def said(bench: Bench) -> str:
    """Everything said at the right."""
    return "\n".join(frame_of(bench).answer.written())


def listed(bench: Bench) -> str:
    """Everything in the list of jobs."""
    return "\n".join(frame_of(bench).together.written())


def found_json(bench: Bench) -> Any:
    """The order that is known, as the terminal's JSON has it."""
    worked = order_of(bench).worked
    return json.loads(json.dumps(shopping_as_json(worked.shopping, worked.answers)))


# What it says


def test_it_finds_what_the_terminal_finds(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The order is that of `routes A B --json`; its parts are shown, and its text is copied."""
    bench = at_order(opened, tmp_path, "second.toml")
    work_out(bench)
    paths = [str(tmp_path / "example.toml"), str(tmp_path / "second.toml")]
    assert main(["routes", *paths, "--json"]) == 0
    wanted = json.loads(capsys.readouterr().out)
    assert found_json(bench) == wanted
    assert len(wanted["jobs"]) == 2 and wanted["packs"]
    assert f"{wanted['cost']:.2f} crowns" in said(bench)
    for pack in wanted["packs"]:
        assert f"Buy {pack['count']} x {pack['pack']} from {pack['seller']}." in said(bench)
    for job in wanted["jobs"]:
        assert job["title"] in listed(bench)
        assert f"{int(100 * job['chance'])} of 100 builds" in listed(bench)
        for pieces in job["seats"].values():
            assert all(piece["id"] in listed(bench) for piece in pieces)
    assert main(["routes", *paths]) == 0
    text = capsys.readouterr().out
    frame_of(bench).answer.button.invoke()
    assert bench.top.clipboard_get() == text == bench.window.answer_text()
    assert text.splitlines()[0] == WORKED and WORKED in said(bench)


def test_the_open_job_is_taken_as_it_stands_and_the_others_from_the_disk(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two days of patience, typed and not saved, and what another program wrote meanwhile."""
    bench = at_order(opened, tmp_path, "second.toml")
    bench.put(frame_of(bench).left.costs.fields["patience"], "2")
    bench.settle()
    second = tmp_path / "second.toml"
    second.write_text(second.read_text("utf-8").replace("chance = 0.95", "chance = 0.5 "), "utf-8")
    work_out(bench)
    typed = tmp_path / "typed.toml"
    text = (tmp_path / "example.toml").read_text("utf-8")
    typed.write_text(text.replace("patience = 10", "patience = 2"), "utf-8")
    assert main(["routes", str(typed), str(second), "--json"]) == 0
    wanted = json.loads(capsys.readouterr().out)
    assert found_json(bench) == wanted and not wanted["packs"]
    assert bench.desk.document.unsaved


def test_a_drawer_that_is_not_saved_yet_serves_all_that_name_it(
    opened: Opened, tmp_path: Path
) -> None:
    """One A10 less in the window's drawer is one less for the other job too."""
    bench = at_order(opened, tmp_path, "second.toml")
    bench.window.stages.turn_to(AXLE)
    sheet = bench.desk.document.sheet
    assert sheet is not None
    row = next(k for k in range(len(sheet.rows)) if sheet.cell(k, "id") == "A12")
    column = sheet.column("count")
    assert column is not None
    bench.window.sheet_edited(sheet.edited(row, "count", "1"))
    bench.settle()
    bench.window.stages.turn_to(ROUTES)
    bench.settle()
    assert bench.desk.document.drawer_unsaved and order_of(bench).state == "ready"
    work_out(bench)
    used = [
        piece["count"]
        for job in found_json(bench)["jobs"] for pieces in job["seats"].values()
        for piece in pieces if piece["id"] == "A12"
    ]  # fmt: skip
    assert order_of(bench).state == "done" and sum(used) <= 1


def test_what_is_cut_is_said_with_its_cautions(opened: Opened, tmp_path: Path) -> None:
    """Sheets, thicknesses, minutes; gloves; nothing of that where all is bought."""
    bench = at_order(opened, tmp_path, "second.toml", state="order-cut")
    work_out(bench)
    cut = found_json(bench)["cut"]
    assert cut and all(f"from {one['sheet']}." in said(bench) for one in cut)
    assert "razor" in said(bench) and "minutes of cutting" in said(bench)
    bench.put(frame_of(bench).left.costs.fields["patience"], "10")
    bench.settle()
    work_out(bench)
    assert not found_json(bench)["cut"] and "razor" not in said(bench)


def test_an_order_that_is_not_proved_says_so(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And one that is proved does not."""
    bench = at_order(opened, tmp_path, "second.toml")
    work_out(bench)
    assert "Not proved" not in said(bench)

    def doubtful(*asked: Any) -> Any:
        return replace(kept_order(*asked), proved=False)

    monkeypatch.setattr(routes_shared_asking, "_ordered", doubtful)
    bench.put(frame_of(bench).left.costs.fields["hour"], "21")
    bench.settle()
    work_out(bench)
    assert "Not proved the cheapest" in said(bench)
    assert "Not proved the cheapest" in bench.window.answer_text()


def test_a_job_that_falls_short_says_by_how_much(opened: Opened, tmp_path: Path) -> None:
    """In counts, beside what was asked for; the other one is met."""
    bench = at_order(opened, tmp_path, "second.toml", state="order-short")
    work_out(bench)
    assert "; 99.9 of 100 were asked for." in listed(bench)
    assert listed(bench).count("were asked for") == said(bench).count("were asked for") == 1


def test_lengths_are_in_the_unit_that_is_shown(opened: Opened, tmp_path: Path) -> None:
    """Millimetres in the list and in the text; each job's own unit where none was chosen."""
    second = tmp_path / "second.toml"
    bench = at_order(opened, tmp_path, "second.toml")
    work_out(bench)
    assert "thou" in bench.window.answer_text()
    bench.window.set_unit("mm")
    bench.settle()
    assert "thou" not in bench.window.answer_text() and " mm" in bench.window.answer_text()
    assert "thou" not in listed(bench)
    assert second.exists()


# The list


def test_several_jobs_are_picked_at_once_and_none_twice(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The button asks; the open job and one that is there already are refused, with a word."""
    bench = at_order(opened, tmp_path)
    picked = [(tmp_path / "second.toml", tmp_path / "other.toml"), ()]
    picked.append((tmp_path / "example.toml", tmp_path / "second.toml"))
    monkeypatch.setattr(routes_place, "ask_jobs", lambda _folder: picked.pop(0))
    frame_of(bench).together.add.invoke()
    bench.settle()
    names = ["second.toml", "other.toml"]
    assert [one.path.name for one in order_of(bench).added] == names
    frame_of(bench).together.add.invoke()
    frame_of(bench).together.add.invoke()
    bench.settle()
    assert not picked and [one.path.name for one in order_of(bench).added] == names
    assert "example.toml and second.toml are on the list already." in bench.frame.notice.text


def test_the_dialog_allows_several(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Begun in the folder given; given up, there is none."""
    asked: list[Any] = []
    answers: list[Any] = [("a.toml", "b.toml"), ""]

    def dialog(**how: Any) -> Any:
        asked.append(how["initialdir"])
        return answers.pop(0)

    monkeypatch.setattr(filedialog, "askopenfilenames", dialog)
    assert ask_jobs(tmp_path) == (Path("a.toml"), Path("b.toml"))
    assert ask_jobs(tmp_path) == () and asked == [tmp_path, tmp_path]


def test_jobs_stand_with_title_and_file_and_can_be_taken_off(
    opened: Opened, tmp_path: Path
) -> None:
    """The open one first, which stays; the keyboard goes on to the button that adds."""
    bench = at_order(opened, tmp_path, "second.toml", "other.toml")
    together = frame_of(bench).together
    texts = together.written()
    assert texts[:4] == (
        "Cane cart, rear bevel box", "example.toml, as it stands in the window",
        "Hay turner, rear bevel box", "second.toml",
    )  # fmt: skip
    assert list(together.removes) == [tmp_path / "second.toml", tmp_path / "other.toml"]
    bench.tab_to(together.removes[tmp_path / "other.toml"])
    bench.press("Key-Return")
    bench.settle()
    assert "other.toml" not in listed(bench) and order_of(bench).state == "ready"
    assert bench.top.focus_get() is together.add
    together.removes[tmp_path / "second.toml"].invoke()
    bench.settle()
    assert order_of(bench).state == "alone"
    assert str(frame_of(bench).answer.button.cget("text")) == "Add a job…"


def test_the_list_is_no_part_of_the_job(opened: Opened, tmp_path: Path) -> None:
    """Added jobs leave the job as it was saved, and their own files as they were."""
    job = job_of("routes", tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.glob("*.*")}
    bench = at_order(opened, tmp_path, "second.toml")
    work_out(bench)
    assert not bench.desk.document.unsaved and job in before
    bench.window.files.save()
    assert {path: path.read_bytes() for path in tmp_path.glob("*.*")} == before


def test_it_outlives_a_change_of_look_and_a_look_elsewhere(opened: Opened, tmp_path: Path) -> None:
    """Large type, dark, another face and another stage: the order is there again, not stale."""
    bench = at_order(opened, tmp_path, "second.toml")
    work_out(bench)
    bench.window.set_large(True)
    bench.settle()
    assert frame_of(bench).face == TOGETHER and WORKED in said(bench)
    bench.window.set_mode("dark")
    frame_of(bench).turn_to(COMPARE)
    bench.settle()
    assert "BUY 1 PACK" in said(bench)
    bench.window.stages.turn_to(AXLE)
    bench.window.stages.turn_to(ROUTES)
    frame_of(bench).turn_to(TOGETHER)
    bench.settle()
    assert WORKED in said(bench) and order_of(bench).state == "done"


def test_another_job_opened_has_the_others_but_not_itself(opened: Opened, tmp_path: Path) -> None:
    """The order was for another open job: it is gone."""
    bench = at_order(opened, tmp_path, "second.toml", "other.toml")
    bench.window.files.read(tmp_path / "second.toml")
    bench.settle()
    assert [one.path.name for one in order_of(bench).added] == ["other.toml"]
    assert order_of(bench).worked is None


# Faults


def test_a_job_with_another_drawer_is_refused_as_in_the_terminal(
    opened: Opened, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was found and wanted in the same words; no order; off the list, there is one."""
    bench = at_order(opened, tmp_path, "second.toml", "other.toml")
    paths = [str(tmp_path / name) for name in ("example.toml", "other.toml")]
    assert main(["routes", *paths]) == 2
    words = f"found {DIFFERENT}, wanted {ONE_DRAWER}"
    assert words in " ".join(capsys.readouterr().err.split())
    assert words in listed(bench) and words in said(bench)
    assert order_of(bench).state == "job faulty"
    work_out(bench)
    assert order_of(bench).worked is None and bench.window.answer_text() == ""
    frame_of(bench).together.removes[tmp_path / "other.toml"].invoke()
    bench.settle()
    work_out(bench)
    assert WORKED in said(bench)


FAULTY: dict[str, tuple[str, Any, str]] = {  # file, its bytes or a change of them, words
    "a slip in a limit": ("slip.toml", None, "found '4x' with an unknown unit"),
    "no TOML": ("broken.toml", b"title = \n[limits", "broken.toml"),
    "no text": ("broken.toml", b"\xff\xfe\x00", "broken.toml"),
    "not there": ("gone.toml", None, "gone.toml"),
    "no drawer": ("second.toml", (b'drawer = "routes_drawer.csv"', b""), "found no drawer"),
    "drawer not there": ("second.toml", (b"routes_drawer.csv", b"none.csv"), "none.csv"),
    "not TOML's own title": ("second.toml", (b'"Hay turner, rear bevel box"', b"7"), "title"),
}


@pytest.mark.parametrize("kind", FAULTY)
def test_a_faulty_job_says_what_is_wrong_in_its_own_words(
    opened: Opened, tmp_path: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The terminal's first fault of it, under its file's name; never a traceback or an order."""
    name, data, words = FAULTY[kind]
    bench = at_order(opened, tmp_path)
    path = tmp_path / name
    if isinstance(data, tuple):
        assert data[0] in path.read_bytes()
        path.write_bytes(path.read_bytes().replace(*data))
    elif data is not None:
        path.write_bytes(data)
    add(bench, tmp_path / name)
    assert order_of(bench).state == "job faulty" and words in listed(bench)
    assert main(["choose", str(tmp_path / name)]) == 2
    told = " ".join(capsys.readouterr().err.split())
    (one,) = order_of(bench).added
    assert str(one.faults[0]) in told
    assert str(one.faults[0]).removeprefix(f"{name}: ") in listed(bench)
    assert "MEND THE RED" in said(bench)
    work_out(bench)
    assert order_of(bench).worked is None and "MEND THE RED" in said(bench)


def test_what_only_answering_brings_to_light_is_the_jobs_fault(
    opened: Opened, tmp_path: Path
) -> None:
    """Readings that settle nothing together: said of that job when it is worked out."""
    bench = at_order(opened, tmp_path, "second.toml")
    second = tmp_path / "second.toml"
    text = second.read_text("utf-8").replace("goes = 22.5\nstops = 23.5", "goes = 900\nstops = 901")
    second.write_text(text, "utf-8")
    bench.window.show()
    bench.settle()
    assert order_of(bench).state == "ready"
    work_out(bench)
    assert order_of(bench).state == "job faulty" and "MEND THE RED" in said(bench)
    assert "found readings that no clearance, gap and ratio can explain" in listed(bench)
    second.write_text(text.replace("= 900", "= 22.5").replace("= 901", "= 23.5"), "utf-8")
    work_out(bench)
    assert WORKED in said(bench)


def test_a_file_mended_elsewhere_is_read_by_itself(opened: Opened, tmp_path: Path) -> None:
    """While the stage is in sight the red goes as soon as another program has saved."""
    bench = at_order(opened, tmp_path, "slip.toml")
    assert order_of(bench).state == "job faulty"
    (tmp_path / "slip.toml").write_bytes((tmp_path / "second.toml").read_bytes())
    bench.until(lambda: order_of(bench).state == "ready", "the mended file")
    work_out(bench)
    assert WORKED in said(bench)


# Stale, stopped


def dearer(bench: Bench) -> None:
    """Another price in the list."""
    routes: Any = bench.window.stages.routes
    one = routes.lists["offers"]
    assert one.sheet is not None and one.put(one.sheet.edited(3, "price", "5")) == ""
    bench.window.show()


def read_anew(bench: Bench) -> None:
    """Another reading of the open job."""
    bench.window.stages.turn_to(AXLE)
    bench.settle()
    bench.put(bench.field(1, "goes"), "23.7")
    bench.settle()
    bench.window.stages.turn_to(ROUTES)


def touched(bench: Bench) -> None:
    """Another program saves the added job."""
    path = order_of(bench).added[0].path
    path.write_text(path.read_text("utf-8") + "\n# seen\n", "utf-8")


CHANGES: dict[str, Callable[[Bench], object]] = {
    "a cost": lambda bench: bench.put(frame_of(bench).left.costs.fields["hour"], "30"),
    "a price": dearer,
    "a reading": read_anew,
    "the added job": touched,
    "one job more": lambda bench: add(bench, bench.desk.document.folder / "third.toml"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_any_change_makes_the_order_stale(opened: Opened, tmp_path: Path, change: str) -> None:
    """Faint, with the way to work it out anew; nothing to copy until that is done."""
    bench = at_order(opened, tmp_path, "second.toml")
    (tmp_path / "third.toml").write_bytes((tmp_path / "second.toml").read_bytes())
    work_out(bench)
    rows = frame_of(bench).together._shown[0]
    assert not any(row.faint for row in rows) and bench.window.answer_text()
    CHANGES[change](bench)
    bench.until(lambda: order_of(bench).state == "stale", "the order to be stale")
    bench.settle()
    rows = [row for row in frame_of(bench).together._shown[0] if row.plan is not None]
    assert len(rows) == 2 and all(row.faint for row in rows)
    assert "WORK IT OUT ANEW" in said(bench) and "From before the last change:" in said(bench)
    assert bench.window.answer_text() == "" and not bench.window.stages.has_answer
    work_out(bench)
    assert order_of(bench).state == "done"


def test_a_job_taken_off_makes_it_stale_and_put_back_it_stands_again(
    opened: Opened, tmp_path: Path
) -> None:
    """Two jobs are left of three: that is another order."""
    bench = at_order(opened, tmp_path, "second.toml")
    third = tmp_path / "third.toml"
    third.write_bytes((tmp_path / "second.toml").read_bytes())
    add(bench, third)
    work_out(bench)
    assert "ONE ORDER FOR 3 JOBS" in said(bench)
    frame_of(bench).together.removes[third].invoke()
    bench.settle()
    assert order_of(bench).state == "stale"
    add(bench, third)
    assert order_of(bench).state == "done"


@pytest.mark.parametrize("way", ["escape", "button"])
def test_it_can_be_stopped(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """Stopped is said as stopped, the solver's own flag is raised; worked out again it is there."""
    bench = at_order(opened, tmp_path, "second.toml")
    halts: list[Any] = []

    def endless(_answers: Any, _market: Any, halt: Any) -> Any:
        halts.append(halt)
        bench_until_stopped(halt)

    monkeypatch.setattr(routes_shared_asking, "_ordered", endless)
    frame_of(bench).answer.button.invoke()
    bench.until(lambda: halts, "the question")
    assert order_of(bench).state == "working" and "ONE MOMENT" in said(bench)
    if way == "escape":
        bench.press("Escape")
    else:
        assert str(frame_of(bench).answer.button.cget("text")) == "Stop"
        frame_of(bench).answer.button.invoke()
    bench.settle()
    assert halts[0].stopped and "STOPPED" in said(bench) and bench.window.answer_text() == ""
    monkeypatch.setattr(routes_shared_asking, "_ordered", kept_order)
    work_out(bench)
    assert WORKED in said(bench)


def bench_until_stopped(halt: Any) -> None:
    """In the thread: wait for the solver's flag, for as long as a test may take."""
    import time

    end = time.monotonic() + 20.0
    while not halt.stopped:
        assert time.monotonic() < end, "nobody stopped it"
        time.sleep(0.005)


def test_a_change_while_it_works_makes_its_answer_worthless(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And turned away from, it is stopped."""
    bench = at_order(opened, tmp_path, "second.toml")
    halts: list[Any] = []

    def slow(answers: Any, market: Any, halt: Any) -> Any:
        halts.append(halt)
        bench_until_stopped(halt)
        return kept_order(answers, market, halt)

    monkeypatch.setattr(routes_shared_asking, "_ordered", slow)
    frame_of(bench).answer.button.invoke()
    bench.until(lambda: halts, "the question")
    bench.put(frame_of(bench).left.costs.fields["hour"], "30")
    bench.until(lambda: halts[0].stopped, "the stop")
    bench.settle()
    assert order_of(bench).worked is None and order_of(bench).state == "ready"
    frame_of(bench).answer.button.invoke()
    bench.until(lambda: len(halts) == 2, "the question")
    bench.window.stages.turn_to(AXLE)
    bench.settle()
    assert halts[1].stopped and not order_of(bench).busy and order_of(bench).worked is None


# Its states

SHOUTS = {
    "order-alone": ("alone", "ONE ORDER FOR SEVERAL JOBS"),
    "order-none": ("none", "ONE ORDER FOR SEVERAL JOBS"),
    "order-ready": ("ready", "ONE ORDER FOR 2 JOBS"),
    "order-faulty": ("job faulty", "MEND THE RED"),
    "order-done": ("done", WORKED),
    "order-short": ("done", "ONE ORDER FOR 2 JOBS: "),
    "order-cut": ("done", "ONE ORDER FOR 2 JOBS: "),
    "order-nothing": ("done", "NOTHING ON OFFER SERVES ALL OF THESE JOBS"),
    "order-stale": ("stale", "WORK IT OUT ANEW"),
    "order-disagree": ("done", "SPEND NOTHING YET"),
    "order-poor": ("done", "NOTHING ON OFFER IS GOOD ENOUGH"),
}


@pytest.mark.parametrize("state", SHOUTS)
def test_every_state_says_what_to_do(
    window: tk.Toplevel, root: tk.Tk, tmp_path: Path, state: str
) -> None:
    """Its own shout; plans faint where they are not to be built; a text only of a fresh order."""
    bench = Bench(root, tmp_path, job_of(state, tmp_path), settings=Settings()).start()
    STATES[state][1](bench)
    bench.settle()
    name, shout = SHOUTS[state]
    rows = [row for row in frame_of(bench).together._shown[0] if row.plan is not None]
    found = (order_of(bench).state, said(bench), bool(bench.window.answer_text()))
    bench.close()
    root.update()
    assert found[0] == name and shout in found[1]
    assert found[2] == (name == "done")
    assert all(row.faint == (state in FAINT) for row in rows)
    assert bool(rows) == (name in ("done", "stale") and state != "order-nothing")
    assert ("Spend nothing before they agree" in found[1]) == (state == "order-disagree")


FAINT = ("order-stale", "order-disagree", "order-poor")


@pytest.mark.parametrize(
    ("state", "shout"),
    [
        ("routes-half", "NEARLY THERE"),
        ("routes-faulty", "MEND THE RED"),
        ("routes-no-axle", "THE AXLE COMES FIRST"),
    ],
)
def test_what_the_ways_wait_for_the_order_waits_for(
    opened: Opened, tmp_path: Path, state: str, shout: str
) -> None:
    """Jobs can be added all the same; nothing can be worked out."""
    bench = at_order(opened, tmp_path, "second.toml", state=state)
    assert shout in said(bench) and "second.toml" in listed(bench)
    order_of(bench).work_out()
    assert not order_of(bench).busy


def test_every_picture_has_its_state_here() -> None:
    """No state of the face is without its test."""
    assert {state for state in STATES if state.startswith("order")} == set(SHOUTS)
