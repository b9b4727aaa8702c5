"""What the crush spacer's stage says of itself: labels, whys, what is still to come."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.crush_edits import tool_kind
from desktop.edits import value_at
from solver.report_words import TRADE_WORDS
from solver.torque_units import torque_unit_shown
from solver.trouble import Fault

BEARINGS = (("new", "new"), ("used", "used"))
MEANS = (("moving", "moving"), ("starting", "starting"))
IN_OUT = (("in", "in"), ("out", "out"))
KINDS = (("wrench", "torque wrench"), ("pull", "spring balance"), ("weight", "weight on a line"))
UNITS_ASKED = ("lbf.in", "N.m", "kgf.cm")  # others can be chosen later

OFFER_TITLE = "Tighten the pinion nut, a little at a time"
OFFER = (
    "A {spacer} cannot be uncrushed: one turn too far and it is scrap. Tell here how far the nut "
    "has been turned and what the rotating torque was, and read how far it may be turned next."
)
OFFER_FIRST = (
    "Have the pinion's depth right first: changing it later means a new {spacer}. The torque "
    "window stands in the maker's manual for this very unit."
)
BEARINGS_WHY = (
    "New bearings are set tighter than bearings that have run: most manuals give a window for each."
)
WINDOW_WHY = (
    "The rotating torque the manual asks for. It comes from the maker's manual for this very unit "
    "and from nowhere else."
)
MEANS_WHY = (
    "Some manuals mean the torque that starts it moving, some the lower one that keeps it moving. "
    "The two are not the same reading, so it has to be said."
)
WITH_WHY = (
    "Whether the manual's figure has the drag of the oil seal, and of the carrier with its crown "
    "wheel, in it. Look it up: it can be as large as the window."
)
YOURS_WHY = "What was in when you read it. Left alone: the same as in the manual's figure."
TOOL_WHY = (
    "What the rotating torque is read with: all with one tool. A spring balance pulls on a line "
    "wound round the flange; a weight hangs on it."
)
WITHIN_WHY = (
    "The most the tool may be off, as its maker or a calibration says; in % of the reading."
)
RADIUS_WHY = "From the middle of the pinion to the middle of the line, and how well it is known."
LOOSE_WHY = (
    "The rotating torque while the nut is still loose: what seal and oil take by themselves. Read "
    "before tightening, it sharpens everything after."
)
PITCH_WHY = "The thread of the nut, such as 1.5 mm or 14 tpi."
CEILING_WHY = (
    "The most torque the nut may take, from the manual. A nut that needs more says that the "
    "{spacer} is the wrong one, or in wrongly."
)
ANGLE_WHY = "The most an angle of the nut may be off. Left empty: 3 degrees, and listed as assumed."
RISK_WHY = "How often it may be turned too far, over the whole job. Left empty: 1 of 100."
AWAY_WHY = "The drag of what is in one of the two and not in the other, read by itself."
TURNED_WHY = (
    "Rollers that have not settled read up to a third too high. Turn the pinion ten times each way "
    "before every reading, and say so here."
)
TURNED_ASKED = "Were the bearings turned ten times both ways before this reading?"
ANGLE_OF_NUT_WHY = (
    "How far the nut has been turned in all, from where counting began: any start will do. Put a "
    "mark on nut and flange."
)
NUT_WHY = "What it took to turn the nut this far, if you saw it. It rises as the {spacer} yields."
REPEATS_WHY = "As often as you like, with a space between."
MENDED = "Now from my manual"
EXAMPLE = "EXAMPLE: from no manual"


def spacer_of(words: str) -> str:
    """Say what is crushed. words: 'UK' or 'US'. Returns text such as 'crush spacer'."""
    return TRADE_WORDS[words].crush_spacer


def unit_words(unit: object) -> str:
    """Spell a unit of the file. unit: as it stands there. Returns text; '' for none."""
    return torque_unit_shown(unit) if isinstance(unit, str) else ""


def summary(table: Mapping[str, Any]) -> str:
    """Say the limits and the tool in a line or two, while they are folded away.

    table: the job's. Returns text.
    """
    crush = value_at(table, ("crush",), {})
    bearings = str(crush.get("bearings", "?"))
    unit = unit_words(crush.get("unit"))
    low, high = (value_at(crush, (bearings, end), "?") for end in ("low", "high"))
    with_ = crush.get("with", {})
    held = [
        f"{what} {'in' if with_.get(what) else 'out'}"
        for what in ("seal", "carrier")
        if isinstance(with_, dict) and what in with_
    ]
    parts = [f"{bearings.capitalize()} bearings: {low} to {high} {unit}".rstrip()]
    parts.append(", ".join([str(crush.get("means", "")), *held]).strip(", "))
    parts.append(f"Read with a {dict(KINDS)[tool_kind(table)]}")
    return "\n".join(part for part in parts if part)


def wish_words(fault: Fault) -> str:
    """Ask under its field for what is missing, which is no slip. fault: that found nothing."""
    key = fault.place[1] if len(fault.place) > 1 else ""
    if key in ("new", "used"):
        return "Still to come, from the maker's manual for this very unit"
    asked = {
        "bearings": "Still to choose: bearings that have run are set less tight",
        "means": "Still to choose: ask the manual, moving or starting torque",
        "with": "Still to choose: ask the manual what its figure counts",
        "radius": "Still to come: from the middle of the pinion to the middle of the line",
    }
    return asked.get(str(key), f"Still to come: {fault.wanted}")


def fault_sentence(fault: Fault) -> str:
    """Say a fault by itself, by where it stands in the window. fault. Returns a sentence."""
    place = fault.place
    if place[1:2] == ("pauses",) and len(place) > 2 and isinstance(place[2], int):
        where = f"Pause {place[2] + 1}"
    else:
        where = str(place[1]).replace("_", " ").capitalize() if len(place) > 1 else fault.where
    return f"{where}: found {fault.found}, wanted {fault.wanted}; {fault.way_out}."


def missing_name(fault: Fault) -> str:
    """What a mechanic calls the thing that a fault misses. fault: of the crush spacer."""
    place = fault.place
    if place[1:2] == ("pauses",) and len(place) > 2 and isinstance(place[2], int):
        key = str(place[3]) if len(place) > 3 else ""
        said = {
            "turned": "whether the bearings were turned",
            "angle": "the angle of the nut",
            "torque": "the torque",
        }
        return f"{said.get(key, fault.wanted)} at pause {place[2] + 1}"
    named = {
        "bearings": "whether the bearings are new or used",
        "new": "the manual's window for new bearings",
        "used": "the manual's window for used bearings",
        "means": "whether the window is moving or starting torque",
        "with": "whether seal and carrier are in the manual's figure",
        "unit": "the unit",
        "radius": "the radius of the line",
        "pauses": "a first reading",
    }
    key = str(place[1]) if len(place) > 1 else ""
    return named.get(key, f"{key.replace('_', ' ')}: {fault.wanted}" if key else fault.wanted)
