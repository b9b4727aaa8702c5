"""What another reading is worth: against taking it ten thousand times; what must always hold."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given

from solver.answer import answer_job
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.findings import Answer, Further, Worth
from solver.job import Job, Mesh, Reading
from solver.law import Stacks, law_of
from solver.report_worth import worth_advice, worth_as_json, worth_as_text
from solver.spread import of_reading
from solver.terminal import main
from solver.worth import STRATA, again, trial_reading, weigh_readings
from tests.brute import as_stacks, every_plan
from tests.jobs import MICROMETER, THOU_UM, a_drawer, a_job, jobs_with_drawers, repeatable

DRAWS = 10_000
EXAMPLE = str(Path(__file__).parent.parent / "stock_lists" / "example.toml")


def small() -> tuple[Job, Drawer, Answer]:
    """A job whose drawer can be tried plan by plan; one lot of it was never measured."""
    drawer = a_drawer(8, 6, thou=(8.0, 30.0), most=1)
    rough = Lot("R", 21.0 * THOU_UM, 1, 1.2 * THOU_UM, "")
    drawer = Drawer((*drawer.lots, rough))
    job = a_job(wanted=0.9, mesh=Mesh(0.72, 0.12, 0.5, 0.2))
    return job, drawer, answer_job(job, drawer)


def plans_of(job: Job, drawer: Drawer, most: int) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Every plan of up to so many pieces that has any chance worth the name."""
    estimate = estimate_job(job, drawer)
    every = every_plan(job, drawer, estimate, law_of(job, estimate))
    kept = (every.pieces <= most) & (every.chance > 0.002)
    return [counts for counts, keep in zip(every.counts, kept, strict=True) if keep]


def taken(job: Job, drawer: Drawer, new: Reading, most: int) -> tuple[float, float]:
    """Take a reading many times: draw a truth, read it, choose anew. Returns: mean, its error."""
    assert new.tool is not None
    vague = replace(new, tool=replace(new.tool, repeat_um=1e7))  # tells nothing
    before = estimate_job(replace(job, readings=(*job.readings, vague)), drawer)
    row = next(row for row in before.rows if new.number in row.readings)
    x, cov = before.fit.x, before.fit.cov
    _, slope = row.predict(x, before.axle)
    u = of_reading(new).u_um
    total = float(slope @ cov @ slope) + u**2
    gain = cov @ slope / total
    left = cov - np.outer(gain, slope @ cov)
    rng = np.random.default_rng(5)
    truths = rng.multivariate_normal(x, cov, DRAWS, method="eigh")
    read = (truths - x) @ slope + rng.normal(0.0, u, DRAWS)
    law = replace(law_of(job, before), cov=left)
    stacks = as_stacks(job, drawer, before, plans_of(job, drawer, most))
    best = np.empty(DRAWS)
    for at, miss in enumerate(read):
        moved = x + gain * miss
        best[at] = replace(law, x=moved).chance(stacks).max()
    return float(best.mean()), float(best.std()) / DRAWS**0.5


def found(worth: Worth, **wanted: object) -> Further:
    """The reading of that kind."""
    return next(
        one for one in worth.readings
        if all(getattr(one, name) == value for name, value in wanted.items())
    )  # fmt: skip


@pytest.mark.parametrize("number", [1, 2])
def test_reading_again_ten_thousand_times(number: int) -> None:
    """Three more of the clearance's readings, or of the gap's: the mean of many tries.

    Source: plain simulation of the linear law, every plan weighed for every outcome.
    """
    job, drawer, answer = small()
    assert answer.verdict is not None
    reading = again(job.readings[number - 1], 3, job, estimate_job(job, drawer))
    assert reading is not None
    mean, error = taken(job, drawer, reading, answer.verdict.plan.shims + 1)
    chance = found(weigh_readings(answer), kind="again", reading=number, times=3).chance
    assert chance == pytest.approx(mean, abs=4.0 * error + 5e-4)


def test_a_trial_fit_ten_thousand_times() -> None:
    """The trial's pieces keep their errors: a plan that keeps them is surer. Source: as above."""
    job, drawer, answer = small()
    assert answer.verdict is not None
    plan = answer.verdict.plan
    trial = trial_reading(job, drawer, estimate_job(job, drawer), plan)
    assert trial is not None
    mean, error = taken(job, drawer, trial, plan.shims + 1)
    chance = found(weigh_readings(answer), kind="trial").chance
    assert chance == pytest.approx(mean, abs=4.0 * error + 5e-4)
    assert chance > weigh_readings(answer).now + 0.02


def test_measuring_a_piece_ten_thousand_times() -> None:
    """A lot that was never measured turns out thicker or thinner. Source: as above."""
    job, drawer, answer = small()
    assert answer.verdict is not None
    estimate = estimate_job(job, drawer)
    rough = drawer.lots[-1]
    before = rough.within_um**2 / 3.0
    noise = max(MICROMETER.repeat_um**2, MICROMETER.step_um**2 / 12.0)
    noise += MICROMETER.within_um**2 / 3.0
    left = before * noise / (before + noise)
    known = Drawer((*drawer.lots[:-1], replace(rough, within_um=(3.0 * left) ** 0.5)))
    counts = plans_of(job, drawer, answer.verdict.plan.shims + 1)
    stacks = as_stacks(job, known, estimate, counts)
    uses = np.array([(wheel[-1], plain[-1]) for wheel, plain in counts], float)
    law = law_of(job, estimate)
    rng = np.random.default_rng(6)
    best = np.empty(DRAWS)
    for at in range(DRAWS):
        error = rng.normal(0.0, before**0.5)
        read = error + rng.normal(0.0, noise**0.5)
        moved = stacks.nominal_um + uses * read * before / (before + noise)
        best[at] = law.chance(Stacks(moved, stacks.lean, stacks.own_um2)).max()
    chance = found(weigh_readings(answer), kind="measure", lot="R").chance
    assert chance == pytest.approx(best.mean(), abs=4.0 * best.std() / DRAWS**0.5 + 5e-4)


def test_taking_it_in_earnest() -> None:
    """The whole program run again on readings as they would come: 200 gaps read three more times.

    Nothing linear in it: every outcome is estimated and every plan weighed anew.
    """
    job, drawer, answer = small()
    assert answer.verdict is not None
    estimate = estimate_job(job, drawer)
    reading = again(job.readings[1], 3, job, estimate)
    assert reading is not None
    u = of_reading(reading).u_um
    row = next(row for row in estimate.rows if 2 in row.readings)
    _, slope = row.predict(estimate.fit.x, estimate.axle)
    total = (float(slope @ estimate.fit.cov @ slope) + u**2) ** 0.5
    counts = plans_of(job, drawer, answer.verdict.plan.shims + 1)
    best = []
    for z in np.random.default_rng(7).normal(0.0, 1.0, 200):
        values = tuple(value + total * z for value in reading.values_um)
        wider = replace(job, readings=(*job.readings, replace(reading, values_um=values)))
        after = estimate_job(wider, drawer)
        chances = law_of(wider, after).chance(as_stacks(wider, drawer, after, counts))
        best.append(float(chances.max()))
    chance = found(weigh_readings(answer), kind="again", reading=2, times=3).chance
    allowed = 4.0 * float(np.std(best)) / len(best) ** 0.5 + 0.002
    assert chance == pytest.approx(float(np.mean(best)), abs=allowed)


@given(case=jobs_with_drawers(end_float=False))
@repeatable(25)
def test_a_further_reading_never_costs(case: tuple[Job, Drawer]) -> None:
    """Knowing more can be ignored: on average it never lowers the chance of the best plan."""
    answer = answer_job(*case)
    worth = weigh_readings(answer)
    for one in worth.readings:
        assert one.chance >= worth.now - 0.01, one  # linear at the estimate: not exact
        assert 0.0 <= one.chance <= 1.0
    order = [round(one.chance, 2) for one in worth.readings]
    assert all(a >= b - 0.011 for a, b in pairwise(order))


def test_strata_stand_for_a_normal() -> None:
    """Mean nought, variance one, symmetric."""
    assert STRATA.mean() == pytest.approx(0.0, abs=1e-12)
    assert STRATA.std() == pytest.approx(1.0, abs=1e-12)
    assert STRATA[0] == pytest.approx(-STRATA[-1], abs=1e-12)


def test_more_repeats_are_worth_more() -> None:
    """Three more readings of one thing are worth no less than one."""
    _, _, answer = small()
    worth = weigh_readings(answer)
    for number in (1, 2):
        one, three = (found(worth, reading=number, times=times).chance for times in (1, 3))
        assert three >= one - 1e-3


def test_a_sharp_reading_is_not_worth_taking_again() -> None:
    """What is known to a micrometre already gains nothing from another look."""
    job, drawer, _ = small()
    sharp = replace(job.readings[0].tool, name="sharp", repeat_um=0.1, step_um=0.1, within_um=0.1)
    readings = (
        Reading(1, "total clearance", sharp, values_um=(51.2 * THOU_UM,) * 9),
        job.readings[1],
    )
    job = replace(job, readings=readings, tools=(*job.tools, sharp))
    worth = weigh_readings(answer_job(job, drawer))
    assert found(worth, reading=1, times=3).chance == pytest.approx(worth.now, abs=1e-3)


def test_advice_says_fit_it_or_names_a_reading() -> None:
    """Met: fit it. Short: the easiest reading that reaches the wanted chance, or the trial fit."""
    job, drawer, answer = small()
    worth = weigh_readings(answer)
    met = answer_job(replace(job, wanted_chance=0.1), drawer)
    assert worth_advice(met, weigh_readings(met)).startswith("Fit it")
    best = max(one.chance for one in worth.readings if one.effort == "bench")
    within_reach = replace(job, wanted_chance=(worth.now + best) / 2.0 + 0.01)
    short = answer_job(within_reach, drawer)
    if short.status == "short" and best >= within_reach.wanted_chance:
        assert worth_advice(short, weigh_readings(short)).startswith("Measure again first")
    hopeless = answer_job(replace(job, wanted_chance=0.9999), drawer)
    assert "o single reading reaches" in worth_advice(hopeless, weigh_readings(hopeless))


def test_readings_that_disagree_come_first() -> None:
    """No worth is advised on while one of the readings has to be wrong."""
    job, drawer, _ = small()
    wrong = Reading(3, "far gap in mesh", job.readings[1].tool, values_um=(60.0 * THOU_UM,))
    answer = answer_job(replace(job, readings=(*job.readings, wrong)), drawer)
    assert answer.agreement.state == "disagree"
    assert worth_advice(answer, weigh_readings(answer)).startswith("Neither yet")


def test_the_verb_prints_what_json_says(capsys: pytest.CaptureFixture[str]) -> None:
    """Text and JSON tell of the same readings; the exit code is that of the answer."""
    assert main(["remeasure", EXAMPLE, "--json"]) == 0
    table = json.loads(capsys.readouterr().out)
    assert main(["remeasure", EXAMPLE]) == 0
    text = capsys.readouterr().out
    assert max(len(line) for line in text.splitlines()) <= 88
    words = " ".join(text.split())
    assert table["readings"] and table["advice"] in words
    assert all(one["words"] in words for one in table["readings"])
    gains = [one["gain"] for one in table["readings"]]
    assert gains[0] == max(gains) > 0.0


def test_no_plan_no_worth() -> None:
    """A drawer that nothing fits from: said plainly."""
    thin = Drawer(tuple(Lot(f"T{at}", 50.0, 1, 1.0, "micrometer") for at in range(3)))
    answer = answer_job(a_job(), thin)
    worth = weigh_readings(answer)
    assert answer.status == "none" and not worth.readings
    assert "No plan" in worth_as_text(answer, worth)
    assert worth_as_json(answer, worth)["readings"] == []
