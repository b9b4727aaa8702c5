"""What lines of the books do to a drawer: its counts, and what it says of its lots."""

from __future__ import annotations

from dataclasses import replace

from solver.drawer_file import MOST_PIECES, drawer_of
from solver.drawer_sheet import Sheet
from solver.ledger import MEASURED, Books, Line, Said
from solver.trouble import Fault, Trouble, shown

SAID = ("thickness", "unit", "within", "tool", "fits")
LOOK = "look into its books first"


def counts_of(sheet: Sheet) -> dict[str, int]:
    """Pieces in a drawer. sheet. Returns: number by lot id. Raises: Trouble with every fault."""
    return {lot.id: lot.count for lot in drawer_of(sheet, empty=True).lots}


def said_of(sheet: Sheet, lot: str) -> Said | None:
    """What a drawer says of a lot. sheet; lot: its id. Returns: None where it is not there."""
    row = row_of(sheet, lot)
    return None if row is None else Said(*(sheet.cell(row, name) for name in SAID))


def row_of(sheet: Sheet, lot: str) -> int | None:
    """The row of a lot, from 0. sheet; lot: its id. Returns: None where it is not there."""
    return next((row for row in range(len(sheet.rows)) if sheet.cell(row, "id") == lot), None)


def no_lot(sheet: Sheet, lot: str, way_out: str) -> Fault:
    """A lot that is not there, as a fault. sheet; lot: its id; way_out: in words. Returns it."""
    return Fault(sheet.source, f"no lot {shown(lot)}", "the id of a lot in the drawer", way_out)


def after(sheet: Sheet, lines: list[Line]) -> tuple[Sheet, list[Line]]:
    """Do lines to a drawer.

    sheet: before; lines: of one entry. Returns: (the drawer after them, the lines with what is
    left of each lot). Raises: Trouble where a lot would have less than nothing, or too many.
    """
    told = []
    counts = counts_of(sheet)
    _check_counts(sheet, counts, lines)
    for line in lines:
        counts[line.lot] = counts.get(line.lot, 0) + line.into_drawer
        anew = line.count >= 0 and measures_in_place(lines, line.lot)
        if line.into_drawer or anew:
            sheet = _put(sheet, line, counts[line.lot], anew=anew and line is lines[-1])
        said = said_of(sheet, line.lot) or line.said
        told.append(replace(line, left=counts[line.lot], said=said))
    counts_of(sheet)  # what it says now must be a drawer too
    return sheet, told


def _check_counts(sheet: Sheet, counts: dict[str, int], lines: list[Line]) -> None:
    faults = []
    net: dict[str, int] = {}
    for line in lines:
        net[line.lot] = net.get(line.lot, 0) + line.into_drawer
    for lot, change in net.items():
        there = counts.get(lot, 0)
        if lot not in counts and change < 0:
            faults.append(no_lot(sheet, lot, "write an id as it stands in the drawer"))
        elif there + change < 0:
            way_out = "count them, and book what you find"
            where = f"{sheet.source}: lot {lot}"
            faults.append(Fault(where, _of(there), f"{-change}", way_out))
        elif there + change > MOST_PIECES:
            where, wanted = f"{sheet.source}: lot {lot}", f"at most {MOST_PIECES}"
            faults.append(Fault(where, _of(there + change), wanted, "give some another id"))
    if faults:
        raise Trouble(faults)


def check_books(books: Books, source: str) -> None:
    """Refuse books in which more came back from a job than was out.

    books; source: name of the drawer's file. Raises: Trouble.
    """
    faults = []
    for (job, lot), count in books.out().items():
        if count < 0:
            found = f"{-count} more back from {shown(job)} than was out"
            faults.append(Fault(f"{source}: lot {lot}", found, "at most what is out", LOOK))
    if faults:
        raise Trouble(faults)


def _put(sheet: Sheet, line: Line, count: int, *, anew: bool) -> Sheet:
    """Write a lot's count, and what is said of it where that is new."""
    row = row_of(sheet, line.lot)
    said = {name: getattr(line.said, name) for name in SAID}
    if row is None:
        wanted = [name for name in SAID if said[name]]
        sheet = sheet.with_columns(wanted)
        like = row_of(sheet, line.note.removeprefix("was ")) if line.note else None
        names = [cell.strip().lower() for cell in sheet.header.cells]
        cells = dict(zip(names, sheet.rows[like].cells, strict=False)) if like is not None else {}
        sheet = sheet.with_row(cells | said | {"id": line.lot, "count": str(count)})
    else:
        if anew:
            sheet = sheet.with_columns([name for name in SAID if said[name]])
            for name in SAID:
                if sheet.column(name) is not None:
                    sheet = sheet.edited(row, name, said[name])
        if counts_of(sheet)[line.lot] != count:  # or '4.0' would be written anew for nothing
            sheet = sheet.edited(row, "count", str(count))
    return sheet


def measures_in_place(lines: list[Line], lot: str) -> bool:
    """Whether a lot changed its thickness where it lies: the old pieces out, the same ones in.

    lines: of one entry; lot: its id. Returns it.
    """
    return len(lines) == 2 and all(line.what == MEASURED and line.lot == lot for line in lines)


def _of(count: int) -> str:
    return f"{count if count else 'none'} in the drawer"
