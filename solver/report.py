"""Every word, rounding and tone that a person sees; the window says the same sentences.

The door is `answer_as_text` and `answer_as_json`. The rooms behind it: `report_words` (lengths and
counts), `report_text` (one sentence a function), `report_pinion`, `report_advice` (what to do about
it), `report_cautions` and `report_json`.
"""

from __future__ import annotations

import textwrap

from solver.findings import Answer
from solver.report_advice import (
    budget_line,
    do_about,
    hangs_on_sentence,
    largest_share,
    mend_sentence,
    move_sentence,
)
from solver.report_cautions import advises_cutting, cautions
from solver.report_json import answer_as_json
from solver.report_line import line_sentences
from solver.report_pinion import (
    band_sentence,
    etched_sentences,
    float_sentences,
    gauge_sentences,
    signed_words,
    under_words,
    wanted_sentence,
    way_words,
)
from solver.report_text import (
    agreement_sentence,
    example_sentence,
    expect_sentence,
    headline,
    jam_sentence,
    other_line,
    piece_line,
    pinch_sentence,
    plan_line,
    proof_sentence,
    round_sentences,
    seat_total,
    spot_words,
    stack_line,
    table_rows,
    trade_words,
    unchecked_line,
    uneven_sentence,
    verdict_sentence,
    warm_sentences,
    without_sentence,
)
from solver.report_words import (
    bare_length,
    both_lengths,
    counts,
    length,
    listed,
    number_of,
    risk_counts,
    sentence,
    wanted_counts,
    window,
)

__all__ = [
    "advises_cutting",
    "agreement_sentence",
    "answer_as_json",
    "answer_as_text",
    "band_sentence",
    "bare_length",
    "both_lengths",
    "budget_line",
    "cautions",
    "counts",
    "do_about",
    "etched_sentences",
    "example_sentence",
    "expect_sentence",
    "float_sentences",
    "gauge_sentences",
    "hangs_on_sentence",
    "headline",
    "jam_sentence",
    "largest_share",
    "length",
    "line_sentences",
    "listed",
    "mend_sentence",
    "move_sentence",
    "number_of",
    "other_line",
    "piece_line",
    "pinch_sentence",
    "plan_line",
    "proof_sentence",
    "risk_counts",
    "round_sentences",
    "seat_total",
    "sentence",
    "signed_words",
    "spot_words",
    "stack_line",
    "table_rows",
    "trade_words",
    "unchecked_line",
    "under_words",
    "uneven_sentence",
    "verdict_sentence",
    "wanted_counts",
    "wanted_sentence",
    "warm_sentences",
    "way_words",
    "window",
    "without_sentence",
]

WIDTH = 88  # fits a terminal of 90 and a sheet of paper in a fixed pitch
FEW_BUILDS = 400  # below this the simulated chance is known to worse than about 1 of 100


def answer_as_text(answer: Answer) -> str:
    """Write an answer for a person at the bench, what to do first.

    answer: the finished answer. Returns text of lines at most 88 characters wide, newline last.
    """
    blocks = (
        _opening(answer),
        _warnings(answer),
        _what_goes_where(answer),
        _headed("How sure" if answer.verdict else "What is wanted", _how_sure(answer)),
        _headed("The pinion", _said([wanted_sentence(answer), *etched_sentences(answer)])),
        _headed("On the depth gauge", _said(gauge_sentences(answer))),
        _headed("Once it is together", _said(line_sentences(answer))),
        _headed("On the dial", _dial(answer)),
        _headed("Round the wheel", _said(round_sentences(answer))),
        _headed("Warm", _said(warm_sentences(answer))),
        _headed("What it hangs on", _hangs_on(answer)),
        _headed("Readings", _readings(answer)),
        _headed("Assumed, not measured", _points(answer.assumed)),
        _headed("Other plans", _points([other_line(answer, other) for other in answer.others])),
        _headed("At the bench", _cautions(answer)),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _headed(heading: str, rows: list[str]) -> list[str]:
    return [heading, *rows] if rows else []


def _wrapped(words: str, first: str = "  ", rest: str | None = None) -> list[str]:
    """Wrap to the width; rubbish from a file (control characters) cannot reach the terminal."""
    clean = "".join(c if c.isprintable() else "?" for c in words)
    indent = " " * len(first) if rest is None else rest
    return textwrap.wrap(clean, WIDTH, initial_indent=first, subsequent_indent=indent)


def _points(lines: tuple[str, ...] | list[str]) -> list[str]:
    return [row for line in lines for row in _wrapped(line, "  - ")]


def _opening(answer: Answer) -> list[str]:
    """What to do, for which job, and before any plan whatever stands against it."""
    rows = _wrapped(headline(answer).upper(), "") + _wrapped(answer.job.title, "")
    if said := agreement_sentence(answer):
        rows += ["", *_wrapped(said, "")]
        unit = answer.job.unit
        rows += _points([sentence(suspect.words(unit)) for suspect in answer.agreement.suspects])
        rows += _wrapped(without_sentence(answer), "")
        rows += _wrapped("Read those again, put the job right, and choose again.", "")
    return rows


def _warnings(answer: Answer) -> list[str]:
    """What falls short and what would mend it; limits that nobody's manual states."""
    rows = _wrapped(example_sentence(answer), "")
    if answer.status != "met":
        rows += _wrapped(f"{answer.status.upper()}: {verdict_sentence(answer)}", "")
        rows += _wrapped(uneven_sentence(answer), "")
        if answer.verdict is None:
            rows += _wrapped(sentence(answer.nearest), "")
        if answer.agreement.state != "disagree":  # nothing is cut or bought on bad readings
            rows += _wrapped(mend_sentence(answer), "")
        if answer.mend and advises_cutting(answer):
            rows += _wrapped(f"With it: {plan_line(answer.mend.plan, answer.job.unit)}.")
    return rows


def _what_goes_where(answer: Answer) -> list[str]:
    if answer.verdict is None:
        return []
    unit, rows = answer.job.unit, []
    if answer.agreement.state == "disagree":
        rows += ["Not to be built until the readings agree. If they stood, the plan would be:"]
    elif answer.picked:
        rows += ["A plan that was picked; the one chosen comes first among the other plans below:"]
    elif answer.status != "met":
        rows += ["The best there is in this drawer:"]
    under = {seat.name: under_words(seat) for seat in answer.job.seats}
    for stack in answer.verdict.plan.stacks:
        rows += _wrapped(f"{stack.seat}, {under[stack.seat]}: {seat_total(stack, unit)}")
        for piece in stack.pieces:
            rows += _wrapped(piece_line(piece, unit), " " * 6)
    return rows


def _how_sure(answer: Answer) -> list[str]:
    rows: list[str] = []
    verdict = answer.verdict
    if answer.status == "met":
        stood = ", if the readings stood" if answer.agreement.state == "disagree" else ""
        rows += _wrapped(f"MET{stood}: {verdict_sentence(answer)}")
    rows += _wrapped(proof_sentence(answer))
    if verdict is not None and verdict.effective < FEW_BUILDS:
        rows += _wrapped(
            f"These counts rest on only {verdict.effective:.0f} simulated builds: the readings"
            " pull hard against each other."
        )
    return rows + _table(table_rows(answer)) + _wrapped(pinch_sentence(answer))


def _table(rows: tuple[tuple[str, ...], ...]) -> list[str]:
    """Columns as wide as they need; those that are blank below their heading are dropped."""
    kept = [k for k in range(len(rows[0])) if k == 0 or any(row[k] for row in rows[1:])]
    wide = {k: max(len(row[k]) for row in rows) for k in kept}
    worded = any(" than " in cell for row in rows for cell in row)
    if worded and sum(wide.values()) + 2 * len(wide) > WIDTH:
        return _table(tuple(tuple(_bare(cell) for cell in row) for row in rows))
    return ["  " + "  ".join(row[k].ljust(wide[k]) for k in kept).rstrip() for row in rows]


def _bare(cell: str) -> str:
    """A count with a sign in place of its words, for a table that is too wide."""
    return cell.replace("more than ", "> ").replace("fewer than ", "< ")


def _dial(answer: Answer) -> list[str]:
    rows = _wrapped(expect_sentence(answer)) + _wrapped(move_sentence(answer))
    if rows:
        rows += _wrapped(
            "Better than moving by hand: add what the dial showed to the job as a reading with"
            " these shims fitted, and choose again."
        )
    return rows + _wrapped(jam_sentence(answer))


def _said(sentences: list[str]) -> list[str]:
    return [row for said in sentences for row in _wrapped(said)]


def _hangs_on(answer: Answer) -> list[str]:
    rows = _wrapped(f"{hangs_on_sentence(answer)} {do_about(answer)}")
    words = trade_words(answer)
    for result, shares in answer.budget:
        if shares:
            line = f"spread of the {words.result(result)}: {budget_line(answer, shares)}"
            rows += _wrapped(line, "  - ")
    return rows


def _readings(answer: Answer) -> list[str]:
    agreement, left_out = answer.agreement, answer.job.left_out
    rows: list[str] = []
    if agreement.scattered:
        rows += ["  These repeats scatter more than their tool is said to, or drift:"]
        rows += _points(agreement.scattered)
    if agreement.unnoticed_um:
        rows.append("  How far off each could be before the others would show it:")
        unit = answer.job.unit
        rows += _points([f"{name}: {length(off, unit)}" for name, off in agreement.unnoticed_um])
    if agreement.unchecked:
        rows += ["  Nothing checks these; a slip in one of them would not be noticed:"]
        rows += _points([unchecked_line(name, answer.job) for name in agreement.unchecked])
    if left_out:
        numbers = listed([str(number) for number in left_out])
        noun = "reading" if len(left_out) == 1 else "readings"
        rows += _wrapped(f"Left out, as the job says: {noun} {numbers}.")
    return rows


def _cautions(answer: Answer) -> list[str]:
    named = ["Carrier here is the differential case with its bearings, never the housing."]
    return _points([*cautions(answer), *(named if answer.job.carrier else [])])
