"""Answers of every subset of results and seats that a job can have, met and not, for the doors."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from solver.answer import answer_job
from solver.drawer import Drawer, Lot
from solver.findings import Answer
from solver.job import (
    PINION_HEAD,
    PINION_SPACER,
    PLAIN_SIDE,
    WHEEL_SIDE,
    Job,
    Reading,
    Stack,
)
from tests.jobs import DIAL, a_job, clearance_reading, pinion_job

SUBSETS = ("carrier", "crush", "solid", "carrier crush", "carrier solid")
ENDS = ("met", "short", "none", "disagree")
_LOTS = (  # thickness [µm] and the seat that it is for
    (475.0, WHEEL_SIDE),
    (405.0, WHEEL_SIDE),
    (990.0, PLAIN_SIDE),
    (1060.0, PLAIN_SIDE),
    (749.5, PINION_HEAD),
    (730.0, PINION_HEAD),
    (1410.0, PINION_SPACER),
    (1395.0, PINION_SPACER),
)
RIGHT = Drawer(
    tuple(Lot(f"L{at}", um, 2, 2.0, "micrometer", (seat,)) for at, (um, seat) in enumerate(_LOTS))
)
WRONG = Drawer((Lot("thick", 30_000.0, 9, 2.0, "micrometer"),))


def job_of(subset: str, end: str) -> Job:
    """A job of a subset that ends in a way. subset: of SUBSETS; end: of ENDS. Returns it."""
    wanted = 0.999_9 if end == "short" else 0.02
    if subset == "carrier":
        job = a_job(wanted=wanted)
    else:
        job = pinion_job(
            carrier="carrier" in subset, solid="solid" in subset, wanted=wanted, most=2,
            depth_um=(-12.0, 12.0) if end == "short" else (-40.0, 40.0),
        )  # fmt: skip
    most = 1 if len(job.seats) == 4 else 2  # four seats have many plans
    job = replace(job, seats=tuple(replace(seat, least=0, most=most) for seat in job.seats))
    if end == "none":  # something has to go in, and nothing in the drawer is near
        job = replace(job, seats=tuple(replace(seat, least=1) for seat in job.seats))
    if end == "disagree":
        number = len(job.readings) + 1
        wild = clearance_reading(55.0, number)
        if subset != "carrier":
            then = (Stack(PINION_HEAD, 500.0, 2.0),)
            values = (78_280.0, 78_283.0, 78_281.0)
            wild = Reading(number, "mounting distance", DIAL, values, fitted=then)
        job = replace(job, readings=(*job.readings, wild))
    return job


@cache
def answer_of(subset: str, end: str) -> Answer:
    """The answer to such a job, reckoned once. subset, end: as in `job_of`. Returns it."""
    return answer_job(job_of(subset, end), WRONG if end == "none" else RIGHT)
