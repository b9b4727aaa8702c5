"""The corridor as a whole: what an answer says hangs together, met, short and none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given

from solver.answer import APART_UM, MOST_OTHERS, answer_job
from solver.choice import begin_search, choose
from solver.drawer import Drawer, Lot
from solver.drawer_file import load_drawer
from solver.estimate import estimate_job
from solver.findings import Answer
from solver.job import Job
from solver.job_file import load_table, read_job
from solver.master import Halt
from solver.plan import Plan
from solver.report import answer_as_json, answer_as_text
from solver.simulation import simulate_builds
from solver.trouble import Trouble
from solver.verdict import judge, simulated_chance
from tests.jobs import THOU_UM, a_drawer, a_job, gap_reading, jobs_with_drawers, repeatable
from tests.test_agreement import several

ROOT = Path(__file__).resolve().parents[1]


def example() -> tuple[Job, Drawer]:
    """The invented example that comes with the program. Returns job and drawer."""
    path = ROOT / "stock_lists" / "example.toml"
    job = read_job(load_table(path), path.name, path.parent)
    assert job.drawer_path is not None
    return job, load_drawer(job.drawer_path)


def check(answer: Answer) -> None:
    """Everything that must hold of any answer."""
    assert answer.status in ("met", "short", "none")
    assert (answer.verdict is None) == (answer.status == "none")
    if answer.verdict is None:
        assert answer.chance == 0.0 and answer.budget == () and answer.others == ()
        assert answer.nearest or not answer.drawer.lots
        return
    assert answer.nearest == "" and answer.normal is not None
    assert answer.chance == answer.verdict.chance
    assert (answer.status == "met") == (answer.chance >= answer.job.wanted_chance)
    assert [name for name, _ in answer.budget] == ["backlash", "pinch"]
    if answer.status == "met":
        assert answer.mend is None
    plans = [answer.verdict.plan, *(other.plan for other in answer.others)]
    assert len(answer.others) <= MOST_OTHERS
    for at, one in enumerate(plans):
        assert all(apart(one, two) for two in plans[:at])
        for lot in answer.drawer.lots:
            used = sum(p.count for s in one.stacks for p in s.pieces if p.id == lot.id)
            assert used <= lot.count


def apart(one: Plan, two: Plan) -> bool:
    """Whether two plans are two to a person: another count, or a stack that differs by 2 µm."""
    return one.shims != two.shims or any(
        abs(a.thickness_um - b.thickness_um) > APART_UM
        for a, b in zip(one.stacks, two.stacks, strict=True)
    )


@repeatable(30)
@given(jobs_with_drawers())
def test_any_answer_hangs_together(case: tuple[Job, Drawer]) -> None:
    """Status, chance, verdict, others, budget and mend never contradict one another."""
    check(answer_job(*case))


def test_the_example_is_answered() -> None:
    """The invented example is met, proved, and its others carry chances of their own."""
    job, drawer = example()
    answer = answer_job(job, drawer)
    check(answer)
    assert answer.status == "met"
    assert answer.normal is not None and answer.normal.proved
    assert answer.others
    estimate = estimate_job(job, drawer)
    builds = simulate_builds(job, estimate)
    for other in answer.others:
        assert other.chance == simulated_chance(job, drawer, estimate, other.plan, builds)
    assert answer.verdict is not None
    again = judge(job, drawer, estimate, answer.verdict.plan)
    assert again.chance == answer.chance


def test_what_cannot_be_met_is_short_with_a_mend() -> None:
    """Nearly certain wanted: short, the best there is, and what would help."""
    answer = answer_job(replace(a_job(), wanted_chance=0.9999), a_drawer(12, 3))
    check(answer)
    assert answer.status == "short"
    assert answer.mend is not None
    assert answer.normal is not None and answer.normal.proved


def test_a_drawer_far_too_thin_is_none() -> None:
    """No plan has a chance: no plan is shown, and the nearest is told."""
    drawer = Drawer(
        tuple(Lot(f"L{at}", 2.0 * THOU_UM + at, 1, 1.0, "micrometer") for at in range(4))
    )
    answer = answer_job(a_job(), drawer)
    check(answer)
    assert answer.status == "none"


def test_a_plan_that_simulation_finds_short_is_passed_over() -> None:
    """Three pieces reach 0.7 by the normal law (0.717), not in simulation (0.693): four do.

    The clearance's repeats are moved apart: the simulation believes them more than the estimate.
    """
    job, drawer = example()
    first_reading = replace(job.readings[0], values_um=(1280.2, 1299.6, 1319.1))
    job = replace(job, wanted_chance=0.7, readings=(first_reading, *job.readings[1:]))
    answer = answer_job(job, drawer)
    check(answer)
    assert answer.normal is not None and answer.verdict is not None
    first = judge(job, drawer, estimate_job(job, drawer), answer.normal.plan)
    assert answer.normal.chance >= 0.7 > first.chance
    assert answer.status == "met"
    assert answer.verdict.plan.shims == answer.normal.plan.shims + 1


@pytest.mark.parametrize("wanted", [0.735, 0.80, 0.95, 0.96])
def test_a_plan_that_falls_short_in_simulation_is_not_called_met(wanted: float) -> None:
    """Met means met in simulation; where only a better plan passes, the search goes on to it."""
    job = replace(example()[0], wanted_chance=wanted)
    drawer = example()[1]
    answer = answer_job(job, drawer)
    check(answer)
    assert answer.verdict is not None and answer.normal is not None
    estimate = estimate_job(job, drawer)
    first = choose(begin_search(job, drawer, estimate), wanted)
    assert first is not None
    chance = judge(job, drawer, estimate, first.plan).chance
    assert answer.chance >= min(chance, wanted)
    assert answer.normal.plan == first.plan


def test_everything_assumed_is_handed_on() -> None:
    """What job and drawer assumed stands in the answer, the job's first."""
    job = replace(a_job(), assumed=("transfer ratio 0.75 within 0.25",))
    drawer = replace(a_drawer(12, 3), assumed=("L0: strip tolerance",))
    assert answer_job(job, drawer).assumed == (*job.assumed, *drawer.assumed)


def test_readings_that_settle_nothing_are_trouble() -> None:
    """Without a total clearance there is no answer but Trouble, which names it."""
    job = a_job(readings=(gap_reading(24.0, 25.0),))
    with pytest.raises(Trouble, match="total clearance"):
        answer_job(job, a_drawer(12, 3))


def test_a_stopped_search_claims_no_proof() -> None:
    """A search that was told to stop before it began comes back, and proves nothing."""
    halt = Halt()
    halt.stop()
    answer = answer_job(a_job(wanted=0.5), a_drawer(12, 3), halt)
    assert answer.normal is None or not answer.normal.proved
    assert answer_job(a_job(wanted=0.5), a_drawer(12, 3)).status == "met"


def test_the_same_job_gets_the_same_answer() -> None:
    """Twice the same question: the same plan, chance, others and mend."""
    job, drawer = example()
    one, two = answer_job(job, drawer), answer_job(job, drawer)
    assert one.verdict is not None and two.verdict is not None
    assert one.verdict.plan == two.verdict.plan
    assert (one.chance, one.others, one.budget) == (two.chance, two.others, two.budget)


@pytest.mark.parametrize("bad", [1, 2, 3])
def test_without_the_reading_that_stands_out(bad: int) -> None:
    """What is shown beside readings that disagree is the answer of the job without that reading."""
    drawer = a_drawer(20, 4)
    job = several(bad, 60.0)
    answer = answer_job(job, drawer)
    assert answer.agreement.state == "disagree" and answer.without is not None
    assert answer.without.reading == bad
    kept = tuple(reading for reading in job.readings if reading.number != bad)
    sound = answer_job(replace(job, readings=kept), drawer)
    assert (answer.without.state, sound.agreement.state) == ("agree", "agree")
    assert sound.verdict is not None
    assert answer.without.plan == sound.verdict.plan
    assert answer.without.chance == sound.chance and sound.without is None
    said = answer_as_text(answer)
    assert f"(reading {bad}) the others agree, and it would be" in " ".join(said.split())
    assert answer_as_json(answer)["agreement"]["without"]["reading"] == bad


def test_where_only_the_loop_can_be_blamed_nothing_is_left_out() -> None:
    """With one redundant reading no reading stands out, and no answer is made of the rest."""
    answer = answer_job(several(1, 0.0), a_drawer(20, 4))
    assert answer.agreement.state == "agree" and answer.without is None
    job = several(1, 90.0)
    loop = answer_job(replace(job, readings=job.readings[:3]), a_drawer(20, 4))
    assert loop.agreement.state == "disagree" and loop.without is None
