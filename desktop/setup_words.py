"""What the set-up says of itself: headings, whys, defaults said as defaults."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop import pinion_words
from solver.job_file import USUAL_CHANCE, USUAL_MOST
from solver.job_mesh import SHARE_WITHIN, SHARE_WITHIN_COVER, USUAL_RATIO, USUAL_SHARE
from solver.job_tools import KINDS, USUAL
from solver.report_words import TRADE_WORDS
from solver.trouble import Fault
from solver.units import in_unit

UNIT_WHY = (
    "The unit of every number that says none. Changing it converts nothing: it reads the same "
    "numbers anew. To see lengths in the other system, use the switch at the top of the window."
)
CHANCE_NOTE = f"of 100 builds inside every limit; {USUAL_CHANCE * 100:g} unless you say"
CHANCE_WHY = (
    "How sure the answer has to be. The fewest shims that reach it are chosen; if none do, the "
    "best there is is shown, and what would mend it."
)
MOST_NOTE = f"shims in a seat, where its row below says nothing; {USUAL_MOST} if left empty"
LIMITS_NOTE = (
    "Limits have no default. They come from the maker's manual for that very unit, and from "
    "nowhere else. Type 'no limit' for an end that the manual leaves open."
)
EXAMPLE_NOTE = "EXAMPLE: from no manual"
OWN_WORDS = "Now from my manual"
WHERE_WHY = (
    "Where round the wheel the limits count; many manuals mean the tightest tooth. It matters once "
    "a backlash was read 'round the wheel', at several teeth; unsaid, every tooth is held."
)
SPREAD_WHY = "How far the backlash may wander from the tightest tooth to the loosest, if limited."
SPOT_WHY = (
    "Backlash is defined where and how its limit is stated: at the tooth edge along the rotation "
    "unless the manual says otherwise. To compare other ways the teeth have to be given below."
)
COUNTED_WHY = (
    "Older manuals state pinch for each side, newer ones in total. The two differ by a factor of "
    "two, so it has to be chosen: nothing stands in for it."
)
SEATS_NOTE = "Left empty: under the bearing, none to four shims."
PINION_SEATS_NOTE = "Left empty: none to four shims."
UNDER_WHY = (
    "Under a bearing more shim is more pinch; under a side cover or flange more shim is more "
    "clearance. Look at the axle: the wrong one turns the answer round. Threaded side nuts are "
    "no seat for shims."
)
RATIO_WHY = (
    "How much backlash changes when the wheel moves along its axis. Two trial fits with different "
    "shims give it; the teeth give it within 15 %; a backlash reading among the readings sharpens "
    "it by itself."
)
RATIO_NOTE = (
    f"Left empty: from the teeth, within 15 %; without teeth {USUAL_RATIO[0]:g} within "
    f"{USUAL_RATIO[1]:g} (common practice, no source), for gear ratios of 2.5 or more."
)
TEETH_WHY = "The angles and numbers of the teeth, as stamped or in the manual, in degrees."
SHARE_WHY = (
    "The share of the pinch that is taken up on the wheel side, where bearing, shims and housing "
    "give. Pinch moves the wheel away from the pinion by that share."
)
SHARE_NOTE = (
    f"Left empty: {USUAL_SHARE:g} within {SHARE_WITHIN:g}, or within {SHARE_WITHIN_COVER:g} if one "
    "side is a separate cover (common practice, no source)."
)
EDGE_WHY = "From the wheel's axis to the tooth edge, to compare a dial at another radius."
TOOLS_NOTE = "Within: error common to every reading. Repeat: spread of one hand. Step: division."
TOOL_WHYS = {
    "within": "The most that every reading with this tool may be off together, as its maker or a "
    "calibration says.",
    "repeat": "The standard deviation of one reading by the same hand. It is never 0.",
    "step": "The smallest division, or the step from one leaf to the next.",
}
WARMTH_NOTE = (
    "Only where housing and carrier are of different metals: readings are brought to 20 °C by the "
    "temperature in their card, and pinch and backlash told for the unit at work."
)
METAL_WHY = "Aluminium grows twice as far as steel or iron: the bearings lose pinch as it warms."
WIDTH_WHY = "How far apart the two bearing seats are in the housing: that is the length that grows."
ONE_METAL = "No, both are of one metal"
LAYOUT_NOTE = "How the axle is drawn. The numbers do not depend on it."
NOTHING_ASSUMED = "Nothing."
ASSUMED_LATER = "Listed once nothing is missing or faulty above or among the readings."
KIND_WORDS = {
    "feelers": "feeler gauges",
    "micrometer": "micrometer",
    "calliper": "calliper",
    "other": "other",
}


def wish_words(fault: Fault) -> str:
    """Ask for what is missing, which is no slip. fault: that found nothing. Returns text."""
    if fault.place[-1:] == ("counted",):
        return "Still to choose: ask the manual, in total or each side"
    if fault.place[:1] == ("pinion",):
        return pinion_words.wish_words(fault)
    if fault.place[:1] == ("limits",):
        return "Still to come, from the maker's manual for this very unit"
    return f"Still to come: {fault.wanted}"


def kind_choices(words: str) -> tuple[tuple[str, str], ...]:
    """List the kinds of tool. words: 'UK' or 'US'. Returns (kind, text) pairs."""
    said = {**KIND_WORDS, "dial": TRADE_WORDS[words].dial}
    if words == "US":
        said["calliper"] = "caliper"
    return tuple((kind, said[kind]) for kind in KINDS)


def usual_words(tool: Mapping[str, Any], kind: str, unit: str) -> str:
    """Say what stands in for the blanks of a tool.

    tool: its table; kind: of it; unit: shown. Returns text, '' where nothing is blank.
    """
    blank = [key for key in ("within", "repeat", "step") if key not in tool]
    usual = USUAL.get(kind)
    if not blank or usual is None:
        return ""
    values = (f"{key} {_short(getattr(usual, f'{key}_um'), unit)}" for key in blank)
    return f"Left empty, as usual for {kind}: {', '.join(values)} ({usual.said_by})"


def _short(value_um: float, unit: str) -> str:
    return f"{in_unit(value_um, unit):.2g}"
