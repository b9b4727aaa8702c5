"""A batch as a CSV file: a row an assembly, its pattern a job file, its readings in cells.

jobs.csv   id,job,mesh gap,total clearance,…     a column named after what is read, or 'reading 2'
           014,box.toml,23.5;24.0,51 thou,…      blank: as in the pattern
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from solver.drawer import Drawer
from solver.drawer_file import drawer_faults, load_drawer
from solver.drawer_sheet import Sheet, read_sheet
from solver.job import Job
from solver.job_file import load_table, read_job
from solver.job_readings import WAYS
from solver.job_table import MOST_FAULTS, meant
from solver.trouble import Fault, Place, Trouble, shown
from solver.units import NotAQuantity, length_um, unit_named

OWN_COLUMNS = ("id", "job", "note")
MOST_ASSEMBLIES = 2_000
_BARE = re.compile(r"[+-]?[0-9]{1,9}(?:[.][0-9]{1,9})?")
_NUMBERED = re.compile(r"reading ([1-9][0-9]{0,3})")
Table = dict[str, object]


@dataclass(frozen=True, slots=True)
class Assembly:
    """One row: which assembly, by which pattern, and its job with the row's readings in it."""

    id: str
    pattern: str  # as the row names it
    line: int  # in the file
    job: Job


@dataclass(frozen=True, slots=True)
class Batch:
    """Every assembly, and the one drawer that they share."""

    assemblies: tuple[Assembly, ...]
    drawer: Drawer


def load_batch(path: Path, drawer_path: Path | None = None) -> Batch:
    """Read a batch with its patterns and its drawer.

    path: of the CSV; drawer_path: a drawer in place of the one that all patterns name, or None.
    Returns: the Batch; lengths [µm]. Raises: Trouble with every fault.
    """
    rows = _Rows(read_sheet(path, "assemblies as CSV text", ("id", "job")), path.parent)
    rows.check_header()
    rows.raise_faults()
    assemblies = tuple(rows.assemblies())
    rows.raise_faults()
    found = drawer_path or rows.one_drawer(assemblies)
    rows.raise_faults()
    assert found is not None
    drawer = load_drawer(found)
    for one in assemblies:
        for fault in drawer_faults(drawer, one.job, found.name):
            where = re.sub(r"^job\b", one.pattern, fault.where)
            rows.note(Fault(where, fault.found, fault.wanted, fault.way_out, fault.place))
    rows.raise_faults()
    return Batch(assemblies, drawer)


@dataclass(slots=True)
class _Rows:
    """Reads row by row and notes what is wrong, what is wrong with a pattern once."""

    sheet: Sheet
    folder: Path
    faults: list[Fault] = field(default_factory=list)
    tables: dict[str, Table | None] = field(default_factory=dict)

    def note(self, fault: Fault) -> None:
        """Note a fault, one that was noted before no more."""
        if fault not in self.faults:
            self.faults.append(fault)

    def raise_faults(self) -> None:
        """Raise what was noted. Raises: Trouble, unless there was no fault."""
        more = len(self.faults) - MOST_FAULTS
        if more > 0:
            way_out = "mend these first, then look again"
            self.faults[MOST_FAULTS:] = [
                Fault(self.sheet.source, f"{more} more faults", "none", way_out)
            ]
        if self.faults:
            raise Trouble(self.faults)

    def where(self, row: int, name: str) -> str:
        """Say a cell for people. row: from 0; name: of its column."""
        return f"{self.sheet.source}: line {self.sheet.rows[row].line}: {name}"

    def fault(self, row: int, name: str, found: str, wanted: str, way_out: str) -> None:
        """Note what is wrong with a cell."""
        place: Place = ("rows", row, name)
        self.note(Fault(self.where(row, name), found, wanted, way_out, place))

    @property
    def names(self) -> list[str]:
        """Every column that readings can stand in."""
        cells = [" ".join(cell.split()).lower() for cell in self.sheet.header.cells]
        return [name for name in cells if name and name not in OWN_COLUMNS]

    def check_header(self) -> None:
        """Note columns that are missing or there twice, no rows, and too many of them."""
        where = f"{self.sheet.source}: header"
        cells = [" ".join(cell.split()).lower() for cell in self.sheet.header.cells]
        wanted = "id, job, and a column for each reading that differs"
        for name in ("id", "job"):
            if name not in cells:
                self.note(Fault(where, f"no column {name}", wanted, f"add a column called {name}"))
        for name in dict.fromkeys(cells):
            if name and cells.count(name) > 1:
                self.note(Fault(where, f"the column {name} twice", "it once", "rename one"))
        rows = len(self.sheet.rows)
        if not rows:
            way_out = "write a row for each"
            self.note(Fault(self.sheet.source, "no rows", "at least one assembly", way_out))
        if rows > MOST_ASSEMBLIES:
            found, most = f"{rows} rows", f"at most {MOST_ASSEMBLIES}"
            self.note(Fault(self.sheet.source, found, most, "make two batches of it"))

    def assemblies(self) -> Iterator[Assembly]:
        """Every row that has no fault."""
        first: dict[str, int] = {}
        width = len(self.sheet.header.cells)
        self._check_columns()
        for row, cells in enumerate(self.sheet.rows):
            name, pattern = self.sheet.cell(row, "id"), self.sheet.cell(row, "job")
            if any(cell.strip() for cell in cells.cells[width:]):
                way_out = 'put quotes round a cell that has the separator in it: "23,5;24,0"'
                found, wanted = f"{len(cells.cells)}", f"{width}, as in the header"
                self.fault(row, "cells", found, wanted, way_out)
                continue
            if not name:
                self.fault(row, "id", "nothing", "an id", "write a name for this assembly")
            elif name in first:
                line = self.sheet.rows[first[name]].line
                found = f"{shown(name)}, as in line {line}"
                self.fault(row, "id", found, "an id of its own", "rename one")
            first.setdefault(name, row)
            table = self._pattern(row, pattern)
            if table is not None:
                job = self._job(row, pattern, table)
                if job is not None:
                    yield Assembly(name, pattern, cells.line, job)

    def _pattern(self, row: int, pattern: str) -> Table | None:
        """The table of a row's pattern, each file read once; None where it cannot be read."""
        if not pattern or "\0" in pattern:
            found, wanted = shown(pattern) if pattern else "nothing", "the path of a job file"
            self.fault(row, "job", found, wanted, "write its name, from this file's folder")
            return None
        if pattern not in self.tables:
            self.tables[pattern] = None
            try:
                self.tables[pattern] = load_table(self.folder / pattern)
            except Trouble as trouble:
                for one in trouble.faults:
                    where = f"{self.where(row, 'job')}: {one.where}"
                    self.note(Fault(where, one.found, one.wanted, one.way_out, one.place))
        return self.tables[pattern]

    def _check_columns(self) -> None:
        """Note columns that no pattern has a reading for."""
        patterns = {self.sheet.cell(row, "job") for row in range(len(self.sheet.rows))}
        tables = [self._pattern(row, self.sheet.cell(row, "job")) for row in self._first(patterns)]
        known = {of for table in tables if table for of in _readings(table)}
        for name in self.names:
            if name not in known and not _NUMBERED.fullmatch(name) and known:
                where, wanted = f"{self.sheet.source}: header", "a reading of the patterns"
                way_out = meant(name, tuple(sorted(known)))
                self.note(Fault(where, f"the column {shown(name)}", wanted, way_out))

    def _first(self, patterns: set[str]) -> list[int]:
        """The first row of each pattern."""
        rows = [self.sheet.cell(row, "job") for row in range(len(self.sheet.rows))]
        return sorted(rows.index(one) for one in patterns)

    def _job(self, row: int, pattern: str, table: Table) -> Job | None:
        """A row's job: the pattern with the row's readings in place of its own."""
        before = len(self.faults)
        own = copy.deepcopy(table)
        unit = unit_named(table.get("unit")) or "mm"
        put: dict[int, str] = {}
        for name in self.names:
            if self.sheet.cell(row, name):
                at = self._place(row, name, own)
                if at in put:
                    found = f"{shown(put[at])} and {shown(name)}"
                    self.fault(row, name, found, "one column for a reading", "leave one blank")
                elif at is not None:
                    put[at] = name
                    self._put(row, name, own["readings"][at], unit)  # type: ignore[index]
        if len(self.faults) > before:
            return None
        path = self.folder / pattern
        try:
            return read_job(own, source=Path(pattern).name, folder=path.parent)
        except Trouble as trouble:
            for one in trouble.faults:
                self.note(self._told(row, put, one))
            return None

    def _told(self, row: int, put: dict[int, str], fault: Fault) -> Fault:
        """A fault of a job as one of its row where a cell of the row made it."""
        place = fault.place
        if len(place) > 1 and place[0] == "readings" and place[1] in put:
            where = self.where(row, put[int(place[1])])
            return Fault(where, fault.found, fault.wanted, fault.way_out, place)
        return fault

    def _place(self, row: int, name: str, table: Table) -> int | None:
        """Which reading of a pattern a column means; None, and a fault, where that is not one."""
        found = _readings(table)
        numbered = _NUMBERED.fullmatch(name)
        if numbered:
            every = [at for places in found.values() for at in places]
            if int(numbered[1]) - 1 in every:
                return int(numbered[1]) - 1
        places = found.get(name, [])
        if len(places) == 1:
            return places[0]
        if not places:
            told = f"a value for {shown(name)}"
            way_out = "leave the cell blank, or add the reading to the pattern"
            self.fault(row, name, told, "only what its pattern reads", way_out)
        else:
            numbers = " or ".join(f"reading {at + 1}" for at in places)
            told = f"{len(places)} readings of {name} in the pattern"
            self.fault(row, name, told, "one", f"name the column {numbers}")
        return None

    def _put(self, row: int, name: str, reading: Table, unit: str) -> None:
        """Put a cell's values in the place of a reading's own, in the way that it was read."""
        values = [
            self._value(row, name, text.strip(), unit)
            for text in re.split("[;|]", self.sheet.cell(row, name))
        ]
        way = next((way for way in WAYS if way in reading), "values")
        if way == "goes" and "stops" in reading:
            if len(values) != 2:
                wanted = "two leaves: the one that goes; the one that stops"
                self.fault(
                    row, name, f"{len(values)} of them", wanted, "write both, with ; between"
                )
                return
            reading["goes"], reading["stops"] = values
        elif way in ("at_least", "at_most"):
            if len(values) != 1:
                found, wanted = f"{len(values)} of them", "one bound, as in the pattern"
                self.fault(row, name, found, wanted, "write the one leaf or value")
                return
            reading[way] = values[0]
        else:
            reading.pop(way, None)
            reading["values" if way == "value" else way] = values

    def _value(self, row: int, name: str, text: str, unit: str) -> object:
        """One value as a job file would say it."""
        comma = self.sheet.dialect.delimiter != ","
        try:
            value_um = length_um(text, unit, decimal_comma=comma)
        except NotAQuantity as bad:
            self.fault(row, name, bad.found, bad.wanted, bad.way_out)
            return 0.0
        return float(text) if _BARE.fullmatch(text) else f"{value_um:.6f} um"

    def one_drawer(self, assemblies: tuple[Assembly, ...]) -> Path | None:
        """The drawer that every pattern names; None, and a fault, where they do not."""
        paths = dict.fromkeys(one.job.drawer_path for one in assemblies)
        named = [path for path in paths if path is not None]
        if len(paths) == 1 and named:
            return named[0]
        found = f"{len(paths)} different ones" if named else "no drawer"
        wanted = "one drawer for the whole batch"
        self.note(Fault(f"{self.sheet.source}: drawer", found, wanted, "add --drawer CSV"))
        return None


def _readings(table: Table) -> dict[str, list[int]]:
    """Places of the readings of a pattern that are not switched off, by what they read."""
    found: dict[str, list[int]] = {}
    readings = table.get("readings")
    for at, one in enumerate(readings if isinstance(readings, list) else []):
        if isinstance(one, dict) and isinstance(one.get("of"), str) and one.get("off") is not True:
            found.setdefault(" ".join(one["of"].split()).lower(), []).append(at)
    return found
