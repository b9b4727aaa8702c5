"""Measure again, or fit it: the worth of further readings in words and as JSON."""

from __future__ import annotations

import textwrap

from solver.findings import LEAST_GAIN, Answer, Further, Worth
from solver.report_advice import mend_sentence
from solver.report_json import Table
from solver.report_text import headline, trade_words, uneven_sentence
from solver.report_words import counts, number_of, wanted_counts

WIDTH = 88
SURER = 0.02  # gain of an easy reading that is worth a word though the chance is met


def further_words(answer: Answer, further: Further, short: bool = False) -> str:
    """Say what would be read. answer: finished; further: one reading; short: for a narrow row.

    Returns words without a full stop, such as 'mesh gap again, 3 more times (feelers)'.
    """
    if further.kind == "trial":
        of = answer.job.trial_of
        if short:
            return f"a trial fit, {of} read"
        tool = f" with the {trade_words(answer).dial}" if answer.job.carrier else ""
        return f"a trial fit: these shims in, {of} read{tool}"
    if further.kind == "part":
        return f"{further.lot} measured" + ("" if short else ", of which only the drawing is known")
    if further.kind == "measure":
        return f"lot {further.lot} measured" + ("" if short else ", which never was")
    reading = next(one for one in answer.job.readings if one.number == further.reading)
    tool = reading.tool.name if reading.tool else ""
    again = "once more" if further.times == 1 else f"{further.times} more times"
    same = sum(one.of == reading.of for one in answer.job.readings) > 1
    name = f"{reading.of} (reading {reading.number})" if same else reading.of
    if short:
        return f"{name}, {again.removesuffix(' times')}"
    return f"{name} {again} with the {tool}"


def effort_words(answer: Answer, further: Further) -> str:
    """Say what it takes. answer: finished; further: one reading. Returns a few words."""
    if further.kind == "trial":
        return "a whole assembly"
    if further.kind == "measure":
        return "one piece, a minute"
    if further.effort == "assembly":
        return "the same shims back in"
    return "at the bench"


def advised(answer: Answer, worth: Worth) -> tuple[str, Further | None]:
    """Decide between fitting and reading again. answer: finished; worth: of it.

    Returns: the advice in two or three words, and the reading that it is about, if any.
    """
    if answer.agreement.state == "disagree":
        return "Neither yet", None
    if uneven_sentence(answer):
        return "See to the wheel first", None
    wanted, readings = answer.job.wanted_chance, worth.readings
    easy = [one for one in readings if one.effort != "assembly"]
    best = max(easy, key=lambda one: one.chance, default=None)
    if answer.status == "met":
        surer = best if best and best.chance > worth.now + SURER else None
        return "Fit it", surer
    enough = [one for one in easy if one.chance >= wanted]
    if enough:
        return "Measure again first", min(enough, key=lambda one: (one.times, -one.chance))
    trial = next((one for one in readings if one.kind == "trial"), None)
    if trial and trial.chance >= wanted:
        return "A trial fit first", trial
    return "No single reading is enough", max(readings, key=lambda one: one.chance, default=None)


def worth_advice(answer: Answer, worth: Worth) -> str:
    """Say whether to fit or to read again. answer: finished; worth: of it. Returns sentences."""
    lead, about = advised(answer, worth)
    wanted = wanted_counts(answer.job.wanted_chance)
    if lead == "Neither yet":
        return (
            "Neither yet: the readings disagree, and nothing can be weighed against readings of"
            " which one is wrong. Read those again first."
        )
    if lead == "See to the wheel first":
        return f"{lead}. {uneven_sentence(answer)}"
    named = further_words(answer, about) if about else ""
    brings = f"brings {counts(about.chance)}" if about else ""
    if lead == "Fit it":
        if about:
            return f"Fit it. To be surer first: {named}, which on average {brings}."
        return "Fit it: no reading at the bench would make it much surer than it is."
    if lead == "Measure again first":
        return (
            f"Measure again first: {named}. On average that {brings}, with the shims chosen anew"
            " for whatever it shows."
        )
    if lead == "A trial fit first":
        return (
            f"A trial fit first: no reading at the bench reaches {wanted}; {_trial_shows(answer)}"
            f" with these shims in, and the shims then chosen anew, {brings}."
        )
    gains = about is not None and about.chance > worth.now + LEAST_GAIN
    helps = f" The best, {named}, {brings}." if gains else ""
    return (
        f"No single reading reaches {wanted}: what is in the drawer, or several readings together,"
        f" hold it back.{helps} {mend_sentence(answer)}"
    ).strip()


def _trial_shows(answer: Answer) -> str:
    return f"the {answer.job.trial_of}"


def worth_as_text(answer: Answer, worth: Worth) -> str:
    """Write the worth of further readings for a person at the bench.

    answer: finished; worth: of it. Returns text at most 88 wide, newline last.
    """
    rows = [headline(answer).upper()]
    if answer.job.title:
        rows.append(answer.job.title)
    if answer.verdict is None:
        return "\n".join([*rows, "", "No plan to weigh readings for: see 'choose'."]) + "\n"
    rows += ["", "Measure again, or fit it?", *_wrapped(worth_advice(answer, worth))]
    rows += ["", f"  {'expected':21}  what is read, and what it takes"]
    shims = number_of(answer.verdict.plan.shims, "shim")
    rows += [f"  {counts(worth.now):21}  nothing more ({shims})"]
    for one in worth.readings:
        words = f"{further_words(answer, one)}: {effort_words(answer, one)}"
        rows += textwrap.wrap(
            words, WIDTH, initial_indent=f"  {counts(one.chance):21}  ", subsequent_indent=" " * 25
        )
    rows += ["", *_wrapped(
        "Builds of a hundred that come out inside every limit, averaged over what the reading may"
        " show, by the normal law; plans of up to one more shim are chosen from. What 'choose'"
        f" promises is simulated: {counts(answer.chance)} now."
    )]  # fmt: skip
    return "\n".join(rows) + "\n"


def _wrapped(words: str) -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    return textwrap.wrap(clean, WIDTH, initial_indent="  ", subsequent_indent="  ")


def worth_as_json(answer: Answer, worth: Worth) -> Table:
    """Put the worth into plain dicts and lists. answer: finished; worth: of it."""
    of = {reading.number: reading.of for reading in answer.job.readings}
    return {
        "status": answer.status,
        "chance": float(answer.chance),
        "wanted": float(answer.job.wanted_chance),
        "now": float(worth.now),
        "agreement": answer.agreement.state,
        "advice": worth_advice(answer, worth),
        "readings": [
            {
                "action": one.kind,
                "reading": one.reading,
                "of": of.get(one.reading) if one.reading else None,
                "lot": one.lot or None,
                "times": one.times,
                "effort": one.effort,
                "chance": float(one.chance),
                "gain": float(one.chance - worth.now),
                "words": further_words(answer, one),
            }
            for one in worth.readings
        ],
    }
