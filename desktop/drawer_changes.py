"""What another program did to the drawer: told row by row, and put together with what is here."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from desktop.disk import stamp_of
from desktop.document import ChangedOnDisk, Document
from solver.books import peek_books
from solver.drawer_merge import changes, merged, said_changes
from solver.drawer_sheet import LARGEST_BYTES, Sheet, path_of_books, sheet_of
from solver.file_lock import held
from solver.ledger import Books
from solver.plain_file import read_bytes
from solver.trouble import Trouble

_NO_BOOKS = Books()
_peeked: dict[Path, tuple[tuple[int, int], Books]] = {}  # with what the file was when last read


def on_disk(document: Document) -> tuple[Sheet, bytes] | None:
    """Read the drawer as it lies on the disk. document. Returns: None where it cannot be read."""
    if document.drawer_path is None:
        return None
    try:
        data = read_bytes(document.drawer_path, LARGEST_BYTES, "a drawer as CSV text")
        return sheet_of(data, document.drawer_path.name), data
    except Trouble:
        return None


def differences(document: Document, outcome: ChangedOnDisk) -> str:
    """Say what the other program did to the drawer.

    document: in the window; outcome: with the files that changed. Returns: ': A1: count 2, now 1',
    or nothing where it was not the drawer.
    """
    read = on_disk(document) if document.drawer_path in outcome.paths else None
    if read is None or document.saved_sheet is None:
        return ""
    found = changes(document.saved_sheet, read[0])
    return f": {said_changes(found)}" if found else ""


def both_together(document: Document) -> Document | None:
    """Put the changes of the other program and those here into one drawer.

    document: in the window. Returns: the document with both, not yet saved, None where a lot was
    changed by both and not alike, or nothing can be read.
    """
    read = on_disk(document)
    if read is None or document.saved_sheet is None or document.sheet is None:
        return None
    sheet, data = read
    both, _ = merged(document.saved_sheet, document.sheet, sheet)
    if both is None or document.drawer_path is None:
        return None
    stamp = stamp_of(document.drawer_path, data)
    return replace(document, sheet=both, saved_sheet=sheet, drawer_stamp=stamp)


def books_of(drawer: Path | None) -> Books:
    """Look into a drawer's books, read again only when their file has changed.

    drawer: its file, or None. Returns: them, empty where there are none. Raises: Trouble.
    """
    if drawer is None:
        return _NO_BOOKS
    try:
        found = path_of_books(drawer).stat()
    except (OSError, ValueError):
        return _NO_BOOKS
    stamp = (found.st_mtime_ns, found.st_size)
    if drawer not in _peeked or _peeked[drawer][0] != stamp:
        _peeked[drawer] = (stamp, peek_books(drawer))
    return _peeked[drawer][1]


def job_name(table: Mapping[str, Any]) -> str:
    """What the books call a job. table: the job's. Returns its title, '' where it has none."""
    title = table.get("title")
    return " ".join(title.split()) if isinstance(title, str) else ""


@contextlib.contextmanager
def drawer_held(document: Document) -> Iterator[None]:
    """Keep other bookings off the drawer while it is saved. document: that is saved.

    Raises: Trouble.
    """
    drawer = document.drawer_path
    if drawer is None or not document.drawer_unsaved or not drawer.exists():
        yield
        return
    with held(drawer):
        yield
