"""The verbs of the drawer's books: exit codes, what is said, a real process that is killed."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from solver import terminal
from solver.books import open_books
from solver.drawer_file import load_drawer
from solver.drawer_sheet import path_of_books
from tests.test_terminal import DRAWER, HOUSE, JOB, ONE_THIN

TITLE = "Orchard sprayer, rear bevel box"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job and its drawer on disk."""
    (tmp_path / "drawer.csv").write_text(DRAWER, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


@pytest.fixture
def drawer(job: Path) -> Path:
    """The job's drawer."""
    return job.with_name("drawer.csv")


def told(capsys, *words: object) -> tuple[int, str]:
    """Run a verb: its exit code and what it printed; nothing on stderr."""
    code = terminal.main([str(word) for word in words])
    printed = capsys.readouterr()
    assert printed.err == ""
    return code, printed.out


def refused(capsys, *words: object) -> str:
    """Run a verb that ends with 2: what stands on stderr, nothing on stdout."""
    code = terminal.main([str(word) for word in words])
    printed = capsys.readouterr()
    assert (code, printed.out) == (2, "")
    return printed.err


def test_take_says_first_what_it_would_book(job, drawer, capsys) -> None:
    """Without --yes nothing is written and the exit code is 1."""
    code, text = told(capsys, "take", job)
    assert code == 1
    assert text.startswith(f"THIS WOULD BE BOOKED IN drawer.csv\n{TITLE}\n")
    assert "you asked for 90 of 100." in text
    assert text.endswith("Nothing is booked yet: say --yes to book it.\n")
    assert drawer.read_text("utf-8") == DRAWER and not path_of_books(drawer).exists()


def test_take_books_puts_back_and_undoes(job, drawer, capsys) -> None:
    """The same lines in text, in JSON and in the file; back to the letter at the end."""
    preview = json.loads(told(capsys, "take", job, "--json")[1])
    code, text = told(capsys, "take", job, "--yes", "--json")
    booked = json.loads(text)
    assert code == 0 and booked["entry"] == 2 and booked["balance"]["balances"]
    assert [(x["lot"], x["count"], x["left"]) for x in booked["lines"]] == [
        (x["lot"], x["count"], x["left"]) for x in preview["lines"]
    ]
    fitted = open_books(drawer).books.fitted(TITLE)
    assert fitted == {line["lot"]: line["count"] for line in booked["lines"]}
    code, text = told(capsys, "take", job, "--yes")
    assert code == 0 and text.startswith("OUT OF drawer.csv ALREADY\n")
    code, text = told(capsys, "back", job)
    assert code == 0 and text.startswith("PUT BACK\n")
    assert "'shimwright undo drawer.csv --entry 3' takes it back" in text
    assert drawer.read_text("utf-8") == DRAWER
    assert told(capsys, "undo", drawer)[0] == 0
    assert open_books(drawer).books.fitted(TITLE) == fitted
    assert told(capsys, "back", 2, "--drawer", drawer)[0] == 0
    assert drawer.read_text("utf-8") == DRAWER


def test_choose_goes_on_with_the_pieces_that_are_out(job, drawer, capsys) -> None:
    """A trial reading names the pieces that are in: they are no longer in the drawer."""
    told(capsys, "take", job, "--yes")
    (wheel, count) = next(iter(open_books(drawer).books.fitted(TITLE).items()))
    assert load_drawer(drawer).lot(wheel).count == 2 - count
    code, text = told(capsys, "choose", job, "--json")
    answer = json.loads(text)
    assert code == 0
    assert any("out for this job already" in line for line in answer["assumed"])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text.replace("chance = 0.9", "chance = 0.9999"), "say --short"),
        (lambda text: text.replace("goes = 24.0\nstops = 25.0", "goes = 1.0\nstops = 1.5"), ""),
    ],
    ids=["short", "nothing fits"],
)
def test_take_books_nothing_that_should_not_be_built(job, drawer, capsys, change, said) -> None:
    """Below the chance, or no stack at all: exit 1, nothing written, --yes or not."""
    job.write_text(change(JOB), encoding="utf-8")
    code, text = told(capsys, "take", job, "--yes")
    assert code == 1 and text.startswith("NOTHING TAKEN\n") and said in text
    assert not path_of_books(drawer).exists()
    if said:
        assert told(capsys, "take", job, "--yes", "--short")[0] == 0


def test_measured_arrived_and_spoiled(drawer, capsys, job) -> None:
    """Each says its lines with what is left, and stands in the books."""
    code, text = told(capsys, "measured", drawer, "A1", "18.1", "--pieces", 1)
    assert code == 0 and "  A1-2  18.1 thou  1 measured, as now, 1 left\n" in text
    assert told(capsys, "arrived", drawer, "A2", 3)[0] == 0
    words = ("--cut", "--thickness", "0.25 mm", "--within", "0.01 mm", "--tool", "mic")
    assert told(capsys, "arrived", drawer, "C1", 2, *words)[0] == 0
    assert told(capsys, "spoiled", drawer, "A2", 1)[0] == 0
    lot = load_drawer(drawer).lot("C1")
    assert (lot.count, lot.tool, lot.thickness_um) == (2, "mic", pytest.approx(250.0))
    code, text = told(capsys, "books", drawer)
    assert code == 0 and text.startswith("THE BOOKS BALANCE\ndrawer.csv\n")
    sum_of = "12 in the drawer + 0 fitted + 1 used up = 8 at the start + 3 bought + 2 cut."
    assert sum_of in text
    assert text.splitlines()[-4].endswith("measured: 1 of A1 as A1-2 is 18.1 thou")
    assert text.splitlines()[-1].endswith("used up: A2")


def test_books_that_do_not_balance_end_with_one_and_can_be_adopted(drawer, capsys) -> None:
    """Before the first booking they are not there, and nothing is wrong with that."""
    code, text = told(capsys, "books", drawer)
    assert code == 0 and text.startswith("NO BOOKS YET\n")
    told(capsys, "spoiled", drawer, "A2", 1)
    text = drawer.read_text("utf-8").replace("B1,38.0,thou,2", "B1,38.0,thou,5")
    drawer.write_text(text, encoding="utf-8")
    code, text = told(capsys, "books", drawer)
    assert code == 1 and "  B1: 5 in the drawer, 2 by the books\n" in text
    shown = json.loads(told(capsys, "books", drawer, "--json")[1])["balance"]
    assert shown["differences"] == [{"lot": "B1", "drawer": 5, "books": 2}]
    code, text = told(capsys, "books", drawer, "--adopt", "bought")
    assert code == 0 and "+ 3 bought + 0 cut." in text


def test_bad_input_is_one_line_a_fault(job, drawer, capsys) -> None:
    """Exit 2, and the verb's own usage where the words are wrong."""
    assert "no lot 'Z9'" in refused(capsys, "spoiled", drawer, "Z9", 1)
    assert "wanted a whole number" in refused(capsys, "spoiled", drawer, "A1", "one")
    assert "entry 9: found no such entry" in refused(capsys, "undo", drawer, "--entry", 9)
    assert "nothing out for" in refused(capsys, "back", job)
    assert "add --drawer CSV" in refused(capsys, "back", 7)
    assert "no such file" in refused(capsys, "books", drawer.with_name("none.csv"))
    assert "'take JOB [--drawer CSV] [--yes]'" in refused(capsys, "take")
    assert "invalid choice: 'lent'" in refused(capsys, "books", drawer, "--adopt", "lent")
    (drawer.with_name("thin.csv")).write_text(ONE_THIN, encoding="utf-8")
    assert not list(drawer.parent.glob("*.books.csv"))


@pytest.mark.skipif(sys.platform == "win32", reason="a process is killed otherwise there")
def test_a_command_killed_by_the_clock_leaves_whole_books(drawer) -> None:
    """The real command, killed after longer and longer times, until it ends by itself."""
    words = [sys.executable, "-m", "solver", "spoiled", str(drawer), "A1", "1"]
    killed = ended = 0
    wait_s = 0.02
    while not ended:
        drawer.write_text(DRAWER, encoding="utf-8")
        path_of_books(drawer).unlink(missing_ok=True)
        with subprocess.Popen(words, cwd=HOUSE, stdout=subprocess.DEVNULL) as run:
            time.sleep(wait_s)
            os.kill(run.pid, signal.SIGKILL)
        ended += run.returncode == 0
        killed += run.returncode == -signal.SIGKILL
        opened = open_books(drawer)
        assert opened.balance.holds
        assert load_drawer(drawer).lot("A1").count == 2 - opened.balance.used_up
        wait_s *= 1.3
    assert killed > 3


def test_books_are_found_through_a_link_to_the_drawer(job, drawer, tmp_path, capsys) -> None:
    """A drawer named by a link has the books of the file that it leads to, in `choose` too."""
    assert told(capsys, "take", job, "--yes")[0] == 0
    link = tmp_path / "elsewhere" / "link.csv"
    link.parent.mkdir()
    link.symlink_to(drawer)
    _, straight = told(capsys, "choose", job, "--json")
    _, linked = told(capsys, "choose", job, "--drawer", link, "--json")
    assert any("out for this job already" in line for line in json.loads(linked)["assumed"])
    assert json.loads(linked)["seats"] == json.loads(straight)["seats"]
