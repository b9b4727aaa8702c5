"""Answers built by hand for the tests of what a person sees; every figure is invented."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from solver.drawer import Drawer, Lot
from solver.findings import (
    Agreement,
    Answer,
    Estimated,
    Mend,
    Normal,
    Other,
    ResultFound,
    Share,
    Suspect,
    Verdict,
)
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Limit, Mesh, Reading, Seat, Tool
from solver.plan import Piece, Plan, SeatStack

THOU_UM = 25.4  # exact
FEELERS = Tool("feelers", 5.08, 10.16, 12.7, 7.62, "feelers")


def a_drawer() -> Drawer:
    """A drawer of three lots. Returns it."""
    return Drawer(
        (
            Lot("A7", 406.4, 1, 2.54, "micrometer"),
            Lot("B3", 387.35, 4, 5.0, "micrometer"),
            Lot("C1", 127.0, 2, 8.0, within_assumed=True),
        )
    )


def a_job(**changes: Any) -> Job:
    """A job in thou with a reading of each quantity. changes: fields to replace. Returns it."""
    job = Job(
        title="Orchard sprayer, rear bevel box",
        unit="thou",
        drawer_path=None,
        wanted_chance=0.95,
        seats=(Seat(WHEEL_SIDE, "bearing", 1, 3), Seat(PLAIN_SIDE, "bearing", 0, 4)),
        limits=(Limit("backlash", 127.0, 203.2), Limit("pinch", 127.0, 203.2)),
        mesh=Mesh(0.72, 0.12, 0.5, 0.2),
        tools=(FEELERS,),
        readings=(
            Reading(1, "total clearance", FEELERS, values_um=(1295.4, 1308.1, 1295.4)),
            Reading(2, "mesh gap", FEELERS, goes_um=(609.6,), stops_um=635.0),
        ),
    )
    return replace(job, **changes)


def a_plan(plain: int = 2, *, extra: tuple[Piece, ...] = ()) -> Plan:
    """A7 on the wheel side and some B3 on the plain side. plain: how many; extra: more there."""
    pieces = (Piece("B3", plain, 387.35),) if plain else ()
    return Plan(
        (
            SeatStack(WHEEL_SIDE, (Piece("A7", 1, 406.4),)),
            SeatStack(PLAIN_SIDE, (*pieces, *extra)),
        )
    )


def a_verdict(chance: float = 0.962, plan: Plan | None = None) -> Verdict:
    """A verdict on a plan. chance: simulated; plan: three shims unless given. Returns it."""
    results = (
        ResultFound("backlash", 163.2, 15.1, 127.0, 203.2, 0.978, (134.1, 192.6), 40.0, 30.5),
        ResultFound("pinch", 164.0, 14.0, 127.0, 203.2, 0.981, (137.2, 191.0), math.inf, 27.4),
    )
    plan = plan or a_plan()
    return Verdict(plan, chance, chance + 0.004, 0.0002, results, 9500.0, np.zeros((3, 2)))


def met(**changes: Any) -> Answer:
    """An answer that reaches what is wanted. changes: fields to replace. Returns it."""
    job = changes.pop("job", None) or a_job()
    answer = Answer(
        job=job,
        drawer=a_drawer(),
        status="met",
        chance=0.962,
        verdict=a_verdict(),
        normal=Normal(a_plan(), 0.966, True),
        estimates=(
            Estimated("total clearance", 1299.6, 8.1),
            Estimated("mesh gap", 622.3, 9.4),
            Estimated("transfer ratio", 0.72, 0.069, bare=True),
            Estimated("pinch share", 0.5, 0.115, bare=True),
        ),
        agreement=Agreement(
            0.0,
            0,
            None,
            "unchecked",
            (),
            ("total clearance (reading 1)", "mesh gap (reading 2)"),
            (),
        ),
        assumed=("transfer ratio 0.72 within 0.12", "pinch share 0.50 within 0.20"),
        others=(
            Other(a_plan(1), 0.812, (150.0, -25.4)),
            Other(a_plan(2, extra=(Piece("C1", 1, 127.0),)), 0.9701, (166.0, 170.0)),
        ),
        budget=(
            (
                "backlash",
                (
                    Share("transfer ratio", 0.61, 11.8, 0.991, None),
                    Share("mesh gap (reading 2)", 0.304, 8.3, 0.975, 2),
                    Share("feelers (common error)", 0.08, 4.3, 0.964, None),
                    Share("pinch share", 0.006, 1.2, 0.962, None),
                ),
            ),
            ("pinch", (Share("total clearance (reading 1)", 1.0, 14.0, 0.98, 1),)),
        ),
        mend=None,
    )
    return replace(answer, **changes)


def short(*, ceiling: float = 0.985, enough: bool = True, **changes: Any) -> Answer:
    """An answer below what is wanted. ceiling, enough: of its mend. Returns it."""
    new = Piece("new", 1, 412.75)
    mend = Mend(
        PLAIN_SIDE, 412.75, 0.968 if enough else 0.9, enough, a_plan(1, extra=(new,)), ceiling
    )
    facts: dict[str, Any] = {
        "status": "short",
        "chance": 0.8149,
        "verdict": a_verdict(0.8149),
        "normal": Normal(a_plan(), 0.82, True),
        "mend": mend,
    }
    return met(**(facts | changes))


def none(**changes: Any) -> Answer:
    """An answer without a plan. changes: fields to replace. Returns it."""
    facts: dict[str, Any] = {
        "status": "none",
        "chance": 0.0,
        "verdict": None,
        "normal": None,
        "others": (),
        "budget": (),
        "nearest": "the thickest stack leaves pinch at 1.0 thou, 4.0 thou below its limit",
    }
    return met(**(facts | changes))


def against(state: str = "disagree", p: float | None = 0.002) -> Agreement:
    """An agreement that fails. state, p: how badly. Returns it, one suspect in it."""
    words = "total clearance (reading 1) says 51.2 thou, the others make it 46.9 thou"
    return Agreement(9.6, 1, p, state, (Suspect(1, (words,)),), (), ("mesh gap (reading 2)",))
