"""What every answer has to warn of at the bench, in the trade's words of the job."""

from __future__ import annotations

from solver.findings import Answer
from solver.report_words import TRADE_WORDS


def cautions(answer: Answer) -> tuple[str, ...]:
    """Name the cautions that apply to an answer, in the order of the work.

    answer: the finished answer. Returns one short sentence each; cutting only where it is advised.
    Source: common practice, no source.
    """
    cutting = CUTTING if advises_cutting(answer) else ()
    return (*_reading(answer), *_fitting(answer), *cutting, *LAST)


def advises_cutting(answer: Answer) -> bool:
    """Say whether the answer advises a piece that may have to be cut; never on bad readings.

    answer: the finished answer. Returns true where one thickness would help.
    """
    mend = answer.mend
    if mend is None or answer.status == "met" or answer.agreement.state == "disagree":
        return False
    return mend.enough or mend.ceiling >= answer.job.wanted_chance


def _reading(answer: Answer) -> tuple[str, ...]:
    words = TRADE_WORDS[answer.job.words]
    return (
        "Set and preload the pinion before the mesh gap or any backlash is read.",
        "Turn the bearings ten times both ways before every reading.",
        "Caps go back where they came from, marked, and torqued as the maker says.",
        "Bearings keep their original races.",
        f"Never draw the caps down on a {words.crown_wheel} that is hard in mesh.",
    )


def _fitting(answer: Answer) -> tuple[str, ...]:
    if answer.verdict is None:
        return ()
    return (
        "Tap a shim in, never drive it.",
        "Spread a housing no further than its maker allows.",
    )


CUTTING = (
    "A cut shim has razor edges: wear gloves, take the burr off both faces, lay it flat.",
    "A drill snags in thin stock and spins it: clamp it between two plates, never hold it by hand.",
    "Measure the cut piece where it will bear before you fit it.",
)
LAST = (
    "The backlash read at several teeth round the wheel and the contact pattern decide, not"
    " this program.",
    "Where the maker's manual says otherwise, the manual is right.",
)
