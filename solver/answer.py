"""The corridor: from a job and a drawer to the finished answer, stage by stage."""

from __future__ import annotations

from dataclasses import replace

from solver.agreement import check_agreement
from solver.budget import share_out
from solver.choice import Choice, begin_search, choose
from solver.drawer import Drawer
from solver.estimate import Estimate, estimate_job
from solver.findings import Answer, Estimated, Normal, Other, Verdict, Without
from solver.job import Job
from solver.master import Halt
from solver.mechanics import QUANTITY_NAMES
from solver.mend import find_mend, nearest_words
from solver.pieces import PINION_RATIO
from solver.plan import Plan
from solver.search import Search
from solver.simulation import Builds, simulate_builds
from solver.trouble import Fault, Trouble
from solver.verdict import judge, predict_plan, simulated_chance

BARE = (*QUANTITY_NAMES[2:], PINION_RATIO)  # estimates without a unit
MOST_RAISES = 8
MOST_OTHERS = 5
APART_UM = 2.0  # plans whose stacks differ by less are one plan to a person


def answer_job(job: Job, drawer: Drawer, halt: Halt | None = None) -> Answer:
    """Answer one job: which shims go where, how sure that is, what holds it back.

    job, drawer: as read; halt: to stop from another thread. Returns: the Answer.
    Raises: Trouble where the readings do not settle the axle, or no shim goes anywhere.
    """
    if not job.seats:
        way_out = 'write seats = { "front cover" = -1 } in a line; "stack" needs none'
        fault = Fault(
            f"{job.title or 'job'}: lines", "no seat in any line", "a place for shims", way_out,
            ("lines", 0),
        )  # fmt: skip
        raise Trouble([fault])
    answer = _answer(job, drawer, halt)
    return replace(answer, without=_without(answer, halt))


def _without(answer: Answer, halt: Halt | None) -> Without | None:
    """Answer again without the reading that stands against the others; None where none does."""
    job, suspects = answer.job, answer.agreement.suspects
    named = [suspect.reading for suspect in suspects if suspect.reading is not None]
    if answer.agreement.state not in ("disagree", "look again") or len(named) != 1:
        return None
    kept = tuple(reading for reading in job.readings if reading.number != named[0])
    left_out = next(reading for reading in job.readings if reading.number == named[0])
    try:
        again = _answer(replace(job, readings=kept), answer.drawer, halt)
    except Trouble:  # the others do not settle the axle
        return None
    plan = again.verdict.plan if again.verdict else None
    return Without(
        left_out.number, left_out.of, again.agreement.state, again.status, again.chance, plan
    )


def _answer(job: Job, drawer: Drawer, halt: Halt | None) -> Answer:
    """One pass down the corridor."""
    estimate = estimate_job(job, drawer)
    agreement = check_agreement(job, estimate)
    search = begin_search(job, drawer, estimate, halt)
    choice = choose(search, job.wanted_chance)
    builds = simulate_builds(job, estimate)
    verdict = _pass_simulation(search, drawer, estimate, choice, builds) if choice else None
    met = verdict is not None and verdict.chance >= job.wanted_chance
    # where the teeth wander more than the limits are apart no shim helps
    no_room = job.carrier and job.held_um[0] >= job.held_um[1]
    enough = no_room or (verdict is not None and verdict.by_shims >= job.wanted_chance)
    return Answer(
        job=job,
        drawer=drawer,
        status="met" if met else "short" if verdict else "none",
        chance=verdict.chance if verdict else 0.0,
        verdict=verdict,
        normal=Normal(choice.plan, choice.chance, choice.proved) if choice else None,
        estimates=_estimated(estimate),
        agreement=agreement,
        assumed=(*job.assumed, *drawer.assumed),
        others=_others(search, drawer, estimate, verdict.plan, builds) if verdict else (),
        budget=share_out(job, drawer, estimate, search.law, verdict.plan) if verdict else (),
        mend=None if enough else find_mend(job, drawer, estimate, search, job.wanted_chance),
        nearest="" if verdict or no_room else nearest_words(job, drawer, estimate, search),
    )


def _pass_simulation(
    search: Search, drawer: Drawer, estimate: Estimate, choice: Choice, builds: Builds
) -> Verdict:
    """Judge the choice; where simulation finds it short, search on with a raised bar."""
    job, wanted = search.job, search.job.wanted_chance
    best = judge(job, drawer, estimate, choice.plan, builds)
    found, bar, reached = best, wanted, choice.reached
    for _ in range(MOST_RAISES):
        if found.by_shims >= wanted or not reached:
            break
        bar = min(bar + max(wanted - found.by_shims, 0.001), 1.0 - 1e-6)
        raised = choose(search, bar)
        if raised is None:
            break
        reached = raised.reached
        found = judge(job, drawer, estimate, raised.plan, builds)
        best = max(best, found, key=lambda verdict: verdict.chance)
    return best


def _estimated(estimate: Estimate) -> tuple[Estimated, ...]:
    fit = estimate.fit
    return tuple(
        Estimated(one.name, float(fit.x[at]), float(fit.cov[at, at]) ** 0.5, one.name in BARE)
        for at, one in enumerate(estimate.unknowns.items)
        if one.kind == "quantity"
    )


def _others(
    search: Search, drawer: Drawer, estimate: Estimate, plan: Plan, builds: Builds
) -> tuple[Other, ...]:
    """The best plans with one more and one fewer piece, then those nearest to the chosen one."""
    count = plan.shims
    if count + 1 in search.totals:
        search.weigh(count + 1, search.best(count))
    kept: list[Plan] = []
    for total, most in ((count, 3), (count + 1, 1), (count - 1, 1)):
        taken = 0
        for candidate in sorted(search.pool.get(total, []), key=lambda c: -c.chance)[:60]:
            other = search.columns.plan(candidate.counts)
            if taken < most and all(_apart(other, one) for one in (plan, *kept)):
                kept.append(other)
                taken += 1
    found = []
    for other in kept[:MOST_OTHERS]:
        mean, _ = predict_plan(search.job, drawer, estimate, other)
        chance = simulated_chance(search.job, drawer, estimate, other, builds)
        found.append(Other(other, chance, tuple(mean.tolist())))
    return tuple(sorted(found, key=lambda one: (-one.chance, one.plan.shims)))


def _apart(one: Plan, two: Plan) -> bool:
    return one.shims != two.shims or any(
        abs(a.thickness_um - b.thickness_um) > APART_UM
        for a, b in zip(one.stacks, two.stacks, strict=True)
    )
