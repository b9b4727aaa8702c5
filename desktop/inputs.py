"""What stands in the window, read as the solver reads files: a job and a drawer, or what is wrong.

Nothing here waits for the solver's heavy libraries: faults stand under their fields at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from desktop import edits
from desktop.document import Document
from desktop.drawer_changes import books_of, job_name
from desktop.line_table import LINES, in_lines, lines_of, result_of
from desktop.pinion_edits import about_carrier
from desktop.reading_faults import NOTHING
from desktop.section_pinion import PinionSaid
from desktop.stages import OWN_KEYS
from desktop.tokens import trade_name
from solver.drawer import Drawer
from solver.drawer_file import drawer_faults
from solver.drawer_sheet import Sheet
from solver.job import CARRIER_SEATS, IN_LINE, PINION_HEAD, PINION_SPACER, SITS, Job, Layout, Seat
from solver.job_file import read_job
from solver.job_pinion import SPACERS
from solver.on_hand import drawer_for
from solver.trouble import Fault, Place, Trouble

_SETTLES = "nothing that settles the "
_UNREAD = "no reading of "
DRAWER_MISSING = "the shims in the drawer"


@dataclass(frozen=True, slots=True)
class Inputs:
    """A job and its drawer as far as they can be read. state: 'empty', 'half-filled', 'faulty' or
    'ready'."""

    state: str = "empty"
    job: Job | None = None
    drawer: Drawer | None = None
    faults: tuple[Fault, ...] = ()  # of the job: readings and set-up
    drawer_faults: tuple[Fault, ...] = ()
    missing: tuple[str, ...] = ()  # what is still to be filled in, in words
    sheet: Sheet | None = None  # that the drawer was read from
    of_sheet: tuple[Fault, ...] = ()  # faults of the sheet alone
    out: tuple[object, ...] = ()  # what was out for the job by the books, when it was read


def read_document(document: Document, words: str, before: Inputs | None = None) -> Inputs:
    """Read what stands in the window.

    document; words: 'UK' or 'US', of what is missing; before: the inputs read last, whose drawer
    serves again where the sheet is the same. Returns Inputs.
    """
    job, drawer = None, None
    faults: tuple[Fault, ...] = ()
    # What another stage is about has no say in the axle: a slip there must not stop its answer.
    table = {key: value for key, value in document.table.items() if key not in OWN_KEYS}
    try:
        job = read_job(table, document.name, document.folder)
    except Trouble as trouble:
        faults = trouble.faults
    sheet, out = document.sheet, _out_of(document)
    same = before is not None and before.sheet is sheet and before.out == out
    if before is not None and same and sheet is not None:
        drawer, of_sheet = before.drawer, before.of_sheet
    else:
        drawer, of_sheet = _read_drawer(document)
    against = list(of_sheet)
    if job is not None and drawer is not None and sheet is not None:
        for fault in drawer_faults(drawer, job, sheet.source):
            if fault.place[:1] == ("readings",):
                faults = (*faults, fault)
            else:
                against.append(fault)
    no_drawer = not document.drawer_faults and (sheet is None or not sheet.rows)
    missing = _missing(document.table, faults, words, no_drawer)
    red = any(not _is_wish(fault) for fault in faults) or bool(against)
    return Inputs(
        _state(document.table, red, bool(missing)), job, drawer, faults, tuple(against), missing,
        sheet, of_sheet, out,
    )  # fmt: skip


def drawn_as(
    table: edits.Table, job: Job | None = None
) -> tuple[Layout, tuple[Seat, ...], PinionSaid | None]:
    """Tell how to draw a job that may be faulty.

    table: the job's; job: as read, None where it cannot be. Returns (layout, seats, what it says of
    its pinion): a seat of a pinion that the job does not place yet sits under ''.
    """

    def said(place: Place, allowed: tuple[str, ...]) -> str:
        value = edits.value_at(table, place)
        return value if value in allowed else allowed[0]

    layout = Layout(said(("layout", "wheel"), ("left", "right")), said(("layout", "shims"), _SHIMS))
    seats = tuple(
        Seat(name, said(("seats", name, "under"), ("bearing", "cover")), 0, 4)
        for name in CARRIER_SEATS
        if about_carrier(table)
    )
    lines = tuple(
        Seat(name, IN_LINE, 0, 4)
        for name in in_lines(table, "seats")
        if name not in (*CARRIER_SEATS, PINION_HEAD, PINION_SPACER)
    )
    if "pinion" not in table:
        return layout, (*seats, *lines), None
    spacer = said(("pinion", "spacer"), ("", *SPACERS))
    seats += (Seat(PINION_HEAD, said(("pinion", "stack_sits"), ("", *SITS)), 0, 4),)
    if spacer == "solid":
        seats += (Seat(PINION_SPACER, "spacer", 0, 4),)
    pinion = job.pinion if job else None
    wanted_um = pinion.wanted_um if pinion and pinion.nominal_um is not None else None
    face = said(("pinion", "measured_to"), ("", "shoulder", "nose"))
    return layout, (*seats, *lines), PinionSaid(spacer, face, wanted_um)


_SHIMS = ("outside", "inside")


def badges_of(table: edits.Table) -> tuple[tuple[int, str], ...]:
    """Number the readings that count, as the files do. table: the job's. Returns (number, of)."""
    return tuple(
        (number, str(reading.get("of")))
        for number, reading in enumerate(edits.readings_of(table), 1)
        if reading.get(edits.OFF) is not True
    )


def words_of(table: edits.Table, chosen: str) -> str:
    """Settle the trade's words. table: the job's; chosen: in the window, or ''. Returns them."""
    own = table.get("words")
    return chosen or (own if own in ("UK", "US") else "UK")


def unit_of(table: edits.Table, chosen: str) -> str:
    """Settle the unit that is shown. table: the job's; chosen: in the window, or ''. Returns it."""
    from solver.units import unit_named

    return chosen or unit_named(table.get("unit")) or "mm"


def _read_drawer(document: Document) -> tuple[Drawer | None, tuple[Fault, ...]]:
    if document.sheet is None:
        return None, document.drawer_faults
    if not document.sheet.rows:
        return None, ()
    try:
        books = books_of(document.drawer_path)
        return drawer_for(document.sheet, books, job_name(document.table)), ()
    except Trouble as trouble:
        return None, trouble.faults


def _out_of(document: Document) -> tuple[object, ...]:
    """What is out for the job by the drawer's books, or why they cannot be read."""
    try:
        return tuple(books_of(document.drawer_path).fitted(job_name(document.table)).items())
    except Trouble as trouble:
        return (trouble.faults,)


def _is_wish(fault: Fault) -> bool:
    """Whether a fault only says that something has still to be filled in."""
    return fault.found == NOTHING or fault.found.startswith((_SETTLES, _UNREAD))


def _missing(
    table: edits.Table, faults: tuple[Fault, ...], words: str, no_drawer: bool
) -> tuple[str, ...]:
    named = [_name_of(table, fault, words) for fault in faults if _is_wish(fault)]
    return tuple(dict.fromkeys([*named, *([DRAWER_MISSING] if no_drawer else [])]))


def _name_of(table: edits.Table, fault: Fault, words: str) -> str:
    """What a mechanic calls the thing that a fault misses."""
    place = fault.place
    if place[:1] == ("readings",):
        of: Any = edits.value_at(table, (*place[:2], "of"))
        said = fault.found.removeprefix(_SETTLES).removeprefix(_UNREAD)
        return trade_name(of if isinstance(of, str) else said, words)
    if place[:1] == (LINES,):
        return _name_in_lines(table, fault, words)
    if place[:1] == ("pinion",):
        return "what the set-up asks of the pinion"
    if place[:1] in (("fasteners",), ("ring",)):
        return "what the set-up asks for the bench sheet"
    if place[:1] == ("limits",):
        result = str(place[1]).replace("_", " ") if len(place) > 1 else ""
        if place[-1] == "counted":
            return "whether pinch is counted in total or each side"
        name = trade_name(result, words) if result else "the results"
        return f"the limits of {name[:1].lower()}{name[1:]}"
    return " ".join(str(part).replace("_", " ") for part in place) or fault.where


def _name_in_lines(table: edits.Table, fault: Fault, words: str) -> str:
    """What a line misses: a part's length, its limits, a name, a place for shims."""
    place, lines = fault.place, lines_of(table)
    if fault.found.startswith(_SETTLES):
        return trade_name(fault.found.removeprefix(_SETTLES), words)
    at = place[1] if len(place) > 1 else 0
    name = result_of(lines[at]) if isinstance(at, int) and at < len(lines) else ""
    said = trade_name(name, words) if name else "the line"
    said = f"{said[:1].lower()}{said[1:]}"
    if place[-1] in ("low", "high"):
        return f"the limits of {said}" if name else "the limits of the line"
    return f"what the set-up asks of {said}"


def _state(table: edits.Table, red: bool, missing: bool) -> str:
    if red:
        return "faulty"
    found = (
        key in reading and reading[key] not in ([], "")
        for reading in edits.readings_of(table)
        for key in edits.FOUND
    )
    if missing and not any(found):  # an old build carried over needs no reading
        return "empty"
    return "half-filled" if missing else "ready"
