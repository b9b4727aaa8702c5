"""Where a drawing of a pinion alone is broken off: above the wheel's axis nothing is shown."""

from __future__ import annotations

import math
from dataclasses import replace

from desktop.section_parts import Point, Shape

CUT, WAVE = -62.0, 4.0  # where it is broken off, and how wavily; drawing units


def broken_off(shapes: tuple[Shape, ...], left: float, right: float) -> tuple[Shape, ...]:
    """Keep what is below the break, and draw its wavy edge.

    shapes: of the whole drawing; left, right: its ends. Returns the shapes that are left.
    """
    kept = [shape for shape in map(_below, shapes) if shape is not None]
    steps = range(61)
    wave = [
        (
            left + (right - left) * step / 60,
            CUT + WAVE * math.sin(step * math.pi / 6) * 0.6,
        )
        for step in steps
    ]
    above = ((right + 8, CUT - 14), (left - 8, CUT - 14))
    ends = ((left - 8, CUT), (right + 8, CUT))
    cover = Shape((ends[0], *wave, ends[1], *above), fill="card", edge="card")
    line = Shape(tuple(wave), edge="edge")
    return (*kept, cover, line)


def _below(shape: Shape) -> Shape | None:
    """What of a shape is below the break. Returns None where nothing is."""
    level = CUT - 1.5 * WAVE  # its own edge there is hidden by the wave
    if all(y >= level for _, y in shape.points):
        return shape
    if all(y <= level for _, y in shape.points):
        return None
    around = list(zip(shape.points, (*shape.points[1:], shape.points[0]), strict=True))
    if not shape.fill:
        around = around[:-1]
    points: list[Point] = []
    for (ax, ay), (bx, by) in around:
        if ay >= level:
            points.append((ax, ay))
        if (ay < level) != (by < level):
            points.append((ax + (bx - ax) * (level - ay) / (by - ay), level))
    if not shape.fill and shape.points[-1][1] >= level:
        points.append(shape.points[-1])
    return replace(shape, points=tuple(points))
