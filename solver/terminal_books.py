"""The verbs of the drawer's books: take, back, measured, arrived, spoiled, books, undo."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from solver.book_arguments import (
    arrived_arguments,
    back_arguments,
    books_arguments,
    measured_arguments,
    spoiled_arguments,
    take_arguments,
    undo_arguments,
)
from solver.terminal_inputs import Told, ToldVerb, read_inputs
from solver.trouble import Fault, Trouble, shown

if TYPE_CHECKING:  # loaded late: help must not wait for the solver
    from solver.books import Booked

DONE, NOT_DONE = 0, 1


def take(options: argparse.Namespace) -> Told:
    """Choose the shims of a job and book them out of the drawer.

    options: with `job`, `drawer`, `yes`, `short` and `json`. Returns: (text, 0 where they are out,
    1 where nothing was booked). Raises: Trouble.
    """
    path = Path(options.job)
    drawer = _drawer_of_job(path, options.drawer)
    from solver.drawer_sheet import read_sheet

    base = read_sheet(drawer)
    job, found = read_inputs(path, drawer)
    from solver.answer import answer_job

    answer = answer_job(job, found)
    stopped = _not_to_be_taken(answer, options.short)
    if stopped:
        table: dict[str, object] = {"entry": None, "status": answer.status, "reason": stopped}
        text = f"NOTHING TAKEN\n{job.title}\n{stopped}\n"
        return _json(table) if options.json else text, NOT_DONE
    from solver import books
    from solver.report_books import booked_as_json, booked_as_text, lines_as_json, plan_words

    plan = answer.verdict.plan if answer.verdict else None
    assert plan is not None
    head = "\n".join(["", job.title, *plan_words(answer)])
    if not options.yes:
        lines = _would_take(drawer, plan, job.title)
        if options.json:
            return _json({"entry": None, "lines": lines_as_json(lines)}), NOT_DONE
        return _preview(lines, drawer.name, head), NOT_DONE
    booked = books.take(drawer, plan, job.title, base=base)
    if options.json:
        return _json(booked_as_json(booked)), DONE
    if not booked.lines:
        return f"OUT OF {drawer.name} ALREADY{head}\n", DONE
    return booked_as_text(booked, f"TAKEN OUT OF {drawer.name}{head}\n"), DONE


def back(options: argparse.Namespace) -> Told:
    """Put back what is out for a job, or turn an entry of the books round.

    options: with `what` (a job's file, or an entry's number), `drawer`, `lot` (LOT or LOT:COUNT)
    and `json`. Returns: (text, 0). Raises: Trouble.
    """
    from solver import books

    what = options.what
    if what.isdecimal() and not Path(what).exists():
        if not options.drawer:
            wanted, way_out = "the drawer that entry is of", "add --drawer CSV"
            raise Trouble([Fault("command line", f"entry {shown(what)} alone", wanted, way_out)])
        return _told(books.undo(Path(options.drawer), int(what[:9])), "PUT BACK", options)
    path = Path(what)
    drawer = _drawer_of_job(path, options.drawer)
    lots = dict(_lot_count(text) for text in options.lot) if options.lot else None
    return _told(books.put_back(drawer, _title(path), lots), "PUT BACK", options)


def measured(options: argparse.Namespace) -> Told:
    """Enter a measured thickness.

    options: with `drawer`, `lot`, `thickness`, `within`, `tool`, `pieces` and `json`. Returns:
    (text, 0). Raises: Trouble.
    """
    from solver import books
    from solver.book_moves import Measurement

    found = Measurement(options.thickness, options.within, options.tool)
    pieces = _number(options.pieces, "--pieces") if options.pieces else 0
    booked = books.measure(Path(options.drawer), options.lot, found, pieces)
    return _told(booked, "MEASURED", options)


def arrived(options: argparse.Namespace) -> Told:
    """Have pieces arrive, bought or cut.

    options: with `drawer`, `lot`, `count`, `cut`, `thickness`, `within`, `tool` and `json`.
    Returns: (text, 0). Raises: Trouble.
    """
    from solver import books
    from solver.ledger import BOUGHT, CUT, Said

    said = None
    if options.thickness:
        said = Said(options.thickness, "", options.within, options.tool)
    what = CUT if options.cut else BOUGHT
    count = _number(options.count, "COUNT")
    booked = books.add(Path(options.drawer), what, options.lot, count, said)
    return _told(booked, what.upper(), options)


def spoiled(options: argparse.Namespace) -> Told:
    """Write pieces off: spoiled, or lost.

    options: with `drawer`, `lot`, `count`, `job` (a job's file, where they were out for it) and
    `json`. Returns: (text, 0). Raises: Trouble.
    """
    from solver import books

    job = _title(Path(options.job)) if options.job else ""
    count = _number(options.count, "COUNT")
    return _told(books.use_up(Path(options.drawer), options.lot, count, job), "USED UP", options)


def books(options: argparse.Namespace) -> Told:
    """Show a drawer's books, or take in what was done past them.

    options: with `drawer`, `adopt` and `json`. Returns: (text, 0 where they balance, else 1).
    Raises: Trouble.
    """
    from solver.books import adopt, open_books
    from solver.report_books import books_as_json, books_as_text

    drawer = Path(options.drawer)
    if options.adopt:
        adopt(drawer, options.adopt)
    opened = open_books(drawer)
    text = _json(books_as_json(opened)) if options.json else books_as_text(opened)
    return text, DONE if opened.balance.holds else NOT_DONE


def undo(options: argparse.Namespace) -> Told:
    """Turn an entry round.

    options: with `drawer`, `entry` and `json`. Returns: (text, 0). Raises: Trouble.
    """
    from solver.books import undo as undo_entry

    entry = _number(options.entry, "--entry") if options.entry else 0
    return _told(undo_entry(Path(options.drawer), entry), "UNDONE", options)


def _told(booked: Booked, heading: str, options: argparse.Namespace) -> Told:
    from solver.report_books import booked_as_json, booked_as_text

    return _json(booked_as_json(booked)) if options.json else booked_as_text(booked, heading), DONE


def _not_to_be_taken(answer: Any, short: bool) -> str:
    """Why a plan is not booked; blank where it can be."""
    if answer.verdict is None:
        return "No stack fits: 'shimwright choose' says what would."
    if answer.agreement.state == "disagree":
        return "The readings disagree: measure again first."
    if answer.status != "met" and not short:
        return "It is below the chance you want: say --short to take it all the same."
    return ""


def _would_take(drawer: Path, plan: Any, job: str) -> list[Any]:
    from solver.book_effects import after
    from solver.book_moves import taking
    from solver.books import open_books

    opened = open_books(drawer)
    return after(opened.sheet, taking(opened.books, opened.sheet, plan, job))[1]


def _preview(lines: list[Any], drawer: str, head: str) -> str:
    from solver.report_books import line_words

    if not lines:
        return f"OUT OF {drawer} ALREADY{head}\n"
    told = [f"THIS WOULD BE BOOKED IN {drawer}{head}", ""]
    told += [f"  {words}" for words in line_words(lines)]
    return "\n".join([*told, "Nothing is booked yet: say --yes to book it.", ""])


def _drawer_of_job(path: Path, named: str | None) -> Path:
    """The drawer that a verb is about: named, or the job's own word, whatever else is wrong."""
    if named:
        return Path(named)
    from solver.job_file import load_table

    own = load_table(path).get("drawer")
    if not isinstance(own, str) or not own.strip():
        way_out = "write drawer at the top of the job, or add --drawer CSV"
        raise Trouble([Fault(f"{path.name}: drawer", "no drawer", "a CSV file", way_out)])
    return path.parent / own.strip()


def _title(path: Path) -> str:
    """What the books call a job: its title, as the job is read."""
    from solver.job_file import load_table

    title = load_table(path).get("title")
    if not isinstance(title, str) or not title.strip():
        way_out = "write title at the top of the job"
        raise Trouble([Fault(f"{path.name}: title", "none", "the job's name", way_out)])
    return " ".join(title.split())


def _lot_count(text: str) -> tuple[str, int]:
    lot, colon, count = text.rpartition(":")
    return (lot, _number(count, "--lot")) if colon else (text, 1)


def _number(text: str, name: str) -> int:
    if text.isdecimal() and len(text) < 7:
        return int(text)
    raise Trouble([Fault(f"command line: {name}", shown(text), "a whole number", "such as 2")])


def _json(table: dict[str, object]) -> str:
    return json.dumps(table, indent=1, allow_nan=False) + "\n"


BOOK_VERBS = {
    "take": ToldVerb(
        "choose, and book the shims out of the drawer",
        "take JOB [--drawer CSV] [--yes]",
        take_arguments,
        take,
    ),
    "back": ToldVerb(
        "put shims back into the drawer",
        "back JOB|ENTRY [--drawer CSV]",
        back_arguments,
        back,
    ),
    "measured": ToldVerb(
        "enter a measured thickness into the drawer",
        "measured DRAWER LOT THICKNESS",
        measured_arguments,
        measured,
    ),
    "arrived": ToldVerb(
        "enter pieces bought or cut",
        "arrived DRAWER LOT COUNT [--cut]",
        arrived_arguments,
        arrived,
    ),
    "spoiled": ToldVerb(
        "write pieces off that were spoiled or lost",
        "spoiled DRAWER LOT COUNT",
        spoiled_arguments,
        spoiled,
    ),
    "books": ToldVerb(
        "the drawer's books: their history and whether they balance",
        "books DRAWER [--adopt AS]",
        books_arguments,
        books,
    ),
    "undo": ToldVerb(
        "turn the last entry of a drawer's books round",
        "undo DRAWER [--entry N]",
        undo_arguments,
        undo,
    ),
}
