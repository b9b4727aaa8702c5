"""The drawer's books on disk: every booking whole or not at all, whoever else has the drawer open.

First the books say what is begun, with digests of the drawer before and after; then the drawer is
replaced; then the books say that it is done. What was cut short in between is settled when the
books are next opened: the drawer itself shows whether it came about.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from solver import book_moves as moves
from solver.book_effects import after, check_books, counts_of, said_of
from solver.books_file import BooksFile, read_books_file, write_books_file
from solver.drawer_file import drawer_of
from solver.drawer_merge import changes
from solver.drawer_sheet import LARGEST_BYTES, Sheet, bytes_of, path_of_books, sheet_of
from solver.file_lock import held
from solver.ledger import BEGUN, COUNTED, DONE, NOT_DONE, Balance, Books, Line, Said, balance
from solver.plain_file import read_bytes, replace_bytes
from solver.plan import Plan
from solver.trouble import Fault, Trouble

WANTED = "a drawer as CSV text"
Move = Callable[[Books, Sheet], list[Line]]


@dataclass(frozen=True, slots=True)
class Opened:
    """A drawer with its books."""

    path: Path  # of the drawer
    sheet: Sheet
    data: bytes  # of the drawer's file
    file: BooksFile
    settled: str = ""  # what was found cut short, and what became of it; blank: nothing

    @property
    def books(self) -> Books:
        """The books themselves."""
        return self.file.books

    @property
    def balance(self) -> Balance:
        """The books against the drawer. Raises: Trouble where the drawer has faults."""
        return balance(self.books, counts_of(self.sheet))


@dataclass(frozen=True, slots=True)
class Booked:
    """What came of a booking."""

    after: Opened
    lines: tuple[Line, ...]  # none where there was nothing to book
    merged: bool = False  # another program had changed other lots, and its changes are kept

    @property
    def entry(self) -> int:
        """Number of the new entry, 0 where nothing was booked."""
        return self.lines[0].entry if self.lines else 0


def open_books(drawer: Path) -> Opened:
    """Open a drawer's books, and settle what was cut short.

    drawer: its file. Returns: both as they are now. Raises: Trouble.
    """
    opened = _read(drawer)
    if any(line.state == BEGUN for line in opened.books.lines):
        with held(drawer):
            return _settled(_read(drawer))
    return opened


def peek_books(drawer: Path) -> Books:
    """Look into a drawer's books without writing anything.

    drawer: its file. Returns: them, with what was cut short as it would be settled; empty books
    where there are none. Raises: Trouble.
    """
    if not path_of_books(drawer).exists():
        return Books()
    opened = _read(drawer)
    return opened.books.with_state(_outcome(opened)[0])


def take(drawer: Path, plan: Plan, job: str, *, base: Sheet | None = None) -> Booked:
    """Take a plan out of the drawer: afterwards exactly its pieces are out for the job.

    drawer: its file; plan: to fit; job: its name; base: the drawer as the plan was chosen from,
    None if it does not matter. Returns: what was booked. Raises: Trouble.
    """
    return book(drawer, lambda books, sheet: moves.taking(books, sheet, plan, job), base=base)


def put_back(
    drawer: Path, job: str, lots: dict[str, int] | None = None, *, base: Sheet | None = None
) -> Booked:
    """Put pieces of a job back into the drawer.

    drawer: its file; job: its name; lots: number by lot id, None for all; base: as for `take`.
    Returns: what was booked. Raises: Trouble.
    """
    return book(drawer, lambda books, sheet: moves.putting_back(books, sheet, job, lots), base=base)


def add(drawer: Path, what: str, lot: str, count: int, said: Said | None = None) -> Booked:
    """Have pieces arrive.

    drawer: its file; what: 'bought' or 'cut'; lot: its id; count: pieces; said: of a new lot, None
    for more of one that is there. Returns: what was booked. Raises: Trouble.
    """
    return book(drawer, lambda books, sheet: moves.adding(books, sheet, what, lot, count, said))


def use_up(drawer: Path, lot: str, count: int, job: str = "") -> Booked:
    """Write pieces off as spoiled or lost.

    drawer: its file; lot: its id; count: pieces; job: that they were out for, blank where they were
    in the drawer. Returns: what was booked. Raises: Trouble.
    """
    return book(drawer, lambda _, sheet: moves.using_up(sheet, lot, count, job))


def measure(
    drawer: Path,
    lot: str,
    found: moves.Measurement,
    pieces: int = 0,
    *,
    base: Sheet | None = None,
) -> Booked:
    """Enter a measured thickness.

    drawer: its file; lot: its id; found: by measuring; pieces: how many, parted off as a lot of
    their own, 0 for all of it; base: as for `take`. Returns: what was booked. Raises: Trouble.
    """
    return book(
        drawer, lambda books, sheet: moves.measuring(books, sheet, lot, found, pieces), base=base
    )


def undo(drawer: Path, entry: int = 0, *, base: Sheet | None = None) -> Booked:
    """Turn an entry round by another one; nothing is erased.

    drawer: its file; entry: its number, 0 for the last; base: as for `take`. Returns: what was
    booked. Raises: Trouble.
    """
    return book(drawer, lambda books, sheet: moves.undoing(books, sheet, entry), base=base)


def adopt(drawer: Path, what: str = COUNTED) -> Booked:
    """Take into the books what was done to the drawer past them.

    drawer: its file; what: 'counted', 'bought', 'cut' or 'used up'. Returns: what was booked.
    Raises: Trouble.
    """
    return book(drawer, lambda books, sheet: moves.adopting(books, sheet, what), by_hand=True)


def book(drawer: Path, move: Move, *, base: Sheet | None = None, by_hand: bool = False) -> Booked:
    """Book something, whole or not at all.

    drawer: its file; move: gives the lines out of books and drawer; base: the drawer as it was when
    the move was thought of: where another program has changed one of its lots since, nothing is
    booked, other lots keep that program's changes; by_hand: the drawer has it already.
    Returns: what was booked. Raises: Trouble.
    """
    with held(drawer):
        opened = _settled(_read(drawer))
        when = datetime.now().isoformat(" ", "seconds")
        start = [] if opened.books.lines else moves.starting(opened.sheet)
        books = _with(opened.books, start, when, DONE)
        lines = move(books, opened.sheet)
        if not lines:
            return Booked(opened, ())
        strange = base is not None and _held_against(base, opened.sheet, lines)
        sheet = opened.sheet
        if by_hand:
            there = counts_of(sheet)
            lines = [replace(line, left=there.get(line.lot, 0)) for line in lines]
        else:
            sheet, lines = after(sheet, lines)
        check_books(_with(books, lines, when, DONE), sheet.source)
        data = opened.data if by_hand else bytes_of(sheet)
        seals = f"{_seal(opened.data)} {_seal(data)}"
        begun = _with(books, lines, when, BEGUN, seals)
        done = _written(opened, begun, data)
        number = done.books.lines[-1].entry
        return Booked(done, done.books.entry(number), strange)


def _written(opened: Opened, begun: Books, data: bytes) -> Opened:
    """The three steps on disk; where the drawer refuses, the books say that it was not done."""
    drawer, books_path = opened.path, path_of_books(opened.path)
    file = write_books_file(books_path, opened.file, begun)
    try:
        if read_bytes(drawer, LARGEST_BYTES, WANTED) != opened.data:
            found = "it changed by another program at this very moment"
            raise Trouble([Fault(drawer.name, found, "it at rest", "try again")])
        if data != opened.data:
            replace_bytes(drawer, data, beside_as=_beside(drawer))
    except Trouble:
        write_books_file(books_path, file, begun.with_state(NOT_DONE))
        raise
    file = write_books_file(books_path, file, begun.with_state(DONE))
    return replace(opened, sheet=sheet_of(data, drawer.name), data=data, file=file)


def _with(books: Books, lines: list[Line], when: str, state: str, seals: str = "") -> Books:
    number = books.next_entry
    new = (replace(line, entry=number, when=when, state=state, seals=seals) for line in lines)
    return Books((*books.lines, *new))


def _held_against(base: Sheet, now: Sheet, lines: list[Line]) -> bool:
    """Refuse where a lot of the booking was changed since; whether others were."""
    touched = {line.lot for line in lines}
    found = changes(base, now)
    words, way_out = "it changed since it was read", "read it again and choose anew"
    faults = [
        Fault(f"{now.source}: {change.words}", words, "it as it was", way_out)
        for change in found
        if change.lot in touched
    ]
    if faults:
        raise Trouble(faults)
    return bool(found)


def _read(drawer: Path) -> Opened:
    data = read_bytes(drawer, LARGEST_BYTES, WANTED)
    return Opened(drawer, sheet_of(data, drawer.name), data, read_books_file(path_of_books(drawer)))


def _settled(opened: Opened) -> Opened:
    """Finish or give up what was cut short; to be called with the lock held."""
    books_path = path_of_books(opened.path)
    for beside in (_beside(opened.path), f".{books_path.name}.new"):
        books_path.with_name(beside).unlink(missing_ok=True)
    state, words = _outcome(opened)
    if not words:
        return opened
    file = write_books_file(books_path, opened.file, opened.books.with_state(state))
    return replace(opened, file=file, settled=words)


def _outcome(opened: Opened) -> tuple[str, str]:
    """Whether what was begun came about, as the drawer shows; in words where there was any."""
    begun = [line for line in opened.books.lines if line.state == BEGUN]
    if not begun:
        return DONE, ""
    before, behind = begun[0].seals.split()
    now = _seal(opened.data)
    if now in (before, behind):
        done = now == behind
    else:  # another hand was at it since: the lots of the booking itself must tell
        counts = {lot.id: lot.count for lot in drawer_of(opened.sheet, empty=True).lots}
        last = {line.lot: line for line in begun}.values()
        done = all(
            counts.get(line.lot) == line.left and said_of(opened.sheet, line.lot) == line.said
            for line in last
        )
    words = f"entry {begun[0].entry} ({begun[0].what}) was cut short, and is "
    words += "whole now" if done else "not done: the drawer is as it was before it"
    return (DONE if done else NOT_DONE), words


def _seal(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]


def _beside(drawer: Path) -> str:
    return f".{drawer.name}.new"
