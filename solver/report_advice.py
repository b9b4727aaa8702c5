"""What to do about an answer: what to move, to measure better, to cut or buy."""

from __future__ import annotations

import re

from solver.axle import OLD_BUILD
from solver.findings import Answer, Share
from solver.job import PINION_READABLE, PLAIN_SIDE, WHEEL_SIDE, Job, Reading
from solver.line import growth_name
from solver.pieces import GIVE, PINION_RATIO
from solver.report_text import trade_words
from solver.report_words import both_lengths, counts, length, percent, wanted_counts

WORTH_A_CUT = 0.1  # gain in chance below which a piece that does not mend is not mentioned


def move_sentence(answer: Answer) -> str:
    """Say what to move if the dial shows too little or too much. answer: the finished answer.

    Returns a sentence; '' without a plan, without both seats or without a transfer ratio.
    Source: design of the carrier: backlash changes by r per length that the wheel moves.
    """
    ratio = next((e.value for e in answer.estimates if e.name == "transfer ratio"), None)
    seats = {seat.name: seat.sign for seat in answer.job.seats}
    if answer.verdict is None or not ratio or not {WHEEL_SIDE, PLAIN_SIDE} <= seats.keys():
        return ""
    open_it, close_it = _MOVES[seats[WHEEL_SIDE], seats[PLAIN_SIDE]]
    unit = answer.job.unit
    step_um = 50.0 if unit in ("mm", "um") else 25.4
    return (
        f"Backlash too small: {open_it}; too large: {close_it}. For each {length(step_um, unit)}"
        f" of backlash that takes about {length(step_um / ratio, unit)};"
        f" the {trade_words(answer).pinch} stays as it is."
    )


# The wheel backs away from the pinion with less under its bearing, or with more under its cover;
# the other seat takes up the same length so that the pinch is kept.
_MOVES = {
    (1, 1): (
        "move shim from the wheel side to the plain side, the total kept",
        "from the plain side to the wheel side",
    ),
    (-1, -1): (
        "move shim from the plain side to the wheel side, the total kept",
        "from the wheel side to the plain side",
    ),
    (1, -1): (
        "take the same thickness out of both sides",
        "add the same thickness to both sides",
    ),
    (-1, 1): (
        "add the same thickness to both sides",
        "take the same thickness out of both sides",
    ),
}


def largest_share(answer: Answer) -> tuple[str, Share] | None:
    """Find the input that the answer hangs on most.

    answer: the finished answer. Returns (result, share): of each result's first, the one whose
    perfect knowledge would help most; None without a budget.
    """
    firsts = [(result, shares[0]) for result, shares in answer.budget if shares]
    return max(firsts, key=lambda first: first[1].chance_if_perfect, default=None)


def hangs_on_sentence(answer: Answer) -> str:
    """Say what the answer hangs on most. answer: the finished answer. Returns a sentence or ''."""
    first = largest_share(answer)
    if first is None:
        return ""
    result, share = first
    better = counts(share.chance_if_perfect)
    gain = "" if better == counts(answer.chance) else f"; known perfectly: {better} builds"
    return (
        f"The answer hangs most on {share.input}: {percent(share.share)} of the spread of the"
        f" {trade_words(answer).result(result)}{gain}."
    )


def budget_line(answer: Answer, shares: tuple[Share, ...], most: int = 3) -> str:
    """Name the largest inputs of one result. answer: the answer; shares: largest first.

    most: how many at most. Returns text such as 'transfer ratio 61 %, mesh gap 20 %'.
    """
    return ", ".join(f"{share.input} {percent(share.share)}" for share in shares[:most])


def do_about(answer: Answer) -> str:
    """Say in one sentence what to do about the input that the answer hangs on most.

    answer: the finished answer. Returns a sentence; '' without a budget.
    """
    first = largest_share(answer)
    if first is None:
        return ""
    if answer.agreement.state == "disagree":
        return "First read again what disagrees: until it is right, no other reading helps."
    share, job, dial = first[1], answer.job, trade_words(answer).dial
    reading = next((r for r in job.readings if r.number == share.reading), None)
    if reading is not None:
        return _again(reading, job)
    words = share.input
    if words == PINION_RATIO:
        return "Read the backlash with two stacks at the pinion's head to settle it."
    if words == GIVE:
        return "Read the mounting distance with the bearings under preload."
    if words == OLD_BUILD:
        return "Measure the mounting distance itself, in place of trusting the old build."
    if "ratio" in words:
        again = any(r.of == "backlash" for r in job.readings)
        return (
            "Another trial fit, its shims well apart from the first, settles it."
            if again
            else f"A trial fit settles it: with known shims in, read the backlash with the {dial}"
            " and add that reading to the job."
        )
    if "share" in words:
        return "Backlash read on trial fits at two different totals of shim settles it."
    part = next((one for one in job.dimensions if words == f"{one.name} as drawn"), None)
    if part is not None:
        return (
            f"Measure the {part.name} of this very one and add the reading: only its drawing is"
            " known."
        )
    if words.startswith(growth_name("")):
        return (
            "Ask the maker which alloy it is, and write its expansion in place of the metal's name."
        )
    lot = next((lot for lot in answer.drawer.lots if _names(words, lot.id)), None)
    if lot is not None:
        how = "again, several times" if lot.tool else "with a micrometer and name it in the drawer"
        return f"Measure {lot.id} {how}."
    tool = next((tool for tool in job.tools if _names(words, tool.name)), None)
    if tool is not None:
        return f"Check the {tool.name} against something known, a gauge block or a second set."
    return f"Pin down {words} better before anything else."


def _names(words: str, name: str) -> bool:
    """Whether a name stands in the words as a word of its own ('A1' is not in 'A12')."""
    return bool(name) and re.search(rf"(?<!\w){re.escape(name)}(?!\w)", words) is not None


def _again(reading: Reading, job: Job) -> str:
    if reading.goes_um and reading.stops_um is not None:
        return (
            f"Narrow reading {reading.number} ({reading.of}): find a leaf between the one that"
            " goes and the one that stops."
        )
    if reading.at_least_um is not None or reading.at_most_um is not None:
        return f"Get a figure for reading {reading.number} ({reading.of}) in place of a bound."
    parts = {one.name for one in job.dimensions}
    if reading.of in PINION_READABLE or job.line(reading.of):
        afresh = "everything set up afresh each time"
    elif reading.of in parts:
        afresh = "at other places of the part"
    else:
        afresh = "the carrier turned and pushed home afresh each time"
    return f"Take reading {reading.number} ({reading.of}) again three or four times, {afresh}."


def mend_sentence(answer: Answer) -> str:
    """Say what would mend an answer that is short. answer: the finished answer.

    Returns a sentence or two: the one thickness to cut or buy; or, where no shim can, which reading
    to improve; '' where nothing has to be mended or nothing is known.
    """
    mend, wanted = answer.mend, wanted_counts(answer.job.wanted_chance)
    if mend is None or answer.status == "met":
        return ""
    size = both_lengths(mend.thickness_um, answer.job.unit, True)
    if mend.ceiling < answer.job.wanted_chance and not mend.enough:
        nearer = ""
        if mend.chance > answer.chance + WORTH_A_CUT:
            nearer = f" Until then {size} for the {mend.seat} would bring {counts(mend.chance)}."
        return (
            f"No shim can mend this: with any thicknesses whatever, at most {counts(mend.ceiling)}"
            f" builds. What falls short is the measuring. {do_about(answer)}"
        ).rstrip() + nearer
    if mend.enough:
        return (
            f"One piece of {size} for the {mend.seat}, cut or bought, would mend it:"
            f" {counts(mend.chance)} builds ({wanted} asked for)."
        )
    return (
        f"No one piece mends it. The one that helps most is {size} for the {mend.seat}:"
        f" {counts(mend.chance)} builds ({wanted} asked for). With pieces of any thickness in every"
        f" seat: {counts(mend.ceiling)}."
    )
