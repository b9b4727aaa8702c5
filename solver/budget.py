"""Where the spread of each result comes from, and what knowing an input better would bring."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np

from solver.drawer import Drawer
from solver.estimate import Estimate
from solver.findings import Share
from solver.job import Job
from solver.law import Law, Stacks
from solver.pieces import known_of
from solver.plan import Plan
from solver.verdict import plan_slopes

PERFECT = 1e-3  # share of its uncertainty that a perfect input keeps, so that weights stay finite


def share_out(
    job: Job, drawer: Drawer, estimate: Estimate, law: Law, plan: Plan
) -> tuple[tuple[str, tuple[Share, ...]], ...]:
    """Share out the variance of each result over every independent input.

    job, drawer, estimate, law; plan. Returns: for each result the shares, largest first;
    they sum to 1. `chance_if_perfect` is the plan's chance, by the normal law, if that input had
    no error. Source: uncertainty budget of the GUM, clause 5.1 and annex H.
    """
    slope, by_stack, own = plan_slopes(job, drawer, estimate, plan)
    fit = estimate.fit
    parts = (slope @ fit.gain) * fit.u  # [µm, (R, m)] signed contributions of the rows
    lots = _lot_parts(drawer, estimate, plan, by_stack)
    total = (parts**2).sum(axis=1) + sum((more for _, more in lots), np.zeros(len(parts)))
    stacks = _as_stacks(drawer, estimate, plan, own)
    perfect = [_chance(law, _better(estimate, at), stacks) for at in range(len(fit.u))]
    found: list[tuple[str, tuple[Share, ...]]] = []
    for result, name in enumerate(estimate.axle.results):
        shares = [
            Share(
                row.label,
                float(parts[result, at] ** 2 / total[result]),
                abs(float(parts[result, at])),
                perfect[at],
                row.readings[0] if row.readings else None,
            )
            for at, row in enumerate(estimate.rows)
        ]
        for lot, variance in lots:
            known = _without(drawer, estimate, plan, lot, own)
            shares.append(
                Share(
                    f"thickness of {lot}",
                    float(variance[result] / total[result]),
                    float(np.sqrt(max(variance[result], 0.0))),
                    _chance(law, fit.cov, known),
                    None,
                )
            )
        found.append((name, tuple(sorted(shares, key=lambda share: -share.share))))
    return tuple(found)


def _lot_parts(
    drawer: Drawer, estimate: Estimate, plan: Plan, by_stack: np.ndarray
) -> list[tuple[str, np.ndarray]]:
    """Variance that each lot's own error adds to the results [µm², (R,)]."""
    none = np.zeros(len(by_stack))
    found: dict[str, np.ndarray] = {}
    shared: dict[str, np.ndarray] = {}
    for seat, stack in enumerate(plan.stacks):
        for piece in stack.pieces:
            known = known_of(drawer.lot(piece.id), stack.seat, piece.count, estimate.unknowns)
            if known.own_um2 == 0.0:
                continue
            if known.shared_u_um:
                step = by_stack[:, seat] * piece.count * known.shared_u_um
                shared[piece.id] = shared.get(piece.id, none) + step
            else:
                more = by_stack[:, seat] ** 2 * known.own_um2
                found[piece.id] = found.get(piece.id, none) + more
    return [*found.items(), *((lot, steps**2) for lot, steps in shared.items())]


def _as_stacks(drawer: Drawer, estimate: Estimate, plan: Plan, own: np.ndarray) -> Stacks:
    seats = len(plan.stacks)
    lean = np.zeros((1, seats, len(estimate.unknowns)))
    for seat, stack in enumerate(plan.stacks):
        for piece in stack.pieces:
            known = known_of(drawer.lot(piece.id), stack.seat, piece.count, estimate.unknowns)
            lean[0, seat] += known.lean
    nominal = np.array([[stack.thickness_um for stack in plan.stacks]])
    flat = np.concatenate([np.diag(own), own[np.triu_indices(seats, 1)]])
    return Stacks(nominal, lean, flat[None, :])


def _without(
    drawer: Drawer, estimate: Estimate, plan: Plan, lot_id: str, own: np.ndarray
) -> Stacks:
    """The plan's stacks as if one lot's thickness were known perfectly."""
    less = own.copy()
    known = [
        sum(
            known_of(drawer.lot(p.id), stack.seat, p.count, estimate.unknowns).own_um2
            for p in stack.pieces
            if p.id == lot_id
        )
        for stack in plan.stacks
    ]
    less[np.diag_indices(len(known))] -= known
    if not drawer.lot(lot_id).tool:  # its pieces are all off by the same amount
        for one, two in itertools.permutations(range(len(known)), 2):
            less[one, two] -= float(np.sqrt(known[one] * known[two]))
    return _as_stacks(drawer, estimate, plan, np.maximum(less, 0.0))


def _better(estimate: Estimate, at: int) -> np.ndarray:
    """Covariance of the estimate if one row had (almost) no error [(d, d)]."""
    u = estimate.fit.u.copy()
    u[at] *= PERFECT
    whitened = estimate.fit.slope / u[:, None]
    lengths = np.linalg.norm(whitened, axis=0)
    inverse = np.linalg.inv((whitened / lengths).T @ (whitened / lengths))
    return np.asarray(inverse / np.outer(lengths, lengths))


def _chance(law: Law, cov: np.ndarray, stacks: Stacks) -> float:
    return float(replace(law, cov=cov).chance(stacks)[0])
