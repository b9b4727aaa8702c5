"""What a line should show at the bench with a plan fitted, however warm its limits are meant."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from solver.estimate import estimate_job
from solver.findings import Answer
from solver.line import COLD_C
from solver.verdict import predict_plan

COVERS = 1.959964  # standard deviations that hold 95 % of a normal law


@dataclass(frozen=True, slots=True)
class Shown:
    """One line at 20 °C."""

    name: str
    predicted_um: float
    low_um: float  # 95 of 100 show so much or more, and up to
    high_um: float
    working_c: float  # where its limits hold


def at_bench(answer: Answer) -> tuple[Shown, ...]:
    """Say what each line should measure at 20 °C with the answer's plan fitted.

    answer: finished. Returns: of each line; none without a plan. Limits: where all limits hold at
    20 °C the simulated band, else the normal law's.
    """
    job, verdict = answer.job, answer.verdict
    if verdict is None or not job.lines:
        return ()
    results = {one.name: one for one in verdict.results}
    if all(line.celsius == COLD_C for line in job.lines):
        return tuple(
            Shown(line.name, results[line.name].predicted_um, *results[line.name].expect_um, COLD_C)
            for line in job.lines
        )
    cold = replace(job, lines=tuple(replace(line, celsius=COLD_C) for line in job.lines))
    estimate = estimate_job(cold, answer.drawer)
    mean, cov = predict_plan(cold, answer.drawer, estimate, verdict.plan)
    found = []
    for line in job.lines:
        at = estimate.axle.results.index(line.name)
        half = COVERS * math.sqrt(float(cov[at, at]))
        middle = float(mean[at])
        found.append(Shown(line.name, middle, middle - half, middle + half, line.celsius))
    return tuple(found)
