"""The file of a drawer's books: a CSV beside it that a person can read, one line for every lot."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

from solver.drawer_sheet import LARGEST_BYTES, Dialect, Sheet, SheetRow, bytes_of, sheet_of
from solver.ledger import BEGUN, DONE, KINDS, NOT_DONE, Books, Line, Said
from solver.plain_file import read_bytes, replace_bytes
from solver.trouble import Fault, Trouble, shown

COLUMNS = (
    "entry", "when", "what", "job", "lot", "count", "left", "thickness", "unit", "within", "tool",
    "fits", "note", "undoes", "state",
)  # fmt: skip
NEEDED = ("entry", "when", "what", "job", "lot", "count", "undoes", "state")
MOST_LINES = 200_000
MOST_FAULTS = 12
WANTED = "a drawer's books as CSV text"
_SEALED = re.compile(r"begun ([0-9a-f]{16}) ([0-9a-f]{16})")


@dataclass(frozen=True, slots=True)
class BooksFile:
    """The books with the sheet that they stand on, whose own columns and form are kept."""

    books: Books
    sheet: Sheet


def read_books_file(path: Path) -> BooksFile:
    """Read books.

    path: of their file. Returns: them; empty where there is no file yet.
    Raises: Trouble with every fault.
    """
    if not path.exists():
        return BooksFile(Books(), Sheet(path.name, SheetRow(COLUMNS), (), Dialect()))
    data = read_bytes(path, LARGEST_BYTES, WANTED)
    sheet = sheet_of(data, path.name, most_rows=MOST_LINES)
    missing = [name for name in NEEDED if sheet.column(name) is None]
    if missing:
        found, way_out = f"no column {missing[0]}", "put back the header that the books had"
        raise Trouble([Fault(f"{path.name}: header", found, ", ".join(COLUMNS), way_out)])
    faults: list[Fault] = []
    lines = tuple(_line(sheet, row, faults) for row in range(len(sheet.rows)))
    if faults:
        raise Trouble(faults[:MOST_FAULTS])
    return BooksFile(Books(lines), sheet)


def write_books_file(path: Path, before: BooksFile, books: Books) -> BooksFile:
    """Write books, whole or not at all.

    path: of their file; before: as they were read; books: with lines more, or others settled.
    Returns: what was written. Raises: Trouble.
    """
    sheet = before.sheet.with_columns(COLUMNS)
    names = [cell.strip().lower() for cell in sheet.header.cells]
    old = len(before.books.lines)
    for number, line in enumerate(books.lines[:old]):
        if line != before.books.lines[number]:
            sheet = sheet.edited(number, "state", _cells(line)["state"])
    added = (_cells(line) for line in books.lines[old:])
    rows = (SheetRow(tuple(cells.get(name, "") for name in names)) for cells in added)
    sheet = replace(sheet, rows=(*sheet.rows, *rows))
    replace_bytes(path, bytes_of(sheet), beside_as=f".{path.name}.new")
    return BooksFile(books, sheet)


def _cells(line: Line) -> dict[str, str]:
    said = line.said
    return {
        "entry": str(line.entry), "when": line.when, "what": line.what, "job": line.job,
        "lot": line.lot, "count": str(line.count), "left": str(line.left),
        "thickness": said.thickness, "unit": said.unit, "within": said.within, "tool": said.tool,
        "fits": said.fits, "note": line.note, "undoes": str(line.undoes or ""),
        "state": f"{BEGUN} {line.seals}" if line.state == BEGUN else line.state,
    }  # fmt: skip


def _line(sheet: Sheet, row: int, faults: list[Fault]) -> Line:
    def fault(name: str, wanted: str, way_out: str) -> None:
        where = f"{sheet.source}: line {sheet.rows[row].line}: {name}"
        faults.append(Fault(where, shown(sheet.cell(row, name)), wanted, way_out))

    def number(name: str, pattern: str) -> int:
        text = sheet.cell(row, name)
        if re.fullmatch(pattern, text):
            return int(text or 0)
        fault(name, "a whole number", "put back what the books said, or the last copy of them")
        return 0

    what, state = sheet.cell(row, "what"), sheet.cell(row, "state")
    if what not in KINDS:
        fault("what", f"one of {', '.join(KINDS)}", "put back what the books said")
    sealed = _SEALED.fullmatch(state)
    if not sealed and state not in (DONE, NOT_DONE):
        fault("state", f"{DONE} or {NOT_DONE}", "put back what the books said")
    if not sheet.cell(row, "lot"):
        fault("lot", "the id of a lot", "put back what the books said")
    said = (sheet.cell(row, name) for name in ("thickness", "unit", "within", "tool", "fits"))
    return Line(
        entry=number("entry", "[0-9]{1,9}"), when=sheet.cell(row, "when"), what=what,
        lot=sheet.cell(row, "lot"), count=number("count", "-?[0-9]{1,9}"),
        job=sheet.cell(row, "job"), left=number("left", "-?[0-9]{0,9}"), said=Said(*said),
        note=sheet.cell(row, "note"), undoes=number("undoes", "[0-9]{0,9}"),
        state=BEGUN if sealed else state,
        seals=f"{sealed[1]} {sealed[2]}" if sealed else "",
    )  # fmt: skip
