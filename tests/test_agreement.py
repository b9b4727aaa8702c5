"""Readings that cannot all be right: the loop, the one that stands clear, the assumed ratio."""

from __future__ import annotations

import re

import pytest

from solver.agreement import check_agreement
from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.findings import Agreement
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Stack, Tool
from solver.report_text import unchecked_line
from tests.jobs import DIAL, FEELERS, THOU_UM, a_job

CLOCK = Tool("clock", 0.0, 4.0, 0.0, 0.0, "dial")
EMPTY = Drawer(())


def agreement(job: Job) -> Agreement:
    """What is said of a job's readings. Returns it."""
    return check_agreement(job, estimate_job(job, EMPTY))


def loop(left_thou: float) -> Job:
    """36.5 thou of clearance; 8 thou fitted on the wheel side leave so much on the other."""
    fitted = (Stack(WHEEL_SIDE, 8.0 * THOU_UM),)
    return a_job(
        readings=(
            Reading(1, "total clearance", FEELERS, values_um=(36.5 * THOU_UM,)),
            Reading(2, "plain gap", FEELERS, values_um=(left_thou * THOU_UM,), fitted=fitted),
            Reading(3, "mesh gap", FEELERS, values_um=(10.0 * THOU_UM,)),
        )
    )


def test_the_loop_that_does_not_close_is_named() -> None:
    """36.5 against 8 + 24.5 is 4 thou open (check values, section 5): disagree, naming both."""
    found = agreement(loop(24.5))
    assert found.state == "disagree"
    assert found.freedom == 1
    assert found.p is not None and found.p < 0.01
    assert len(found.suspects) == 1
    suspect = found.suspects[0]
    assert suspect.reading is None  # with one degree of freedom nobody alone can be blamed
    assert suspect.words("thou").startswith("total clearance and plain gap cannot all be right")
    assert "mesh gap" not in suspect.words("thou")
    assert "4.0 thou apart" in suspect.words("thou")


def test_the_loop_that_closes_agrees() -> None:
    """36.5 against 8 + 28.5 closes: nothing is suspected, but nothing checks the mesh gap."""
    found = agreement(loop(28.5))
    assert (found.state, found.suspects) == ("agree", ())
    assert found.p == pytest.approx(1.0)
    assert found.unchecked == ("mesh gap",)


def test_readings_that_nothing_checks_are_listed() -> None:
    """Two readings of two quantities: unchecked, both named, no chance claimed."""
    found = agreement(a_job())
    assert found.state == "unchecked"
    assert (found.freedom, found.p, found.suspects) == (0, None, ())
    assert found.unchecked == ("total clearance", "mesh gap")


def several(bad: int, off_um: float) -> Job:
    """One axle read five ways, one of them wrong. bad: its number; off_um: by how much."""
    truth = {
        "total clearance": 1300.0,
        "mesh gap": 620.0,
        "plain gap": 900.0,
        "far gap in mesh": 680.0,
        "travel to mesh": 220.0,
    }
    fitted = (Stack(WHEEL_SIDE, 400.0),)
    return a_job(
        tools=(CLOCK,),
        readings=tuple(
            Reading(
                number,
                of,
                CLOCK,
                values_um=(value + (off_um if number == bad else 0.0),),
                fitted=fitted if of in ("plain gap", "travel to mesh") else (),
            )
            for number, (of, value) in enumerate(truth.items(), 1)
        ),
    )


@pytest.mark.parametrize("bad", [1, 2, 3, 4, 5])
def test_with_more_freedom_the_bad_reading_is_named(bad: int) -> None:
    """Five readings of two quantities; the one that is 60 µm off, and no other, is blamed."""
    found = agreement(several(bad, 60.0))
    assert found.freedom == 3
    assert found.state == "disagree"
    assert [suspect.reading for suspect in found.suspects] == [bad]
    assert "2.4 thou apart" in found.suspects[0].words("thou")  # 60 µm
    assert "0.060 mm apart" in found.suspects[0].words("mm")  # in whichever unit is shown
    assert agreement(several(bad, 0.0)).state == "agree"


def test_two_degrees_of_freedom_are_enough_to_name_one() -> None:
    """Three readings of one clearance, one of them 60 µm off."""
    readings = tuple(
        Reading(number, "total clearance", CLOCK, values_um=(value,))
        for number, value in enumerate((1300.0, 1362.0, 1301.0), 1)
    )
    gap = Reading(4, "mesh gap", CLOCK, values_um=(620.0,))
    found = agreement(a_job(tools=(CLOCK,), readings=(*readings, gap)))
    assert found.freedom == 2
    assert [suspect.reading for suspect in found.suspects] == [2]


def test_where_nobody_stands_clear_the_loop_is_named() -> None:
    """Two clearances against two: three degrees of freedom, and still no single one to blame."""
    readings = tuple(
        Reading(number, "total clearance", CLOCK, values_um=(value,))
        for number, value in enumerate((1290.0, 1290.5, 1330.0, 1330.5), 1)
    )
    gap = Reading(5, "mesh gap", CLOCK, values_um=(620.0,))
    found = agreement(a_job(tools=(CLOCK,), readings=(*readings, gap)))
    assert (found.state, found.freedom) == ("disagree", 3)
    assert [suspect.reading for suspect in found.suspects] == [None]
    assert "cannot all be right" in found.suspects[0].words("thou")


def trials(ratio: float, pinch_um: float) -> Job:
    """Two trials at two depths that show a ratio; it is assumed to be 0.72. pinch_um [µm]."""
    return a_job(
        mesh=Mesh(0.72, 0.02, 0.5, 0.2),
        tools=(CLOCK,),
        readings=(
            Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
            Reading(2, "mesh gap", CLOCK, values_um=(620.0,)),
            *(
                Reading(
                    number,
                    "backlash",
                    CLOCK,
                    values_um=(ratio * (620.0 - wheel + 0.5 * pinch_um),),
                    fitted=(
                        Stack(WHEEL_SIDE, wheel),
                        Stack(PLAIN_SIDE, 1300.0 - wheel + pinch_um),
                    ),
                )
                for number, wheel in ((3, 200.0), (4, 320.0))
            ),
        ),
    )


@pytest.mark.parametrize("pinch_um", [40.0, 0.0])
def test_a_wrong_assumed_ratio_is_said_to_be_wrong(pinch_um: float) -> None:
    """Two trials show 1.0 where 0.72 within 0.02 was assumed: the prior is blamed, no reading."""
    found = agreement(trials(1.0, pinch_um))
    assert found.state == "disagree"
    assert found.freedom == 2
    assert [suspect.reading for suspect in found.suspects] == [None]
    assert found.suspects[0].words("thou") == "the assumed transfer ratio is not what this axle has"
    assert agreement(trials(0.72, pinch_um)).state == "agree"


def test_a_bound_that_the_others_rule_out_is_named() -> None:
    """A clearance of 1300 and a leaf of 1360 that is said to go: the bound is the suspect."""
    readings = (
        Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
        Reading(2, "mesh gap", CLOCK, values_um=(620.0,)),
        Reading(3, "total clearance", CLOCK, at_least_um=1360.0),
    )
    found = agreement(a_job(tools=(CLOCK,), readings=readings))
    assert found.state == "disagree"
    assert [suspect.reading for suspect in found.suspects] == [3]


def test_repeats_that_scatter_are_said() -> None:
    """Repeats 100 µm apart by a clock of 4 µm are listed as scattered, steady ones are not."""
    gap = Reading(2, "mesh gap", CLOCK, values_um=(620.0, 622.0))
    for values, wanted in (((1300.0, 1400.0), ("total clearance",)), ((1300.0, 1303.0), ())):
        reading = Reading(1, "total clearance", CLOCK, values_um=values)
        assert agreement(a_job(tools=(CLOCK,), readings=(reading, gap))).scattered == wanted


def test_how_far_off_a_reading_could_be_unnoticed() -> None:
    """By hand: two clearances of u each check half of one another: 2.80 u sqrt 2; the gap none."""
    readings = (
        Reading(1, "total clearance", CLOCK, values_um=(1300.0,)),
        Reading(2, "total clearance", CLOCK, values_um=(1301.0,)),
        Reading(3, "mesh gap", CLOCK, values_um=(620.0,)),
    )
    lengths = dict(agreement(a_job(tools=(CLOCK,), readings=readings)).unnoticed_um)
    assert set(lengths) == {"total clearance (reading 1)", "total clearance (reading 2)"}
    for length in lengths.values():
        assert length == pytest.approx(2.80 * 4.0 * 2.0**0.5, rel=1e-6)


def bench_readings(gap_thou: float) -> Job:
    """Six readings of one axle by bench tools. gap_thou: what the mesh gap is read as; 23 is so."""

    def fitted(wheel: float, plain: float = 0.0) -> tuple[Stack, ...]:
        sides = ((WHEEL_SIDE, wheel), (PLAIN_SIDE, plain))
        return tuple(Stack(s, t * THOU_UM, 0.1 * THOU_UM) for s, t in sides if t)

    def read(no: int, of: str, values: tuple[float, ...], tool: Tool, *stacks: float) -> Reading:
        inside = fitted(*stacks) if stacks else ()
        return Reading(no, of, tool, tuple(v * THOU_UM for v in values), fitted=inside)

    return a_job(
        readings=(
            read(1, "total clearance", (52.0, 51.5, 52.0), FEELERS),
            read(2, "mesh gap", (gap_thou, gap_thou), FEELERS),
            read(3, "backlash", (5.8, 6.1, 5.9), DIAL, 18.0, 39.0),
            read(4, "backlash", (4.2, 4.4), DIAL, 20.0, 37.0),
            read(5, "end float", (3.5, 4.0), DIAL, 18.0, 30.0),
            read(6, "plain gap", (34.0, 34.0), FEELERS, 18.0),
        ),
        mesh=Mesh(0.75, 0.25, 0.5, 0.25),
    )


@pytest.mark.parametrize("gap_thou", [28.5, 32.5, 40.0])
def test_a_wrong_reading_is_named_however_far_off(gap_thou: float) -> None:
    """The mesh gap is blamed, and what the others make of it does not lean on it."""
    found = agreement(bench_readings(gap_thou))
    assert [suspect.reading for suspect in found.suspects] == [2]
    said = found.suspects[0].words("thou")
    alone = re.search(r"the others make it (\d+\.\d) thou", said)
    assert alone is not None and float(alone[1]) == pytest.approx(22.9, abs=0.11)
    assert agreement(bench_readings(23.0)).suspects == ()


def test_what_would_check_a_reading_really_does() -> None:
    """For each kind of reading that nothing checks, adding what the report names checks it."""
    fitted = (Stack(WHEEL_SIDE, 8.0 * THOU_UM), Stack(PLAIN_SIDE, 20.0 * THOU_UM))
    base = (
        Reading(1, "total clearance", FEELERS, values_um=(36.5 * THOU_UM,)),
        Reading(2, "mesh gap", FEELERS, values_um=(15.0 * THOU_UM,)),
    )
    far = Reading(3, "far gap in mesh", FEELERS, values_um=(21.5 * THOU_UM,))
    loose = Reading(3, "end float", FEELERS, values_um=(8.5 * THOU_UM,), fitted=fitted)
    travel = Reading(3, "travel to mesh", FEELERS, values_um=(7.0 * THOU_UM,), fitted=fitted[:1])
    for adds, checked in (
        (far, {"total clearance", "mesh gap"}),
        (loose, {"total clearance"}),
        (travel, {"mesh gap"}),
    ):
        job = a_job(readings=(*base, adds))
        unchecked = set(check_agreement(job, estimate_job(job, Drawer(()))).unchecked)
        assert not checked & unchecked
        named = {"end float": "play left with shims in"}.get(adds.of, adds.of)
        for of in checked:
            assert named in unchecked_line(of)
    alone = a_job(readings=base)
    assert set(check_agreement(alone, estimate_job(alone, Drawer(()))).unchecked) == {
        "total clearance", "mesh gap",
    }  # fmt: skip
