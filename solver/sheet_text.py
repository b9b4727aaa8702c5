"""The bench sheet as plain text, for a printer that knows nothing else."""

from __future__ import annotations

import textwrap

from solver.sheet import Blank, FastenerRow, SeatDrawn, Sheet

WIDTH = 88
ALARM = "!" * WIDTH  # a line of these stands above and below what nobody may miss


def sheet_as_text(sheet: Sheet) -> str:
    """Write the sheet. sheet. Returns text of lines at most 88 wide, newline last."""
    blocks = (
        [*_wrapped(f"BENCH SHEET   {sheet.title}".rstrip(), ""), sheet.headline.upper()],
        _alarms(sheet),
        _wrapped(sheet.chance, ""),
        _stacks(sheet),
        _headed(
            "Wanted, and predicted with these in" if sheet.seats else "Wanted", _results(sheet)
        ),
        _headed("Readings", _readings(sheet)),
        _headed("Fasteners", _fasteners(sheet)),
        _headed("Assembly marks", _marks(sheet)),
        _headed("Final readings", _blanks(sheet)),
        _headed("Cautions", [row for one in sheet.cautions for row in _wrapped(one, "  - ")]),
        _wrapped(sheet.trace, ""),
        [sheet.tag] if sheet.tag else [],
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _wrapped(words: str, first: str = "  ", rest: str | None = None) -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    indent = " " * len(first) if rest is None else rest
    return textwrap.wrap(clean, WIDTH, initial_indent=first, subsequent_indent=indent)


def _headed(heading: str, rows: list[str]) -> list[str]:
    return [heading, *rows] if rows else []


def _alarms(sheet: Sheet) -> list[str]:
    if not sheet.alarms:
        return []
    return [ALARM, *(row for one in sheet.alarms for row in _wrapped(one, "!! ")), ALARM]


def _stacks(sheet: Sheet) -> list[str]:
    rows = _wrapped(sheet.seats_note, "")
    for seat in sheet.seats:
        rows += _stack(seat)
    return rows


def _stack(seat: SeatDrawn) -> list[str]:
    """A seat from its first face to its last, one piece a line."""
    rows = _wrapped(f"{seat.seat}, {seat.under}: {seat.total}")
    if not seat.bars:
        return rows
    rows.append(f"      {seat.between[0]}")
    for number, bar in enumerate(seat.bars, 1):
        rows += _wrapped(f"{bar.id}, {bar.size}", f"      {number:2}  ", " " * 10)
    return [*rows, f"      {seat.between[1]}"]


def _results(sheet: Sheet) -> list[str]:
    table = sheet.results
    kept = [k for k in range(len(table[0])) if k == 0 or any(row[k] for row in table[1:])]
    wide = {k: max(len(row[k]) for row in table) for k in kept}
    return ["  " + "  ".join(row[k].ljust(wide[k]) for k in kept).rstrip() for row in table]


def _readings(sheet: Sheet) -> list[str]:
    rows: list[str] = []
    for one in sheet.readings:
        told = "; ".join(part for part in (one.read, one.tool, one.how) if part)
        rows += _wrapped(f"{one.of}: {told}", f"  {one.number:>3}  ")
    return rows + _wrapped(sheet.left_out)


def _fasteners(sheet: Sheet) -> list[str]:
    rows = _wrapped(sheet.fasteners_note)
    for one in sheet.fasteners:
        rows += _fastener(one)
    return rows if sheet.fasteners else [*rows, *["  [ ] " + "_" * 40 + "  " + "_" * 16] * 3]


def _fastener(one: FastenerRow) -> list[str]:
    told = f"{one.what}: {one.torque}" + (f"; {one.note}" if one.note else "")
    rows = _wrapped(told, f"  [{'x' if one.checked else ' '}] ", " " * 6)
    if one.doubt:
        rows += _wrapped(f"! {one.doubt}", " " * 6, " " * 8)
    elif not one.checked:
        rows.append("      not yet checked in the manual")
    return rows


def _marks(sheet: Sheet) -> list[str]:
    rows: list[str] = []
    for mark in sheet.marks:
        rows += _wrapped(f"{mark.what}: {mark.how or '_' * 30}", "  - ")
    return rows


def _blanks(sheet: Sheet) -> list[str]:
    rows: list[str] = []
    for blank in (*sheet.blanks, Blank("built by", 1, "", ""), Blank("date", 1, "", "")):
        words = f"{blank.what} ({blank.wanted})" if blank.wanted else blank.what
        lines = "  ".join(["_" * (12 if blank.places > 1 else 24)] * blank.places)
        rows += _wrapped(f"{words}:")
        rows.append(f"      {lines} {blank.unit}".rstrip())
    return rows
