"""Before the spacer is crushed: the list gates it, and says which reading to take again."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from solver.drawer import Drawer, Lot
from solver.job import PINION_HEAD, Job, Reading, Ready, Stack, Tool
from solver.job_ready import TICKS
from solver.ready import judge_ready, pinion_alone
from solver.report_ready import ready_as_text, ready_headline
from solver.terminal import main
from tests.jobs import pinion_job

FOLDER = Path(__file__).parent.parent / "stock_lists"
RIGHT_UM = 749.5  # the stack that puts the pinion of `pinion_job` right
LOTS = (
    Lot("right", RIGHT_UM, 1, 1.3, "micrometer"),
    Lot("thin", RIGHT_UM - 38.0, 1, 1.3, "micrometer"),
)


def a_job(head: Stack | None, done: tuple[str, ...] = TICKS, half_um: float = 40.0) -> Job:
    """A pinion on a crush spacer. head: as fitted; done: ticks; half_um: of the depth's window."""
    job = pinion_job(depth_um=(-half_um, half_um), wanted=0.9)
    return replace(job, ready=Ready(head, done))


def lots(name: str) -> Stack:
    """A stack of one lot. name: of it."""
    return Stack(PINION_HEAD, lots=((name, 1),))


def test_all_done_and_the_right_stack_is_commit() -> None:
    """Depth right with what is fitted, every tick set: the spacer may be crushed."""
    found = judge_ready(a_job(lots("right")), Drawer(LOTS))
    assert found.state == "commit" and not found.missing
    assert found.depth is not None and found.depth.chance > 0.99
    assert ready_headline(found).startswith("COMMIT")


@pytest.mark.parametrize("tick", TICKS)
def test_one_thing_undone_is_not_yet(tick: str) -> None:
    """Each of the ticks alone holds it back, and the list shows which."""
    done = tuple(one for one in TICKS if one != tick)
    found = judge_ready(a_job(lots("right"), done), Drawer(LOTS))
    assert found.state == "not yet" and found.missing == (tick,)
    text = ready_as_text(found)
    assert text.count("[ ]") == 1 and text.count("[x]") == len(TICKS)


def test_the_wrong_stack_is_to_be_changed_first() -> None:
    """What counts is the stack as fitted, not the plan: the drawer's better one is named."""
    found = judge_ready(a_job(lots("thin")), Drawer(LOTS))
    assert found.state == "restack"
    assert found.depth is not None
    assert found.depth.predicted_um == pytest.approx(38.0, abs=1.5)
    assert "right = " in ready_as_text(found)


def test_unsaid_is_not_yet() -> None:
    """With no word of what is at the head nothing can be judged."""
    for job in (a_job(None), replace(a_job(None), ready=None)):
        found = judge_ready(job, Drawer(LOTS))
        assert found.state == "not yet" and found.depth is None
        assert "say what is at its head" in ready_as_text(found)


def test_a_depth_known_too_badly_names_the_reading_to_take_again() -> None:
    """Where no stack is sure enough the best further reading is said, with what it brings."""
    shaky = Tool("shaky", 0.5, 25.0, 1.0, 1.0, "other")
    once = Reading(
        1, "mounting distance", shaky, values_um=(78_231.0,), fitted=(Stack(PINION_HEAD, 500.0),)
    )
    job = a_job(lots("right"), half_um=20.0)
    job = replace(job, readings=(once,), tools=(*job.tools, shaky))
    found = judge_ready(job, Drawer(LOTS))
    assert found.state == "measure"
    assert found.measure is not None and found.measure.chance > found.answer.chance + 0.05
    assert "First: a trial fit: these shims in, mounting distance read" in ready_as_text(found)


def test_where_no_reading_helps_that_is_said() -> None:
    """A window narrower than tool and give allow: no single reading is named."""
    found = judge_ready(a_job(lots("right"), half_um=5.0), Drawer(LOTS))
    assert found.state == "measure" and found.measure is None
    assert "No single reading" in ready_as_text(found)


def test_a_thickness_will_do_for_the_stack() -> None:
    """A stack given as a thickness with its spread is judged like pieces of the drawer."""
    found = judge_ready(a_job(Stack(PINION_HEAD, RIGHT_UM, 2.0)), Drawer(LOTS))
    assert found.state == "commit"
    assert found.depth is not None and abs(found.depth.predicted_um) < 2.0


def test_the_carrier_does_not_come_into_it() -> None:
    """A job of the whole axle is judged by its pinion alone, whatever the carrier's readings."""
    job = pinion_job(carrier=True, depth_um=(-40.0, 40.0))
    alone = pinion_alone(job)
    assert not alone.carrier and [seat.name for seat in alone.seats] == [PINION_HEAD]
    found = judge_ready(replace(job, ready=Ready(lots("right"), TICKS)), Drawer(LOTS))
    assert found.state == "commit"


def test_the_example_waits_for_a_spare_spacer(capsys: pytest.CaptureFixture[str]) -> None:
    """`ready` on the example: not yet, exit 1; as text and as JSON."""
    path = str(FOLDER / "pinion_crush.toml")
    assert main(["ready", path]) == 1
    text = capsys.readouterr().out
    assert text.startswith("NOT YET") and "EXAMPLE LIMITS, from no manual: depth" in text
    assert main(["ready", path, "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["state"] == "not yet" and found["depth"]["chance"] > 0.9
    assert [one["check"] for one in found["checks"] if not one["done"]] == ["spare_spacer"]


def test_a_job_without_a_pinion_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """One line with the way out, exit 2."""
    assert main(["ready", str(FOLDER / "example.toml")]) == 2
    assert "add [pinion]" in capsys.readouterr().err
