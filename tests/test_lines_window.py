"""Jobs about lines of dimensions in the window: drawn as a loop, answered, edited in place."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fake_lines import LAYSHAFT, WINCH, lines_in
from test_setup_panel import written
from whole_window import Bench

from desktop.document import open_document
from desktop.edits import fresh_line_table, fresh_table, is_bare, value_at
from desktop.inputs import read_document
from desktop.line_edits import begin_line_alone
from desktop.line_words import TO_SCALE
from desktop.middle import AXLE, LINES, SETUP
from desktop.reading_words import choices_to_add
from desktop.stages import OF_AXLES
from solver.job import CARRIER_READABLE, PINION_READABLE

Opened = Callable[..., Bench]


def drawing_of(bench: Bench, at: int = 0) -> Any:
    """The drawing of a line. bench; at: which one, from 0."""
    return bench.frame.middle.lines.drawings[at]


def parts_of(bench: Bench, at: int = 0) -> list[str]:
    """What a line's drawing shows, by its names in the files. bench; at: which one, from 0."""
    return [part.name for part in drawing_of(bench, at)._said.parts]


def click(bench: Bench, where: tuple[int, int], at: int = 0) -> None:
    """Move the pointer onto a spot of a drawing and click. bench; where: [px]; at: which one."""
    drawing = drawing_of(bench, at)
    drawing.event_generate("<Motion>", x=where[0], y=where[1])
    drawing.event_generate("<Button-1>", x=where[0], y=where[1])
    bench.settle()


def field(bench: Bench, *place: Any) -> Any:
    """A field of the set-up. bench; place: in the job."""
    return bench.frame.middle.setup.form.fields[place]


def table_of(bench: Bench) -> Any:
    """The job's table as it is now."""
    return bench.desk.document.table


def test_a_job_of_lines_shows_nothing_of_an_axle(opened: Opened, tmp_path: Path) -> None:
    """No axle, no mesh, no layout, no stage of an axle; the readings offered are the job's own."""
    bench = opened(lines_in(tmp_path)).start()
    middle, bar = bench.frame.middle, bench.frame.bar
    assert middle.face == LINES and not middle.tabs.buttons[AXLE].winfo_manager()
    assert not any(bar.stages.buttons[name].winfo_manager() for name in OF_AXLES)
    assert bar.stages.buttons[AXLE].cget("text") == "Lines"
    offered = [name for name, _ in choices_to_add("UK", table_of(bench))]
    assert offered == ["case depth", "shaft", "front bearing", "rear bearing", "end float"]
    middle.turn_to(SETUP)
    bench.settle()
    words = " ".join(text for _, text in written(middle.setup)).lower()
    for carrier in ("mesh", "backlash", "teeth", "pinion", "wheel", "housing", "pinch"):
        assert carrier not in words, carrier
    assert "metal ▾" not in words and "aluminium" in words


def test_a_job_of_an_axle_shows_no_lines(opened: Opened) -> None:
    """The example keeps its axle, its stages and its readings; lines are offered in the set-up."""
    bench = opened().start()
    middle = bench.frame.middle
    assert middle.face == AXLE and not middle.tabs.buttons[LINES].winfo_manager()
    assert all(one.winfo_manager() for one in bench.frame.bar.stages.buttons.values())
    offered = {name for name, _ in choices_to_add("UK", table_of(bench))}
    assert offered >= {*CARRIER_READABLE, *PINION_READABLE[:2]}


def test_an_axle_and_a_line_have_a_face_each(opened: Opened, tmp_path: Path) -> None:
    """A line beside a carrier is begun in the set-up, and drawn on a face of its own."""
    bench = opened().start()
    bench.frame.middle.turn_to(SETUP)
    bench.settle()
    begin = next(
        widget for widget, text in written(bench.frame.middle.setup) if text == "Add a line"
    )
    begin.invoke()
    bench.settle()
    assert value_at(table_of(bench), ("lines", 0, "result")) == "new result"
    assert bench.top.focus_get() is field(bench, "lines", 0, "name")
    tabs = bench.frame.middle.tabs.buttons
    assert tabs[AXLE].winfo_manager() and tabs[LINES].winfo_manager()
    bench.frame.middle.turn_to(LINES)
    bench.settle()
    assert parts_of(bench) == ["new result"]
    click(bench, drawing_of(bench).place_between(0))
    assert list(value_at(table_of(bench), ("lines", 0, "terms"))) == ["new part"]


def test_the_loop_closes_and_says_what_it_says(opened: Opened, tmp_path: Path) -> None:
    """Each arrow starts where the one before ends, + to the right and - to the left; the gap is
    between the first start and the last end, with its prediction and limits."""
    bench = opened(lines_in(tmp_path)).start()
    drawing = drawing_of(bench)
    arrows, parts = drawing.arrows, drawing._said.parts
    for one, after in pairwise(arrows[:-1]):
        assert one.end == pytest.approx(after.start)
    assert arrows[-1].start == pytest.approx(arrows[0].start)
    assert arrows[-1].end == pytest.approx(arrows[-2].end)
    for part, arrow in zip(parts, arrows, strict=True):
        assert arrow.way == (part.way if part.um else 0), part.name
    assert all(0 <= x <= drawing.winfo_width() for one in arrows for x in (one.start, one.end))
    answer = bench.window.asking.answer
    stacks = {one.seat: one.thickness_um for one in answer.verdict.plan.stacks}
    assert [part.um for part in parts if part.kind == "seat"] == [
        pytest.approx(-stacks["front cover"]), pytest.approx(-stacks["rear cover"]),
    ]  # fmt: skip
    texts = drawing.written()
    assert f"= {answer.verdict.results[0].predicted_um / 1000:.3f} mm" in texts
    assert any("0.050 to 0.200" in text and "at 60 °C" in text for text in texts)
    assert drawing.broken and not any(text in TO_SCALE for text in texts)


def test_equal_lengths_are_drawn_to_scale(opened: Opened, tmp_path: Path) -> None:
    """Where all can be seen at one scale nothing is broken, and the head says so."""
    changes = (
        ("low = 117.00, high = 117.05", "low = 60.0, high = 60.05"),
        ("low = 0.09, high = 0.11", "low = 30.0, high = 30.1"),
        ("low = 0.05\nhigh = 0.35", "low = 25.0\nhigh = 31.0"),
        ("high = 0.6", 'high = "no limit"'),
        ("values = [0.81, 0.82]", "values = [27.92, 27.93]"),
    )
    bench = opened(lines_in(tmp_path, WINCH, *changes)).start()
    drawing = drawing_of(bench)
    lengths = [abs(one.end - one.start) for one in drawing.arrows]
    known = [abs(part.um or 0.0) for part in drawing._said.parts]
    assert [one / lengths[0] for one in lengths] == pytest.approx(
        [one / known[0] for one in known], abs=0.001
    )
    assert not drawing.broken and TO_SCALE[0] in drawing.written()


def test_the_term_in_hand_is_lit(opened: Opened, tmp_path: Path) -> None:
    """A reading's card lights its part and its badge; a field of the set-up lights it there."""
    bench = opened(lines_in(tmp_path)).start()
    drawing = drawing_of(bench)
    assert not drawing.find_withtag("lit")
    bench.field(0, "values").entry.focus_force()
    bench.settle()
    assert drawing._said.parts[drawing._lit_part(drawing._said)].name == "shaft"
    assert drawing.itemcget(drawing.find_withtag("lit")[-1], "text") == "1"
    bench.frame.middle.focus_place(("dimensions", "rear bearing", "high"))
    bench.settle()
    sketch = bench.frame.middle.setup._lines.sketches[0]
    assert sketch._lit == "rear bearing" and not drawing.find_withtag("lit")
    field(bench, "seats", "front cover", "most").take_focus()
    bench.settle()
    assert sketch._lit == "front cover"


def test_a_click_on_an_arrow_puts_the_keyboard_on_its_fields(
    opened: Opened, tmp_path: Path
) -> None:
    """A part's tolerance, a seat's counts, the gap's limits, or by its badge the reading."""
    for at, place in (
        (1, ("dimensions", "shaft", "drawn")),
        (2, ("dimensions", "front bearing", "low")),
        (6, ("lines", 0, "low")),
    ):
        bench = opened(lines_in(tmp_path)).start()
        click(bench, drawing_of(bench).middle_of(at))
        assert bench.top.focus_get() is field(bench, *place).entry
        bench.frame.middle.turn_to(LINES)
    bench.settle()
    y = drawing_of(bench).middle_of(1)[1]
    click(bench, (4, y))
    assert bench.top.focus_get() is bench.field(0, "values").entry


def test_a_part_is_put_in_where_it_goes(opened: Opened, tmp_path: Path) -> None:
    """A click between two arrows puts a part there, asks for its name, and undo takes it out."""
    bench = opened(lines_in(tmp_path)).start()
    before = table_of(bench)
    drawing = drawing_of(bench)
    x, y = drawing.place_between(2)
    drawing.event_generate("<Motion>", x=x, y=y)
    assert drawing._hover == ("put in", 2)
    click(bench, (x, y))
    names = ["case depth", "shaft", "new part", "front bearing", "rear bearing"]
    assert list(table_of(bench)["lines"][0]["terms"]) == names
    name = field(bench, "lines", 0, "terms", "new part", "name")
    assert bench.top.focus_get() is name
    assert bench.window.asking.state == "half-filled"
    assert "New part" in bench.window.inputs.missing
    bench.press("Key-Delete")
    bench.type("spacer")
    bench.press("Return")
    bench.settle()
    names[2] = "spacer"
    assert list(table_of(bench)["lines"][0]["terms"]) == names
    bench.put(field(bench, "dimensions", "spacer", "low"), "0.09")
    bench.put(field(bench, "dimensions", "spacer", "high"), "0.11")
    bench.until(lambda: bench.window.asking.state == "done")
    bench.settle()
    field(bench, "lines", 0, "terms", "spacer").buttons["+"].invoke()
    bench.settle()
    assert table_of(bench)["lines"][0]["terms"]["spacer"] == 1
    for _ in range(6):
        if table_of(bench) != before:
            bench.window.undo()
            bench.settle()
    assert table_of(bench) == before


def test_the_keyboard_walks_the_line_and_edits_it(opened: Opened, tmp_path: Path) -> None:
    """Arrow keys go over places and parts; Delete, + and Return do what the pointer does."""
    bench = opened(lines_in(tmp_path)).start()
    drawing = drawing_of(bench)
    drawing.focus_force()
    bench.top.update()
    assert drawing._at == ("part", 0)
    assert drawing.find_withtag("walk")
    for _ in range(4):
        bench.press("Right")
    assert drawing._at == ("part", 2)
    bench.press("plus")
    bench.settle()
    assert table_of(bench)["lines"][0]["terms"]["front bearing"] == 1
    bench.press("minus")
    bench.settle()
    assert table_of(bench)["lines"][0]["terms"]["front bearing"] == -1
    bench.press("Delete")
    bench.settle()
    assert "front bearing" not in table_of(bench)["lines"][0]["terms"]
    assert "front bearing" not in table_of(bench)["dimensions"]
    assert parts_of(bench) == [
        "case depth", "shaft", "rear bearing", "front cover", "rear cover", "end float",
    ]  # fmt: skip
    bench.window.undo()  # the drawing shows it: nothing else comes in sight
    bench.settle()
    assert bench.frame.middle.face == LINES and "front bearing" in parts_of(bench)
    bench.window.redo()
    bench.settle()
    drawing.focus_force()
    bench.top.update()
    for _ in range(8):
        bench.press("Left")
    assert drawing._at == ("put in", 0)
    bench.press("Return")
    bench.settle()
    assert next(iter(table_of(bench)["lines"][0]["terms"])) == "new part"
    assert bench.top.focus_get() is field(bench, "lines", 0, "terms", "new part", "name")


def test_a_reading_of_a_line_says_what_was_fitted(opened: Opened, tmp_path: Path) -> None:
    """Its card has a field for each of the line's own seats, in the colour of the seat."""
    bench = opened(lines_in(tmp_path, WINCH)).start()
    fitted = [place[-1] for place in bench.frame.readings.cards[0].fields if "fitted" in place]
    assert fitted == ["brake side", "ratchet side"]
    side = bench.frame.theme.side
    assert side("brake side") != side("ratchet side")
    assert bench.window.asking.state == "done"
    assert [one.cget("text") for one in (bench.frame.answer.heading,)] == ["Fit these"]


def test_parts_and_seats_are_renamed_everywhere(opened: Opened, tmp_path: Path) -> None:
    """A new name goes into every line, tolerance, reading and seat; the keyboard goes on."""
    bench = opened(lines_in(tmp_path, WINCH)).start()
    bench.frame.middle.focus_place(("lines", 0, "seats", "ratchet side", "name"))
    bench.settle()
    name = field(bench, "lines", 0, "seats", "ratchet side", "name")
    name.focus_force()
    name.text.set("pawl side")
    bench.press("Return")
    bench.settle()
    table = table_of(bench)
    assert [list(line["seats"]) for line in table["lines"]] == [
        ["brake side", "pawl side"], ["pawl side"],
    ]  # fmt: skip
    assert "pawl side" in table["readings"][0]["fitted"]
    assert bench.window.asking.state == "done"
    name = field(bench, "lines", 0, "name")
    name.focus_force()
    name.text.set("play of the drum")
    bench.press("Return")
    bench.settle()
    assert table_of(bench)["readings"][0]["of"] == "play of the drum"
    assert bench.top.focus_get() is field(bench, "lines", 0, "low").entry


def test_a_lever_keeps_its_size(opened: Opened, tmp_path: Path) -> None:
    """A factor other than 1 has a field, and turning its sign leaves it as large as it was."""
    bench = opened(lines_in(tmp_path, WINCH)).start()
    bench.frame.middle.focus_place(("lines", 1, "terms", "ratchet"))
    bench.settle()
    place = ("lines", 1, "terms", "ratchet")
    assert field(bench, *place, "factor").text.get() == "0.5"
    field(bench, *place).buttons["-"].invoke()
    bench.settle()
    assert value_at(table_of(bench), place) == -0.5
    bench.put(field(bench, *place, "factor"), "1.5")
    bench.settle()
    assert value_at(table_of(bench), place) == 1.5
    assert bench.top.focus_get() is field(bench, *place, "factor").entry


def test_a_line_is_begun_from_the_menu(opened: Opened, tmp_path: Path) -> None:
    """A new job of this kind has two parts, a seat and no limits, and misses what is to come."""
    bench = opened().start()
    menu = bench.frame.bar.menu
    labels = [menu.entrycget(at, "label") for at in range(2)]
    menu.invoke(labels.index("New: a line of dimensions"))
    bench.settle()
    assert is_bare(table_of(bench)) and bench.frame.middle.face == LINES
    assert bench.top.focus_get() is bench.field(0, "values").entry
    missing = bench.window.inputs.missing
    assert "Housing depth" in missing or "housing depth" in [one.lower() for one in missing]
    assert bench.window.inputs.state == "empty"
    bench.press("Control-n")
    bench.settle()
    bench.frame.readings.line.invoke()
    bench.settle()
    assert is_bare(table_of(bench)) and bench.frame.middle.face == LINES
    assert not bench.frame.readings.line.winfo_manager()


def test_what_is_missing_is_wished_for_at_its_part(opened: Opened, tmp_path: Path) -> None:
    """A part of which nothing is known is wished for under it, softly, and limits by their name."""
    table = begin_line_alone()(fresh_table())
    assert table["lines"] == fresh_line_table()["lines"]
    changed = lines_in(
        tmp_path, LAYSHAFT, ("low = 0.05\nhigh = 0.20\n", ""),
        ('"rear bearing" = { low = 10.88, high = 11.00, metal = "steel" }\n', ""),
    )  # fmt: skip
    inputs = read_document(open_document(changed), "US")
    assert inputs.state == "half-filled"
    assert set(inputs.missing) == {"Rear bearing", "the limits of end play"}
    bench = opened(changed).start()
    assert "limits" in bench.frame.status.text
    bench.frame.middle.focus_place(("dimensions", "rear bearing", "low"))
    bench.settle()
    line = bench.frame.middle.setup.form.lines[("dimensions", "rear bearing")]
    assert str(line.cget("text")).startswith("Still to come")
    assert str(line.cget("style")) == "Hint.TLabel"


def test_the_order_of_parts_is_saved(opened: Opened, tmp_path: Path) -> None:
    """A part put in between two stands between them in the file, whose comments stay."""
    job = lines_in(tmp_path, "# of my own\n" + LAYSHAFT)
    bench = opened(job).start()
    click(bench, drawing_of(bench).place_between(1))
    bench.press("Control-s")
    bench.settle()
    text = job.read_text("utf-8")
    assert text.startswith("# of my own") and "[[lines]]" in text
    again = open_document(job).table["lines"][0]["terms"]
    assert list(again)[:3] == ["case depth", "new part", "shaft"]


def test_small_windows_and_large_type_show_the_whole_line(
    opened: Opened, tmp_path: Path, root: tk.Tk
) -> None:
    """With forty parts the drawing scrolls, and no arrow leaves it."""
    many = {f"part {at}": 1 if at % 2 else -1 for at in range(40)}
    text = "terms = { " + ", ".join(f'"{name}" = {sign}' for name, sign in many.items()) + " }"
    said = "\n".join(f'"{name}" = {{ low = 1.{at:02}, high = 2.5 }}'
                     for at, name in enumerate(many))  # fmt: skip
    head, tail = LAYSHAFT.split("[dimensions]")
    tail = tail[tail.index("[[lines]]") : tail.index("[[readings]]")]
    start = tail.index("terms")
    tail = tail[:start] + text + tail[tail.index("\n", start) :]
    bench = opened(
        lines_in(tmp_path, f"{head}[dimensions]\n{said}\n{tail}"), size="1024x700"
    ).start()
    drawing = drawing_of(bench)
    assert bench.frame.middle.lines.column.scrolls
    assert len(drawing.arrows) == 43
    assert all(0 <= x <= drawing.winfo_width() for a in drawing.arrows for x in (a.start, a.end))
