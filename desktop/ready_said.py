"""What stands in the block 'Before you crush', by how things stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from desktop.reading_faults import fault_words
from desktop.ready_asking import ReadyAsking
from solver.job_ready import TABLE, TICKS
from solver.report_words import TRADE_WORDS, listed, sentence

if TYPE_CHECKING:
    from solver.ready import Readiness

TITLE = "Before you crush"
HEAD = "Fitted at its head"
HEAD_WHY = (
    "What is in there now, not what was meant to be: the lots, as 'A7 + A22', or the thickness, as "
    "'0.83' or '0.83 ± 0.01'. The depth is judged with it."
)
NO_PINION = (
    "Whether the pinion's depth is right before the {spacer} is crushed can be judged too: begin "
    "the pinion in the set-up, on the Axle stage. Tightening does not wait for it."
)
DEPTH = "Depth of the pinion"
TONES = {"commit": "good", "measure": "warn", "not yet": "warn", "restack": "bad"}
MOST_WISHES = 4  # named at once
LONG = 16  # characters: more go on two lines, to be large


@dataclass(frozen=True, slots=True)
class ReadySaid:
    """All that is said, besides what is ticked and typed."""

    shout: str  # in capitals
    then: str  # a sentence more
    tone: str  # 'good', 'warn', 'bad' or 'go'
    depth: tuple[str, bool | None]  # what the list says of the depth; None: not judged
    rows: tuple[str, ...] = ()  # words of the ticks, in order; none until they are loaded
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def no_pinion(words: str) -> str:
    """Say what to add where the job says nothing of its pinion. words: 'UK' or 'US'."""
    return NO_PINION.format(spacer=TRADE_WORDS[words].crush_spacer)


def ready_said(asking: ReadyAsking, unit: str, words: str) -> ReadySaid:
    """Say how things stand. asking: with the judgement; unit, words: as shown. Returns it."""
    found = asking.shown(unit, words)
    rows: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    if asking.loaded:
        from solver.report_ready import BEFORE_CRUSHING, TICK_WORDS

        spacer = TRADE_WORDS[words].crush_spacer
        rows = tuple(_capital(TICK_WORDS[tick].format(spacer=spacer)) for tick in TICKS)
        cautions = BEFORE_CRUSHING
    if found is None:
        shout, then, tone = _unjudged(asking)
        return ReadySaid(shout, then, tone, (DEPTH, None), rows, (), cautions)
    return _judged(found, rows, cautions)


def _judged(found: Readiness, rows: tuple[str, ...], cautions: tuple[str, ...]) -> ReadySaid:
    from solver.report_ready import ready_headline, ready_reasons, ready_rows

    shout, then = _parted(ready_headline(found))
    deep, done = ready_rows(found)[0]
    depth: tuple[str, bool | None] = (f"{DEPTH}: say below what is fitted at its head", None)
    if found.depth is not None:
        depth = (_capital(deep), done)
    reasons = tuple(ready_reasons(found))
    if found.state == "measure" and found.measure is not None:
        from solver.report_worth import further_words

        shout = f"{shout}:"  # which one stands right under it
        then = sentence(further_words(found.answer, found.measure))
    if len(shout) > LONG:
        half = shout.index(" ", len(shout) // 2 - 2)
        shout = f"{shout[:half]}\n{shout[half + 1 :]}"
    return ReadySaid(shout, then, TONES[found.state], depth, rows, reasons, cautions)


def _unjudged(asking: ReadyAsking) -> tuple[str, str, str]:
    """Shout, sentence and tone while there is no judgement."""
    if asking.state == "faulty":
        fault = asking.faults[0]
        own = fault.place[:1] == (TABLE,)
        where = "" if own else f"{fault.where}: "
        return "MEND THE RED", sentence(f"{where}{fault_words(fault)}"), "bad"
    if asking.state == "axle":
        if asking.axle == "faulty":
            return "NOT YET", "Mend first what is red on the Axle stage.", "warn"
        names = list(asking.missing)
        if len(names) > MOST_WISHES:
            names = [*names[:MOST_WISHES], f"{len(names) - MOST_WISHES} more"]
        then = f"still to come on the Axle stage: {listed(names)}" if names else "nothing read yet"
        return "NOT YET", sentence(then), "warn"
    if asking.state == "stopped":
        return "NO ANSWER", "Something went wrong here, not in the job.", "bad"
    return "ONE MOMENT", "Judging the depth as fitted.", "go"


def _parted(headline: str) -> tuple[str, str]:
    """A headline into its words in capitals and the rest as a sentence."""
    words = headline.split()
    loud = next((k for k, word in enumerate(words) if not word.isupper()), len(words))
    return " ".join(words[:loud]).rstrip(":"), sentence(" ".join(words[loud:]))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
