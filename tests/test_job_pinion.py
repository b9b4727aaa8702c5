"""A pinion in a job file: what is asked and never assumed, and each slip in it one fault."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from solver.job import BEHIND_RACE, FLANGE, PINION_HEAD, PINION_SPACER, Job
from solver.job_file import read_job
from solver.trouble import Fault, Trouble

EXAMPLE = """
unit = "mm"
[pinion]
stack_sits = "head bearing race"
measured_to = "shoulder"
nominal = 78.0
mark = { value = -3, unit = "0.01 mm", plus = "out" }
spacer = "solid"
[pinion.carried]
fitted = { thickness = 0.81, within = 0.004 }
mark = { value = 2, unit = "0.01 mm", plus = "out" }
bearing = "measured"
[limits]
depth = { low = -0.03, high = 0.03 }
pinion_end_float = { low = -0.06, high = -0.01 }
[tools]
micrometer = { within = 0.003, repeat = 0.001, step = 0.002 }
dial = { within = 0.005, repeat = 0.005, step = 0.002 }
[[readings]]
of = "old head height"
tool = "micrometer"
values = [31.75, 31.751]
[[readings]]
of = "head height"
tool = "micrometer"
value = 31.775
loaded = true
[[readings]]
of = "pinion end float"
tool = "dial"
fitted = { "pinion spacer" = 1.3, "pinion head" = 0.81 }
value = 0.106
"""


def read(table: dict[str, Any]) -> Job:
    """A job from a table, called j."""
    return read_job(table, "j", Path("shed"))


def changed(at: str, value: object) -> dict[str, Any]:
    """The example with the value at a slashed place changed, or taken out where it is None."""
    table: Any = tomllib.loads(EXAMPLE)
    *way, last = [int(part) if part.isdigit() else part for part in at.split("/")]
    inner = table
    for part in way:
        inner = inner[part]
    if value is None:
        del inner[last]
    else:
        inner[last] = value
    return dict(table)


def faults_of(table: dict[str, Any]) -> tuple[Fault, ...]:
    """Every fault of a table. Fails where there is none."""
    with pytest.raises(Trouble) as caught:
        read(table)
    return caught.value.faults


def test_a_pinion_is_read_whole() -> None:
    """Seats, limits, marks in µm with their signs, and no carrier where nothing tells of one."""
    job = read(tomllib.loads(EXAMPLE))
    assert not job.carrier
    assert [seat.name for seat in job.seats] == [PINION_HEAD, PINION_SPACER]
    assert [limit.result for limit in job.limits] == ["depth", "pinion end float"]
    pinion = job.pinion
    assert pinion is not None and pinion.carried is not None
    assert pinion.sits == BEHIND_RACE and pinion.couples == 1.0
    assert pinion.wanted_um == pytest.approx(77_970.0)
    assert pinion.carried.stack.thickness_um == pytest.approx(810.0)
    assert pinion.carried.within_um == pytest.approx(25.0)
    assert [one.loaded for one in job.readings] == [False, True, False]
    assert any("0.025 mm" in line for line in job.assumed)
    assert any("0.0185 mm" in line for line in job.assumed)


def test_plus_in_turns_a_mark_round() -> None:
    """The same etched figure moves the pinion the other way where plus means in."""
    job = read(changed("pinion/mark/plus", "in"))
    assert job.pinion is not None and job.pinion.wanted_um == pytest.approx(78_030.0)


def test_two_marks_add_up() -> None:
    """Two marks on one pinion, each in its own unit and sense, are summed."""
    marks = [
        {"value": -3, "unit": "0.01 mm", "plus": "out"},
        {"value": 2, "unit": "0.001 in", "plus": "in"},
    ]
    job = read(changed("pinion/mark", marks))
    assert job.pinion is not None
    assert job.pinion.wanted_um == pytest.approx(78_000.0 - 30.0 - 50.8)


def test_a_flange_seats_the_other_way() -> None:
    """Under a cartridge's flange more shim moves the pinion out, and leaves the float alone."""
    job = read(changed("pinion/stack_sits", FLANGE))
    assert job.seats[0].sign == -1
    assert job.pinion is not None and job.pinion.couples == 0.0


SLIPS = [
    ("pinion", 3, "pinion", "3", "a table"),
    ("pinion/stack_sits", None, "pinion: stack_sits", "nothing", '"head bearing race"'),
    ("pinion/measured_to", "flank", "pinion: measured_to", "'flank'", '"shoulder", "nose"'),
    ("pinion/mark/plus", None, "pinion: mark: plus", "nothing", "which way plus moves"),
    ("pinion/mark/unit", None, "pinion: mark: unit", "nothing", "one step of the mark"),
    ("pinion/mark/value", "-3", "pinion: mark: value", "'-3'", "a number from -500 to 500"),
    ("pinion/mark", -3, "pinion: mark", "-3", "a mark with its unit and sign"),
    ("pinion/spacer", None, "pinion: spacer", "nothing", '"crush", "solid"'),
    ("pinion/depth", 3, "pinion: depth", "the unknown word 'depth'", "one of"),
    ("pinion/carried/bearing", None, "pinion: carried: bearing", "nothing", '"kept"'),
    ("pinion/carried/bearing", "new", "pinion: carried: bearing_within", "nothing", "may differ"),
    ("pinion/carried/fitted", None, "pinion: carried: fitted", "nothing", "the old stack"),
    ("limits/depth", None, "limits: depth", "nothing", "how far off the pinion"),
    ("limits/pinion_end_float", None, "limits: pinion_end_float", "nothing", "preload"),
    ("limits/depth/low", 0.03, "limits: depth: low", "0.03, with high 0.03", "low below high"),
    ("limits/pinion_float", {}, "limits: pinion_float", "the unknown limit", "one of"),
    ("readings/0/of", "head high", "reading 1: of", "'head high'", '"head height"'),
    ("readings/2/loaded", True, "reading 3: loaded", "loaded in a reading of pinion end", "only"),
    ("readings/2/fitted", None, "reading 3: fitted", "nothing", "what was in the pinion spacer"),
    ("readings/2/value", 0, "reading 3: value", "0", "a pinion end float that was felt"),
]


@pytest.mark.parametrize(("at", "value", "where", "found", "wanted"), SLIPS)
def test_one_slip_is_one_fault(at: str, value: object, where: str, found: str, wanted: str) -> None:
    """Each slip is one fault and no more: where, found, wanted, and a way out."""
    (fault,) = faults_of(changed(at, value))
    assert fault.where == f"j: {where}"
    assert found in fault.found
    assert wanted in fault.wanted
    assert fault.way_out


@pytest.mark.parametrize(
    ("at", "value", "found"),
    [
        ("readings/0", None, "no reading of old head height"),
        ("readings/2", None, "nothing that settles the pinion's end float"),
        ("pinion/carried", None, "nothing that settles the pinion's depth"),
    ],
)
def test_what_no_reading_settles_is_said(at: str, value: object, found: str) -> None:
    """Depth and end float each need something that settles them."""
    assert any(found in fault.found for fault in faults_of(changed(at, value)))


def test_a_crush_spacer_has_no_end_float() -> None:
    """An end float read beside a crush spacer is refused: that is set by torque."""
    table = changed("pinion/spacer", "crush")
    del table["limits"]["pinion_end_float"]
    (fault,) = faults_of(table)
    assert fault.found == "a pinion end float" and "solid" in fault.wanted


def test_a_reading_of_a_pinion_wants_a_pinion() -> None:
    """Without [pinion] such a reading is a fault at its own place."""
    table = changed("pinion", None)
    table["limits"] = {"backlash": "no limit", "pinch": "no limit"}
    table["readings"] += [
        {"of": "total clearance", "tool": "dial", "value": 1.3},
        {"of": "mesh gap", "tool": "dial", "value": 0.6},
    ]
    found = [fault for fault in faults_of(table) if "pinion" in fault.wanted]
    assert [fault.where for fault in found] == [f"j: reading {at}: of" for at in (1, 2, 3)]


def test_with_the_carrier_what_stood_at_the_head_is_asked() -> None:
    """The backlash was read with some stack at the head: the job has to say which."""
    table = changed("pinion/spacer", "crush")
    del table["limits"]["pinion_end_float"]
    table["limits"] |= {"backlash": "no limit", "pinch": "no limit"}
    table["readings"][2:] = [
        {"of": "total clearance", "tool": "dial", "value": 1.3},
        {"of": "mesh gap", "tool": "dial", "value": 0.6},
    ]
    (fault,) = faults_of(table)
    assert fault.where == "j: pinion: fitted" and fault.found == "nothing"
    table["pinion"]["fitted"] = 0.81
    job = read(table)
    assert job.carrier and [seat.name for seat in job.seats][2:] == [PINION_HEAD]
    assert any("backlash closes by 0.20 within 0.15" in line for line in job.assumed)
