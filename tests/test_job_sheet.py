"""Fasteners, marks and rings in a job file: read whole, or every fault at once; nothing assumed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from solver.bench_notes import BenchNotes, Fastener, Ring, taken_for
from solver.job_file import read_job
from solver.job_sheet import LONGEST, MOST_FASTENERS, MOST_MARKS, read_notes
from solver.job_table import Notes, Page
from solver.trouble import Trouble
from tests.test_terminal import JOB


def noted(text: str, unit: str = "mm") -> BenchNotes:
    """Read the notes of a job's text. Raises: Trouble."""
    notes = Notes("job.toml")
    found = read_notes(Page(tomllib.loads(text), (), notes, unit))
    notes.raise_faults()
    return found


def faults(text: str) -> list[str]:
    """Every fault of a text, as it is printed."""
    with pytest.raises(Trouble) as caught:
        noted(text)
    return [str(fault) for fault in caught.value.faults]


def test_everything_is_read() -> None:
    """Torques keep the digits and the unit that the user wrote; lengths are in the job's unit."""
    found = noted("""
        [[fasteners]]
        what = " cap  bolts "
        torque = "80 N.m"
        checked = true
        note = "threads dry"
        [[fasteners]]
        what = "cover screws"
        torque = "18 lbf.ft"
        [marks]
        flange = "two dots"
        "left cap" = ""
        [ring]
        outside = 68
        inside = "2 in"
        clearance = 0.5
    """)
    first, second = found.fasteners
    assert (first.what, first.written, first.checked) == ("cap bolts", "80 N.m", True)
    assert first.note == "threads dry" and first.torque_newton_m == 80.0
    assert second.torque_newton_m == pytest.approx(18 * 1.3558179483314004) and not second.checked
    assert [(mark.what, mark.how) for mark in found.marks] == [
        ("flange", "two dots"),
        ("left cap", ""),
    ]
    assert found.ring("plain side") == Ring("", 68_000.0, 50_800.0, 500.0)
    assert found.rings[0].cut_um == (67_500.0, 51_300.0)


def test_a_seat_may_have_its_own_ring() -> None:
    """The pinion's bearing is of another size; a seat that is not named takes the general one."""
    ring = "outside = 60\ninside = 40\nclearance = 0\n"
    found = noted(f'[ring]\n{ring}[ring."pinion head"]\n{ring.replace("60", "80")}')
    assert found.ring("pinion head").outside_um == 80_000.0  # type: ignore[union-attr]
    assert found.ring("wheel side").outside_um == 60_000.0  # type: ignore[union-attr]
    alone = noted(f'[ring."pinion head"]\n{ring}')
    assert alone.ring("wheel side") is None and len(alone.rings) == 1


def test_nothing_said_is_nothing_noted() -> None:
    """No default, no assumption."""
    assert noted("") == BenchNotes()


def test_a_job_takes_them_up() -> None:
    """They are keys of the file, and end in the job."""
    text = JOB + '[[fasteners]]\nwhat = "nut"\ntorque = "200 N.m"\n[marks]\nflange = "dot"\n'
    job = read_job(tomllib.loads(text), "job.toml", Path())
    assert job.bench.fasteners[0].what == "nut" and job.bench.marks[0].how == "dot"


def test_every_fault_at_once() -> None:
    """A slip in each part: each is named, with its place and the way out."""
    found = faults("""
        [[fasteners]]
        what = "cap bolts"
        torque = 80
        [[fasteners]]
        torque = "-3 N.m"
        checked = "yes"
        [[fasteners]]
        what = ""
        torque = "80 N"
        tork = 1
        [marks]
        flange = 3
        [ring]
        outside = "68 mm"
        inside = "70 mm"
    """)
    assert len(found) == 10
    for place, words in (
        ("job.toml: fasteners: number 1: torque", "without a unit"),
        ("job.toml: fasteners: number 2: what", "what is tightened"),
        ("job.toml: fasteners: number 2: torque", "a torque above 0"),
        ("job.toml: fasteners: number 2: checked", "true or false"),
        ("job.toml: fasteners: number 3: what", "an empty text"),
        ("job.toml: fasteners: number 3: torque", "which is a force"),
        ("job.toml: fasteners: number 3: tork", "unknown word"),
        ("job.toml: marks: flange", "a text"),
        ("job.toml: ring: clearance", "on the diameter"),
        ("job.toml: ring: inside", "less than the outside"),
    ):
        assert any(line.startswith(f"{place}: found ") and words in line for line in found), place


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("fasteners = 3", "a list of tables"),
        ("fasteners = [3]", "number 1: found 3, wanted a table"),
        (f"fasteners = {[{} for _ in range(MOST_FASTENERS + 1)]}", "which a sheet can hold"),
        ("marks = 'dots'", "wanted a table"),
        ("[marks]\n" + "\n".join(f"m{k} = ''" for k in range(MOST_MARKS + 1)), "13 of them"),
        (f"[marks]\nflange = '{'x' * (LONGEST + 1)}'", "121 characters"),
        ("[ring]", "outside diameter"),
        ("[ring]\noutside = 60\ninside = 50\nclearance = 5", "one that leaves a ring"),
        ("[ring]\noutside = 60\ninside = 50\nclearance = -1", "0 or more"),
        ("[ring]\n'left side' = {}", "unknown word"),
    ],
)
def test_a_slip_is_named(text: str, words: str) -> None:
    """Whatever is wrong with a part of it."""
    assert any(words in line for line in faults(text)), faults(text)


def bolt(written: str, newton_m: float) -> Fastener:
    """A fastener of a torque."""
    return Fastener("bolt", newton_m, written)


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        (bolt("80 N.m", 80.0), bolt("94 N.m", 94.0), True),  # within 15 % of the larger
        (bolt("85 N.m", 85.0), bolt("100 N.m", 100.0), True),  # 15 % exactly
        (bolt("80 N.m", 80.0), bolt("95 N.m", 95.0), False),
        (bolt("45 N.m", 45.0), bolt("54 N.m", 54.0), True),  # digits the other way round
        (bolt("24 N.m", 24.0), bolt("240 N.m", 240.0), True),  # a nought lost
        (bolt("8.5 N.m", 8.5), bolt("85 N.m", 85.0), True),  # a point lost
        (bolt("85 N.m", 85.0), bolt("185 N.m", 185.0), True),  # a digit lost
        (bolt("80 N.m", 80.0), bolt("80 lbf.ft", 108.5), True),  # one number, two units
        (bolt("80 N.m", 80.0), bolt("80 N.m", 80.0), False),  # swapping these harms nobody
        (bolt("30 N.m", 30.0), bolt("72 N.m", 72.0), False),
    ],
)
def test_torques_that_are_easily_swapped(one: Fastener, other: Fastener, alike: bool) -> None:
    """Near ones and those that share their digits, whichever comes first."""
    assert bool(taken_for((one, other), 0)) is alike
    assert bool(taken_for((other, one), 1)) is alike
