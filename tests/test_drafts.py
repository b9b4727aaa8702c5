"""Drafts that outlive a crash, and settings that outlive damage."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from desktop.document import ChangedOnDisk, Document, new_document, open_document, save_document
from desktop.drafts import DraftKeeper, discard, left_behind
from desktop.drawer_edits import add_row, same_sheet
from desktop.edits import alike, set_at
from desktop.settings import MOST_RECENT, Settings, load_settings, save_settings
from desktop.typed import Number
from solver.drawer_sheet import new_sheet

HOUSE = Path(__file__).resolve().parent.parent
JOB = 'title = "Bench"  # kept\nunit = "mm"\ndrawer = "drawer.csv"\n'
DRAWER = "id;thickness;unit;count;bin\r\nA1;0,5;mm;2;left\r\n"

# Types into a job, says so, and waits to be killed.
TYPIST = """
import sys, time
from pathlib import Path
from desktop.document import open_document
from desktop.drafts import DraftKeeper
from desktop.drawer_edits import set_cell
from desktop.edits import set_at
from desktop.typed import Number
folder, job = Path(sys.argv[1]), Path(sys.argv[2])
document = open_document(job)
document = document.edited(set_at(("readings", 0, "goes"), Number("24.50")))
document = document.at(document.table, set_cell(document.sheet, 0, 3, "5"))
keeper = DraftKeeper(folder)
print(repr(keeper.keep(document)), flush=True)
time.sleep(60)
"""


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    """A job and its drawer on disk."""
    (tmp_path / "drawer.csv").write_bytes(DRAWER.encode())
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def edited(document: Document) -> Document:
    """A document with something to lose."""
    return document.edited(set_at(("readings", 0, "goes"), Number("24.50")))


def test_kill_nine(tmp_path: Path, job_path: Path) -> None:
    """Work typed before the program is killed is offered back whole, and only once it is dead."""
    folder = tmp_path / "drafts"
    typist = subprocess.Popen(
        [sys.executable, "-c", TYPIST, str(folder), str(job_path)],
        cwd=HOUSE, env={**os.environ, "PYTHONPATH": str(HOUSE)}, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert typist.stdout is not None
        assert typist.stdout.readline() == "''\n"
        assert left_behind(folder) == (), "the draft of a window that is open was offered"
    finally:
        typist.kill()
        typist.wait(10)
        typist.stdout.close()  # type: ignore[union-attr]
    (draft,) = left_behind(folder)
    document = draft.document
    assert draft.name == "Bench"
    assert str(document.table["readings"][0]["goes"]) == "24.50"
    assert document.sheet is not None
    assert document.sheet.rows[0].cells == ("A1", "0,5", "mm", "5", "left")
    assert document.job_unsaved
    assert document.drawer_unsaved
    assert not isinstance(save_document(document), ChangedOnDisk)
    assert job_path.read_text("utf-8") == JOB + "\n[[readings]]\ngoes = 24.50\n"
    expected = DRAWER.replace("mm;2;", "mm;5;").encode()
    assert (tmp_path / "drawer.csv").read_bytes() == expected
    discard(draft)
    assert left_behind(folder) == ()
    assert list(folder.iterdir()) == []


def test_clean_close_leaves_nothing(tmp_path: Path) -> None:
    """A window that ends as it should leaves no draft and no lock."""
    keeper = DraftKeeper(tmp_path)
    assert keeper.keep(edited(new_document())) == ""
    assert list(tmp_path.iterdir()) != []
    keeper.close()
    assert list(tmp_path.iterdir()) == []


def test_saved_work_has_no_draft(tmp_path: Path, job_path: Path) -> None:
    """Once the work is saved its draft is gone."""
    folder = tmp_path / "drafts"
    keeper = DraftKeeper(folder)
    document = edited(open_document(job_path))
    keeper.keep(document)
    assert len(list(folder.glob("*.json"))) == 1
    outcome = save_document(document)
    assert not isinstance(outcome, ChangedOnDisk)
    assert keeper.keep(outcome.document) == ""
    assert list(folder.glob("*.json")) == []
    keeper.close()


def crashed(keeper: DraftKeeper) -> None:
    """Let go of a keeper's lock as the end of its process would."""
    assert keeper._lock is not None
    keeper._lock.close()


def test_a_job_never_saved(tmp_path: Path) -> None:
    """A job that never had a file is offered back too, with its new drawer, and is unsaved."""
    keeper = DraftKeeper(tmp_path)
    document = edited(new_document("thou"))
    sheet, _ = add_row(new_sheet(), unit="thou")
    document = document.at(document.table, sheet)
    keeper.keep(document)
    crashed(keeper)
    (draft,) = left_behind(tmp_path)
    assert draft.name == "this job"
    assert alike(draft.document.table, document.table)
    assert same_sheet(draft.document.sheet, sheet)
    assert draft.document.path is None
    assert draft.document.unsaved


def test_the_newest_is_first_and_live_ones_are_not_offered(tmp_path: Path) -> None:
    """Of several windows that crashed the one last typed in comes first; open ones do not come."""
    first, second, third = (DraftKeeper(tmp_path) for _ in range(3))
    for number, keeper in enumerate((first, second, third, first)):
        document = new_document().edited(set_at(("title",), f"job {number}"))
        keeper.keep(document)
    crashed(first)
    crashed(second)
    assert [draft.name for draft in left_behind(tmp_path)] == ["job 3", "job 1"]
    third.close()


def test_changed_since_the_crash(tmp_path: Path, job_path: Path) -> None:
    """A job changed on the disk after the crash is not saved over unasked."""
    keeper = DraftKeeper(tmp_path / "drafts")
    keeper.keep(edited(open_document(job_path)))
    crashed(keeper)
    job_path.write_text("# theirs\n" + JOB, encoding="utf-8")
    (draft,) = left_behind(tmp_path / "drafts")
    assert save_document(draft.document) == ChangedOnDisk((job_path,))


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b'{"version": 1}', b'{"version": 99}', b"\xff"])
def test_damaged_draft(tmp_path: Path, data: bytes) -> None:
    """A draft that cannot be read is set aside, and stops nothing."""
    (tmp_path / "20260101-000000-ab.json").write_bytes(data)
    assert left_behind(tmp_path) == ()
    assert [file.name for file in tmp_path.iterdir()] == ["20260101-000000-ab.damaged"]


def test_no_folder(tmp_path: Path) -> None:
    """Where there is no folder there are no drafts."""
    assert left_behind(tmp_path / "none") == ()


def test_draft_that_cannot_be_kept(tmp_path: Path) -> None:
    """Where no draft can be kept the reason comes back in words, and nothing is raised."""
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    keeper = DraftKeeper(tmp_path / "file" / "drafts")
    assert keeper.keep(edited(new_document())) != ""
    keeper.close()


# Settings


def test_settings_come_back(tmp_path: Path) -> None:
    """What is remembered comes back as it was, whatever folder it has to make."""
    path = tmp_path / "new" / "settings.json"
    settings = Settings(1600, 900, True, "dark", True, "thou", "US").with_job(tmp_path / "a.toml")
    assert save_settings(settings, path) == ""
    assert load_settings(path) == settings


def test_no_settings_yet(tmp_path: Path) -> None:
    """Without a file the defaults serve."""
    assert load_settings(tmp_path / "settings.json") == Settings()


@pytest.mark.parametrize("data", [b"", b"{", b"[1]", b"\xff\xfe", b"[" * 100_000, b"null"])
def test_damaged_settings(tmp_path: Path, data: bytes) -> None:
    """A damaged file is set aside and the defaults serve."""
    path = tmp_path / "settings.json"
    path.write_bytes(data)
    assert load_settings(path) == Settings()
    assert [file.name for file in tmp_path.iterdir()] == ["settings.damaged"]


@pytest.mark.parametrize(
    "content",
    [
        {"width_px": -5, "height_px": "tall", "theme": "pink", "large": 1e9},
        {"large": float("nan"), "recent": "a", "last_job": 3, "maximised": 1},
        {"width_px": True, "recent": [1], "shown_unit": "furlong", "words": "FR"},
    ],
)
def test_senseless_settings(tmp_path: Path, content: dict[str, object]) -> None:
    """A setting that makes no sense has its default, and the others stay."""
    path = tmp_path / "settings.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    assert load_settings(path) == Settings()
    path.write_text(json.dumps({**content, "words": "US"}), encoding="utf-8")
    assert load_settings(path) == Settings(words="US")


def test_settings_of_a_newer_version_stay(tmp_path: Path) -> None:
    """What another version remembers is kept when this one saves."""
    path = tmp_path / "settings.json"
    path.write_text('{"theme": "dark", "wings": 2}', encoding="utf-8")
    save_settings(load_settings(path), path)
    content = json.loads(path.read_text("utf-8"))
    assert content["wings"] == 2
    assert content["theme"] == "dark"


def test_recent_jobs(tmp_path: Path) -> None:
    """Recent jobs come newest first, once each, and a lost one goes."""
    settings = Settings()
    for number in range(MOST_RECENT + 3):
        settings = settings.with_job(tmp_path / f"{number}.toml")
    settings = settings.with_job(tmp_path / "5.toml")
    assert len(settings.recent) == MOST_RECENT
    assert settings.recent[0] == settings.last_job == str(tmp_path / "5.toml")
    assert len(set(settings.recent)) == MOST_RECENT
    settings = settings.without_job(tmp_path / "5.toml")
    assert settings.last_job == ""
    assert str(tmp_path / "5.toml") not in settings.recent


def test_settings_that_cannot_be_kept(tmp_path: Path) -> None:
    """Where settings cannot be kept the reason comes back in words."""
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    assert save_settings(Settings(), tmp_path / "file" / "settings.json") != ""
