"""What the crush spacer's stage says at the right, by how things stand."""

from __future__ import annotations

from dataclasses import dataclass

from desktop.crush_words import missing_name
from solver.crush import Tightening
from solver.report_tighten import (
    crush_cautions,
    crush_example,
    do_sentences,
    nut_sentences,
)
from solver.report_words import listed, sentence
from solver.trouble import Fault

TONES = {"tighten": "go", "stop": "good", "over": "bad", "measure": "warn"}
MOST_WISHES = 4  # named at once: more are a form still to be filled in


@dataclass(frozen=True, slots=True)
class Said:
    """All that is said, in order from the top."""

    shout: str  # in capitals: what to do
    then: str  # one or two sentences more
    tone: str  # 'good', 'warn', 'bad', or 'go' for a next turn and for what is still to come
    lines: tuple[str, ...] = ()  # what else to do, and why, a sentence each
    cautions: tuple[str, ...] = ()


def shout_of(found: Tightening) -> str:
    """Say in capitals what to do. found: the answer. Returns at most four words and a figure."""
    if found.state == "stop":
        return "STOP"
    if found.state == "over":
        return "OVER: NEW SPACER"
    if found.state == "measure" or found.advice is None:
        return "MEASURE AGAIN"
    verb = "CREEP" if found.by_torque else "TURN"
    return f"{verb} {found.advice.turn_deg:g}°, THEN READ"


def said_of(state: str, found: Tightening | None, faults: tuple[Fault, ...], words: str) -> Said:
    """Say how things stand.

    state: of the asking; found: the newest answer; faults: of the crush spacer; words: 'UK' or
    'US'. Returns it.
    """
    cautions = crush_cautions(words)
    if state == "done" and found is not None:
        todo = do_sentences(found, words)
        example = crush_example(found.crush)
        reasons = tuple(sentence(one) for one in found.reasons)
        lines = (*((example,) if example else ()), *todo[1:], *reasons)
        return Said(
            shout_of(found), todo[0], TONES[found.state],
            (*lines, *nut_sentences(found.crush)), cautions,
        )  # fmt: skip
    if state == "faulty":
        red = [fault for fault in faults if fault.found != "nothing"]
        more = f" And {len(red) - 1} more." if len(red) > 1 else ""
        return Said("MEND THE RED", f"{sentence(str(red[0]))}{more}", "bad", (), cautions)
    if state == "half-filled":
        names = list(dict.fromkeys(missing_name(fault) for fault in faults))
        first = names[:MOST_WISHES]
        if len(names) > MOST_WISHES:
            first.append(f"{len(names) - MOST_WISHES} more")
        return Said("NEARLY THERE", sentence(f"still to come: {listed(first)}"), "go", (), cautions)
    if state == "stopped":
        return Said("NO ANSWER", "Something went wrong here, not in the job.", "bad", (), cautions)
    return Said("ONE MOMENT", "Working out the next turn.", "go", (), cautions)
