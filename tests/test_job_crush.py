"""The crush spacer of a job file: read, or refused with every fault at once."""

from __future__ import annotations

import copy
import math
import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.crush import Crush
from solver.job_crush import read_crush, read_crush_alone
from solver.job_table import Notes, Page
from solver.torque_units import NEWTON_M_PER
from solver.trouble import Fault, Trouble

LBF_IN, LBF_FT = NEWTON_M_PER["lbf.in"], NEWTON_M_PER["lbf.ft"]
EXAMPLE = """
title = "Front box"
[crush]
unit = "lbf.in"
bearings = "new"
new = { low = 20, high = 25 }
used = { low = "10 lbf.in", high = 15 }
means = "moving"
with = { seal = true, carrier = false }
readings_with = { seal = true, carrier = false }
pitch = "1.5 mm"
angle_within = 2
risk = 0.02
ceiling = "300 lbf.ft"
tool = { kind = "wrench", within = "3 %", repeat = 0.5, step = 1 }
[[crush.pauses]]
angle = 0
torque = [3.0, 3.2]
kind = "moving"
turned = true
nut = "120 lbf.ft"
[[crush.pauses]]
angle = "20 deg"
torque = "0.8 N.m"
kind = "moving"
turned = false
"""
PULL = {
    "crush/tool": {"kind": "pull", "within": "2 %", "repeat": "0.2 lbf", "step": "0.1 lbf"},
    "crush/radius": {"value": "3 in", "within": "0.03 in"},
    "crush/pauses/0/torque": None,
    "crush/pauses/0/pull": ["1 lbf", "1.1 lbf"],
    "crush/pauses/1/torque": None,
    "crush/pauses/1/pull": "9 N",
}


def changed(changes: dict[str, object] | None = None) -> dict[str, Any]:
    """The example with values at slashed places changed, or taken out where they are None."""
    table: Any = copy.deepcopy(tomllib.loads(EXAMPLE))
    for at, value in (changes or {}).items():
        *way, last = [int(part) if part.isdigit() else part for part in at.split("/")]
        inner = table
        for part in way:
            inner = inner.setdefault(part, {}) if isinstance(inner, dict) else inner[part]
        if value is None:
            del inner[last]
        elif isinstance(inner, list) and last == len(inner):
            inner.append(value)
        else:
            inner[last] = value
    return dict(table)


def crush_of(changes: dict[str, object] | None = None) -> Crush:
    """The crush spacer of the example, changed."""
    return read_crush_alone(changed(changes), "j")[2]


def faults_of(changes: dict[str, object]) -> tuple[Fault, ...]:
    """The faults of the example, changed."""
    with pytest.raises(Trouble) as trouble:
        crush_of(changes)
    return trouble.value.faults


def test_the_example_is_read() -> None:
    """Every key lands where it belongs, in N·m and degrees."""
    title, words, crush = read_crush_alone(changed(), "j")
    assert (title, words) == ("Front box", "UK")
    assert (crush.low_newton_m, crush.high_newton_m) == pytest.approx((20 * LBF_IN, 25 * LBF_IN))
    assert (crush.bearings, crush.wanted, crush.unit) == ("new", "moving", "lbf.in")
    assert (crush.angle_within_deg, crush.risk, crush.pitch_um) == (2.0, 0.02, 1500.0)
    assert crush.ceiling_newton_m == pytest.approx(300 * LBF_FT)
    assert crush.common_share == pytest.approx(0.03)
    assert (crush.window_u_newton_m, crush.drag_newton_m, crush.example) == (0.0, None, False)
    one, two = crush.pauses
    assert (one.number, one.angle_deg, one.turned) == (1, 0.0, True)
    assert one.torque_newton_m == pytest.approx(3.1 * LBF_IN)
    pooled = (10 * 0.5**2 + 0.02) / 11  # by hand: two repeats, 0.1 either side
    assert one.u_newton_m == pytest.approx(math.sqrt(pooled / 2) * LBF_IN)
    assert one.nut_newton_m == pytest.approx(120 * LBF_FT)
    assert (two.angle_deg, two.torque_newton_m, two.turned) == (20.0, 0.8, False)
    assert two.nut_newton_m is None
    assert crush.assumed == () and crush.remarks == ()


def test_a_job_without_one_has_none() -> None:
    """No table, no crush spacer, no fault; asked for it, the file is at fault."""
    notes = Notes("j")
    assert read_crush(Page({"title": "x"}, (), notes, "mm")) is None and not notes.faults
    with pytest.raises(Trouble, match=r"j: crush: found nothing, wanted a table \[crush\]"):
        read_crush_alone({"title": "x"}, "j")


def test_other_tables_may_be_unfinished() -> None:
    """Rubbish elsewhere is no fault of the crush spacer."""
    table = changed() | {"unit": "furlong", "readings": 3, "limits": [], "words": "US"}
    assert read_crush_alone(table, "j")[1] == "US"
    assert read_crush_alone(table | {"title": 3}, "j")[0] == ""


def test_what_was_not_said_is_listed() -> None:
    """Every stand-in is named; nothing is silent."""
    crush = crush_of(dict.fromkeys(
        ("crush/angle_within", "crush/risk", "crush/tool", "crush/pauses/0/kind",
         "crush/pauses/1/kind", "crush/readings_with")
    ))  # fmt: skip
    assert (crush.angle_within_deg, crush.risk) == (3.0, 0.01)
    assert crush.common_share == pytest.approx(0.04)
    assert set(crush.assumed) == {
        "each angle of the nut within 3 degrees",
        "risk of going over, all turns together, 1 of 100 at most",
        "torque wrench: within 4 %, repeat 3 %, step 0.1 N·m (within: ISO 6789, dial wrench, from"
        " memory; else common practice, no source)",
        "pauses 1, 2 read as moving torque, as the limit is meant",
        "pauses 1, 2 read with the seal in and the carrier out, as the limit counts",
    }


def test_used_bearings_have_their_own_window() -> None:
    """Only the window in use must be there."""
    crush = crush_of({"crush/bearings": "used", "crush/new": None})
    assert (crush.low_newton_m, crush.high_newton_m) == pytest.approx((10 * LBF_IN, 15 * LBF_IN))
    (fault,) = faults_of({"crush/new": None})
    assert str(fault) == (
        "j: crush: new: found nothing, wanted a low and a high for new bearings;"
        " take it from the maker's manual for this very unit"
    )


def test_a_pull_on_a_line() -> None:
    """Force times radius; tool and radius are common to all, the repeats are each pause's own."""
    crush = crush_of(PULL)
    one, two = crush.pauses
    assert one.torque_newton_m == pytest.approx(1.05 * 3 * LBF_IN)
    pooled = (10 * 0.2**2 + 0.005) / 11
    assert one.u_newton_m == pytest.approx(math.sqrt(pooled / 2) * 3 * LBF_IN)
    assert two.torque_newton_m == pytest.approx(9 * 0.0762)
    assert crush.common_share == pytest.approx(math.hypot(0.02, 0.01))
    bare = crush_of({**PULL, "crush/radius": "3 in"})
    assert bare.common_share == pytest.approx(0.02)
    assert "radius of the line taken as exact" in bare.assumed


def test_a_weight_on_the_line() -> None:
    """Mass times gravity times radius; the kind is guessed from how the first pause was read."""
    crush = crush_of({
        "crush/tool": None, "crush/radius": {"value": "100 mm", "within": "1 mm"},
        "crush/pauses/0/torque": None, "crush/pauses/0/weight": "2.5 kg",
        "crush/pauses/1/torque": None, "crush/pauses/1/weight": ["3 kg", "6.6 lb"],
    })  # fmt: skip
    assert crush.pauses[0].torque_newton_m == pytest.approx(2.5 * 9.80665 * 0.1)
    assert any(line.startswith("weight on a line: within 4 %") for line in crush.assumed)


def test_an_amount_is_a_share_of_the_window() -> None:
    """A wrench that may be half a pound-inch off is 2.5 % off at the window's lower end."""
    crush = crush_of({"crush/tool/within": 0.5})
    assert crush.common_share == pytest.approx(0.025)


def test_a_seal_in_the_readings_moves_the_window_up() -> None:
    """The limit counts no seal, the readings have it: both ends up by its drag, and its doubt."""
    crush = crush_of({
        "crush/with/seal": False,
        "crush/seal_drag": {"values": [2.0, 2.0]},
    })  # fmt: skip
    assert (crush.low_newton_m, crush.high_newton_m) == pytest.approx((22 * LBF_IN, 27 * LBF_IN))
    assert crush.window_u_newton_m == pytest.approx(math.sqrt(10 * 0.25 / 11 / 2) * LBF_IN)
    assert crush.remarks == (
        "the manual's 20.0 to 25.0 lbf·in reads as 22.0 to 27.0 lbf·in with the seal in",
    )


def test_a_seal_in_the_limit_alone_moves_it_down() -> None:
    """And with the carrier the other way round: both drags, doubts added in squares."""
    crush = crush_of({
        "crush/readings_with": {"seal": False, "carrier": True},
       
        "crush/seal_drag": 2.0, "crush/carrier_drag": "5 lbf.in",
    })  # fmt: skip
    assert (crush.low_newton_m, crush.high_newton_m) == pytest.approx((23 * LBF_IN, 28 * LBF_IN))
    each = math.sqrt(max(0.25, 1 / 12)) * LBF_IN
    assert crush.window_u_newton_m == pytest.approx(math.sqrt(2) * each)
    assert crush.remarks[0].endswith("with the seal out and the carrier in")


def test_an_unmeasured_drag_is_a_fault_with_its_reason() -> None:
    """A limit without the seal cannot be compared with readings that have it."""
    (fault,) = faults_of({"crush/with/seal": False})
    assert str(fault) == (
        "j: crush: seal_drag: found nothing, but readings with the seal in, wanted its drag, as"
        " the limit counts the seal out; measure what it adds to the torque, or read as the limit"
        " is meant"
    )


def test_a_needless_drag_is_said_to_be() -> None:
    """Where limit and readings have the part alike, its drag changes nothing and is listed."""
    crush = crush_of({"crush/seal_drag": 2.0})
    assert crush.low_newton_m == pytest.approx(20 * LBF_IN)
    assert crush.assumed == ("seal drag without effect: limit and readings have it alike",)


def test_the_other_kind_is_refused_with_its_reason() -> None:
    """A starting torque where the limit means a moving one, and the other way round."""
    (fault,) = faults_of({"crush/pauses/1/kind": "starting"})
    assert str(fault) == (
        "j: crush: pauses: number 2: kind: found starting torque, wanted moving torque, as the"
        " limit means; read the moving torque: a bearing takes more to start than to keep turning,"
        " and by how much nothing here can tell"
    )
    assert len(faults_of({"crush/means": "starting"})) == 2
    assert len(faults_of({"crush/drag": {"values": 2.0, "kind": "starting"}})) == 1
    assert crush_of({"crush/pauses/1/kind": "starting", "crush/pauses/1/off": True}).pauses


def test_pauses_are_sorted_and_may_share_an_angle() -> None:
    """By angle, equal ones as they stand in the file; that they were sorted is listed."""
    again = {"angle": 20, "torque": 8, "turned": True, "kind": "moving"}
    crush = crush_of({"crush/pauses/2": again})
    assert [one.number for one in crush.pauses] == [1, 2, 3] and not crush.assumed
    crush = crush_of({"crush/pauses/2": {**again, "angle": -10}})
    assert [one.number for one in crush.pauses] == [3, 1, 2]
    assert [one.angle_deg for one in crush.pauses] == [-10.0, 0.0, 20.0]
    assert crush.assumed == (
        "pauses put in the order of their angles: the nut was never turned back",
    )


def test_a_pause_left_out_is_not_there() -> None:
    """Its number is kept by the others."""
    crush = crush_of({"crush/pauses/0/off": True})
    assert [one.number for one in crush.pauses] == [2]


def test_drag_and_example() -> None:
    """The drag with the nut loose, and the mark of invented limits."""
    crush = crush_of({"crush/drag": {"values": [2.0, 2.1]}, "crush/example": True})
    assert crush.drag_newton_m == pytest.approx(2.05 * LBF_IN) and crush.drag_u_newton_m > 0
    assert crush.example


def test_repeats_that_scatter_are_remarked() -> None:
    """Five apart with half a pound-inch said."""
    crush = crush_of({"crush/pauses/0/torque": [3.0, 8.0]})
    assert crush.remarks == ("repeats of pause 1 scatter more than this tool is said to",)


P1, P2 = "crush: pauses: number 1", "crush: pauses: number 2"
WAYS = "exactly one of torque, values, pull, weight"
SLIPS: list[tuple[str, object, str, str, str]] = [
    ("crush", 3, "crush", "3", "a table"),
    ("crush/colour", "red", "crush: colour", "the unknown word 'colour'", "one of"),
    ("crush/unit", "furlong", "crush: unit", "'furlong'", "one of N.m, lbf.in"),
    ("crush/bearings", None, "crush: bearings", "nothing", 'one of "new", "used"'),
    ("crush/bearings", "old", "crush: bearings", "'old'", 'one of "new", "used"'),
    ("crush/means", None, "crush: means", "nothing", 'one of "moving", "starting"'),
    ("crush/with", None, "crush: with", "nothing", "whether seal and carrier are counted"),
    ("crush/with/seal", None, "crush: with: seal", "nothing", "true or false"),
    ("crush/with/gear", True, "crush: with: gear", "the unknown part 'gear'", "one of"),
    ("crush/new/low", None, "crush: new: low", "nothing", "a torque"),
    ("crush/new/low", 0, "crush: new: low", "0", "more than 0"),
    ("crush/new/low", 30, "crush: new: low", "30, with high 25", "low below high"),
    ("crush/used/high", 10, "crush: used: low", "'10 lbf.in', with high 10", "low below high"),
    ("crush/used", 3, "crush: used", "3", "a low and a high"),
    ("crush/pitch", 14, "crush: pitch", "14", "the pitch of a thread"),
    ("crush/pitch", "14 mm", "crush: pitch", "'14 mm'", "a pitch of 0.2 to 10 mm"),
    ("crush/angle_within", 0, "crush: angle_within", "0", "an angle from 0.1 to 45 degrees"),
    ("crush/risk", 1, "crush: risk", "1", "a number above 0 and below 0.5"),
    ("crush/ceiling", 300, "crush: ceiling", "300 without a unit of its own",
     "a torque on the nut"),
    ("crush/ceiling", "300 ft", "crush: ceiling", "'300 ft', which is no torque", "a torque"),
    ("crush/tool", "wrench", "crush: tool", "'wrench'", "a table for the tool"),
    ("crush/tool/kind", "hand", "crush: tool: kind", "'hand'",
     'one of "wrench", "pull", "weight"'),
    ("crush/tool/within", "80 %", "crush: tool: within", "'80 %'", "at most 50 %"),
    ("crush/tool/within", "3 N", "crush: tool: within", "'3 N', which is a force", "a torque"),
    ("crush/tool/repeat", "0 %", "crush: tool: repeat", "'0 %'", "more than 0"),
    ("crush/tool/step", 0, "crush: tool: step", "0", "more than 0"),
    ("crush/drag", {"values": [-2.0]}, "crush: drag: values: number 1", "-2.0", "0 or more"),
    ("crush/drag", {"angle": 2}, "crush: drag", "", ""),
    ("crush/pauses", None, "crush: pauses", "nothing", "a list of pauses"),
    ("crush/pauses", {"angle": 3}, "crush: pauses", "one table", "a list of pauses"),
    ("crush/pauses/0", 3, P1, "3", "a table"),
    ("crush/pauses/0/angle", None, f"{P1}: angle", "nothing", "how far the nut was turned"),
    ("crush/pauses/0/angle", "20 mm", f"{P1}: angle", "'20 mm'", "an angle from"),
    ("crush/pauses/0/turned", None, f"{P1}: turned", "nothing",
     "whether the bearings were turned before it"),
    ("crush/pauses/0/turned", "yes", f"{P1}: turned", "'yes'", "true or false"),
    ("crush/pauses/0/torque", None, f"{P1}: torque", "nothing", WAYS),
    ("crush/pauses/0/values", 3, P1, "torque and values", WAYS),
    ("crush/pauses/0/torque", [], f"{P1}: torque", "an empty list", "at least one reading"),
    ("crush/pauses/0/torque", [3.0, math.nan], f"{P1}: torque: number 2", "nan", "a torque"),
    ("crush/pauses/0/torque", -1, f"{P1}: torque", "-1", "0 or more"),
    ("crush/pauses/0/torque", "8 lbf", f"{P1}: torque", "'8 lbf', which is a force", "a torque"),
    ("crush/pauses/0/nut", 120, f"{P1}: nut", "120 without a unit of its own",
     "a torque on the nut"),
    ("crush/pauses/1/kind", "fast", f"{P2}: kind", "'fast'", 'one of "moving", "starting"'),
    ("crush/pauses/1/with", {"seal": False}, f"{P2}: with", "the seal out",
     "the same as in pause 1"),
    ("crush/pauses/1/off", 1, f"{P2}: off", "1", "true or false"),
    ("crush/pauses/1/colour", 1, f"{P2}: colour", "the unknown word 'colour'", "one of"),
]  # fmt: skip


@pytest.mark.parametrize(("at", "value", "where", "found", "wanted"), SLIPS)
def test_one_slip_is_one_fault(at: str, value: object, where: str, found: str, wanted: str) -> None:
    """Each slip is told at its place, in exact words, and breeds no other."""
    faults = faults_of({at: value})
    if at == "crush/drag" and not found:  # a drag without a torque: both are told
        assert [fault.where for fault in faults] == [
            "j: crush: drag: angle",
            "j: crush: drag: torque",
        ]
        return
    (fault,) = faults
    assert (fault.where, fault.found) == (f"j: {where}", found)
    assert fault.wanted.startswith(wanted) and fault.way_out


def test_a_whole_job_may_wait_for_its_first_pause() -> None:
    """Only who asks about the nut needs one; a job that is chosen for may have none yet."""
    for value in ({}, {"pauses": []}):
        table = changed({"crush/pauses": None})
        table["crush"] |= value
        notes = Notes("j")
        crush = read_crush(Page(table, (), notes, "mm"))
        assert crush is not None and crush.pauses == () and not notes.faults
        with pytest.raises(Trouble, match="j: crush: pauses: found nothing, wanted a list"):
            read_crush_alone(table, "j")


def test_bare_torques_need_a_unit() -> None:
    """Without one in the table every bare torque is at fault, at its own place."""
    faults = faults_of({"crush/unit": None})
    assert {fault.where for fault in faults} == {
        "j: crush: new: low", "j: crush: new: high", "j: crush: used: high", "j: crush: tool: step",
        "j: crush: tool: repeat", f"j: {P1}: torque: number 1", f"j: {P1}: torque: number 2",
    }  # fmt: skip
    assert all("without a unit" in fault.found for fault in faults)


def test_a_pull_needs_its_radius_and_its_tool() -> None:
    """No radius; a pull read with a wrench; a radius hardly known; a length without a unit."""
    (fault,) = faults_of({key: value for key, value in PULL.items() if key != "crush/radius"})
    assert fault.where == "j: crush: radius" and "middle of the line" in fault.way_out
    (fault,) = faults_of({**PULL, "crush/radius": 3})
    assert fault.found == "3 without a unit"
    (fault,) = faults_of({**PULL, "crush/radius": {"value": "3 in", "within": "2 in"}})
    assert fault.wanted == "a radius that is known"
    (fault,) = faults_of({"crush/pauses/1/torque": None, "crush/pauses/1/pull": "9 N"})
    assert fault.found == "pull of a spring balance"
    assert fault.wanted == "torque, as the tool is a torque wrench"
    (fault,) = faults_of({**PULL, "crush/pauses/1/pull": 9})
    assert fault.found == "9 without a unit"


def test_all_faults_come_at_once() -> None:
    """Three slips, three faults."""
    faults = faults_of({"crush/risk": 7, "crush/pauses/0/angle": "x", "crush/pitch": "soft"})
    assert len(faults) == 3


def test_a_window_that_the_drag_eats_is_refused() -> None:
    """A seal that drags more than the whole lower end cannot be right."""
    changes: dict[str, object] = {
        "crush/readings_with": {"seal": False},
        "crush/seal_drag": 21.0,
    }  # fmt: skip
    (fault,) = faults_of(changes)
    assert fault.found == "a window from -1.0 lbf·in once the drag is off"


SCRAPS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)
KEYS = (
    "unit", "bearings", "new", "new/low", "new/high", "used", "example", "means", "with",
    "with/seal", "readings_with", "pitch", "angle_within", "risk", "ceiling", "drag",
    "seal_drag", "carrier_drag", "tool", "tool/kind", "tool/within", "tool/repeat", "tool/step",
    "radius", "pauses", "pauses/0", "pauses/0/angle", "pauses/0/torque", "pauses/0/values",
    "pauses/0/pull", "pauses/0/weight", "pauses/0/kind", "pauses/0/with", "pauses/0/turned",
    "pauses/0/nut", "pauses/0/off", "note",
)  # fmt: skip


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.sampled_from(KEYS), SCRAPS.filter(lambda value: value is not None), st.booleans())
def test_rubbish_is_trouble_or_a_crush(key: str, value: object, pull: bool) -> None:
    """Whatever stands at a place, the crush spacer is read, all finite, or refused with faults."""
    changes = PULL if pull and not key.startswith(("pauses", "radius", "tool")) else {}
    try:
        crush = crush_of({**changes, f"crush/{key}": value})
    except Trouble as trouble:
        assert all(str(fault).isprintable() for fault in trouble.faults)
        return
    assert 0.0 < crush.low_newton_m < crush.high_newton_m < math.inf
    for pause in crush.pauses:
        assert math.isfinite(pause.angle_deg + pause.torque_newton_m)
        assert 0.0 < pause.u_newton_m < math.inf
    assert 0.0 <= crush.common_share < math.inf
    assert all(math.isfinite(one) for one in (crush.window_u_newton_m, crush.drag_u_newton_m))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.floats(0.0, 400.0), st.floats(0.0, 40.0)), min_size=1, max_size=9),
    st.sampled_from(sorted(NEWTON_M_PER)),
)
def test_the_unit_changes_nothing(pairs: list[tuple[float, float]], unit: str) -> None:
    """The same torques in another unit, the pauses in any order: the same pauses in order."""

    def pauses(per: float) -> list[dict[str, object]]:
        return [
            {"angle": angle, "torque": torque / per, "turned": True, "kind": "moving"}
            for angle, torque in pairs
        ]

    tool = {"kind": "wrench", "within": "3 %", "repeat": "3 %", "step": "0.1 N.m"}
    window = {"low": "2 N.m", "high": "3 N.m"}
    base: dict[str, object] = {"crush/tool": tool, "crush/new": window, "crush/used": None}
    one = crush_of({**base, "crush/unit": "N.m", "crush/pauses": pauses(1.0)})
    two = crush_of({**base, "crush/unit": unit, "crush/pauses": pauses(NEWTON_M_PER[unit])})
    assert [p.angle_deg for p in one.pauses] == sorted(angle for angle, _ in pairs)
    for a, b in zip(one.pauses, two.pauses, strict=True):
        assert a.number == b.number and a.angle_deg == b.angle_deg
        assert b.torque_newton_m == pytest.approx(a.torque_newton_m, rel=1e-12)
        assert b.u_newton_m == pytest.approx(a.u_newton_m, rel=1e-12)
