"""Jobs that are to share one order with the open one: their files, read as the terminal does."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from desktop.routes_files import Seen, seen
from solver.terminal_inputs import read_inputs
from solver.trouble import Fault, Trouble

if TYPE_CHECKING:
    from desktop.document import Document
    from solver.drawer import Drawer
    from solver.drawer_sheet import Sheet
    from solver.job import Job

JOBS = (("Jobs", "*.toml"), ("All files", "*"))
DIFFERENT, ONE_DRAWER = "jobs with different drawers", "one drawer for all of these jobs"


@dataclass(frozen=True, slots=True)
class OwnDrawer:
    """The drawer of the open job, as it stands in the window."""

    drawer: Drawer
    path: Path | None  # None: never saved
    sheet: Sheet | None  # where it differs from what is on the disk


@dataclass(frozen=True, slots=True)
class Added:
    """A job file that was added, as it was on the disk when it was last read."""

    path: Path
    seen: Seen = None
    title: str = ""
    job: Job | None = None  # None: there are faults
    drawer: Drawer | None = None
    faults: tuple[Fault, ...] = ()


def ask_jobs(folder: Path) -> tuple[Path, ...]:
    """Ask for job files with the system's dialog, several at once.

    folder: to begin in. Returns: their paths, none where the user gave up.
    """
    from tkinter import filedialog

    found = filedialog.askopenfilenames(filetypes=JOBS, initialdir=folder, title="Add a job")
    return tuple(Path(name) for name in found or ())


def own_drawer(document: Document, drawer: Drawer) -> OwnDrawer:
    """Tell of the open job's drawer. document: the job; drawer: as it was answered with."""
    unsaved = document.sheet if document.drawer_unsaved else None
    return OwnDrawer(drawer, document.drawer_path, unsaved)


def read_added(path: Path, own: OwnDrawer | None) -> Added:
    """Read a job that was added, from the disk.

    path: of its file; own: the drawer that it has to share, None while that is not settled.
    Returns: the job, or every fault of it and its drawer.
    """
    at = seen(path)
    try:
        job, drawer = read_inputs(path, None)
        if own is not None:
            drawer = _as_in_the_window(job, drawer, own)
            if drawer.lots != own.drawer.lots:
                raise Trouble([_another_drawer(path, job, own)])
    except Trouble as trouble:
        return Added(path, at, _title_of(path), faults=trouble.faults)
    return Added(path, at, _one_line(job.title), job, drawer)


def same_file(one: Path | None, other: Path | None) -> bool:
    """Whether two paths are of one file. one, other: None is no file."""
    return one is not None and other is not None and one.resolve() == other.resolve()


def _as_in_the_window(job: Job, drawer: Drawer, own: OwnDrawer) -> Drawer:
    """The drawer that both name, with the changes that only the window has."""
    if own.sheet is None or own.path is None or not same_file(job.drawer_path, own.path):
        return drawer
    from solver.books import peek_books
    from solver.drawer_file import check_drawer
    from solver.on_hand import drawer_for

    drawer = drawer_for(own.sheet, peek_books(own.path), job.title)
    check_drawer(drawer, job, own.sheet.source)
    return drawer


def _another_drawer(path: Path, job: Job, own: OwnDrawer) -> Fault:
    way_out = "save the open job's drawer first, and let both name it"
    if same_file(job.drawer_path, own.path):
        way_out = "by its books shims are out for one of them: put them back first"
    elif own.path is not None:
        way_out = f"let this job name {own.path.name}, or take it off the list"
    return Fault(f"{path.name}: drawer", DIFFERENT, ONE_DRAWER, way_out, ("drawer",))


def _title_of(path: Path) -> str:
    """The title of a job that has faults, '' where it cannot even be told."""
    from solver.job_file import load_table

    try:
        title = load_table(path).get("title")
    except Trouble:
        return ""
    return _one_line(title) if isinstance(title, str) else ""


def _one_line(title: str) -> str:
    return " ".join(title.split())


def with_faults(one: Added, trouble: Trouble) -> Added:
    """Give a job that could be read the faults that answering it brought to light.

    one: it; trouble: the faults. Returns it without a job.
    """
    name = one.path.name
    named = tuple(replace(fault, where=f"{name}: {fault.where}") for fault in trouble.faults)
    return replace(one, job=None, drawer=None, faults=named)
