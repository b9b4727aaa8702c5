"""Answers about cutting and buying, worked out once for all pictures of the same question."""

from __future__ import annotations

from typing import Any

from desktop import routes_asking
from desktop.worker import Halt
from solver.findings import Answer
from solver.market import Market

KEPT: dict[str, Any] = {}
FOUND = routes_asking._found


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
