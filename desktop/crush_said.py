"""What the crush spacer's stage says at the right, by how things stand."""

from __future__ import annotations

from dataclasses import dataclass

from desktop.crush_words import fault_sentence, missing_name
from solver.crush import Tightening
from solver.report_tighten import (
    crush_cautions,
    crush_example,
    do_sentences,
    nut_sentences,
)
from solver.report_words import TRADE_WORDS, listed, sentence
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
    notes: tuple[str, ...] = ()  # of the nut and of what was assumed, in soft type
    red: bool = False  # something in the job is wrong
    first: bool = False  # nothing is missing so much as a first pause


def shout_of(found: Tightening, words: str) -> str:
    """Say in capitals what to do. found: the answer; words: 'UK' or 'US'. Returns one or two lines,
    at most four words and a figure."""
    if found.state == "stop":
        return "STOP"
    if found.state == "over":
        part = TRADE_WORDS[words].crush_spacer.split()[-1]
        return f"OVER:\nNEW {part.upper()}"
    if found.state == "measure" or found.advice is None:
        return "MEASURE\nAGAIN"
    verb = "CREEP" if found.by_torque else "TURN"
    return f"{verb} {found.advice.turn_deg:g}°,\nTHEN READ"


def notes_of(found: Tightening) -> tuple[str, ...]:
    """Say what stands behind an answer. found: the answer. Returns sentences."""
    crush = found.crush
    assumed = f"assumed, not measured: {'; '.join(crush.assumed)}" if crush.assumed else ""
    lines = (*nut_sentences(crush), *crush.remarks, assumed)
    return tuple(sentence(one) for one in lines if one)


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
            shout_of(found, words), todo[0], TONES[found.state],
            lines, cautions, notes_of(found),
        )  # fmt: skip
    if state == "faulty":
        red = [fault for fault in faults if fault.found != "nothing"]
        more = f" And {len(red) - 1} more." if len(red) > 1 else ""
        return Said(
            "MEND THE RED", f"{fault_sentence(red[0])}{more}", "bad", (), cautions, red=True
        )
    if state == "half-filled":
        names = list(dict.fromkeys(missing_name(fault) for fault in faults))
        first = names[:MOST_WISHES]
        if len(names) > MOST_WISHES:
            first.append(f"{len(names) - MOST_WISHES} more")
        then = sentence(f"still to come: {listed(first)}")
        none = any(fault.place == ("crush", "pauses") for fault in faults)
        return Said("NEARLY THERE", then, "go", (), cautions, first=none)
    if state == "stopped":
        return Said("NO ANSWER", "Something went wrong here, not in the job.", "bad", (), cautions)
    return Said("ONE MOMENT", "Working out the next turn.", "go", (), cautions)
