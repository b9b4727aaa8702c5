"""Edits of lines of dimensions, and where their arrows stand: pure functions, no window."""

from __future__ import annotations

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest
from fake_lines import LAYSHAFT, WINCH
from hypothesis import example, given
from hypothesis import strategies as st

from desktop.edits import fresh_line_table, fresh_table, value_at
from desktop.line_edits import (
    add_line,
    begin_line_alone,
    free_name,
    may_be_called,
    put_in,
    remove_line,
    rename,
    set_of_part,
    set_sign,
    set_way,
    take_out,
    turn,
)
from desktop.line_loop import chain
from desktop.line_table import ENDS, MIDDLE, drawn_um, lines_alone, read_um, seats_read
from desktop.toml_text import table_of, toml_with
from solver.job_file import read_job

PX = 1e-6  # of a pixel


def winch() -> dict[str, object]:
    """The winch's table, as the window reads it."""
    return table_of(WINCH)


def test_a_new_job_of_a_line_is_one_that_the_solver_knows() -> None:
    """All it misses is lengths, limits and a drawer: nothing in it is wrong."""
    from solver.trouble import Trouble

    with pytest.raises(Trouble) as caught:
        read_job(fresh_line_table(), "new", Path())
    assert {fault.place[0] for fault in caught.value.faults} <= {"lines", "readings"}
    assert all(fault.found.startswith("nothing") for fault in caught.value.faults)
    assert lines_alone(fresh_line_table()) and not lines_alone(fresh_table())
    assert begin_line_alone()(fresh_table("thou"))["unit"] == "thou"


def test_a_part_goes_where_it_is_put_and_leaves_no_trace() -> None:
    """Put in and taken out again the job is as it was, its order too."""
    table = winch()
    name = free_name(table, "terms")
    new = put_in(0, "terms", name, 1)(table)
    assert list(value_at(new, ("lines", 0, "terms"))) == ["frame", name, "drum", "washer"]
    assert free_name(new, "terms") != name
    back = take_out(0, "terms", name)(new)
    assert back == table and list(back["lines"][0]["terms"]) == ["frame", "drum", "washer"]


def test_what_another_line_has_stays() -> None:
    """A washer that two lines share keeps its tolerance until neither has it."""
    once = take_out(0, "terms", "washer")(winch())
    assert "washer" in once["dimensions"]
    assert "washer" not in take_out(1, "terms", "washer")(once)["dimensions"]
    left = remove_line(0)(winch())
    assert set(left["dimensions"]) == {"washer", "ratchet"} and left["readings"] == []
    assert "lines" not in remove_line(0)(left)


def test_a_seat_taken_out_was_not_fitted_either() -> None:
    """A reading that was taken with shims in it says no longer so."""
    left = take_out(0, "seats", "brake side")(winch())
    assert left["readings"][0]["fitted"] == {"ratchet side": 1.0}


def test_a_name_that_another_line_has_is_that_part() -> None:
    """Typed over a part's name it puts the shared one in its place; else every line is renamed."""
    table = add_line()(winch())
    table = put_in(2, "terms", "mine")(table)
    shared = rename(2, "terms", "mine", "drum")(table)
    assert list(shared["lines"][2]["terms"]) == ["drum"]
    assert shared["dimensions"] == table["dimensions"]
    renamed = rename(1, "terms", "washer", "shim washer")(winch())
    assert [list(line["terms"]) for line in renamed["lines"]] == [
        ["frame", "drum", "shim washer"], ["ratchet", "shim washer"],
    ]  # fmt: skip
    assert list(renamed["dimensions"]) == ["frame", "drum", "shim washer", "ratchet"]
    for name in ("washer", "end float", "backlash", "total clearance"):
        assert not may_be_called(winch(), 0, "terms", name), name
    assert may_be_called(winch(), 0, "terms", "ratchet")


def test_signs_turn_and_levers_keep_their_size() -> None:
    """+1 and -1 change into each other, 0.50 into -0.50 and back with its digits."""
    place = ("lines", 0, "terms", "drum")
    assert value_at(turn(place)(winch()), place) == 1
    assert value_at(set_sign(place, "-")(winch()), place) == -1
    lever = ("lines", 1, "terms", "ratchet")
    table = table_of(WINCH.replace("0.5,", "0.50,"))
    turned = turn(lever)(table)
    assert repr(value_at(turned, lever)) == "-0.50"
    assert repr(value_at(turn(lever)(turned), lever)) == "0.50"


def test_a_tolerance_said_another_way_is_the_same() -> None:
    """Ends and middle are turned into each other exactly; lengths with units are left alone."""
    table = table_of(LAYSHAFT)
    before = drawn_um(table, "case depth")
    middle = set_way("case depth", MIDDLE)(table)
    assert middle["dimensions"]["case depth"]["drawn"] == 84
    assert repr(middle["dimensions"]["case depth"]["within"]) == "0.05"
    assert drawn_um(middle, "case depth") == before == (84000.0, 50.0)
    again = set_way("case depth", ENDS)(middle)
    assert drawn_um(again, "case depth") == before
    spelt = table_of(LAYSHAFT.replace("low = 83.95", 'low = "83.95 mm"'))
    assert set_way("case depth", MIDDLE)(spelt) == spelt


def test_what_belongs_to_a_tolerance_goes_with_it() -> None:
    """Without low and high there is no shape, and k is the normal law's alone."""
    table = table_of(LAYSHAFT)
    even = set_of_part("front bearing", "shape", None)(table)
    assert set(even["dimensions"]["front bearing"]) == {"low", "high", "metal"}
    gone = set_of_part("front bearing", "low", None)(table)
    gone = set_of_part("front bearing", "high", None)(gone)
    assert gone["dimensions"]["front bearing"] == {"metal": "steel"}
    gone = set_of_part("front bearing", "metal", None)(gone)
    assert "front bearing" not in gone["dimensions"]


def test_what_is_read_is_found() -> None:
    """A part's own reading tells about how long it is; a line's own seats enter its reading."""
    table = table_of(LAYSHAFT)
    assert read_um(table, "shaft") == pytest.approx(60013.333, abs=0.001)
    assert read_um(table, "front bearing") is None
    assert seats_read(table, "end float") == ("front cover", "rear cover")
    assert seats_read(fresh_table(), "end float") == ("wheel side", "plain side")


def test_the_order_of_parts_goes_into_the_file(tmp_path: Path) -> None:
    """A part in the middle is written in the middle, and the job reads back as it stands."""
    table = put_in(0, "terms", "washer", 1)(table_of(LAYSHAFT))
    table = set_of_part("washer", "low", 1)(table)
    table = set_of_part("washer", "high", 2)(table)
    text, kept = toml_with(LAYSHAFT, table)
    assert kept and list(tomllib.loads(text)["lines"][0]["terms"])[:2] == ["case depth", "washer"]
    job = read_job(tomllib.loads(text), "lines.toml", tmp_path)
    assert [name for name, _ in job.lines[0].terms][:2] == ["case depth", "washer"]
    fresh, _ = toml_with("", fresh_line_table())
    assert "[[lines]]" in fresh


LENGTHS = st.floats(min_value=1.0, max_value=1e6)


@given(
    st.lists(st.tuples(st.one_of(st.none(), LENGTHS), st.sampled_from((1, -1))), max_size=40),
    st.one_of(st.none(), st.floats(min_value=-1e4, max_value=1e4)),
    st.floats(min_value=90.0, max_value=900.0),
)
@example([(120000.0, 1), (100.0, -1), (119700.0, -1)], 200.0, 300.0)
@example([(None, 1), (None, -1)], None, 120.0)
@example([(1.0, 1)] * 40, 40.0, 90.0)
@example([], None, 90.0)
def test_every_loop_closes_inside_its_room(
    told: list[tuple[float | None, int]], gap_um: float | None, wide: float
) -> None:
    """Arrows chain end to start and point as they count, none leaves the room, the gap closes."""
    lengths = [None if length is None else way * length for length, way in told]
    ways = [way for _, way in told]
    arrows, gap = chain(lengths, gap_um, ways, wide_px=wide, least_px=38.0)
    for one, after in pairwise(arrows):
        assert one.end == pytest.approx(after.start, abs=PX)
    for arrow, way in zip(arrows, ways, strict=True):
        assert arrow.way == way
        assert -PX <= min(arrow.start, arrow.end) <= max(arrow.start, arrow.end) <= wide + PX
    if arrows:
        assert gap.start == pytest.approx(arrows[0].start, abs=PX)
        assert gap.end == pytest.approx(arrows[-1].end, abs=PX)


def test_an_arrow_that_is_not_to_scale_is_broken() -> None:
    """120 mm beside 0.1 mm: the short ones are long enough to be seen, and say that they lie."""
    lengths = [120000.0, -100.0, -60000.0, -59700.0]
    arrows, gap = chain(lengths, 200.0, [1, -1, -1, -1], wide_px=400.0, least_px=38.0)
    assert arrows[1].broken and gap.broken and arrows[0].broken
    assert not arrows[2].broken and not arrows[3].broken
    assert all(abs(one.end - one.start) > 37.9 for one in (*arrows, gap))
    ratio = (arrows[2].start - arrows[2].end) / (arrows[3].start - arrows[3].end)
    assert ratio == pytest.approx(60000.0 / 59700.0)
