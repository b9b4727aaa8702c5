"""Edits of the drawer as pure functions: a sheet in, a new sheet out; text as it was typed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import replace

from solver.drawer_sheet import COLUMNS, Sheet, SheetRow
from solver.trouble import Fault
from solver.units import NotAQuantity, length_um, unit_named

MOST_COUNT = 100_000


def same_sheet(one: Sheet | None, other: Sheet | None) -> bool:
    """Whether two sheets say the same; how their rows came to be does not count. Returns it."""
    if one is other or one is None or other is None:
        return one is other
    return (
        one.header.cells == other.header.cells
        and one.dialect == other.dialect
        and len(one.rows) == len(other.rows)
        and all(a is b or a.cells == b.cells for a, b in zip(one.rows, other.rows, strict=True))
    )


def columns_of(sheet: Sheet) -> tuple[str, ...]:
    """Names of a sheet's columns, in its order; unknown ones as the file has them. Returns them."""
    names = (cell.strip() for cell in sheet.header.cells)
    return tuple(name.lower() if name.lower() in COLUMNS else name for name in names)


def cell_at(sheet: Sheet, row: int, column: int) -> str:
    """One cell as text. row, column: numbers from 0. Returns it, blank where the row is short."""
    cells = sheet.rows[row].cells
    return cells[column] if column < len(cells) else ""


def set_cell(sheet: Sheet, row: int, column: int, text: str) -> Sheet:
    """Put a cell. row, column: numbers from 0; text: as typed. Returns the sheet after it."""
    old, text = sheet.rows[row], _clean(text)
    cells = [*old.cells, *[""] * (column + 1 - len(old.cells))]
    if cells[column] == text:
        return sheet
    cells[column] = text
    new = replace(old, cells=tuple(cells), raw="")
    return replace(sheet, rows=(*sheet.rows[:row], new, *sheet.rows[row + 1 :]))


def _clean(text: str) -> str:
    """One line of text; a drawer with signs that cannot be printed would not open again."""
    return "".join(c if c.isprintable() else " " if c.isspace() else "" for c in text)


def with_columns(sheet: Sheet, names: Iterable[str]) -> Sheet:
    """See that columns are there, adding at the right those that are not. Returns the sheet."""
    return sheet.with_columns(names)


def add_row(sheet: Sheet, after: int | None = None, unit: str = "mm") -> tuple[Sheet, int]:
    """Add a lot of one piece with an id of its own.

    after: the row it comes below, from 0, None for the end; unit: where that row has none to copy.
    Returns: (the sheet, the new row's number).
    """
    sheet = with_columns(sheet, ("id", "thickness", "unit", "count"))
    like = after if after is not None else len(sheet.rows) - 1
    copied = sheet.cell(like, "unit") if sheet.rows else ""
    place = len(sheet.rows) if after is None else after + 1
    wanted = {"id": free_id(sheet), "unit": copied or unit, "count": "1"}
    row = _row_of(sheet, wanted)
    return replace(sheet, rows=(*sheet.rows[:place], row, *sheet.rows[place:])), place


def _row_of(sheet: Sheet, wanted: dict[str, str]) -> SheetRow:
    return SheetRow(tuple(wanted.get(name, "") for name in columns_of(sheet)))


def free_id(sheet: Sheet, taken: Iterable[str] = ()) -> str:
    """An id that no row has, carrying on from the last. taken: others to keep off. Returns it."""
    ids = {sheet.cell(row, "id") for row in range(len(sheet.rows))} | set(taken)
    last = sheet.cell(len(sheet.rows) - 1, "id") if sheet.rows else ""
    match = re.fullmatch(r"(.*?)([0-9]{1,9})", last)
    stem, number = (match[1], int(match[2]) + 1) if match else (last or "S", 1)
    while f"{stem}{number}" in ids:
        number += 1
    return f"{stem}{number}"


def remove_rows(sheet: Sheet, rows: Iterable[int]) -> Sheet:
    """Take rows away. rows: their numbers from 0. Returns the sheet."""
    gone = set(rows)
    kept = tuple(row for place, row in enumerate(sheet.rows) if place not in gone)
    return replace(sheet, rows=kept) if gone else sheet


def count_by(sheet: Sheet, rows: Iterable[int], step: int) -> Sheet:
    """Count some lots up or down; none goes below 0, and a count that is no number stays.

    rows: their numbers from 0; step: pieces more. Returns the sheet.
    """
    column = sheet.column("count")
    if column is None:
        return sheet
    for row in rows:
        text = sheet.cell(row, "count") or "0"
        if re.fullmatch("[0-9]{1,9}", text):
            count = min(max(int(text) + step, 0), MOST_COUNT)
            sheet = set_cell(sheet, row, column, str(count))
    return sheet


def thickness_um(sheet: Sheet, row: int) -> float | None:
    """Thickness of a row's pieces [µm]. row: its number from 0. Returns: None if unreadable."""
    text, unit = sheet.cell(row, "thickness"), unit_named(sheet.cell(row, "unit"))
    try:
        return length_um(text, unit, decimal_comma=sheet.dialect.delimiter != ",")
    except NotAQuantity:
        return None


def nearest_row(sheet: Sheet, text: str, unit: str) -> int | None:
    """Find the row of the thickness nearest to one.

    text: as typed, with or without unit; unit: of a bare number. Returns: the row's number from 0,
    of equals the first; None where nothing can be read.
    """
    try:
        wanted_um = length_um(text, unit)
    except NotAQuantity:
        return None
    found = ((row, thickness_um(sheet, row)) for row in range(len(sheet.rows)))
    near = [(abs(um - wanted_um), row) for row, um in found if um is not None]
    return min(near)[1] if near else None


def sorted_rows(sheet: Sheet, column: int, *, down: bool = False) -> tuple[int, ...]:
    """The order that shows rows sorted by a column; the file's own order stays as it is.

    column: its number from 0; down: largest first. Returns: row numbers from 0; lengths by their
    size, counts by number, other cells by text with its numbers counted; blanks last, always.
    """
    name = columns_of(sheet)[column]

    def key(row: int) -> tuple[float, tuple[tuple[float, str], ...]]:
        if name in ("thickness", "within"):
            um = thickness_um(sheet, row) if name == "thickness" else _within_um(sheet, row)
            return (math.inf if um is None else um, ())
        text = cell_at(sheet, row, column).strip().lower()
        parts = re.findall("[0-9]+|[^0-9]+", text)
        return (0.0, tuple((float(p), "") if p.isdecimal() else (math.inf, p) for p in parts))

    blank = [row for row in range(len(sheet.rows)) if not cell_at(sheet, row, column).strip()]
    full = [row for row in range(len(sheet.rows)) if row not in set(blank)]
    return (*sorted(full, key=key, reverse=down), *blank)


def _within_um(sheet: Sheet, row: int) -> float | None:
    unit = unit_named(sheet.cell(row, "unit"))
    try:
        return length_um(
            sheet.cell(row, "within"), unit, decimal_comma=sheet.dialect.delimiter != ","
        )
    except NotAQuantity:
        return None


def paste_rows(sheet: Sheet, text: str, unit: str = "mm") -> tuple[Sheet, tuple[int, ...]]:
    """Add rows copied from a spreadsheet.

    text: lines of cells parted by tabs; a first line of column names says which is which, else the
    cells are taken in the sheet's own order, or as thickness and count where there are two or one;
    unit: of rows that name none. Returns: (the sheet, numbers of the new rows). A row without id
    gets one, without count gets 1.
    """
    lines = [line.split("\t") for line in re.split("\r\n|\r|\n", text) if line.strip()]
    if not lines:
        return sheet, ()
    heads = [cell.strip().lower() for cell in lines[0]]
    if "thickness" in heads:
        names, lines = heads, lines[1:]
        # An unknown column of the same name is the same column, whatever its capitals.
        own = {name.lower(): name for name in columns_of(sheet)}
        names = [own.get(name, name) for name in names]
    elif max(len(line) for line in lines) <= 2:
        names = ["thickness", "count"]
    else:
        names = list(columns_of(sheet))
    width = max((len(line) for line in lines), default=0)
    names = names[:width]
    sheet = with_columns(sheet, ("id", "thickness", "unit", "count"))
    sheet = with_columns(sheet, (name for name in names if name in COLUMNS))
    first = len(sheet.rows)
    for line in lines:
        wanted = {name: _clean(cell).strip() for name, cell in zip(names, line, strict=False)}
        wanted["id"] = wanted.get("id") or free_id(sheet)
        wanted["count"] = wanted.get("count") or "1"
        if not wanted.get("unit") and not _names_unit(wanted.get("thickness", "")):
            wanted["unit"] = unit
        row = _row_of(sheet, wanted)
        sheet = replace(sheet, rows=(*sheet.rows, row))
    return sheet, tuple(range(first, len(sheet.rows)))


def _names_unit(text: str) -> bool:
    try:
        length_um(text, None)
    except NotAQuantity:
        return False
    return True


def with_stock(sheet: Sheet, stock: Sheet) -> tuple[Sheet, tuple[int, ...]]:
    """Add the rows of a ready-made list.

    sheet: of the drawer; stock: the list's. Returns: (the sheet, numbers of the new rows). An id
    that is taken already gives way to a free one, as two lots of one name are a fault.
    """
    names = columns_of(stock)
    sheet = with_columns(sheet, (name for name in names if name in COLUMNS))
    first = len(sheet.rows)
    taken = {sheet.cell(row, "id") for row in range(first)}
    rows = []
    for row in stock.rows:
        wanted = dict(zip(names, row.cells, strict=False))
        if wanted.get("id", "") in taken:
            wanted["id"] = free_id(sheet, taken)
        taken.add(wanted.get("id", ""))
        rows.append(_row_of(sheet, wanted))
    return replace(sheet, rows=(*sheet.rows, *rows)), tuple(range(first, first + len(rows)))


def text_of(sheet: Sheet, rows: Iterable[int]) -> str:
    """Some rows as a spreadsheet takes them. rows: their numbers from 0. Returns lines of tabs."""
    width = len(sheet.header.cells)
    lines = ([cell_at(sheet, row, column) for column in range(width)] for row in rows)
    return "".join("\t".join(line) + "\n" for line in lines)


def summary_of(sheet: Sheet | None) -> str:
    """Say what is on hand, such as '31 shims, 9 thicknesses'. Returns it."""
    shims, thicknesses = 0, set()
    for row in range(len(sheet.rows) if sheet else 0):
        assert sheet is not None
        text, um = sheet.cell(row, "count"), thickness_um(sheet, row)
        if um is not None and re.fullmatch("[0-9]{1,9}", text) and int(text):
            shims += int(text)
            thicknesses.add(round(um, 2))
    kinds = len(thicknesses)
    return f"{shims} shim{'' if shims == 1 else 's'}, {kinds} thickness{'' if kinds == 1 else 'es'}"


def with_id(words: str, fault: Fault, sheet: Sheet) -> str:
    """Name a row by its id where a fault has it by its line in the file.

    words: of the fault; fault: its place ('rows', 3, …); sheet: that it is of. Returns the words.
    """
    if len(fault.place) < 2 or fault.place[0] != "rows" or not isinstance(fault.place[1], int):
        return words
    name = sheet.cell(fault.place[1], "id").strip() if fault.place[1] < len(sheet.rows) else ""
    return re.sub(r"^line \d+", lambda _: name, words) if name else words
