"""What stands on the bench sheet, and the sheet as text."""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from solver.bench_notes import BenchNotes, Fastener, Mark
from solver.findings import Answer
from solver.fitting_order import fitting_order, lies_between
from solver.job import (
    PINION_HEAD,
    PLAIN_SIDE,
    WHEEL_SIDE,
    Layout,
    Limit,
    Reading,
    Seat,
    Spot,
    Stack,
)
from solver.plan import Piece, SeatStack
from solver.sheet import Sheet, digest_of, make_sheet, trace_of
from solver.sheet_readings import reading_rows
from solver.sheet_text import WIDTH, sheet_as_text
from tests.answers import FEELERS, a_job, against, met, none, short

TRACE = trace_of((("job.toml", b"a job"), ("drawer.csv", b"a drawer")))
EXAMPLE = (Limit("backlash", 127.0, 203.2, example=True), Limit("pinch", 127.0, 203.2))


def sheet_of(answer: Answer) -> Sheet:
    """The sheet of an answer."""
    return make_sheet(answer, TRACE)


def flat(text: str) -> str:
    """A text without its line breaks."""
    return " ".join(text.split())


@given(
    st.lists(
        st.builds(
            Piece,
            id=st.sampled_from(["A", "B", "C", "D"]),
            count=st.integers(1, 4),
            thickness_um=st.floats(10.0, 3000.0),
        ),
        max_size=5,
    )
)
@example([Piece("A", 1, 500.0), Piece("B", 1, 25.0), Piece("C", 1, 300.0)])
@example([Piece("A", 12, 100.0)])
@example([])
def test_thin_pieces_lie_between_thick_ones(pieces: list[Piece]) -> None:
    """Every piece is there once; thickness falls to the middle and rises again, thicker outside."""
    order = fitting_order(SeatStack(WHEEL_SIDE, tuple(pieces)))
    wanted = sorted((p.id, p.thickness_um) for p in pieces for _ in range(p.count))
    assert sorted((p.id, p.thickness_um) for p in order) == wanted
    thick = [piece.thickness_um for piece in order]
    half = (len(thick) + 1) // 2
    assert thick[:half] == sorted(thick[:half], reverse=True)
    assert thick[half:] == sorted(thick[half:])
    if len(thick) > 2:
        assert min(thick[0], thick[-1]) >= max(thick[1:-1])


@pytest.mark.parametrize(
    ("under", "shims", "ends"),
    [
        ("bearing", "outside", ("bearing", "housing")),
        ("bearing", "inside", ("carrier", "bearing")),
        ("cover", "inside", ("housing", "cover")),
        ("head bearing race", "outside", ("race", "housing")),
        ("head bearing cone", "outside", ("pinion head", "cone")),
        ("cartridge flange", "outside", ("housing", "flange")),
        ("spacer", "outside", ("spacer", "bearing")),
    ],
)
def test_a_stack_lies_between_its_faces(under: str, shims: str, ends: tuple[str, str]) -> None:
    """Every kind of seat, by where its shims sit."""
    assert lies_between(Seat(PINION_HEAD, under, 0, 3), Layout(shims=shims)) == ends


def test_a_sheet_to_be_built_to_raises_no_alarm() -> None:
    """Met, limits from a manual, readings that do not differ."""
    sheet = sheet_of(met())
    assert (sheet.alarms, sheet.tag, sheet.seats_note) == ((), "", "")
    assert sheet.headline == "Fit these 3 shims"
    assert sheet.chance.startswith("MET: 96 of 100 builds")
    assert [seat.seat for seat in sheet.seats] == [WHEEL_SIDE, PLAIN_SIDE]
    assert [bar.id for bar in sheet.seats[1].bars] == ["B3", "B3"]
    assert sheet.seats[1].total == "30.5 thou (0.775 mm)"


@pytest.mark.parametrize(
    ("answer", "alarm", "tag"),
    [
        (short(), "SHORT OF WHAT YOU WANT: 81 of 100", "NOT MET (SHORT)"),
        (none(), "NO STACK FITS", "NOT MET (NO STACK)"),
        (met(agreement=against()), "NOT TO BE BUILT: These readings cannot", "NOT TO BE BUILT"),
        (met(agreement=against("look again", 0.03)), "LOOK AGAIN FIRST", "LOOK AGAIN FIRST"),
        (met(job=a_job(limits=EXAMPLE)), "EXAMPLE LIMITS, from no manual", "EXAMPLE LIMITS"),
        (met(picked=True), "PICKED", "PICKED PLAN"),
    ],
)
def test_what_nobody_may_miss(answer: Answer, alarm: str, tag: str) -> None:
    """It stands at the top, is fenced in as text, and stands at the foot once more."""
    sheet = sheet_of(answer)
    assert any(alarm in words for words in sheet.alarms) and tag in sheet.tag
    text = sheet_as_text(sheet)
    fence = "!" * WIDTH
    assert alarm in flat(text.split(fence)[1].replace("!!", ""))
    assert text.rstrip().split("\n")[-1] == sheet.tag


def test_alarms_add_up() -> None:
    """One does not hide another."""
    answer = short(agreement=against(), job=a_job(limits=EXAMPLE))
    assert sheet_of(answer).tag == "NOT TO BE BUILT · NOT MET (SHORT) · EXAMPLE LIMITS"
    assert sheet_of(answer).seats_note.startswith("NOT TO BE BUILT")
    assert sheet_of(answer).chance == ""  # nothing is cut on readings that differ


def test_example_limits_are_marked_wherever_they_stand() -> None:
    """In the table and beside the blank that they are for; the other limit is not."""
    sheet = sheet_of(met(job=a_job(limits=EXAMPLE)))
    assert sheet.results[1][-1] == "EXAMPLE" and sheet.results[2][-1] == ""
    wanted = {blank.what: blank.wanted for blank in sheet.blanks}
    assert wanted["backlash at four places"] == "5.0 to 8.0 thou, EXAMPLE"
    assert wanted["pinch or spread of the housing"] == "5.0 to 8.0 thou"


def test_blanks_for_the_final_readings() -> None:
    """Backlash at four places, pinch or spread, torque, pattern of both flanks."""
    blanks = {blank.what: blank.places for blank in sheet_of(met()).blanks}
    assert blanks == {
        "backlash at four places": 4,
        "pinch or spread of the housing": 1,
        "rotating torque": 1,
        "contact pattern, drive": 1,
        "contact pattern, coast": 1,
    }


def test_torques_ask_to_be_checked() -> None:
    """A tick only where the job says so; near figures name each other."""
    bench = BenchNotes(
        (
            Fastener("cap bolts", 80.0, "80 N.m", True),
            Fastener("ring bolts", 88.0, "88 N.m"),
            Fastener("nut", 300.0, "300 N.m", note="and a new pin"),
        )
    )
    sheet = sheet_of(met(job=a_job(bench=bench)))
    assert [row.doubt for row in sheet.fasteners] == [
        "easily taken for ring bolts 88 N.m: which is which?",
        "easily taken for cap bolts 80 N.m: which is which?",
        "",
    ]
    text = sheet_as_text(sheet)
    assert "[x] cap bolts: 80 N.m" in text and "[ ] ring bolts: 88 N.m" in text
    assert "[ ] nut: 300 N.m; and a new pin\n      not yet checked in the manual" in text
    assert "None in the job" in sheet_as_text(sheet_of(met()))


def test_marks_are_the_jobs_or_asked_for() -> None:
    """What the job says; else the three that are asked at every rebuild, to be filled in."""
    own = sheet_of(met(job=a_job(bench=BenchNotes(marks=(Mark("flange", "two dots"),)))))
    assert "  - flange: two dots\n" in sheet_as_text(own)
    asked = sheet_as_text(sheet_of(met()))
    for words in ("flange to shaft", "caps: which on which side", "thrust bearing: which way"):
        assert words in asked


def test_the_trace_is_what_sha256sum_prints() -> None:
    """The first twelve digits of each file's own."""
    assert digest_of(b"a job") == hashlib.sha256(b"a job").hexdigest()[:12]
    digests = digest_of(b"a job"), digest_of(b"a drawer")
    assert "job.toml sha256 {}; drawer.csv sha256 {}".format(*digests) == TRACE
    assert trace_of((("a\n.toml", b""),), saved=False).endswith("; NOT SAVED when this was made")
    assert "\n" not in trace_of((("a\n.toml", b""),))


def test_every_way_to_read_is_said() -> None:
    """A line each, in the unit of the job, with how it was taken."""
    um, spot = 25.4, Spot("square to the tooth", 2540.0)
    readings = (
        Reading(1, "mesh gap", FEELERS, goes_um=(24 * um,), stops_um=25 * um, leaves=2),
        Reading(2, "plain gap", FEELERS, at_least_um=30 * um, fitted=(Stack(WHEEL_SIDE, 16 * um),)),
        Reading(3, "end float", FEELERS, at_most_um=0.0),
        Reading(4, "backlash", None, values_um=(5 * um, 6 * um), within_um=um, spot=spot,
                celsius=60),
        Reading(5, "total clearance", FEELERS, values_um=tuple(k * um for k in range(40, 50))),
        Reading(6, "backlash", FEELERS, around_um=(5 * um, 6 * um, 7 * um), note=" a  note "),
        Reading(
            7, "backlash", FEELERS, goes_um=(5 * um,),
            fitted=(Stack(PLAIN_SIDE, lots=(("A1", 2), ("B2", 1))),),
        ),
    )  # fmt: skip
    rows = reading_rows(a_job(readings=readings, words="US"))
    assert [row.read for row in rows] == [
        "24.0 goes, 25.0 thou stops",
        "30.0 thou, thickest leaf, goes",
        "no more than 0.0 thou to be felt",
        "5.0, 6.0 thou",
        "10 readings, mean 44.5, 40.0 to 49.0 thou",
        "5.0, 6.0, 7.0 thou round the wheel",
        "5.0 thou goes",
    ]
    assert [row.how for row in rows] == [
        "2 leaves",
        "with wheel side 16.0 thou",
        "",
        "square to the tooth 100.0 thou from the axis; at 60 °C",
        "",
        "a note",
        "with plain side 2 x A1 + B2",
    ]
    assert rows[2].of == "end play" and rows[3].tool == "within 1.0 thou"


@pytest.mark.parametrize("answer", [met(), short(), none(), met(agreement=against())])
def test_text_keeps_its_width(answer: Answer) -> None:
    """However long the words of the job are; nothing unprintable reaches a terminal."""
    marks = (Mark("cap\x1b[31m", "word " * 23), Mark("x" * 100, ""))
    job = replace(answer.job, title="T" * 200 + "\x07", bench=BenchNotes(marks=marks))
    text = sheet_as_text(sheet_of(replace(answer, job=job)))
    assert all(len(line) <= WIDTH for line in text.split("\n"))
    assert "\x1b" not in text and "\x07" not in text and text.endswith("\n")


def test_a_limit_that_is_none_is_said_so() -> None:
    """No figure is invented for the blank."""
    limits = (Limit("backlash", 127.0, 203.2), Limit("pinch", -math.inf, math.inf))
    wanted = {blank.what: blank.wanted for blank in sheet_of(met(job=a_job(limits=limits))).blanks}
    assert wanted["pinch or spread of the housing"] == "no limit"
