"""One slip in a job file is one fault, in exact words; and corners where a number turns."""

from __future__ import annotations

import math
import os
import tomllib
from pathlib import Path
from typing import Any

import pytest

from solver.job import Job, Limit, Spot, Stack
from solver.job_file import load_table, read_job
from solver.trouble import Fault, Trouble

EXAMPLE = """
unit = "thou"
[wanted]
chance = 0.9
most_shims = 5
[seats]
"wheel side" = { under = "bearing", least = 1, most = 3 }
"plain side" = { under = "bearing" }
[limits]
backlash = { low = 5.0, high = 8.0 }
pinch = { low = 5.0, high = "8 thou", counted = "total" }
[mesh]
transfer_ratio = { value = 0.72, within = 0.12 }
pinch_share = { value = 0.50, within = 0.20 }
[tools]
feelers = { within = 0.2, repeat = 0.4, step = 0.5 }
dial = { within = 0.2, repeat = 0.3, step = 0.1 }
[[readings]]
of = "total clearance"
tool = "feelers"
values = [51.0, 51.5, "51 thou"]
[[readings]]
of = "mesh gap"
tool = "feelers"
goes = 24.0
stops = 25.0
[[readings]]
of = "backlash"
tool = "dial"
fitted = { "wheel side" = 18.0, "plain side" = { thickness = 39.0, within = 0.2 } }
values = [5.6, 5.9, 5.4]
"""
TEETH = {"pressure_angle": 20, "spiral_angle": "35 deg", "pinion_teeth": 10, "wheel_teeth": 41}


def read(table: dict[str, Any]) -> Job:
    """A job from a table, called j."""
    return read_job(table, "j", Path("shed"))


def changed(at: str, value: object) -> dict[str, Any]:
    """The example with the value at a slashed place changed, or taken out where it is None."""
    table: Any = tomllib.loads(EXAMPLE)
    *way, last = [int(part) if part.isdigit() else part for part in at.split("/")]
    inner = table
    for part in way:
        inner = inner.setdefault(part, {}) if isinstance(inner, dict) else inner[part]
    if value is None:
        del inner[last]
    else:
        inner[last] = value
    return dict(table)


def faults_of(table: dict[str, Any]) -> tuple[Fault, ...]:
    """The faults of a job that is refused."""
    with pytest.raises(Trouble) as trouble:
        read(table)
    return trouble.value.faults


SHARE = "a number above 0 and below 1"
WAYS = "exactly one of value, values, goes, at_least, at_most, around"
SLIPS: list[tuple[str, object, str, str, str]] = [
    ("unit", None, "unit", "nothing", "one of mm, um, in, thou"),
    ("unit", "furlong", "unit", "'furlong'", "one of mm, um, in, thou"),
    ("title", 3, "title", "3", "a text"),
    ("drawer", ["a"], "drawer", "a list", "a text"),
    ("words", "French", "words", "'French'", 'one of "UK", "US"'),
    ("wanted/chance", 95, "wanted: chance", "95", SHARE),
    ("wanted/chance", True, "wanted: chance", "true", SHARE),
    ("wanted/most_shims", 2.5, "wanted: most_shims", "2.5", "a whole number from 1 to 12"),
    ("seats", 3, "seats", "3", "a table"),
    ("seats/plain side/under", None, "seats: plain side: under", "nothing",
     'one of "bearing", "cover"'),
    ("seats/wheel side/least", 4, "seats: wheel side: least", "4, with most 3",
     "least up to most"),
    ("seats/wheel side/most", 13, "seats: wheel side: most", "13", "a whole number from 0 to 12"),
    ("limits/backlash", None, "limits: backlash", "nothing", "a low and a high"),
    ("limits/pinch", None, "limits: pinch", "nothing", "a low and a high, or end_float with them"),
    ("limits/backlash/high", None, "limits: backlash: high", "nothing", "a length"),
    ("limits/backlash/low", 9, "limits: backlash: low", "9, with high 8.0", "low below high"),
    ("limits/backlash/low", 8.0, "limits: backlash: low", "8.0, with high 8.0", "low below high"),
    ("limits/backlash/low", -1, "limits: backlash: low", "-1", "0 or more"),
    ("limits/pinch/counted", None, "limits: pinch: counted", "nothing", '"total" or "each side"'),
    ("limits/end_float", {"low": 1, "high": 2}, "limits: end_float", "pinch as well",
     "one of the two"),
    ("limits/backlash/radius", 2000, "limits: backlash: radius", "2000",
     "a tooth edge to compare it by"),
    ("limits/backlash/read", "square to the tooth", "limits: backlash: read",
     "'square to the tooth'", "the teeth, to compare it by"),
    ("mesh/transfer_ratio", 0.72, "mesh: transfer_ratio", "0.72", "a value with its spread"),
    ("mesh/transfer_ratio/within", 0, "mesh: transfer_ratio: within", "0",
     "a number above 0 and below 0.72"),
    ("mesh/pinch_share/value", 1.5, "mesh: pinch_share: value", "1.5", "a number from 0 to 1"),
    ("mesh/edge_radius", "3 kg", "mesh: edge_radius", "'3 kg', which is no length", "a length"),
    ("mesh/teeth", {"pressure_angle": "20 mm", "spiral_angle": 35, "pitch_angle": 76},
     "mesh: teeth: pressure_angle", "'20 mm'", "an angle from 5 to 45 degrees"),
    ("tools/dial", 3, "tools: dial", "3", "a table for this tool"),
    ("tools/dial/repeat", 0, "tools: dial: repeat", "0", "a length above 0"),
    ("tools/dial/within", -0.1, "tools: dial: within", "-0.1", "0 or more"),
    ("tools/gizmo", {"within": 1, "repeat": 1}, "tools: gizmo: step", "nothing", "a length"),
    ("readings", None, "readings", "nothing", "a list of readings"),
    ("readings", {"of": "mesh gap"}, "readings", "one table", "a list of readings"),
    ("readings/0", 3, "reading 1", "3", "a table"),
    ("readings/0/tool", "feeler", "reading 1: tool", "'feeler'", 'one of "feelers", "dial"'),
    ("readings/0/tool", None, "reading 1: tool", "nothing", "a tool, or within"),
    ("readings/0/value", 51.0, "reading 1", "value and values", WAYS),
    ("readings/0/values", None, "reading 1: value", "nothing", WAYS),
    ("readings/0/values", [], "reading 1: values", "an empty list", "at least one length"),
    ("readings/0/values", [51.0, math.nan], "reading 1: values: number 2", "nan", "a length"),
    ("readings/0/values", [math.inf], "reading 1: values: number 1", "inf", "a length"),
    ("readings/0/leaves", 0, "reading 1: leaves", "0", "a whole number from 1 to 50"),
    ("readings/0/within", -1, "reading 1: within", "-1", "0 or more"),
    ("readings/0/off", "no", "reading 1: off", "'no'", "true or false"),
    ("readings/0/fitted", {"wheel side": 3}, "reading 1: fitted",
     "fitted in a reading of total clearance", "no shims in it"),
    ("readings/0/read", "along the rotation", "reading 1: read",
     "read in a reading of total clearance", "it only for backlash"),
    ("readings/1/stops", 24.0, "reading 2: stops", "24.0", "more than goes"),
    ("readings/1/goes", -1, "reading 2: goes", "-1", "0 or more"),
    ("readings/2/fitted", None, "reading 3: fitted", "nothing",
     "what was in the wheel side and the plain side"),
    ("readings/2/fitted/plain side", None, "reading 3: fitted: plain side", "nothing",
     "what was in this seat"),
    ("readings/2/fitted/wheel side", [18.0], "reading 3: fitted: wheel side: number 1", "18.0",
     "the id of a lot"),
    ("readings/2/values", [-1.0], "reading 3: values: number 1", "-1.0", "0 or more"),
    ("readings/2/out_of_line", 50, "reading 3: out_of_line", "50",
     "an angle from -30 to 30 degrees"),
    ("readings/2/on", "lever", "reading 3: radius", "nothing", "a radius, for a dial on a lever"),
    ("layout/wheel", "top", "layout: wheel", "'top'", 'one of "left", "right"'),
]  # fmt: skip


@pytest.mark.parametrize(("at", "value", "where", "found", "wanted"), SLIPS)
def test_one_slip_is_one_fault(at: str, value: object, where: str, found: str, wanted: str) -> None:
    """Each slip is one fault and no more: where, found, wanted, a way out, and its place."""
    (fault,) = faults_of(changed(at, value))
    assert (fault.where, fault.found, fault.wanted) == (f"j: {where}", found, wanted)
    assert fault.way_out and fault.way_out.isprintable()
    assert str(fault.place[0]) == at.split("/")[0]


def test_unknown_words_name_the_nearest() -> None:
    """A word nobody knows is a fault that names the nearest known one, wherever it stands."""
    table = changed("readings/2/fitted/wheal side", 3)
    table["limit"] = 3
    table["seats"]["wheel-side"] = {}
    table["readings"][0]["off "] = True
    table["readings"][1]["of"] = "mash gap"
    assert {(f.place, f.way_out) for f in faults_of(table)} == {
        (("limit",), 'did you mean "limits"'),
        (("seats", "wheel-side"), 'did you mean "wheel side"'),
        (("readings", 0, "off "), 'did you mean "off"'),
        (("readings", 1, "of"), 'did you mean "mesh gap"'),
        (("readings", 2, "fitted", "wheal side"), 'did you mean "wheel side"'),
    }


def test_what_is_assumed_word_for_word() -> None:
    """A job that says the least there may be lists everything that was assumed."""
    table = changed("tools", {"feeler set": {}, "dial": {"within": "5 um"}})
    for key in ("wanted", "seats", "mesh"):
        del table[key]
    for reading in table["readings"]:
        reading["tool"] = "feeler set"
    assert read(table).assumed == (
        "wanted chance 0.95",
        "wheel side: shims under the bearing, more shim more pinch",
        "plain side: shims under the bearing, more shim more pinch",
        "feeler set: within 0.2 thou, repeat 0.4 thou, step 0.5 thou"
        " (usual for feelers; common practice, no source)",
        "dial: repeat 0.2 thou, step 0.4 thou"
        " (usual for dial; within: JIS B 7503, range 1 mm; else common practice)",
        "transfer ratio 0.75 within 0.25",
        "pinch share 0.5 within 0.25",
        "trial stack of reading 3 taken as exact",
    )


def test_end_float_turns_its_ends() -> None:
    """End float from 1 to 3 is pinch from -3 to -1; none on one side is a plain zero."""
    table = changed("limits/pinch", None)
    table["limits"]["end_float"] = {"low": 1, "high": 3, "example": True}
    expected = Limit("pinch", -3 * 25.4, -25.4, Spot(), "end float", True)
    found = read(table).limit("pinch")
    assert (found.low_um, found.high_um) == pytest.approx((expected.low_um, expected.high_um))
    assert (found.counted, found.example) == ("end float", True)
    table["limits"]["end_float"] = {"low": 0, "high": "no limit"}
    pinch = read(table).limit("pinch")
    assert (pinch.low_um, pinch.high_um) == (-math.inf, 0.0)
    assert math.copysign(1.0, pinch.high_um) == 1.0


def test_lots_fitted_and_readings_left_out() -> None:
    """A repeated id is another piece; a reading that is off assumes nothing, but is checked."""
    table = changed("readings/2/fitted/wheel side", 18.0)
    fitted = {"wheel side": ["A7", "B2", "A7"], "plain side": 3.0}
    table["readings"] += [
        {"of": "end float", "tool": "dial", "at_most": 0, "off": True, "fitted": fitted},
        {"of": "plain gap", "within": "0.01 mm", "at_least": 10,
         "fitted": {"wheel side": fitted["wheel side"]}},
    ]  # fmt: skip
    job = read(table)
    assert job.left_out == (4,)
    gap = job.readings[3]
    assert (gap.number, gap.tool, gap.within_um) == (5, None, pytest.approx(10.0))
    assert gap.fitted == (Stack("wheel side", lots=(("A7", 2), ("B2", 1))),)
    assert job.assumed == ("trial stack of reading 3 taken as exact",)
    table["readings"][3]["at_most"] = "none"
    assert [fault.place for fault in faults_of(table)] == [("readings", 3, "at_most")]


def test_a_bound_settles_nothing() -> None:
    """A one-sided reading bears on a gap, yet settles it only with a far gap beside it."""
    table = changed("readings/2", {"of": "mesh gap", "tool": "feelers", "at_most": 30.0})
    table["readings"][1] = {"of": "mesh gap", "tool": "feelers", "at_least": 24.0}
    assert [fault.found for fault in faults_of(table)] == ["nothing that settles the mesh gap"]
    table["readings"][1] = {"of": "far gap in mesh", "tool": "feelers", "value": 27.0}
    assert len(read(table).readings) == 3


def test_ratio_is_turned_to_where_the_limit_is_stated() -> None:
    """A ratio from the teeth goes over to the limit's spot; one in the file is taken as it stands.

    10/41, 20 and 35 degrees: 0.8633 along, 0.707 square to the tooth. Source: own algebra, not
    published.
    """
    table = changed("mesh", {"teeth": TEETH})
    job = read(table)
    assert job.mesh.ratio == pytest.approx(0.8633, abs=0.51e-4)
    assert job.mesh.ratio_within == pytest.approx(0.15 * job.mesh.ratio)
    assert "transfer ratio 0.863 within 0.130 (from the teeth, 15 % either way)" in job.assumed
    table["limits"]["backlash"]["read"] = "square to the tooth"
    table["mesh"]["teeth"] = TEETH | {"within": 0.1}
    assert read(table).mesh.ratio == pytest.approx(0.707, abs=0.51e-3)
    table["limits"]["backlash"] |= {"read": "along the rotation", "radius": 3000, "on": "lever"}
    table["mesh"]["edge_radius"] = 2000
    mesh = read(table).mesh
    assert mesh.ratio == pytest.approx(1.5 * 0.8633, abs=1e-4)
    assert mesh.ratio_within == pytest.approx(0.1 * mesh.ratio)
    table["mesh"]["transfer_ratio"] = {"value": 0.8, "within": 0.1}
    assert read(table).mesh.ratio == 0.8


@pytest.mark.parametrize(
    ("mesh", "wanted"),
    [
        ({"ratio": 1.0}, "one for a gear ratio of 1: the usual one holds from 2.5 up"),
        ({"ratio": 2.49}, "one for a gear ratio of 2.49: the usual one holds from 2.5 up"),
        ({"member": "pinion"}, "one for a pinion, which has no usual one"),
    ],
)
def test_where_the_usual_ratio_says_nothing(mesh: dict[str, Any], wanted: str) -> None:
    """For mitres and pinions there is no usual ratio; from 2.5 up there is."""
    (fault,) = faults_of(changed("mesh", mesh))
    assert (fault.place, fault.wanted) == (("mesh", "transfer_ratio"), wanted)
    assert read(changed("mesh", {"ratio": 2.5})).mesh.ratio == 0.75


def test_a_file_full_of_slips_does_not_flood_the_screen() -> None:
    """Past a hundred faults the rest are counted."""
    faults = faults_of(tomllib.loads(EXAMPLE) | {f"x{number}": 1 for number in range(300)})
    assert (len(faults), faults[-1].found) == (101, "200 more faults")


def test_numbers_too_long_to_print_are_refused() -> None:
    """A whole number of ten thousand hexadecimal digits is one fault, wherever it stands."""
    long = int("F" * 10_000, 16)
    for at in ("wanted/chance", "wanted/most_shims", "limits/backlash/low", "readings/0/values",
               "title", "unit", "readings/0/tool", "mesh/transfer_ratio"):  # fmt: skip
        (fault,) = faults_of(changed(at, long))
        assert fault.found == "a whole number of more than 30 digits"


@pytest.mark.parametrize(
    ("data", "where", "found"),
    [
        (b"a = 1\nb = \xff", "job.toml", "bytes that are not UTF-8 text in line 2"),
        (b"a = 1\nb =\nc = 2\n", "job.toml: line 2", "invalid value"),
        (b"a = 1\na = 2\n", "job.toml: line 2", "cannot overwrite a value"),
        (b"a = " + b"[" * 100_000, "job.toml", "numbers or brackets past any use"),
        (b"a = " + b"9" * 5000, "job.toml", "numbers or brackets past any use"),
    ],
)
def test_a_file_that_is_no_toml(tmp_path: Path, data: bytes, where: str, found: str) -> None:
    """A file that is no TOML is one fault that names the line."""
    path = tmp_path / "job.toml"
    path.write_bytes(data)
    with pytest.raises(Trouble) as trouble:
        load_table(path)
    (fault,) = trouble.value.faults
    assert (fault.where, fault.found) == (where, found)


def test_a_file_as_windows_editors_write_it(tmp_path: Path) -> None:
    """A mark at the head and CRLF change nothing; a device is no job."""
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + EXAMPLE.replace("\n", "\r\n").encode())
    assert load_table(path) == tomllib.loads(EXAMPLE)
    with pytest.raises(Trouble, match="no plain file"):
        load_table(os.devnull)
