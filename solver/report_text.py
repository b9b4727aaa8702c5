"""The sentences of an answer, one function each; text and window say them in the same words."""

from __future__ import annotations

import math

from solver.findings import Answer, Other, ResultFound
from solver.job import Job, Spot
from solver.plan import Piece, Plan, SeatStack
from solver.report_words import (
    BESIDE,
    TRADE_WORDS,
    UNIT_SHOWN,
    TradeWords,
    bare_length,
    both_lengths,
    counts,
    length,
    listed,
    number_of,
    risk_counts,
    wanted_counts,
    window,
)
from solver.warmth import at_work
from solver.wheel_round import spread_chance


def trade_words(answer: Answer) -> TradeWords:
    """Give the trade's words of an answer's job. answer: the finished answer. Returns them."""
    return TRADE_WORDS[answer.job.words]


def headline(answer: Answer) -> str:
    """Say in a few words what to do. answer: the finished answer. Returns text, no full stop."""
    if answer.agreement.state == "disagree":
        return "Measure again first"
    if answer.verdict is None:
        return "No stack fits"
    if answer.agreement.state == "look again":
        return "Look again before you build"
    if answer.status != "met":
        return "Short of what you want"
    shims = answer.verdict.plan.shims
    return {0: "Fit no shims", 1: "Fit this one shim"}.get(shims, f"Fit these {shims} shims")


_CHECKED_BY = {
    "total clearance": "a far gap in mesh would check it, or the play left with shims in",
    "mesh gap": "a far gap in mesh would check it, or a travel to mesh with shims in",
    "far gap in mesh": "a mesh gap and a total clearance would check it",
    "plain gap": "a total clearance would check it",
    "end float": "a total clearance would check it",
    "travel to mesh": "a mesh gap would check it",
    "backlash": "a second trial fit with other shims would check it",
    "axis to seat": "a mounting distance with shims in would check it",
    "head height": "a mounting distance with shims in would check it",
    "mounting distance": "one with another stack in would check it, or axis and head height",
    "old head height": "nothing but a second reading of it would",
    "pinion end float": "one with another stack at the spacer would check it",
}


def unchecked_line(label: str, job: Job | None = None) -> str:
    """Say which reading would check one that nothing checks.

    label: of the reading; job: that it is of, None for one without lines. Returns text.
    """
    of = label.partition(" (reading")[0]
    if job is not None and job.line(of):
        return f"{label}: its parts measured one by one would check it"
    return f"{label}: {_CHECKED_BY[of]}" if of in _CHECKED_BY else label


def agreement_sentence(answer: Answer) -> str:
    """Say how badly the readings sit together. answer: the answer. Returns '' where they agree."""
    agreement = answer.agreement
    if agreement.state not in ("disagree", "look again"):
        return ""
    odds = ""
    if agreement.p is not None and agreement.p < 0.05:  # else a one-sided reading speaks
        odds = f": sound ones differ this much in {risk_counts(agreement.p)} jobs"
    if agreement.state == "disagree":
        return f"These readings cannot all be right{odds}."
    return f"These readings sit badly together{odds}."


def without_sentence(answer: Answer) -> str:
    """Say what the answer would be without the reading that stands out.

    answer: the finished answer. Returns '' where none does.
    """
    found = answer.without
    if found is None:
        return ""
    name = f"{found.of} (reading {found.reading})"
    others = "the others still differ"
    if found.state in ("agree", "unchecked"):
        others = "the others agree" if found.state == "agree" else "nothing checks the others"
    if found.plan is None:
        return f"Without {name} {others}, and no stack in this drawer fits."
    line = plan_line(found.plan, answer.job.unit)
    return f"Without {name} {others}, and it would be {line}: {counts(found.chance)} builds."


def piece_line(piece: Piece, unit: str) -> str:
    """Name the like pieces to take out of the drawer.

    piece: of a plan; unit: the job's. Returns text such as '2 x A7, 16.0 thou (0.406 mm) each'.
    """
    each = " each" if piece.count > 1 else ""
    return f"{piece.count} x {piece.id}, {both_lengths(piece.thickness_um, unit, True)}{each}"


def seat_total(stack: SeatStack, unit: str) -> str:
    """Say what a seat's stack comes to. stack: of a plan; unit: the job's. Returns text."""
    return both_lengths(stack.thickness_um, unit, True) if stack.pieces else "no shim"


def stack_line(stack: SeatStack, unit: str) -> str:
    """Say a whole stack on one line.

    stack: of a plan; unit: the job's. Returns text such as 'wheel side A7 + 2 x B3 = 30.5 thou'.
    """
    if not stack.pieces:
        return f"{stack.seat} no shim"
    names = (f"{p.count} x {p.id}" if p.count > 1 else p.id for p in stack.pieces)
    return f"{stack.seat} {' + '.join(names)} = {length(stack.thickness_um, unit, True)}"


def plan_line(plan: Plan, unit: str) -> str:
    """Say a whole plan on one line. plan: any; unit: the job's. Returns text."""
    return "; ".join(stack_line(stack, unit) for stack in plan.stacks)


def verdict_sentence(answer: Answer) -> str:
    """Say the chance in builds, beside what was wanted. answer: the answer. Returns a sentence."""
    wanted = wanted_counts(answer.job.wanted_chance)
    if answer.verdict is None:
        return (
            "No stack from this drawer has a chance worth naming (1 of 1000) of meeting every"
            f" limit; you asked for {wanted}."
        )
    return (
        f"{counts(answer.chance)} builds like this would land inside every limit;"
        f" you asked for {wanted}."
    )


def proof_sentence(answer: Answer) -> str:
    """Say what is proved of the choice. answer: the finished answer. Returns a sentence or ''."""
    verdict, normal = answer.verdict, answer.normal
    if verdict is None or normal is None:
        return ""
    if not normal.proved:
        return "Not proved the best: the search was stopped before it had ruled out every other."
    shims = normal.plan.shims
    if answer.status != "met":
        return f"Proved: no stacks of {number_of(shims, 'shim')} or fewer do noticeably better."
    if verdict.plan.shims == shims:
        return "Proved: fewer shims from this drawer cannot reach it." if shims else ""
    return (
        f"{number_of(shims, 'shim')} would do by the normal law alone; simulated with the true"
        " shapes of the errors they fell short."
    )


def spot_words(spot: Spot, unit: str) -> str:
    """Say where and how a backlash is read. spot: of a limit; unit: the job's. Returns text."""
    where = "on the lever or flange" if spot.off_tooth else "at the tooth edge"
    if spot.radius_um is not None:
        where = where.replace("tooth edge", "tooth")
        where += f", {length(spot.radius_um, unit, True)} from the axis,"
    return f"{where} {spot.read}"


def expect_sentence(answer: Answer) -> str:
    """Say what the dial should show with the plan fitted. answer: the answer. Returns '' for none.

    Limits: the band holds 95 of 100 sound builds.
    """
    found = _result(answer, "backlash")
    if found is None:
        return ""
    unit, words = answer.job.unit, trade_words(answer)
    beside = BESIDE[unit]
    low, high = found.expect_um
    spot = spot_words(answer.job.limit("backlash").spot, unit) + _round_words(answer)
    return (
        f"With these shims in, the {words.dial} {spot} should show"
        f" {both_lengths(found.predicted_um, unit)}; 95 builds of 100 show"
        f" {bare_length(low, unit)} to {length(high, unit)} ({bare_length(low, beside)} to"
        f" {length(high, beside)}). Outside that something is wrong (a burr, a curled shim, a"
        " carrier not pushed home, a reading): find it before you move a shim."
    )


def _round_words(answer: Answer) -> str:
    """Where round the wheel the dial is meant to stand; '' where the wheel was read at one spot."""
    wheel = answer.job.wheel
    if wheel is None:
        return ""
    return {
        "tightest": ", at the tightest tooth,",
        "mean": ", as the mean round the wheel,",
        "all round": ", as the mean round the wheel, every tooth counted in the band,",
    }[wheel.where]


def round_sentences(answer: Answer) -> list[str]:
    """Say how the backlash wanders round the wheel. answer: the finished answer.

    Returns sentences; none where it was read at one spot.
    """
    wheel, unit = answer.job.wheel, answer.job.unit
    if wheel is None:
        return []
    tooth = round(wheel.tight_deg / 360.0 * wheel.teeth) % wheel.teeth + 1
    said = [
        f"The backlash wanders {both_lengths(wheel.spread_um, unit)} from its tightest tooth to its"
        f" loosest (give or take {length(4.0 * wheel.u_um, unit)}); tightest about"
        f" {wheel.tight_deg:.0f} degrees on from the first tooth read, near reading {tooth} of"
        f" {wheel.teeth}.",
        {
            "tightest": "The limits are held at the tightest tooth.",
            "mean": "The limits are held by the mean round the wheel.",
            "all round": "The limits are held at every tooth, the tightest and the loosest too.",
        }[wheel.where],
    ]
    if math.isfinite(wheel.most_um):
        said.append(
            f"The spread's own limit is {length(wheel.most_um, unit, True)}: met by"
            f" {counts(spread_chance(wheel))} wheels that read like this."
        )
    return said


def warm_sentences(answer: Answer) -> list[str]:
    """Say what pinch and backlash become at working temperature. answer: the finished answer.

    Returns sentences; none where the job does not say.
    """
    warm, unit, words = at_work(answer), answer.job.unit, trade_words(answer)
    if warm is None:
        return []
    grown, fit = abs(warm.grown_um), words.pinch if warm.pinch_um >= 0 else words.end_float
    lash = bare_length(warm.least_um, unit)
    if abs(warm.most_um - warm.least_um) >= 0.05:
        lash += f" to {bare_length(warm.most_um, unit)}"
    said = [
        f"At {warm.celsius:g} °C the housing has grown {both_lengths(grown, unit)}"
        f" {'more' if warm.grown_um >= 0 else 'less'} than the carrier:"
        f" {fit} {length(abs(warm.pinch_um), unit)} (give or take"
        f" {length(2.0 * warm.pinch_u_um, unit)}), backlash {lash} {UNIT_SHOWN[unit]} (give or take"
        f" {length(2.0 * warm.backlash_u_um, unit)})."
    ]
    if warm.pinch_um < 0 and answer.job.limit("pinch").low_um >= 0:
        said.append(
            f"The bearings come loose there. The manual's {words.pinch} is for a cold unit and as a"
            " rule allows for that: ask it, or the maker, before you believe either figure."
        )
    return said


def uneven_sentence(answer: Answer) -> str:
    """Say that the wheel is at fault, where no shim is. answer: the answer. Returns '' else."""
    verdict, wheel, wanted = answer.verdict, answer.job.wheel, answer.job.wanted_chance
    if wheel is None:
        return ""
    mends = (
        "No shim mends that: look for a burr or dirt under it, bolts drawn unevenly, a bent flange;"
        " or read more teeth."
    )
    crown_wheel = trade_words(answer).crown_wheel
    low, high = answer.job.held_um
    if low >= high:
        return (
            f"Round the {crown_wheel} the backlash wanders"
            f" {length(wheel.spread_um, answer.job.unit)}, more than its limits are apart. {mends}"
        )
    if verdict is None or verdict.even_chance >= wanted:
        return ""
    return (
        f"The backlash wanders too far round the {crown_wheel}. By the shims alone it would be"
        f" {counts(verdict.by_shims)}. {mends}"
    )


def jam_sentence(answer: Answer) -> str:
    """Say the chance that the mesh has no backlash at all. answer: the answer. Returns it."""
    if answer.verdict is None or not answer.job.carrier:
        return ""
    return f"Chance of a jam (no backlash at all): {risk_counts(answer.verdict.jam_chance)} builds."


def other_line(answer: Answer, other: Other) -> str:
    """Say another plan on one line. answer: the finished answer; other: one of its others.

    Returns text such as '2 shims (1 fewer), 81 of 100: wheel side A7 = 16.0 thou; …'.
    """
    unit, words = answer.job.unit, trade_words(answer)
    more = other.plan.shims - answer.verdict.plan.shims if answer.verdict else 0
    beside = {True: f" ({more} more)", False: f" ({-more} fewer)"}[more > 0] if more else ""
    results = answer.verdict.results if answer.verdict else ()
    shown = []
    for found, value_um in zip(results, other.predicted_um, strict=False):
        name = words.result(found.name)
        if found.name == "pinch" and value_um < 0:
            name, value_um = words.end_float, -value_um
        if found.name == "pinion end float" and value_um < 0:
            name, value_um = "pinion preload", -value_um
        shown.append(f"{name} {bare_length(value_um, unit)}")
    return (
        f"{number_of(other.plan.shims, 'shim')}{beside}, {counts(other.chance)}:"
        f" {plan_line(other.plan, unit)} ({', '.join(shown)})"
    )


def example_sentence(answer: Answer) -> str:
    """Warn of limits that are only an example. answer: the answer. Returns '' where none is."""
    words = trade_words(answer)
    marked = [words.result(limit.result) for limit in answer.job.limits if limit.example]
    if not marked:
        return ""
    return (
        f"EXAMPLE LIMITS, from no manual: {listed(marked)}. Put in what the maker of your unit"
        " states before you build to this."
    )


def pinch_sentence(answer: Answer) -> str:
    """Say the limit of the pinch both ways, in total and each side. answer: the answer.

    Returns a sentence; '' without a limit on the pinch.
    """
    limit = next((limit for limit in answer.job.limits if limit.result == "pinch"), None)
    unit, words = answer.job.unit, trade_words(answer)
    if limit is None or window(limit.low_um, limit.high_um, unit) == "no limit":
        return ""
    total = window(limit.low_um, limit.high_um, unit)
    half = window(limit.low_um / 2, limit.high_um / 2, unit)
    counted = "each side" if limit.counted == "each side" else "in total"
    below = f"; below 0 is {words.end_float}" if _may_float(answer) else ""
    return f"The job states {words.pinch} {counted}: {total} in total, {half} each side{below}."


def _may_float(answer: Answer) -> bool:
    """Whether the table shows a negative pinch."""
    found = _result(answer, "pinch")
    shown_um = (found.predicted_um, *found.expect_um) if found else ()
    return any(bare_length(value_um, answer.job.unit).startswith("-") for value_um in shown_um)


def _result(answer: Answer, name: str) -> ResultFound | None:
    results = answer.verdict.results if answer.verdict else ()
    return next((found for found in results if found.name == name), None)


def table_rows(answer: Answer) -> tuple[tuple[str, ...], ...]:
    """Give the table of limits. answer: the finished answer.

    Returns rows of (result, wanted, predicted, 95 % band, builds inside, mark), headed; a row's
    predictions are blank without a plan.
    """
    unit, words = answer.job.unit, trade_words(answer)
    rows = [("", "wanted", "predicted", "95 % band", "builds inside", "")]
    for limit in answer.job.limits:
        found = _result(answer, limit.result)
        wanted = window(limit.low_um, limit.high_um, unit)
        shown = ("", "", "")
        if found is not None:
            low, high = (bare_length(end, unit) for end in found.expect_um)
            predicted = length(found.predicted_um, unit)
            shown = (predicted, f"{low} to {high}", counts(found.chance))
        name = words.result(limit.result, short=True)
        rows.append((name, wanted, *shown, "EXAMPLE" if limit.example else ""))
    return tuple(rows)
