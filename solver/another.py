"""Another plan than the chosen one, judged as fully, for whoever wants to look at it."""

from __future__ import annotations

from dataclasses import replace

from solver.budget import share_out
from solver.estimate import estimate_job
from solver.findings import Answer, Other
from solver.law import law_of
from solver.simulation import simulate_builds
from solver.verdict import judge


def answer_with(answer: Answer, place: int) -> Answer:
    """Answer the same job with one of the other plans in place of the chosen one.

    answer: with a verdict; place: of the plan among its others, from 0. Returns: an Answer about
    that plan, the chosen one first among its others; nothing in it is proved and nothing mended.
    """
    if answer.verdict is None:
        raise ValueError("an answer without a plan has no other one")
    job, drawer = answer.job, answer.drawer
    estimate = estimate_job(job, drawer)
    plan = answer.others[place].plan
    verdict = judge(job, drawer, estimate, plan, simulate_builds(job, estimate))
    predicted = tuple(result.predicted_um for result in answer.verdict.results)
    chosen = Other(answer.verdict.plan, answer.chance, predicted)
    return replace(
        answer,
        status="met" if verdict.chance >= job.wanted_chance else "short",
        chance=verdict.chance,
        verdict=verdict,
        normal=None,
        others=(chosen, *answer.others[:place], *answer.others[place + 1 :]),
        budget=share_out(job, drawer, estimate, law_of(job, estimate), plan),
        mend=None,
        picked=True,
    )
