"""What every answer has to warn of at the bench, in the trade's words of the job."""

from __future__ import annotations

from solver.findings import Answer
from solver.job import PINION_SPACER, Job
from solver.report_words import TRADE_WORDS


def cautions(answer: Answer) -> tuple[str, ...]:
    """Name the cautions that apply to an answer, in the order of the work.

    answer: the finished answer. Returns one short sentence each; cutting only where it is advised.
    Source: common practice, no source.
    """
    cutting = CUTTING if advises_cutting(answer) else ()
    return (*_reading(answer), *_fitting(answer), *cutting, *last_words(answer.job))


def last_words(job: Job) -> tuple[str, ...]:
    """Say what decides in the end. job. Returns sentences."""
    return LAST if job.axle else LAST_OF_LINE


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
    if not answer.job.axle:
        return LINE
    if not answer.job.carrier:
        return _pinion(answer)
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
    if not answer.job.carrier:
        return ("Tap a shim in, never drive it.",)
    return (
        "Tap a shim in, never drive it.",
        "Spread a housing no further than its maker allows.",
    )


def _pinion(answer: Answer) -> tuple[str, ...]:
    """The press, heat and cold; and what must be right before anything is tightened."""
    words = TRADE_WORDS[answer.job.words]
    solid = any(seat.name == PINION_SPACER for seat in answer.job.seats)
    nut = (
        "Tighten the nut to the maker's torque before end float or preload is read."
        if solid
        else f"A {words.crush_spacer} is crushed once: settle the depth before you tighten it."
    )
    return (
        "Head bearing, race and shims fully home before you measure: a race that is not seated"
        " reads as depth.",
        "Turn the bearings ten times both ways before every reading.",
        "Press on the race that takes the load, square, behind a guard: a bearing that bursts in a"
        " press throws splinters.",
        "Heated and frozen parts burn: gloves made for it, eyes covered, no flame near oil.",
        nut,
    )


CUTTING = (
    "A cut shim has razor edges: wear gloves, take the burr off both faces, lay it flat.",
    "A drill snags in thin stock and spins it: clamp it between two plates, never hold it by hand.",
    "Measure the cut piece where it will bear before you fit it.",
)
LINE = (
    "Parts clean, burrs off, races and shims fully home before you measure: dirt reads as length.",
    "Heavy parts slip off blocks: support them before you reach underneath.",
    "Press on the race that takes the load, square, behind a guard: a bearing that bursts in a"
    " press throws splinters.",
    "Heated and frozen parts burn: gloves made for it, eyes covered, no flame near oil.",
)
DECIDES = (
    "The backlash read at several teeth round the wheel and the contact pattern decide, not"
    " this program.",
)
LAST_OF_LINE = (
    "What you feel and read once it is together decides, not this program.",
    "Where the maker's manual says otherwise, the manual is right.",
)
LAST = (
    *DECIDES,
    "Where the maker's manual says otherwise, the manual is right.",
)
