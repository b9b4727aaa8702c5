"""The lists that come with the program are sound, and say what they are."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from solver.answer import answer_job
from solver.drawer_file import check_drawer, load_drawer
from solver.job_file import load_table, read_job
from solver.strip import strip_within_um
from solver.terminal import main
from solver.terminal_inputs import read_inputs

FOLDER = Path(__file__).parent.parent / "stock_lists"
# Standard ladder of shim stock in thou; the attribution is from memory.
INCH_LADDER = (1, 1.5, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25, 31)
# Common practice, no source.
MM_LADDER = (0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40, 0.50, 0.75, 1.00)


@pytest.mark.parametrize(
    ("name", "ladder", "um"),
    [("shim_stock_inch.csv", INCH_LADDER, 25.4), ("shim_stock_mm.csv", MM_LADDER, 1000.0)],
)
def test_ladders(name: str, ladder: tuple[float, ...], um: float) -> None:
    """A ladder holds its steps with their strip tolerances, unmeasured and marked as nominal."""
    drawer = load_drawer(FOLDER / name)
    assert [lot.thickness_um for lot in drawer.lots] == pytest.approx([um * t for t in ladder])
    for lot in drawer.lots:
        assert lot.within_um == pytest.approx(strip_within_um(lot.thickness_um), rel=1e-3)
        assert not lot.tool and not lot.within_assumed
        assert lot.note.startswith("nominal, not measured")


def test_example() -> None:
    """The example is sound, its limits are marked EXAMPLE, and both sides want its scarce piece."""
    path = FOLDER / "example.toml"
    job = read_job(load_table(path), path.name, FOLDER)
    assert job.drawer_path is not None
    drawer = load_drawer(job.drawer_path)
    check_drawer(drawer, job)
    assert all(limit.example for limit in job.limits)
    assert "EXAMPLE" in path.read_text(encoding="utf-8")
    assert len(drawer.lots) >= 20
    assert drawer.lot("A20").count == 1


@pytest.mark.parametrize(
    ("name", "seats"),
    [
        ("pinion_solid.toml", ["pinion head", "pinion spacer"]),
        ("pinion_crush.toml", ["pinion head"]),
        ("routes.toml", ["wheel side", "plain side"]),
    ],
)
def test_examples_of_a_pinion_and_of_routes(name: str, seats: list[str]) -> None:
    """Each is sound with its drawer, marked EXAMPLE, and has an answer in every seat."""
    job, drawer = read_inputs(FOLDER / name, None)
    assert all(limit.example for limit in job.limits)
    answer = answer_job(job, drawer)
    assert answer.verdict is not None and answer.agreement.state != "disagree"
    assert [stack.seat for stack in answer.verdict.plan.stacks] == seats
    assert all(stack.pieces for stack in answer.verdict.plan.stacks)


@pytest.mark.parametrize("name", ["layshaft.toml", "swivel_pin.toml", "winch_drum.toml"])
def test_examples_of_lines_through_every_door(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is sound, marked EXAMPLE, met, and every verb that takes a job takes it."""
    job, drawer = read_inputs(FOLDER / name, None)
    assert job.lines and not job.axle and all(limit.example for limit in job.limits)
    answer = answer_job(job, drawer)
    assert answer.status == "met" and answer.agreement.state in ("agree", "unchecked")
    path, paper = str(FOLDER / name), str(tmp_path / "sheet.pdf")
    seat = job.seats[0].name
    for words in (
        ["choose", path], ["choose", path, "--json"], ["remeasure", path], ["stack", path],
        ["stack", path, "--json"], ["sheet", path, "-o", paper],
        ["template", path, "-o", str(tmp_path / "ring.pdf"), "--thickness", "0.5", "--seat", seat],
    ):  # fmt: skip
        assert main(words) == 0, words
        said = capsys.readouterr().out
        assert not re.search(r"carrier|backlash|crown wheel", said), words
        if "--json" in words:
            json.loads(said)


def test_lines_cut_or_bought(capsys: pytest.CaptureFixture[str]) -> None:
    """The routes of a job of lines, from the lists that another example ships."""
    assert main(["routes", str(FOLDER / "swivel_pin.toml"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["routes"]


def test_a_batch_as_drawn(capsys: pytest.CaptureFixture[str]) -> None:
    """The winch is built in batches: its yield, and the stock of sizes for sixty of them."""
    path = str(FOLDER / "winch_drum.toml")
    assert main(["stack", path, "--as-drawn", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["as_drawn"] and 0.0 < told["per_million"] < 1e5
    assert told["lines"]["side play"]["parts"][0]["name"] == "cheeks apart"
    assert main(["sizes", path, "--assemblies", "60", "--step", "0.1", "--json"]) == 0
    stock = json.loads(capsys.readouterr().out)
    assert stock["served"] >= 0.95 and stock["sizes"]
    assert main(["sizes", path, "--assemblies", "60", "--step", "0.1"]) == 0
    assert "pieces, for 60 assemblies" in capsys.readouterr().out
    for wrong in (["--assemblies", "0", "--step", "0.1"], ["--assemblies", "9", "--step", "x"],
                  ["--assemblies", "9", "--step", "0.1", "--share", "1"],
                  ["--assemblies", "9", "--step", "0.1", "--seat", "nowhere"]):  # fmt: skip
        assert main(["sizes", path, *wrong]) == 2, wrong
        assert capsys.readouterr().err.count("\n") == 1
    assert main(["stack", str(FOLDER / "layshaft.toml"), "--as-drawn"]) == 2
    assert "no tolerance" in capsys.readouterr().err
    assert main(["stack", str(FOLDER / "example.toml")]) == 2
    assert "no line" in capsys.readouterr().err
