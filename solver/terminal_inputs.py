"""A job and its drawer, read for a verb: all faults of both at once."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded late: help and bad arguments must not wait for the solver
    from solver.drawer import Drawer
    from solver.job import Job

Told = tuple[str, int]  # what to print, and the exit code


@dataclass(frozen=True, slots=True)
class ToldVerb:
    """A verb that only tells: what it takes and what it says."""

    summary: str
    usage: str
    add_arguments: Callable[[argparse.ArgumentParser], None]
    tell: Callable[[argparse.Namespace], Told]


def read_inputs(job_path: Path, drawer_path: Path | None) -> tuple[Job, Drawer]:
    """Read a job and its drawer, all faults of both at once.

    job_path: a TOML file; drawer_path: a CSV file in place of the job's own, or None.
    Returns (job, drawer). Raises: Trouble.
    """
    from solver.drawer_file import check_drawer
    from solver.job_file import load_table, read_job

    faults: list[Fault] = []
    table, job, drawer = None, None, None
    with _gathering(faults):
        table = load_table(job_path)
    if table is not None:
        with _gathering(faults):
            job = read_job(table, source=job_path.name, folder=job_path.parent)
        named = table.get("drawer")
        if drawer_path is None and isinstance(named, str) and named.strip():
            # The job's own word is good even where the rest of the job is not.
            drawer_path = job.drawer_path if job else job_path.parent / named
        if drawer_path is None and (job is not None or "drawer" not in table):
            faults.append(_no_drawer(job_path))
    if drawer_path is not None:
        with _gathering(faults):
            drawer = _on_hand(drawer_path, job.title if job is not None else "")
    if job is not None and drawer is not None:
        with _gathering(faults):
            check_drawer(drawer, job)
            if not faults:
                return job, drawer
    raise Trouble(faults)


def _on_hand(drawer_path: Path, title: str) -> Drawer:
    """Read a drawer, and what its books say is out for a job where it has books at all."""
    from solver.drawer_file import load_drawer
    from solver.drawer_sheet import path_of_books

    if not path_of_books(drawer_path).exists():
        return load_drawer(drawer_path)  # most have none: their rooms need not be opened
    from solver.on_hand import load_for

    return load_for(drawer_path, title)


def _no_drawer(job_path: Path) -> Fault:
    return Fault(
        f"{job_path.name}: drawer",
        "no drawer",
        "the name of a CSV file",
        'write drawer = "drawer.csv" at the top of the job, or add --drawer CSV',
        ("drawer",),
    )


@contextlib.contextmanager
def _gathering(faults: list[Fault]) -> Iterator[None]:
    """Go on after a trouble, so that the user sees every fault at once."""
    try:
        yield
    except Trouble as trouble:
        faults.extend(trouble.faults)
