"""Before the spacer is crushed, in words and as JSON."""

from __future__ import annotations

import textwrap

from solver.job_ready import TICKS
from solver.ready import NO_PIECE, Readiness
from solver.report_advice import do_about
from solver.report_cautions import LAST
from solver.report_json import Table
from solver.report_pinion import head_stack_words, signed_words
from solver.report_text import agreement_sentence, example_sentence, stack_line, trade_words
from solver.report_words import counts, length, sentence, wanted_counts, window
from solver.report_worth import further_words

WIDTH = 88
TICK_WORDS = {
    "seated": "bearings and races fully home",
    "seal_in": "oil seal in, if its drag counts in the manual's torque",
    "washer_under_nut": "washer under the nut, and a new nut where the maker says so",
    "marks_aligned": "flange on its splines as marked",
    "spare_spacer": "a spare {spacer} at hand",
}
_HEADLINES = {
    "commit": "COMMIT: the {spacer} may be crushed",
    "measure": "MEASURE AGAIN before the {spacer} is crushed",
    "restack": "CHANGE THE HEAD'S STACK before the {spacer} is crushed",
    "not yet": "NOT YET: something is not done",
}
BEFORE_CRUSHING = (
    "What is crushed does not spring back: over the torque means a new spacer, never backing off.",
    "Hold the flange with a proper bar and the case so that it cannot tip: the nut takes 150 to 300"
    " lbf·ft as a rule (common practice, no source).",
    "Never an impact wrench on a crush spacer.",
    *LAST,
)


def ready_headline(readiness: Readiness) -> str:
    """Say in a few words whether to crush. readiness. Returns text, no full stop."""
    return _HEADLINES[readiness.state].format(spacer=trade_words(readiness.answer).crush_spacer)


def ready_rows(readiness: Readiness) -> tuple[tuple[str, bool], ...]:
    """The list that has to be done, and what of it is. readiness. Returns (words, done) each."""
    spacer = trade_words(readiness.answer).crush_spacer
    depth, wanted = readiness.depth, readiness.answer.job.wanted_chance
    deep = depth is not None and depth.chance >= wanted
    said = "depth of the pinion: say what is at its head (head = …)"
    if depth is not None:
        said = f"depth of the pinion right in {counts(depth.chance)} builds like this"
    ticks = [(TICK_WORDS[one].format(spacer=spacer), one in readiness.done) for one in TICKS]
    return ((said, deep), *ticks)


def ready_reasons(readiness: Readiness) -> list[str]:
    """Say why. readiness. Returns sentences."""
    answer, depth, said = readiness.answer, readiness.depth, []
    unit, wanted = answer.job.unit, wanted_counts(answer.job.wanted_chance)
    if text := example_sentence(answer):
        said.append(text)
    if text := agreement_sentence(answer):
        said.append(text)
        said += [sentence(suspect.words(unit)) for suspect in answer.agreement.suspects]
    if readiness.fitted is not None and depth is not None:
        stack = stack_line(readiness.fitted, unit).replace(f"{NO_PIECE} = ", "")
        low, high = depth.expect_um
        off = signed_words("depth", depth.predicted_um, unit, answer.job.words)
        said.append(
            f"With {stack} the pinion stands {off};"
            f" 95 builds of 100 lie between {length(low, unit)} and {length(high, unit)}. Wanted:"
            f" {window(depth.low_um, depth.high_um, unit)}, in {wanted}."
        )
    if readiness.state == "restack":
        said.append(f"From this drawer {head_stack_words(answer)} would do: fit that first.")
    if readiness.measure is not None:
        best = readiness.measure
        said.append(
            f"First: {further_words(answer, best)}; on average {counts(best.chance)} after it, the"
            " stack chosen anew."
        )
    elif readiness.state == "measure" and answer.agreement.state != "disagree":
        said.append(f"No single reading taken again makes it surer. {do_about(answer)}".strip())
    return said


def ready_as_text(readiness: Readiness) -> str:
    """Write it for a person at the bench. readiness. Returns text of 88 columns, newline last."""
    rows = [ready_headline(readiness)]
    if readiness.answer.job.title:
        rows.append(readiness.answer.job.title)
    rows.append("")
    for words, done in ready_rows(readiness):
        rows += _wrapped(words, f"  [{'x' if done else ' '}] ", " " * 6)
    for reason in ready_reasons(readiness):
        rows += ["", *_wrapped(reason, "  ", "  ")]
    rows += ["", "At the bench"]
    for caution in BEFORE_CRUSHING:
        rows += _wrapped(caution, "  - ", "    ")
    return "\n".join(rows) + "\n"


def _wrapped(words: str, first: str, rest: str) -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    return textwrap.wrap(clean, WIDTH, initial_indent=first, subsequent_indent=rest)


def ready_as_json(readiness: Readiness) -> Table:
    """Put it into plain dicts and lists. readiness. Returns a dict."""
    depth, answer = readiness.depth, readiness.answer
    return {
        "state": readiness.state,
        "wanted": float(answer.job.wanted_chance),
        "depth": None
        if depth is None
        else {
            "predicted_um": float(depth.predicted_um),
            "u_um": float(depth.u_um),
            "chance": float(depth.chance),
        },
        "checks": [{"check": tick, "done": tick in readiness.done} for tick in TICKS],
        "measure": further_words(answer, readiness.measure) if readiness.measure else None,
        "agreement": answer.agreement.state,
    }
