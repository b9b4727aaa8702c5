"""`shimwright tighten`: words, JSON, exit codes, and a job that has nothing but its spacer."""

from __future__ import annotations

import json
import math
import sys
import types
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from solver import terminal
from solver.crush import Crush, Pause, Tightening, Turn
from solver.job_crush import read_crush_alone
from solver.job_file import load_table
from solver.report_tighten import (
    crush_cautions,
    nut_sentences,
    shown_turns,
    tighten_headline,
    tightening_as_json,
    tightening_as_text,
    torque_window,
)
from solver.torque_units import NEWTON_M_PER, in_torque_unit

EXAMPLE = Path(__file__).parent.parent / "stock_lists" / "crush_spacer.toml"
LBF_IN = NEWTON_M_PER["lbf.in"]
CRUSH = Crush(
    20 * LBF_IN,
    25 * LBF_IN,
    0.0,
    "new",
    (
        Pause(1, 0.0, 5 * LBF_IN, 0.2 * LBF_IN, True),
        Pause(2, 40.0, 9 * LBF_IN, 0.2 * LBF_IN, True, 230.0),
    ),
    pitch_um=1500.0,
    ceiling_newton_m=400.0,
    assumed=("each angle of the nut within 3 degrees",),
    example=True,
    unit="lbf.in",
    remarks=("repeats of pause 1 scatter more than this tool is said to",),
)
TURNS = tuple(
    Turn(
        turn, max(0.0, 1.0 - turn / 40.0), min(1.0, turn / 40.0) * 0.9, min(1.0, turn / 40.0) * 0.1
    )
    for turn in (0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 21.0, 30.0, 45.0, 60.0, 90.0)
)


def a_tightening(state: str = "tighten", **changes: object) -> Tightening:
    """A finished one, made by hand."""
    made = Tightening(
        crush=CRUSH,
        state=state,
        torque_newton_m=9.1 * LBF_IN,
        u_newton_m=0.3 * LBF_IN,
        chance_in=0.029,
        chance_over=0.0004,
        turns=TURNS,
        advice=TURNS[7] if state == "tighten" else None,
        by_torque=False,
        reasons=("the torque grows by 0.2 lbf·in a degree",),
        spent=0.0,
        angles_deg=np.zeros(2),
        curve_newton_m=np.zeros((2, 3)),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


HEADLINES = [
    ("tighten", "UK", "Turn the nut 20 degrees, then read again"),
    ("stop", "UK", "Stop: in the window"),
    ("over", "UK", "Over: fit a new spacer, never back off"),
    ("over", "US", "Over: fit a new sleeve, never back off"),
    ("measure", "US", "Measure again first"),
]


@pytest.mark.parametrize(("state", "words", "headline"), HEADLINES)
def test_the_headline_is_read_from_a_metre_away(state: str, words: str, headline: str) -> None:
    """First line, capitals, what to do; then the title."""
    tightening = a_tightening(state)
    assert tighten_headline(tightening, words) == headline
    lines = tightening_as_text("Front box", words, tightening).split("\n")
    assert lines[:2] == [headline.upper(), "Front box"]


def test_a_small_turn_is_a_creep() -> None:
    """Where the window is only a few degrees wide the advice is by torque; one is no plural."""
    tightening = a_tightening(by_torque=True, advice=TURNS[1])
    assert tighten_headline(tightening, "UK") == "Creep 1 degree at most, then read again"
    assert "go by torque" in tightening_as_text("", "UK", tightening)


def said(state: str = "tighten", words: str = "UK", **changes: object) -> str:
    """The text on one line."""
    return " ".join(tightening_as_text("", words, a_tightening(state, **changes)).split())


def test_the_text_says_torque_window_and_chances() -> None:
    """In the job's unit and in N·m, with the uncertainty, chances as counts."""
    text = said()
    assert "9.1 lbf·in (1.03 N·m) with the bearings settled; 95 of 100 lie within" in text
    assert "within 0.6 lbf·in (0.07 N·m) of it, standard uncertainty 0.3 lbf·in (0.03 N·m)" in text
    assert "Window: 20.0 to 25.0 lbf·in (2.26 to 2.82 N·m), moving torque, new bearings" in text
    assert "Inside it now: 2 of 100. Over it already: fewer than 1 of 1000." in text
    assert "20 degrees further, to 60 on your scale, and not beyond" in text
    assert "goes over the window in 5 of 100" in text


def test_the_text_says_why_and_what_was_assumed() -> None:
    """Reasons, remarks, what stands in, and that the limits are an example."""
    text = said()
    assert "EXAMPLE LIMITS, from no manual" in text
    assert "EXAMPLE" not in said(crush=replace(CRUSH, example=False))
    assert "- The torque grows by 0.2 lbf·in a degree." in text
    assert "- each angle of the nut within 3 degrees" in text
    assert "- Repeats of pause 1 scatter more than this tool is said to." in text
    bare = said(crush=replace(CRUSH, assumed=(), remarks=()), reasons=())
    for title in ("Why", "Assumed", "How the readings compare"):
        assert title in text and title not in bare


@pytest.mark.parametrize(("words", "part"), [("UK", "crush spacer"), ("US", "crush sleeve")])
def test_the_cautions_are_always_there(words: str, part: str) -> None:
    """In every state and in the trade's own words; the manual has the last one."""
    cautions = crush_cautions(words)
    for state in ("tighten", "stop", "over", "measure"):
        text = said(state, words)
        assert all(caution in text for caution in cautions)
    every = " ".join(cautions)
    for must in (
        f"Never use an impact wrench on a {part}", "Hold the flange", "150 to 300 lbf·ft",
        "ten times both ways before each reading", "Never back the nut off", "Fit a new nut",
    ):  # fmt: skip
        assert must in every
    assert cautions[-1] == "Where the maker's manual says otherwise, the manual is right."
    other = "crush sleeve" if part == "crush spacer" else "crush spacer"
    assert other not in said("over", words)


def test_the_table_shows_a_few_turns_and_the_advised_one() -> None:
    """Two to ninety degrees, and the advice though it is none of them; marked once."""
    tightening = a_tightening(advice=TURNS[8])
    shown = [turn.turn_deg for turn in shown_turns(tightening)]
    assert shown == [2.0, 5.0, 10.0, 15.0, 20.0, 21.0, 30.0, 45.0, 60.0, 90.0]
    text = tightening_as_text("", "UK", tightening)
    (marked,) = [row for row in text.split("\n") if row.endswith("<- this")]
    assert marked.split()[:2] == ["21", "degrees"]
    for state in ("stop", "over"):  # nothing there tempts anybody to turn on
        assert "still under" not in said(state)
    assert "still under" in said("measure") and "<- this" not in said("measure")


def test_the_nut_is_told_in_its_own_unit() -> None:
    """Advance by the pitch, last torque and ceiling in lbf·ft; nothing where nothing is known."""
    assert nut_sentences(CRUSH) == (
        "A degree of the nut advances it 4.167 µm (0.164 thou), a turn 1.500 mm.",
        "Last torque on the nut: 170 lbf·ft (230 N·m).",
        "No more on the nut than 295 lbf·ft (400 N·m).",
    )
    metric = nut_sentences(replace(CRUSH, unit="N.m", pitch_um=None))
    assert metric[0] == "Last torque on the nut: 230 N·m."
    bare = replace(CRUSH, pitch_um=None, ceiling_newton_m=None, pauses=CRUSH.pauses[:1])
    assert nut_sentences(bare) == ()
    assert torque_window(replace(CRUSH, unit="N.m")) == "2.26 to 2.82 N·m"


def test_no_line_is_wider_than_a_terminal() -> None:
    """88 at most, printable only, whatever the title."""
    long = replace(CRUSH, assumed=("word " * 60,))
    for state in ("tighten", "stop", "over", "measure"):
        text = tightening_as_text("A\x1b[31m" + "b" * 200, "UK", a_tightening(state, crush=long))
        assert all(len(line) <= 88 and line.isprintable() for line in text.split("\n"))


def test_the_json_is_as_promised() -> None:
    """Its keys and no others; plain numbers, the turns as they are."""
    told = json.loads(json.dumps(tightening_as_json(a_tightening()), allow_nan=False))
    assert list(told) == ["state", "now", "turns", "advice"]
    assert told["now"] == pytest.approx(
        {"torque_newton_m": 9.1 * LBF_IN, "u_newton_m": 0.3 * LBF_IN, "chance_in": 0.029}
    )
    assert [turn["turn_deg"] for turn in told["turns"]] == [turn.turn_deg for turn in TURNS]
    assert set(told["turns"][0]) == {"turn_deg", "under", "in", "over"}
    assert told["turns"][9] == pytest.approx(
        {"turn_deg": 30.0, "under": 0.25, "in": 0.675, "over": 0.075}
    )
    assert told["advice"] == pytest.approx({"turn_deg": 20.0, "over": 0.05})
    assert tightening_as_json(a_tightening("stop"))["advice"] is None
    for number in (np.float64(0.5), np.float32(0.5)):
        made = a_tightening(chance_in=number)  # numpy's own numbers are no JSON
        assert json.loads(json.dumps(tightening_as_json(made)))["now"]["chance_in"] == 0.5


@pytest.mark.parametrize(
    ("state", "code"), [("stop", 0), ("tighten", 1), ("over", 1), ("measure", 1)]
)
@pytest.mark.parametrize("words", [[], ["--json"]], ids=["text", "json"])
def test_the_exit_code_tells_whether_to_stop(
    state: str, code: int, words: list[str],
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """0 to leave the nut where it is, 1 for anything else that is sound."""
    asked: list[Crush] = []

    def judged(crush: Crush) -> Tightening:
        asked.append(crush)
        return a_tightening(state)

    monkeypatch.setitem(sys.modules, "solver.tighten", types.SimpleNamespace(tighten=judged))
    assert terminal.main(["tighten", str(EXAMPLE), *words]) == code
    printed = capsys.readouterr()
    assert printed.err == ""
    assert asked == [read_crush_alone(load_table(EXAMPLE), EXAMPLE.name)[2]]
    if words:
        assert json.loads(printed.out)["state"] == state
    else:
        assert printed.out == tightening_as_text(
            "Forest forwarder, front bevel box", "UK", a_tightening(state)
        )


@pytest.mark.parametrize(
    ("text", "said_of"),
    [
        ('title = "x"\n', "bad.toml: crush: found nothing, wanted a table [crush]"),
        ("[crush]\n", "bad.toml: crush: bearings: found nothing"),
        ("[crush\n", "line 1"),
        ("", "wanted a table [crush]"),
    ],
)
def test_bad_input_is_two(
    text: str, said_of: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line a fault on stderr, nothing on stdout."""
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    assert terminal.main(["tighten", str(path)]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and said_of in printed.err
    assert all(": found " in line for line in printed.err.strip().split("\n"))
    assert terminal.main(["tighten", str(tmp_path / "nowhere.toml")]) == 2
    assert terminal.main(["tighten"]) == 2


def test_choose_tells_the_crush_spacers_faults_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A job with a carrier and a faulty spacer is refused by every verb."""
    axle = EXAMPLE.with_name("example.toml").read_text(encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(axle + '[crush]\nbearings = "old"\n', encoding="utf-8")
    (tmp_path / "example_drawer.csv").write_bytes(
        EXAMPLE.with_name("example_drawer.csv").read_bytes()
    )
    assert terminal.main(["choose", str(path)]) == 2
    assert "job.toml: crush: bearings: found 'old'" in capsys.readouterr().err


def test_a_job_keeps_its_crush_spacer() -> None:
    """Read as part of a whole job, it is the same one."""
    from solver.job_file import read_job

    axle = load_table(EXAMPLE.with_name("example.toml"))
    spacer = load_table(EXAMPLE)
    job = read_job({**axle, "crush": spacer["crush"]}, "j", EXAMPLE.parent)
    assert job.crush == read_crush_alone(spacer, "j")[2]
    assert read_job(axle, "j", EXAMPLE.parent).crush is None


def test_the_example_says_to_tighten(capsys: pytest.CaptureFixture[str]) -> None:
    """The example that comes with the program, through the whole of it, in words and as JSON."""
    assert terminal.main(["tighten", str(EXAMPLE), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["state"] == "tighten"
    now = in_torque_unit(told["now"]["torque_newton_m"], "lbf.in")
    assert now == pytest.approx(11.3, abs=1.0)  # what its last pause shows
    assert 0.0 < told["now"]["u_newton_m"] < 0.1 * told["now"]["torque_newton_m"]
    assert told["advice"]["turn_deg"] >= 5.0 and told["advice"]["over"] <= 0.01
    for turn in told["turns"]:
        assert turn["under"] + turn["in"] + turn["over"] == pytest.approx(1.0, abs=1e-6)
    overs = [turn["over"] for turn in told["turns"]]
    assert overs == sorted(overs) and all(math.isfinite(over) for over in overs)

    assert terminal.main(["tighten", str(EXAMPLE)]) == 1
    text = capsys.readouterr().out
    turn = f"{told['advice']['turn_deg']:g}"
    assert text.startswith((f"TURN THE NUT {turn} DEGREES, THEN READ AGAIN\nForest", "CREEP "))
    assert "EXAMPLE LIMITS" in text and "20.0 to 28.0 lbf·in" in text


def test_the_examples_limits_are_marked() -> None:
    """Invented limits say so, in the file too; four pauses, all with the bearings turned."""
    crush = read_crush_alone(load_table(EXAMPLE), EXAMPLE.name)[2]
    assert crush.example and "EXAMPLE" in EXAMPLE.read_text(encoding="utf-8")
    assert len(crush.pauses) == 4 and all(pause.turned for pause in crush.pauses)
    assert crush.assumed == ()
