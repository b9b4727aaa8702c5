"""What the contact pattern advises, in words, as a drawing in letters, and as JSON."""

from __future__ import annotations

import textwrap

from solver.job import Job
from solver.job_pattern import HOW_TO_TELL
from solver.pattern import (
    ASK,
    CONFLICT,
    GOOD,
    USED,
    Move,
    PatternAdvice,
    ShimChange,
)
from solver.pattern_rules import CHART, OUT, PINION, Pattern
from solver.report_json import Table
from solver.report_tooth import drawn_teeth
from solver.report_words import BESIDE, TRADE_WORDS, UNIT_SHOWN, bare_length, listed, sentence

WIDTH = 88


def pattern_headline(advice: PatternAdvice, unit: str = "mm", words: str = "UK") -> str:
    """Say in a few words what to do. advice; unit: the job's; words: 'UK' or 'US'. Returns text."""
    if advice.status == GOOD:
        return "Good pattern"
    if advice.status == USED:
        return "Not judged: used gears"
    if advice.status == CONFLICT:
        return "Check, and do it again"
    if advice.status == ASK:
        return "Which teeth are they?" if "teeth" in advice.asks else "Look at both flanks"
    move = advice.moves[0]
    return f"Move the {_member(move, words)} {move.direction}, about {rough(move.about_um, unit)}"


def pattern_sentences(
    advice: PatternAdvice, unit: str = "mm", words: str = "UK"
) -> tuple[str, ...]:
    """Say what is advised and why. advice; unit: the job's; words: 'UK' or 'US'.

    Returns: sentences, shims and surety among them; cautions are `pattern_cautions`.
    """
    if advice.status == USED:
        return (_WORN,)
    if advice.status == GOOD:
        return (_TOE if advice.toe_wanted else _CENTRED,)
    if advice.status == CONFLICT:
        return _CONFLICTS[advice.conflict], _AGAIN
    if advice.status == ASK:
        if "teeth" in advice.asks:
            return (_EITHER, sentence(HOW_TO_TELL))
        return (f"The {listed(advice.asks)} flank was not looked at: one flank alone misleads.",)
    said: list[str] = []
    for place, move in enumerate(advice.moves):
        said += _move_sentences(move, unit, words, second=place > 0)
    return *said, *surety_sentences(advice)


def surety_sentences(advice: PatternAdvice) -> tuple[str, ...]:
    """Say how sure it is. advice: with moves. Returns sentences; none without moves."""
    if not advice.moves:
        return ()
    said = {
        "as sure as a pattern gets": "Both flanks ask for it: as sure as a pattern gets.",
        "fair": "How sure: fair. It brings the pattern nearer, not to the middle.",
        "low": "How sure: not very.",
    }[advice.confidence]
    more = []
    if advice.losing:
        more.append(
            "A compromise: the drive flank, which carries the load, gains; the coast flank loses."
        )
    if "teeth" in advice.asks:
        more.append(f"It holds for either kind of teeth; to be surer {HOW_TO_TELL}.")
    return said, *more, _GUIDANCE


def pattern_cautions(advice: PatternAdvice, words: str = "UK") -> tuple[str, ...]:
    """Name the cautions that apply. advice; words: 'UK' or 'US'. Source: common practice, none."""
    trade = TRADE_WORDS[words]
    moved = [
        f"To move the pinion it has to come out: a {trade.crush_spacer} once crushed is renewed.",
    ]
    return (
        "Bearings preloaded and backlash inside its limits first: a pattern means nothing before.",
        f"Thin compound, a drag on the {trade.crown_wheel}, turned by hand both ways: fingers out"
        " of the mesh.",
        f"Look at teeth all round: a pattern that wanders is a {trade.crown_wheel} that runs out.",
        *(moved if any(move.member == PINION for move in advice.moves) else ()),
        "Where the concave flank drives, as in some front axles, that flank counts first.",
        "Where the maker's manual shows its own patterns, the manual is right.",
    )


def rough(value_um: float, unit: str) -> str:
    """Show a size that is only guessed at, without its sign and without idle noughts.

    value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'. Returns text such as '0.05 mm'.
    """
    return f"{_rough(value_um, unit)} {UNIT_SHOWN[unit]}"


def _rough(value_um: float, unit: str) -> str:
    shown = bare_length(abs(value_um), unit)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def _band(low_um: float, high_um: float, unit: str) -> str:
    return f"{_rough(low_um, unit)} to {rough(high_um, unit)}"


def _member(move: Move, words: str) -> str:
    return "pinion" if move.member == PINION else TRADE_WORDS[words].crown_wheel


def _move_sentences(move: Move, unit: str, words: str, second: bool) -> list[str]:
    """What to move by how much, and the wheel's shims."""
    towards = "away from" if move.direction == OUT else "towards"
    other = TRADE_WORDS[words].crown_wheel if move.member == PINION else "pinion"
    about = f"{rough(move.about_um, unit)} ({rough(move.about_um, BESIDE[unit])})"
    first = "Then look again, and if it still asks for it move" if second else "Move"
    said = [
        f"{first} the {_member(move, words)} {move.direction}, {towards} the {other}, by about"
        f" {about}: it may take {_band(move.low_um, move.high_um, unit)}."
    ]
    if move.member == PINION:
        more, less = ("Less", "more") if move.direction == OUT else ("More", "less")
        said += [
            f"{more} shim behind the head bearing or between it and the head; {less} under a"
            " cartridge's flange.",
            f"To keep the backlash where it was: {_shims(move, unit)}. That follows from a rough"
            " ratio: read the backlash and go by that.",
        ]
    else:
        change = "grows" if move.backlash_um > 0 else "shrinks"
        said += [
            f"That is {_shims(move, unit)}.",
            f"The backlash {change} by about {rough(move.backlash_um, unit)}: only as far as"
            " its limits in the manual allow.",
        ]
    return said


def _shims(move: Move, unit: str) -> str:
    """Such as 'wheel side 0.013 mm thinner, plain side 0.013 mm thicker (0.001 to 0.070 mm)'."""
    low_um, high_um = (
        f(abs(end) for end in (move.shims[0].low_um, move.shims[0].high_um)) for f in (min, max)
    )
    band = _band(low_um, high_um, unit)
    return f"{listed([_shim(one, unit) for one in move.shims])} (anywhere from {band})"


def _shim(change: ShimChange, unit: str) -> str:
    which = "thinner" if change.about_um < 0 else "thicker"
    return f"{change.seat} about {rough(change.about_um, unit)} {which}"


_WORN = (
    "Used gears are not judged by their pattern: it shows where they have worn, not where they"
    " stand. Put them back where they ran, by their old shims and their old backlash."
)
_CENTRED = "Both flanks are centred: leave pinion and wheel where they are."
_TOE = (
    "Deep enough on both flanks, and slightly towards the toe, where most makers want it by hand:"
    " under load it spreads towards the heel. Leave it."
)
_CONFLICTS = {
    "depth": (
        "One flank says too deep, the other not deep enough: no move of pinion or wheel does both."
    ),
    "length": (
        "The depth is right, but lengthwise the flanks lean against what any move could do. Depth"
        " is what counts; ask the manual whether this much is let pass."
    ),
    "one flank": (
        "One flank is centred, and every move that helps the other takes it off. Ask the manual"
        " whether the other is let pass."
    ),
    "both ways": "What one flank asks for spoils the other: no move helps both.",
}
_AGAIN = (
    "Wipe it off and do it again first: too much compound, too little drag or a smear does this."
    " Then look for a burr under a bearing or the wheel, gears that are no pair, damaged teeth, a"
    " bent housing."
)
_EITHER = (
    "Face-milled and face-hobbed teeth move lengthwise in opposite directions for one move of the"
    " pinion, and here the advice depends on it."
)
_GUIDANCE = (
    "Guidance by eye, not a measurement: amounts are common practice without a source, from half"
    " to double. Move, fit, mark and look again."
)


def pattern_as_text(pattern: Pattern, advice: PatternAdvice, job: Job) -> str:
    """Write the advice for a person at the bench.

    pattern: as seen; advice: on it; job: for title, unit and words. Returns text at most 88 wide,
    newline last.
    """
    unit, words = job.unit, job.words
    rows = [pattern_headline(advice, unit, words).upper()]
    rows += [job.title] if job.title else []
    rows += ["", "What the compound shows", *drawn_teeth(pattern, advice), "", "What to do"]
    for said in pattern_sentences(advice, unit, words):
        rows += _wrapped(said)
    rows += ["", "Mind"]
    for said in pattern_cautions(advice, words):
        rows += _wrapped(f"- {said}", "    ")
    if advice.assumed:
        rows += ["", "Assumed"]
        for said in advice.assumed:
            rows += _wrapped(f"- {said}", "    ")
    if advice.moves:
        rows += [
            "",
            *_wrapped(
                f"Rules: for teeth that taper, {CHART} (what the pinion does to the depth, the"
                " wheel to the length). All else, and every amount: common practice, no source."
            ),
        ]
    return "\n".join(row.rstrip() for row in rows) + "\n"


def _wrapped(words: str, below: str = "  ") -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    return textwrap.wrap(clean, WIDTH, initial_indent="  ", subsequent_indent=below)


def pattern_as_json(pattern: Pattern, advice: PatternAdvice, job: Job) -> Table:
    """Put the advice into plain dicts and lists. pattern: as seen; advice: on it; job: its words.

    Returns: lengths in µm; a change of shims is + for more.
    """
    return {
        "status": advice.status,
        "headline": pattern_headline(advice, job.unit, job.words),
        "teeth": pattern.teeth,
        "gears": pattern.gears,
        "moves": [
            {
                "member": move.member,
                "direction": move.direction,
                "about_um": move.about_um,
                "low_um": move.low_um,
                "high_um": move.high_um,
                "backlash_um": move.backlash_um,
                "shims": {
                    one.seat: {
                        "about_um": one.about_um, "low_um": one.low_um, "high_um": one.high_um
                    }
                    for one in move.shims
                },
            }
            for move in advice.moves
        ],
        "conflict": advice.conflict or None,
        "confidence": advice.confidence or None,
        "asks": list(advice.asks),
        "words": list(pattern_sentences(advice, job.unit, job.words)),
        "cautions": list(pattern_cautions(advice, job.words)),
        "assumed": list(advice.assumed),
    }  # fmt: skip
