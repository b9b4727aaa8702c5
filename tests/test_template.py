"""The template of a ring: as large on paper as the job says, with its bars and its cautions."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdf
import pypdfium2
import pytest
from pypdf.generic import ContentStream

from solver.bench_notes import BenchNotes, Ring
from solver.job import PINION_HEAD, PLAIN_SIDE, WHEEL_SIDE, Job, Limit
from solver.paper import PAPERS, Paper
from solver.sheet_pdf import pdf_of, words_wide_mm
from solver.template import (
    CUTTING_CAUTIONS,
    Template,
    template_of_mend,
    template_of_thickness,
)
from solver.template_page import lay_template_out
from solver.trouble import Trouble
from tests.answers import a_job, against, met, none, short
from tests.paper_checks import check_paper

EXACT_MM = 0.01  # on paper
RING = Ring("", 68_000.0, 52_000.0, 500.0)
TRACE = "job.toml sha256 0123456789ab"
Point = tuple[float, float]


def ringed(*rings: Ring) -> Job:
    """A job that says its rings."""
    return a_job(bench=BenchNotes(rings=rings or (RING,)))


def template(ring: Ring = RING, thickness_um: float = 412.0) -> Template:
    """A template of a thickness that was asked for."""
    return template_of_thickness(ringed(ring), PLAIN_SIDE, thickness_um, "job.toml", TRACE)


def pdf(ring: Ring = RING, paper: str = "A4") -> bytes:
    """The template as PDF."""
    page = lay_template_out(template(ring), paper, words_wide_mm)
    return pdf_of((page,), "ring")


def drawn(data: bytes) -> tuple[list[tuple[float, Point]], list[tuple[Point, Point]]]:
    """What a reader of PDF finds on the page: circles (diameter, centre) and straight lines."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    contents = reader.pages[0].get_contents()
    assert contents is not None
    circles: list[tuple[float, Point]] = []
    lines: list[tuple[Point, Point]] = []
    path: list[Point] = []
    curved = False
    for operands, operator in ContentStream(contents, reader).operations:
        if operator == b"cm":
            assert [float(one) for one in operands[:4]] == [1, 0, 0, 1]  # nothing is scaled
        if operator in (b"m", b"l", b"c"):
            curved = operator == b"c" or (curved and operator != b"m")
            path = [] if operator == b"m" else path
            path.append(tuple(float(one) * 25.4 / 72.0 for one in operands[-2:]))  # type: ignore[arg-type]
        elif operator == b"S":
            x, y = zip(*path, strict=True)
            if curved:
                wide, tall = max(x) - min(x), max(y) - min(y)
                assert wide == pytest.approx(tall, abs=1e-4)
                circles.append((wide, (max(x) - wide / 2, max(y) - tall / 2)))
            elif len(path) == 2:
                lines.append((path[0], path[1]))
            path, curved = [], False
    return circles, lines


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("ring", "outside", "inside"),
    [
        (RING, 67.5, 52.5),
        (Ring("", 31_750.0, 19_050.0, 254.0), 31.496, 19.304),
        (Ring("", 130_000.0, 110_000.0, 0.0), 130.0, 110.0),
    ],
)
def test_the_ring_is_as_large_as_the_job_says(
    ring: Ring, outside: float, inside: float, paper: str
) -> None:
    """A little under outside, a little over inside, about one centre, by the PDF's operators."""
    circles, _ = drawn(pdf(ring, paper))
    assert [found for found, _ in circles] == pytest.approx([outside, inside], abs=EXACT_MM / 10)
    (_, first), (_, second) = circles
    assert first == pytest.approx(second, abs=EXACT_MM / 10)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_bars_are_as_long_as_they_say(paper: str) -> None:
    """100 mm and 4 in, with ticks at every 10 mm and every inch."""
    _, lines = drawn(pdf(paper=paper))
    flat = [(a, b) for a, b in lines if a[1] == b[1] and a[0] == pytest.approx(12.0, abs=1e-3)]
    bars = {round(b[0] - a[0], 3): a for a, b in flat if b[0] - a[0] in (
        pytest.approx(100.0, abs=EXACT_MM / 10), pytest.approx(101.6, abs=EXACT_MM / 10)
    )}  # fmt: skip
    assert sorted(bars) == [100.0, 101.6]
    for long, steps in ((100.0, 10), (101.6, 4)):
        left, level = bars[long]
        ticks = sorted(a[0] for a, b in lines if a[0] == b[0] and level in (a[1], b[1]))
        wanted = [left + long * k / steps for k in range(steps + 1)]
        assert ticks == pytest.approx(wanted, abs=EXACT_MM / 10)


def test_an_independent_renderer_measures_the_same() -> None:
    """Rasterised at 1200 dots to the inch: the lines' middles lie apart what the job says."""
    page = pypdfium2.PdfDocument(pdf())[0]
    dots = page.render(scale=1200 / 72, grayscale=True).to_numpy()
    dots = dots.reshape(dots.shape[0], -1) < 128
    circles, _ = drawn(pdf())
    row = dots[round((297.0 - circles[0][1][1]) / 25.4 * 1200)]  # through the centre
    dark = row.nonzero()[0]
    runs = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    middles = [(run[0] + run[-1] + 1) / 2 * 25.4 / 1200 for run in runs]
    assert len(middles) == 5  # both circles twice, and the cross between them
    assert middles[4] - middles[0] == pytest.approx(67.5, abs=0.03)
    assert middles[3] - middles[1] == pytest.approx(52.5, abs=0.03)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("outside_um", [15_000.0, 68_000.0, 140_000.0])
@pytest.mark.parametrize("alarmed", [False, True])
def test_nothing_overlaps_and_nothing_leaves_the_page(
    outside_um: float, paper: str, alarmed: bool
) -> None:
    """Small and large rings, on either paper, with alarms and without."""
    ring = Ring("", outside_um, outside_um - 9_000.0, 200.0)
    made = template(ring)
    if alarmed:
        limits = tuple(replace(limit, example=True) for limit in a_job().limits)
        job = a_job(bench=BenchNotes(rings=(ring,)), limits=limits)
        answer = short(job=job, agreement=against("look again", 0.03))
        made = template_of_mend(answer, "job.toml", TRACE)
        assert len(made.alarms) == 2
    check_paper(lay_template_out(made, paper, words_wide_mm))


def test_a_ring_that_no_paper_holds_is_refused() -> None:
    """One line: how large it may be; never a template made smaller."""
    with pytest.raises(Trouble, match=r"ring: outside: found a ring of 219\.5 mm, wanted one of"):
        pdf(Ring("", 220_000.0, 200_000.0, 500.0))


def test_what_stands_on_it() -> None:
    """Real text: diameters, where they come from, how to print, every caution."""
    page = pypdf.PdfReader(io.BytesIO(pdf())).pages[0]
    text = " ".join(page.extract_text().split())
    for words in (
        "TEMPLATE 1:1",
        "Cut one of 16.22 thou (0.412 mm) for the plain side",
        "outside 2.657 in (67.50 mm), inside 2.067 in (52.50 mm)",
        "bears on 2.677 in (68.00 mm) outside, 2.047 in (52.00 mm) inside; clearance 0.020 in",
        "no answer stands behind it",
        "Print at 100 %",
        "100 mm",
        "4 in",
        "Grain:",
        "Burr:",
        "at four places",
        TRACE,
    ):
        assert words in text, words
    said = " ".join(CUTTING_CAUTIONS)
    for words in ("like razors", "Clamp the blank", "gloves", "Deburr flat", "manual is right"):
        assert words in said


def test_the_mend_of_an_answer_is_what_is_cut() -> None:
    """Its thickness, its seat, and the chance with it; a drawer that is short is no alarm."""
    made = template_of_mend(short(job=ringed()), "job.toml", TRACE)
    assert made.headline == "Cut one of 16.25 thou (0.413 mm) for the plain side"
    assert "96 of 100 builds" in made.why and "plain side B3 + new" in made.why
    assert made.alarms == ()
    not_enough = template_of_mend(short(job=ringed(), enough=False), "job.toml", TRACE)
    assert not_enough.alarms[0].startswith("SHORT EVEN WITH IT: 90 of 100")


def test_example_limits_stand_on_a_template_too() -> None:
    """Somebody could cut to them."""
    limits = (Limit("backlash", 127.0, 203.2, example=True), Limit("pinch", 127.0, 203.2))
    made = template_of_mend(short(job=replace(ringed(), limits=limits)), "job.toml", TRACE)
    assert made.alarms[0].startswith("EXAMPLE LIMITS")


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        (met(job=ringed()), "found a drawer that meets it as it is"),
        (short(job=ringed(), agreement=against()), "found readings that disagree"),
        (short(job=ringed(), enough=False, ceiling=0.9), "no one thickness that would mend it"),
        (none(job=ringed()), "no one thickness that would mend it"),
        (short(), "job.toml: ring: found nothing, wanted the size of the ring for the plain side"),
    ],
)
def test_nothing_is_cut_without_need(answer: object, words: str) -> None:
    """Each refusal says why, and the way out."""
    with pytest.raises(Trouble, match=words):
        template_of_mend(answer, "job.toml", TRACE)  # type: ignore[arg-type]


def test_a_seat_with_a_ring_of_its_own() -> None:
    """Its ring, not another's; and which one is asked where no seat is named."""
    job = ringed(Ring(PINION_HEAD, 90_000.0, 60_000.0, 500.0))
    made = template_of_thickness(job, PINION_HEAD, 400.0, "job.toml", TRACE)
    assert (made.outside_um, made.inside_um) == (89_500.0, 60_500.0)
    for seat, words in (("", "add --seat 'pinion head'"), (WHEEL_SIDE, "found nothing")):
        with pytest.raises(Trouble, match=words):
            template_of_thickness(job, seat, 400.0, "job.toml", TRACE)


def test_the_template_is_drawn_at_its_own_size_whatever_the_words() -> None:
    """Smaller type where room is short, never a smaller ring."""

    def page(outside_um: float) -> Paper:
        ring = Ring("", outside_um, 20_000.0, 0.0)
        return lay_template_out(template(ring), "Letter", words_wide_mm)

    for outside_um in (40_000.0, 145_000.0):
        circles, _ = drawn(pdf_of((page(outside_um),), ""))
        assert circles[0][0] == pytest.approx(outside_um / 1000.0, abs=EXACT_MM / 10)
