"""Drawer files: a sheet of rows in, a checked drawer out, or every fault in it at once."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from solver.drawer import Drawer, Lot
from solver.drawer_sheet import COLUMNS, Sheet, read_sheet
from solver.job import CARRIER_SEATS, PINION_SEATS, Job, Stack
from solver.job_table import MOST_FAULTS, meant, quoted
from solver.strip import TABLE_UM, in_table, strip_within_um
from solver.trouble import Fault, Place, Trouble, shown
from solver.units import UNITS, NotAQuantity, length_um, unit_named

SLIP = 0.85  # likeness from which another word is a seat mistyped
SEAT_NAMES = (*CARRIER_SEATS, *PINION_SEATS)
MOST_PIECES = 100_000  # in a lot
_NEEDED = ("id", "thickness", "count")
_WITH_UNIT = re.compile(r"[^\W\d_]|[\"″”]")  # a letter or an inch mark: the cell names its unit


def load_drawer(path: Path | str) -> Drawer:
    """Read a drawer. path: of a CSV file. Returns it; lengths [µm]. Raises: Trouble."""
    return drawer_of(read_sheet(path))


def drawer_of(sheet: Sheet, *, empty: bool = False) -> Drawer:
    """Read a drawer from a sheet.

    sheet: as read or edited; empty: one without a piece left is a drawer too, as its books see it.
    Returns: lots in its order; a blank `within` is the strip tolerance of the thickness, noted as
    assumed. Raises: Trouble with every fault.
    """
    rows = _Rows(sheet)
    faults = rows.faults
    _check_header(sheet, faults)
    lots: list[Lot] = []
    if not faults:
        if not sheet.rows:
            faults.append(Fault(sheet.source, "no rows", "at least one lot", "add what is on hand"))
        lots = [rows.lot(row) for row in range(len(sheet.rows))]
        rows.check_ids()
    if not faults and not empty and not any(lot.count for lot in lots):
        way_out = "write how many of each are on hand"
        faults.append(Fault(f"{sheet.source}: count", "no piece at all", "at least one", way_out))
    more = len(faults) - MOST_FAULTS
    if more > 0:
        way_out = "mend these first, then look again"
        faults[MOST_FAULTS:] = [Fault(sheet.source, f"{more} more faults", "none", way_out)]
    if faults:
        raise Trouble(faults)
    return Drawer(tuple(lots), _assumed(lots))


def _check_header(sheet: Sheet, faults: list[Fault]) -> None:
    names = [cell.strip().lower() for cell in sheet.header.cells]
    for name in COLUMNS:
        if names.count(name) > 1:
            where = f"{sheet.source}: line {sheet.header.line}"
            faults.append(Fault(where, f"the column {name} twice", "it once", "rename one"))
    missing = [name for name in _NEEDED if name not in names]
    if "unit" not in names and not missing:
        cells = (sheet.cell(row, "thickness") for row in range(len(sheet.rows)))
        if not all(_WITH_UNIT.search(cell) for cell in cells):
            missing.append("unit")
    for name in missing:
        strange = [n for n in names if n not in COLUMNS]
        near = difflib.get_close_matches(name, strange, 1)
        way_out = f"rename {shown(near[0])}" if near else f"add a column called {name}"
        if name == "unit":
            way_out = "add a column called unit, or write '0.93 mm' as the thickness"
        found = f"no column {name}"
        faults.append(
            Fault(f"{sheet.source}: header", found, ", ".join(COLUMNS), way_out, ("header", name))
        )


@dataclass(slots=True)
class _Rows:
    """Reads row by row and notes what is wrong; a faulty number stands as zero until raised."""

    sheet: Sheet
    faults: list[Fault] = field(default_factory=list)

    def fault(self, row: int, name: str, found: str, wanted: str, way_out: str) -> None:
        where = f"{self.sheet.source}: line {self.sheet.rows[row].line or 'new'}: {name}"
        self.faults.append(Fault(where, found, wanted, way_out, ("rows", row, name)))

    def lot(self, row: int) -> Lot:
        sheet = self.sheet
        cells, width = sheet.rows[row].cells, len(sheet.header.cells)
        if any(cell.strip() for cell in cells[width:]):
            way_out = 'put quotes round a cell with a comma: "0,93"; or save with semicolons'
            if sheet.dialect.delimiter != ",":
                way_out = "add a header for each column, or take the cells out"
            self.fault(row, "cells", f"{len(cells)}", f"{width}, as in the header", way_out)
            return Lot("", 0.0, 0, 0.0)
        unit = self._unit(row)
        thickness_um = self._length(row, "thickness", unit)
        within_um, assumed = 0.0, not sheet.cell(row, "within")
        if assumed:
            within_um = strip_within_um(thickness_um)
        else:
            within_um = self._length(row, "within", unit)
            if thickness_um and within_um >= thickness_um:
                found, wanted = shown(sheet.cell(row, "within")), "less than the thickness"
                self.fault(row, "within", found, wanted, "check its unit and its decimal point")
        return Lot(
            sheet.cell(row, "id"),
            thickness_um,
            self._count(row),
            within_um,
            sheet.cell(row, "tool"),
            self._fits(row),
            sheet.cell(row, "note"),
            assumed,
        )

    def check_ids(self) -> None:
        """Note blank ids and ids that two rows share."""
        first: dict[str, int] = {}
        for row in range(len(self.sheet.rows)):
            lot_id = self.sheet.cell(row, "id")
            if not lot_id:
                self.fault(row, "id", "nothing", "an id", "write a name for this lot, such as A1")
            elif lot_id in first:
                line = self.sheet.rows[first[lot_id]].line or "new"
                found, wanted = f"{shown(lot_id)}, as in line {line}", "an id of its own"
                self.fault(row, "id", found, wanted, "rename one, or add the counts")
            else:
                first[lot_id] = row

    def _unit(self, row: int) -> str | None:
        text = self.sheet.cell(row, "unit")
        unit = unit_named(text)
        if text and unit is None:
            way_out = "write the unit of this row's thickness"
            self.fault(row, "unit", shown(text), f"one of {', '.join(UNITS)}", way_out)
            return "mm"  # one fault is enough
        if not text and not _WITH_UNIT.search(self.sheet.cell(row, "thickness")):
            if self.sheet.column("unit") is not None:
                way_out = "write the unit of this row's thickness"
                self.fault(row, "unit", "nothing", f"one of {', '.join(UNITS)}", way_out)
            return "mm"
        return unit

    def _length(self, row: int, name: str, unit: str | None) -> float:
        text = self.sheet.cell(row, name)
        comma = self.sheet.dialect.delimiter != ","
        try:
            value = length_um(text, unit, decimal_comma=comma)
        except NotAQuantity as bad:
            self.fault(row, name, bad.found, bad.wanted, bad.way_out)
            return 0.0
        if value > 0.0:
            return value
        way_out = "leave it blank for the strip tolerance: nothing is known exactly"
        if name == "thickness":
            way_out = "check its sign, or take the row out"
        self.fault(row, name, shown(text), "a length above 0", way_out)
        return 0.0

    def _count(self, row: int) -> int:
        text = self.sheet.cell(row, "count")
        match = re.fullmatch(r"\+?([0-9]{1,9})(?:[.,]0*)?", text)
        if match and int(match[1]) <= MOST_PIECES:
            return int(match[1])
        found = shown(text) if text else "nothing"
        wanted = f"a whole number from 0 to {MOST_PIECES}"
        self.fault(row, "count", found, wanted, "write how many like pieces are on hand")
        return 0

    def _fits(self, row: int) -> tuple[str, ...]:
        words = [w.strip() for w in re.split("[;,|]", self.sheet.cell(row, "fits")) if w.strip()]
        for word in words:
            if slip_of_seat(word, SEAT_NAMES):
                way_out = meant(word, SEAT_NAMES)
                wanted = f"{quoted(SEAT_NAMES)} or a seat of a line"
                self.fault(row, "fits", f"the unknown seat {shown(word)}", wanted, way_out)
        return tuple(dict.fromkeys(map(seat_meant, words)))


def seat_meant(word: str) -> str:
    """The seat that a word in `fits` names: lines may have seats of any name. word. Returns it."""
    return word.lower() if word.lower() in SEAT_NAMES else word


def slip_of_seat(word: str, names: tuple[str, ...]) -> bool:
    """Tell whether a word is a known seat mistyped, and not another job's own.

    word; names: of the known seats. Returns: true for a near miss.
    """
    if word.lower() in names or word in names:
        return False
    return bool(difflib.get_close_matches(word[:60].lower(), names, 1, SLIP))


def _assumed(lots: list[Lot]) -> tuple[str, ...]:
    """One line for every kind of stand-in, however many lots it was taken for."""
    taken = [lot for lot in lots if lot.within_assumed and lot.count]
    kinds = (
        ("strip tolerance (ISO 9445-1, normal)", in_table),
        ("tolerance of a tenth, thinner than the strip table,", lambda t: t < TABLE_UM[0]),
        ("tolerance of a twentieth, thicker than the strip table,", lambda t: t > TABLE_UM[1]),
    )
    lines = []
    for words, holds in kinds:
        count = sum(1 for lot in taken if holds(lot.thickness_um))
        if count:
            lines.append(f"{words} taken for {count} lot{'s' if count > 1 else ''}")
    return tuple(lines)


def drawer_faults(drawer: Drawer, job: Job, source: str = "drawer") -> list[Fault]:
    """What a drawer and a job do not agree on.

    drawer, job: as read; source: name of the drawer's file, for messages. Returns: faults: tools
    the job does not have, its seats mistyped, lots of a trial that are not there or not in that
    number.
    """
    faults = []
    tools = tuple(tool.name for tool in job.tools)
    for row, lot in enumerate(drawer.lots):
        own = tuple(seat.name for seat in job.seats)
        for word in lot.fits:
            if slip_of_seat(word, own) and word not in SEAT_NAMES:
                where = f"{source}: lot {lot.id}: fits"
                found, wanted = f"the unknown seat {shown(word)}", f"{quoted(own)} or nothing"
                faults.append(Fault(where, found, wanted, meant(word, own), ("rows", row, "fits")))
        if lot.tool and lot.tool not in tools:
            near = meant(lot.tool, tools)
            way_out = near if near.startswith("did") else "add it to the job's tools, or blank it"
            wanted = f"one of {quoted(tools)}" if tools else "blank: the job has no tools"
            where = f"{source}: lot {lot.id}: tool"
            faults.append(Fault(where, shown(lot.tool), wanted, way_out, ("rows", row, "tool")))
    stock = {lot.id: lot.count for lot in drawer.lots}
    for where, place, stacks in _told_stacks(job):
        used: dict[str, int] = {}
        for stack in stacks:
            for lot_id, count in stack.lots:
                used[lot_id] = used.get(lot_id, 0) + count
        for lot_id, count in used.items():
            if lot_id not in stock:
                wanted, way_out = "the id of a lot in the drawer", meant(lot_id, tuple(stock))
                faults.append(Fault(where, shown(lot_id), wanted, way_out, place))
            elif count > stock[lot_id]:
                found = f"{count} pieces of {shown(lot_id)}"
                wanted = f"at most {stock[lot_id]}, as in the drawer"
                faults.append(Fault(where, found, wanted, "correct the count or the list", place))
    return faults


def _told_stacks(job: Job) -> Iterator[tuple[str, Place, tuple[Stack, ...]]]:
    """Every stack that a job tells of, with its place in the file, for people and as a path."""
    for reading in job.readings:
        place: Place = ("readings", reading.number - 1, "fitted")
        yield f"job: reading {reading.number}: fitted", place, reading.fitted
    if job.pinion is not None and job.pinion.fitted:
        yield "job: pinion: fitted", ("pinion", "fitted"), (job.pinion.fitted,)
    if job.pinion is not None and job.pinion.carried:
        place = ("pinion", "carried", "fitted")
        yield "job: pinion: carried: fitted", place, (job.pinion.carried.stack,)
    if job.ready is not None and job.ready.head:
        yield "job: before_crush: head", ("before_crush", "head"), (job.ready.head,)


def check_drawer(drawer: Drawer, job: Job, source: str = "drawer") -> None:
    """Refuse a drawer that does not go with its job.

    drawer, job: as read; source: name of the drawer's file. Raises: Trouble with every fault.
    """
    faults = drawer_faults(drawer, job, source)
    if faults:
        raise Trouble(faults)
