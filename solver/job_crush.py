"""The crush spacer of a job file: window, tool, and the pauses at which the nut was read.

Window and readings must mean one thing before they are compared: starting or moving torque, with
the seal or without, carrier in or out. Starting torque is never turned into moving torque; a part
that turns in one and not in the other has to have been measured, and then moves the window.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from solver.crush import Crush
from solver.job_pauses import (
    KINDS,
    PARTS,
    Parts,
    PauseRead,
    check_kinds,
    common_parts,
    in_or_out,
    in_order,
    kind_guessed,
    pause_tables,
    pauses_named,
    read_parts,
    read_pauses,
    refuse_kind,
    scattered_remarks,
)
from solver.job_table import FAULTY, Notes, Page
from solver.job_torque import (
    WAYS,
    Bench,
    nut_torque,
    read_amount,
    read_reading,
    read_tool,
    torques_in,
    way_named,
)
from solver.torque_reading import Torque, common_share
from solver.torque_units import TORQUE_UNITS, bare_torque, shown_torque, torque_unit_named
from solver.trouble import Fault, Trouble
from solver.units import pitch_um, said, unit_named

ANGLE_WITHIN_DEG, RISK = 3.0, 0.01
_KEYS = (
    "unit", "bearings", "new", "used", "example", "means", "with", "readings_with", "pitch",
    "angle_within", "risk", "ceiling", "drag", "seal_drag", "carrier_drag", "tool", "radius",
    "pauses", "note",
)  # fmt: skip
_MANUAL = "take it from the maker's manual for this very unit"


def read_crush(root: Page, *, begun: bool = False) -> Crush | None:
    """Read the crush spacer.

    root: the whole file; begun: the nut must have been read at least once. Returns: it, with what
    was assumed; None where the file has none, or where it is faulty, which is noted.
    """
    before = len(root.notes.faults)
    page = root.page("crush", "a table") if root.has("crush") else None
    if page is None:
        return None
    notes = Notes(root.notes.source, root.notes.faults)  # what is assumed here is listed here
    crush = _read(replace(page, notes=notes), begun)
    if len(root.notes.faults) > before:
        return None
    return replace(crush, assumed=tuple(dict.fromkeys(notes.assumed)))


def read_crush_alone(table: dict[str, object], source: str) -> tuple[str, str, Crush]:
    """Read the crush spacer of a job of which nothing else has to be there yet.

    table: as TOML gives it; source: the file's name, for messages. Returns: title, trade words
    ('UK' or 'US') and the crush spacer. Raises: Trouble with every fault of that part.
    """
    notes = Notes(source)
    root = Page(table, (), notes, unit_named(table.get("unit")) or "")
    crush = read_crush(root, begun=True)
    notes.raise_faults()
    if crush is None:
        way_out = "write window, tool and pauses as stock_lists/crush_spacer.toml does"
        raise Trouble(
            [Fault(f"{source}: crush", "nothing", "a table [crush]", way_out, ("crush",))]
        )
    title = table.get("title")
    title = " ".join(title.split()) if isinstance(title, str) else ""
    return title, "US" if table.get("words") == "US" else "UK", crush


def _read(page: Page, begun: bool) -> Crush:
    """The whole table; not-a-number stands for what is faulty."""
    page.only(_KEYS)
    page.text("note")
    unit = _read_unit(page)
    bearings = page.choice("bearings", ("new", "used"), None)
    low, high = _read_windows(page, unit, bearings)
    means = page.choice("means", KINDS, None)
    sure = means if page.table.get("means") == means else ""  # a faulty one refuses nothing
    tables = pause_tables(page, needed=begun)
    bench = Bench(unit, read_tool(page, kind_guessed(tables), unit))
    kept, shift = _read_alike(page, tables, bench, sure)
    low, high = low + shift.newton_m, high + shift.newton_m
    if low <= 0.0:
        found = f"a window from {shown_torque(low, unit or 'N.m')} once the drag is off"
        page.fault("with", found, "a window above 0", "check the drag, and what the limit counts")
    drag = _read_drag(page, "drag", bench, sure)
    within, risk, pitch = _read_turning(page)
    return Crush(
        low,
        high,
        shift.u_newton_m,
        bearings,
        in_order(page, kept),
        within,
        common_share(bench.tool, low) if low > 0.0 else FAULTY,
        None if drag is None else drag.newton_m,
        0.0 if drag is None else drag.u_newton_m,
        pitch,
        nut_torque(page, "ceiling", unit),
        risk,
        means,
        example=page.flag("example"),
        unit=unit or "N.m",
        remarks=(*_window_remark(low, high, shift, unit), *scattered_remarks(kept)),
    )


def _read_alike(
    page: Page, tables: list[object], bench: Bench, means: str
) -> tuple[list[PauseRead], Shift]:
    """The pauses, held to what the limit means, and by how much they move its window."""
    before = len(page.notes.faults)
    limit = read_parts(page, "with", None)
    told = page.has("readings_with")
    usual = read_parts(page, "readings_with", limit) if told else limit
    sound = len(page.notes.faults) == before
    kept = read_pauses(page, tables, bench, usual)
    if means:
        check_kinds(kept, means)
    turning = common_parts(kept, usual) if sound else limit
    silent = [one for one in kept if not one.said_with]
    if silent and not told:
        words = " and ".join(in_or_out(part, usual[part]) for part in PARTS)
        page.notes.assumed.append(f"{pauses_named(silent)} read with {words}, as the limit counts")
    return kept, _shift(page, bench, limit, turning)


def _read_unit(page: Page) -> str | None:
    if not page.has("unit"):
        return None  # every torque may name its own
    unit = torque_unit_named(page.table["unit"])
    if unit is None:
        found, way_out = said(page.table["unit"]), 'write unit = "lbf.in", say'
        page.fault("unit", found, f"one of {', '.join(TORQUE_UNITS)}", way_out)
        return "N.m"  # so that this is one fault and not one a number
    return unit


def _read_windows(page: Page, unit: str | None, bearings: str) -> tuple[float, float]:
    """The window of the bearings in use [N·m]; the other one has to be sound, too."""
    found = {key: _read_window(page, key, unit) for key in ("new", "used") if page.has(key)}
    if bearings not in found and page.table.get("bearings") == bearings:
        page.missing(bearings, f"a low and a high for {bearings} bearings", _MANUAL)
    return found.get(bearings, (FAULTY, FAULTY))


def _read_window(page: Page, key: str, unit: str | None) -> tuple[float, float]:
    inner = page.page(key, "a low and a high")
    if inner is None:
        return FAULTY, FAULTY
    inner.only(("low", "high"))
    ends = []
    for end in ("low", "high"):
        if inner.has(end):
            ends.append(read_amount(inner, end, torques_in(unit), above=True))
        else:
            inner.missing(end, "a torque", _MANUAL)
            ends.append(FAULTY)
    if ends[0] >= ends[1]:
        found = f"{said(inner.table['low'])}, with high {said(inner.table['high'])}"
        inner.fault("low", found, "low below high", "swap or mend them")
    return ends[0], ends[1]


@dataclass(frozen=True, slots=True)
class Shift:
    """By how much the limit's window moves, and with what."""

    newton_m: float = 0.0
    u_newton_m: float = 0.0
    parts: tuple[str, ...] = ()


def _shift(page: Page, bench: Bench, limit: Parts, turning: Parts) -> Shift:
    """Move the window by the drag of what turns in one of limit and readings, not in the other."""
    shift = Shift()
    for part in PARTS:
        key = f"{part}_drag"
        drag = _read_drag(page, key, bench, "")
        if limit[part] == turning[part]:
            if drag is not None:
                words = f"{part} drag without effect: limit and readings have it alike"
                page.notes.assumed.append(words)
        elif drag is None:
            found = f"nothing, but readings with {in_or_out(part, turning[part])}"
            wanted = f"its drag, as the limit counts {in_or_out(part, limit[part])}"
            way_out = "measure what it adds to the torque, or read as the limit is meant"
            page.fault(key, found, wanted, way_out)
        else:
            shift = Shift(
                shift.newton_m + (drag.newton_m if turning[part] else -drag.newton_m),
                math.hypot(shift.u_newton_m, drag.u_newton_m),
                (*shift.parts, in_or_out(part, turning[part])),
            )
    return shift


def _window_remark(low: float, high: float, shift: Shift, unit: str | None) -> tuple[str, ...]:
    """How the manual's window, its ends as moved, reads with what turned along."""
    if not shift.parts or not math.isfinite(low + high):
        return ()
    unit, off = unit or "N.m", shift.newton_m
    before = f"{bare_torque(low - off, unit)} to {shown_torque(high - off, unit)}"
    after = f"{bare_torque(low, unit)} to {shown_torque(high, unit)}"
    return (f"the manual's {before} reads as {after} with {' and '.join(shift.parts)}",)


def _read_drag(page: Page, key: str, bench: Bench, means: str) -> Torque | None:
    """A drag that was measured; as a table, or as what was read alone."""
    if not page.has(key):
        return None
    value, place = page.table[key], (*page.place, key)
    table = value if isinstance(value, dict) else {way_named(bench.tool.kind): value}
    inner = Page(table, place, page.notes, page.unit)
    inner.only((*WAYS, "kind", "note") if key == "drag" else (*WAYS, "note"))
    if key == "drag" and inner.has("kind"):
        kind = inner.choice("kind", KINDS, None)
        if means and kind != means and inner.table["kind"] == kind:
            refuse_kind(inner, kind, means)
    return read_reading(inner, bench)


def _read_turning(page: Page) -> tuple[float, float, float | None]:
    """How well each angle is known, the risk, and the pitch; what stands in is noted."""
    within, risk, pitch = ANGLE_WITHIN_DEG, RISK, None
    if page.has("angle_within"):
        within = page.angle("angle_within", 0.1, 45.0)
    else:
        page.notes.assumed.append(f"each angle of the nut within {within:g} degrees")
    if page.has("risk"):
        way_out = "write a share, such as 0.01 for 1 of 100"
        risk = page.number("risk", 0.0, 0.5, way_out, open_=True)
    else:
        page.notes.assumed.append("risk of going over, all turns together, 1 of 100 at most")
    if page.has("pitch"):
        pitch = read_amount(page, "pitch", pitch_um)
    return within, risk, pitch
