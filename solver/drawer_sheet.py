"""A drawer's CSV as it lies in the file: cells as text, written back as found but for what changed.

Every row keeps the characters it came from. A row whose cells are untouched is written with those
very characters; an edited or new one is written afresh in the file's own dialect.
"""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from solver.plain_file import read_bytes, replace_bytes
from solver.trouble import Fault, Trouble, shown

COLUMNS = ("id", "thickness", "unit", "count", "within", "tool", "fits", "note")
LARGEST_BYTES, MOST_ROWS = 20_000_000, 20_000
_WANTED = "a drawer as CSV text"


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a file writes its table."""

    delimiter: str = ","
    decimal: str = "."
    line_end: str = "\n"
    encoding: str = "utf-8"
    mark: str = ""  # byte order mark at the head of the file, if there was one
    head: str = ""  # a line 'sep=;' and blank lines before the header


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row: its cells as text, and the characters that they came from."""

    cells: tuple[str, ...]
    line: int = 0  # in the file, from 1; 0: new
    raw: str = ""  # with its line end; blank: write it afresh
    before: str = ""  # blank lines above it


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole file."""

    source: str
    header: SheetRow
    rows: tuple[SheetRow, ...]
    dialect: Dialect = field(default=Dialect())
    after: str = ""  # blank lines at the end

    def column(self, name: str) -> int | None:
        """Place of a column. name: one of COLUMNS. Returns it, or None where there is none."""
        return _places(self.header.cells).get(name)

    def cell(self, row: int, name: str) -> str:
        """One cell as text, trimmed. row: its number from 0; name: of a column. Returns it."""
        place, cells = self.column(name), self.rows[row].cells
        return cells[place].strip() if place is not None and place < len(cells) else ""

    def edited(self, row: int, name: str, text: str) -> Sheet:
        """This sheet with one cell changed.

        row: its number from 0; name: of a column that is there; text: what it is to say.
        Returns: a new sheet; the same one where nothing changes. Raises: KeyError.
        """
        place = self.column(name)
        if place is None:
            raise KeyError(name)
        old = self.rows[row]
        cells = [*old.cells, *[""] * (place + 1 - len(old.cells))]
        if cells[place] == text:
            return self
        cells[place] = text
        new = replace(old, cells=tuple(cells), raw="")
        return replace(self, rows=(*self.rows[:row], new, *self.rows[row + 1 :]))

    def with_row(self, cells: dict[str, str]) -> Sheet:
        """This sheet with a row more. cells: text for columns that are there. Returns it."""
        names = [cell.strip().lower() for cell in self.header.cells]
        row = SheetRow(tuple(cells.get(name, "") for name in names))
        return replace(self, rows=(*self.rows, row))

    def with_columns(self, names: Iterable[str]) -> Sheet:
        """This sheet with columns more at the right. names: of those that are wanted. Returns it;
        the same one where they are all there."""
        missing = [name for name in names if self.column(name.strip().lower()) is None]
        if not missing:
            return self
        width = len(self.header.cells)
        header = replace(self.header, cells=(*self.header.cells, *missing), raw="")
        wide = width + len(missing)
        rows = tuple(
            replace(row, cells=row.cells + ("",) * (wide - len(row.cells)), raw="")
            if len(row.cells) <= width
            else row  # a row with more cells than the header is a fault that its owner must see
            for row in self.rows
        )
        return replace(self, header=header, rows=rows)

    def without_row(self, row: int) -> Sheet:
        """This sheet with a row less. row: its number from 0. Returns it."""
        return replace(self, rows=(*self.rows[:row], *self.rows[row + 1 :]))


@lru_cache(maxsize=16)
def _places(header: tuple[str, ...]) -> dict[str, int]:
    """Where each column is; the first of two that share a name."""
    names = [cell.strip().lower() for cell in header]
    return {name: names.index(name) for name in names}


def new_sheet(source: str = "drawer.csv") -> Sheet:
    """An empty drawer with every column. source: name of the file it will be. Returns it."""
    return Sheet(source, SheetRow(COLUMNS), ())


def read_sheet(
    path: Path | str, wanted: str = _WANTED, columns: tuple[str, ...] = COLUMNS
) -> Sheet:
    """Read a drawer's file, or another CSV of ours, without judging what its cells say.

    path: of a CSV file; wanted: what it is to be, in words; columns: that it begins with. Returns:
    the sheet. Raises: Trouble for a file that is missing, too large, not text, without a header.
    """
    path = Path(path)
    try:
        return sheet_of(read_bytes(path, LARGEST_BYTES, _WANTED), path.name)
    except Trouble as trouble:
        begins, ours = ",".join(COLUMNS), ",".join(columns)
        raise Trouble(
            [
                replace(
                    fault,
                    wanted=wanted if fault.wanted == _WANTED else fault.wanted,
                    way_out=fault.way_out.replace(begins, ours),
                )
                for fault in trouble.faults
            ]
        ) from None


def sheet_of(data: bytes, source: str, *, most_rows: int = MOST_ROWS) -> Sheet:
    """Read a sheet from a file's bytes.

    data; source: its name; most_rows: more are refused. Returns it. Raises: Trouble.
    """
    encoding, mark, text = _decoded(data, source)
    sep = re.match(r"sep=([,;\t|])(?:\r\n|\r|\n)", text)
    head = sep[0] if sep else ""
    lines = [line for line in re.split(r"(?<=\n)|(?<=\r)(?!\n)", text[len(head) :]) if line]
    while lines and not lines[0].strip():
        head += lines.pop(0)
    if not lines:
        fault = Fault(source, "an empty file", _WANTED, f"start it with {','.join(COLUMNS)}")
        raise Trouble([fault])
    delimiter = sep[1] if sep else max(",;\t", key=lines[0].count)
    rows: list[SheetRow] = []
    blank, header = "", None
    for row in _records(lines, delimiter, len(re.findall(r"\r\n|\r|\n", head)), source):
        if not any(cell.strip() for cell in row.cells):
            blank += row.raw
        elif header is None:
            header = row
        else:
            rows.append(replace(row, before=blank))
            blank = ""
        if len(rows) > most_rows:
            found, most = f"more than {most_rows} rows", f"at most {most_rows}"
            way_out = "give like pieces one row with a count, or take rows out"
            raise Trouble([Fault(source, found, most, way_out)])
    if header is None:
        fault = Fault(source, "no header", _WANTED, f"start it with {','.join(COLUMNS)}")
        raise Trouble([fault])
    ends = re.search(r"\r\n|\r|\n", header.raw)
    dialect = Dialect(delimiter, ".", ends[0] if ends else "\n", encoding, mark, head)
    sheet = Sheet(source, header, tuple(rows), dialect, blank)
    return replace(sheet, dialect=replace(dialect, decimal=_decimal(sheet)))


def path_of_books(drawer: Path) -> Path:
    """Where the books of a drawer lie. drawer: its file. Returns: beside it, `….books.csv`."""
    drawer = Path(os.path.realpath(drawer))  # whatever links lead to it, its books are one
    return drawer.with_name(f"{drawer.name.removesuffix('.csv')}.books.csv")


def write_sheet(sheet: Sheet, path: Path | str) -> None:
    """Write a sheet, whole or not at all. sheet; path: of the file. Raises: Trouble."""
    replace_bytes(Path(path), bytes_of(sheet))


def bytes_of(sheet: Sheet) -> bytes:
    """A sheet as its file's bytes. sheet. Returns: them; in UTF-8 where its code lacks a sign."""
    dialect = sheet.dialect
    pieces = [_written(sheet.header, dialect)]
    for row in sheet.rows:
        pieces += [row.before, _written(row, dialect)]
    pieces.append(sheet.after)
    pieces = [piece for piece in pieces if piece]
    for place, piece in enumerate(pieces[:-1]):
        if not piece.endswith(("\n", "\r")):
            pieces[place] = piece + dialect.line_end
    text = dialect.mark + dialect.head + "".join(pieces)
    try:
        return text.encode(dialect.encoding)
    except UnicodeEncodeError:
        return f"\ufeff{text}".encode("utf-8", "replace")


def _written(row: SheetRow, dialect: Dialect) -> str:
    if row.raw:
        return row.raw
    quote = re.compile('["\r\n]|^\\s|\\s$|' + re.escape(dialect.delimiter))
    cells = (
        '"' + cell.replace('"', '""') + '"' if quote.search(cell) else cell for cell in row.cells
    )
    return dialect.delimiter.join(cells) + dialect.line_end


def _decoded(data: bytes, source: str) -> tuple[str, str, str]:
    """Code, mark and text of a file as spreadsheets save it."""
    codes = ["utf-8", "cp1252"]
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        codes = ["utf-16-le" if data[0] == 0xFF else "utf-16-be"]
    for code in codes:
        try:
            text = data.decode(code)
        except UnicodeDecodeError:
            continue
        if not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f]", text):
            mark = "\ufeff" if text.startswith("\ufeff") else ""
            return code, mark, text[len(mark) :]
    raise Trouble([Fault(source, "bytes that are not text", _WANTED, "save it as CSV in UTF-8")])


def _records(lines: list[str], delimiter: str, skipped: int, source: str) -> Iterator[SheetRow]:
    """Rows with the characters they came from."""
    reader, used = csv.reader(iter(lines), delimiter=delimiter), 0
    while True:
        line = skipped + used + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            fault = Fault(f"{source}: line {line}", "a cell past any use", _WANTED, _QUOTE)
            raise Trouble([fault]) from None
        raw = "".join(lines[used : reader.line_num])
        if reader.line_num - used > 1 and raw.count('"') % 2:
            found, wanted = f"{shown(raw[:40])}, never closed", "a closed quote"
            raise Trouble([Fault(f"{source}: line {line}", found, wanted, _QUOTE)])
        used = reader.line_num
        yield SheetRow(tuple(cells), line, raw)


_QUOTE = "look for a quote that opens and is never closed"


def _decimal(sheet: Sheet) -> str:
    """The sign that the file's numbers use."""
    for row in range(len(sheet.rows)):
        for name in ("thickness", "within"):
            if re.search("[0-9],[0-9]", sheet.cell(row, name)):
                return ","
    return "."
