"""What a job says of its pinion: where its stack sits, its marks, the old build, its spacer.

wheel's axis |<------------- axis to seat (A) ------------->| seat of the head bearing
             |<-- mounting distance --->|<- head height (B)->|
                                 shoulder or nose        stack in between (behind the race,
                                                         between head and cone, under a flange)
"""

from __future__ import annotations

import math

from solver.job import (
    BEHIND_RACE,
    PINION_HEAD,
    PINION_SEATS,
    PINION_SPACER,
    SITS,
    Carried,
    Mark,
    Pinion,
    Reading,
    Stack,
)
from solver.job_mesh import Ground
from solver.job_readings import read_stack
from solver.job_table import FAULTY, Page
from solver.teeth import transfer_ratio_from_teeth
from solver.units import said

GIVE_UM, GIVE_WITHIN_UM = 18.5, 3.5  # 15 to 22 µm under preload; common practice, no source
CARRIED_WITHIN_UM = 25.0  # what an old build that ran well may be off; common practice, no source
USUAL_RATIO = (0.2, 0.15)  # backlash per move of the pinion; common practice, no source
TEETH_WITHIN = 0.5  # of that ratio from the teeth, whose taper is left out
SPACERS = ("crush", "solid")
BEARINGS = ("kept", "measured", "new")
_KEYS = (
    "stack_sits", "measured_to", "nominal", "mark", "give", "fitted", "ratio", "spacer",
    "etched_backlash", "wheel_mark", "carried",
)  # fmt: skip


def read_pinion(page: Page, ground: Ground, *, carrier: bool) -> tuple[Pinion, tuple[str, ...]]:
    """Read the pinion's table.

    page: of it; ground: what is known of the teeth; carrier: whether the job is about the carrier
    too. Returns: the pinion, and the seats that it has.
    """
    page.only(_KEYS)
    sits = page.choice("stack_sits", SITS, None)
    measured_to = page.choice("measured_to", ("shoulder", "nose"), None)
    carried = _read_carried(page)
    nominal = None
    if page.has("nominal"):
        nominal = page.length("nominal", low_um=0.0, above=True)
    elif carried is None:
        way_out = (
            "take it from the drawing or the manual; or carry the old build over ([pinion.carried])"
        )
        page.missing("nominal", "the mounting distance as drawn", way_out)
    give, give_within = _read_give(page)
    fitted = read_stack(page, "fitted", PINION_HEAD) if page.has("fitted") else None
    if carrier and fitted is None:
        way_out = "write fitted = …, the stack at the pinion's head; 0 if nothing was"
        page.missing("fitted", "what was at the pinion's head while the carrier was read", way_out)
    ratio, within = _read_ratio(page, ground, wanted=carrier)
    spacer = page.choice("spacer", SPACERS, None)
    etched = None
    if page.has("etched_backlash"):
        etched = page.length("etched_backlash", low_um=0.0, above=True)
    pinion = Pinion(
        sits,
        measured_to,
        nominal,
        _read_marks(page, "mark"),
        give,
        give_within,
        carried,
        fitted,
        ratio,
        within,
        _read_marks(page, "wheel_mark"),
        etched,
    )
    # a missing spacer is one fault: whatever else tells of a solid one is then no other
    solid = spacer == "solid" or not page.has("spacer")
    return pinion, PINION_SEATS if solid else (PINION_HEAD,)


def _read_marks(page: Page, key: str) -> tuple[Mark, ...]:
    """One mark, or a list of them; the unit and what plus means are asked, never assumed."""
    value = page.table.get(key)
    if value is None:
        return ()
    tables = value if isinstance(value, list) else [value]
    found = []
    for at, table in enumerate(tables):
        place = (*page.place, key, at) if isinstance(value, list) else (*page.place, key)
        if isinstance(table, dict):
            found.append(_read_mark(Page(table, place, page.notes, page.unit)))
        else:
            way_out = 'write { value = -8, unit = "0.01 mm", plus = "out" }'
            page.notes.fault(place, said(table), "a mark with its unit and sign", way_out)
    return tuple(found)


def _read_mark(page: Page) -> Mark:
    page.only(("value", "unit", "plus"))
    value = page.number("value", -500.0, 500.0, "write the number as it is etched, with its sign")
    step = FAULTY
    if page.has("unit"):
        step = page.length("unit", low_um=0.0, above=True)
    else:
        way_out = 'ask the manual; write unit = "0.01 mm" or "0.001 in"'
        page.missing("unit", "what one step of the mark means", way_out)
    if not page.has("plus"):
        way_out = "ask the manual: plus may mean further out, or further in"
        page.missing("plus", '"out" or "in": which way plus moves the pinion', way_out)
        return Mark(value, step, True)
    return Mark(value, step, page.choice("plus", ("out", "in"), None) == "out")


def _read_carried(page: Page) -> Carried | None:
    """The old build, where the file tells of one."""
    inner = page.page("carried", "the old build")
    if inner is None:
        return None
    inner.only(("fitted", "mark", "within", "bearing", "bearing_within"))
    stack = Stack(PINION_HEAD)
    if inner.has("fitted"):
        stack = read_stack(inner, "fitted", PINION_HEAD)
        if not stack.lots and not stack.within_um and stack.thickness_um:
            inner.notes.assumed.append("stack of the old build taken as exact")
    else:
        inner.missing(
            "fitted", "the old stack at the pinion's head", "measure it: write fitted = …"
        )
    if inner.has("within"):
        within = inner.length("within", low_um=0.0)
    else:
        within = CARRIED_WITHIN_UM
        inner.notes.assumed.append("depth of the old build right within 0.025 mm")
    bearing = inner.choice("bearing", BEARINGS, None)
    bearing_within = 0.0
    if bearing == "new":
        if inner.has("bearing_within"):
            bearing_within = inner.length("bearing_within", low_um=0.0, above=True)
        else:
            way_out = (
                'write bearing_within = …, or measure both heights and write bearing = "measured"'
            )
            inner.missing("bearing_within", "how far two such bearings may differ", way_out)
    return Carried(stack, _read_marks(inner, "mark"), within, bearing, bearing_within)


def _read_give(page: Page) -> tuple[float, float]:
    """How far preload moves the pinion out [µm], and within what."""
    if not page.has("give"):
        words = "preload moves the pinion out by 0.0185 mm within 0.0035 mm"
        page.notes.assumed.append(words)
        return GIVE_UM, GIVE_WITHIN_UM
    inner = page.page("give", "a value with its spread")
    if inner is None:
        return FAULTY, FAULTY
    inner.only(("value", "within"))
    return inner.length("value", low_um=0.0), inner.length("within", low_um=0.0, above=True)


def _read_ratio(page: Page, ground: Ground, *, wanted: bool) -> tuple[float, float]:
    """By how much the backlash closes where the pinion comes in by one, and within what."""
    if page.has("ratio"):
        inner = page.page("ratio", "a value with its spread")
        if inner is None:
            return FAULTY, FAULTY
        inner.only(("value", "within"))
        value = inner.number("value", 0.0, 3.0, "check the decimal point")
        way_out = "write the most it may be off, such as 0.1: nothing is known exactly"
        return value, inner.number("within", 0.0, 3.0, way_out, open_=True)
    value, within = USUAL_RATIO
    source = ""
    if ground.teeth is not None and ground.member == "wheel":
        teeth = ground.teeth
        pitch = math.radians(90.0 - teeth.pitch_deg)
        value = transfer_ratio_from_teeth(teeth) * math.sin(pitch)
        value /= math.sin(math.radians(teeth.pitch_deg))
        within, source = TEETH_WITHIN * value, " (from the teeth, half of it either way)"
    if wanted:
        words = f"backlash closes by {value:.2f} within {within:.2f} of the pinion's move in"
        page.notes.assumed.append(words + source)
    return value, within


def check_pinion(
    root: Page, pinion: Pinion, seats: tuple[str, ...], readings: tuple[Reading, ...]
) -> None:
    """Note what no reading settles, and what a reading was taken of that is not there.

    root: the whole file; pinion; seats: those it has; readings: that count.
    """
    read = {one.of for one in readings if one.at_least_um is None and one.at_most_um is None}
    carried, known = pinion.carried, "mounting distance" in read
    known |= {"axis to seat", "head height"} <= read
    if carried is not None:
        pair = {"head height", "old head height"}
        if carried.bearing == "measured" and not pair <= read:
            found = f"no reading of {' and '.join(sorted(pair - read))}"
            way_out = 'measure both bearings, or say bearing = "kept" or "new"'
            root.fault("readings", found, "the height of old bearing and new", way_out)
        known = True
    if not known:
        wanted = "mounting distance, or axis to seat with head height, or the old build"
        way_out = "add such readings, or [pinion.carried]"
        root.fault("readings", "nothing that settles the pinion's depth", wanted, way_out)
    if "old head height" in read and (carried is None or carried.bearing != "measured"):
        way_out = 'add [pinion.carried] with bearing = "measured", or take the reading out'
        root.fault("readings", "an old head height", "an old build to compare it with", way_out)
    if PINION_SPACER in seats and "pinion end float" not in read:
        way_out = "fit a trial stack that leaves float, and read it"
        root.fault("readings", "nothing that settles the pinion's end float", "a reading", way_out)
    if PINION_SPACER not in seats and "pinion end float" in {one.of for one in readings}:
        way_out = 'a crush spacer is set by torque: write spacer = "solid", or take it out'
        root.fault("readings", "a pinion end float", "a solid spacer", way_out)
    unloaded = [one for one in readings if one.of == "mounting distance" and not one.loaded]
    if unloaded or {"axis to seat", "head height"} <= read:
        alone = [one for one in readings if one.of == "head height" and not one.loaded]
        if unloaded or alone:
            root.notes.assumed.append("read without preload: its give is added to the depth")


def couples_words(pinion: Pinion) -> str:
    """Say how depth and float hang together. pinion. Returns a sentence."""
    if pinion.sits == BEHIND_RACE:
        return "a thicker stack at the head takes as much end float away"
    return "the stack at the head leaves the end float as it is"
