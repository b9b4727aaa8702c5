"""The stacks on the bench sheet: every piece a bar to scale, in fitting order, with its name.

housing ▒▒│█│░░│█████│▒▒ bearing       the bars as in section, numbered from the first face on;
           │ │    └ 1  A20, 20.0 thou  the names hang below them like a flight of stairs, so
           │ └ 2  N1, 1.0 thou         that no line crosses a name
           └ 3  B12, 11.8 thou
"""

from __future__ import annotations

from solver.job import PINION_SEATS, PLAIN_SIDE, WHEEL_SIDE
from solver.paper import Area, Item, Line, box
from solver.pen import BODY_MM, HEAD_MM, LEAD, SMALL_MM, Pen
from solver.sheet import Bar, SeatDrawn, Sheet
from solver.sheet_outline import TALL_MM, WIDE_MM, carrier_outline, moved, pinion_outline

END_MM, BAR_TALL_MM, STACK_MM = 14.0, 9.0, 24.0  # the faces either side; the thickest stack
LIGHT, DARK = 0.8, 0.5  # neighbours differ
_APART_MM = 6.0  # the two seats of a row


def draw_stacks(pen: Pen, sheet: Sheet) -> None:
    """Draw every seat's stack, and the outline of the axle between them. pen; sheet."""
    if sheet.seats_note:
        pen.say(sheet.seats_note, BODY_MM, bold=True)
    if not sheet.seats:
        return
    thickest = max((_thick(seat) for seat in sheet.seats), default=0.0)
    per_um = STACK_MM * min(pen.scale, 1.0) / thickest if thickest > 0.0 else 0.0
    by_name = {seat.seat: seat for seat in sheet.seats}
    if sheet.carrier:
        names = (WHEEL_SIDE, PLAIN_SIDE)
        outline = carrier_outline(sheet.carrier, sheet.layout)
        if sheet.layout.wheel == "right":
            names = (PLAIN_SIDE, WHEEL_SIDE)
        _draw_row(pen, [by_name.get(name) for name in names], outline, per_um, facing=True)
    if sheet.pinion is not None:
        outline = pinion_outline(sheet.pinion, solid=sheet.solid)
        _draw_row(pen, [by_name.get(name) for name in PINION_SEATS], outline, per_um, facing=False)
    if per_um:
        pen.say(
            f"Bars {per_um * 1000.0:.0f} times as thick as the pieces, all to one scale, numbered"
            " in the order of fitting. The outline is not to scale; its shims are black.",
            SMALL_MM,
        )


def _thick(seat: SeatDrawn) -> float:
    return sum(bar.thickness_um for bar in seat.bars)


def _draw_row(
    pen: Pen,
    seats: list[SeatDrawn | None],
    outline: tuple[Item, ...],
    per_um: float,
    *,
    facing: bool,
) -> None:
    """Two seats with the outline between their names. facing: the left one's bearing is right."""
    middle = (pen.left_mm + pen.right_mm) / 2
    half = WIDE_MM / 2 * pen.scale
    tall = TALL_MM * pen.scale
    pen.gap(1.0)
    centre = pen.y_mm + tall / 2
    pen.items.extend(moved(item, middle, centre, pen.scale) for item in outline)
    bottoms = []
    for k, seat in enumerate(seats):
        if seat is None:
            continue
        left = pen.left_mm if k == 0 else middle + half + 1.5
        right = middle - half - 1.5 if k == 0 else pen.right_mm
        name = pen.beside(left, right)
        name.gap(2.0)
        name.say(seat.seat, HEAD_MM * 1.15, bold=True)
        name.say(seat.under, SMALL_MM)
        name.gap(0.8)
        name.say(seat.total, HEAD_MM, bold=True)
        edge = middle - _APART_MM / 2 if k == 0 else middle + _APART_MM / 2
        zone = pen.beside(pen.left_mm, edge) if k == 0 else pen.beside(edge, pen.right_mm)
        zone.y_mm = max(pen.y_mm + tall + 1.0, name.y_mm + 1.0)
        _draw_seat(zone, seat, per_um, mirrored=facing and k == 0)
        bottoms.append(zone.y_mm)
    pen.y_mm = max([pen.y_mm + tall, *bottoms])


def _draw_seat(pen: Pen, seat: SeatDrawn, per_um: float, *, mirrored: bool) -> None:
    """The two faces, the bars between them, the names below. mirrored: first face on the right."""
    s, end = pen.scale, END_MM * min(pen.scale, 1.0)
    numbered = list(enumerate(seat.bars, 1))
    faces = seat.between
    if mirrored:
        numbered, faces = numbered[::-1], (faces[1], faces[0])
    top, bottom = pen.y_mm, pen.y_mm + BAR_TALL_MM * s
    x = pen.left_mm + end
    _draw_face(pen, faces[0], pen.left_mm, x, top)
    middles = []
    for number, bar in numbered:
        wide = bar.thickness_um * per_um
        grey = LIGHT if number % 2 else DARK
        pen.items.append(Area(box(x, top, x + wide, bottom), grey, 0.2))
        middles.append(x + wide / 2)
        x += wide
    _draw_face(pen, faces[1], x, x + end, top)
    pen.y_mm = bottom + 0.8 * s
    size = _size(pen, len(numbered))
    if not numbered:
        pen.say("no shim: nothing goes here", SMALL_MM, bold=True)
    for (number, bar), at in reversed(list(zip(numbered, middles, strict=True))):
        pen.y_mm += size * LEAD
        base = pen.y_mm - size * (LEAD - 1.0)
        level = base - size * 0.36
        pen.items.append(Line(((at, bottom), (at, level), (at + 1.6 * s, level)), 0.15))
        name = _named(pen, number, bar, size, pen.right_mm - at - 2.2 * s)
        pen.put(name, at + 2.2 * s, base, size)
    pen.gap(1.0)


def _named(pen: Pen, number: int, bar: Bar, size: float, room: float) -> str:
    """A piece's name and size; where there is no room in one system of units, then a cut name."""
    start, one_system = f"{number}  {bar.id}", bar.size.partition(" (")[0]
    for told in (bar.size, one_system):
        if pen.measure(f"{start}, {told}", size, False) <= room:
            return f"{start}, {told}"
    tail = f", {one_system}"
    return pen.shortened(start, size, room - pen.measure(tail, size, False)) + tail


def _size(pen: Pen, pieces: int) -> float:
    """Type for the names: smaller where there are many."""
    return SMALL_MM * min(pen.scale, 1.0) * (1.0 if pieces <= 6 else 0.85)


def _draw_face(pen: Pen, name: str, left: float, right: float, top: float) -> None:
    """What the stack lies against, a little taller than the bars."""
    s = pen.scale
    pen.items.append(Area(box(left, top, right, top + BAR_TALL_MM * s), 1.0, 0.35))
    size = 2.2 * s
    text = pen.shortened(name, size, right - left - 0.6)
    room = right - left - pen.measure(text, size, False)
    pen.put(text, left + room / 2, top + BAR_TALL_MM * s / 2 + size * 0.36, size)
