"""What is booked, as lines: pure functions of the books and the drawer, and what they do to it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from solver.book_effects import LOOK, SAID, counts_of, measures_in_place, no_lot, said_of
from solver.drawer_file import MOST_PIECES
from solver.drawer_sheet import Sheet
from solver.ledger import (
    BOUGHT,
    COUNTED,
    CUT,
    MEASURED,
    PUT_BACK,
    START,
    TAKEN,
    USED_UP,
    Books,
    Line,
    Said,
    balance,
)
from solver.plan import Plan
from solver.trouble import Fault, Trouble, shown
from solver.units import NotAQuantity, length_um, unit_named


@dataclass(frozen=True, slots=True)
class Measurement:
    """What a measurement found, as it would stand in the drawer; blanks leave what is there."""

    thickness: str
    within: str = ""
    tool: str = ""


def starting(sheet: Sheet) -> list[Line]:
    """Open the books: what is there. sheet: the drawer. Returns lines. Raises: Trouble."""
    return [
        Line(0, "", START, lot, count, left=count, said=_said_in(sheet, row))
        for row, (lot, count) in enumerate(counts_of(sheet).items())
    ]


def taking(books: Books, sheet: Sheet, plan: Plan, job: str) -> list[Line]:
    """Have a job's plan out of the drawer: what is out already stays, what it drops goes back.

    books, sheet: as they are; plan: to fit; job: its name. Returns: lines, none where exactly that
    is out already. Raises: Trouble where pieces are not there.
    """
    _check_named(sheet, job)
    wanted: dict[str, int] = {}
    seats: dict[str, list[str]] = {}
    for stack in plan.stacks:
        for piece in stack.pieces:
            wanted[piece.id] = wanted.get(piece.id, 0) + piece.count
            seats.setdefault(piece.id, []).append(f"{stack.seat} {piece.count}")
    out = books.fitted(job)
    back = {lot: count - wanted.get(lot, 0) for lot, count in out.items()}
    lines = [
        _moved(sheet, PUT_BACK, lot, count, job, said=books.said(lot))
        for lot, count in back.items()
        if count > 0
    ]
    for lot, count in wanted.items():
        if count > out.get(lot, 0):
            more = count - out.get(lot, 0)
            lines.append(_moved(sheet, TAKEN, lot, more, job, note=", ".join(seats[lot])))
    return lines


def putting_back(
    books: Books, sheet: Sheet, job: str, lots: dict[str, int] | None = None
) -> list[Line]:
    """Put pieces of a job back.

    books, sheet: as they are; job: its name; lots: number by lot id, None for all that are out.
    Returns: lines. Raises: Trouble where they are not out for it.
    """
    out = books.fitted(job)
    if not out:
        names = ", ".join(shown(name) for name in books.jobs) or "no job"
        found = f"nothing out for {shown(job)}"
        raise Trouble([Fault(sheet.source, found, "a job with pieces out", f"out are: {names}")])
    return [
        _moved(sheet, PUT_BACK, lot, count, job, said=books.said(lot))
        for lot, count in (out if lots is None else lots).items()
    ]


def adding(
    books: Books, sheet: Sheet, what: str, lot: str, count: int, said: Said | None = None
) -> list[Line]:
    """Have pieces arrive, bought or cut: a new lot, or more of one.

    books, sheet: as they are; what: BOUGHT or CUT; lot: its id; count: pieces; said: of a lot that
    is new, None for one that is there. Returns: lines. Raises: Trouble; ValueError.
    """
    if what not in (BOUGHT, CUT):
        raise ValueError(what)
    there = said_of(sheet, lot)
    if there is None and said is None:
        raise Trouble([no_lot(sheet, lot, "say its thickness: it is a new lot")])
    if there is not None and said is not None:
        way_out = "give the new pieces an id of their own, or leave the thickness out"
        raise Trouble(
            [Fault(f"{sheet.source}: lot {lot}", "it there already", "a new id", way_out)]
        )
    return [_moved(sheet, what, lot, count, said=said or Said())]


def using_up(sheet: Sheet, lot: str, count: int, job: str = "") -> list[Line]:
    """Write pieces off: spoiled, or lost.

    sheet: the drawer; lot: its id; count: pieces; job: that they were out for, blank where they
    were in the drawer. Returns: lines. Raises: Trouble.
    """
    return [_moved(sheet, USED_UP, lot, count, job)]


def measuring(
    books: Books, sheet: Sheet, lot: str, found: Measurement, pieces: int = 0
) -> list[Line]:
    """Correct what the drawer says of a lot, or part off pieces that were measured.

    books, sheet: as they are; lot: its id; found: by measuring; pieces: how many of it were
    measured, 0 for all of them. Returns: lines: the old pieces out, the measured ones in.
    Raises: Trouble.
    """
    before = said_of(sheet, lot)
    if before is None:
        raise Trouble([no_lot(sheet, lot, "write an id as it stands in the drawer")])
    count = counts_of(sheet)[lot]
    comma = sheet.dialect.decimal == ","
    after = replace(
        before,
        thickness=_written(found.thickness, before.unit, comma) or before.thickness,
        within=_written(found.within, before.unit, comma) or before.within,
        tool=found.tool.strip() or before.tool,
    )
    if not after.within:
        wanted, way_out = "how far off a piece can be", "say it, such as within 0.005 mm"
        raise Trouble([Fault(f"{sheet.source}: lot {lot}: within", "nothing", wanted, way_out)])
    part = pieces or count
    if pieces > count:
        faults = [Fault(f"{sheet.source}: lot {lot}", f"{count}", f"{pieces} of it", LOOK)]
        raise Trouble(faults)
    new = lot if part == count else _free_id(books, sheet, lot)
    return [
        _moved(sheet, MEASURED, lot, -part, said=before),
        _moved(sheet, MEASURED, new, part, said=after, note="" if new == lot else f"was {lot}"),
    ]


def adopting(books: Books, sheet: Sheet, what: str = COUNTED) -> list[Line]:
    """Take into the books what somebody did to the drawer past them.

    books, sheet: as they are; what: COUNTED, or BOUGHT or CUT for the lots that have more than
    they should, or USED_UP for those that have less. Returns: lines, none where it balances; they
    do nothing to the drawer. Raises: Trouble; ValueError.
    """
    if what not in (COUNTED, BOUGHT, CUT, USED_UP):
        raise ValueError(what)
    lines = []
    for one in balance(books, counts_of(sheet)).differences:
        more = one.there - one.expected
        if what == COUNTED or (what == USED_UP) == (more < 0):
            said = said_of(sheet, one.lot) or books.said(one.lot)
            count = -more if what == USED_UP else more
            lines.append(_moved(sheet, what, one.lot, count, said=said, note="as found"))
    return lines


def undoing(books: Books, sheet: Sheet, number: int = 0) -> list[Line]:
    """Turn an entry round.

    books, sheet: as they are; number: of the entry, 0 for the last that is not undone.
    Returns: lines. Raises: Trouble.
    """
    number = number or books.last_to_undo()
    lines = [line for line in books.counted if line.entry == number]
    where, other = f"{sheet.source}: entry {number}", books.undone_by(number)
    if not lines:
        found = "nothing to undo" if not number else "no such entry"
        raise Trouble([Fault(where, found, "an entry that was booked", LOOK)])
    if other:
        found, wanted = f"it undone by entry {other}", "an entry that stands"
        raise Trouble([Fault(where, found, wanted, f"undo entry {other} to have it back")])
    if lines[0].what == START:
        found, way_out = "the start of the books", "undo what came after it"
        raise Trouble([Fault(where, found, "something that was done", way_out)])
    anew = {line.lot for line in lines if measures_in_place(lines, line.lot)}
    _check_last_measured(books, number, anew, where)
    there = counts_of(sheet)
    turned = [
        replace(line, count=-line.count, undoes=number, note=f"undoes entry {number}", seals="")
        for line in reversed(lines)
    ]
    if not anew:
        return turned
    lot = lines[0].lot  # as many as there are now change their thickness back
    return [
        replace(line, count=sign * there.get(lot, 0))
        for sign, line in zip((-1, 1), turned, strict=True)
    ]


def _check_last_measured(books: Books, number: int, lots: set[str], where: str) -> None:
    """Refuse to bring back a thickness over one that was measured later."""
    for line in books.counted:
        if line.entry <= number or line.lot not in lots or line.what != MEASURED or line.undoes:
            continue
        entry = list(books.entry(line.entry))
        if measures_in_place(entry, line.lot) and not books.undone_by(line.entry):
            found = f"lot {line.lot} measured again since, by entry {line.entry}"
            raise Trouble([Fault(where, found, "the last", f"undo entry {line.entry} first")])


def _moved(
    sheet: Sheet,
    what: str,
    lot: str,
    count: int,
    job: str = "",
    *,
    note: str = "",
    said: Said | None = None,
) -> Line:
    if what not in (START, MEASURED, COUNTED) and not 0 < count <= MOST_PIECES:
        where = f"{sheet.source}: lot {lot}"
        wanted = f"a whole number from 1 to {MOST_PIECES}"
        raise Trouble([Fault(where, f"{count}", wanted, "say how many pieces")])
    told = said_of(sheet, lot) if said is None else said
    return Line(0, "", what, lot, count, job, said=told or Said(), note=note)


def _said_in(sheet: Sheet, row: int) -> Said:
    return Said(*(sheet.cell(row, name) for name in SAID))


def _check_named(sheet: Sheet, job: str) -> None:
    if not job.strip():
        way_out = "write title at the top of the job"
        raise Trouble([Fault(sheet.source, "a job without a title", "its name", way_out)])


def _free_id(books: Books, sheet: Sheet, lot: str) -> str:
    """An id for pieces parted off: the lot's own with a number that neither file has."""
    taken = {sheet.cell(row, "id") for row in range(len(sheet.rows))}
    taken |= {line.lot for line in books.counted}
    number = 2
    while f"{lot}-{number}" in taken:
        number += 1
    return f"{lot}-{number}"


def _written(text: str, unit: str, comma: bool) -> str:
    """A length as a cell of its row: bare where it is in the row's unit, with the file's sign."""
    text = text.strip()
    if not text:
        return ""
    try:
        length_um(text, unit_named(unit))
    except NotAQuantity as bad:
        raise Trouble([Fault("measured", bad.found, bad.wanted, bad.way_out)]) from None
    match = re.fullmatch(r"([0-9]*[.,]?[0-9]*)\s*(.*)", text)
    if match is None or not match[1]:
        return text
    number, word = match[1].replace(",", ".").replace(".", "," if comma else "."), match[2]
    if word and unit_named(word) == unit_named(unit):
        word = ""
    return f"{number} {word}".strip()
