"""Answers made up for the panels: every state, every figure invented."""

from __future__ import annotations

from dataclasses import replace

import answers
import numpy as np

from solver.findings import Answer, Share, Verdict

BADGES = (
    (1, "total clearance"),
    (2, "mesh gap"),
    (3, "backlash"),
    (4, "plain gap"),
    (5, "end float"),
    (6, "far gap in mesh"),
    (7, "travel to mesh"),
)
CENTRE_UM = (163.2, 164.0)
COVARIANCE_UM2 = ((228.0, -90.0), (-90.0, 196.0))


def _clouded(verdict: Verdict | None) -> Verdict | None:
    if verdict is None:
        return None
    cloud = np.random.default_rng(7).multivariate_normal(CENTRE_UM, COVARIANCE_UM2, 300)
    return replace(verdict, cloud_um=cloud)


def _full(answer: Answer) -> Answer:
    """The same answer with a cloud, a badge on most of its bars, and other plans apart."""
    shares = (
        Share("mesh gap (reading 2)", 0.52, 8.3, 0.991, 2),
        Share("transfer ratio", 0.27, 6.0, 0.982, None),
        Share("total clearance (reading 1)", 0.12, 4.0, 0.968, 1),
        Share("feelers (common error)", 0.06, 3.0, 0.964, None),
        Share("pinch share", 0.03, 1.2, 0.962, None),
    )
    budget = (("backlash", shares), *answer.budget[1:]) if answer.budget else ()
    spread = ((146.0, 196.0), (188.0, 139.0), (171.0, 222.0))
    others = tuple(
        replace(other, predicted_um=at)
        for other, at in zip(answer.others * 2, spread, strict=False)
    )
    return replace(answer, verdict=_clouded(answer.verdict), budget=budget, others=others)


def met() -> Answer:
    """An answer that reaches what is wanted. Returns it."""
    return _full(answers.met())


def short() -> Answer:
    """An answer that one new piece would mend. Returns it."""
    return _full(answers.short())


def measure_better() -> Answer:
    """An answer that no piece can mend. Returns it."""
    return _full(answers.short(enough=False, ceiling=0.9))


def nothing_fits() -> Answer:
    """An answer without a plan, one piece from it. Returns it."""
    return _full(answers.none(mend=answers.short().mend))


def disagree() -> Answer:
    """An answer whose readings cannot all be right. Returns it."""
    return _full(answers.met(agreement=answers.against()))


def look_again() -> Answer:
    """An answer whose readings sit badly together. Returns it."""
    return _full(answers.met(agreement=answers.against("look again", 0.03)))


def states() -> dict[str, tuple[Answer | None, str, tuple[str, ...]]]:
    """Every state of the answer panel. Returns (answer, state, what is missing) by its name."""
    return {
        "empty": (None, "empty", ()),
        "half-filled": (None, "half-filled", ("Mesh gap", "Backlash at a trial fit")),
        "solving": (met(), "solving", ()),
        "met": (met(), "done", ()),
        "short": (short(), "done", ()),
        "measure-better": (measure_better(), "done", ()),
        "nothing-fits": (nothing_fits(), "done", ()),
        "disagree": (disagree(), "done", ()),
        "look-again": (look_again(), "done", ()),
    }
