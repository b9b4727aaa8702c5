"""The answer as one JSON object; its keys are a contract, lengths in µm."""

from __future__ import annotations

import math
from typing import Any

from solver.findings import Answer, Estimated, Mend, Other, Share
from solver.line_fit import at_bench
from solver.plan import Plan, SeatStack
from solver.warmth import at_work
from solver.wheel_round import spread_chance

Table = dict[str, Any]


def answer_as_json(answer: Answer) -> Table:
    """Put an answer into plain dicts and lists, ready for a strict JSON writer.

    answer: the finished answer. Returns a dict; no number in it is infinite or NaN (null instead).
    """
    verdict = answer.verdict
    return {
        "status": answer.status,
        "chance": _number(answer.chance),
        "wanted": _number(answer.job.wanted_chance),
        "shims": verdict.plan.shims if verdict else 0,
        "seats": _seats(answer, verdict.plan if verdict else None),
        "results": _results(answer),
        "normal": _normal(answer),
        "estimates": {found.name: _estimate(found) for found in answer.estimates},
        "agreement": _agreement(answer),
        "assumed": list(answer.assumed),
        "others": [_other(answer, other) for other in answer.others],
        "budget": {result: [_share(share) for share in shares] for result, shares in answer.budget},
        "jam_chance": _number(verdict.jam_chance) if verdict else None,
        "effective": _number(verdict.effective) if verdict else None,
        "mend": _mend(answer, answer.mend) if answer.mend else None,
        "nearest": answer.nearest,
        "round": _round(answer),
        "warm": _warm(answer),
        "at_bench": {
            one.name: {
                "predicted_um": one.predicted_um,
                "expect_um": [one.low_um, one.high_um],
                "limits_at_celsius": one.working_c,
            }
            for one in at_bench(answer)
        },
        "left_out": list(answer.job.left_out),
        "title": answer.job.title,
        "unit": answer.job.unit,
        "examples": [limit.result for limit in answer.job.limits if limit.example],
    }


def _number(value: float | None) -> float | None:
    """Keep a finite number; JSON has no word for the others."""
    return float(value) if value is not None and math.isfinite(value) else None


def _seats(answer: Answer, plan: Plan | None) -> Table:
    if plan is None:
        return {seat.name: {"thickness_um": 0, "pieces": []} for seat in answer.job.seats}
    return {stack.seat: _stack(stack) for stack in plan.stacks}


def _stack(stack: SeatStack) -> Table:
    pieces = [
        {"id": piece.id, "count": int(piece.count), "thickness_um": _number(piece.thickness_um)}
        for piece in stack.pieces
    ]
    return {"thickness_um": _number(stack.thickness_um), "pieces": pieces}


def _results(answer: Answer) -> Table:
    if answer.verdict is None:  # what is wanted is known, what would come is not
        return {
            limit.result: {
                "predicted_um": None,
                "u_um": None,
                "low_um": _number(limit.low_um),
                "high_um": _number(limit.high_um),
                "chance": None,
                "expect_um": None,
                "freedom": None,
                "expanded_um": None,
            }
            for limit in answer.job.limits
        }
    return {
        found.name: {
            "predicted_um": _number(found.predicted_um),
            "u_um": _number(found.u_um),
            "low_um": _number(found.low_um),
            "high_um": _number(found.high_um),
            "chance": _number(found.chance),
            "expect_um": [_number(end) for end in found.expect_um],
            "freedom": _number(found.freedom),
            "expanded_um": _number(found.expanded_um),
        }
        for found in answer.verdict.results
    }


def _normal(answer: Answer) -> Table | None:
    normal = answer.normal
    if normal is None:
        return None
    return {
        "shims": normal.plan.shims,
        "chance": _number(normal.chance),
        "proved": bool(normal.proved),
        "seats": _seats(answer, normal.plan),
    }


def _estimate(found: Estimated) -> Table:
    value, u = ("value", "u") if found.bare else ("value_um", "u_um")
    return {value: _number(found.value), u: _number(found.u)}


def _agreement(answer: Answer) -> Table:
    agreement = answer.agreement
    return {
        "chi_square": _number(agreement.chi_square),
        "freedom": int(agreement.freedom),
        "p": _number(agreement.p),
        "state": agreement.state,
        "suspects": [suspect.words(answer.job.unit) for suspect in agreement.suspects],
        "unchecked": list(agreement.unchecked),
        "scattered": list(agreement.scattered),
        "unnoticed_um": dict(agreement.unnoticed_um),
        "without": _without(answer),
    }


def _without(answer: Answer) -> Table | None:
    found = answer.without
    if found is None:
        return None
    return {
        "reading": found.reading,
        "of": found.of,
        "state": found.state,
        "status": found.status,
        "chance": _number(found.chance),
        "seats": _seats(answer, found.plan) if found.plan else {},
    }


def _round(answer: Answer) -> Table | None:
    wheel = answer.job.wheel
    if wheel is None:
        return None
    return {
        "run_out_um": _number(wheel.half_um),
        "u_um": _number(wheel.u_um),
        "spread_um": _number(wheel.spread_um),
        "tight_deg": _number(wheel.tight_deg),
        "teeth": wheel.teeth,
        "where": wheel.where,
        "most_um": _number(wheel.most_um),
        "spread_chance": _number(spread_chance(wheel)),
        "readings": list(wheel.readings),
    }


def _warm(answer: Answer) -> Table | None:
    warm = at_work(answer)
    if warm is None:
        return None
    return {
        "celsius": warm.celsius,
        "grown_um": _number(warm.grown_um),
        "pinch_um": _number(warm.pinch_um),
        "pinch_u_um": _number(warm.pinch_u_um),
        "backlash_um": [_number(warm.least_um), _number(warm.most_um)],
        "backlash_u_um": _number(warm.backlash_u_um),
    }


def _other(answer: Answer, other: Other) -> Table:
    return {
        "shims": other.plan.shims,
        "chance": _number(other.chance),
        "seats": _seats(answer, other.plan),
        "predicted_um": {
            limit.result: _number(value)
            for limit, value in zip(answer.job.limits, other.predicted_um, strict=True)
        },
    }


def _share(share: Share) -> Table:
    return {
        "input": share.input,
        "share": _number(share.share),
        "u_um": _number(share.u_um),
        "chance_if_perfect": _number(share.chance_if_perfect),
        "reading": share.reading,
    }


def _mend(answer: Answer, mend: Mend) -> Table:
    return {
        "seat": mend.seat,
        "thickness_um": _number(mend.thickness_um),
        "chance": _number(mend.chance),
        "enough": bool(mend.enough),
        "ceiling": _number(mend.ceiling),
        "seats": _seats(answer, mend.plan),
    }
