"""The lists of what can be bought and cut: read from their files, written back at every change.

A list is nobody's job: prices serve every job, so a change is in its file at once, whole or not at
all, and can be taken back. What another program writes is read; it is never written over.
"""

from __future__ import annotations

from pathlib import Path

from desktop.disk import Stamp, stamp_of, still_same
from desktop.drawer_edits import same_sheet
from desktop.reading_faults import NOTHING
from solver.drawer_sheet import LARGEST_BYTES, Sheet, bytes_of, sheet_of
from solver.market import Market
from solver.market_file import load_market
from solver.plain_file import read_bytes, replace_bytes
from solver.trouble import Fault, Trouble

OFFERS, SHEETS = "offers", "sheets"
LISTS = (OFFERS, SHEETS)
HEADERS = {
    OFFERS: "id,seller,pack,thickness,unit,count,within,price,delivery,days",
    SHEETS: "id,thickness,unit,within,lift,price_per_piece,minutes,left",
}
_WANTED = "a list as CSV text"
NOT_WRITTEN = "{} was changed by another program meanwhile: it is shown anew, without your change"
Seen = tuple[int, int] | None  # time and size of a file, to look at it often


class PriceList:
    """One list and its file."""

    def __init__(self, key: str) -> None:
        """key: OFFERS or SHEETS."""
        self.key = key
        self.path: Path | None = None
        self.sheet: Sheet | None = None  # None: no file, or one that cannot be read
        self.market = Market()  # what is on offer by it
        self.faults: tuple[Fault, ...] = ()  # their places ('rows', 3, 'price') into the sheet
        self._stamp: Stamp | None = None
        self._seen: Seen = None
        self._past: list[Sheet] = []
        self._future: list[Sheet] = []

    @property
    def red(self) -> tuple[Fault, ...]:
        """What is wrong."""
        return tuple(fault for fault in self.faults if fault.found != NOTHING)

    @property
    def wishes(self) -> tuple[Fault, ...]:
        """What is merely still to be filled in."""
        return tuple(fault for fault in self.faults if fault.found == NOTHING)

    @property
    def wish_names(self) -> tuple[str, ...]:
        """What is still to be filled in, by the row's own name where it has one."""
        names = []
        for fault in self.wishes:
            match fault.place:
                case ("rows", int(row), str(column)) if self.sheet is not None:
                    own = self.sheet.cell(row, "id") or f"line {self.sheet.rows[row].line}"
                    names.append(f"the {column.replace('_', ' ')} of {own}")
                case _:
                    names.append(f"{fault.wanted} in {fault.where}")
        return tuple(names)

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.sheet.rows) if self.sheet is not None else 0

    @property
    def missing(self) -> bool:
        """Whether the job names a file that is not there."""
        return self.path is not None and not self.path.exists()

    @property
    def can_undo(self) -> bool:
        """Whether a change can be taken back."""
        return bool(self._past)

    @property
    def can_redo(self) -> bool:
        """Whether a change that was taken back can be made again."""
        return bool(self._future)

    def look(self, path: Path | None) -> bool:
        """See that what is here is what is in the file.

        path: that the job names, or None. Returns whether anything is new.
        """
        if path == self.path and seen(path) == self._seen:
            return False
        if path != self.path:
            self._past, self._future = [], []
        self.path = path
        self._read()
        return True

    def put(self, sheet: Sheet) -> str:
        """Write a changed list. sheet: it. Returns '' or why it was not written."""
        before = self.sheet
        told = self._write(sheet)
        if not told and before is not None:
            self._past.append(before)
            self._future = []
        return told

    def undo(self) -> str:
        """Take the last change back. Returns '' or why that is not possible."""
        return self._step(self._past, self._future)

    def redo(self) -> str:
        """Make it again. Returns '' or why that is not possible."""
        return self._step(self._future, self._past)

    def _step(self, source: list[Sheet], target: list[Sheet]) -> str:
        if not source or self.sheet is None:
            return ""
        before = self.sheet
        told = self._write(source[-1])
        if not told:
            source.pop()
            target.append(before)
        return told

    def _write(self, sheet: Sheet) -> str:
        path = self.path
        if path is None:
            return "there is no file yet"
        if not still_same(path, self._stamp):
            self._read()
            return NOT_WRITTEN.format(path.name)
        try:
            replace_bytes(path, bytes_of(sheet))
        except Trouble as trouble:
            return str(trouble.faults[0])
        self._read(sheet)
        return ""

    def _read(self, written: Sheet | None = None) -> None:
        """Read the file. written: what was just put into it, which keeps the rows as they are."""
        path = self.path
        self._seen = seen(path)
        before, self.sheet, self.faults, self.market = self.sheet, None, (), Market()
        self._stamp = None
        if path is None:
            return
        try:
            data = read_bytes(path, LARGEST_BYTES, _WANTED)
            self.sheet = written or sheet_of(data, path.name)
            self._stamp = stamp_of(path, data)
            offers = self.key == OFFERS
            self.market = load_market(path if offers else None, None if offers else path)
        except Trouble as trouble:
            self.faults = trouble.faults
        if written is None and not same_sheet(before, self.sheet):
            self._past, self._future = [], []  # another hand's work is not ours to undo


def begin_list(key: str, path: Path) -> str:
    """Begin a list that has no rows yet.

    key: of LISTS; path: a file there already is left as it is. Returns: '' or why it could not be.
    """
    if path.exists():
        return ""
    try:
        replace_bytes(path, f"{HEADERS[key]}\n".encode())
    except Trouble as trouble:
        return str(trouble.faults[0])
    return ""


def merged(lists: dict[str, PriceList]) -> Market:
    """Put what all lists offer into one. lists: by key. Returns the Market."""
    offers, sheets = lists[OFFERS].market, lists[SHEETS].market
    assumed = dict.fromkeys((*offers.assumed, *sheets.assumed))
    return Market(offers.packs, offers.delivery_cents, sheets.sheets, tuple(assumed))


def seen(path: Path | None) -> Seen:
    """Tell a file's time and size, to see when it has changed. path: None has neither."""
    try:
        stat = path.stat() if path is not None else None
    except (OSError, ValueError):
        return None
    return (stat.st_mtime_ns, stat.st_size) if stat is not None else None
