"""The drawer's books in words and as JSON: what was booked, the history, whether they balance."""

from __future__ import annotations

from typing import Any

from solver.books import Booked, Opened
from solver.ledger import BEGUN, CAME, COUNTED, DONE, MEASURED, PUT_BACK, TAKEN, Balance, Line
from solver.report_words import counts, length, listed, number_of, wanted_counts

VERBS = {TAKEN: "taken out", PUT_BACK: "put back", MEASURED: "measured", COUNTED: "found by count"}


def entry_words(lines: tuple[Line, ...]) -> str:
    """Say an entry on one line, such as 'taken out for Orchard: A20, 2 × B12'.

    lines: of one entry. Returns text.
    """
    first = lines[0]
    if first.what == MEASURED:
        new = lines[-1]
        said = f"{new.said.thickness} {new.said.unit}".strip()
        pieces = f"{new.count} of {first.lot} as {new.lot}"
        words = f"measured: {pieces if new.lot != first.lot else new.lot} is {said}"
    elif first.what in CAME and len(lines) > 3:
        words = f"{first.what}: {number_of(sum(line.count for line in lines), 'piece')}"
        words += f" of {number_of(len(lines), 'lot')}"
    else:
        parts = []
        for what in dict.fromkeys(line.what for line in lines):
            some = [line for line in lines if line.what == what]
            job = some[0].job
            way = {TAKEN: f" for {job}", PUT_BACK: f" from {job}"}.get(
                what, f", out for {job}" if job else ""
            )
            name = VERBS.get(what, what)
            parts.append(f"{name}{way}: {listed([_pieces(line) for line in some])}")
        words = "; ".join(parts)
    if first.undoes:
        words = f"undone, entry {first.undoes}: {words.replace(': −', ': ')}"
    return words if first.state == DONE else f"{words} ({first.state})"


def _pieces(line: Line) -> str:
    count = abs(line.count) if line.what != COUNTED or line.undoes else line.count
    if line.what == COUNTED:
        return f"{line.lot} {count:+d}".replace("-", "−")
    return line.lot if count == 1 else f"{count} × {line.lot}"


def balance_words(found: Balance) -> str:
    """Say the sum of the books in one sentence. found: the balance. Returns text."""
    left = f"{found.drawer} in the drawer + {found.fitted} fitted + {found.used_up} used up"
    came = f"{found.start} at the start + {found.bought} bought + {found.cut} cut"
    if found.counted:
        came += f" {'+' if found.counted > 0 else '−'} {abs(found.counted)} by count"
    if found.holds:
        return f"The books balance: {left} = {came}."
    lots = number_of(len(found.differences), "lot")
    return f"The books do not balance in {lots}: {left}, against {came}."


def difference_words(found: Balance) -> tuple[str, ...]:
    """Say what does not balance, a lot a line. found: the balance. Returns lines."""
    return tuple(
        f"{one.lot}: {one.there} in the drawer, {one.expected} by the books"
        for one in found.differences
    )


def books_as_text(opened: Opened) -> str:
    """The whole books. opened: drawer and books. Returns text. Raises: Trouble."""
    found, books = opened.balance, opened.books
    lines = ["THE BOOKS BALANCE" if found.holds else "THE BOOKS DO NOT BALANCE"]
    lines += [opened.path.name, ""]
    if opened.settled:
        lines += [f"{opened.settled[0].upper()}{opened.settled[1:]}.", ""]
    if not books.lines:
        lines[0] = "NO BOOKS YET"
        lines += ["They begin with the first shims that are taken, measured or added.", ""]
        return "\n".join(lines)
    lines.append(balance_words(found))
    lines += [f"  {words}" for words in difference_words(found)]
    if not found.holds:
        lines.append("  Somebody changed the drawer past its books. To take it in as it is:")
        lines.append(f"  shimwright books {opened.path.name} --adopt counted")
    for job in books.jobs:
        out = [f"{count} × {lot}" for lot, count in books.fitted(job).items()]
        lines += ["", f"Out for {job}: {listed(out)}."]
    lines += ["", "History, the latest last:"]
    for number in dict.fromkeys(line.entry for line in books.lines):
        entry = books.entry(number)
        lines.append(f"  {number:>4}  {entry[0].when[:16]}  {entry_words(entry)}")
    return "\n".join(lines) + "\n"


def booked_as_text(booked: Booked, heading: str) -> str:
    """What was booked. booked: the booking; heading: in capitals. Returns text."""
    lines = [heading]
    if booked.after.settled:
        lines.append(f"Before that: {booked.after.settled}.")
    lines += [f"  {words}" for words in line_words(booked.lines)]
    if booked.merged:
        lines.append("Other lots were changed by another program meanwhile; its changes are kept.")
    drawer = booked.after.path.name
    back = f"'shimwright undo {drawer} --entry {booked.entry}' takes it back"
    lines.append(f"Booked as entry {booked.entry}; {back}.")
    return "\n".join(lines) + "\n"


def line_words(lines: tuple[Line, ...] | list[Line]) -> list[str]:
    """Say each line with what is left of its lot. lines: of one entry. Returns them."""
    wide = max((len(line.lot) for line in lines), default=0)
    told = []
    for line in lines:
        way = VERBS.get(line.what, line.what)
        if line.what == MEASURED:
            way = "measured, as before" if line.count < 0 else "measured, as now"
        elif line.undoes:
            way += " undone"
        said = f"{line.said.thickness} {line.said.unit}".strip()
        told.append(f"{line.lot:<{wide}}  {said}  {abs(line.count)} {way}, {line.left} left")
    return told


def plan_words(answer: Any) -> list[str]:
    """Say a plan and its chance, a seat a line. answer: that has a plan. Returns lines."""
    unit, job = answer.job.unit, answer.job
    stacks = answer.verdict.plan.stacks
    wide = max(len(stack.seat) for stack in stacks)
    lines = []
    for stack in stacks:
        pieces = [p.id if p.count == 1 else f"{p.count} × {p.id}" for p in stack.pieces]
        total = length(stack.thickness_um, unit, True)
        name = stack.seat[:1].upper() + stack.seat[1:]
        lines.append(f"{name:<{wide}}  {total}  {' + '.join(pieces) or 'nothing'}")
    asked = f"you asked for {wanted_counts(job.wanted_chance)}"
    lines.append(f"{counts(answer.chance)} builds land inside every limit; {asked}.")
    return lines


def lines_as_json(lines: tuple[Line, ...] | list[Line]) -> list[dict[str, object]]:
    """Lines as JSON. lines. Returns a list of tables."""
    return [
        {
            "entry": line.entry,
            "when": line.when,
            "what": line.what,
            "job": line.job,
            "lot": line.lot,
            "count": line.count,
            "left": line.left,
            "thickness": line.said.thickness,
            "unit": line.said.unit,
            "note": line.note,
            "undoes": line.undoes or None,
            "state": BEGUN if line.state == BEGUN else line.state,
        }
        for line in lines
    ]


def balance_as_json(found: Balance) -> dict[str, object]:
    """The balance as JSON. found. Returns a table."""
    return {
        "balances": found.holds,
        "drawer": found.drawer,
        "fitted": found.fitted,
        "used_up": found.used_up,
        "start": found.start,
        "bought": found.bought,
        "cut": found.cut,
        "counted": found.counted,
        "differences": [
            {"lot": one.lot, "drawer": one.there, "books": one.expected}
            for one in found.differences
        ],
    }


def books_as_json(opened: Opened) -> dict[str, object]:
    """The whole books as JSON. opened: drawer and books. Returns a table. Raises: Trouble."""
    books = opened.books
    return {
        "drawer": opened.path.name,
        "settled": opened.settled,
        "balance": balance_as_json(opened.balance),
        "out": {job: books.fitted(job) for job in books.jobs},
        "lines": lines_as_json(books.lines),
    }


def booked_as_json(booked: Booked) -> dict[str, object]:
    """A booking as JSON. booked. Returns a table. Raises: Trouble."""
    return {
        "entry": booked.entry or None,
        "settled": booked.after.settled,
        "merged": booked.merged,
        "lines": lines_as_json(booked.lines),
        "balance": balance_as_json(booked.after.balance),
    }
