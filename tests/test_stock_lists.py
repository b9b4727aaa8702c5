"""The lists that come with the program are sound, and say what they are."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.answer import answer_job
from solver.drawer_file import check_drawer, load_drawer
from solver.job_file import load_table, read_job
from solver.strip import strip_within_um
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
