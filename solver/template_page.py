"""The template laid out on paper at its own size: ring, bars to check the printer, notes."""

from __future__ import annotations

from solver.paper import PAPERS, Area, Circle, Line, Measure, Paper, Words, box
from solver.pen import BODY_MM, HEAD_MM, LEAD, SMALL_MM, Pen
from solver.sheet import PLACES
from solver.template import Template
from solver.trouble import Fault, Trouble

MARGIN_MM, FOOT_MM, ROUND_MM = 12.0, 5.0, 3.0  # edge; trace; room about the ring
METRIC_MM, INCH_MM = 100.0, 101.6  # 4 in, exact
LINE_MM = 0.15
CROSS_MM = 4.0
INSIDE_MM = 12.0  # a hole wider than its words by so much has room for them


def lay_template_out(template: Template, paper: str, measure: Measure) -> Paper:
    """Lay a template out, one to one.

    template; paper: of PAPERS; measure: of words. Returns: the page.
    Raises: Trouble for a ring that the paper cannot hold beside its bars and cautions.
    """
    wide, tall = PAPERS[paper]
    scales = (1.0, 0.94, 0.88, 0.82)
    outside_mm = template.outside_um / 1000.0
    room = 0.0
    for scale in scales:
        pen = Pen(measure, MARGIN_MM, wide - MARGIN_MM, MARGIN_MM, scale)
        _draw_head(pen, template)
        _draw_bars(pen, template)
        top = pen.y_mm
        below = Pen(measure, pen.left_mm, pen.right_mm, 0.0, scale)
        _draw_words(below, template)
        free = tall - MARGIN_MM - FOOT_MM - below.y_mm - top - 2 * ROUND_MM
        room = min(free, pen.wide_mm)
        if room >= outside_mm:
            break
    else:
        raise Trouble([_too_large(outside_mm, room, paper)])
    middle = top + ROUND_MM + outside_mm / 2
    _draw_ring(pen, template, middle)
    pen.y_mm = middle + outside_mm / 2 + ROUND_MM
    _draw_words(pen, template)
    pen.put(template.trace, MARGIN_MM, tall - MARGIN_MM, 2.2)
    return Paper(wide, tall, tuple(pen.items))


def _too_large(outside_mm: float, room_mm: float, paper: str) -> Fault:
    found = f"a ring of {outside_mm:.1f} mm"
    wanted = f"one of at most {max(room_mm, 0.0):.0f} mm, which {paper} can hold"
    return Fault("ring: outside", found, wanted, "mark it out on the sheet with dividers instead")


def _draw_head(pen: Pen, template: Template) -> None:
    pen.say(" · ".join(part for part in ("TEMPLATE 1:1", template.title) if part), HEAD_MM)
    pen.gap(0.5)
    pen.say(template.headline, HEAD_MM * 1.3, bold=True)
    for words in template.alarms:
        pen.gap(0.8)
        pad, size = 1.2 * pen.scale, BODY_MM * pen.scale
        lines = pen.wrapped(words, size, pen.wide_mm - 2 * pad, bold=True)
        bottom = pen.y_mm + len(lines) * size * LEAD + 2 * pad
        pen.items.append(Area(box(pen.left_mm, pen.y_mm, pen.right_mm, bottom), 0.0, 0.0))
        inner = pen.beside(pen.left_mm + pad, pen.right_mm - pad)
        inner.y_mm += pad * 0.6
        inner.say(words, BODY_MM, bold=True, white=True)
        pen.y_mm = bottom
    pen.gap(0.5)
    pen.say(template.why, SMALL_MM)
    pen.say(f"Diameters to cut: {template.diameters}.", BODY_MM, bold=True)
    pen.say(template.worked_out, SMALL_MM)


def _draw_bars(pen: Pen, template: Template) -> None:
    """Two bars of known length, one above the other, with what to do about them."""
    pen.gap(1.5)
    for words in template.printing:
        pen.say(words, SMALL_MM)
    for length_mm, name, steps in ((METRIC_MM, "100 mm", 10), (INCH_MM, "4 in", 4)):
        pen.gap(4.5)
        y = pen.y_mm
        pen.items.append(Line(((pen.left_mm, y), (pen.left_mm + length_mm, y)), LINE_MM))
        for step in range(steps + 1):
            x = pen.left_mm + length_mm * step / steps
            tick = 2.4 if step in (0, steps) else 1.2
            pen.items.append(Line(((x, y - tick), (x, y)), LINE_MM))
        pen.put(name, pen.left_mm + length_mm + 2.0, y, BODY_MM * pen.scale, bold=True)
    pen.gap(1.0)


def _draw_ring(pen: Pen, template: Template, middle: float) -> None:
    """Both circles about one centre, and what they are where there is room."""
    centre = (pen.left_mm + pen.right_mm) / 2
    for um in (template.outside_um, template.inside_um):
        pen.items.append(Circle(centre, middle, um / 1000.0, LINE_MM))
    for across in (True, False):
        ends = (
            ((-CROSS_MM, 0.0), (CROSS_MM, 0.0)) if across else ((0.0, -CROSS_MM), (0.0, CROSS_MM))
        )
        points = tuple((centre + x, middle + y) for x, y in ends)
        pen.items.append(Line(points, LINE_MM))
    wide = pen.measure(template.thickness, BODY_MM, True)
    if template.inside_um / 1000.0 >= wide + INSIDE_MM:
        at = (centre - wide / 2, middle + CROSS_MM + 6.0)
        pen.items.append(Words(template.thickness, *at, BODY_MM, bold=True))


def _draw_words(pen: Pen, template: Template) -> None:
    middle = (pen.left_mm + pen.right_mm) / 2
    columns = (pen.beside(pen.left_mm, middle - 3.0), pen.beside(middle + 3.0, pen.right_mm))
    for column, name, lines in zip(
        columns, ("Cutting", "Cautions"), (template.cutting, template.cautions), strict=True
    ):
        column.head(name)
        for line in lines:
            column.say(line, SMALL_MM, indent_mm=3.0, first="-")
    left = columns[0]
    left.gap(2.0)
    left.say("Measured after deburring, at four places:", SMALL_MM, bold=True)
    left.gap(5.0)
    each = left.wide_mm / PLACES
    for place in range(PLACES):
        start = left.left_mm + place * each
        left.rule(start, start + each - 3.0, left.y_mm)
    pen.y_mm = max(column.y_mm for column in columns)
