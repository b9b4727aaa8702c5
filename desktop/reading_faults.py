"""Which line of a card or form says which fault, and in what words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from solver.trouble import Fault, Place

NOTHING = "nothing"  # found where something has yet to be typed: no slip, so nothing goes red
_SAME = {"value": "values"}  # one field shows both
_LATER = {  # of a reading that is still to be filled in; its empty field says the rest
    "fitted": "What was in each seat; 0 for nothing",
    "tool": "Choose a tool, or type the most it may be off",
    "goes": "Type the leaf that goes as well",
    "radius": "Type how far the dial is from the wheel's axis",
}


def fault_words(fault: Fault) -> str:
    """Say a fault in one line under its field. fault. Returns text."""
    return f"found {fault.found}, wanted {fault.wanted}; {fault.way_out}"


def sort_faults(
    faults: Iterable[Fault], fields: Sequence[Place], whole: Place
) -> dict[Place, tuple[str, bool]]:
    """Give each field the words of its first fault; what fits no field goes to the whole.

    faults: of the job; fields: places that have a field; whole: place of the reading.
    Returns: by place, the words and whether they are no more than a wish for what is missing.
    """
    said: dict[Place, tuple[str, bool]] = {}
    for fault in faults:
        if fault.place[: len(whole)] != whole:
            continue
        place = tuple(_SAME.get(str(part), part) for part in fault.place)
        ways = (place[:k] for k in range(len(place), len(whole), -1))
        near = next((way for way in ways if way in fields), None)
        if near is None and len(place) > len(whole) and place[len(whole)] == "fitted":
            near = next((one for one in fields if one[len(whole)] == "fitted"), None)
        soft = fault.found == NOTHING
        key = str(place[len(whole)]) if len(place) > len(whole) else ""
        words = _LATER.get(key, "") if soft else fault_words(fault)
        near = near or whole
        if words and (near not in said or (said[near][1] and not soft)):
            said[near] = (words, soft)
    return said
