"""The front door: verbs without a window, no tkinter, no display, the order of waking."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from whole_window import example_in

HOUSE = Path(__file__).resolve().parent.parent
NO_TK = "import sys; sys.modules['tkinter'] = None\n"
MAIN = "import sys\nfrom desktop.start import main\ncode = main(sys.argv[1:])\n"


def run(home: Path, *words: str | Path, code: str = MAIN, **changes: str | None):
    """Run the front door in a process of its own. home: empty folder for its settings."""
    given = {**os.environ, "HOME": str(home), "PYTHONPATH": str(HOUSE), "XDG_CONFIG_HOME": ""}
    given |= {"XDG_STATE_HOME": ""}
    for name, value in changes.items():
        given.pop(name, None)
        if value is not None:
            given[name] = value
    return subprocess.run(
        [sys.executable, "-c", code + "sys.exit(code)", *map(str, words)],
        cwd=home, env=given, capture_output=True, text=True, timeout=120,
    )  # fmt: skip


def test_a_verb_never_loads_a_window(tmp_path: Path) -> None:
    """`choose` prints the answer without tkinter or matplotlib, also where there is a display."""
    path = example_in(tmp_path)
    said = "print(sorted({'tkinter', 'matplotlib'} & set(sys.modules)), file=sys.stderr)\n"
    done = run(tmp_path, "choose", path, code=MAIN + said)
    assert done.returncode == 0
    assert done.stdout.startswith("FIT THESE 4 SHIMS\n")
    assert done.stderr == "[]\n"


def test_no_display_says_so_and_answers_as_text(tmp_path: Path) -> None:
    """One line on stderr, the answer of `choose` on stdout, and its exit code."""
    path = example_in(tmp_path)
    done = run(tmp_path, path, DISPLAY=None)
    assert done.returncode == 0
    assert done.stdout.startswith("FIT THESE 4 SHIMS\n")
    assert len(done.stderr.splitlines()) == 1
    assert done.stderr.startswith("shimwright: no display for the window")
    (tmp_path / "example_drawer.csv").write_text("id,thickness,unit,count\nA15,1.5,thou,1\n")
    done = run(tmp_path, path, DISPLAY=None)
    assert done.returncode == 2  # a bad job is a bad job, display or not
    assert "Traceback" not in done.stderr


def test_no_display_and_no_job_answers_the_example(tmp_path: Path) -> None:
    """Without a job the example is answered; with one open last, that one."""
    assert run(tmp_path, DISPLAY=None).stdout.startswith("FIT THESE 4 SHIMS\nOrchard sprayer")
    path = example_in(tmp_path)
    path.write_text(path.read_text("utf-8").replace("Orchard", "Vineyard"), encoding="utf-8")
    config = tmp_path / ".config" / "shimwright"
    config.mkdir(parents=True)
    (config / "settings.json").write_text(json.dumps({"last_job": str(path)}))
    done = run(tmp_path, DISPLAY=None)
    assert done.stdout.startswith("FIT THESE 4 SHIMS\nVineyard sprayer")


def test_no_tkinter_names_the_package(tmp_path: Path) -> None:
    """One plain line with the package to install, then the answer."""
    done = run(tmp_path, example_in(tmp_path), code=NO_TK + MAIN)
    assert done.returncode == 0
    assert done.stdout.startswith("FIT THESE 4 SHIMS\n")
    assert len(done.stderr.splitlines()) == 1
    assert "apt install python3-tk" in done.stderr


@pytest.mark.parametrize("words", [["--help"], ["-h"]])
def test_help_names_both_doors(tmp_path: Path, words: list[str]) -> None:
    """Help says how to open the window and which verbs there are."""
    done = run(tmp_path, *words)
    assert done.returncode == 0
    assert "shimwright [JOB]" in done.stdout and "choose" in done.stdout


def test_words_nobody_knows_are_bad_input(tmp_path: Path) -> None:
    """Two words that are no verb are a fault of the command line, not a window."""
    done = run(tmp_path, "chose", "job.toml")
    assert done.returncode == 2
    assert "command line" in done.stderr and "Traceback" not in done.stderr


ORDER = """
import sys, json
import tkinter as tk
from desktop import start
heavy = ("numpy", "matplotlib", "ortools", "pint", "tktooltip")
seen = []
def told(step):
    seen.append((step, [name for name in heavy if name in sys.modules]))
    if step == "answer":
        top.after(1, lambda: window.end())
top = tk.Tk()
from pathlib import Path
job = Path(sys.argv[1]) if sys.argv[1:] else None
window = start.open_window(top, job, told)
notice = window.panels.notice.text
title = window.panels.bar.text
top.mainloop()
print(json.dumps({"seen": seen, "notice": notice, "title": title}))
code = 0
"""


def test_nothing_heavy_is_loaded_before_the_first_paint(tmp_path: Path) -> None:
    """Painted with none of the heavy libraries; ortools comes only after the chart."""
    done = run(tmp_path, code=ORDER)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    found = json.loads(done.stdout)
    seen = dict(found["seen"])
    assert list(seen) == ["paint", "panels", "chart", "solver", "answer"]
    assert seen["paint"] == []
    assert seen["panels"] == ["numpy"]
    assert seen["chart"] == ["numpy", "matplotlib"]
    assert "This is an example" in found["notice"]
    assert (tmp_path / ".config" / "shimwright" / "settings.json").exists()


def test_a_job_that_cannot_be_read_opens_the_example_and_says_so(tmp_path: Path) -> None:
    """A bad file is a line in the window, with its place and the way out."""
    bad = tmp_path / "bad.toml"
    bad.write_text("title = ")
    done = run(tmp_path, bad, code=ORDER)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert "ad.toml" in found["notice"] and "example" in found["notice"]
    assert "the example" in found["title"]


def test_a_job_given_is_opened_and_remembered(tmp_path: Path) -> None:
    """The job of the command line opens, with nothing to be asked, and is the last one open."""
    path = example_in(tmp_path)
    done = run(tmp_path, path, code=ORDER)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["notice"] == ""
    kept = json.loads((tmp_path / ".config" / "shimwright" / "settings.json").read_text())
    assert kept["last_job"] == str(path)
