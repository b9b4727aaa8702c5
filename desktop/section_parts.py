"""The pieces of metal in the section: housing bores, carrier, wheel, pinion, bearings, covers.

Radii and distances are in drawing units, from the meeting of the axes; see `section`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

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
    down: bool = False  # stacked down the pinion's axis, not along the wheel's


def bearing_at(side: Side, inside: bool) -> tuple[float, float]:
    """Place a bearing. side: as drawn; inside: shims lie inside the bearings.

    Returns: its inner and outer face, as distances from the middle.
    """
    inner = SEAT_OUTSIDE
    if inside and side.under != "cover":
        inner = SEAT_INSIDE + side.room
    return inner, inner + BEARING


def box(left: float, top: float, right: float, bottom: float, **look: object) -> Shape:
    """Draw an upright box. left, top, right, bottom: its sides; look: as of Shape. Returns it."""
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return Shape(corners, **look)  # type: ignore[arg-type]  # keywords of one Shape


def bores(side: Side, way: float, inside: bool) -> list[Shape]:
    """Draw the holes of the housing on one side: bearing bore and axle tube.

    side: as drawn; way: -1 to the left, +1 to the right; inside: shims lie inside the bearings.
    Returns the shapes.
    """
    end = bearing_at(side, inside)[1]
    if side.under == "cover":
        end = HALF_WIDE
    elif not inside:
        end += side.room
    bore = ((way * CAVITY, -BORE), (way * end, -BORE), (way * end, BORE), (way * CAVITY, BORE))
    tube = box(way * end, -TUBE, way * HALF_WIDE, TUBE, fill="sunk")
    # The mouth of the bore is open: its edge would be a wall that is not there.
    mouth = Shape(((way * CAVITY, -BORE), (way * CAVITY, BORE)), edge="sunk")
    lip = way * (end if side.under == "cover" else HALF_WIDE)
    radius = BORE if side.under == "cover" else TUBE
    open_end = Shape(((lip, -radius), (lip, radius)), edge="sunk")
    step = Shape(((way * end, -TUBE), (way * end, TUBE)), edge="sunk")
    holes = [Shape(bore, fill="sunk"), mouth]
    return [*holes, *([] if side.under == "cover" else [tube, step]), open_end]


def pinion_bore() -> list[Shape]:
    """Draw the hole for the pinion in the floor of the housing. Returns the shapes."""
    wide = 41.0
    return [
        box(-wide, FLOOR, wide, BOTTOM, fill="sunk"),
        Shape(((-wide, FLOOR), (wide, FLOOR)), edge="sunk"),
        Shape(((-wide, BOTTOM), (wide, BOTTOM)), edge="sunk"),
    ]


def carrier(inside: bool, wheel: Side, plain: Side) -> list[Shape]:
    """Draw the differential case with its journals, as one outline.

    inside: shims lie inside the bearings; wheel, plain: the sides. Returns the shapes.
    """
    left, right = bearing_at(wheel, inside), bearing_at(plain, inside)
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
        shapes.append(box(-FLANGE_TO - 9, middle - 7, -FLANGE_TO, middle + 7, fill="bearing"))
    return shapes


def on_cone(distance: float, angle_deg: float) -> Point:
    """Find a point on a line through the meeting of the axes, in the lower left quarter.

    distance: from the meeting; angle_deg: of the line to the wheel's axis. Returns the point.
    """
    angle = math.radians(angle_deg)
    return -distance * math.cos(angle), distance * math.sin(angle)


def crown_wheel() -> list[Shape]:
    """Draw the wheel above and below the axis: blank, tooth between root and tip. Returns it."""
    outer = WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG))
    inner = outer * FACE_FROM
    tip = PITCH_DEG - MESH_GAP_DEG / 2
    root = tip - TOOTH_DEG
    root_out, root_in = on_cone(outer, root), on_cone(inner, root)
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
    tooth = (on_cone(outer, tip), on_cone(inner, tip), root_in, root_out)
    shapes = []
    for way in (-1.0, 1.0):
        shapes.append(Shape(tuple((x, way * y) for x, y in blank), fill="gear"))
        shapes.append(Shape(tuple((x, way * y) for x, y in tooth), fill="tooth"))
        bolt = way * (FLANGE - 14)
        shapes.append(
            Shape(((-FLANGE_TO - 14, bolt), (-FLANGE_FROM + 16, bolt)), edge="edge", dash=True)
        )
    return shapes


def pinion_faces() -> tuple[float, float]:
    """Find how far the pinion's nose and its shoulder are from the wheel's axis. Returns both."""
    outer, inner, _, root = _pinion_tooth()
    return on_cone(inner, root)[1], on_cone(outer, root)[1] + 9


def _pinion_tooth() -> tuple[float, float, float, float]:
    """Outer and inner end of the pinion's tooth on its cone, angles of its tip and root."""
    outer = WHEEL_RADIUS / math.sin(math.radians(PITCH_DEG)) + 1
    tip = PITCH_DEG + MESH_GAP_DEG / 2
    return outer, outer * FACE_FROM - 1, tip, tip + TOOTH_DEG


def pinion_gear(end: float) -> list[Shape]:
    """Draw the pinion: head between its tooth strips, and shaft. end: of it. Returns the shapes."""
    outer, inner, tip, root = _pinion_tooth()
    tooth = (
        on_cone(outer, tip),
        on_cone(inner, tip),
        on_cone(inner, root),
        on_cone(outer, root),
    )
    root_in, root_out = tooth[2], tooth[3]
    back = root_out[1] + 9
    left = (root_in, root_out, (-PINION_SHAFT - 9, back), (-PINION_SHAFT, back))
    foot = (-PINION_SHAFT, end)
    head = (*left, foot, *((-x, y) for x, y in reversed((*left, foot))))
    shapes = [Shape(head, fill="gear")]
    return shapes + [
        Shape(tuple((way * x, y) for x, y in tooth), fill="tooth") for way in (1.0, -1.0)
    ]


def pinion() -> list[Shape]:
    """Draw the pinion of a job about the carrier alone, with its head bearing. Returns it."""
    shapes = pinion_gear(PINION_END)
    top = pinion_faces()[1] + 2
    for way in (-1.0, 1.0):
        ring = tuple((way * r, y) for r, y in ((PINION_SHAFT, top), (40.0, top), (40.0, top + 32)))
        shapes.append(Shape((*ring, (way * PINION_SHAFT, top + 32)), fill="bearing"))
        roller = ((24.0, top + 6), (35.0, top + 6), (31.0, top + 27), (23.0, top + 27))
        shapes.append(Shape(tuple((way * r, y) for r, y in roller), fill="gear"))
    return shapes


def bearing(inner: float, outer: float, way: float) -> list[Shape]:
    """Draw a taper roller bearing above and below the axis, the rollers' large ends inboard.

    inner, outer: its faces, from the middle; way: -1 to the left, +1 to the right. Returns it.
    """
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
        roller: tuple[Point, ...] = (*(race(inner_race, s) for s in (0.14, 0.86)),)
        roller += (*(race(outer_race, s) for s in (0.86, 0.14)),)
        shapes += [ring(cone, "bearing"), ring(cup, "bearing"), ring(roller, "gear")]
    return shapes


def cover(side: Side, way: float) -> list[Shape]:
    """Draw a side cover: flange over its shims, spigot down to the bearing, bolt heads.

    side: as drawn; way: -1 to the left, +1 to the right. Returns the shapes.
    """
    face = HALF_WIDE + side.room
    spigot = SEAT_OUTSIDE + BEARING
    end = face + COVER_WIDE
    shapes = []
    for up in (-1.0, 1.0):
        outline = [(spigot, RING_UNDER), (spigot, BORE), (face, BORE), (face, COVER_RADIUS)]
        outline += [(end, COVER_RADIUS), (end, RING_UNDER)]
        shapes.append(Shape(tuple((way * u, up * r) for u, r in outline), fill="housing", hatch=-1))
        bolt = tuple(
            (way * u, up * (BOLT_RADIUS + r))
            for u, r in ((end, -8), (end + BOLT_HEAD, -8), (end + BOLT_HEAD, 8), (end, 8))
        )
        shapes.append(Shape(bolt, fill="bearing"))
    return shapes
