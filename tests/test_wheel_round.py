"""Backlash round the wheel: the harmonic, the limits at its tight spot, its spread."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import ncx2

from solver.answer import answer_job
from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Round, Stack
from solver.job_file import read_job
from solver.report import answer_as_text, round_sentences, uneven_sentence
from solver.report_json import answer_as_json
from solver.report_worth import worth_advice
from solver.simulation import simulate_builds
from solver.spread import of_reading
from solver.trouble import Trouble
from solver.verdict import normal_chance, simulated_chance
from solver.wheel_round import find_round, fit_harmonic, spread_chance
from solver.worth import weigh_readings
from tests.jobs import DIAL, THOU_UM, a_drawer, a_job, repeatable


def wandering(mean: float, half: float, tight_deg: float, teeth: int) -> tuple[float, ...]:
    """Backlash at equal steps of a turn, without noise: lowest at tight_deg. Returns them."""
    turns = (math.radians(360.0 * at / teeth - tight_deg) for at in range(teeth))
    return tuple(mean - half * math.cos(turn) for turn in turns)


def around(values_thou: tuple[float, ...], number: int = 3) -> Reading:
    """A trial fit read round the wheel [thou]. Returns the reading."""
    fitted = (Stack(WHEEL_SIDE, 18.0 * THOU_UM, 2.0), Stack(PLAIN_SIDE, 39.3 * THOU_UM, 2.0))
    values = tuple(value * THOU_UM for value in values_thou)
    return Reading(number, "backlash", DIAL, fitted=fitted, around_um=values)


def a_wheel(half_thou: float, where: str, u_um: float = 0.5, most_um: float = math.inf) -> Round:
    """A run-out that is known well. half_thou [thou]; where; u_um; most_um. Returns it."""
    return Round(-half_thou * THOU_UM, 0.0, u_um, 0.0, 8, where, most_um, (3,))


@given(
    values=st.lists(st.floats(0.0, 500.0), min_size=3, max_size=12).map(tuple),
)
@repeatable(60)
def test_the_harmonic_is_that_of_least_squares(values: tuple[float, ...]) -> None:
    """Mean, cosine, sine and what is left over. Source: numpy's least squares."""
    turns = 2.0 * np.pi * np.arange(len(values)) / len(values)
    design = np.column_stack([np.ones(len(values)), np.cos(turns), np.sin(turns)])
    wanted, *_ = np.linalg.lstsq(design, np.array(values), rcond=None)
    left = np.array(values) - design @ wanted
    found = fit_harmonic(values)
    assert (found.mean, found.cosine, found.sine) == pytest.approx(tuple(wanted), abs=1e-6)
    assert found.squares == pytest.approx(float(left @ left), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("teeth", [3, 4, 8, 12])
@pytest.mark.parametrize("tight_deg", [0.0, 100.0, 311.0])
def test_a_wheel_off_centre_is_found_out(teeth: int, tight_deg: float) -> None:
    """Run-out, tight spot and spread of a pure first harmonic, exact."""
    reading = around(wandering(7.5, 1.0, tight_deg, teeth))
    wheel = find_round((reading,), (1.0,), "mean", math.inf)
    assert wheel is not None
    assert wheel.half_um == pytest.approx(THOU_UM)
    assert wheel.spread_um == pytest.approx(2.0 * THOU_UM)
    assert math.cos(math.radians(wheel.tight_deg - tight_deg)) == pytest.approx(1.0)
    assert of_reading(reading).centre_um == pytest.approx(7.5 * THOU_UM)
    assert not of_reading(reading).scattered  # the wandering is no scatter


def test_how_well_the_run_out_is_known() -> None:
    """Ten thousand wheels read with noise: the spread of the harmonic is as stated."""
    rng = np.random.default_rng(3)
    true = np.array(wandering(200.0, 25.0, 40.0, 6))
    found = []
    for _ in range(10_000):
        values = tuple(true + rng.normal(0.0, DIAL.repeat_um, 6))
        found.append(fit_harmonic(values).cosine)
    reading = Reading(1, "backlash", DIAL, around_um=tuple(true))
    wheel = find_round((reading,), (1.0,), "mean", math.inf)
    assert wheel is not None
    # ten of the tool's word and three left over, which are nought here
    assert wheel.u_um == pytest.approx(np.std(found) * (10.0 / 13.0) ** 0.5, rel=0.03)


@pytest.mark.parametrize(
    ("half", "u", "most"), [(10.0, 3.0, 20.0), (2.0, 4.0, 12.0), (0.0, 1.0, 2.0)]
)
def test_the_chance_of_the_spread(half: float, u: float, most: float) -> None:
    """The distance of a round normal. Source: SciPy's non-central chi-square (Rice's law)."""
    wheel = Round(half * 0.6, half * 0.8, u, 0.0, 8, "mean", most, (1,))
    wanted = ncx2.cdf((most / 2.0 / u) ** 2, 2, (half / u) ** 2)
    assert spread_chance(wheel) == pytest.approx(float(wanted), abs=1e-4)


def small() -> tuple[Job, Drawer]:
    """A job and a drawer, nothing read round the wheel; the gap a quarter turn off its tooth."""
    job = a_job(wanted=0.5, mesh=Mesh(0.72, 0.05, 0.5, 0.1))
    gap = replace(job.readings[1], turn_deg=90.0)
    return replace(job, readings=(job.readings[0], gap)), a_drawer(12, 3)


def test_an_even_wheel_changes_nothing() -> None:
    """No run-out, known well: the same chance wherever the limit applies."""
    job, drawer = small()
    plain = answer_job(job, drawer)
    for where in ("tightest", "mean", "all round"):
        even = answer_job(replace(job, wheel=a_wheel(0.0, where, u_um=1e-6)), drawer)
        assert even.chance == pytest.approx(plain.chance, abs=1e-6)


def test_the_tightest_tooth_is_held() -> None:
    """A run-out of a thou at the tightest tooth is a window a thou higher for the mean."""
    job, drawer = small()
    tight = replace(job, wheel=a_wheel(1.0, "tightest", u_um=1e-6))
    lash, squeeze = job.limits
    moved = replace(lash, low_um=lash.low_um + THOU_UM, high_um=lash.high_um + THOU_UM)
    one, two = answer_job(tight, drawer), answer_job(replace(job, limits=(moved, squeeze)), drawer)
    assert one.verdict is not None and two.verdict is not None
    assert one.verdict.plan == two.verdict.plan
    assert one.chance == pytest.approx(two.chance, abs=1e-4)
    shown = (one.verdict.results[0].predicted_um, two.verdict.results[0].predicted_um)
    assert shown[0] == pytest.approx(shown[1] - THOU_UM)  # at the tightest tooth


def test_every_tooth_is_held() -> None:
    """All round: the window for the mean loses the run-out at both ends."""
    job, drawer = small()
    lash, squeeze = job.limits
    narrow = replace(lash, low_um=lash.low_um + 12.7, high_um=lash.high_um - 12.7)
    all_round = replace(job, wheel=a_wheel(0.5, "all round", u_um=1e-6))
    one = answer_job(all_round, drawer)
    two = answer_job(replace(job, limits=(narrow, squeeze)), drawer)
    assert one.chance == pytest.approx(two.chance, abs=1e-4)
    assert one.normal is not None and two.normal is not None
    assert one.normal.chance == pytest.approx(two.normal.chance, abs=1e-9)


def test_the_normal_law_of_verdict_and_choice_agree() -> None:
    """By separate code, with a run-out, to 1e-6."""
    job, drawer = small()
    for where in ("tightest", "all round"):
        answer = answer_job(replace(job, wheel=a_wheel(0.7, where)), drawer)
        assert answer.normal is not None
        estimate = estimate_job(answer.job, drawer)
        again = normal_chance(answer.job, drawer, estimate, answer.normal.plan)
        assert again == pytest.approx(answer.normal.chance, abs=1e-6)


def test_a_run_out_that_is_badly_known_costs_chance() -> None:
    """The same run-out, known to half a thou only, makes the simulated chance smaller."""
    job, drawer = small()
    sharp = answer_job(replace(job, wheel=a_wheel(0.7, "all round", 0.1)), drawer)
    assert sharp.verdict is not None
    vague = replace(job, wheel=a_wheel(0.7, "all round", 12.7))
    estimate = estimate_job(vague, drawer)
    builds = simulate_builds(vague, estimate)
    chance = simulated_chance(vague, drawer, estimate, sharp.verdict.plan, builds)
    assert chance < sharp.chance - 0.02


def test_a_spread_beyond_its_limit_is_no_shims_fault() -> None:
    """The plan stands as it was, the chance does not, and nothing is cut or bought for it."""
    job, drawer = small()
    plain = answer_job(job, drawer)
    uneven = answer_job(replace(job, wheel=a_wheel(1.0, "mean", 2.0, 1.9 * THOU_UM)), drawer)
    assert plain.verdict is not None and uneven.verdict is not None
    assert uneven.verdict.plan == plain.verdict.plan
    assert uneven.status == "short" and uneven.mend is None
    assert uneven.verdict.by_shims == pytest.approx(plain.chance, abs=0.02)
    assert uneven.chance == pytest.approx(plain.chance * uneven.verdict.even_chance, abs=0.02)
    assert "No shim mends that" in answer_as_text(uneven)
    assert uneven_sentence(plain) == ""
    advice = worth_advice(uneven, weigh_readings(uneven))
    assert advice.startswith("See to the wheel first. The backlash wanders too far")


def test_teeth_that_wander_more_than_the_limits_are_apart() -> None:
    """No plan at all, said plainly; no measuring and no cutting is advised."""
    job, drawer = small()
    answer = answer_job(replace(job, wheel=a_wheel(2.0, "all round")), drawer)
    assert answer.status == "none" and answer.mend is None and answer.nearest == ""
    assert "more than its limits are apart" in answer_as_text(answer)


def test_a_trial_is_weighed_at_the_mean() -> None:
    """What a trial fit is expected to show is the mean, wherever the limit applies."""
    job, drawer = small()
    one = weigh_readings(answer_job(replace(job, wheel=a_wheel(0.4, "tightest", 1e-6)), drawer))
    assert all(0.0 <= further.chance <= 1.0 for further in one.readings)
    trial = next(further for further in one.readings if further.kind == "trial")
    assert trial.chance >= one.now - 1e-3


# Through files

TABLE = {
    "unit": "thou",
    "limits": {
        "backlash": {"low": 4.0, "high": 6.5, "where": "tightest"},
        "backlash_spread": {"high": 2.0},
        "pinch": {"low": 5.5, "high": 7.5, "counted": "total"},
    },
    "tools": {"dial": {"within": 0.2, "repeat": 0.3, "step": 0.1}},
    "readings": [
        {"of": "total clearance", "tool": "dial", "value": 51.0},
        {"of": "mesh gap", "tool": "dial", "value": 24.0},
        {
            "of": "backlash",
            "tool": "dial",
            "fitted": {"wheel side": 18.0, "plain side": 39.0},
            "around": [7.2, 7.9, 8.5, 8.8, 8.4, 7.8, 7.1, 6.9],
        },
    ],
}


def job_of(table: dict[str, object]) -> Job:
    """The job that a table says. table: as TOML gives it. Returns it. Raises: Trouble."""
    return read_job(json.loads(json.dumps(table)), "job", Path())


def changed(*changes: tuple[tuple[object, ...], object]) -> dict[str, object]:
    """The table with changes. changes: (place, value; None takes it out). Returns a new table."""
    table = json.loads(json.dumps(TABLE))
    for place, value in changes:
        inner = table
        for part in place[:-1]:
            inner = inner[part]
        if value is None:
            del inner[place[-1]]
        else:
            inner[place[-1]] = value
    return dict(table)


def test_a_job_file_says_it_all() -> None:
    """Run-out, tight spot, where the limit applies and the spread's own limit."""
    job = job_of(TABLE)
    assert job.wheel is not None and job.wheel.where == "tightest"
    assert job.wheel.most_um == pytest.approx(2.0 * THOU_UM)
    assert job.wheel.spread_um == pytest.approx(1.88 * THOU_UM, rel=0.01)
    assert job.wheel.tight_deg == pytest.approx(311.0, abs=1.0)
    table = answer_as_json(answer_job(job, a_drawer(20, 2)))["round"]
    assert table["where"] == "tightest" and table["teeth"] == 8
    assert table["spread_um"] == pytest.approx(job.wheel.spread_um)
    words = " ".join(round_sentences(answer_job(job, a_drawer(20, 2))))
    assert "1.9 thou" in words and "311 degrees" in words and "reading 8 of 8" in words


def test_what_is_left_unsaid_is_listed_as_assumed() -> None:
    """No `where`: every tooth is held. A limit of the spread and nothing read round: even."""
    job = job_of(changed((("limits", "backlash", "where"), None)))
    assert job.wheel is not None and job.wheel.where == "all round"
    assert any("every tooth" in said for said in job.assumed)
    once = changed((("readings", 2, "around"), None), (("readings", 2, "values"), [7.5, 7.6]))
    assert job_of(once).wheel is None
    assert any("even round the wheel" in said for said in job_of(once).assumed)
    assert not any("round the wheel" in said for said in job_of(TABLE).assumed)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ((("readings", 2, "around"), [7.0, 7.5]), "3 to 12 readings"),
        ((("readings", 2, "around"), [7.0] * 13), "3 to 12 readings"),
        ((("readings", 2, "values"), [7.0]), "exactly one of"),
        ((("readings", 2, "tool"), None), "a tool"),
        ((("readings", 0), {"of": "total clearance", "tool": "dial", "around": [1, 2, 3]}), "only"),
        ((("limits", "backlash", "where"), "loosest"), "tightest"),
        ((("limits", "backlash_spread"), {"low": 1.0}), "high"),
        ((("limits", "backlash_spread", "high"), -1.0), "above 0"),
    ],
)
def test_slips_are_told(change: tuple[tuple[object, ...], object], words: str) -> None:
    """One line a fault, with its way out. change: of the table; words: that the fault says."""
    with pytest.raises(Trouble) as told:
        job_of(changed(change))
    assert any(words in str(fault) for fault in told.value.faults), told.value.faults


def with_gap(turn_deg: float | None, gap_thou: float) -> Job:
    """A job whose gap was read at one spot of a wheel that wanders by half a thou."""
    readings = (
        Reading(1, "total clearance", DIAL, values_um=(51.0 * THOU_UM,)),
        Reading(2, "mesh gap", DIAL, values_um=(gap_thou * THOU_UM,), turn_deg=turn_deg),
    )
    job = a_job(readings=readings, mesh=Mesh(0.72, 0.02, 0.5, 0.1))
    return replace(job, wheel=a_wheel(0.5, "mean", 0.1))  # tight at the first tooth


@pytest.mark.parametrize(("turn_deg", "off"), [(0.0, 0.5), (90.0, 0.0), (180.0, -0.5)])
def test_a_gap_read_at_one_spot_is_referred_to_the_mean(turn_deg: float, off: float) -> None:
    """At the tight spot the gap is less than its mean by the run-out over the ratio. Exact."""
    found = estimate_job(with_gap(turn_deg, 24.0), Drawer(())).fit
    assert found.x[1] / THOU_UM == pytest.approx(24.0 + off / 0.72, abs=1e-6)


def test_a_gap_read_nobody_knows_where_is_known_less_well() -> None:
    """Run-out over the square root of two and the ratio, on top of the rest. Exact."""
    known = estimate_job(with_gap(90.0, 24.0), Drawer(())).fit.cov[1, 1]
    lost = estimate_job(with_gap(None, 24.0), Drawer(())).fit.cov[1, 1]
    extra = (0.5 * THOU_UM / 0.72) ** 2 / 2.0 - (0.1 / 0.72) ** 2
    assert lost - known == pytest.approx(extra, rel=1e-6)


def test_a_backlash_read_at_one_tooth_is_referred_too() -> None:
    """A tooth half a thou tighter than the mean: the mean is half a thou more. Exact."""
    job, _ = small()
    stacks = (Stack(WHEEL_SIDE, 18.0 * THOU_UM), Stack(PLAIN_SIDE, 39.3 * THOU_UM))
    trial = Reading(3, "backlash", DIAL, (7.0 * THOU_UM,), fitted=stacks, turn_deg=0.0)
    job = replace(job, readings=(*job.readings, trial), wheel=a_wheel(0.5, "mean"))
    row = next(row for row in estimate_job(job, Drawer(())).rows if 3 in row.readings)
    assert row.spread.centre_um == pytest.approx(7.5 * THOU_UM)


def test_a_turn_with_nothing_to_turn_to_is_said() -> None:
    """Assumed to do nothing without a reading round the wheel; refused where senseless."""
    turned = (("readings", 1, "turn"), 90)
    once = ((("readings", 2, "around"), None), (("readings", 2, "value"), 7.5))
    assert job_of(changed(turned)).readings[1].turn_deg == 90.0
    assert any("without effect" in said for said in job_of(changed(turned, *once)).assumed)
    for number in (0, 2):
        with pytest.raises(Trouble):
            job_of(changed((("readings", number, "turn"), 90)))


def test_a_radius_taken_as_exact_is_listed() -> None:
    """Said how well it is known: nothing is assumed; unsaid: it is."""
    edge = (("mesh",), {"edge_radius": "90 mm"})
    alone = job_of(changed(edge, (("readings", 2, "radius"), "79 mm")))
    assert "radius of a dial taken as exact" in alone.assumed
    within = (("readings", 2, "radius_within"), "1 mm")
    known = job_of(changed(edge, (("readings", 2, "radius"), "79 mm"), within))
    assert known.readings[2].spot.radius_within_um == pytest.approx(1000.0)
    assert "radius of a dial taken as exact" not in known.assumed
