"""Answers about cutting and buying, worked out once for all pictures of the same question."""

from __future__ import annotations

from typing import Any

from desktop import routes_asking, routes_shared_asking
from desktop.worker import Halt
from solver.findings import Answer
from solver.market import Market

KEPT: dict[str, Any] = {}
FOUND = routes_asking._found
ORDERED = routes_shared_asking._ordered


def remember_routes() -> None:
    """Have the window ask the solver only what it has not yet been asked in this process."""
    routes_asking._found = kept_routes


def kept_routes(answer: Answer, market: Market, halt: Halt) -> Any:
    """Find the routes, or give them again. answer, market, halt: as the window gives them."""
    job, plan = answer.job, answer.verdict.plan if answer.verdict is not None else None
    costs = (job.costs.hour_cents, job.costs.redo_cents, job.costs.patience_days)
    asked = repr((job.limits, job.readings, costs, market, plan, answer.drawer))
    if asked not in KEPT:
        KEPT[asked] = FOUND(answer, market, halt)
    return KEPT[asked]


def remember_orders() -> None:
    """Have the window ask for one order for several jobs only once in this process."""
    routes_shared_asking._ordered = kept_order


def kept_order(answers: tuple[Answer, ...], market: Market, halt: Any) -> Any:
    """Find one order, or give it again. answers, market, halt: as the window gives them."""
    costs = answers[0].job.costs
    assert costs is not None
    asked = repr((
        [(one.job.limits, one.job.readings, one.job.wanted_chance, one.drawer) for one in answers],
        (costs.hour_cents, costs.redo_cents, costs.patience_days), market,
    ))  # fmt: skip
    if asked not in KEPT:
        KEPT[asked] = ORDERED(answers, market, halt)
    return KEPT[asked]
