"""What readings are called, how they are taken, and why: in the words of both trades."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from desktop.edits import FOUND, value_at
from desktop.form_chips import GROUP
from desktop.line_table import in_lines, lines_alone, readable_in
from desktop.pinion_edits import about_carrier
from solver.job import CARRIER_READABLE, DIRECTIONS, PINION_READABLE
from solver.report_words import TRADE_WORDS

HINTS = {  # one line at the usual type size
    "total clearance": "No shims in, carrier pushed to one side",
    "mesh gap": "No shims in, wheel held in tight mesh",
    "plain gap": "Plain side gap, wheel side shimmed",
    "travel to mesh": "Wheel side shimmed: slide to tight mesh",
    "end float": "Both sides shimmed: push, pull, read",
    "backlash": "Hold the pinion; read at several teeth",
    "far gap in mesh": "In tight mesh: gap on the plain side",
    "axis to seat": "Wheel's axis to head bearing's seat",
    "head height": "Bearing's back to shoulder or nose",
    "old head height": "Old bearing, measured the same way",
    "mounting distance": "Axis to shoulder or nose, shims in",
    "pinion end float": "Trial shims in: push, pull, read",
}
_WHYS = {
    "total clearance": "All the free play of the carrier along its axis with no shims fitted. "
    "'Carrier' is the differential case with its bearings, never the housing. Push it fully home "
    "before reading, and read at two or three places: a burr or a bearing race not home shows as "
    "readings that differ.",
    "mesh gap": "The gap on the wheel side with the {wheel} pushed into tight mesh, no shims "
    "fitted. Turn the pinion while you push, so that no high tooth holds it off.",
    "plain gap": "The gap left on the plain side once the wheel side has its shims. Say below what "
    "was fitted: the program takes it off again.",
    "travel to mesh": "How far the carrier slides from the wheel side shims to tight mesh. Say "
    "below what was fitted.",
    "end float": "{Float} of the carrier with both stacks fitted. If none can be felt, choose "
    "'none to be felt': a zero read from the {dial} says only that it is no more.",
    "backlash": "Movement at the tooth with the pinion held and shims fitted. A trial fit settles "
    "more than any other reading. A plunger out of line reads high or low, so keep it square; a "
    "lever-type indicator reads high.",
    "far gap in mesh": "The gap on the plain side while the {wheel} is held in tight mesh. With "
    "the mesh gap it must add up to the total clearance, so it checks the two.",
    "axis to seat": "From the {wheel}'s axis to the seat of the pinion's head bearing in the "
    "bare housing, no shims in. With the head height it gives the depth that shims have to fill.",
    "head height": "From the back of the head bearing, where it meets seat or shims, to the face "
    "that the mounting distance is measured to: shoulder or nose, as the set-up says. Turn the "
    "bearing as you press it home, and say below whether it was under preload.",
    "old head height": "The same height with the old bearing. Take both with one tool: only their "
    "difference counts, so what that tool is off by falls out.",
    "mounting distance": "From the {wheel}'s axis to the pinion's shoulder or nose, as a depth "
    "gauge shows it, with a stack in at the head. Say below which, and whether the bearings were "
    "under preload.",
    "pinion end float": "How far the pinion moves along its axis, its nut tight on a solid spacer. "
    "Fit a trial stack that surely leaves {float}: where none can be felt, nobody knows how much "
    "is missing.",
}
_OF_LINES = {  # of a part, of what a line adds up to: hint and why
    "": ("", ""),
    "part": (
        "The part alone, clean and free of burrs",
        "How long this part is. One reading of it is worth more than the tolerance it was drawn "
        "with: both count, and the narrower of the two decides.",
    ),
    "result": (
        "Shims in as said here: push, pull, read",
        "What is left with known shims in, read on the whole assembly. It settles more than any "
        "part alone. Where none can be felt on the {dial}, choose 'none to be felt'.",
    ),
}
WAY_WORDS = {
    "goes": "leaf goes / stops",
    "values": "readings",
    "at_least": "thickest leaf goes",
    "at_most": "none to be felt",
    "around": "round the wheel",
}
WAY_WHYS = {
    "goes": "The thickest leaf that slides through and the next that stops. The truth lies between "
    "them: that is the uncertainty, no guess of yours is needed.",
    "values": "Your best judgement, as often as you like: repeats apart by spaces or semicolons. "
    "Take the tool out and put it back between them, or they only repeat one slip.",
    "at_least": "The thickest leaf of the set still goes: the gap is at least that.",
    "at_most": "Nothing to be felt, or jammed: the reading is at most this, and 0 as a rule.",
    "around": "Read at three to twelve teeth, at equal steps of one turn of the wheel, in order, "
    "from the same tooth each time. The tight spot and how far the teeth wander come out of them.",
}
CIRCUMSTANCES = {  # of a reading, each with its label and why
    "temperature": (
        "parts at (°C)",
        "A housing of another metal than its carrier grows away from it: what was read warm is "
        "brought to 20 °C by what the set-up says of both.",
    ),
    "turn": (
        "wheel turned by (°)",
        "How far from the first tooth that was read round the wheel: what one spot shows is "
        "brought to the mean.",
    ),
}
LOADED = (("", "no preload"), ("loaded", "bearings loaded"))
LOADED_WHY = (
    "Under preload the bearings give, and the pinion moves out by a few hundredths of a "
    "millimetre at most. Read with the bearings just snug, that is added by what the set-up says "
    "it is."
)
TURNED = ("mesh gap", "travel to mesh", "far gap in mesh", "backlash")  # read at one spot
_CALLED = {  # parts of names, as the reader of the job goes by
    "feeler": "feelers",
    "dial": "dial",
    "mic": "micrometer",
    "calliper": "calliper",
    "caliper": "calliper",
}
JAMMED = ("total clearance", "mesh gap", "plain gap", "far gap in mesh", "travel to mesh")
FITTED_WHY = (
    "What was in this seat during the reading: its thickness, as '18.0' or '18.0 ± 0.2', or the "
    "lots it was made of, as 'A15 + A18'. Type 0 where nothing was. Lots carry their own "
    "uncertainty; a bare thickness is taken as exact, and listed as assumed."
)
LEAVES_WHY = (
    "How many leaves were stacked. Every joint hides a little air and oil, so the gap is larger "
    "than the leaves' sum; the program allows for it."
)
WHERE_WHY = (
    "Limits are stated at the tooth edge along the rotation unless the manual says otherwise. "
    "Read elsewhere, the figure is turned into that; for another radius the set-up needs the "
    "radius of the tooth edge."
)


def title_of(of: str, words: str) -> str:
    """Name a reading as the trade does. of: as in the files; words: 'UK' or 'US'. Returns text."""
    text = of.replace("end float", TRADE_WORDS[words].end_float)
    return text[:1].upper() + text[1:]


def hint_of(of: str, table: Mapping[str, Any] | None = None) -> str:
    """Say how a reading is taken, in one line. of: as in the files; table: the job's, for what its
    lines are about. Returns text, maybe empty."""
    return _OF_LINES[_kind(of, table)][0] or HINTS.get(of, "")


def _kind(of: str, table: Mapping[str, Any] | None) -> str:
    """Whether a reading is of a part in a line, of a line's result, or '' for one of an axle."""
    if table is None or of not in readable_in(table):
        return ""
    return "part" if of in in_lines(table, "terms") else "result"


def why_of(of: str, words: str, table: Mapping[str, Any] | None = None) -> str:
    """Say why a reading is taken and what can go wrong. of; words: 'UK' or 'US'; table: the job's,
    for what its lines are about. Returns text."""
    trade, own = TRADE_WORDS[words], _OF_LINES[_kind(of, table)][1]
    if own:
        return own.format(dial=trade.dial)
    said = trade.end_float[:1].upper() + trade.end_float[1:]
    return _WHYS.get(of, "").format(
        wheel=trade.crown_wheel, dial=trade.dial, Float=said, float=trade.end_float
    )


def way_words(way: str, of: str) -> str:
    """Name a way of taking a reading. way: key of WAY_WORDS; of: what is read. Returns text."""
    return "jammed, no gap" if way == "at_most" and of in JAMMED else WAY_WORDS[way]


def ways_of(of: str, way: str, table: Mapping[str, Any] | None = None) -> tuple[str, ...]:
    """List the ways that a reading can be taken in. of: what is read; way: in use, always listed;
    table: the job's, for what its lines are about.

    Returns keys of WAY_WORDS: a height over a bearing lies between no leaves.
    """
    own = _kind(of, table)
    if own:
        known: tuple[str, ...] = tuple(one for one in WAY_WORDS if one != "around")
        known = ("goes", "values") if own == "part" else known
    elif of in ("axis to seat", "head height", "old head height"):
        known = ("values",)
    elif of in PINION_READABLE:
        known = ("goes", "values") if of == "mounting distance" else ("values", "at_most")
    else:
        known = tuple(one for one in WAY_WORDS if one != "around" or of == "backlash")
    return tuple(one for one in WAY_WORDS if one in known or one == way)


def choices_to_add(
    words: str, table: Mapping[str, Any] | None = None
) -> tuple[tuple[str, str], ...]:
    """List what can be read: what the job is about first, the carrier's and the pinion's apart.

    words: 'UK' or 'US'; table: the job's, without one everything is listed. Returns (name in
    files, text) pairs.
    """
    if table is None:
        told, alone, bearing, spacer = False, False, "measured", "solid"
    else:
        told, alone = "pinion" in table, not about_carrier(table)
        bearing = value_at(table, ("pinion", "carried", "bearing"))
        spacer = value_at(table, ("pinion", "spacer"))
    unfit = {
        "old head height": bearing != "measured",
        "pinion end float": told and spacer == "crush",
    }
    groups = [
        ("Carrier", CARRIER_READABLE),
        ("Pinion", tuple(of for of in PINION_READABLE if not unfit.get(of))),
    ]
    if alone:
        groups.reverse()
    own = readable_in(table) if table is not None else ()
    if table is not None and lines_alone(table):
        groups = []
    elif own:  # a result that an axle has as well is the line's own
        groups = [(name, tuple(of for of in listed if of not in own)) for name, listed in groups]
    groups = [("Lines", own), *groups] if own else groups
    found: list[tuple[str, str]] = []
    for name, listed in groups:
        found += [(GROUP, name)] if found else []
        found += [(of, title_of(of, words)) for of in listed]
    return tuple(found)


def usual_tool(of: str, table: Mapping[str, Any]) -> str | None:
    """Choose the tool that a reading is usually taken with. of: what is read; table: the job's.

    Returns: the name of one of the job's tools, None where it has none.
    """
    tools = table.get("tools", {})
    names = [str(name) for name in tools] if isinstance(tools, dict) else []
    if of in ("axis to seat", "mounting distance"):
        deep = next((name for name in names if "depth" in name.lower()), None)
        if deep is not None:
            return deep
    dial = ("backlash", "end float", "travel to mesh", "pinion end float")
    kind = "dial" if of in dial else "micrometer" if of in PINION_READABLE else "feelers"
    kind = {"part": "micrometer", "result": "dial"}.get(_kind(of, table), kind)
    found = next((name for name in names if kind_of_tool(name, table) == kind), None)
    return found or (names[0] if names else None)


def where_words(reading: Mapping[str, Any]) -> str:
    """Say in few words where a backlash is read. reading: its table. Returns text."""
    read = reading.get("read", DIRECTIONS[0])
    said = str(read) if read != DIRECTIONS[0] or "radius" not in reading else "at a radius"
    return said if any(key in reading for key in ("read", "radius", "on")) else "where"


def kind_of_tool(name: object, table: Mapping[str, Any]) -> str:
    """Tell the kind of a tool. name: of it; table: the job's. Returns one of KINDS or ''."""
    kind = value_at(table, ("tools", name, "kind")) if isinstance(name, str) else None
    if isinstance(kind, str):
        return kind
    low = str(name or "").lower()
    return next((kind for part, kind in _CALLED.items() if part in low), "")


def way_in(reading: Mapping[str, Any]) -> str:
    """Find which way a reading was taken. reading: its table. Returns a key of WAY_WORDS, or ''."""
    way = next((key for key in FOUND if key in reading), "")
    return {"value": "values", "stops": "goes"}.get(way, way)


def usual_way(reading: Mapping[str, Any], table: Mapping[str, Any]) -> str:
    """Choose the way a reading that found nothing yet is likely to be taken.

    reading: its table; table: the job's. Returns a key of WAY_WORDS.
    """
    feelers = kind_of_tool(reading.get("tool"), table) == "feelers"
    between = reading.get("of") in (*CARRIER_READABLE, "mounting distance")
    return "goes" if feelers and between and reading.get("of") != "backlash" else "values"
