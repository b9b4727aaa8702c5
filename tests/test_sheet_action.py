"""Bench sheet and template out of the window: asked where, drawn beside it, written, said where."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pypdf
from whole_window import Bench, example_in

SHIPPED = Path(__file__).resolve().parent.parent / "stock_lists"
Opened = Callable[..., Bench]


def short_in(folder: Path) -> Path:
    """Copy the job that is short of one piece, and its drawer."""
    for name in ("bench_sheet.toml", "bench_sheet_drawer.csv"):
        (folder / name).write_bytes((SHIPPED / name).read_bytes())
    return folder / "bench_sheet.toml"


def choose(bench: Bench, label: str) -> None:
    """Choose a line of the window's menu."""
    menu = bench.frame.bar.menu
    end = menu.index("end")
    lines = [k for k in range(end + 1) if menu.type(k) == "command"]
    menu.invoke(next(k for k in lines if menu.entrycget(k, "label") == label))
    bench.top.update()


def written(bench: Bench, path: Path) -> str:
    """Wait for a file and for the word of it; its text."""
    bench.until(lambda: f"Saved {path.name} in {path.parent}." in bench.frame.notice.text)
    if path.suffix == ".txt":
        return " ".join(path.read_text(encoding="utf-8").split())
    return pypdf.PdfReader(path).pages[0].extract_text()


def digest(path: Path) -> str:
    """What `sha256sum` begins with."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12]


def test_a_bench_sheet_by_the_menu(opened: Opened, tmp_path: Path) -> None:
    """In the unit and the words that are shown; its digests are those of the files on the disk."""
    job = example_in(tmp_path)
    bench = opened(job).start()
    bench.window.set_words("US")
    bench.settle()
    bench.answers = [tmp_path / "sheet.pdf"]
    choose(bench, "Bench sheet…")
    text = written(bench, tmp_path / "sheet.pdf")
    assert bench.asked == ["save example-sheet.pdf"]
    assert "FIT THESE 4 SHIMS" in text and "side-bearing preload" in text
    assert "EXAMPLE LIMITS" in text and "NOT SAVED" not in text
    for path in (job, tmp_path / "example_drawer.csv"):
        assert f"{path.name} sha256 {digest(path)}" in text
    box = pypdf.PdfReader(tmp_path / "sheet.pdf").pages[0].mediabox
    assert round(float(box.width)) == 612  # Letter: the words that are shown are US


def test_work_that_is_not_saved_is_said_so(opened: Opened, tmp_path: Path) -> None:
    """The digest is of what would be saved; saving then makes it come true."""
    job = example_in(tmp_path)
    bench = opened(job).start()
    bench.window.edited(lambda table: {**table, "title": "Another"}, ("title",), False)
    bench.settle()
    bench.answers = [tmp_path / "sheet.txt"]
    choose(bench, "Bench sheet…")
    text = written(bench, tmp_path / "sheet.txt")
    assert "Another" in text and "NOT SAVED when this was made" in text
    assert digest(job) not in text
    bench.press("Control-s")
    assert digest(job) in text


def test_nothing_is_overwritten_unasked(opened: Opened, tmp_path: Path) -> None:
    """The question is the notice's; until it is answered the file stays as it was."""
    path = tmp_path / "sheet.txt"
    path.write_text("mine", encoding="utf-8")
    bench = opened(example_in(tmp_path)).start()
    bench.answers = [path]
    choose(bench, "Bench sheet…")
    assert "sheet.txt was there already" in bench.frame.notice.text
    assert path.read_text(encoding="utf-8") == "mine"
    bench.frame.notice.buttons["Save over it"].invoke()
    assert "BENCH SHEET" in written(bench, path)


def test_a_name_with_a_strange_ending_is_refused(opened: Opened, tmp_path: Path) -> None:
    """And a path given up writes nothing."""
    bench = opened(example_in(tmp_path)).start()
    bench.answers = [tmp_path / "sheet.doc", None]
    choose(bench, "Bench sheet…")
    assert "is a .pdf or a .txt" in bench.frame.notice.text
    choose(bench, "Bench sheet…")
    assert not (tmp_path / "sheet.doc").exists() and len(bench.asked) == 2


def test_a_template_of_the_mend(opened: Opened, tmp_path: Path) -> None:
    """The piece that the answer at the right advises."""
    bench = opened(short_in(tmp_path)).start()
    bench.answers = [tmp_path / "ring.pdf"]
    choose(bench, "Template to cut…")
    bench.frame.middle.setup.bench.write.invoke()
    text = written(bench, tmp_path / "ring.pdf")
    assert "Cut one of 1.060 mm" in text and "71.40 mm" in text
    assert bench.asked == ["save bench_sheet-ring.pdf"]


def test_a_template_says_why_there_is_none(opened: Opened, tmp_path: Path) -> None:
    """A drawer that meets it; or no word of the ring, which is asked for and not assumed."""
    bench = opened(example_in(tmp_path)).start()
    choose(bench, "Template to cut…")
    line = bench.frame.middle.setup.form.lines["ring", "cut"]
    found = "found a drawer that meets it as it is"
    assert f"Nothing is advised to be cut: {found}." in str(line.cget("text"))
    folder = tmp_path / "other"
    folder.mkdir()
    job = short_in(folder)
    text = job.read_text(encoding="utf-8")
    job.write_text(text[: text.index("[ring]")], encoding="utf-8")
    other = opened(job).start()
    choose(other, "Template to cut…")
    setup = other.frame.middle.setup
    setup.bench.write.invoke()
    assert "add [ring] with outside" in str(setup.form.lines["ring", "cut"].cget("text"))
    assert bench.asked == other.asked == []


def test_an_answer_that_is_old_is_not_printed(opened: Opened, tmp_path: Path) -> None:
    """While a new one is on its way, or none is there."""
    bench = opened(example_in(tmp_path)).start()
    field = bench.field(1, "goes")
    bench.put(field, "")
    bench.settle()
    bench.window.calls["bench sheet"]()
    assert "There is no answer to print yet" in bench.frame.notice.text and bench.asked == []


def test_a_folder_that_cannot_be_written_is_said(opened: Opened, tmp_path: Path) -> None:
    """One line in the notice, no traceback."""
    bench = opened(example_in(tmp_path)).start()
    bench.answers = [tmp_path / "nowhere" / "sheet.txt"]
    choose(bench, "Bench sheet…")
    bench.until(lambda: "no way to write it" in bench.frame.notice.text)
