"""The text door: exit codes, one line a fault, never a traceback."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from solver import terminal
from solver.trouble import Fault, Trouble
from tests.answers import against, met, none, short

HOUSE = Path(__file__).resolve().parent.parent
JOB = """
title  = "Orchard sprayer, rear bevel box"
unit   = "thou"
drawer = "drawer.csv"
[wanted]
chance = 0.9
[limits]
backlash = { low = 4.0, high = 9.0 }
pinch    = { low = 4.0, high = 9.0, counted = "total" }
[mesh]
transfer_ratio = { value = 0.72, within = 0.12 }
pinch_share    = { value = 0.50, within = 0.20 }
[tools.feelers]
within = 0.2
repeat = 0.4
step   = 0.5
[[readings]]
of = "total clearance"
tool = "feelers"
values = [51.0, 51.5, 51.0]
[[readings]]
of = "mesh gap"
tool = "feelers"
goes = 24.0
stops = 25.0
"""
DRAWER = """id,thickness,unit,count,within,tool,fits,note
A1,18.0,thou,2,0.1,,,
A2,19.0,thou,2,0.1,,,
B1,38.0,thou,2,0.1,,,
B2,40.0,thou,2,0.1,,,
"""
ONE_THIN = "id,thickness,unit,count\nA1,1.0,thou,1\n"


@pytest.fixture
def job_path(tmp_path: Path) -> Path:
    """A job and its drawer on disk."""
    (tmp_path / "drawer.csv").write_text(DRAWER, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def run(*words: str | Path, **changes: str) -> subprocess.CompletedProcess[str]:
    """Run the command as a user does."""
    return subprocess.run(
        [sys.executable, "-m", "solver", *map(str, words)],
        cwd=HOUSE,
        env=os.environ | changes,
        capture_output=True,
        text=True,
        timeout=120,
    )


def refused(done: subprocess.CompletedProcess[str], *said: str) -> None:
    """It ended with 2, nothing on stdout, one line a fault, no traceback."""
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    for line in done.stderr.strip().split("\n"):
        assert ": found " in line and ", wanted " in line and "; " in line
    for words in said:
        assert words in done.stderr


@pytest.mark.parametrize(
    ("answer", "code"),
    [
        (met(), 0),
        (met(agreement=against("look again", 0.03)), 0),
        (met(agreement=against()), 1),
        (short(), 1),
        (none(), 1),
    ],
    ids=["met", "look again", "disagree", "short", "none"],
)
@pytest.mark.parametrize("words", [[], ["--json"]], ids=["text", "json"])
def test_the_exit_code_tells_how_it_ended(
    answer, code, words, job_path, monkeypatch, capsys
) -> None:
    """0 met and readings that do not disagree, 1 anything else that is sound."""
    import solver.answer

    monkeypatch.setattr(solver.answer, "answer_job", lambda job, drawer: answer)
    assert terminal.main(["choose", str(job_path), *words]) == code
    printed = capsys.readouterr()
    assert printed.err == ""
    if words:
        assert json.loads(printed.out)["status"] == answer.status
    else:
        assert printed.out.split("\n")[1] == answer.job.title


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["choose"],
        ["bogus"],
        ["choose", "job.toml", "--bogus"],
        ["choose", "a", "b"],
        ["choose", "job.toml", "--drawer"],
        ["bogus\x1b[31m\n" * 50],
    ],
)
def test_bad_arguments_are_one_line_and_two(words, capsys) -> None:
    """argparse's own faults read like any other fault."""
    assert terminal.main(words) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and printed.err.count("\n") == 1
    assert printed.err.startswith("command line: found ") and "choose JOB" in printed.err
    assert "\x1b" not in printed.err and len(printed.err) < 500


def test_help_ends_well_and_loads_no_solver() -> None:
    """Help is quick: neither the integer program nor the tables are imported for it."""
    code = (
        "import sys; from solver.terminal import main; code = main(['choose', '--help']);"
        "print(sorted({'ortools', 'numpy', 'pint'} & set(sys.modules))); sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=HOUSE, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0 and done.stderr == ""
    assert "--drawer CSV" in done.stdout and done.stdout.endswith("[]\n")


def test_ctrl_c_is_no_traceback(job_path, monkeypatch, capsys) -> None:
    """Stopped by the user: said so, with the shell's own code."""

    def interrupted(job, drawer):
        raise KeyboardInterrupt

    import solver.answer

    monkeypatch.setattr(solver.answer, "answer_job", interrupted)
    assert terminal.main(["choose", str(job_path)]) == 130
    assert capsys.readouterr().err == "stopped\n"


def test_trouble_within_the_corridor_is_bad_input(job_path, monkeypatch, capsys) -> None:
    """A quantity that no reading settles comes up late and is still one line and 2."""

    def troubled(job, drawer):
        raise Trouble(
            [Fault("readings", "no mesh gap", "one", "read it"), Fault("a\nb", "c", "d", "e")]
        )

    import solver.answer

    monkeypatch.setattr(solver.answer, "answer_job", troubled)
    assert terminal.main(["choose", str(job_path)]) == 2
    assert capsys.readouterr().err == (
        "readings: found no mesh gap, wanted one; read it\na?b: found c, wanted d; e\n"
    )


def test_our_own_mistake_is_loud(job_path, monkeypatch) -> None:
    """A bug is never dressed up as bad input."""

    def broken(job, drawer):
        raise ZeroDivisionError

    import solver.answer

    monkeypatch.setattr(solver.answer, "answer_job", broken)
    with pytest.raises(ZeroDivisionError):
        terminal.main(["choose", str(job_path)])


def test_an_ascii_terminal_gets_a_question_mark(job_path, monkeypatch) -> None:
    """A terminal that cannot show 'µ' is no reason to lose the answer."""
    import solver.answer
    from tests.answers import a_job

    answer = met(job=a_job(unit="um"))
    monkeypatch.setattr(solver.answer, "answer_job", lambda job, drawer: answer)
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    assert terminal.main(["choose", str(job_path)]) == 0
    assert b"406.4 ?m" in raw.getvalue()


def test_a_real_job_is_met_as_text_and_json(job_path) -> None:
    """The whole corridor in its own process."""
    done = run("choose", job_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("FIT THESE 2 SHIMS\nOrchard sprayer")
    told = run("choose", job_path, "--json")
    assert (told.returncode, told.stderr) == (0, "")
    answer = json.loads(told.stdout)
    assert answer["status"] == "met" and answer["shims"] == 2 and answer["normal"]["proved"]


def test_a_drawer_that_cannot_do_it_ends_with_one(job_path, tmp_path) -> None:
    """One thin shim: no stack fits, an ordinary end that says so."""
    thin = tmp_path / "thin.csv"
    thin.write_text(ONE_THIN, encoding="utf-8")
    done = run("choose", job_path, "--drawer", thin)
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.startswith("NO STACK FITS\n")
    told = json.loads(run("choose", job_path, "--drawer", thin, "--json").stdout)
    assert told["status"] == "none"
    assert told["seats"]["wheel side"] == {"thickness_um": 0, "pieces": []}


def test_an_ascii_environment_is_survived(job_path) -> None:
    """The same in a process whose streams are plain ASCII."""
    done = run("choose", job_path, PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")
    assert done.returncode == 0 and "Traceback" not in done.stderr


def test_faults_of_job_and_drawer_are_shown_at_once(job_path, tmp_path) -> None:
    """Two bad files, one run: both are named."""
    job_path.write_text(JOB.replace('unit   = "thou"', 'unit   = "furlong"'), encoding="utf-8")
    (tmp_path / "drawer.csv").write_text(DRAWER.replace("18.0", "-18.0"), encoding="utf-8")
    refused(run("choose", job_path), "job.toml", "furlong", "drawer.csv", "-18")


def test_a_job_without_a_drawer_says_how_to_name_one(job_path) -> None:
    """No drawer is never an empty drawer."""
    job_path.write_text(JOB.replace('drawer = "drawer.csv"', ""), encoding="utf-8")
    refused(run("choose", job_path), "no drawer", "--drawer CSV")


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_a_job_that_cannot_be_read_is_refused(name, tmp_path) -> None:
    """Missing, or a folder."""
    refused(run("choose", tmp_path / name))


@pytest.mark.parametrize("rubbish", [b"\x00\xff\xfe" * 99, b"[[[", b"", b"a = 1\n" * 3])
def test_rubbish_is_refused(rubbish, job_path, tmp_path) -> None:
    """Binary, broken, empty: as a job and as a drawer."""
    (tmp_path / "bad").write_bytes(rubbish)
    refused(run("choose", tmp_path / "bad"))
    refused(run("choose", job_path, "--drawer", tmp_path / "bad"))


def test_a_reader_that_goes_away_is_no_error(job_path) -> None:
    """`| head -1` closes the pipe; the code is still the answer's."""
    line = f"'{sys.executable}' -m solver choose '{job_path}' | (exec 0<&-; sleep 0)"
    script = f"{line}; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(
        ["bash", "-c", script], cwd=HOUSE, capture_output=True, text=True, timeout=120
    )
    assert (done.stdout, done.stderr) == ("0\n", "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device on this system")
@pytest.mark.parametrize("last", ["JOB", "--help"])
def test_a_full_disk_is_one_line(last, job_path) -> None:
    """What cannot be printed is said on stderr."""
    words = ["choose", str(job_path) if last == "JOB" else last]
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "solver", *words],
            cwd=HOUSE,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=120,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("output: found ") and done.stderr.count("\n") == 1
