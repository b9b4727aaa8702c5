"""Job files: read whole, refused whole, nothing filled in silently."""

from __future__ import annotations

import copy
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job
from solver.job_file import load_table, read_job
from solver.trouble import Fault, Trouble

THOU_UM = 25.4
Table = dict[str, object]


def example() -> Table:
    """A small sound job in thou, as tomllib gives it; a new one each time."""
    table: Table = {
        "title": "Hedge cutter",
        "unit": "thou",
        "wanted": {"chance": 0.9, "most_shims": 3},
        "seats": {
            WHEEL_SIDE: {"under": "bearing", "least": 1, "most": 3},
            PLAIN_SIDE: {"under": "cover"},
        },
        "limits": {
            "backlash": {"low": 5.0, "high": 8.0},
            "pinch": {"low": 5.0, "high": 8.0, "counted": "total"},
        },
        "mesh": {
            "transfer_ratio": {"value": 0.72, "within": 0.12},
            "pinch_share": {"value": 0.5, "within": 0.2},
        },
        "tools": {
            "feelers": {"within": 0.2, "repeat": 0.4, "step": 0.5, "joint": 0.3},
            "dial": {"within": 0.2, "repeat": 0.3, "step": 0.1, "joint": 0.3},
            "micrometer": {"within": 0.1, "repeat": 0.05, "step": 0.1, "joint": 0.3},
        },
        "readings": [
            {"of": "total clearance", "tool": "feelers", "values": [51.0, 51.5, 51.0]},
            {"of": "mesh gap", "tool": "feelers", "goes": 24.0, "stops": 25.0},
        ],
    }
    return copy.deepcopy(table)


def read(table: Table) -> Job:
    """The job of a table."""
    return read_job(table, "job.toml", Path())


def faults_of(table: Table) -> tuple[Fault, ...]:
    """The faults that a table is refused with."""
    with pytest.raises(Trouble) as refused:
        read(table)
    return refused.value.faults


def changed(place: tuple[str | int, ...], value: object) -> Table:
    """The example with one value put in, or taken out where it is None."""
    table = example()
    at: object = table
    for part in place[:-1]:
        at = at[part]  # type: ignore[index]
    if value is None:
        del at[place[-1]]  # type: ignore[attr-defined]
    else:
        at[place[-1]] = value  # type: ignore[index]
    return table


def test_a_sound_job_is_read_in_micrometres() -> None:
    """Lengths come out in µm, seats with their sign, tools where a reading names them."""
    job = read(example())
    assert job.limit("backlash").low_um == pytest.approx(5.0 * THOU_UM)
    assert [seat.sign for seat in job.seats] == [1, -1]
    assert job.seats[1].most == 3
    assert job.readings[0].values_um == pytest.approx([51 * THOU_UM, 51.5 * THOU_UM, 51 * THOU_UM])
    assert job.readings[1].tool == job.tools[0]
    assert job.readings[1].stops_um == pytest.approx(25 * THOU_UM)


@pytest.mark.parametrize(
    ("text", "um"),
    [("0.93 mm", 930.0), ("0,93 mm", 930.0), ("36 1/2 thou", 927.1), ("0.0365 in", 927.1)],
)
def test_lengths_may_carry_their_unit(text: str, um: float) -> None:
    """Text with a unit counts in that unit, whatever the job's. Source: 1 in = 25.4 mm, exact."""
    table = changed(("readings", 0, "values"), [text])
    assert read(table).readings[0].values_um == pytest.approx([um])


def test_each_side_counts_double() -> None:
    """A pinch counted each side is held to twice the figure in total."""
    table = changed(("limits", "pinch", "counted"), "each side")
    limit = read(table).limit("pinch")
    assert (limit.low_um, limit.high_um) == pytest.approx((10 * THOU_UM, 16 * THOU_UM))


def test_an_end_float_is_a_pinch_below_nothing() -> None:
    """An end float of 2 to 4 is a pinch of -4 to -2."""
    table = changed(("limits", "pinch"), None)
    table["limits"]["end_float"] = {"low": 2.0, "high": 4.0}  # type: ignore[index]
    limit = read(table).limit("pinch")
    assert (limit.low_um, limit.high_um) == pytest.approx((-4 * THOU_UM, -2 * THOU_UM))


def test_no_limit_has_to_be_said() -> None:
    """A limit left out is a fault; 'no limit' is an answer."""
    (fault,) = faults_of(changed(("limits", "backlash"), None))
    assert fault.place == ("limits", "backlash")
    free = read(changed(("limits", "backlash"), "no limit")).limit("backlash")
    assert (free.low_um, free.high_um) == (-math.inf, math.inf)


def test_what_is_assumed_is_listed() -> None:
    """Every default that stands in for a missing figure is said."""
    table = example()
    del table["mesh"], table["seats"], table["wanted"]
    table["tools"] = {"feelers": {}}
    table["readings"][0]["tool"] = "feelers"  # type: ignore[index]
    said = "\n".join(read(table).assumed)
    for words in (
        "transfer ratio 0.75 within 0.25",
        "pinch share 0.5 within 0.25",
        "wanted chance 0.95",
        "wheel side: shims under the bearing",
        "feelers: within",
    ):
        assert words in said
    assert "0.75" not in "\n".join(read(example()).assumed)


def test_the_share_is_wider_under_a_cover() -> None:
    """With a cover on one side the assumed pinch share is 0.5 within 0.35."""
    job = read(changed(("mesh", "pinch_share"), None))
    assert (job.mesh.share, job.mesh.share_within) == (0.5, 0.35)


BAD: list[tuple[tuple[str | int, ...], object]] = [
    (("unit",), None),
    (("unit",), "furlong"),
    (("title",), 5),
    (("wanted", "chance"), 95),
    (("wanted", "chance"), math.nan),
    (("limits", "backlash", "low"), 9.0),
    (("limits", "backlash", "low"), math.nan),
    (("limits", "backlash", "high"), math.inf),
    (("limits", "backlash", "high"), "3 kg"),
    (("limits", "backlash", "high"), True),
    (("limits", "pinch", "counted"), None),
    (("limits", "pinch", "counted"), "both"),
    (("seats", WHEEL_SIDE, "under"), "beering"),
    (("seats", WHEEL_SIDE, "least"), 4),
    (("seats", WHEEL_SIDE, "most"), -1),
    (("seats", "left"), {}),
    (("tools", "feelers", "repeat"), 0.0),
    (("tools", "feelers", "within"), -0.1),
    (("tools", "gizmo"), {}),
    (("mesh", "transfer_ratio", "value"), -0.7),
    (("mesh", "transfr_ratio"), {"value": 0.7, "within": 0.1}),
    (("readings",), []),
    (("readings",), {"of": "mesh gap"}),
    (("readings", 0, "of"), "totl clearance"),
    (("readings", 0, "tool"), "feelrs"),
    (("readings", 0, "values"), []),
    (("readings", 0, "values"), ["abc"]),
    (("readings", 0, "values"), None),
    (("readings", 0, "leaves"), 0),
    (("readings", 0, "goes"), 20.0),
    (("readings", 0, "fitted"), {WHEEL_SIDE: 18.0}),
    (("readings", 1, "stops"), 23.0),
    (("readings", 1, "stops"), "25 degrees"),
    (("readngs",), []),
]


@pytest.mark.parametrize(("place", "value"), BAD, ids=lambda part: str(part)[:40])
def test_bad_input_is_refused_at_its_place(place: tuple[str | int, ...], value: object) -> None:
    """A bad value gives a fault at its place, with what was found, wanted and the way out."""
    faults = faults_of(changed(place, value))
    shared = min(len(place), 2)
    assert any(fault.place[:shared] == place[:shared] for fault in faults), faults
    for fault in faults:
        assert fault.where.startswith("job.toml")
        assert fault.found and fault.wanted and fault.way_out
        assert "\n" not in str(fault)


def test_every_fault_is_said_at_once() -> None:
    """Three slips give three faults, not one."""
    table = changed(("unit",), "furlong")
    table["wanted"]["chance"] = 95  # type: ignore[index]
    table["readings"][1]["of"] = "mesh gab"  # type: ignore[index]
    places = {fault.place for fault in faults_of(table)}
    assert {("unit",), ("wanted", "chance"), ("readings", 1, "of")} <= places


def test_a_fault_word_for_word() -> None:
    """The line that a person reads, to the letter."""
    (fault,) = faults_of(changed(("readings", 0, "tool"), "feelrs"))
    assert str(fault) == (
        'job.toml: reading 1: tool: found \'feelrs\', wanted one of "feelers", "dial", '
        '"micrometer"; did you mean "feelers"'
    )


def test_a_backlash_of_nothing_is_a_jam() -> None:
    """A backlash of 0 is refused as a value, with the one-sided reading as the way out."""
    trial = {
        "of": "backlash",
        "tool": "dial",
        "value": 0,
        "fitted": {WHEEL_SIDE: 18.0, PLAIN_SIDE: 39.0},
    }
    table = example()
    table["readings"].append(trial)  # type: ignore[attr-defined]
    (fault,) = faults_of(table)
    assert "at_most" in fault.way_out
    del trial["value"]
    trial["at_most"] = 0
    assert read(table).readings[2].at_most_um == 0.0


def test_a_quantity_without_reading_is_named() -> None:
    """Without anything that settles the mesh gap, the fault names it."""
    table = example()
    del table["readings"][1]  # type: ignore[attr-defined]
    assert any("mesh gap" in str(fault) for fault in faults_of(table))


def test_a_reading_left_out_is_not_used() -> None:
    """A reading switched off keeps its number and is not among the job's readings."""
    table = example()
    table["readings"].append({**table["readings"][0], "off": True})  # type: ignore[attr-defined, index]
    job = read(table)
    assert (len(job.readings), job.left_out) == (2, (3,))


@pytest.mark.parametrize(
    ("content", "words"),
    [(None, "no such file"), (b"\xff\xfe\x00", "not UTF-8"), (b"a = 1\nunit = x\n", "line 2")],
)
def test_a_file_that_is_no_job(tmp_path: Path, content: bytes | None, words: str) -> None:
    """Missing, binary or broken files are one fault each, with the line where there is one."""
    path = tmp_path / "job.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(Trouble) as refused:
        load_table(path)
    (fault,) = refused.value.faults
    assert words in str(fault)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    """A gigabyte is refused by its size alone."""
    path = tmp_path / "job.toml"
    with path.open("wb") as file:
        file.truncate(10**9)
    with pytest.raises(Trouble, match="1000 MB"):
        load_table(path)


SCRAPS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
PLACES = st.sampled_from([place for place, _ in BAD])


@settings(max_examples=150, deadline=None, derandomize=True)
@given(PLACES, SCRAPS.filter(lambda value: value is not None))
def test_rubbish_is_trouble_or_a_job(place: tuple[str | int, ...], value: object) -> None:
    """Whatever stands at a place, the job is read or refused with faults: nothing else happens."""
    try:
        assert isinstance(read(changed(place, value)), Job)
    except Trouble as trouble:
        assert trouble.faults


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_table_or_trouble(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    """Any bytes as a file give a table or Trouble."""
    path = tmp_path_factory.mktemp("bytes") / "job.toml"
    path.write_bytes(content)
    try:
        assert isinstance(load_table(path), dict)
    except Trouble as trouble:
        assert len(trouble.faults) == 1


@settings(max_examples=50, deadline=None, derandomize=True)
@given(st.floats(min_value=1.0, max_value=100.0))
def test_millimetres_and_thou_agree(thou: float) -> None:
    """A clearance in mm reads as the same clearance in thou."""
    one = read(changed(("readings", 0, "values"), [thou])).readings[0]
    two = read(changed(("readings", 0, "values"), [f"{thou * 0.0254!r} mm"])).readings[0]
    assert one.values_um == pytest.approx(two.values_um, rel=1e-12)
