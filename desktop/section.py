"""The axle in section as plain geometry: what is drawn where, before any screen is known.

Axes of the drawing: the origin is where the axes of wheel and pinion meet, x along the wheel's
axis, y downwards, one unit a pixel at 96 dpi in a drawing 600 wide. It is built with the wheel on
the left and mirrored where it is on the right. No length in it is the axle's: only the shims are to
a scale, one and the same for both sides.

      wheel side            plain side
     ┌───────────────────────────────┐  housing
     │▒▒▒┌───────────┐▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒│
     │▒▒▒│▌  wheel   │▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒│
     │▌▣ ╞═══ carrier═══════════╡ ▣▐▌│  ▌ shims, ▣ bearing
     └───────────┬ pinion ┬──────────┘
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from desktop.pinion_places import (
    Beside,
    Depth,
    pinion_beside,
    pinion_boxes,
    pinion_depth,
    pinion_spots,
)
from desktop.section_break import CUT, WAVE, broken_off
from desktop.section_parts import (
    BOLT_HEAD,
    BORE,
    BOTTOM,
    CAVITY,
    CEILING,
    COVER_RADIUS,
    COVER_WIDE,
    FLANGE,
    FLANGE_TO,
    FLOOR,
    HALF_WIDE,
    HUB,
    HUB_END,
    JOURNAL,
    PINION_END,
    PITCH_DEG,
    RING_UNDER,
    SHOULDER,
    TOP,
    WHEEL_RADIUS,
    Box,
    Point,
    Shape,
    Side,
    bearing,
    bearing_at,
    bores,
    box,
    carrier,
    cover,
    crown_wheel,
    on_cone,
    pinion,
    pinion_bore,
)
from desktop.section_pinion import FLOOR as PINION_FLOOR
from desktop.section_pinion import (
    PinionParts,
    Stations,
    housing_about,
    pinion_hole,
    pinion_metal,
    stations,
)
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Layout


@dataclass(frozen=True, slots=True)
class Dimension:
    """Where the stack of a side is dimensioned, above the metal."""

    seat: str
    left: float
    right: float
    top: float  # of the ring that the extension lines rise from


@dataclass(frozen=True, slots=True)
class Section:
    """The whole drawing."""

    shapes: tuple[Shape, ...]
    shims: tuple[Box, ...]
    dimensions: tuple[Dimension, ...]
    spots: dict[str, tuple[Point, Point]]  # by reading: the spot, and where its badge stands
    left: float
    right: float
    top: float
    bottom: float
    beside: tuple[Beside, ...] = ()
    depth: Depth | None = None


def draw_section(
    layout: Layout,
    wheel: Side,
    plain: Side,
    pinion_parts: PinionParts | None = None,
    *,
    alone: bool = False,
) -> Section:
    """Draw the axle.

    layout: wheel left or right, shims outside or inside the bearings; wheel, plain: the two sides;
    pinion_parts: the pinion, where the job tells of it; alone: of nothing but it, so that the
    drawing is broken off above the wheel's axis. Returns the drawing, in its own units.
    """
    inside = layout.shims == "inside"
    at = stations(pinion_parts) if pinion_parts else None
    sides = ((WHEEL_SIDE, wheel, -1.0), (PLAIN_SIDE, plain, 1.0))
    shapes = _housing(pinion_parts, at)
    for _, side, way in sides:
        shapes += bores(side, way, inside)
    shapes += pinion_hole(pinion_parts, at) if pinion_parts and at else pinion_bore()
    shapes += carrier(inside, wheel, plain)
    shapes += crown_wheel()
    shapes += pinion_metal(pinion_parts, at) if pinion_parts and at else pinion()
    boxes: list[Box] = []
    dimensions = []
    for name, side, way in sides:
        shapes += bearing(*bearing_at(side, inside), way)
        if side.under == "cover":
            shapes += cover(side, way)
        stack, dimension = _stack(name, side, way, inside)
        boxes += stack
        dimensions.append(dimension)
    left, right = -_outer(wheel), _outer(plain)
    end = at.end if at else PINION_END
    shapes += _axes(left, right, end)
    section = Section(
        tuple(shapes),
        tuple(boxes),
        tuple(dimensions),
        _spots(wheel, plain, inside),
        left,
        right,
        TOP,
        end + 6,
    )
    if pinion_parts and at:
        section = _with_pinion(section, pinion_parts, at, inside, alone)
    return section if layout.wheel == "left" else _mirrored(section)


def _housing(parts: PinionParts | None, at: Stations | None) -> list[Shape]:
    """The housing with its cavity, down to the pinion's tail where that is drawn."""
    if parts and at:
        cavity = box(-CAVITY, CEILING, CAVITY, PINION_FLOOR, fill="sunk")
        return [*housing_about(parts, at), cavity]
    shapes = [box(-HALF_WIDE, TOP, HALF_WIDE, BOTTOM, fill="housing", hatch=1)]
    return [*shapes, box(-CAVITY, CEILING, CAVITY, FLOOR, fill="sunk")]


def _with_pinion(
    section: Section, parts: PinionParts, at: Stations, inside: bool, alone: bool
) -> Section:
    """Add the pinion's shims and dimensions; take away what a job without a carrier has not."""
    boxes, beside, depth = pinion_boxes(parts, at), pinion_beside(parts, at), pinion_depth(parts)
    own = pinion_spots(at)
    if alone:
        return replace(
            section,
            shapes=broken_off(section.shapes, section.left, section.right),
            shims=boxes,
            dimensions=(),
            spots=own,
            top=CUT - WAVE,
            beside=beside,
            depth=depth,
        )
    spots = {**section.spots, **own}
    spots["backlash"] = (spots["backlash"][0], (-156.0, 154.0))
    # inside: clear of the backlash, and of what is written beside the mounting distance
    moved = {"mesh gap": -46.0, "plain gap": 26.0, "far gap in mesh": 26.0} if inside else {}
    for name, by in moved.items():
        spot, (x, y) = spots[name]
        spots[name] = (spot, (x + by, y))
    return replace(section, shims=(*section.shims, *boxes), spots=spots, beside=beside, depth=depth)


def _outer(side: Side) -> float:
    if side.under != "cover":
        return HALF_WIDE
    return HALF_WIDE + side.room + COVER_WIDE + BOLT_HEAD


def _stack(name: str, side: Side, way: float, inside: bool) -> tuple[list[Box], Dimension]:
    """The shims of one seat above and below the axis, and where they are dimensioned."""
    inner, outer = bearing_at(side, inside)
    start, low, high = outer, RING_UNDER, BORE - 1
    if side.under == "cover":
        start, low, high = HALF_WIDE, BORE + 1, COVER_RADIUS
    elif inside:
        start, low, high = inner - side.room, JOURNAL + 1, SHOULDER + 4
    widths = side.shims if side.planned else ((side.room,) if side.under else ())
    boxes = []
    at = start
    for wide in widths:
        near, far = sorted((way * at, way * (at + wide)))
        for up in (-1.0, 1.0):
            top, bottom = sorted((up * low, up * high))
            boxes.append(Box(name, near, top, far, bottom, pending=not side.planned))
        at += wide
    near, far = sorted((way * start, way * (start + side.room)))
    return boxes, Dimension(name, near, far, -high)


def _axes(left: float, right: float, end: float) -> list[Shape]:
    """The two axes, dash and dot. left, right: ends of the wheel's; end: of the pinion."""
    return [
        Shape(((left, 0.0), (right, 0.0)), edge="edge", dash=True),
        Shape(((0.0, 0.0), (0.0, end + 6)), edge="edge", dash=True),
    ]


def _spots(wheel: Side, plain: Side, inside: bool) -> dict[str, tuple[Point, Point]]:
    """For every reading the spot that it is taken at, and where its badge stands clear of metal."""

    def seat(side: Side, share: float) -> float:
        inner, outer = bearing_at(side, inside)
        if side.under == "cover":
            return HALF_WIDE + side.room * share
        return (inner - side.room * (1 - share)) if inside else outer + side.room * share

    def rim(side: Side) -> float:
        return COVER_RADIUS if side.under == "cover" else (SHOULDER + 4 if inside else BORE)

    left, right = wheel, plain
    mesh = on_cone(0.84 * WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG)), PITCH_DEG)
    out = 16.0 if plain.under == "cover" else 0.0  # the flange is nearer the edge of the drawing
    return {
        "total clearance": ((seat(right, 0.0), -rim(right)), (seat(right, 0.0) - 26, -140.0)),
        "mesh gap": ((-seat(left, 0.5), rim(left)), (-seat(left, 0.5) - 8, 150.0)),
        "plain gap": ((seat(right, 0.25), rim(right)), (seat(right, 0.25) - 24 - 2 * out, 150.0)),
        "far gap in mesh": (
            (seat(right, 0.85), rim(right)),
            (seat(right, 0.85) + 16 - out, 150.0),
        ),
        "end float": ((HUB_END - 13, -HUB + 10), (HUB_END + (-40 if inside else 24), -124.0)),
        "travel to mesh": ((-FLANGE_TO, -FLANGE + 34), (-CAVITY + 14, -140.0)),
        "backlash": (mesh, (-104.0, 187.0)),
    }


def _mirrored(section: Section) -> Section:
    """The same drawing with the wheel on the right."""
    return replace(
        section,
        shapes=tuple(
            replace(shape, points=tuple((-x, y) for x, y in shape.points), hatch=-shape.hatch)
            for shape in section.shapes
        ),
        shims=tuple(replace(one, left=-one.right, right=-one.left) for one in section.shims),
        dimensions=tuple(
            replace(one, left=-one.right, right=-one.left) for one in section.dimensions
        ),
        spots={
            name: ((-spot[0], spot[1]), (-badge[0], badge[1]))
            for name, (spot, badge) in section.spots.items()
        },
        left=-section.right,
        right=-section.left,
        beside=tuple(replace(one, near=-one.near, line=-one.line) for one in section.beside),
        depth=section.depth
        and replace(
            section.depth,
            line=-section.depth.line,
            foot=-section.depth.foot,
            wall=-section.depth.wall,
        ),
    )
