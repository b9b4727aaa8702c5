"""The job as the window edits it: what was typed keeps its digits, what was saved its comments."""

from __future__ import annotations

import os
from difflib import SequenceMatcher
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from desktop import edits
from desktop.disk import config_folder, state_folder
from desktop.document import (
    ChangedOnDisk,
    Document,
    Saved,
    changed_on_disk,
    new_document,
    open_document,
    open_drawer,
    save_document,
    save_drawer_as,
)
from desktop.drawer_edits import set_cell
from desktop.edits import Table, alike, set_at
from desktop.toml_text import table_of, toml_with
from desktop.typed import Number, shown_value, typed_length, typed_number
from solver.drawer_sheet import new_sheet
from solver.trouble import Trouble

JOB = """# Bench two
title  = "Orchard sprayer, rear bevel box"
unit   = "thou"                     # mm, um, in or thou
drawer = "drawer.csv"               # beside this file
[wanted]
chance = 0.95
most_shims = 4                      # in a seat that does not say

[seats]                             # both may be left out
"wheel side" = { under = "bearing", least = 1, most = 3 }
"plain side" = { under = "bearing" }
[limits]                            # from the maker's manual for this very unit
backlash = { low = 5.0, high = 8.0 }
pinch    = { low = 5.0, high = 8.0, counted = "total" }
[mesh]
transfer_ratio = { value = 0.720, within = 0.12 }   # from a trial
[tools.feelers]
within = 0.2                        # error common to every reading with it
repeat = 0.4
[tools.dial]
within = 0.2
step   = 0.1

[[readings]]
of = "total clearance"
tool = "feelers"
values = [51.0, 51.50, 51.0]        # three times
[[readings]]
of = "mesh gap"
tool = "feelers"
goes = 24.0                         # bright leaf
stops = 25.0
[[readings]]                        # a trial fit
of = "backlash"
tool = "dial"
fitted = { "wheel side" = 18.0, "plain side" = 39.0 }   # as it came
values = [5.6, 5.9, 5.4]
"""
DRAWER = "id,thickness,unit,count,maker's bin\nA1,18.0,thou,2,left\nA2, 19.0,thou,2,right\n"


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    """A job and its drawer on disk."""
    (tmp_path / "drawer.csv").write_text(DRAWER, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def saved(outcome: Saved | ChangedOnDisk) -> Document:
    """The document of a save that must have succeeded."""
    assert isinstance(outcome, Saved), outcome
    return outcome.document


def after(document: Document, *changes: edits.Edit) -> Document:
    """A document after some edits."""
    return document.edited(edits.together(*changes))


# What was typed


@pytest.mark.parametrize(
    ("text", "kept"),
    [("24", 24), ("24.50", "24.50"), ("0,25", "0.25"), (".5", "0.5"), ("-1.0", "-1.0"), ("007", 7)],
)
def test_plain_numbers(text: str, kept: object) -> None:
    """A plain number is kept as a number with its digits, comma or point."""
    value = typed_length(text, "thou")
    assert isinstance(value, int | Number)
    assert str(value) == str(kept)


@pytest.mark.parametrize("text", ["36 1/2", "0.93 mm", "1,250", "abc", "1e3", "nan", "2..5", "-"])
def test_other_text(text: str) -> None:
    """What is no plain number is kept as the text it is, for its reader to judge."""
    assert typed_length(text, "thou") == text


def test_empty_field() -> None:
    """An empty field is no value, and putting no value takes the key away."""
    assert typed_length("  ", "mm") is None
    table = set_at(("readings", 1, "goes"), typed_number(""))(table_of(JOB))
    assert "goes" not in table["readings"][1]


def test_field_in_another_unit() -> None:
    """A number typed into a field shown in another unit is kept as text with that unit."""
    assert typed_length("0.93", "thou", "mm") == "0.93 mm"
    assert typed_length("36 1/2", "mm", "thou") == "36 1/2 thou"
    assert typed_length("0.93 mm", "thou", "in") == "0.93 mm"


def test_shown_in_another_unit() -> None:
    """Shown in another unit a length is converted; in its own it keeps the digits it was typed in.

    Source: 1 thou is 25.4 µm exactly (NIST SP 811, B.8): 24.50 thou is 0.6223 mm.
    """
    assert shown_value(Number("24.50"), "thou", "mm") == "0.6223"
    assert shown_value(Number("24.50"), "thou") == "24.50"
    assert shown_value("0.930 mm", "thou", "mm") == "0.930"
    assert shown_value("0.9x", "thou", "mm") == "0.9x"
    assert shown_value(None, "mm") == ""


@given(
    st.decimals(min_value=0, max_value=9999, places=3, allow_nan=False).map(str),
    st.sampled_from(["mm", "thou", "in", "um"]),
    st.sampled_from(["mm", "thou", "in", "um"]),
)
def test_what_a_field_shows_is_what_was_typed(text: str, unit: str, shown: str) -> None:
    """A field shows again the very digits typed into it, whatever the job's unit is."""
    assert shown_value(typed_length(text, unit, shown), unit, shown) == text


# Edits


def test_edits_leave_the_old_table() -> None:
    """An edit makes a new table and leaves the old one as it was."""
    table, same = table_of(JOB), table_of(JOB)
    for edit in (
        set_at(("readings", 0, "values", 1), 52),
        edits.remove_at(("limits", "pinch")),
        edits.add_reading("end float", "dial"),
        edits.repeat_reading(2),
        edits.remove_reading(0),
        edits.move_reading(0, 2),
        edits.switch_reading(1, on=False),
        edits.take_as(1, "values"),
        edits.rename_tool("dial", "clock"),
        edits.set_tool("mike", kind="micrometer"),
        edits.remove_tool("dial"),
    ):
        assert not alike(edit(table), table)
        assert alike(table, same)


def test_digits_are_a_difference() -> None:
    """24.5 and 24.50 are not alike to the one who typed them, nor 1 and true."""
    assert not alike({"a": Number("24.5")}, {"a": Number("24.50")})
    assert not alike([1], [True])
    assert alike({"a": Number("nan"), "b": 1}, {"b": 1, "a": Number("nan")})


def test_repeat_reading() -> None:
    """A repeated reading asks for the same thing with the same tool and has found nothing."""
    table = edits.repeat_reading(2)(edits.switch_reading(2, on=False)(table_of(JOB)))
    fresh = table["readings"][3]
    assert fresh == {"of": "backlash", "tool": "dial", "fitted": table["readings"][2]["fitted"]}


def test_switch_reading() -> None:
    """A reading switched off is marked so, and switched on again is as it was."""
    table = table_of(JOB)
    off = edits.switch_reading(1, on=False)(table)
    assert off["readings"][1]["off"] is True
    assert alike(edits.switch_reading(1, on=True)(off), table)


def test_take_as() -> None:
    """A reading taken another way keeps nothing of the ways before."""
    table = set_at(("readings", 1, "at_most"), 3)(edits.take_as(1, "at_most")(table_of(JOB)))
    assert table["readings"][1] == {"of": "mesh gap", "tool": "feelers", "at_most": 3}


def test_set_found() -> None:
    """Repeats are put as a list, a single one stays single where the file has it so."""
    table = table_of('[[readings]]\nof = "mesh gap"\nvalue = 5\n')
    assert edits.set_found(0, [6])(table)["readings"][0]["value"] == 6
    many = edits.set_found(0, [6, 7])(table)["readings"][0]
    assert many == {"of": "mesh gap", "values": [6, 7]}
    assert edits.found_of(many) == [6, 7]
    assert edits.found_of(table["readings"][0]) == [5]


def test_tables_on_the_way_are_made() -> None:
    """A value can be put where neither its table nor its list is yet, or something else stands."""
    assert set_at(("a", "b", 0), 1)({"a": 5}) == {"a": {"b": [1]}}
    assert set_at(("a", 1), 2)({"a": 1}) == {"a": [1, 2]}
    with pytest.raises(IndexError):
        set_at(("a", 3), 2)({"a": 1})


def test_taking_away_what_is_not_there() -> None:
    """Taking away what is not there changes nothing; a list left empty goes too."""
    table = {"a": {"b": [1]}, "c": 2}
    for place in (("x",), ("a", "x"), ("a", "b", 5), ("c", "d"), ("a", "b", 0, "e")):
        assert alike(edits.remove_at(place)(table), table)
    assert edits.remove_at(("a", "b", 0))(table) == {"a": {}, "c": 2}


def test_rename_tool() -> None:
    """A tool renamed keeps its place, and the readings taken with it follow."""
    table = edits.rename_tool("feelers", "leaves")(table_of(JOB))
    assert list(table["tools"]) == ["leaves", "dial"]
    assert [one["tool"] for one in table["readings"]] == ["leaves", "leaves", "dial"]


# Text


@pytest.mark.parametrize(
    ("edit", "changed_lines"),
    [
        (set_at(("readings", 1, "goes"), Number("24.50")), 1),
        (set_at(("readings", 0, "values", 1), "1.31 mm"), 1),
        (edits.remove_at(("readings", 0, "values", 2)), 1),
        (set_at(("limits", "pinch", "high"), 9), 1),
        (edits.remove_at(("wanted", "most_shims")), 1),
        (edits.switch_reading(2, on=False), 1),
        (edits.remove_reading(1), 5),
        (edits.remove_reading(0), 4),
        (edits.repeat_reading(1), 3),
        (edits.remove_tool("feelers"), 3),
        (set_at(("words",), "US"), 2),
    ],
)
def test_untouched_lines_stay(edit: edits.Edit, changed_lines: int) -> None:
    """An edit changes its own lines of the file and not one character of the others."""
    table = edit(table_of(JOB))
    text, kept = toml_with(JOB, table)
    assert kept
    assert alike(table_of(text), table)
    same = SequenceMatcher(None, JOB.splitlines(), text.splitlines(), False).get_matching_blocks()
    kept_lines = sum(block.size for block in same)
    assert max(len(JOB.splitlines()), len(text.splitlines())) - kept_lines == changed_lines


def test_comment_beside_a_changed_value_stays() -> None:
    """A comment on the line of a changed value stays on it."""
    text, _ = toml_with(JOB, set_at(("readings", 1, "goes"), "0.61 mm")(table_of(JOB)))
    line = next(line for line in text.splitlines() if line.startswith("goes"))
    assert line.startswith('goes = "0.61 mm"')
    assert line.endswith("# bright leaf")


def test_comment_over_the_next_reading_stays() -> None:
    """A reading taken out leaves the comment that stands over the next one's heading."""
    text = JOB.replace(
        "[[readings]]                        # a trial fit", "# trial\n\n[[readings]]"
    )
    for gone in ([1], [0, 0], [1, 0]):
        table = edits.together(*map(edits.remove_reading, gone))(table_of(text))
        new, kept = toml_with(text, table)
        assert kept
        assert '# trial\n\n[[readings]]\nof = "backlash"' in new


def test_same_table_same_text() -> None:
    """A table that was not changed gives the very text it came from."""
    odd = "\ufeff# x\r\ntitle='a'\r\n\r\nunit   =\"mm\"  \r\n"
    assert toml_with(odd, table_of(odd)) == (odd, True)


def test_line_ends_and_mark_stay() -> None:
    """A file with a mark at its head and the line ends of Windows keeps both."""
    odd = "\ufeff" + JOB.replace("\n", "\r\n")
    text, _ = toml_with(odd, edits.add_reading("end float")(table_of(odd)))
    assert text.startswith("\ufeff#")
    assert text.count("\n") == text.count("\r\n")


def test_tables_out_of_order() -> None:
    """A file whose tables stand out of order still saves what its table says."""
    odd = "[tools.a]\nkind='dial'\n[mesh]\nx=1\n[tools.b]\nkind='dial'\n[[readings]]\nof='a'\n"
    for edit in (edits.remove_tool("a"), set_at(("tools", "b", "step"), 3), edits.add_reading("z")):
        table = edit(table_of(odd))
        assert alike(table_of(toml_with(odd, table)[0]), table)


words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
numbers = st.decimals(-999, 999, places=2, allow_nan=False).map(lambda d: Number(str(d)))
plain = st.one_of(words, numbers, st.integers(-(10**6), 10**6), st.booleans())
places = st.sampled_from(
    [
        ("title",), ("note",), ("wanted", "chance"), ("limits", "pinch", "low"),
        ("layout", "wheel"),
        ("limits", "new", "low"), ("tools", "dial", "step"), ("tools", "new", "kind"),
        ("readings", 0, "of"), ("readings", 1, "goes"), ("readings", 0, "fitted", "wheel side"),
        ("readings", 0, "values", 0), ("seats",), ("mesh", "transfer_ratio"),
    ]
)  # fmt: skip
number = st.integers(0, 9)


def at_some(edit: object) -> object:
    """An edit of whichever reading there is at a number, or none where there are none."""

    def build(place: int) -> edits.Edit:
        def apply(table: Table) -> Table:
            count = len(edits.readings_of(table))
            return edit(place % count)(table) if count else table  # type: ignore[operator]

        return apply

    return build


def settable(place: tuple[str | int, ...], value: object) -> edits.Edit:
    """A value put at a place, unless its reading is not there."""

    def apply(table: Table) -> Table:
        if place[0] == "readings" and int(place[1]) >= len(edits.readings_of(table)):
            return table
        return set_at(place, value)(table)

    return apply


some_edit = st.one_of(
    st.builds(settable, places, st.one_of(st.none(), plain)),
    st.builds(settable, places, st.lists(plain, min_size=1, max_size=3)),
    st.builds(edits.add_reading, words),
    number.map(at_some(edits.repeat_reading)),  # type: ignore[arg-type]
    number.map(at_some(edits.remove_reading)),  # type: ignore[arg-type]
    number.map(at_some(lambda n: edits.switch_reading(n, on=False))),  # type: ignore[arg-type]
    number.map(at_some(lambda n: edits.move_reading(n, 0))),  # type: ignore[arg-type]
    st.just(edits.remove_tool("feelers")),
    st.just(edits.remove_at(("mesh",))),
)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([JOB, ""]), st.lists(some_edit, max_size=6))
@example(JOB, [edits.remove_reading(0), edits.remove_reading(0), edits.remove_reading(0)])
def test_round_trip(source: str, changes: list[edits.Edit]) -> None:
    """Whatever was edited, the text saved loads as the table that was saved."""
    table = edits.together(*changes)(table_of(source))
    text, _ = toml_with(source, table)
    assert alike(table_of(text), table)
    assert alike(table_of(toml_with(text, table_of(source))[0]), table_of(source))


@settings(max_examples=40, deadline=None)
@given(places, plain)
def test_one_value_one_place(place: tuple[str | int, ...], value: object) -> None:
    """One value put leaves every comment of the file in it, except at a table it replaces."""
    text, kept = toml_with(JOB, set_at(place, value)(table_of(JOB)))
    assert kept
    missing = [
        line for line in JOB.splitlines()
        if "#" in line and line[line.index("#") :] not in text
    ]  # fmt: skip
    assert len(missing) <= (1 if place in (("seats",), ("mesh", "transfer_ratio")) else 0)


# Files


def test_open(job_path: Path) -> None:
    """A job opens with its drawer and nothing to save."""
    document = open_document(job_path)
    assert document.sheet is not None
    assert document.sheet.cell(1, "id") == "A2"
    assert not document.unsaved
    assert changed_on_disk(document) is None


def test_save_one_change(job_path: Path) -> None:
    """Saving one change writes that line of the job and leaves the drawer's bytes alone."""
    document = after(open_document(job_path), set_at(("readings", 1, "goes"), Number("24.50")))
    before = (job_path.parent / "drawer.csv").stat().st_mtime_ns
    document = saved(save_document(document))
    assert not document.unsaved
    text = job_path.read_text("utf-8")
    assert text == JOB.replace("goes = 24.0 ", "goes = 24.50 ")
    assert (job_path.parent / "drawer.csv").stat().st_mtime_ns == before
    assert alike(open_document(job_path).table, document.table)


def test_save_drawer(job_path: Path) -> None:
    """An edited drawer is saved with its unknown columns; rows not edited keep every character."""
    document = open_document(job_path)
    assert document.sheet is not None
    document = document.at(document.table, set_cell(document.sheet, 0, 3, "7"))
    assert document.drawer_unsaved
    assert not document.job_unsaved
    assert not saved(save_document(document)).unsaved
    expected = DRAWER.replace("18.0,thou,2", "18.0,thou,7")
    assert (job_path.parent / "drawer.csv").read_text("utf-8") == expected


def test_changed_by_another(job_path: Path) -> None:
    """A job changed by another program is not saved over unless told to."""
    document = after(open_document(job_path), set_at(("title",), "mine"))
    job_path.write_text("# theirs\n" + JOB, encoding="utf-8")
    assert changed_on_disk(document) == ChangedOnDisk((job_path,))
    refused = save_document(document)
    assert refused == ChangedOnDisk((job_path,))
    assert "job.toml was changed by another program" in refused.words
    assert job_path.read_text("utf-8").startswith("# theirs")
    document = saved(save_document(document, anyway=True))
    assert 'title  = "mine"' in job_path.read_text("utf-8")
    assert changed_on_disk(document) is None


def test_drawer_changed_by_another(job_path: Path) -> None:
    """A drawer changed by another program stops the whole save: nothing is written."""
    document = open_document(job_path)
    assert document.sheet is not None
    document = document.at(
        set_at(("title",), "m")(document.table), set_cell(document.sheet, 0, 3, "9")
    )
    drawer = job_path.parent / "drawer.csv"
    drawer.write_text(DRAWER + "A3,20,thou,1,\n", encoding="utf-8")
    assert save_document(document) == ChangedOnDisk((drawer,))
    assert job_path.read_text("utf-8") == JOB


def test_touched_only(job_path: Path) -> None:
    """A file that was only touched, or rewritten with the same words, is not called changed."""
    document = open_document(job_path)
    os.utime(job_path, (1, 1))
    assert changed_on_disk(document) is None


def test_same_size_same_time(job_path: Path) -> None:
    """A change that keeps size and time is noticed all the same."""
    document = open_document(job_path)
    at_ns = job_path.stat().st_mtime_ns
    job_path.write_text(JOB.replace("24.0", "23.0"), encoding="utf-8")
    os.utime(job_path, ns=(at_ns, at_ns))
    assert changed_on_disk(document) == ChangedOnDisk((job_path,))


def test_deleted(job_path: Path) -> None:
    """A job whose file was deleted is noticed, and saving makes it again."""
    document = after(open_document(job_path), set_at(("title",), "mine"))
    job_path.unlink()
    assert changed_on_disk(document) is not None
    saved(save_document(document))
    assert 'title  = "mine"' in job_path.read_text("utf-8")


def test_save_as_elsewhere(job_path: Path, tmp_path: Path) -> None:
    """Saved in another folder a job still finds its drawer, and keeps its comments."""
    folder = tmp_path / "later"
    folder.mkdir()
    document = saved(save_document(open_document(job_path), folder / "copy.toml"))
    assert document.table["drawer"] == "../drawer.csv"
    again = open_document(folder / "copy.toml")
    assert again.sheet is not None
    assert "# bright leaf" in again.source
    assert job_path.read_text("utf-8") == JOB


def test_save_over_a_stranger(job_path: Path) -> None:
    """Saving under a name that is taken says so first."""
    other = job_path.with_name("other.toml")
    other.write_text("title = 'theirs'\n", encoding="utf-8")
    refused = save_document(open_document(job_path), other)
    assert refused == ChangedOnDisk((other,), strange=True)
    assert refused.words == "other.toml was there already"
    assert other.read_text("utf-8") == "title = 'theirs'\n"


def test_new_job(tmp_path: Path) -> None:
    """A new job has nothing to save until it is edited, and no limits of ours."""
    document = new_document("thou")
    assert not document.unsaved
    assert "limits" not in document.table
    with pytest.raises(ValueError, match="wants a path"):
        save_document(document)
    document = document.at(set_at(("title",), "Late one")(document.table), new_sheet())
    document = saved(save_document(document, tmp_path / "a.toml"))
    assert open_document(tmp_path / "a.toml").table["drawer"] == "drawer.csv"
    assert (tmp_path / "drawer.csv").exists()


def test_new_drawer_beside_a_stranger(job_path: Path) -> None:
    """A new drawer takes a name of its own where another's drawer lies already."""
    document = new_document().at(new_document().table, new_sheet())
    document = saved(save_document(document, job_path.with_name("b.toml")))
    assert document.table["drawer"] == "b-drawer.csv"
    assert (job_path.parent / "drawer.csv").read_text("utf-8") == DRAWER


def test_drawer_that_cannot_be_read(job_path: Path) -> None:
    """A drawer that cannot be read leaves its fault; the job opens and never saves over it."""
    drawer = job_path.parent / "drawer.csv"
    drawer.write_bytes(b"\x00\x01\x02")
    document = open_document(job_path)
    assert document.sheet is None
    assert document.drawer_faults
    document = document.at(document.table, new_sheet())
    assert save_document(document) == ChangedOnDisk((drawer,))
    assert drawer.read_bytes() == b"\x00\x01\x02"


def test_another_drawer(job_path: Path) -> None:
    """Taking another drawer names it in the job, from the job's own folder."""
    other = job_path.parent / "stock" / "van.csv"
    other.parent.mkdir()
    other.write_text(DRAWER, encoding="utf-8")
    document = open_drawer(open_document(job_path), other)
    assert document.table["drawer"] == "stock/van.csv"
    assert document.job_unsaved
    assert not document.drawer_unsaved


def test_drawer_saved_as(job_path: Path) -> None:
    """A drawer saved under another name is the job's from then on; what is there is asked about."""
    opened = open_document(job_path)
    other = job_path.with_name("van.csv")
    other.write_text("theirs", encoding="utf-8")
    assert save_drawer_as(opened, other) == ChangedOnDisk((other,), strange=True)
    document = saved(save_drawer_as(opened, other, anyway=True))
    assert other.read_text("utf-8") == DRAWER
    assert document.table["drawer"] == "van.csv"
    assert document.job_unsaved
    assert not document.drawer_unsaved
    with pytest.raises(ValueError, match="no drawer"):
        save_drawer_as(new_document(), other)


@pytest.mark.parametrize("data", [b"title = ", b"\xff\xfe\x00", b"a = [" * 3000, b"a=1\na=2"])
def test_files_that_are_no_job(tmp_path: Path, data: bytes) -> None:
    """A file that is no TOML is a trouble in the words of every door."""
    path = tmp_path / "bad.toml"
    path.write_bytes(data)
    with pytest.raises(Trouble, match=r"bad\.toml"):
        open_document(path)


def test_folder_that_cannot_be_written(job_path: Path) -> None:
    """A save that the disk refuses is a trouble, and the document is still unsaved."""
    document = after(open_document(job_path), set_at(("title",), "mine"))
    with pytest.raises(Trouble):
        save_document(document, job_path.parent / "no such folder" / "job.toml")
    assert document.unsaved
    assert job_path.read_text("utf-8") == JOB


def test_half_done_save_can_be_done_again(job_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """After a save that wrote the drawer and failed at the job, saving again succeeds."""
    from desktop import document as room

    opened = open_document(job_path)
    assert opened.sheet is not None
    edited = opened.at(set_at(("title",), "mine")(opened.table), set_cell(opened.sheet, 0, 3, "5"))
    whole = room.replace_bytes

    def full_disk(path: Path, data: bytes) -> None:
        if path == job_path:
            raise OSError("no space left")
        whole(path, data)

    monkeypatch.setattr(room, "replace_bytes", full_disk)
    with pytest.raises(OSError, match="no space"):
        save_document(edited)
    monkeypatch.setattr(room, "replace_bytes", whole)
    assert not saved(save_document(edited)).unsaved


def test_own_folders() -> None:
    """Drafts and settings lie where each system keeps such things."""
    home = Path("/home/u")
    assert state_folder(platform="linux", given={}, home=home) == home / ".local/state/shimwright"
    assert config_folder(platform="linux", given={}, home=home) == home / ".config/shimwright"
    xdg = {"XDG_STATE_HOME": "/s", "XDG_CONFIG_HOME": "not/absolute"}
    assert state_folder(platform="linux", given=xdg, home=home) == Path("/s/shimwright")
    assert config_folder(platform="linux", given=xdg, home=home) == home / ".config/shimwright"
    mac = state_folder(platform="darwin", given={}, home=home)
    assert mac == home / "Library/Application Support/shimwright"
    roaming = {"APPDATA": "/roaming"}
    assert state_folder(platform="win32", given=roaming, home=home) == Path("/roaming/shimwright")
