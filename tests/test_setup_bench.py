"""What is noted for the bench, in the set-up: fasteners, marks, rings, and a ring to cut."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from test_sheet_action import choose, short_in, written
from whole_window import Bench

from desktop.edits import alike
from desktop.setup_bench_edits import rename_mark
from desktop.toml_text import table_of, toml_with
from solver.job_file import read_job

SHIPPED = Path(__file__).resolve().parent.parent / "stock_lists"
Opened = Callable[..., Bench]
CUT = ("ring", "cut")


def set_up(bench: Bench, *place: str | int) -> Any:
    """Turn to a place of the set-up. Returns its field."""
    bench.window.go_to(place or ("title",))
    bench.top.update()
    return bench.frame.middle.setup.form.fields[place or ("title",)]


def press(bench: Bench, text: str, nth: int = 0) -> None:
    """Press the nth button in the set-up that says so."""

    def buttons(widget: Any) -> list[Any]:
        mine = [widget] if widget.winfo_class() == "TButton" else []
        return [*mine, *(one for child in widget.winfo_children() for one in buttons(child))]

    found = [one for one in buttons(bench.frame.middle.setup) if str(one.cget("text")) == text]
    found[nth].invoke()
    bench.top.update()


def take(bench: Bench, *place: str | int) -> None:
    """Take a row away. place: of it."""
    bench.frame.middle.setup.bench.gone[place].invoke()
    bench.top.update()


def under(bench: Bench, *place: str | int) -> str:
    """What stands under the field of a place."""
    bench.settle()
    return str(bench.frame.middle.setup.form.lines[place].cget("text"))


def held(bench: Bench) -> Any:
    """The place of the field that the keyboard is on."""
    found = bench.frame.middle.setup._held()
    return found[0] if found else None


def table(bench: Bench) -> dict[str, Any]:
    """What the job says now."""
    now: dict[str, Any] = bench.desk.document.table
    return now


def test_a_fastener_is_added_filled_in_and_ticked(opened: Opened, tmp_path: Path) -> None:
    """Wishes are soft, a slip is told in the job's own words, and the sheet prints what it says."""
    job = short_in(tmp_path)
    bench = opened(job).start()
    set_up(bench)
    press(bench, "Add a fastener")
    assert held(bench) == ("fasteners", 4, "what")
    assert under(bench, "fasteners", 4, "what") == "Still to come: what is tightened"
    bench.type("drain plug")
    assert under(bench, "fasteners", 4, "torque").startswith("Still to come: its torque")
    torque = set_up(bench, "fasteners", 4, "torque")
    bench.put(torque, "35 mm")
    found = under(bench, "fasteners", 4, "torque")
    assert found.startswith(
        "found '35 mm', which is no torque, wanted a torque"
    ) and torque.entry.instate(["invalid"])
    bench.put(torque, "35 N.m")
    assert under(bench, "fasteners", 4, "torque") == ""
    assert not torque.entry.instate(["invalid"])
    tick = set_up(bench, "fasteners", 4, "checked")
    bench.press("space")
    bench.put(set_up(bench, "fasteners", 4, "note"), "new washer")
    fresh = {"what": "drain plug", "torque": "35 N.m", "checked": True, "note": "new washer"}
    assert table(bench)["fasteners"][4] == fresh and tick.ticked
    bench.settle()
    bench.answers = [tmp_path / "sheet.txt"]
    choose(bench, "Bench sheet…")
    text = written(bench, tmp_path / "sheet.txt")
    assert "drain plug" in text and "new washer" in text


def test_a_tick_that_is_no_tick_is_told(opened: Opened, tmp_path: Path) -> None:
    """checked = "yes" shows no tick, says so, and a press mends it."""
    job = short_in(tmp_path)
    text = job.read_text("utf-8")
    job.write_text(text.replace("checked = true ", 'checked = "yes"'), "utf-8")
    bench = opened(job).start()
    tick = set_up(bench, "fasteners", 0, "checked")
    assert not tick.ticked and "found 'yes'" in under(bench, "fasteners", 0, "checked")
    tick.box.invoke()
    assert under(bench, "fasteners", 0, "checked") == "" and tick.ticked
    tick.box.invoke()
    bench.settle()
    assert table(bench)["fasteners"][0]["checked"] is False and not tick.ticked


def test_what_is_taken_away_comes_back_by_undo(opened: Opened, tmp_path: Path) -> None:
    """One step each, and the file stays as it was, to the byte."""
    job = short_in(tmp_path)
    before = job.read_text("utf-8")
    bench = opened(job).start()
    was = table(bench)
    set_up(bench)
    take(bench, "fasteners", 1)
    assert [one["what"] for one in table(bench)["fasteners"]] == [
        "cap bolts", "cover screws", "flange nut",
    ]  # fmt: skip
    take(bench, "marks", "flange to shaft")
    assert list(table(bench)["marks"]) == ["left cap", "right cap", "thrust bearing"]
    press(bench, "Add a fastener")
    press(bench, "Add a mark")
    for _ in range(4):
        bench.window.undo()
        bench.settle()
    assert alike(table(bench), was) and list(table(bench)["marks"]) == list(was["marks"])
    fields = bench.frame.middle.setup.form.fields
    assert fields[("fasteners", 1, "what")].text.get() == "crown wheel bolts"
    assert fields[("marks", "flange to shaft", "name")].text.get() == "flange to shaft"
    bench.window.files.save()
    bench.settle()
    assert job.read_text("utf-8") == before


def test_a_row_that_is_typed_empty_stays_a_row(opened: Opened, tmp_path: Path) -> None:
    """Until it is taken away; a how that is empty is a blank to fill in at the bench."""
    bench = opened(short_in(tmp_path)).start()
    for key in ("what", "torque"):
        bench.put(set_up(bench, "fasteners", 2, key), "")
    assert table(bench)["fasteners"][2] == {} and len(table(bench)["fasteners"]) == 4
    assert under(bench, "fasteners", 2, "what") == "Still to come: what is tightened"
    bench.put(set_up(bench, "marks", "left cap"), "")
    assert table(bench)["marks"]["left cap"] == ""
    assert "what the set-up asks for the bench sheet" in bench.texts()


def test_a_mark_is_added_and_named(opened: Opened, tmp_path: Path) -> None:
    """The keyboard goes from its name on to how it is marked; two of one name are refused."""
    bench = opened(short_in(tmp_path)).start()
    set_up(bench)
    press(bench, "Add a mark")
    assert held(bench) == ("marks", "mark", "name")
    bench.type("spacer")
    bench.press("Return")
    assert held(bench) == ("marks", "spacer")
    bench.type("chamfer to the gear")
    assert table(bench)["marks"]["spacer"] == "chamfer to the gear"
    name = set_up(bench, "marks", "spacer", "name")
    bench.put(name, "left  cap")
    bench.press("Return")
    assert name.text.get() == "spacer" and list(table(bench)["marks"])[-1] == "spacer"
    bench.put(name, "sleeve")
    set_up(bench, "title")  # leaving the name is enough
    bench.settle()
    assert list(table(bench)["marks"])[-1] == "sleeve" and held(bench) == ("title",)
    bench.window.undo()
    assert list(table(bench)["marks"])[-1] == "spacer"


def test_as_many_as_a_sheet_holds(opened: Opened, tmp_path: Path) -> None:
    """Then there is no button for another."""
    bench = opened(short_in(tmp_path)).start()
    set_up(bench)
    for number in range(4, 16):
        press(bench, "Add a fastener")
        assert held(bench) == ("fasteners", number, "what")
    said = [str(one.cget("text")) for one in children(bench.frame.middle.setup)]
    assert "Add a fastener" not in said and "16 of them: as many as a sheet holds" in said


def children(widget: Any) -> list[Any]:
    """Everything in a widget that has a text."""
    mine = [widget] if widget.winfo_class() in ("TLabel", "TButton") else []
    return [*mine, *(one for child in widget.winfo_children() for one in children(child))]


def test_a_ring_of_its_own(opened: Opened, tmp_path: Path) -> None:
    """Added for a seat, refused where nothing is left of it, read by the job, taken away."""
    bench = opened(short_in(tmp_path)).start()
    set_up(bench)
    bench.frame.middle.setup.bench.another.pick("plain side")
    bench.top.update()
    assert held(bench) == ("ring", "plain side", "outside")
    bench.type("68")
    bench.put(set_up(bench, "ring", "plain side", "inside"), "70")
    bench.put(set_up(bench, "ring", "plain side", "clearance"), "0.4")
    found = under(bench, "ring", "plain side", "inside")
    assert found.startswith("found 70, with outside 68, wanted less than the outside")
    bench.put(set_up(bench, "ring", "plain side", "inside"), "52")
    bench.settle()
    rings = bench.window.inputs.job.bench.rings
    assert [(one.seat, one.outside_um, one.inside_um) for one in rings] == [
        ("", 72e3, 56e3), ("plain side", 68e3, 52e3),
    ]  # fmt: skip
    take(bench, "ring", "plain side")
    assert "plain side" not in table(bench)["ring"]
    for key in ("outside", "inside", "clearance"):
        bench.put(set_up(bench, "ring", key), "")
    assert "ring" not in table(bench)


def test_a_saved_file_reads_back_equal_with_its_comments(opened: Opened, tmp_path: Path) -> None:
    """New fasteners stand under headings of their own, marks keep their order."""
    job = short_in(tmp_path)
    bench = opened(job).start()
    set_up(bench)
    press(bench, "Add a fastener")
    bench.type("drain plug")
    bench.put(set_up(bench, "fasteners", 4, "torque"), "35 N.m")
    bench.put(set_up(bench, "marks", "left cap", "name"), "near cap")
    bench.press("Return")
    bench.put(set_up(bench, "ring", "outside"), "71.5")
    take(bench, "fasteners", 1)
    bench.settle()
    now = table(bench)
    bench.window.files.save()
    bench.settle()
    text = job.read_text("utf-8")
    assert alike(table_of(text), now)
    assert list(tomllib.loads(text)["marks"]) == [
        "flange to shaft", "near cap", "right cap", "thrust bearing",
    ]  # fmt: skip
    assert '"near cap" = "one punch mark, arrow to the wheel"' in text
    for kept in ("you have looked it up yourself", "in your own words", "a blank to fill in",
                 "measured on the bearing", "on the diameter: less outside"):  # fmt: skip
        assert kept in text
    assert text.count("[[fasteners]]") == 4 and "crown wheel" not in text
    read = read_job(tomllib.loads(text), "job.toml", tmp_path)
    assert read.bench.fasteners == bench.window.inputs.job.bench.fasteners


def test_a_first_fastener_gets_a_heading() -> None:
    """In a file that had none, and in a new one."""
    for source in ("", 'title = "x"  # mine\n'):
        new = {**table_of(source), "fasteners": [{"what": "nut", "torque": "9 N.m"}]}
        text, _ = toml_with(source, new)
        assert "[[fasteners]]\n" in text and alike(table_of(text), new)


def test_a_mark_renamed_keeps_its_comment_and_its_place() -> None:
    """Also where its words change with it and another is added."""
    source = '[marks]\n# by hand\na = "1"  # first\nb = "2"  # second\n\n[ring]\n'
    old = table_of(source)
    new = rename_mark("a", "c")(old)
    new = {**new, "marks": {**new["marks"], "c": "3", "d": ""}}
    text, kept = toml_with(source, new)
    assert kept and alike(table_of(text), new) and list(table_of(text)["marks"]) == ["c", "b", "d"]
    assert '# by hand\nc = "3"  # first\nb = "2"  # second\n' in text


def test_the_advised_thickness_stands_in_the_field(opened: Opened, tmp_path: Path) -> None:
    """As the menu turns there; left alone, the template is that of the answer."""
    bench = opened(short_in(tmp_path)).start()
    choose(bench, "Template to cut…")
    cut = set_up(bench, *CUT)
    assert bench.top.focus_get() == cut.entry and cut.text.get() == "1.06"
    assert "As the answer advises" in under(bench, *CUT)
    bench.answers = [tmp_path / "ring.pdf"]
    bench.frame.middle.setup.bench.write.invoke()
    text = written(bench, tmp_path / "ring.pdf")
    assert "Cut one of 1.060 mm" in text and "You asked for" not in text
    assert "asked for, not chosen" not in text and "71.40 mm" in text


def test_a_template_with_a_thickness_typed(opened: Opened, tmp_path: Path) -> None:
    """Of the seat that is picked, with its own ring; it says that no answer stands behind it."""
    bench = opened(short_in(tmp_path)).start()
    own = {"outside": 60, "inside": 40, "clearance": 1}
    bench.window.edited(
        lambda now: {**now, "ring": {**now["ring"], "plain side": own}}, ("ring",), False
    )
    bench.settle()
    cut = set_up(bench, *CUT)
    bench.put(cut, "0,41")
    assert under(bench, *CUT).startswith("Asked for, not chosen")
    bench.frame.middle.setup.bench.seat.pick("plain side")
    assert cut.text.get() == "0,41"
    bench.answers = [tmp_path / "ring.pdf"]
    bench.frame.middle.setup.bench.write.invoke()
    text = written(bench, tmp_path / "ring.pdf")
    assert "Cut one of 0.410 mm (16.1 thou) for the plain side" in text
    assert "59.00 mm" in text and "asked for, not chosen" in text


def test_a_refused_thickness_says_why(opened: Opened, tmp_path: Path) -> None:
    """In the words of the terminal; a bare number is in the unit that is shown."""
    bench = opened(short_in(tmp_path)).start()
    bench.window.set_unit("thou")
    cut = set_up(bench, *CUT)
    assert cut.text.get() == "41.73"
    for typed, words in (
        ("-16", "found '-16', wanted a length above 0; check its sign"),
        ("16 N.m", "found '16 N.m' with an unknown unit, wanted a length"),
        ("", "found nothing, wanted a length"),
    ):
        bench.put(cut, typed)
        bench.frame.middle.setup.bench.write.invoke()
        assert words in under(bench, *CUT) and cut.entry.instate(["invalid"])
    bench.put(cut, "16")
    assert not cut.entry.instate(["invalid"])
    bench.answers = [tmp_path / "ring.pdf"]
    bench.frame.middle.setup.bench.write.invoke()
    assert "Cut one of 16.0 thou (0.406 mm)" in written(bench, tmp_path / "ring.pdf")
    assert bench.asked == ["save bench_sheet-ring.pdf"]


def test_no_diameter_is_assumed(opened: Opened, tmp_path: Path) -> None:
    """Without a ring the template says so where it is asked for, and writes nothing."""
    job = short_in(tmp_path)
    text = job.read_text("utf-8")
    job.write_text(text[: text.index("[ring]")], "utf-8")
    bench = opened(job).start()
    set_up(bench, *CUT)
    bench.frame.middle.setup.bench.write.invoke()
    found = under(bench, *CUT)
    assert "wanted the size of the ring for the" in found and bench.asked == []
    assert not list(tmp_path.glob("*.pdf"))


def test_a_faulty_job_prints_no_ring(opened: Opened, tmp_path: Path) -> None:
    """Its first fault is said instead."""
    bench = opened(short_in(tmp_path)).start()
    bench.put(set_up(bench, "ring", "outside"), "7o")
    bench.settle()
    bench.put(set_up(bench, *CUT), "0.4")
    bench.frame.middle.setup.bench.write.invoke()
    assert "bench_sheet.toml: ring: outside: found '7o'" in under(bench, *CUT)
    assert bench.asked == []


def test_a_line_of_dimensions_has_rings_too(opened: Opened, tmp_path: Path) -> None:
    """Its own seats are offered, and no seat of an axle."""
    (tmp_path / "lay.csv").write_text("id,thickness,unit,within\nA,0.10,mm,0.002\n", "utf-8")
    (tmp_path / "lay.toml").write_text(LINE, "utf-8")
    bench = opened(tmp_path / "lay.toml").start()
    set_up(bench, "ring", "outside")
    part = bench.frame.middle.setup.bench
    offered = [part.another.menu.entrycget(k, "label") for k in range(2)]
    assert offered == ["front cover", "rear cover"]
    part.another.pick("rear cover")
    bench.top.update()
    assert held(bench) == ("ring", "rear cover", "outside")


LINE = """unit = "mm"
drawer = "lay.csv"
[dimensions]
case = { low = 83.95, high = 84.05 }
shaft = { drawn = 83.6, within = 0.02 }
[[lines]]
result = "end float"
low = 0.05
high = 0.20
terms = { case = 1, shaft = -1 }
seats = { "front cover" = -1, "rear cover" = -1 }
"""
