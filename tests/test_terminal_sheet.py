"""The verbs that write something to print, as a user runs them."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pypdf
import pytest

from solver import terminal
from solver.drawer_file import check_drawer, load_drawer
from solver.job_file import load_table, read_job
from solver.paper import PAPERS
from tests.test_terminal import DRAWER, JOB

EXAMPLE = Path(__file__).resolve().parent.parent / "stock_lists" / "bench_sheet.toml"
RING = '[ring]\noutside = "68 mm"\ninside = "52 mm"\nclearance = "0.5 mm"\n'
Captured = pytest.CaptureFixture[str]


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    """A job and its drawer on disk."""
    (tmp_path / "drawer.csv").write_text(DRAWER, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB + RING, encoding="utf-8")
    return path


def size_mm(path: Path) -> tuple[float, float]:
    """The size of a PDF's first page."""
    box = pypdf.PdfReader(path).pages[0].mediabox
    return float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72


def digest(path: Path) -> str:
    """What `sha256sum` begins with."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def test_a_sheet_is_written_and_said_so(job_path: Path, capsys: Captured) -> None:
    """0 for an answer that is met; the sheet names the very files it came from."""
    output = job_path.parent / "sheet.pdf"
    assert terminal.main(["sheet", str(job_path), "-o", str(output)]) == 0
    assert capsys.readouterr().out == f"Wrote {output}.\n"
    text = pypdf.PdfReader(output).pages[0].extract_text()
    assert "FIT THESE 2 SHIMS" in text
    for path in (job_path, job_path.parent / "drawer.csv"):
        assert f"{path.name} sha256 {digest(path)}" in text
    assert size_mm(output) == pytest.approx(PAPERS["A4"], abs=0.01)


def test_the_same_as_text(job_path: Path) -> None:
    """By the file's ending."""
    output = job_path.parent / "sheet.TXT"
    assert terminal.main(["sheet", str(job_path), "-o", str(output)]) == 0
    text = output.read_text(encoding="utf-8")
    assert text.startswith("BENCH SHEET") and digest(job_path) in text


@pytest.mark.parametrize("verb", ["sheet", "template"])
@pytest.mark.parametrize(
    ("words", "asked", "paper"),
    [("UK", [], "A4"), ("US", [], "Letter"), ("US", ["--paper", "A4"], "A4"),
     ("UK", ["--paper", "Letter"], "Letter")],
)  # fmt: skip
def test_paper_is_the_trades_own_or_what_was_asked(
    verb: str, words: str, asked: list[str], paper: str, job_path: Path
) -> None:
    """Letter where the job speaks US words, A4 else."""
    job_path.write_text(f'words = "{words}"\n{JOB}{RING}', encoding="utf-8")
    output = job_path.parent / "out.pdf"
    more = ["--thickness", "16.3"] if verb == "template" else []
    assert terminal.main([verb, str(job_path), "-o", str(output), *asked, *more]) == 0
    assert size_mm(output) == pytest.approx(PAPERS[paper], abs=0.01)


def test_a_sheet_that_is_not_met_ends_with_one(job_path: Path) -> None:
    """Written all the same, and nobody can miss it."""
    thin = job_path.parent / "thin.csv"
    thin.write_text("id,thickness,unit,count\nA1,1.0,thou,1\n", encoding="utf-8")
    output = job_path.parent / "sheet.txt"
    words = ["sheet", str(job_path), "--drawer", str(thin), "-o", str(output)]
    assert terminal.main(words) == 1
    text = output.read_text(encoding="utf-8")
    assert "NO STACK FITS" in text and f"thin.csv sha256 {digest(thin)}" in text


def test_a_template_of_a_thickness_needs_no_readings(job_path: Path, capsys: Captured) -> None:
    """Neither limits nor drawer: only the ring."""
    job_path.write_text(f'unit = "mm"\n{RING}', encoding="utf-8")
    output = job_path.parent / "ring.pdf"
    words = ["template", str(job_path), "-o", str(output), "--thickness"]
    assert terminal.main([*words, "0.41"]) == 0
    assert "Print at 100 %" in capsys.readouterr().out
    text = pypdf.PdfReader(output).pages[0].extract_text()
    assert "0.410 mm" in text and "67.50 mm" in text
    assert terminal.main([*words, "16 1/4 thou"]) == 0
    assert "0.413 mm" in pypdf.PdfReader(output).pages[0].extract_text()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["sheet", "JOB"], "sheet JOB -o FILE.pdf"),
        (["sheet", "JOB", "-o", "sheet.doc"], "a name that ends in .pdf or .txt"),
        (["template", "JOB", "-o", "ring.txt"], "a name that ends in .pdf"),
        (["sheet", "JOB", "-o", "out.pdf", "--paper", "A5"], "invalid choice"),
        (["template", "JOB", "-o", "out.pdf"], "found a drawer that meets it as it is"),
        (["template", "JOB", "-o", "out.pdf", "--seat", "wheel side"], "--thickness"),
        (["template", "JOB", "-o", "out.pdf", "--thickness", "thick"], "--thickness: found"),
        (["template", "JOB", "-o", "out.pdf", "--thickness", "-1"], "a length above 0"),
        (["sheet", "nowhere.toml", "-o", "out.pdf"], "no such file"),
        (["sheet", "JOB", "-o", "no/such/folder/out.pdf"], "no way to write it"),
    ],
)
def test_bad_input_is_one_line_and_nothing_is_written(
    words: list[str], said: str, job_path: Path, capsys: Captured,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Exit code 2."""
    monkeypatch.chdir(job_path.parent)
    before = sorted(job_path.parent.iterdir())
    assert terminal.main([str(job_path) if one == "JOB" else one for one in words]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and said in printed.err and printed.err.count("\n") == 1
    assert sorted(job_path.parent.iterdir()) == before


def test_a_job_without_a_ring_is_asked_for_one(job_path: Path, capsys: Captured) -> None:
    """No diameter is assumed."""
    job_path.write_text(JOB, encoding="utf-8")
    output = job_path.parent / "ring.pdf"
    words = ["template", str(job_path), "-o", str(output), "--thickness", "16"]
    assert terminal.main(words) == 2
    assert "add [ring] with outside" in capsys.readouterr().err and not output.exists()


def test_the_example_makes_both(tmp_path: Path) -> None:
    """It is sound, marked EXAMPLE, short of one piece to cut, and asks of its torques."""
    job = read_job(load_table(EXAMPLE), EXAMPLE.name, EXAMPLE.parent)
    assert job.drawer_path is not None
    check_drawer(load_drawer(job.drawer_path), job)
    assert all(limit.example for limit in job.limits)
    sheet, ring = tmp_path / "sheet.pdf", tmp_path / "ring.pdf"
    assert terminal.main(["sheet", str(EXAMPLE), "-o", str(sheet)]) == 1
    assert terminal.main(["template", str(EXAMPLE), "-o", str(ring)]) == 0
    text = pypdf.PdfReader(sheet).pages[0].extract_text()
    for words in ("NOT MET (SHORT) · EXAMPLE LIMITS", "easily taken for", "two centre-punch"):
        assert words in text
    assert "Cut one of 1.060 mm" in pypdf.PdfReader(ring).pages[0].extract_text()
