"""The sentences about a pinion: where it has to stand, what a gauge shows, what to move."""

from __future__ import annotations

from solver.findings import Answer, ResultFound
from solver.job import BEHIND_RACE, FLANGE, PINION_HEAD, UNDER_CONE, Seat
from solver.report_words import TRADE_WORDS, bare_length, both_lengths, length, listed, window

_UNDER = {
    BEHIND_RACE: "behind the head bearing's race",
    UNDER_CONE: "between the pinion's head and its bearing's cone",
    FLANGE: "under the cartridge's flange",
    "spacer": "between spacer and bearing",
}
_MORE = {True: "more shim at the head", False: "less shim at the head"}


def under_words(seat: Seat) -> str:
    """Say where a seat's shims sit. seat: any. Returns words such as 'under the bearing'."""
    return seat.effect or _UNDER.get(seat.under, f"under the {seat.under}")


def way_words(result: str, words: str) -> tuple[str, str]:
    """Say what a result below and above nought is. result: its name; words: 'UK' or 'US'.

    Returns (below, above), in a word or three; ('', '') where its sign needs no word.
    """
    if result == "depth":
        return "too far in", "too far out"
    if result == "pinion end float":
        return "preload", TRADE_WORDS[words].end_float
    return "", ""


def signed_words(result: str, value_um: float, unit: str, words: str) -> str:
    """Say a result with a word in place of its sign.

    result: its name; value_um [µm]; unit: of the job; words: 'UK' or 'US'. Returns text such as
    '0.005 mm too far out'.
    """
    below, above = way_words(result, words)
    way = above if value_um >= 0 else below
    return f"{length(abs(value_um), unit)} {way}" if way else length(value_um, unit)


def wanted_sentence(answer: Answer) -> str:
    """Say where the pinion has to stand, its marks counted in. answer: finished. Returns text."""
    pinion, unit = answer.job.pinion, answer.job.unit
    if pinion is None:
        return ""
    marks = [
        f"{mark.value:+g} etched, {length(abs(mark.um), unit, True)}"
        f" further {'out' if mark.um >= 0 else 'in'}"
        for mark in pinion.marks
    ]
    if pinion.nominal_um is None:
        told = f" Its marks: {listed(marks)}." if marks else ""
        return f"The pinion's depth is carried over from the old build.{told}"
    drawn = length(pinion.nominal_um, unit, True)
    told = f"{drawn} as drawn; {listed(marks) if marks else 'no mark etched'}"
    wanted = f"{both_lengths(pinion.wanted_um, unit, True)}: {told}"
    return f"Mounting distance wanted, axis to the pinion's {pinion.measured_to}, {wanted}."


def gauge_sentences(answer: Answer) -> list[str]:
    """Say what a depth gauge should show with the plan fitted, and what to move if it does not.

    answer: finished. Returns sentences; none without a pinion or a plan.
    """
    pinion, depth = answer.job.pinion, _result(answer, "depth")
    if pinion is None or depth is None:
        return []
    unit, said = answer.job.unit, []
    if pinion.nominal_um is not None:
        shows = [pinion.wanted_um + off for off in (depth.predicted_um, *depth.expect_um)]
        said.append(
            f"With these shims in and the bearings under preload, axis to {pinion.measured_to}"
            f" should measure {both_lengths(shows[0], unit)}; 95 builds of 100 show"
            f" {bare_length(shows[1], unit)} to {length(shows[2], unit)}. Without preload it reads"
            f" {length(pinion.give_um, unit)} less."
        )
    inward = pinion.sits != FLANGE
    said.append(
        f"Pinion too far out: {_MORE[inward]}, as much as it is off; too far in: "
        f"{_MORE[not inward].replace(' at the head', '')}."
    )
    return [*said, *float_sentences(answer)]


def band_sentence(answer: Answer) -> str:
    """Say in short what a depth gauge should show. answer: finished. Returns '' where unknown."""
    pinion, depth = answer.job.pinion, _result(answer, "depth")
    if pinion is None or depth is None or pinion.nominal_um is None:
        return ""
    unit = answer.job.unit
    low, high = (pinion.wanted_um + end for end in depth.expect_um)
    return (
        f"Axis to {pinion.measured_to} should measure {bare_length(low, unit)} to"
        f" {length(high, unit)} under preload; outside that something is wrong."
    )


def float_sentences(answer: Answer) -> list[str]:
    """Say what a solid spacer should leave, and how it hangs together with the depth.

    answer: finished. Returns sentences; none without such a spacer or a plan.
    """
    pinion, loose = answer.job.pinion, _result(answer, "pinion end float")
    if pinion is None or loose is None:
        return []
    unit, words = answer.job.unit, TRADE_WORDS[answer.job.words]
    name = words.end_float if loose.predicted_um >= 0 else "preload"
    said = [
        f"The spacer's shims leave {length(abs(loose.predicted_um), unit)} of {name}. More shim"
        " there is looser; the rotating torque decides, as the maker states it."
    ]
    if pinion.couples:
        said.append(
            "A thicker stack at the head takes as much of that away: change the depth, and the"
            " spacer's shims change with it."
        )
    return said


def etched_sentences(answer: Answer) -> list[str]:
    """Say what else is etched on the gears, and where it goes. answer: finished."""
    pinion, unit = answer.job.pinion, answer.job.unit
    if pinion is None:
        return []
    said = []
    words = TRADE_WORDS[answer.job.words]
    if pinion.wheel_marks:
        off = sum(mark.um for mark in pinion.wheel_marks)
        way = "out" if off >= 0 else "in"
        said.append(
            f"The {words.crown_wheel}'s own mark, {length(abs(off), unit, True)} further {way}, is"
            f" for where the {words.crown_wheel} stands, not for the pinion's shims: with the mesh"
            " gap and the backlash read, it is counted already."
        )
    if pinion.etched_backlash_um is not None:
        said.append(_etched_backlash(answer, pinion.etched_backlash_um))
    return said


def _etched_backlash(answer: Answer, etched_um: float) -> str:
    unit = answer.job.unit
    limit = next((one for one in answer.job.limits if one.result == "backlash"), None)
    etched = f"The backlash etched on the gears is {both_lengths(etched_um, unit, True)}"
    if limit is None:
        return f"{etched}: aim at it when the carrier is set."
    wanted = window(limit.low_um, limit.high_um, unit)
    if limit.low_um <= etched_um <= limit.high_um:
        return f"{etched}, inside the job's limits ({wanted})."
    return (
        f"{etched}, OUTSIDE the job's limits ({wanted}): find out which of the two is for this pair"
        " before you build to either."
    )


def head_stack_words(answer: Answer) -> str:
    """Say what the plan has at the pinion's head. answer: finished. Returns '' without a plan."""
    if answer.verdict is None or answer.job.pinion is None:
        return ""
    stack = answer.verdict.plan.stack(PINION_HEAD)
    names = [f"{p.count} x {p.id}" if p.count > 1 else p.id for p in stack.pieces]
    size = length(stack.thickness_um, answer.job.unit, True)
    return f"{' + '.join(names)} = {size}" if names else "no shim"


def _result(answer: Answer, name: str) -> ResultFound | None:
    results = answer.verdict.results if answer.verdict else ()
    return next((found for found in results if found.name == name), None)
