"""What a job says of its lines: dimensions of parts, what adds up to a result, its limits.

[dimensions]                              a length of a part: as drawn, by certificate, or measured
"case depth" = { low = 83.95, high = 84.05, metal = "aluminium" }
[[lines]]                                 one result: what is in it, + or -
result = "end float"
terms  = { "case depth" = 1, "shaft" = -1 }
seats  = { "front cover" = -1 }
"""

from __future__ import annotations

import math
from dataclasses import replace

from solver.job import READABLE, Limit, Reading, Seat
from solver.job_limits import NO_LIMIT, read_window
from solver.job_table import FAULTY, Page
from solver.line import COLD_C, SHAPES, Dimension, Factors, Line, bare_name
from solver.metals import EXPANSIONS
from solver.spread import of_reading
from solver.units import said

MOST_RESULTS, MOST_SEATS, MOST_TERMS = 4, 4, 40
TAKEN = {*READABLE, "pinch", "depth", "old build"} - {"end float"}
_EXAMPLE = 'write terms = { "case depth" = 1, "shaft" = -1 }'


def read_lines(root: Page, *, others: int) -> tuple[tuple[Line, ...], tuple[Dimension, ...]]:
    """Read every line and every dimension in them.

    root: the whole file; others: results that the job has besides. Returns: the lines, and the
    dimensions of their terms in the order in which they are first named.
    """
    tables = root.table.get("lines")
    if tables is None:
        if root.has("dimensions"):
            root.missing("lines", "a line that they are in", "start each one with [[lines]]")
        return (), ()
    if not isinstance(tables, list) or not tables:
        found = "one table" if isinstance(tables, dict) else said(tables)
        root.fault("lines", found, "a list of lines", "start each one with [[lines]]")
        return (), ()
    if len(tables) + others > MOST_RESULTS:
        found = f"{len(tables) + others} results"
        root.fault("lines", found, f"at most {MOST_RESULTS}", "make two jobs of it")
        return (), ()
    lines: list[Line] = []
    for place, table in enumerate(tables):
        where = ("lines", place)
        if isinstance(table, dict):
            lines.append(_read_line(Page(table, where, root.notes, root.unit), lines, others))
        else:
            way_out = "start each line with [[lines]]"
            root.notes.fault(where, said(table), "a table", way_out)
    return tuple(lines), _read_dimensions(root, lines)


def _read_line(page: Page, before: list[Line], others: int) -> Line:
    page.only(("result", "low", "high", "terms", "seats", "temperature", "example", "note"))
    page.text("note")
    name = " ".join(page.text("result").split())
    if not name:
        page.missing("result", "a name for what adds up", 'write result = "end float"')
    elif name in TAKEN or (others and name == "end float"):
        page.fault("result", said(name), "a name of its own", "that one means something here")
    elif name in (line.name for line in before):
        page.fault("result", f"{said(name)} again", "another name", "each line has its own")
    terms = _read_factors(page, "terms")
    seats = _read_factors(page, "seats")
    if len(terms) > MOST_TERMS:
        page.fault("terms", f"{len(terms)} of them", f"at most {MOST_TERMS}", "put some together")
    celsius = COLD_C
    if page.has("temperature"):
        way_out = "write it in degrees Celsius, without a unit"
        celsius = page.number("temperature", -40.0, 200.0, way_out)
    return Line(name, terms or ((bare_name(name), 1.0),), seats, celsius)


def _read_factors(page: Page, key: str) -> Factors:
    """Signed terms or seats."""
    if not page.has(key):
        return ()
    inner = page.page(key, "a table of names with + or - 1")
    found = []
    for name in inner.table if inner else ():
        assert inner is not None
        way_out = "write 1 where more of it is more of the result, -1 where less"
        value = inner.number(name, -100.0, 100.0, way_out)
        if not name.strip():
            inner.fault(name, "a blank name", "the name of a part", _EXAMPLE)
        elif key == "terms" and name in TAKEN:
            inner.fault(name, said(name), "a name of its own", "that one means something here")
        if value == 0.0:
            inner.fault(name, "0", "1 or -1", "what has no effect does not belong in the line")
        found.append((name, value))
    return tuple(found)


def _read_dimensions(root: Page, lines: list[Line]) -> tuple[Dimension, ...]:
    """The dimensions of all terms; what stands in [dimensions] and in no line is a fault."""
    names = tuple(dict.fromkeys(name for line in lines for name, _ in line.terms))
    page = root.page("dimensions") or Page({}, ("dimensions",), root.notes, root.unit)
    bare = [bare_name(line.name) for line in lines]
    page.only((name for name in names if name not in bare), "dimension")
    for name in names:
        if name in (line.name for line in lines):
            found = f"{said(name)}, which is a result as well"
            root.fault(
                "lines", found, "another name for one of them", "a reading must tell them apart"
            )
    return tuple(_read_dimension(page, name) for name in names)


def _read_dimension(page: Page, name: str) -> Dimension:
    inner = page.page(name, "a table for this dimension")
    if inner is None:
        return Dimension(name)
    inner.only(("drawn", "within", "low", "high", "shape", "k", "metal", "note"))
    inner.text("note")
    drawn, within = _read_tolerance(inner)
    shape = inner.choice("shape", SHAPES, "rectangular")
    coverage = 3.0
    if inner.has("k"):
        way_out = "write how many standard deviations half the tolerance is, such as 3"
        coverage = inner.number("k", 0.5, 10.0, way_out)
        if shape != "normal":
            inner.fault("k", f"k with shape {said(shape)}", 'shape = "normal"', "take one out")
    elif shape == "normal":
        inner.notes.assumed.append(f"{name}: half its tolerance is 3 standard deviations")
    metal, per_k = _read_metal(inner)
    return Dimension(name, drawn, within, shape, coverage, metal, per_k)


def _read_tolerance(page: Page) -> tuple[float | None, float]:
    """Middle and half of the tolerance [µm]; None where only readings tell."""
    ends, middle = (page.has("low"), page.has("high")), (page.has("drawn"), page.has("within"))
    if not any((*ends, *middle)):
        for key in ("shape", "k"):
            if page.has(key):
                page.missing("low", "a low and a high beside it", "write low = … and high = …")
        return None, 0.0
    if any(ends) and any(middle):
        page.fault(
            "low", "low or high beside drawn or within", "one of the two ways", "take one out"
        )
        return FAULTY, FAULTY
    pair = ("low", "high") if any(ends) else ("drawn", "within")
    for key in pair:
        if not page.has(key):
            page.missing(key, f"{key} beside {pair[0] if key == pair[1] else pair[1]}", _TOLERANCE)
    if not all(page.has(key) for key in pair):
        return FAULTY, FAULTY
    if pair[0] == "drawn":
        return page.length("drawn"), page.length("within", low_um=0.0, above=True)
    low, high = page.length("low"), page.length("high")
    if low >= high and not (math.isnan(low) or math.isnan(high)):
        found = f"{said(page.table['low'])}, with high {said(page.table['high'])}"
        page.fault("low", found, "low below high", "nothing is made without a tolerance")
    return (low + high) / 2.0, (high - low) / 2.0


_TOLERANCE = "write low and high, or drawn and within: nothing is made without a tolerance"


def _read_metal(page: Page) -> tuple[str, float]:
    """Name of the metal, and its expansion per kelvin."""
    value = page.table.get("metal")
    if value is None:
        return "", 0.0
    if isinstance(value, str):
        name = page.choice("metal", tuple(EXPANSIONS), None)
        return name, EXPANSIONS.get(name, 0.0) * 1e-6
    way_out = f"write its expansion in 1e-6 per kelvin, or one of {', '.join(EXPANSIONS)}"
    rate = page.number("metal", 0.0, 60.0, way_out)
    return f"{rate:g} per million and kelvin", rate * 1e-6


def read_line_limits(root: Page, lines: tuple[Line, ...]) -> tuple[Limit, ...]:
    """Read the limits that stand in the lines. root: the whole file; lines. Returns: of each."""
    tables = root.table.get("lines")
    found = []
    for place, line in enumerate(lines):
        assert isinstance(tables, list)
        page = Page(tables[place], ("lines", place), root.notes, root.unit)
        low_um, high_um = read_window(page, -math.inf)
        if math.isinf(low_um) and math.isinf(high_um) and page.table.get("low") == NO_LIMIT:
            page.notes.assumed.append(f"{line.name} without a limit")
        found.append(Limit(line.name, low_um, high_um, example=page.flag("example")))
    return tuple(found)


def about_lengths(
    dimensions: tuple[Dimension, ...], readings: tuple[Reading, ...]
) -> tuple[Dimension, ...]:
    """Say from which length each dimension grows: as drawn, else as first read.

    dimensions; readings: that count. Returns: the dimensions.
    """

    def about(one: Dimension) -> float:
        if one.drawn_um is not None:
            return one.drawn_um
        read = next((reading for reading in readings if reading.of == one.name), None)
        return of_reading(read).centre_um if read is not None else 0.0

    return tuple(replace(one, about_um=about(one)) for one in dimensions)


def check_lines(
    root: Page, lines: tuple[Line, ...], dimensions: tuple[Dimension, ...],
    seats: tuple[Seat, ...], readings: tuple[Reading, ...],
) -> None:  # fmt: skip
    """Note dimensions that nothing tells of, and too many seats.

    root: the whole file; lines, dimensions, seats, readings: of the job, those that count.
    """
    if len(seats) > MOST_SEATS:
        root.fault("lines", f"{len(seats)} seats", f"at most {MOST_SEATS}", "make two jobs of it")
    read = {one.of for one in readings if one.at_least_um is None and one.at_most_um is None}
    known = {line.name for line in lines if line.name in read}
    through = {name for line in lines if line.name in known for name, _ in line.terms}
    for one in dimensions:
        if one.drawn_um is None and one.name not in read and one.name not in through:
            line = next((line for line in lines if bare_name(line.name) == one.name), None)
            if line is not None:
                wanted = "terms, or a reading of it with known shims fitted"
                found, way_out = f"nothing that settles the {line.name}", _EXAMPLE
            else:
                found, wanted = f"nothing that settles the {one.name}", "a reading, or a tolerance"
                way_out = f'measure it, or write "{one.name}" = {{ low = …, high = … }}'
            root.fault("lines", found, wanted, way_out)
