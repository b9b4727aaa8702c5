"""Job files: TOML in, a checked job out, or every fault in it at once."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import replace
from pathlib import Path

from solver.bench_notes import NOTED_KEYS, NOTHING_NOTED, BenchNotes
from solver.crush import Crush
from solver.job import (
    CARRIER_READABLE,
    CARRIER_SEATS,
    IN_LINE,
    PINION_HEAD,
    PINION_SPACER,
    Job,
    Layout,
    Limit,
    Mesh,
    Pinion,
    Reading,
    Round,
    Seat,
    Warmth,
)
from solver.job_costs import read_costs
from solver.job_limits import CARRIER_LIMITS, read_limits, read_where
from solver.job_mesh import UNUSED_MESH, read_ground, read_mesh
from solver.job_pinion import check_pinion, read_pinion
from solver.job_readings import Seats, read_readings
from solver.job_ready import read_ready
from solver.job_table import FAULTY, Notes, Page
from solver.job_tools import read_tools
from solver.line import Dimension, Line, effect_words
from solver.metals import EXPANSIONS, WHEEL_SHARE, WHEEL_SHARE_WITHIN
from solver.pattern_rules import Pattern
from solver.plain_file import read_text
from solver.teeth import spot_factor
from solver.trouble import Fault, Trouble
from solver.units import UNITS, said, unit_named
from solver.wheel_round import find_round

LARGEST_BYTES = 5_000_000
USUAL_CHANCE, USUAL_MOST, MOST_PIECES = 0.95, 4, 12
_KEYS = (
    "title", "unit", "drawer", "words", "wanted", "seats", "limits", "mesh", "tools", "readings",
    "layout", "warmth", "pinion", "pattern", "crush", "lines", "dimensions",
    "before_crush", "costs", "offers", "sheets",
    *NOTED_KEYS,
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
    carrier = about_carrier(table)
    axle = carrier or "pinion" in table
    seat_page, limit_page = _open(root, "seats"), _open(root, "limits")
    seats = _read_sides(seat_page, most) if carrier else ()
    tools = read_tools(root.page("tools"))
    ground = read_ground(_open(root, "mesh"))
    pinion: Pinion | None = None
    names: tuple[str, ...] = ()
    if "pinion" in table:
        page = root.page("pinion")
        if page is None:
            notes.raise_faults()  # all the rest hangs on it
        else:
            pinion, names = read_pinion(page, ground, carrier=carrier)
    results = ("depth", "pinion end float")[: len(names)]
    lines, parts = _lines(root, others=2 * carrier + len(results))
    if not axle and not lines:
        notes.raise_faults()  # all the rest hangs on them
    in_lines = tuple(
        dict.fromkeys(
            name
            for line in lines
            for name, _ in line.seats
            if name not in (*names, *(CARRIER_SEATS if carrier else ()))
        )
    )
    seat_page.only((*(CARRIER_SEATS if carrier else ()), *names, *in_lines), "seat")
    seats += _read_pinion_seats(seat_page, most, pinion, names)
    seats += tuple(_read_plain_seat(seat_page, name, IN_LINE, most) for name in in_lines)
    limits = read_limits(limit_page, ground, carrier=carrier, pinion=results)
    where, most_um = read_where(limit_page)
    mesh = read_mesh(ground, limits[0].spot, seats) if carrier else UNUSED_MESH
    own: Seats = {one.name: () for one in parts}
    own |= {line.name: tuple(seat for seat, _ in line.seats) for line in lines}
    readings, left_out = read_readings(root, tools, ground, carrier=carrier, lines=own, axle=axle)
    if pinion and not notes.faults:
        check_pinion(root, pinion, names, readings)
    elif not pinion:
        _refuse_pinion(root, readings, tuple(own))
    if lines and not notes.faults:
        limits, parts = _settle_lines(root, lines, parts, seats, readings, limits)
        seats = tuple(replace(seat, effect=effect_words(seat.name, lines)) for seat in seats)
    warmth, pattern, crush = _read_warmth(root.page("warmth")), _pattern(root), _crush(root)
    ready, costs = read_ready(root), read_costs(root, folder)
    bench = _bench(root)
    drawer = root.text("drawer").strip()
    if "\0" in drawer:
        root.fault("drawer", said(drawer), "the path of a file", "check its name")
    title, words = root.text("title"), root.choice("words", ("UK", "US"), "UK")
    layout = _read_layout(_open(root, "layout"))
    notes.raise_faults()
    wheel = None
    if carrier:
        wheel = _round(readings, limits[0], mesh, where or "all round", most_um)
    if wheel and not where:
        notes.assumed.append("limits of the backlash held at every tooth round the wheel")
    turned = [str(one.number) for one in readings if one.turn_deg is not None]
    if warmth is None and any(one.celsius is not None for one in readings):
        notes.assumed.append("housing and carrier of one metal: temperatures change nothing")
    if turned and not wheel:
        said_of = f"reading{'s' if len(turned) > 1 else ''} {' and '.join(turned)}"
        notes.assumed.append(f"turn of {said_of} without effect: nothing was read round the wheel")
    if carrier and not wheel and (where or math.isfinite(most_um)):
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
        pinion=pinion,
        pattern=pattern,
        ready=ready,
        costs=costs,
        crush=crush,
        bench=bench,
        dimensions=parts,
        lines=lines,
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


def _pattern(root: Page) -> Pattern | None:
    """What the compound showed; imported late, for most jobs tell nothing and a window waits."""
    if not root.has("pattern"):
        return None
    from solver.job_pattern import read_pattern

    return read_pattern(root)


def _crush(root: Page) -> Crush | None:
    """The crush spacer; imported late, as above."""
    if not root.has("crush"):
        return None
    from solver.job_crush import read_crush

    return read_crush(root)


def _lines(root: Page, *, others: int) -> tuple[tuple[Line, ...], tuple[Dimension, ...]]:
    """Lines of dimensions; imported late, as above."""
    if not (root.has("lines") or root.has("dimensions")):
        return (), ()
    from solver.job_lines import read_lines

    return read_lines(root, others=others)


def _settle_lines(
    root: Page,
    lines: tuple[Line, ...],
    parts: tuple[Dimension, ...],
    seats: tuple[Seat, ...],
    readings: tuple[Reading, ...],
    limits: tuple[Limit, ...],
) -> tuple[tuple[Limit, ...], tuple[Dimension, ...]]:
    """All limits, and the dimensions with the lengths that they grow from."""
    from solver.job_lines import about_lengths, check_lines, read_line_limits

    check_lines(root, lines, parts, seats, readings)
    return (*limits, *read_line_limits(root, lines)), about_lengths(parts, readings)


def _bench(root: Page) -> BenchNotes:
    """What is noted for the bench; imported late, as above."""
    if not any(map(root.has, NOTED_KEYS)):
        return NOTHING_NOTED
    from solver.job_sheet import read_notes

    return read_notes(root)


def about_carrier(table: dict[str, object]) -> bool:
    """Tell whether a job is about the carrier: always, but where all it tells of is the pinion
    or lines of dimensions.

    table: the whole file. Returns: true for a job about the carrier, with its pinion or without.
    """
    if "pinion" not in table and "lines" not in table:
        return True
    if "mesh" in table:
        return True
    limits, seats, readings = (table.get(key) for key in ("limits", "seats", "readings"))
    told = isinstance(limits, dict) and any(key in limits for key in CARRIER_LIMITS)
    told |= isinstance(seats, dict) and any(name in seats for name in CARRIER_SEATS)
    lines = table.get("lines")
    own = (
        [one.get("result") for one in lines if isinstance(one, dict)]
        if isinstance(lines, list)
        else []
    )
    of = (
        [one.get("of") for one in readings if isinstance(one, dict)]
        if isinstance(readings, list)
        else []
    )
    return told or any(one in CARRIER_READABLE and one not in own for one in of)


def _refuse_pinion(root: Page, readings: tuple[Reading, ...], own: tuple[str, ...]) -> None:
    """Note readings of a pinion of which the job says nothing. own: what its lines can show."""
    for one in readings:
        if one.of not in CARRIER_READABLE and one.of not in own:
            place = ("readings", one.number - 1, "of")
            way_out = "say where its stack sits and what is wanted: add [pinion]"
            root.notes.fault(place, f'"{one.of}"', "a job that tells of its pinion", way_out)


def _read_sides(page: Page, most: int) -> tuple[Seat, ...]:
    """Both sides of the carrier; one that is not named sits under a bearing, which is noted."""
    return tuple(_read_seat(page, name, most) for name in CARRIER_SEATS)


def _read_pinion_seats(
    page: Page, most: int, pinion: Pinion | None, names: tuple[str, ...]
) -> tuple[Seat, ...]:
    """The seats of the pinion."""
    if pinion is None:
        return ()
    under = {PINION_HEAD: pinion.sits, PINION_SPACER: "spacer"}
    return tuple(_read_plain_seat(page, name, under[name], most) for name in names)


def _read_seat(page: Page, name: str, most_shims: int) -> Seat:
    inner = page.page(name, "a table for this seat")
    if inner is None:
        words = f"{name}: shims under the bearing, more shim more pinch"
        page.notes.assumed.append(words)
        return Seat(name, "bearing", 0, most_shims)
    inner.only(("under", "least", "most"))
    under = inner.choice("under", ("bearing", "cover"), None)
    return Seat(name, under, *_read_counts(inner, most_shims))


def _read_plain_seat(page: Page, name: str, under: str, most_shims: int) -> Seat:
    """A seat of the pinion or of lines; where it sits stands there."""
    inner = page.page(name, "a table for this seat")
    if inner is None:
        return Seat(name, under, 0, most_shims)
    inner.only(("least", "most"))
    return Seat(name, under, *_read_counts(inner, most_shims))


def _read_counts(page: Page, most_shims: int) -> tuple[int, int]:
    """Least and most pieces of a seat."""
    least = page.whole("least", 0, MOST_PIECES, 0)
    most = page.whole("most", 0, MOST_PIECES, max(most_shims, least))
    if least > most:
        page.fault("least", f"{least}, with most {most}", "least up to most", "swap or mend them")
    return least, most


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


def _read_layout(page: Page) -> Layout:
    page.only(("wheel", "shims"))
    wheel = page.choice("wheel", ("left", "right"), "left")
    return Layout(wheel, page.choice("shims", ("outside", "inside"), "outside"))
