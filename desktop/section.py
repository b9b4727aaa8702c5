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
from dataclasses import dataclass

from solver.job import PLAIN_SIDE, WHEEL_SIDE, Layout

Point = tuple[float, float]

STACK_MOST = 50.0  # the thickest stack is drawn this thick
STACK_NONE = 22.0  # room shown in a seat without a plan
HALF_WIDE, TOP, BOTTOM = 293.0, -188.0, 208.0  # housing
CAVITY, CEILING, FLOOR = 163.0, -162.0, 166.0
BORE, TUBE, JOURNAL, SHOULDER = 76.0, 34.0, 28.0, 54.0  # radii about the wheel's axis
HUB, FLANGE, FLANGE_FROM, FLANGE_TO, HUB_END = 78.0, 124.0, 103.0, 127.0, 106.0
BEARING = 50.0  # wide
SEAT_OUTSIDE, SEAT_INSIDE = 172.0, 150.0  # inner face of the bearing; of the shims inside it
COVER_RADIUS, COVER_WIDE, BOLT_RADIUS, BOLT_HEAD = 116.0, 20.0, 97.0, 8.0
PITCH_DEG, TOOTH_DEG, MESH_GAP_DEG = 68.0, 5.2, 2.2  # of the wheel's pitch cone
WHEEL_RADIUS, FACE_FROM = 148.0, 0.66  # outer pitch radius; inner end of the tooth, as a share
PINION_SHAFT, PINION_END = 19.0, 238.0
RING_UNDER = 40.0  # inner radius of shims between bearing and housing


@dataclass(frozen=True, slots=True)
class Side:
    """One side as drawn: its shims from the bearing or housing outwards."""

    under: str = "bearing"  # 'bearing', 'cover', or '' where the job has no seat
    shims: tuple[float, ...] = ()  # thickness as drawn
    planned: bool = False

    @property
    def room(self) -> float:
        """What the stack takes up as drawn; a seat without a plan shows an empty room."""
        if not self.planned and self.under:
            return STACK_NONE
        return sum(self.shims)


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled outline, a line or a disc; colours by the names of the tokens."""

    points: tuple[Point, ...]
    fill: str = ""
    edge: str = "edge"
    hatch: int = 0  # +1 and -1: the two slants
    dash: bool = False
    disc: float = 0.0  # radius about the one point


@dataclass(frozen=True, slots=True)
class Box:
    """A shim, or the room for some, as an upright box."""

    seat: str
    left: float
    top: float
    right: float
    bottom: float
    pending: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """Where the stack of a seat is dimensioned."""

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


def draw_section(layout: Layout, wheel: Side, plain: Side) -> Section:
    """Draw the axle.

    layout: wheel left or right, shims outside or inside the bearings; wheel, plain: the two sides.
    Returns the drawing, in its own units.
    """
    inside = layout.shims == "inside"
    sides = ((WHEEL_SIDE, wheel, -1.0), (PLAIN_SIDE, plain, 1.0))
    shapes = [_box(-HALF_WIDE, TOP, HALF_WIDE, BOTTOM, fill="housing", hatch=1)]
    shapes.append(_box(-CAVITY, CEILING, CAVITY, FLOOR, fill="sunk"))
    for _, side, way in sides:
        shapes += _bores(side, way, inside)
    shapes += _pinion_bore()
    shapes += _carrier(inside, wheel, plain)
    shapes += _crown_wheel()
    shapes += _pinion()
    boxes: list[Box] = []
    dimensions = []
    for name, side, way in sides:
        shapes += _bearing(*_bearing_at(side, inside), way)
        if side.under == "cover":
            shapes += _cover(side, way)
        stack, dimension = _stack(name, side, way, inside)
        boxes += stack
        dimensions.append(dimension)
    left, right = -_outer(wheel), _outer(plain)
    shapes += _axes(left, right)
    section = Section(
        tuple(shapes),
        tuple(boxes),
        tuple(dimensions),
        _spots(wheel, plain, inside),
        left,
        right,
        TOP,
        PINION_END + 6,
    )
    return section if layout.wheel == "left" else _mirrored(section)


def _outer(side: Side) -> float:
    if side.under != "cover":
        return HALF_WIDE
    return HALF_WIDE + side.room + COVER_WIDE + BOLT_HEAD


def _bearing_at(side: Side, inside: bool) -> tuple[float, float]:
    """Inner and outer face of a bearing, as distances from the middle."""
    inner = SEAT_OUTSIDE
    if inside and side.under != "cover":
        inner = SEAT_INSIDE + side.room
    return inner, inner + BEARING


def _box(left: float, top: float, right: float, bottom: float, **look: object) -> Shape:
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return Shape(corners, **look)  # type: ignore[arg-type]


def _bores(side: Side, way: float, inside: bool) -> list[Shape]:
    """The holes that the housing has on one side: bearing bore and axle tube."""
    end = _bearing_at(side, inside)[1]
    if side.under == "cover":
        end = HALF_WIDE
    elif not inside:
        end += side.room
    bore = ((way * CAVITY, -BORE), (way * end, -BORE), (way * end, BORE), (way * CAVITY, BORE))
    tube = _box(way * end, -TUBE, way * HALF_WIDE, TUBE, fill="sunk")
    # The mouth of the bore is open: its edge would be a wall that is not there.
    mouth = Shape(((way * CAVITY, -BORE), (way * CAVITY, BORE)), edge="sunk")
    lip = way * (end if side.under == "cover" else HALF_WIDE)
    radius = BORE if side.under == "cover" else TUBE
    open_end = Shape(((lip, -radius), (lip, radius)), edge="sunk")
    step = Shape(((way * end, -TUBE), (way * end, TUBE)), edge="sunk")
    holes = [Shape(bore, fill="sunk"), mouth]
    return [*holes, *([] if side.under == "cover" else [tube, step]), open_end]


def _pinion_bore() -> list[Shape]:
    wide = 41.0
    return [
        _box(-wide, FLOOR, wide, BOTTOM, fill="sunk"),
        Shape(((-wide, FLOOR), (wide, FLOOR)), edge="sunk"),
        Shape(((-wide, BOTTOM), (wide, BOTTOM)), edge="sunk"),
    ]


def _carrier(inside: bool, wheel: Side, plain: Side) -> list[Shape]:
    """The differential case with its journals, as one outline."""
    left, right = _bearing_at(wheel, inside), _bearing_at(plain, inside)
    step_left = SEAT_INSIDE if inside and wheel.under != "cover" else left[0]
    step_right = SEAT_INSIDE if inside and plain.under != "cover" else right[0]
    upper = (
        (-left[1], JOURNAL),
        (-step_left, JOURNAL),
        (-step_left, SHOULDER),
        (-FLANGE_TO, SHOULDER),
        (-FLANGE_TO, FLANGE - 5),
        (-FLANGE_TO + 5, FLANGE),
        (-FLANGE_FROM, FLANGE),
        (-FLANGE_FROM, HUB),
        (HUB_END - 27, HUB),
        (HUB_END, SHOULDER),
        (step_right, SHOULDER),
        (step_right, JOURNAL),
        (right[1], JOURNAL),
    )
    outline = [(x, -r) for x, r in upper] + [(x, r) for x, r in reversed(upper)]
    shapes = [Shape(tuple(outline), fill="carrier")]
    for y in (-1.0, 1.0):
        middle = y * (FLANGE - 14)
        shapes.append(_box(-FLANGE_TO - 9, middle - 7, -FLANGE_TO, middle + 7, fill="bearing"))
    return shapes


def _on_cone(distance: float, angle_deg: float) -> Point:
    """A point on a line through the meeting of the axes, in the lower left quarter."""
    angle = math.radians(angle_deg)
    return -distance * math.cos(angle), distance * math.sin(angle)


def _crown_wheel() -> list[Shape]:
    """The wheel above and below the axis: blank, then the tooth between root and tip."""
    outer = WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG))
    inner = outer * FACE_FROM
    tip = PITCH_DEG - MESH_GAP_DEG / 2
    root = tip - TOOTH_DEG
    root_out, root_in = _on_cone(outer, root), _on_cone(inner, root)
    heel = (root_out[0] - 16, root_out[1] - 3)
    blank = (
        root_out,
        root_in,
        (root_in[0] - 3, HUB),
        (-FLANGE_FROM, HUB),
        (-FLANGE_FROM, heel[1] - 5),
        (-FLANGE_FROM + 5, heel[1]),
        heel,
    )
    tooth = (_on_cone(outer, tip), _on_cone(inner, tip), root_in, root_out)
    shapes = []
    for way in (-1.0, 1.0):
        shapes.append(Shape(tuple((x, way * y) for x, y in blank), fill="gear"))
        shapes.append(Shape(tuple((x, way * y) for x, y in tooth), fill="tooth"))
        bolt = way * (FLANGE - 14)
        shapes.append(
            Shape(((-FLANGE_TO - 14, bolt), (-FLANGE_FROM + 16, bolt)), edge="edge", dash=True)
        )
    return shapes


def _pinion() -> list[Shape]:
    """The pinion: head between its two tooth strips, shaft, and its head bearing."""
    outer = WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG)) + 1
    inner = outer * FACE_FROM - 1
    tip = PITCH_DEG + MESH_GAP_DEG / 2
    root = tip + TOOTH_DEG
    tooth = (
        _on_cone(outer, tip),
        _on_cone(inner, tip),
        _on_cone(inner, root),
        _on_cone(outer, root),
    )
    root_in, root_out = tooth[2], tooth[3]
    back = root_out[1] + 9
    left = (root_in, root_out, (-PINION_SHAFT - 9, back), (-PINION_SHAFT, back))
    foot = (-PINION_SHAFT, PINION_END)
    head = (*left, foot, *((-x, y) for x, y in reversed((*left, foot))))
    shapes = [Shape(head, fill="gear")]
    shapes += [Shape(tuple((way * x, y) for x, y in tooth), fill="tooth") for way in (1.0, -1.0)]
    top = back + 2
    for way in (-1.0, 1.0):
        ring = tuple((way * r, y) for r, y in ((PINION_SHAFT, top), (40.0, top), (40.0, top + 32)))
        shapes.append(Shape((*ring, (way * PINION_SHAFT, top + 32)), fill="bearing"))
        roller = ((24.0, top + 6), (35.0, top + 6), (31.0, top + 27), (23.0, top + 27))
        shapes.append(Shape(tuple((way * r, y) for r, y in roller), fill="gear"))
    return shapes


def _bearing(inner: float, outer: float, way: float) -> list[Shape]:
    """A taper roller bearing above and below the axis, the rollers' large ends inboard."""
    inner_race, outer_race = (46.0, 37.0), (68.0, 57.0)  # at the inner and the outer face
    shapes = []
    for up in (-1.0, 1.0):

        def ring(points: tuple[Point, ...], fill: str, up: float = up) -> Shape:
            return Shape(tuple((way * u, up * r) for u, r in points), fill=fill)

        def race(ends: Point, share: float) -> Point:
            u = inner + share * (outer - inner)
            return u, ends[0] + share * (ends[1] - ends[0])

        cone = ((inner, JOURNAL), (outer, JOURNAL), race(inner_race, 1.0), race(inner_race, 0.0))
        cup = ((inner, BORE), (outer, BORE), race(outer_race, 1.0), race(outer_race, 0.0))
        roller = (*(race(inner_race, s) for s in (0.14, 0.86)),)
        roller += (*(race(outer_race, s) for s in (0.86, 0.14)),)
        shapes += [ring(cone, "bearing"), ring(cup, "bearing"), ring(roller, "gear")]
    return shapes


def _cover(side: Side, way: float) -> list[Shape]:
    """A side cover: flange over its shims, spigot down to the bearing, bolts as heads and axes."""
    face = HALF_WIDE + side.room
    bearing = SEAT_OUTSIDE + BEARING
    end = face + COVER_WIDE
    shapes = []
    for up in (-1.0, 1.0):
        outline = ((bearing, RING_UNDER), (bearing, BORE), (face, BORE), (face, COVER_RADIUS))
        outline += ((end, COVER_RADIUS), (end, RING_UNDER))
        shapes.append(Shape(tuple((way * u, up * r) for u, r in outline), fill="housing", hatch=-1))
        bolt = tuple(
            (way * u, up * (BOLT_RADIUS + r))
            for u, r in ((end, -8), (end + BOLT_HEAD, -8), (end + BOLT_HEAD, 8), (end, 8))
        )
        shapes.append(Shape(bolt, fill="bearing"))
    return shapes


def _stack(name: str, side: Side, way: float, inside: bool) -> tuple[list[Box], Dimension]:
    """The shims of one seat above and below the axis, and where they are dimensioned."""
    inner, outer = _bearing_at(side, inside)
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


def _axes(left: float, right: float) -> list[Shape]:
    """The two axes, dash and dot."""
    return [
        Shape(((left, 0.0), (right, 0.0)), edge="edge", dash=True),
        Shape(((0.0, 0.0), (0.0, PINION_END + 6)), edge="edge", dash=True),
    ]


def _spots(wheel: Side, plain: Side, inside: bool) -> dict[str, tuple[Point, Point]]:
    """For every reading the spot that it is taken at, and where its badge stands clear of metal."""

    def seat(side: Side, share: float) -> float:
        inner, outer = _bearing_at(side, inside)
        if side.under == "cover":
            return HALF_WIDE + side.room * share
        return (inner - side.room * (1 - share)) if inside else outer + side.room * share

    def rim(side: Side) -> float:
        return COVER_RADIUS if side.under == "cover" else (SHOULDER + 4 if inside else BORE)

    left, right = wheel, plain
    mesh = _on_cone(0.84 * WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG)), PITCH_DEG)
    out = 16.0 if plain.under == "cover" else 0.0  # the flange is nearer the edge of the drawing
    return {
        "total clearance": ((seat(right, 0.0), -rim(right)), (seat(right, 0.0) - 26, -140.0)),
        "mesh gap": ((-seat(left, 0.5), rim(left)), (-seat(left, 0.5) - 8, 150.0)),
        "plain gap": ((seat(right, 0.25), rim(right)), (seat(right, 0.25) - 24 - 2 * out, 150.0)),
        "far gap in mesh": (
            (seat(right, 0.85), rim(right)),
            (seat(right, 0.85) + 16 - out, 150.0),
        ),
        "end float": ((HUB_END - 13, -HUB + 10), (HUB_END + 24, -124.0)),
        "travel to mesh": ((-FLANGE_TO, -FLANGE + 34), (-CAVITY + 14, -140.0)),
        "backlash": (mesh, (-104.0, 187.0)),
    }


def _mirrored(section: Section) -> Section:
    """The same drawing with the wheel on the right."""
    return Section(
        tuple(
            Shape(
                tuple((-x, y) for x, y in shape.points),
                shape.fill,
                shape.edge,
                -shape.hatch,
                shape.dash,
                shape.disc,
            )
            for shape in section.shapes
        ),
        tuple(Box(b.seat, -b.right, b.top, -b.left, b.bottom, b.pending) for b in section.shims),
        tuple(Dimension(d.seat, -d.right, -d.left, d.top) for d in section.dimensions),
        {
            name: ((-spot[0], spot[1]), (-badge[0], badge[1]))
            for name, (spot, badge) in section.spots.items()
        },
        -section.right,
        -section.left,
        section.top,
        section.bottom,
    )
