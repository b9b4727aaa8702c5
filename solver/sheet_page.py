"""The bench sheet laid out on paper: one page, its type made smaller until all of it fits."""

from __future__ import annotations

from solver.paper import PAPERS, Area, Measure, Paper, box
from solver.pen import BODY_MM, HEAD_MM, LEAD, SMALL_MM, Pen
from solver.sheet import Blank, FastenerRow, Sheet
from solver.sheet_readings import ReadingRow
from solver.sheet_stacks import draw_stacks

MARGIN_MM = 12.0
SCALES = (
    1.16,
    1.08,
    1.0,
    0.96,
    0.92,
    0.88,
    0.84,
    0.8,
    0.76,
    0.72,
)  # of the sizes in `pen`; the least is 5.2 points
BESIDE_MM = 6.0  # between two columns
FOOT_MM, FOOT_LINES = 8.0, 3


def lay_out(sheet: Sheet, paper: str, measure: Measure) -> tuple[Paper, ...]:
    """Lay the sheet out.

    sheet; paper: of PAPERS; measure: of words. Returns: one page; a second, with readings,
    fasteners and marks, only where one cannot hold them at the smallest type.
    """
    for scale in SCALES:
        pen = _begin(sheet, paper, measure, scale)
        _draw_what_to_fit(pen, sheet)
        _draw_notes(pen, sheet)
        _draw_end(pen, sheet)
        if _fits(pen, paper):
            return (_finish(pen, sheet, paper, ""),)
    return (_first_of_two(sheet, paper, measure), _second(sheet, paper, measure))


def _first_of_two(sheet: Sheet, paper: str, measure: Measure) -> Paper:
    for scale in SCALES:
        pen = _begin(sheet, paper, measure, scale)
        _draw_what_to_fit(pen, sheet)
        _draw_end(pen, sheet)
        if _fits(pen, paper):
            break
    return _finish(pen, sheet, paper, "1 of 2")


def _second(sheet: Sheet, paper: str, measure: Measure) -> Paper:
    """Readings, fasteners and marks; of readings past any page the last are left to the text."""
    count = len(sheet.readings)
    for scale in SCALES:
        pen = _begin(sheet, paper, measure, scale)
        _draw_notes(pen, sheet, count)
        if _fits(pen, paper):
            return _finish(pen, sheet, paper, "2 of 2")
    while count > 0:
        count -= 1
        pen = _begin(sheet, paper, measure, SCALES[-1])
        _draw_notes(pen, sheet, count)
        if _fits(pen, paper):
            break
    return _finish(pen, sheet, paper, "2 of 2")


def _begin(sheet: Sheet, paper: str, measure: Measure, scale: float) -> Pen:
    """The head of every page: whose job, what to do, and what nobody may miss."""
    wide, _ = PAPERS[paper]
    pen = Pen(measure, MARGIN_MM, wide - MARGIN_MM, MARGIN_MM, scale)
    pen.say(" · ".join(part for part in ("BENCH SHEET", sheet.title) if part), HEAD_MM, bold=True)
    pen.gap(0.5)
    pen.say(sheet.headline.upper(), HEAD_MM * 1.5, bold=True)
    for words in sheet.alarms:
        _draw_alarm(pen, words)
    if sheet.alarms:
        pen.gap(1.0)
    return pen


def _draw_alarm(pen: Pen, words: str) -> None:
    """White on black, across the page: it survives any printer."""
    pen.gap(1.0)
    pad, size = 1.4 * pen.scale, HEAD_MM * pen.scale
    lines = pen.wrapped(words, size, pen.wide_mm - 2 * pad, bold=True)
    bottom = pen.y_mm + len(lines) * size * LEAD + 2 * pad
    pen.items.append(Area(box(pen.left_mm, pen.y_mm, pen.right_mm, bottom), 0.0, 0.0))
    inner = pen.beside(pen.left_mm + pad, pen.right_mm - pad)
    inner.y_mm += pad * 0.6
    inner.say(words, HEAD_MM, bold=True, white=True)
    pen.y_mm = bottom


def _draw_what_to_fit(pen: Pen, sheet: Sheet) -> None:
    if sheet.chance:
        pen.say(sheet.chance, BODY_MM)
    draw_stacks(pen, sheet)
    pen.gap(1.0)
    pen.head("Wanted, and predicted with these in" if sheet.seats else "Wanted")
    _draw_table(pen, sheet.results)
    pen.gap(1.5)


def _draw_table(pen: Pen, rows: tuple[tuple[str, ...], ...]) -> None:
    """Columns as wide as they need, spread over the page; the first row is their heading."""
    kept = [k for k in range(len(rows[0])) if k == 0 or any(row[k] for row in rows[1:])]
    size = BODY_MM * pen.scale
    wide = {k: max(pen.measure(row[k], size, True) for row in rows) for k in kept}
    spare = 0.98 * (pen.wide_mm - sum(wide.values()))
    gap = min(spare / max(len(kept) - 1, 1), 12.0)
    for at, row in enumerate(rows):
        pen.y_mm += size * LEAD
        base, x = pen.y_mm - size * (LEAD - 1.0), pen.left_mm
        for k in kept:
            text = pen.shortened(row[k], size, pen.right_mm - x, bold=True)
            pen.put(text, x, base, size, bold=not at or k in (0, len(row) - 1))
            x += wide[k] + gap


def _draw_notes(pen: Pen, sheet: Sheet, most: int | None = None) -> None:
    """Readings at the left, fasteners and marks at the right.

    most: readings, on a page of their own, where the marks stand above them.
    """
    middle = pen.left_mm + pen.wide_mm * 0.52
    left = pen.beside(pen.left_mm, middle - BESIDE_MM / 2)
    right = pen.beside(middle + BESIDE_MM / 2, pen.right_mm)
    if most is not None:
        _draw_marks(left, sheet)
        left.gap(1.5)
    left.head("Readings")
    for row in sheet.readings[:most]:
        _draw_reading(left, row)
    if most is not None and most < len(sheet.readings):
        more = len(sheet.readings) - most
        left.say(f"and {more} more: see the sheet as text", SMALL_MM, bold=True)
    if sheet.left_out:
        left.say(sheet.left_out, SMALL_MM)
    right.head("Fasteners")
    right.say(sheet.fasteners_note, SMALL_MM)
    for fastener in sheet.fasteners:
        _draw_fastener(right, fastener)
    if not sheet.fasteners:
        for _ in range(3):
            _draw_fastener(right, FastenerRow("", "", False, "", ""))
    if most is None:
        right.gap(1.5)
        _draw_marks(right, sheet)
    pen.y_mm = max(left.y_mm, right.y_mm) + 1.5 * pen.scale


def _draw_marks(pen: Pen, sheet: Sheet) -> None:
    pen.head("Assembly marks")
    for mark in sheet.marks:
        if mark.how:
            pen.say(f"{mark.what}: {mark.how}", SMALL_MM, indent_mm=3.0, first="-")
        else:
            _draw_to_fill(pen, f"{mark.what}:")


def _draw_reading(pen: Pen, row: ReadingRow) -> None:
    pen.say(f"{row.of}: {row.read}", SMALL_MM, bold=True, indent_mm=5.0, first=row.number)
    pen.say("; ".join(part for part in (row.tool, row.how) if part), SMALL_MM, indent_mm=5.0)
    pen.gap(0.4)


def _draw_fastener(pen: Pen, row: FastenerRow) -> None:
    """Box to tick, what, torque; below it whose torque it is easily taken for."""
    size, s = BODY_MM * pen.scale, pen.scale
    start, room = pen.left_mm + 5.0 * s, pen.wide_mm - 5.0 * s
    torque_wide = pen.measure(row.torque, size, True)
    names = pen.wrapped(row.what, size, max(room - torque_wide - 3.0 * s, room * 0.3))
    pen.gap(0.5)
    for at, name in enumerate(names):
        pen.y_mm += size * LEAD
        base = pen.y_mm - size * (LEAD - 1.0)
        if not at:
            pen.tick(pen.left_mm, base, 3.0 * s, on=row.checked)
            pen.put(row.torque, pen.right_mm - torque_wide, base, size, bold=True)
        pen.put(name, start, base, size)
    if not row.what:
        pen.rule(start, pen.right_mm - 22.0 * s, pen.y_mm)
        pen.rule(pen.right_mm - 20.0 * s, pen.right_mm, pen.y_mm)
    if row.note:
        pen.say(row.note, SMALL_MM, indent_mm=5.0)
    if row.doubt:
        pen.say(row.doubt, SMALL_MM, bold=True, indent_mm=5.0, first="!")
    elif row.what and not row.checked:
        pen.say("not yet checked in the manual", SMALL_MM, indent_mm=5.0)


def _draw_to_fill(pen: Pen, words: str) -> None:
    """Words with a line behind them to write on, or below them where they are long."""
    pen.gap(1.4)
    size = SMALL_MM * pen.scale
    pen.say(words, SMALL_MM)
    end = pen.left_mm + pen.measure(words, size, False) + 1.5
    if end > pen.right_mm - 15.0:
        pen.gap(4.0)
        end = pen.left_mm
    pen.rule(end, pen.right_mm, pen.y_mm)


def _draw_end(pen: Pen, sheet: Sheet) -> None:
    """Blanks for the final readings, and the cautions."""
    pen.head("Final readings")
    middle = (pen.left_mm + pen.right_mm) / 2
    halves = ((pen.left_mm, middle - BESIDE_MM / 2), (middle + BESIDE_MM / 2, pen.right_mm))
    cells = [blank for blank in sheet.blanks if blank.places == 1]
    for blank in sheet.blanks:
        if blank.places > 1:
            _draw_blank(pen, blank)
    cells += [Blank("built by", 1, "", ""), Blank("date", 1, "", "")]
    for at in range(0, len(cells), 2):
        columns = [pen.beside(*half) for half in halves]
        for column, cell in zip(columns, cells[at : at + 2], strict=False):
            _draw_blank(column, cell)
        pen.y_mm = max(column.y_mm for column in columns)
    pen.gap(2.0)
    pen.head("Cautions")
    _draw_points(pen, sheet.cautions)


def _draw_blank(pen: Pen, blank: Blank) -> None:
    """What, with what is wanted of it, and as many lines to write on as there are places."""
    size, s = SMALL_MM * pen.scale, pen.scale
    pen.gap(2.0)
    words = f"{blank.what} ({blank.wanted})" if blank.wanted else blank.what
    unit = f" {blank.unit}" if blank.unit else ""
    least = (16.0 * s + pen.measure(unit, size, False)) * blank.places
    lines = pen.wrapped(words, size, max(pen.wide_mm - least, pen.wide_mm * 0.4))
    for line in lines:
        pen.y_mm += size * LEAD
        pen.put(line, pen.left_mm, pen.y_mm - size * (LEAD - 1.0), size)
    start = pen.left_mm + max(pen.measure(line, size, False) for line in lines) + 2.0
    each = (pen.right_mm - start) / blank.places
    for place in range(blank.places):
        at = start + place * each
        end = at + each - pen.measure(unit, size, False) - (2.0 if blank.places > 1 else 0.0)
        pen.rule(at, end, pen.y_mm)
        pen.put(unit.strip(), end + 0.8, pen.y_mm - size * (LEAD - 1.0), size)


def _draw_points(pen: Pen, lines: tuple[str, ...]) -> None:
    """Points in two columns, evenly filled."""
    middle = (pen.left_mm + pen.right_mm) / 2
    left = pen.beside(pen.left_mm, middle - BESIDE_MM / 2)
    right = pen.beside(middle + BESIDE_MM / 2, pen.right_mm)
    split = (len(lines) + 1) // 2
    for column, part in ((left, lines[:split]), (right, lines[split:])):
        for line in part:
            column.say(line, SMALL_MM, indent_mm=3.0, first="-")
    pen.y_mm = max(left.y_mm, right.y_mm)


def _fits(pen: Pen, paper: str) -> bool:
    return pen.y_mm <= PAPERS[paper][1] - MARGIN_MM - FOOT_MM


def _finish(pen: Pen, sheet: Sheet, paper: str, page: str) -> Paper:
    """The foot: where the sheet came from, and once more what stands against it."""
    wide, tall = PAPERS[paper]
    size, base = 2.2, tall - MARGIN_MM
    tag = " · ".join(part for part in (sheet.tag, page) if part)
    room = pen.wide_mm
    if tag:
        tag_wide = pen.measure(tag, HEAD_MM, True)
        pen.put(tag, pen.right_mm - tag_wide, base, HEAD_MM, bold=True)
        room -= tag_wide + 4.0
    lines = pen.wrapped(sheet.trace, size, room)[:FOOT_LINES]
    for at, line in enumerate(reversed(lines)):
        pen.put(line, pen.left_mm, base - at * size * LEAD, size)
    return Paper(wide, tall, tuple(pen.items))
