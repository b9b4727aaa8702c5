"""What a job notes for the bench sheet and the template: fasteners, marks and rings."""

from __future__ import annotations

from solver.bench_notes import BenchNotes, Fastener, Mark, Ring
from solver.job import CARRIER_SEATS, PINION_SEATS
from solver.job_table import FAULTY, Page
from solver.torque_units import torque_newton_m
from solver.units import NotAQuantity, said

MOST_FASTENERS, MOST_MARKS, LONGEST = 16, 12, 120  # what one sheet of paper can hold
_RING = ("outside", "inside", "clearance")
_RING_WANTED = {
    "outside": ("the outside diameter of what the shim bears on", 'write outside = "68 mm"'),
    "inside": ("the inside diameter of what the shim bears on", 'write inside = "52 mm"'),
    "clearance": (
        "how much less outside and more inside, on the diameter",
        'write clearance = "0.5 mm"',
    ),
}


def read_notes(root: Page) -> BenchNotes:
    """Read what is noted for the bench. root: the whole file. Returns: it; empty without any.

    Faults go into the page.
    """
    return BenchNotes(_read_fasteners(root), _read_marks(root), _read_rings(root))


def _read_fasteners(root: Page) -> tuple[Fastener, ...]:
    value = root.table.get("fasteners")
    if value is None:
        return ()
    if not isinstance(value, list):
        way_out = "write [[fasteners]] before each, with what and torque"
        root.fault("fasteners", said(value), "a list of tables", way_out)
        return ()
    if len(value) > MOST_FASTENERS:
        wanted = f"at most {MOST_FASTENERS}, which a sheet can hold"
        root.fault("fasteners", f"{len(value)} of them", wanted, "leave out the least of them")
        return ()
    found = []
    for at, table in enumerate(value):
        place = (*root.place, "fasteners", at)
        if isinstance(table, dict):
            found.append(_read_fastener(Page(table, place, root.notes, root.unit)))
        else:
            way_out = 'write { what = "cap bolts", torque = "80 N.m" }'
            root.notes.fault(place, said(table), "a table", way_out)
    return tuple(found)


def _read_fastener(page: Page) -> Fastener:
    page.only(("what", "torque", "checked", "note"))
    what = _line(page, "what")
    if not page.has("what"):
        page.missing("what", "what is tightened", 'write what = "cap bolts"')
    elif not what and isinstance(page.table["what"], str):
        page.fault("what", "an empty text", "what is tightened", 'write what = "cap bolts"')
    value, torque = page.table.get("torque"), FAULTY
    if value is None:
        page.missing("torque", "its torque from the maker's manual", 'write torque = "80 N.m"')
    else:
        try:
            torque = torque_newton_m(value, None)
        except NotAQuantity as bad:
            page.fault("torque", bad.found, bad.wanted, bad.way_out)
        if torque <= 0.0:
            page.fault("torque", said(value), "a torque above 0", "check the number")
    written = " ".join(str(value).split())
    return Fastener(what, torque, written, page.flag("checked"), _line(page, "note"))


def _read_marks(root: Page) -> tuple[Mark, ...]:
    page = root.page("marks")
    if page is None:
        return ()
    if len(page.table) > MOST_MARKS:
        wanted = f"at most {MOST_MARKS}, which a sheet can hold"
        root.fault("marks", f"{len(page.table)} of them", wanted, "put some into one line")
        return ()
    return tuple(Mark(" ".join(key.split()), _line(page, key)) for key in page.table)


def _line_seats(root: Page) -> tuple[str, ...]:
    """The seats that the job's lines name, whatever else is wrong with them."""
    tables = root.table.get("lines")
    seats = (
        [one.get("seats") for one in tables if isinstance(one, dict)]
        if isinstance(tables, list)
        else []
    )
    return tuple(dict.fromkeys(name for one in seats if isinstance(one, dict) for name in one))


def _read_rings(root: Page) -> tuple[Ring, ...]:
    """A ring for every seat, and those of seats that have one of their own."""
    page = root.page("ring")
    if page is None:
        return ()
    seats = (*CARRIER_SEATS, *PINION_SEATS, *_line_seats(root))
    page.only((*_RING, *seats))
    named = [name for name in seats if page.has(name)]
    rings = [_read_ring(page, "")] if any(map(page.has, _RING)) or not named else []
    for name in named:
        inner = page.page(name, "a table for this seat")
        if inner is not None:
            inner.only(_RING)
            rings.append(_read_ring(inner, name))
    return tuple(rings)


def _read_ring(page: Page, seat: str) -> Ring:
    """Three diameters' worth; none of them is assumed."""
    found = dict.fromkeys(_RING, FAULTY)
    for key in _RING:
        if page.has(key):
            found[key] = page.length(key, low_um=0.0, above=key != "clearance")
        else:
            page.missing(key, *_RING_WANTED[key])
    ring = Ring(seat, found["outside"], found["inside"], found["clearance"])
    if ring.outside_um <= ring.inside_um:
        found_words = f"{said(page.table['inside'])}, with outside {said(page.table['outside'])}"
        page.fault("inside", found_words, "less than the outside", "swap or mend them")
    elif ring.cut_um[0] <= ring.cut_um[1]:
        way_out = "it is taken off the outside and added to the inside, on the diameter"
        page.fault("clearance", said(page.table["clearance"]), "one that leaves a ring", way_out)
    return ring


def _line(page: Page, key: str) -> str:
    """One line of free text."""
    text = " ".join(page.text(key).split())
    if len(text) > LONGEST:
        wanted = f"at most {LONGEST}, which a sheet can hold"
        page.fault(key, f"{len(text)} characters", wanted, "say it in fewer words")
    return text
