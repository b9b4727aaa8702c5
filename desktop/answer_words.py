"""What the answer panel says: heading, verdict and button by how an answer stands."""

from __future__ import annotations

from dataclasses import dataclass

from solver.findings import Answer
from solver.report import (
    agreement_sentence,
    band_sentence,
    bare_length,
    example_sentence,
    float_sentences,
    length,
    mend_sentence,
    sentence,
    uneven_sentence,
    verdict_sentence,
    warm_sentences,
    without_sentence,
)


@dataclass(frozen=True, slots=True)
class Standing:
    """How an answer stands: the words and the tone of its verdict."""

    kind: str  # 'met', 'short', 'picked', 'nothing fits', 'disagree' or 'look again'
    heading: str
    word: str  # at most four words
    tone: str  # 'good', 'warn' or 'bad'
    copy: str  # on the button


COPY = "Copy as text"
STANDINGS = {
    "met": Standing("met", "Fit these", "Good to assemble", "good", COPY),
    "look again": Standing("look again", "Look again first", "Readings sit badly", "warn", COPY),
    "short": Standing("short", "The best there is", "Below what you want", "warn", COPY),
    "picked": Standing("picked", "A plan you picked", "Below what you want", "warn", COPY),
    "nothing fits": Standing(
        "nothing fits", "Nothing fits", "No stack fits", "bad", "Copy what is needed"
    ),
    "disagree": Standing(
        "disagree", "Measure again first", "Readings disagree", "bad", "Copy what to check"
    ),
}


def standing(answer: Answer) -> Standing:
    """Say how an answer stands. answer: the finished one. Returns it; bad readings come first."""
    if answer.agreement.state == "disagree":
        return STANDINGS["disagree"]
    if answer.verdict is None:
        return STANDINGS["nothing fits"]
    if answer.agreement.state == "look again":
        return STANDINGS["look again"]
    if answer.status != "met":
        return STANDINGS["picked" if answer.picked else "short"]
    return STANDINGS["met"]


def verdict_words(answer: Answer, found: Standing) -> tuple[tuple[str, bool], ...]:
    """Say the verdict in one to four short sentences.

    answer: the finished answer, its job in the unit and words to be shown; found: how it stands.
    Returns (sentence, whether it has to stay where there is little room) pairs.
    """
    said: list[tuple[str, bool]] = []
    if found.kind in ("disagree", "look again"):
        said.append((agreement_sentence(answer), True))
        unit = answer.job.unit
        said += [(sentence(one.words(unit)), True) for one in answer.agreement.suspects]
        said.append((without_sentence(answer), True))
    if found.kind == "nothing fits":
        said.append((sentence(answer.nearest), True))
    elif found.kind != "disagree":
        said.append((sentence(verdict_sentence(answer)), True))
    if found.kind in ("short", "nothing fits", "look again"):
        said += [(uneven_sentence(answer), True), (mend_sentence(answer), True)]
    said.append((example_sentence(answer), True))
    if found.kind == "met":
        said += [(_band(answer), True), (band_sentence(answer), True)]
        said += [(words, False) for words in float_sentences(answer)[:1]]
    if found.kind != "disagree":
        said += [(words, False) for words in warm_sentences(answer)]
    return tuple((text, needed) for text, needed in said if text)


def _band(answer: Answer) -> str:
    """What the dial should show, shorter than the report says it."""
    results = answer.verdict.results if answer.verdict else ()
    found = next((r for r in results if r.name == "backlash"), None)
    if found is None:
        return ""
    unit = answer.job.unit
    low, high = bare_length(found.expect_um[0], unit), length(found.expect_um[1], unit)
    return f"The dial should show {low} to {high}; outside that something is wrong."
