"""Whether the readings can all be right, and who stands against the others."""

from __future__ import annotations

import math

import numpy as np

from solver.axle import OLD_BUILD
from solver.estimate import Estimate, without_row
from solver.findings import Agreement, Suspect
from solver.job import Job
from solver.normal import chi_square_tail

LOOK_AGAIN, DISAGREE = 0.05, 0.01
UNCHECKED_SHARE = 0.02  # a row of which the others check less than this is unchecked
# What no axle goes beyond: a prior that would have to, to let the readings agree, is not to blame.
_POSSIBLE = {"transfer ratio": (0.0, 3.0), "pinch share": (0.0, 1.0)}
STANDS_CLEAR = 3.84  # 95 % point of chi-square with one degree of freedom


def check_agreement(job: Job, estimate: Estimate) -> Agreement:
    """Test the rows against each other.

    job, estimate. Returns: chi-square, its p, a state, suspects in bench words, and which readings
    nothing checks. Limits: normal law; with one degree of freedom only the loop can be blamed.
    Source: chi-square test of least squares, ISO/TS 28037 clause 6.3 (from memory).
    """
    fit, count = estimate.fit, estimate.two_sided
    rows = estimate.rows[:count]
    miss = (fit.residual / fit.u)[:count]
    chi_square = float(miss @ miss)
    freedom = count - len(fit.x)
    checked = fit.checked_share()[:count]
    p = chi_square_tail(chi_square, freedom) if freedom > 0 else None
    chances = [chance for chance in (p, *estimate.against) if chance is not None]
    state = _state(min(chances, default=1.0), unchecked=freedom <= 0 and not estimate.against)
    suspects: tuple[Suspect, ...] = ()
    if state in ("look again", "disagree"):
        suspects = _suspects(job, estimate, miss, checked, freedom)
    unchecked = tuple(
        row.label
        for row, share in zip(rows, checked, strict=True)
        if row.readings and share < UNCHECKED_SHARE
    )
    scattered = tuple(row.label for row in rows if row.spread.scattered)
    scattered += tuple(
        f"{row.label}: drifts, each repeat follows the one before"
        for row in rows
        if row.spread.drifting
    )
    return Agreement(
        chi_square,
        max(freedom, 0),
        p,
        state,
        suspects,
        unchecked,
        scattered,
        _unnoticed(estimate) if freedom > 0 else (),
    )


def _state(chance: float, *, unchecked: bool) -> str:
    if unchecked:
        return "unchecked"
    if chance < DISAGREE:
        return "disagree"
    return "look again" if chance < LOOK_AGAIN else "agree"


def _suspects(
    job: Job, estimate: Estimate, miss: np.ndarray, checked: np.ndarray, freedom: int
) -> tuple[Suspect, ...]:
    """Name the loop, or the one row whose leaving out would help far more than any other's."""
    found = [
        Suspect(row.readings[0], (f"{row.label} says what the other readings rule out",))
        for row, chance in zip(estimate.rows[estimate.two_sided :], estimate.against, strict=True)
        if chance < LOOK_AGAIN
    ]
    rows = estimate.rows[: estimate.two_sided]
    told = checked > UNCHECKED_SHARE
    if freedom <= 0 or not told.any() or chi_square_tail(float(miss @ miss), freedom) > LOOK_AGAIN:
        return tuple(found)
    helped = np.zeros(len(rows))
    for at in range(len(rows)):
        others = without_row(job, estimate, at)
        low, high = _POSSIBLE.get(rows[at].label, (-math.inf, math.inf))
        if others is not None and low <= others[0] <= high:
            helped[at] = float(miss @ miss) - others[2]
    # A large error bends the estimate until a row looks unchecked that is not.
    told |= helped > STANDS_CLEAR
    order = np.argsort(-helped)
    worst = int(order[0])
    clear = freedom >= 2 and helped[worst] - helped[order[1]] > STANDS_CLEAR
    if not clear:
        found.append(_loop(job, estimate, [int(at) for at in np.flatnonzero(told)], helped))
    elif rows[worst].readings:
        found.append(Suspect(rows[worst].readings[0], _apart(job, estimate, worst)))
    elif rows[worst].of == OLD_BUILD:
        found.append(Suspect(None, ("the old build did not stand as the other readings say",)))
    elif rows[worst].label in ("transfer ratio", "pinch share"):
        label = rows[worst].label
        found.append(Suspect(None, (f"the assumed {label} is not what this axle has",)))
    else:
        found.append(Suspect(None, (f"{rows[worst].label} is larger than it is said to be",)))
    return tuple(found)


def _loop(job: Job, estimate: Estimate, told: list[int], helped: np.ndarray) -> Suspect:
    """The readings that cannot all be right, and how far the loop stays open."""
    rows = estimate.rows
    names = [rows[at].label for at in told if rows[at].readings]
    read = [at for at in told if rows[at].readings]
    if len(names) < 2:
        names += [rows[at].label for at in told if not rows[at].readings][:1]
    worst = max(read or told, key=lambda at: helped[at])
    listed = ", ".join(names[:-1]) + f" and {names[-1]}" if len(names) > 1 else names[0]
    return Suspect(None, (f"{listed} cannot all be right: ", *_apart(job, estimate, worst)))


def _apart(job: Job, estimate: Estimate, at: int) -> tuple[str | float, ...]:
    """How far one row stands from what all the others say of it."""
    fit, row = estimate.fit, estimate.rows[at]
    checked = max(float(fit.checked_share()[at]), 1e-6)
    gap = float(fit.residual[at]) / checked
    explained = float(fit.u[at]) / math.sqrt(checked)
    said = row.spread.centre_um
    others = without_row(job, estimate, at)
    if others is not None:
        gap, explained = said - others[0], math.hypot(float(fit.u[at]), others[1])
    if not row.readings and row.label in ("transfer ratio", "pinch share"):
        return (f"{row.label} is put at {said:.2f}, the others make it {said - gap:.2f}",)
    times = abs(gap) / explained
    return (
        f"{row.label} says ",
        said,
        ", the others make it ",
        said - gap,
        ": ",
        abs(gap),
        f" apart, {times:.1f} times what these tools explain; a shim that does not lie flat, a "
        "burr, or a carrier not pushed home?",
    )


def _unnoticed(estimate: Estimate) -> tuple[tuple[str, float], ...]:
    """How far off each checked reading could be without the others noticing [µm].

    Four times in five a larger error would fail the 5 % test. Source: minimal detectable bias,
    Baarda 1968 (from memory), non-centrality 2.80.
    """
    checked = estimate.fit.checked_share()
    return tuple(
        (row.label, 2.80 * float(estimate.fit.u[at]) / math.sqrt(checked[at]))
        for at, row in enumerate(estimate.rows[: estimate.two_sided])
        if row.readings and checked[at] >= UNCHECKED_SHARE
    )
