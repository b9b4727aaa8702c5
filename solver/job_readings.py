"""The readings of a job: what was measured, in which of five ways, with what fitted."""

from __future__ import annotations

import math

from solver.job import (
    CARRIER_SEATS,
    FITTED_SEATS,
    LOADABLE,
    PINION_READABLE,
    PINION_SEATS,
    QUANTITIES,
    READABLE,
    Reading,
    Spot,
    Stack,
    Tool,
)
from solver.job_mesh import SPOT_KEYS, Ground, read_spot
from solver.job_table import Notes, Page, meant, quoted
from solver.units import said
from solver.wheel_round import LEAST_TEETH, MOST_TEETH

WAYS = ("value", "values", "goes", "at_least", "at_most", "around")
SEAT_NAMES = (*CARRIER_SEATS, *PINION_SEATS)
MOST_READINGS = 500
_KEYS = (
    "of", "tool", *WAYS, "stops", "leaves", "within", "fitted", "turn", "temperature", *SPOT_KEYS,
    "off", "note", "loaded",
)  # fmt: skip
_SETTLES = {  # what a reading bears on; two of these settle clearance and gap
    "total clearance": "clearance",
    "plain gap": "clearance",
    "end float": "clearance",
    "mesh gap": "gap",
    "travel to mesh": "gap",
    "backlash": "gap",
    "far gap in mesh": "both",
}


Seats = dict[str, tuple[str, ...]]  # what can be read, with the seats whose shims enter it


def read_readings(
    root: Page,
    tools: tuple[Tool, ...],
    ground: Ground,
    *,
    carrier: bool,
    lines: Seats | None = None,
    axle: bool = True,
) -> tuple[tuple[Reading, ...], tuple[int, ...]]:
    """Read every reading.

    root: the whole file; tools: of the job; ground: what is known of the teeth; carrier: whether
    clearance and gap must be settled; lines: what can be read of the job's lines; axle: whether
    there is an axle to read, too.
    Returns: readings that count, in the file's order, and the numbers of those left out.
    """
    tables = root.table.get("readings")
    if tables is None and not carrier:
        return (), ()
    if not isinstance(tables, list) or not tables:
        found = "one table" if isinstance(tables, dict) else said(tables)
        if tables == []:
            if not carrier:
                return (), ()
            found = "an empty list"
        root.fault("readings", found, "a list of readings", "start each one with [[readings]]")
        return (), ()
    if len(tables) > MOST_READINGS:
        found = f"{len(tables)} readings"
        root.fault("readings", found, f"at most {MOST_READINGS}", "take some out")
        return (), ()
    before = len(root.notes.faults)
    known = {of: FITTED_SEATS.get(of, ()) for of in READABLE} if axle else {}
    known |= lines or {}
    kept, left_out = [], []
    for place, table in enumerate(tables):
        if not isinstance(table, dict):
            found, where = said(table), ("readings", place)
            root.notes.fault(where, found, "a table", "start each reading with [[readings]]")
            continue
        notes = Notes(root.notes.source, root.notes.faults)
        page = Page(table, ("readings", place), notes, root.unit)
        reading = _read_reading(page, place + 1, tools, ground, known, lines or {})
        if page.flag("off"):
            left_out.append(reading.number)
        else:
            kept.append(reading)
            root.notes.assumed.extend(notes.assumed)
    if carrier and len(root.notes.faults) == before:
        _check_settled(root, kept)
    return tuple(kept), tuple(left_out)


def _check_settled(root: Page, readings: list[Reading]) -> None:
    """Note what no reading settles."""
    settled = {
        _SETTLES[reading.of]
        for reading in readings
        if reading.at_least_um is None
        and reading.at_most_um is None
        and reading.of not in PINION_READABLE
    }
    if len(settled) >= 2:
        return
    ways = {"clearance": "total clearance, plain gap or end float", "gap": "mesh gap or backlash"}
    for what, of in zip(("clearance", "gap"), QUANTITIES, strict=True):
        if what not in settled:
            way_out = f"add a two-sided reading of {ways[what]}"
            root.fault("readings", f"nothing that settles the {of}", "a reading of it", way_out)


def _read_reading(
    page: Page, number: int, tools: tuple[Tool, ...], ground: Ground, known: Seats, lines: Seats
) -> Reading:
    page.only(_KEYS)
    of = page.choice("of", tuple(known), None)
    sure = page.table.get("of") == of  # else it stands for a word nobody knows
    low_um = -math.inf if of in (*QUANTITIES, *lines) or not sure else 0.0
    tool = _read_tool_name(page, tools)
    within_um = page.length("within", 0.0, low_um=0.0)
    if not page.has("tool") and within_um == 0.0:
        page.missing("tool", "a tool, or within", "write the most the reading may be off as within")
    ways = values, *_ = _read_ways(page, low_um)
    around = _read_around(page, of) if page.has("around") else ()
    felt = of in ("end float", "backlash", "pinion end float")
    if felt and of not in lines and sure and 0.0 in values:
        key = "value" if page.has("value") else "values"
        way_out = "write at_most = 0 instead: none to be felt bounds it from one side"
        page.fault(key, "0", f"a {of} that was felt", way_out)
    leaves = page.whole("leaves", 1, 50, 1)
    fitted = _read_fitted(page, of, number, known[of]) if sure else ()
    spot = Spot()
    if of == "backlash":
        spot = read_spot(page, ground)
    elif sure:
        for key in SPOT_KEYS:
            if page.has(key):
                found = f"{key} in a reading of {of}"
                page.fault(key, found, "it only for backlash", "take it out")
    note = page.text("note")
    turn = page.angle("turn", -360.0, 360.0) if page.has("turn") else None
    celsius = None
    if page.has("temperature"):
        way_out = "write it in degrees Celsius, without a unit"
        celsius = page.number("temperature", -40.0, 200.0, way_out)
    still = (*PINION_READABLE, "total clearance", "plain gap", "end float", *lines)
    if turn is not None and (around or of in still):
        found = "turn beside around" if around else f"turn in a reading of {of}"
        page.fault("turn", found, "it only for what one spot of the wheel shows", "take it out")
    loaded = page.flag("loaded")
    if page.has("loaded") and of not in LOADABLE:
        page.fault(
            "loaded", f"loaded in a reading of {of}", "it only for the pinion", "take it out"
        )
    return Reading(
        number, of, tool, *ways, leaves, within_um, fitted, spot, note, around, celsius, turn,
        loaded,
    )  # fmt: skip


def _read_tool_name(page: Page, tools: tuple[Tool, ...]) -> Tool | None:
    if not page.has("tool"):
        return None
    names = tuple(tool.name for tool in tools)
    name = page.table["tool"]
    if isinstance(name, str) and name in names:
        return tools[names.index(name)]
    wanted = f"one of {quoted(names)}" if names else "a tool of the job, which has none"
    way_out = "add a table such as [tools.feelers]"
    if isinstance(name, str) and names:
        near = meant(name, names)
        way_out = near if near.startswith("did") else way_out
    page.fault("tool", said(name), wanted, way_out)
    return None


def _read_ways(
    page: Page, low_um: float
) -> tuple[tuple[float, ...], tuple[float, ...], float | None, float | None, float | None]:
    """What was read: values, goes, stops, at least, at most [µm]; exactly one way."""
    ways = [way for way in WAYS if page.has(way)]
    if len(ways) != 1:
        wanted = f"exactly one of {', '.join(WAYS)}"
        if ways:
            page.fault(None, f"{' and '.join(ways)}", wanted, "keep one, or make two readings")
        else:
            page.missing("value", wanted, "write what was read")
    values = page.lengths("values", low_um=low_um) if page.has("values") else ()
    if page.has("value"):
        values = (page.length("value", low_um=low_um),)
    goes = page.lengths("goes", low_um=0.0) if page.has("goes") else ()
    stops = page.length("stops", low_um=0.0, above=True) if page.has("stops") else None
    if stops is not None and not page.has("goes"):
        page.missing("goes", "the leaf that goes, beside stops", "write goes, or at_most alone")
    if stops is not None and goes and stops <= max(goes):
        way_out = "goes is the thinner of the two; check which leaf is which"
        page.fault("stops", said(page.table["stops"]), "more than goes", way_out)
    at_least = page.length("at_least", low_um=low_um) if page.has("at_least") else None
    at_most = page.length("at_most", low_um=low_um) if page.has("at_most") else None
    return values, goes, stops, at_least, at_most


def _read_around(page: Page, of: str) -> tuple[float, ...]:
    """Backlash at equal steps of a turn [µm]; three to twelve of them."""
    values = page.lengths("around", low_um=0.0)
    if of != "backlash":
        page.fault("around", f"around in a reading of {of}", "it only for backlash", "write values")
    elif not page.has("tool"):
        page.missing("tool", "a tool, for readings round the wheel", "name the dial")
    elif values and not LEAST_TEETH <= len(values) <= MOST_TEETH:
        found, wanted = f"{len(values)} of them", f"{LEAST_TEETH} to {MOST_TEETH} readings"
        page.fault("around", found, wanted, "read at equal steps of one turn of the wheel")
    return values


def _read_fitted(page: Page, of: str, number: int, seats: tuple[str, ...]) -> tuple[Stack, ...]:
    """What was in the seats during a reading."""
    if not seats:
        if page.has("fitted"):
            page.fault("fitted", f"fitted in a reading of {of}", "no shims in it", "take it out")
        return ()
    inner = page.page("fitted", "a thickness for each seat")
    if inner is None:
        if not page.has("fitted"):
            inside = ", ".join(f'"{seat}" = …' for seat in seats)
            wanted = f"what was in the {' and the '.join(seats)}"
            page.missing("fitted", wanted, f"write fitted = {{ {inside} }}")
        return ()
    for seat in inner.table:
        if seat not in seats:
            known = seat in SEAT_NAMES
            found = f"the {seat}" if known else f"the unknown seat {said(seat)}"
            way_out = f"take it out: it does not enter {of}" if known else meant(seat, seats)
            inner.fault(seat, found, f"only {quoted(seats)}", way_out)
    for seat in seats:
        if not inner.has(seat):
            inner.missing(seat, "what was in this seat", f'write "{seat}" = 0 if nothing was')
    stacks = tuple(read_stack(inner, seat, seat) for seat in seats if inner.has(seat))
    exact = [s for s in stacks if not s.lots and not s.within_um and s.thickness_um]
    if exact:
        page.notes.assumed.append(f"trial stack of reading {number} taken as exact")
    return stacks


def read_stack(page: Page, key: str, seat: str) -> Stack:
    """Read what was in a seat: a thickness, one with its spread, or a list of lots.

    page; key: where it stands there; seat: its name. Returns: the stack.
    """
    value = page.table[key]
    if isinstance(value, dict):
        inner = Page(value, (*page.place, key), page.notes, page.unit)
        inner.only(("thickness", "within"))
        thickness = inner.length("thickness", low_um=0.0)
        return Stack(seat, thickness, inner.length("within", low_um=0.0))
    if not isinstance(value, list):
        return Stack(seat, page.length(key, low_um=0.0))
    counts: dict[str, int] = {}
    for place, lot_id in enumerate(value):
        if isinstance(lot_id, str) and lot_id.strip():
            counts[lot_id.strip()] = counts.get(lot_id.strip(), 0) + 1
        else:
            where = (*page.place, key, place)
            way_out = "write ids in quotes, or one number for the whole stack"
            page.notes.fault(where, said(lot_id), "the id of a lot", way_out)
    return Stack(seat, lots=tuple(counts.items()))
