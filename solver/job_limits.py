"""The limits of a job: windows from the maker's manual; none stands in for a missing one."""

from __future__ import annotations

import math

from solver.job import WHERES, Limit, Spot
from solver.job_mesh import Ground, read_spot
from solver.job_table import FAULTY, Page
from solver.units import said

NO_LIMIT = "no limit"
CARRIER_LIMITS = ("backlash", "backlash_spread", "pinch", "end_float")
PINION_LIMITS = {"depth": "depth", "pinion end float": "pinion_end_float"}
_PINION_WANTED = {
    "depth": "a low and a high: how far off the pinion may stand, plus being too far out",
    "pinion end float": "a low and a high: below nothing it is preload",
}

Limits = tuple[Limit, ...]
MANUAL = f'take them from the maker\'s manual for this unit, or write "{NO_LIMIT}" for one'


def read_limits(page: Page, ground: Ground, *, carrier: bool, pinion: tuple[str, ...]) -> Limits:
    """Read the limits of everything that the job is about.

    page: the table; ground: what is known of the teeth; carrier: whether backlash and pinch are
    wanted; pinion: the pinion's results. Returns: limits in the order of the results.
    """
    known = (*(CARRIER_LIMITS if carrier else ()), *(PINION_LIMITS[result] for result in pinion))
    page.only(known, "limit")
    found = _of_carrier(page, ground) if carrier else ()
    return (*found, *(_of_pinion(page, result) for result in pinion))


def _of_pinion(page: Page, result: str) -> Limit:
    """Depth, or end float of the pinion: either may be negative."""
    key = PINION_LIMITS[result]
    if page.table.get(key) == NO_LIMIT:
        return Limit(result, -math.inf, math.inf)
    inner = page.page(key, "a low and a high")
    if inner is None:
        if not page.has(key):
            page.missing(key, _PINION_WANTED[result], MANUAL)
        return Limit(result, FAULTY, FAULTY)
    inner.only(("low", "high", "example"))
    low_um, high_um = read_window(inner, -math.inf)
    return Limit(result, low_um, high_um, example=inner.flag("example"))


def _of_carrier(page: Page, ground: Ground) -> Limits:
    """Backlash and pinch."""
    if page.table.get("backlash") == NO_LIMIT:
        return Limit("backlash", -math.inf, math.inf), _read_pinch(page)
    backlash = Limit("backlash", FAULTY, FAULTY)
    inner = page.page("backlash", "a low and a high")
    if inner is not None:
        inner.only(("low", "high", "where", "read", "radius", "on", "example"))
        low_um, high_um = read_window(inner, 0.0)
        spot = read_spot(inner, ground)
        backlash = Limit("backlash", low_um, high_um, spot, example=inner.flag("example"))
    elif not page.has("backlash"):
        page.missing("backlash", "a low and a high", MANUAL)
    return backlash, _read_pinch(page)


def read_where(page: Page) -> tuple[str, float]:
    """Where round the wheel the backlash's limit applies, '' where unsaid; limit of its spread.

    page: the table of limits. Returns: the word, and the most the backlash may vary [µm].
    """
    where, most_um = "", math.inf
    table = page.table.get("backlash")
    if isinstance(table, dict) and "where" in table:
        inner = Page(table, (*page.place, "backlash"), page.notes, page.unit)
        where = inner.choice("where", WHERES, None)
    if page.has("backlash_spread") and page.table["backlash_spread"] != NO_LIMIT:
        inner_spread = page.page("backlash_spread", "a high")
        if inner_spread is not None:
            inner_spread.only(("high", "example"))
            inner_spread.flag("example")
            if inner_spread.has("high"):
                most_um = inner_spread.length("high", low_um=0.0, above=True)
            else:
                inner_spread.missing("high", "the most that the manual allows", MANUAL)
    return where, most_um


def _read_pinch(page: Page) -> Limit:
    """The limit of pinch in total, or that of end float turned into it."""
    if page.has("pinch") and page.has("end_float"):
        page.fault("end_float", "pinch as well", "one of the two", "end float is negative pinch")
    if page.has("end_float"):
        inner = page.page("end_float", "a low and a high")
        if inner is None:
            return Limit("pinch", FAULTY, FAULTY)
        inner.only(("low", "high", "example"))
        low_um, high_um = read_window(inner, 0.0)
        flag = inner.flag("example")
        return Limit("pinch", 0.0 - high_um, 0.0 - low_um, Spot(), "end float", flag)
    if page.table.get("pinch") == NO_LIMIT:
        return Limit("pinch", -math.inf, math.inf)
    inner = page.page("pinch", "a low and a high")
    if inner is None:
        if not page.has("pinch"):
            page.missing("pinch", "a low and a high, or end_float with them", MANUAL)
        return Limit("pinch", FAULTY, FAULTY)
    inner.only(("low", "high", "counted", "example"))
    low_um, high_um = read_window(inner, -math.inf)
    counted = "total"
    if inner.has("counted"):
        counted = inner.choice("counted", ("total", "each side"), None)
    else:
        way_out = "ask the manual: older texts count pinch for each side"
        inner.missing("counted", '"total" or "each side"', way_out)
    sides = 2.0 if counted == "each side" else 1.0
    return Limit("pinch", sides * low_um, sides * high_um, Spot(), counted, inner.flag("example"))


def read_window(page: Page, least_um: float) -> tuple[float, float]:
    """Read a low and a high.

    page: that they stand in; least_um: the least that either may be [µm]. Returns: both [µm],
    infinite where the file says that there is no limit.
    """
    ends = []
    for key, none_um in (("low", -math.inf), ("high", math.inf)):
        if page.table.get(key) == NO_LIMIT:
            ends.append(none_um)
        elif not page.has(key):
            page.missing(key, "a length", MANUAL)
            ends.append(FAULTY)
        else:
            ends.append(page.length(key, low_um=least_um))
    low_um, high_um = ends
    if low_um >= high_um:
        found = f"{said(page.table['low'])}, with high {said(page.table['high'])}"
        page.fault("low", found, "low below high", "swap or mend them")
    return low_um, high_um
