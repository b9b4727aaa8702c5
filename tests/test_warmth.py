"""Warm readings brought to 20 °C, and what the plan becomes at work."""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_wheel_round import changed, job_of

from solver.answer import answer_job
from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import Mesh, Reading, Warmth
from solver.mechanics import CLEARANCE, GAP
from solver.report import answer_as_text, warm_sentences
from solver.report_json import answer_as_json
from solver.spread import of_reading
from solver.trouble import Trouble
from solver.warmth import at_work, cooled, growth_u_um, growth_um
from tests.jobs import DIAL, THOU_UM, a_drawer, a_job

ALUMINIUM = Warmth(23e-6, 11.5e-6, 150_000.0, 80.0)
WARM = {"housing": "aluminium", "carrier": "steel", "width": "150 mm", "working": 80}


def test_an_aluminium_housing_lets_go_of_four_thou() -> None:
    """150 mm and 60 K: about 4 thou. Source: linear expansion, coefficients from memory."""
    assert growth_um(ALUMINIUM, 80.0) == pytest.approx(150_000.0 * 11.5e-6 * 60.0)
    assert growth_um(ALUMINIUM, 80.0) / THOU_UM == pytest.approx(4.0, abs=0.15)
    assert growth_um(ALUMINIUM, 20.0) == 0.0
    assert growth_u_um(ALUMINIUM, 20.0) > 0.0  # who knows whether it was 20


def test_one_metal_grows_together() -> None:
    """Nothing to bring back, but what the two alloys may differ by."""
    same = Warmth(11.5e-6, 11.5e-6, 150_000.0)
    assert growth_um(same, 90.0) == 0.0
    assert 0.0 < growth_u_um(same, 90.0) < growth_um(ALUMINIUM, 80.0) / 5.0


@pytest.mark.parametrize("celsius", [20.0, 35.0, 5.0])
def test_a_warm_clearance_is_brought_to_twenty_degrees(celsius: float) -> None:
    """The whole growth off the clearance, half of it off the gap: exact."""
    readings = (
        Reading(1, "total clearance", DIAL, values_um=(1300.0,), celsius=celsius),
        Reading(2, "mesh gap", DIAL, values_um=(600.0,), celsius=celsius),
    )
    job = replace(a_job(readings=readings), warmth=ALUMINIUM)
    found = estimate_job(job, Drawer(())).fit
    grown = growth_um(ALUMINIUM, celsius)
    assert found.x[CLEARANCE] == pytest.approx(1300.0 - grown)
    assert found.x[GAP] == pytest.approx(600.0 - grown / 2.0)


def test_a_warm_trial_is_brought_back_too() -> None:
    """Read warm on an axle of which all else is known: the ratio is what the cold one would show.

    The true axle is written out here: clearance and gap grow, the backlash follows.
    """
    clearance, gap, ratio, share, grown = 1300.0, 620.0, 0.72, 0.3, growth_um(ALUMINIUM, 50.0)
    wheel, plain = 500.0, 1000.0
    cold = ratio * (gap - wheel + share * (wheel + plain - clearance))
    warm = ratio * (gap + grown / 2 - wheel + share * (wheel + plain - clearance - grown))
    job = replace(a_job(mesh=Mesh(ratio, 0.02, share, 0.02)), warmth=ALUMINIUM)
    trial = Reading(3, "backlash", DIAL, values_um=(warm,), celsius=50.0)

    found = cooled(of_reading(trial), trial, ALUMINIUM, 1.0, ratio, share)
    assert found.centre_um == pytest.approx(cold)
    assert found.sd_um > of_reading(trial).sd_um
    assert job.warmth is ALUMINIUM


def test_a_warm_reading_is_known_less_well() -> None:
    """What is not known of metals and temperature widens it."""
    cold = Reading(1, "total clearance", DIAL, values_um=(1300.0,))
    gap = Reading(2, "mesh gap", DIAL, values_um=(600.0,))
    spreads = []
    for reading in (cold, replace(cold, celsius=60.0)):
        job = replace(a_job(readings=(reading, gap)), warmth=ALUMINIUM)
        spreads.append(estimate_job(job, Drawer(())).fit.cov[CLEARANCE, CLEARANCE])
    assert spreads[1] - spreads[0] == pytest.approx(growth_u_um(ALUMINIUM, 60.0) ** 2, rel=1e-6)


def test_what_the_plan_becomes_at_work() -> None:
    """Pinch falls by the growth, backlash by what the two shares leave; said in text and JSON."""
    job, drawer = replace(a_job(wanted=0.3), warmth=ALUMINIUM), a_drawer(20, 3)
    answer = answer_job(job, drawer)
    warm = at_work(answer)
    assert warm is not None and answer.verdict is not None
    lash, squeeze = answer.verdict.results
    assert warm.pinch_um == pytest.approx(squeeze.predicted_um - warm.grown_um)
    ratio, share = (found.value for found in answer.estimates[2:])
    assert warm.pinch_um > 0
    change = ratio * warm.grown_um * (0.5 - share)
    assert warm.least_um == pytest.approx(lash.predicted_um + change)
    assert warm.pinch_u_um > squeeze.u_um and warm.backlash_u_um > lash.u_um
    assert " ".join(warm_sentences(answer)) in " ".join(answer_as_text(answer).split())
    assert answer_as_json(answer)["warm"]["grown_um"] == pytest.approx(warm.grown_um)
    cold = answer_job(replace(job, warmth=None), drawer)
    assert cold.chance == answer.chance and answer_as_json(cold)["warm"] is None


def test_bearings_that_come_loose_at_work_are_said() -> None:
    """A wide housing at 120 °C: end float, and whom to ask."""
    wide = replace(ALUMINIUM, width_um=300_000.0, working_c=120.0)
    answer = answer_job(replace(a_job(wanted=0.3), warmth=wide), a_drawer(20, 3))
    said = " ".join(warm_sentences(answer))
    assert "end float" in said and "come loose" in said
    warm = at_work(answer)
    assert warm is not None and warm.most_um > warm.least_um


def test_a_job_file_says_metals_and_temperatures() -> None:
    """By name or by number; what stands in for the rest is listed."""
    job = job_of(changed((("warmth",), WARM), (("readings", 0, "temperature"), 35)))
    assert job.warmth == Warmth(23e-6, 11.5e-6, 150_000.0, 80.0)
    assert job.readings[0].celsius == 35.0
    assert any("on the wheel's side" in said for said in job.assumed)
    numbered = job_of(changed((("warmth",), {**WARM, "housing": 24.5})))
    assert numbered.warmth is not None and numbered.warmth.housing_per_k == pytest.approx(24.5e-6)
    alone = job_of(changed((("readings", 0, "temperature"), 35)))
    assert any("temperatures change nothing" in said for said in alone.assumed)


@pytest.mark.parametrize(
    "bad",
    [
        {**WARM, "housing": "cheese"},
        {**WARM, "width": -3},
        {**WARM, "working": "hot"},
        {**WARM, "colour": "red"},
        {"housing": "steel", "width": "150 mm"},
        {"housing": "steel", "carrier": "steel"},
    ],
)
def test_slips_are_told(bad: dict[str, object]) -> None:
    """Each bad table is a fault with its place. bad: the table."""
    with pytest.raises(Trouble) as told:
        job_of(changed((("warmth",), bad)))
    assert all("warmth" in str(fault) for fault in told.value.faults)
