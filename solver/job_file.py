"""Job files: TOML in, a checked job out, or every fault in it at once."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path

from solver.job import (
    PLAIN_SIDE,
    WHEEL_SIDE,
    WHERES,
    Job,
    Layout,
    Limit,
    Mesh,
    Reading,
    Round,
    Seat,
    Spot,
    Warmth,
)
from solver.job_mesh import Ground, read_ground, read_mesh, read_spot
from solver.job_readings import read_readings
from solver.job_table import FAULTY, Notes, Page
from solver.job_tools import read_tools
from solver.metals import EXPANSIONS, WHEEL_SHARE, WHEEL_SHARE_WITHIN
from solver.plain_file import read_text
from solver.teeth import spot_factor
from solver.trouble import Fault, Trouble
from solver.units import UNITS, said, unit_named
from solver.wheel_round import find_round

LARGEST_BYTES = 5_000_000
USUAL_CHANCE, USUAL_MOST, MOST_PIECES = 0.95, 4, 12
NO_LIMIT = "no limit"
_KEYS = (
    "title", "unit", "drawer", "words", "wanted", "seats", "limits", "mesh", "tools", "readings",
    "layout", "warmth",
)  # fmt: skip


def load_table(path: Path | str) -> dict[str, object]:
    """Read a job file as a table.

    path: of the file. Returns: the table, unchecked.
    Raises: Trouble for a file that is missing, unreadable, too large, not text, not TOML.
    """
    path = Path(path)
    text = read_text(path, LARGEST_BYTES, "a job file in TOML")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        match = re.search(r"\(at (?:line (\d+), column (\d+)|end of document)\)", str(error))
        message = str(error)[: match.start()].strip() if match else str(error)
        where = path.name
        if match:
            where += f": line {match[1]}" if match[1] else ": end"
        found = "".join(c if c.isprintable() else "?" for c in message)[:80]
    except (ValueError, RecursionError):  # digits past Python's limit; brackets in brackets
        where, found = path.name, "numbers or brackets past any use"
    wanted, way_out = "TOML", "look for a missing quote, bracket or equals sign there"
    raise Trouble([Fault(where, found[:1].lower() + found[1:], wanted, way_out)])


def read_job(table: dict[str, object], source: str, folder: Path) -> Job:
    """Read a job from a file's table.

    table: as TOML gives it; source: the file's name, for messages; folder: that the drawer's path
    starts from. Returns: the job, checked; lengths [µm]. Raises: Trouble with every fault.
    """
    notes = Notes(source)
    unit = unit_named(table.get("unit"))
    root = Page(table, (), notes, unit or "")  # a faulty unit is one fault, not one a number
    root.only(_KEYS)
    if unit is None:
        root.fault("unit", said(table.get("unit")), f"one of {', '.join(UNITS)}", _UNIT_WAY)
    chance, most = _read_wanted(_open(root, "wanted"))
    seats = _read_seats(_open(root, "seats"), most)
    tools = read_tools(root.page("tools"))
    ground = read_ground(_open(root, "mesh"))
    limits = _read_limits(_open(root, "limits"), ground)
    where, most_um = _read_where(_open(root, "limits"))
    mesh = read_mesh(ground, limits[0].spot, seats)
    readings, left_out = read_readings(root, tools, ground)
    warmth = _read_warmth(root.page("warmth"))
    drawer = root.text("drawer").strip()
    if "\0" in drawer:
        root.fault("drawer", said(drawer), "the path of a file", "check its name")
    title, words = root.text("title"), root.choice("words", ("UK", "US"), "UK")
    layout = _read_layout(_open(root, "layout"))
    notes.raise_faults()
    wheel = _round(readings, limits[0], mesh, where or "all round", most_um)
    if wheel and not where:
        notes.assumed.append("limits of the backlash held at every tooth round the wheel")
    turned = [str(one.number) for one in readings if one.turn_deg is not None]
    if warmth is None and any(one.celsius is not None for one in readings):
        notes.assumed.append("housing and carrier of one metal: temperatures change nothing")
    if turned and not wheel:
        said_of = f"reading{'s' if len(turned) > 1 else ''} {' and '.join(turned)}"
        notes.assumed.append(f"turn of {said_of} without effect: nothing was read round the wheel")
    if not wheel and (where or math.isfinite(most_um)):
        notes.assumed.append("backlash even round the wheel, which no reading shows")
    return Job(
        title=" ".join(title.split()),
        unit=unit or "mm",
        drawer_path=folder / drawer if drawer else None,
        wanted_chance=chance,
        seats=seats,
        limits=limits,
        mesh=mesh,
        tools=tools,
        readings=readings,
        left_out=left_out,
        assumed=tuple(dict.fromkeys(notes.assumed)),
        words=words,
        layout=layout,
        warmth=warmth,
        wheel=wheel,
    )


_UNIT_WAY = 'write unit = "mm", say: numbers without a unit are read in it'


def _open(root: Page, key: str) -> Page:
    """A table of the file, or an empty one in its place."""
    return root.page(key) or Page({}, (key,), root.notes, root.unit)


def _read_wanted(page: Page) -> tuple[float, int]:
    """The chance wanted, and the most shims in a seat that does not say."""
    page.only(("chance", "most_shims"))
    chance = USUAL_CHANCE
    if page.has("chance"):
        way_out = "write a share, such as 0.95 for 95 builds of 100"
        chance = page.number("chance", 0.0, 1.0, way_out, open_=True)
    else:
        page.notes.assumed.append(f"wanted chance {USUAL_CHANCE:g}")
    return chance, page.whole("most_shims", 1, MOST_PIECES, USUAL_MOST)


def _read_seats(page: Page, most_shims: int) -> tuple[Seat, ...]:
    """Both seats; one that is not named sits under a bearing, which is noted."""
    names = (WHEEL_SIDE, PLAIN_SIDE)
    page.only(names, "seat")
    return tuple(_read_seat(page, name, most_shims) for name in names)


def _read_seat(page: Page, name: str, most_shims: int) -> Seat:
    inner = page.page(name, "a table for this seat")
    if inner is None:
        words = f"{name}: shims under the bearing, more shim more pinch"
        page.notes.assumed.append(words)
        return Seat(name, "bearing", 0, most_shims)
    inner.only(("under", "least", "most"))
    under = inner.choice("under", ("bearing", "cover"), None)
    least = inner.whole("least", 0, MOST_PIECES, 0)
    most = inner.whole("most", 0, MOST_PIECES, max(most_shims, least))
    if least > most:
        inner.fault("least", f"{least}, with most {most}", "least up to most", "swap or mend them")
    return Seat(name, under, least, most)


def _read_limits(page: Page, ground: Ground) -> tuple[Limit, ...]:
    """The limits of backlash and pinch; there is no limit that stands in for a missing one."""
    page.only(("backlash", "backlash_spread", "pinch", "end_float"))
    if page.table.get("backlash") == NO_LIMIT:
        return Limit("backlash", -math.inf, math.inf), _read_pinch(page)
    backlash = Limit("backlash", FAULTY, FAULTY)
    inner = page.page("backlash", "a low and a high")
    if inner is not None:
        inner.only(("low", "high", "where", "read", "radius", "on", "example"))
        low_um, high_um = _read_window(inner, 0.0)
        spot = read_spot(inner, ground)
        backlash = Limit("backlash", low_um, high_um, spot, example=inner.flag("example"))
    elif not page.has("backlash"):
        page.missing("backlash", "a low and a high", _MANUAL)
    return backlash, _read_pinch(page)


def _read_where(page: Page) -> tuple[str, float]:
    """Where round the wheel the backlash's limit applies, '' where unsaid; limit of its spread."""
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
                inner_spread.missing("high", "the most that the manual allows", _MANUAL)
    return where, most_um


def _read_warmth(page: Page | None) -> Warmth | None:
    """Metals, width and working temperature; None where the file says nothing of them."""
    if page is None:
        return None
    page.only(("housing", "carrier", "width", "working"))
    metals = [_read_metal(page, key) for key in ("housing", "carrier")]
    width_um = FAULTY
    if page.has("width"):
        width_um = page.length("width", low_um=0.0, above=True)
    else:
        page.missing("width", "the width between the bearing seats", 'write width = "150 mm"')
    working = None
    if page.has("working"):
        way_out = "write it in degrees Celsius, without a unit"
        working = page.number("working", -40.0, 200.0, way_out)
    side = f"{WHEEL_SHARE:g} within {WHEEL_SHARE_WITHIN:g} of the width on the wheel's side"
    page.notes.assumed.append(f"{side}; expansion within 10 %, temperatures within 3 K")
    return Warmth(metals[0], metals[1], width_um, working)


def _read_metal(page: Page, key: str) -> float:
    """Expansion per kelvin of a named metal, or of the number in the file [1e-6 per K]."""
    value = page.table.get(key)
    if isinstance(value, str):
        name = page.choice(key, tuple(EXPANSIONS), None)
        return EXPANSIONS.get(name, FAULTY) * 1e-6
    if value is None:
        page.missing(key, f"one of {', '.join(EXPANSIONS)}", "or its expansion in 1e-6 per kelvin")
        return FAULTY
    way_out = "write its expansion in 1e-6 per kelvin, such as 23, or the metal's name"
    return page.number(key, 0.0, 60.0, way_out) * 1e-6


def _round(
    readings: tuple[Reading, ...], limit: Limit, mesh: Mesh, where: str, most_um: float
) -> Round | None:
    """What the readings round the wheel say, as the limit states backlash."""
    at_limit = spot_factor(limit.spot, mesh.teeth, mesh.edge_radius_um)
    factors = tuple(
        spot_factor(one.spot, mesh.teeth, mesh.edge_radius_um) / at_limit for one in readings
    )
    return find_round(readings, factors, where, most_um)


_MANUAL = f'take them from the maker\'s manual for this unit, or write "{NO_LIMIT}" for one'


def _read_pinch(page: Page) -> Limit:
    """The limit of pinch in total, or that of end float turned into it."""
    if page.has("pinch") and page.has("end_float"):
        page.fault("end_float", "pinch as well", "one of the two", "end float is negative pinch")
    if page.has("end_float"):
        inner = page.page("end_float", "a low and a high")
        if inner is None:
            return Limit("pinch", FAULTY, FAULTY)
        inner.only(("low", "high", "example"))
        low_um, high_um = _read_window(inner, 0.0)
        flag = inner.flag("example")
        return Limit("pinch", 0.0 - high_um, 0.0 - low_um, Spot(), "end float", flag)
    if page.table.get("pinch") == NO_LIMIT:
        return Limit("pinch", -math.inf, math.inf)
    inner = page.page("pinch", "a low and a high")
    if inner is None:
        if not page.has("pinch"):
            page.missing("pinch", "a low and a high, or end_float with them", _MANUAL)
        return Limit("pinch", FAULTY, FAULTY)
    inner.only(("low", "high", "counted", "example"))
    low_um, high_um = _read_window(inner, -math.inf)
    counted = "total"
    if inner.has("counted"):
        counted = inner.choice("counted", ("total", "each side"), None)
    else:
        way_out = "ask the manual: older texts count pinch for each side"
        inner.missing("counted", '"total" or "each side"', way_out)
    sides = 2.0 if counted == "each side" else 1.0
    return Limit("pinch", sides * low_um, sides * high_um, Spot(), counted, inner.flag("example"))


def _read_window(page: Page, least_um: float) -> tuple[float, float]:
    """A low and a high [µm], infinite where the file says that there is no limit."""
    ends = []
    for key, none_um in (("low", -math.inf), ("high", math.inf)):
        if page.table.get(key) == NO_LIMIT:
            ends.append(none_um)
        elif not page.has(key):
            page.missing(key, "a length", _MANUAL)
            ends.append(FAULTY)
        else:
            ends.append(page.length(key, low_um=least_um))
    low_um, high_um = ends
    if low_um >= high_um:
        found = f"{said(page.table['low'])}, with high {said(page.table['high'])}"
        page.fault("low", found, "low below high", "swap or mend them")
    return low_um, high_um


def _read_layout(page: Page) -> Layout:
    page.only(("wheel", "shims"))
    wheel = page.choice("wheel", ("left", "right"), "left")
    return Layout(wheel, page.choice("shims", ("outside", "inside"), "outside"))
