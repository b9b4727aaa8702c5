"""[pattern] in a job file: read with every fault at once, written back as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.job import Job
from solver.job_file import load_table, read_job
from solver.job_pattern import read_pattern
from solver.job_so_far import read_job_so_far
from solver.job_table import Notes, Page
from solver.pattern_rules import Flank, Pattern, pattern_table
from solver.trouble import Trouble

WHOLE: dict[str, object] = {
    "teeth": "face hobbed",
    "gears": "new",
    "drive": {"along": "toe", "across": "root", "how_far": "slight"},
    "coast": {"along": "middle", "across": "middle"},
}
HERE = Path("/nowhere")
JOB: dict[str, object] = {
    "title": "test",
    "unit": "thou",
    "seats": {"wheel side": {"under": "cover"}, "plain side": {"under": "bearing"}},
    "limits": {"backlash": {"low": 4, "high": 6}, "pinch": "no limit"},
    "mesh": {"transfer_ratio": {"value": 0.7, "within": 0.1}},
    "readings": [
        {"of": "total clearance", "value": 51, "within": 1},
        {"of": "mesh gap", "value": 24, "within": 1},
    ],
}


def job_of(pattern: object) -> Job:
    """A whole job with a [pattern] table, whatever that is. Returns it. Raises: Trouble."""
    return read_job({**JOB, "pattern": pattern}, "job.toml", HERE)


def read(table: object) -> tuple[Pattern | None, list[str]]:
    """A [pattern] table alone, with its faults in words."""
    notes = Notes("job.toml")
    found = read_pattern(Page({"pattern": table}, (), notes, "mm"))
    return found, [str(fault) for fault in notes.faults]


def test_a_whole_table() -> None:
    """Both flanks; in the middle nobody has to say how far."""
    found, faults = read(WHOLE)
    assert faults == []
    assert found == Pattern("face hobbed", "new", Flank("toe", "root"), Flank("middle", "middle"))


def test_no_table_is_no_pattern() -> None:
    """Most jobs have none."""
    assert read_pattern(Page({}, (), Notes("job.toml"), "mm")) is None
    assert read_job(JOB, "job.toml", HERE).pattern is None


def test_a_flank_not_looked_at_is_none() -> None:
    """One flank alone is read; the judgement asks for the other."""
    found, faults = read({"teeth": "not known", "gears": "used"})
    assert (found, faults) == (Pattern("not known", "used"), [])


def test_a_table_goes_there_and_back() -> None:
    """What the window writes is what is read."""
    found, _ = read(WHOLE)
    assert pattern_table(found) == WHOLE
    assert read(pattern_table(found))[0] == found
    assert pattern_table(None) == {}


def test_a_whole_job_has_its_pattern() -> None:
    """As one more table beside limits and readings."""
    assert job_of(WHOLE).pattern == read(WHOLE)[0]


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ("toe", ("pattern: found 'toe', wanted a table",)),
        ({"gears": "new"}, ("teeth: found nothing", "less deep at the toe than at the heel")),
        ({"teeth": "face milled"}, ("gears: found nothing", "not judged by their pattern")),
        ({**WHOLE, "teeth": "milled"}, ("teeth: found 'milled'",)),
        ({**WHOLE, "colour": "yellow"}, ("colour",)),
        ({**WHOLE, "drive": "toe"}, ("drive: found 'toe'",)),
        ({**WHOLE, "drive": {"along": "toe", "across": "tip"}}, ("how_far: found nothing",)),
        ({**WHOLE, "drive": {"along": "toe"}}, ("across: found nothing", "how_far")),
        ({**WHOLE, "coast": {"along": 3, "across": "tip", "how_far": "far"}}, ("along: found 3",)),
        (
            {**WHOLE, "coast": {"along": "toe", "across": "tip", "how_far": "far", "x": 1}},
            ("coast: x",),
        ),
    ],
)
def test_slips_are_told(bad: object, said: tuple[str, ...]) -> None:
    """Each with its place, in a whole job too. bad: the table; said: of its faults."""
    _, faults = read(bad)
    for words in said:
        assert any(words in fault for fault in faults), faults
    with pytest.raises(Trouble) as told:
        job_of(bad)
    assert all("pattern" in str(fault) for fault in told.value.faults)


def test_a_job_so_far_needs_no_readings() -> None:
    """Limits and readings that are not there are not made up; ratio and seats are the job's."""
    table, whole = {**JOB, "pattern": WHOLE}, job_of(WHOLE)
    bare = {key: table[key] for key in table if key not in ("limits", "readings")}
    job = read_job_so_far(bare, "job.toml", HERE)
    assert (job.limits, job.readings) == ((), ())
    assert (job.mesh, job.seats, job.pattern) == (whole.mesh, whole.seats, whole.pattern)
    full = read_job_so_far(table, "job.toml", HERE)
    assert full.readings == whole.readings and full.limits == whole.limits


@pytest.mark.parametrize(
    ("key", "bad"),
    [
        ("readings", []),
        ("limits", {"backlash": {"low": 3}}),
        ("seats", {"weel side": {"under": "bearing"}}),
        ("unit", "furlong"),
        ("pattern", {"teeth": "cast"}),
    ],
)
def test_what_is_there_has_to_be_sound(key: str, bad: object) -> None:
    """A job so far is lenient with what is lacking, not with what is wrong."""
    table = {"unit": "mm", "pattern": WHOLE, key: bad}
    with pytest.raises(Trouble) as told:
        read_job_so_far(table, "job.toml", HERE)
    assert any(key in str(fault) for fault in told.value.faults)


def test_the_example_is_sound() -> None:
    """It says that it is invented, and what its words mean."""
    path = Path(__file__).parent.parent / "stock_lists" / "contact_pattern.toml"
    job = read_job_so_far(load_table(path), path.name, path.parent)
    assert job.pattern is not None and job.pattern.drive == Flank("toe", "root")
    text = path.read_text("utf-8")
    assert "invented" in text and "convex" in text and "face hobbed" in text
