"""What the set-up says of the pinion: choices, whys, what stands in for blanks, marks read back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from solver.job import BEHIND_RACE, FLANGE, UNDER_CONE, Mark
from solver.job_pinion import CARRIED_WITHIN_UM, GIVE_UM, GIVE_WITHIN_UM, USUAL_RATIO
from solver.report_words import TRADE_WORDS, UNIT_SHOWN, bare_length, length
from solver.trouble import Fault
from solver.units import NotAQuantity, in_unit, length_um

OFFER = (
    "Shims at the pinion's head set its depth; on a solid spacer others set its bearings. Both "
    "can be chosen with the carrier's, out of the same drawer."
)
BEGIN = "This job sets the pinion too"
ALONE = "The pinion alone instead"
ALONE_WHY = (
    "A job about nothing but the pinion: its depth and, on a solid spacer, its bearings. Neither "
    "backlash nor pinch is asked for then."
)
DROP = "Take the pinion out again"
DROP_WHY = "Its limits, seats and readings go with it. Undo brings them back."
CARRIER_TOO = "This job sets the carrier too"
SITS_WHY = (
    "Look where the stack sits on this very axle: the wrong one turns the depth round, or shifts "
    "the bearings' preload with every change of depth."
)
SITS = {  # the name of each place, and what more shim does there
    BEHIND_RACE: (
        "Behind the race",
        "More shim: pinion further in. On a solid spacer it takes up as much {float}.",
    ),
    UNDER_CONE: ("Between head and cone", "More shim: pinion further in. {Float} stays as it is."),
    FLANGE: ("Under the flange", "More shim: pinion further OUT. {Float} stays as it is."),
}
FACES = (("shoulder", "shoulder"), ("nose", "nose"))
FACE_WHY = (
    "The face of the pinion that the mounting distance of the drawing runs to: the shoulder "
    "behind its teeth, or the nose, its end nearest the {wheel}'s axis. Heights are measured to "
    "the same face."
)
NOMINAL_WHY = (
    "The {wheel}'s axis to that face, as the drawing or the manual has it, before the mark is "
    "counted in."
)
MARK_WHY = (
    "Etched on the pinion, in the unit and the sense of its own maker: by how much this one "
    "pinion has to stand off the drawn distance. Neither is assumed. Empty where there is none."
)
WHEEL_MARK_WHY = (
    "The {wheel}'s own mark is for where the {wheel} stands, not for the pinion's shims; the "
    "answer only tells of it."
)
STEPS = ("0.01 mm", "0.001 in")
PLUS = (("out", "further out"), ("in", "further in"))
PLUS_WHY = (
    "Out is away from the {wheel}'s axis: a longer mounting distance. In is towards it. Makers "
    "differ: the manual says which."
)
MARK_BLANK = "Nothing typed: no mark is etched."
SPACERS = (("crush", "crushed"), ("solid", "solid, with shims"))
SPACER_WHY = (
    "A crush spacer is set by the nut's torque, on its own stage. On a solid one shims between "
    "spacer and bearing set the pinion's {float} or preload."
)
FITTED_WHY = (
    "The stack at the pinion's head while backlash and gaps were read: a thickness, as '0.81' or "
    "'0.81 ± 0.004', or lots, as 'H14 + H16'. 0 where nothing was. What is fitted in its place "
    "moves the backlash."
)
CARRY = "Carry the old build over"
CARRY_NOTE = (
    "Where the old pinion ran well: its stack, its mark and the change in bearing height give "
    "the new stack. Both ways together check each other."
)
CARRY_NOT = "Do not carry it over"
OLD_STACK_WHY = (
    "The stack that came out of the head, as '0.81', '0.81 ± 0.004' or lots of the drawer. "
    "Measure it; a bare thickness is taken as exact."
)
BEARINGS = (
    ("kept", "Kept", "The old head bearing goes back in."),
    ("measured", "Measured", "A new one: its height and the old one's are among the readings."),
    ("new", "Not measured", "A new one: say how far the heights of two may differ."),
)
BEARING_WHY = (
    "A new head bearing is not as high as the old one, and moves the pinion by as much. Measured, "
    "it wants the readings head height and old head height."
)
OLD_RIGHT_WHY = "How far off the old build's depth may have been, though it ran well."
ETCHED_WHY = "A backlash etched on the pair. The answer says whether the limits agree with it."
GIVE_WHY = (
    "How far the pinion moves out when its bearings come under preload; added to what was read "
    "without."
)
RATIO_WHY = "By how much the backlash closes where the pinion comes in by one."
PINION_WHYS = {
    "depth": "How far off its wanted place the pinion may stand, from the maker's manual. Plus is "
    "too far out, away from the wheel.",
    "pinion_end_float": "What the pinion's bearings may have along its axis. Minus is preload, as "
    "the length by which the bearings are squeezed.",
}
SIGNS = {"depth": "plus: too far out", "pinion_end_float": "minus: preload"}
_WISHES = {
    "stack_sits": "Still to choose: look at the axle, or at the manual's section of it",
    "measured_to": "Still to choose: the drawing or the manual shows it",
    "nominal": "Still to come, from the drawing or the manual; or carry the old build over",
    "spacer": "Still to choose",
    "fitted": "Still to come: the stack at the head; 0 for nothing",
    "value": "Still to come",
    "within": "Still to come: the most it may be off",
    "unit": "Still to choose: ask the manual what one step of the mark is",
    "plus": "Still to choose: ask the manual which way plus is",
    "bearing": "Still to choose",
    "bearing_within": "Still to come: how far the heights of two such bearings may differ",
}


def said(words: str, trade: str) -> str:
    """Put the trade's own words in. words: with braces; trade: 'UK' or 'US'. Returns text."""
    known = TRADE_WORDS[trade]
    loose = known.end_float
    return words.format(wheel=known.crown_wheel, float=loose, Float=loose[:1].upper() + loose[1:])


def wish_words(fault: Fault) -> str:
    """Ask for what is missing of the pinion. fault: that found nothing. Returns text."""
    key = next((str(part) for part in reversed(fault.place) if not isinstance(part, int)), "")
    return _WISHES.get(key, f"Still to come: {fault.wanted}")


def mark_words(mark: object, unit: str, shown: str, *, words: str, whose: str) -> str:
    """Read a mark back, so that nobody can have meant another.

    mark: as the job keeps it; unit: the job's; shown: that of lengths; words: 'UK' or 'US'; whose:
    'this pinion', 'the old pinion' or 'wheel'. Returns a sentence, '' where value, unit or sense
    are not there yet.
    """
    if not isinstance(mark, Mapping):
        return ""
    value, plus = mark.get("value"), mark.get("plus")
    if not isinstance(value, int | float) or isinstance(value, bool) or plus not in ("out", "in"):
        return ""
    try:
        off_um = Mark(float(value), length_um(mark.get("unit"), unit), plus == "out").um
    except NotAQuantity:
        return ""
    wheel = TRADE_WORDS[words].crown_wheel
    own = whose != "wheel"
    one = whose if own else f"this {wheel}"
    if off_um == 0.0:
        return f"So {one} stands where it is drawn."
    far = length(abs(off_um), shown, True)
    other = f"the {wheel}'s" if own else "the pinion's"
    way = f"further out from {other} axis" if off_um > 0.0 else f"further in, nearer {other} axis,"
    return f"So {one} stands {far} {way} than drawn."


def give_blank(shown: str) -> str:
    """Say what stands in for an empty give. shown: unit of lengths. Returns text."""
    value, within = (f"{in_unit(um, shown):.3g}" for um in (GIVE_UM, GIVE_WITHIN_UM))
    return f"Left empty: {value} within {within} {UNIT_SHOWN[shown]} (common practice, no source)."


def ratio_blank() -> str:
    """Say what stands in for an empty ratio. Returns text."""
    value, within = USUAL_RATIO
    return (
        f"Left empty: from the teeth, within half of it; without teeth {value:g} within {within:g} "
        "(common practice, no source)."
    )


def carried_blank(shown: str) -> str:
    """Say what stands in for how right the old build was. shown: unit of lengths. Returns text."""
    return f"{UNIT_SHOWN[shown]}; {bare_length(CARRIED_WITHIN_UM, shown, True)} if left empty"


def steps_of(table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """List what one step of a mark can be. table: of the mark. Returns (value, text) pairs.

    A step that only the file has is listed too.
    """
    own = table.get("unit")
    more = (own,) if isinstance(own, str) and own and own not in STEPS else ()
    return tuple((step, step) for step in (*STEPS, *more))
