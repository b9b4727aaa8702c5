"""The job as the window edits it: its table and drawer, where they are kept, and what was saved."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

from desktop.disk import Stamp, stamp_of, still_same
from desktop.drawer_edits import same_sheet
from desktop.edits import Edit, Table, alike, fresh_table, set_at
from desktop.toml_text import table_of, toml_with
from solver.drawer_sheet import LARGEST_BYTES as LARGEST_DRAWER_BYTES
from solver.drawer_sheet import Sheet, bytes_of, sheet_of
from solver.plain_file import read_bytes, replace_bytes
from solver.trouble import Fault, Trouble

DRAWER_NAME = "drawer.csv"


@dataclass(frozen=True, slots=True)
class Document:
    """A job and its drawer as they are now, and as they are on the disk."""

    table: Table  # never changed in place: edits make new ones
    sheet: Sheet | None = None  # None: no drawer yet, or one that cannot be read
    path: Path | None = None  # None: never saved
    drawer_path: Path | None = None
    drawer_faults: tuple[Fault, ...] = ()  # why the drawer named by the job could not be read
    source: str = ""  # the job file's text
    saved_table: Table | None = None
    saved_sheet: Sheet | None = None
    job_stamp: Stamp | None = None
    drawer_stamp: Stamp | None = None

    @property
    def job_unsaved(self) -> bool:
        """Whether the table differs from what is on the disk; a new job's first table does not."""
        return not alike(self.table, self.saved_table)

    @property
    def drawer_unsaved(self) -> bool:
        """Whether the drawer differs from what is on the disk."""
        return not same_sheet(self.sheet, self.saved_sheet)

    @property
    def unsaved(self) -> bool:
        """Whether closing now would lose something."""
        return self.job_unsaved or self.drawer_unsaved

    @property
    def folder(self) -> Path:
        """That the drawer's path starts from; of a job never saved, the working folder."""
        return self.path.parent if self.path else Path.cwd()

    @property
    def name(self) -> str:
        """What messages call the job's file."""
        return self.path.name if self.path else "this job"

    def edited(self, edit: Edit) -> Document:
        """The document after an edit of its table. edit: from desktop.edits. Returns it."""
        return replace(self, table=edit(self.table))

    def at(self, table: Table, sheet: Sheet | None) -> Document:
        """The document with another table and sheet, as undo gives them. Returns it."""
        return replace(self, table=table, sheet=sheet)


@dataclass(frozen=True, slots=True)
class Saved:
    """A save that succeeded."""

    document: Document
    comments_kept: bool = True  # False: the file could not be changed in place, and is all new


@dataclass(frozen=True, slots=True)
class ChangedOnDisk:
    """Files that are not as this window left them, and would be lost if it saved over them."""

    paths: tuple[Path, ...]
    strange: bool = False  # they are not this job's own files: something else is there already

    @property
    def words(self) -> str:
        """One sentence for people, with no full stop."""
        names = " and ".join(path.name for path in self.paths)
        verb = "were" if len(self.paths) > 1 else "was"
        if self.strange:
            return f"{names} {verb} there already"
        return f"{names} {verb} changed by another program since this job was opened"


def new_document(unit: str = "mm", table: Table | None = None) -> Document:
    """Begin a job that has no file yet. unit: 'mm', 'um', 'in' or 'thou'; table: to begin with."""
    table = fresh_table(unit) if table is None else table
    return Document(table, saved_table=table)


def open_document(path: Path) -> Document:
    """Open a job file with the drawer it names.

    path: of the file. Returns: the document; a drawer that cannot be read leaves its faults in it.
    Raises: Trouble where the job itself is no file, no text, no TOML.
    """
    from solver.job_file import LARGEST_BYTES, load_table

    path = Path(path)
    data = read_bytes(path, LARGEST_BYTES, "a job file in TOML")
    stamp = stamp_of(path, data)
    try:
        source = data.decode("utf-8")
        table = table_of(source)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        load_table(path)  # it says what is wrong, in the words of every door
        raise
    document = Document(table, path=path, source=source, saved_table=table, job_stamp=stamp)
    named = table.get("drawer")
    if not isinstance(named, str) or not named.strip() or "\0" in named:
        return document
    return open_drawer(document, path.parent / named.strip(), named_already=True)


def open_drawer(document: Document, path: Path, *, named_already: bool = False) -> Document:
    """Take another drawer file for a job.

    document; path: of a CSV file; named_already: the job names it, its table stays as it is.
    Returns: the document; a file that cannot be read leaves its faults in it, and no drawer.
    """
    if not named_already:
        document = document.edited(set_at(("drawer",), named_beside(path, document.path)))
    try:
        data = read_bytes(path, LARGEST_DRAWER_BYTES, "a drawer as CSV text")
        sheet = sheet_of(data, path.name)
    except Trouble as trouble:
        # Without its stamp the file counts as another program's: it is never saved over unasked.
        return replace(
            document, drawer_path=path, drawer_faults=trouble.faults, sheet=None,
            saved_sheet=None, drawer_stamp=None,
        )  # fmt: skip
    return replace(
        document, drawer_path=path, drawer_faults=(), sheet=sheet, saved_sheet=sheet,
        drawer_stamp=stamp_of(path, data),
    )  # fmt: skip


def changed_on_disk(document: Document) -> ChangedOnDisk | None:
    """Look whether another program has changed the files since. document. Returns them, or None."""
    changed = []
    if document.path and document.job_stamp and not still_same(document.path, document.job_stamp):
        changed.append(document.path)
    drawer, stamp = document.drawer_path, document.drawer_stamp
    if drawer and stamp and not still_same(drawer, stamp):
        changed.append(drawer)
    return ChangedOnDisk(tuple(changed)) if changed else None


def save_document(
    document: Document, path: Path | None = None, *, anyway: bool = False
) -> Saved | ChangedOnDisk:
    """Save a job and its drawer, each whole or not at all; what is as it was is not touched.

    document; path: to save the job under another name, or the first; anyway: over whatever is
    there. Returns: Saved with the document to go on with, or ChangedOnDisk and nothing written.
    Raises: Trouble where the disk refuses; ValueError for a job that has no path at all.
    """
    target = Path(path) if path else document.path
    if target is None:
        raise ValueError("a job never saved wants a path")
    elsewhere = document.path is None or target.resolve() != document.path.resolve()
    document, drawer = _settle_drawer(document, target, elsewhere)
    if elsewhere:
        document = _settle_lists(document, target)
    text, kept = toml_with(document.source, document.table)
    data = text.encode("utf-8")
    write_job = elsewhere or document.job_unsaved or not target.exists()
    write_drawer = document.sheet is not None and (
        document.drawer_unsaved or drawer is None or not drawer.exists()
    )
    if not anyway:
        refused = _refused(document, target, data if write_job else None, elsewhere, write_drawer)
        if refused:
            return refused
    if write_drawer and drawer is not None and document.sheet is not None:
        rows = bytes_of(document.sheet)
        replace_bytes(drawer, rows)
        document = replace(
            document, saved_sheet=document.sheet, drawer_stamp=stamp_of(drawer, rows),
            drawer_faults=(),
        )  # fmt: skip
    if write_job:
        replace_bytes(target, data)
        document = replace(
            document, path=target, source=text, saved_table=document.table,
            job_stamp=stamp_of(target, data),
        )  # fmt: skip
    return Saved(document, kept)


def save_drawer_as(
    document: Document, path: Path, *, anyway: bool = False
) -> Saved | ChangedOnDisk:
    """Save the drawer alone under another name, and have the job name it.

    document: with a sheet; path: of the CSV file; anyway: over whatever is there. Returns: Saved,
    whose job is unsaved as it names the drawer anew, or ChangedOnDisk and nothing written.
    Raises: Trouble where the disk refuses; ValueError where there is no sheet.
    """
    if document.sheet is None:
        raise ValueError("no drawer to save")
    data = bytes_of(document.sheet)
    own = path == document.drawer_path and still_same(path, document.drawer_stamp)
    if not anyway and not own and path.exists() and not _says_already(path, data):
        return ChangedOnDisk((path,), strange=path != document.drawer_path)
    replace_bytes(path, data)
    document = replace(
        document.edited(set_at(("drawer",), named_beside(path, document.path))), drawer_path=path,
        saved_sheet=document.sheet, drawer_stamp=stamp_of(path, data), drawer_faults=(),
    )  # fmt: skip
    return Saved(document)


def _refused(
    document: Document, target: Path, data: bytes | None, elsewhere: bool, write_drawer: bool
) -> ChangedOnDisk | None:
    """What a save would overwrite that this window did not write."""
    changed = []
    if data is not None and target.exists():
        own = not elsewhere and still_same(target, document.job_stamp)
        if not own and not _says_already(target, data):
            changed.append(target)
    if changed and elsewhere:
        return ChangedOnDisk(tuple(changed), strange=True)
    drawer = document.drawer_path
    if write_drawer and drawer is not None and document.sheet is not None and drawer.exists():
        same = still_same(drawer, document.drawer_stamp)
        if not same and not _says_already(drawer, bytes_of(document.sheet)):
            changed.append(drawer)
    return ChangedOnDisk(tuple(changed)) if changed else None


def _says_already(path: Path, data: bytes) -> bool:
    """Whether a file says what is to be saved, as after a save that was half done."""
    stamp = stamp_of(path, data)
    return stamp is not None and still_same(path, stamp)


def _settle_drawer(
    document: Document, target: Path, elsewhere: bool
) -> tuple[Document, Path | None]:
    """See that the job names its drawer by a path that is right from where the job is saved."""
    drawer = document.drawer_path
    if drawer is None and document.sheet is not None:
        drawer = target.parent / DRAWER_NAME
        if drawer.exists():  # somebody else's drawer
            drawer = target.parent / f"{target.stem}-{DRAWER_NAME}"
        document = replace(document, drawer_path=drawer)
    if drawer is None:
        return document, None
    if elsewhere or not document.table.get("drawer"):
        document = document.edited(set_at(("drawer",), named_beside(drawer, target)))
    return document, drawer


def _settle_lists(document: Document, target: Path) -> Document:
    """See that what can be bought and cut is named by paths that are right from there too."""
    for key in ("offers", "sheets"):
        name = document.table.get(key)
        if isinstance(name, str) and name.strip() and "\0" not in name:
            path = document.folder / name.strip()
            document = document.edited(set_at((key,), named_beside(path, target)))
    return document


def named_beside(drawer: Path, job: Path | None) -> str:
    """How a job names a file: from its own folder, with forward slashes everywhere.

    drawer: path of the file; job: of the job, None for one never saved. Returns the name.
    """
    if job is None:
        return drawer.resolve().as_posix()
    try:
        near = os.path.relpath(drawer.resolve(), job.resolve().parent)
    except ValueError:  # another drive of Windows
        return drawer.resolve().as_posix()
    return Path(near).as_posix()
