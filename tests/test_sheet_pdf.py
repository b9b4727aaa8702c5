"""The bench sheet on paper: real text, one page, nothing over anything, nothing off the page."""

from __future__ import annotations

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pypdfium2
import pytest

from solver.bench_notes import BenchNotes, Fastener, Mark
from solver.findings import Answer
from solver.job import (
    PINION_HEAD,
    PINION_SPACER,
    PLAIN_SIDE,
    WHEEL_SIDE,
    Job,
    Layout,
    Limit,
    Reading,
    Seat,
)
from solver.paper import PAPERS, Area, Paper, Words
from solver.plan import Piece, Plan, SeatStack
from solver.sheet import make_sheet, trace_of
from solver.sheet_page import lay_out
from solver.sheet_pdf import pdf_of, words_wide_mm
from tests.answers import FEELERS, a_job, a_verdict, against, met, none, short
from tests.jobs import PINION
from tests.paper_checks import box_of, check_paper

HOUSE = Path(__file__).resolve().parent.parent
TRACE = trace_of((("a-job-with-a-rather-long-name.toml", b"a"), ("drawer.csv", b"b")))
MANY = tuple(Piece(f"shim {k} of the left hand tin", 1, 40.0 + 13.0 * k) for k in range(12))
FOUR = tuple(
    Seat(name, under, 0, 12)
    for name, under in (
        (WHEEL_SIDE, "bearing"),
        (PLAIN_SIDE, "cover"),
        (PINION_HEAD, PINION.sits),
        (PINION_SPACER, "spacer"),
    )
)
LIMITS = tuple(
    Limit(name, -30.0, 70.0, example=True)
    for name in ("backlash", "pinch", "depth", "pinion end float")
)
NOTED = BenchNotes(
    tuple(Fastener(f"bolts of row {k}", 40.0 + 5 * k, f"{40 + 5 * k} N.m") for k in range(4)),
    (Mark("flange", "two dots"), Mark("left cap", "")),
)
FULL = BenchNotes(
    tuple(
        Fastener(f"bolts of row {k} " * 3, 40.0 + 5 * k, f"{40 + 5 * k} N.m", note="dry " * 20)
        for k in range(16)
    ),
    tuple(Mark(f"mark {k}", "how it goes " * 10) for k in range(12)),
)


def four_seats() -> Job:
    """Carrier and pinion, every seat of them."""
    return a_job(seats=FOUR, limits=LIMITS, pinion=PINION)


def stacked(pieces: int) -> Plan:
    """So many different pieces in each of the four seats."""
    return Plan(tuple(SeatStack(seat.name, MANY[:pieces]) for seat in FOUR))


def readings(count: int) -> tuple[Reading, ...]:
    """Many readings of one thing."""
    values = (1295.4, 1308.1, 1295.4, 1301.0)
    return tuple(
        Reading(k, "total clearance", FEELERS, values_um=values, note="pushed home both ways")
        for k in range(1, count + 1)
    )


STATES: dict[str, Answer] = {
    "met": met(),
    "met, noted": met(job=a_job(bench=NOTED)),
    "short": short(),
    "none": none(),
    "disagree": met(agreement=against()),
    "US, right, inside": short(job=a_job(words="US", layout=Layout("right", "inside"))),
    "pinion alone": met(
        job=a_job(seats=FOUR[2:], limits=LIMITS[2:], pinion=PINION, readings=()),
        verdict=a_verdict(plan=Plan(stacked(3).stacks[2:])),
    ),
    "four seats": met(job=four_seats(), verdict=a_verdict(plan=stacked(3))),
    "twelve pieces": met(job=four_seats(), verdict=a_verdict(plan=stacked(12))),
    "many readings": short(job=a_job(readings=readings(12))),
    "everything": short(
        job=replace(four_seats(), bench=FULL, readings=readings(90), title="long " * 40),
        verdict=a_verdict(plan=stacked(12)),
        agreement=against(),
    ),
}
ONE_PAGE = tuple(STATES)[:-1]


def pages_of(answer: Answer, paper: str = "A4") -> tuple[Paper, ...]:
    """The sheet of an answer, laid out."""
    return lay_out(make_sheet(answer, TRACE), paper, words_wide_mm)


def text_of(pdf: bytes) -> str:
    """The text of a PDF by a general library."""
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("state", STATES)
def test_nothing_overlaps_and_nothing_leaves_the_page(state: str, paper: str) -> None:
    """Every state, full and half-filled, on either paper; one page but where a job is stuffed."""
    pages = pages_of(STATES[state], paper)
    assert len(pages) == (1 if state in ONE_PAGE else 2)
    for page in pages:
        assert (page.wide_mm, page.tall_mm) == PAPERS[paper]
        check_paper(page)


@pytest.mark.parametrize("state", ["short", "everything"])
def test_alarms_stand_in_black_on_every_page(state: str) -> None:
    """White letters in a black field at the head, black ones at the foot."""
    for page in pages_of(STATES[state]):
        black = [one for one in page.items if isinstance(one, Area) and one.grey == 0.0]
        alarm = next(
            one for one in page.items if isinstance(one, Words) and "SHORT OF WHAT" in one.text
            and one.white
        )  # fmt: skip
        left, top, right, bottom = box_of(alarm)
        assert any(
            min(x for x, _ in area.points) <= left
            and max(x for x, _ in area.points) >= right
            and min(y for _, y in area.points) <= top
            and max(y for _, y in area.points) >= bottom
            for area in black
        )
        foot = max((one for one in page.items if isinstance(one, Words)), key=lambda w: w.size_mm)
        assert foot.y_mm < 40.0  # the headline is the largest
        assert any(
            isinstance(one, Words) and "NOT MET (SHORT)" in one.text and one.y_mm > 250.0
            for one in page.items
        )


def test_no_alarm_no_black_field() -> None:
    """A sheet to be built to does not cry wolf: black is left to the outline's shims."""
    page = pages_of(met())[0]
    assert not any(isinstance(one, Words) and one.white for one in page.items)


def test_the_text_is_text() -> None:
    """A general library reads back what a person reads: stacks, limits, torques, blanks, trace."""
    pdf = pdf_of(pages_of(short(job=a_job(bench=NOTED, limits=LIMITS[:2]))), "a title")
    text = text_of(pdf)
    for words in (
        "SHORT OF WHAT YOU WANT",
        "EXAMPLE LIMITS, from no manual",
        "NOT MET (SHORT) · EXAMPLE LIMITS",
        "wheel side",
        "1  A7, 16.0 thou (0.406 mm)",
        "2  B3, 15.25 thou (0.387 mm)",
        "total clearance: 51.0, 51.5, 51.0 thou",
        "bolts of row 1",
        "45 N.m",
        "easily taken for",
        "two dots",
        "backlash at four places",
        "rotating torque",
        "contact pattern, drive",
        "Turn the bearings ten times both ways",
        "drawer.csv sha256 3e23e8160039",
    ):
        assert words in text, words
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.metadata is not None and reader.metadata.title == "a title"
    fonts = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    kinds = {fonts[name].get_object()["/Subtype"] for name in fonts}
    assert "/Type3" not in kinds  # whole glyphs, not drawings of them


def test_a_users_own_letters_are_shown_or_asked_about() -> None:
    """Accents are kept, '$' is no formula, and what the type does not have becomes '?'."""
    paper = Paper(210.0, 297.0, (Words("Přední náprava $5_2$ ½ µm 軸", 20.0, 30.0, 4.0),))
    assert text_of(pdf_of((paper,), "")).strip() == "Přední náprava $5_2$ ½ µm ?"


def test_the_same_sheet_is_the_same_file() -> None:
    """No date, no chance: two prints of one job can be compared."""
    pages = pages_of(met())
    assert pdf_of(pages, "t") == pdf_of(pages, "t")


@pytest.mark.parametrize("paper", PAPERS)
def test_the_page_is_as_large_as_its_paper(paper: str) -> None:
    """In points of 1/72 in, exact to a thousandth of a millimetre."""
    box = pypdf.PdfReader(io.BytesIO(pdf_of(pages_of(met(), paper), ""))).pages[0].mediabox
    found = [float(side) * 25.4 / 72.0 for side in (box.width, box.height)]
    assert found == pytest.approx(PAPERS[paper], abs=1e-3)


def test_words_are_as_wide_as_measured() -> None:
    """What the layout reckons with is what is printed: within a hair of the ink's own width."""
    text = "Hamburgefonstiv 0.406 mm"
    for bold in (False, True):
        paper = Paper(200.0, 50.0, (Words(text, 20.0, 30.0, 8.0, bold),))
        page = pypdfium2.PdfDocument(pdf_of((paper,), ""))[0]
        picture = page.render(scale=300 / 72, grayscale=True).to_numpy()
        dark = (picture.reshape(picture.shape[0], -1) < 128).any(axis=0).nonzero()[0]
        ink = (dark[-1] - dark[0] + 1) * 25.4 / 300
        wide = words_wide_mm(text, 8.0, bold)
        assert wide - 2.0 < ink < wide  # less the room before the first letter and after the last


def test_only_the_sheet_loads_the_drawing_library() -> None:
    """`choose` and the help of the new verbs are as quick as before."""
    code = (
        "import sys; from solver.terminal import main; main(['choose', sys.argv[1]]);"
        "print('matplotlib' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(HOUSE / "stock_lists" / "example.toml")],
        cwd=HOUSE, capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    assert done.stdout.endswith("False\n")
