"""The pinion's own part of the section: its bearings, its spacer, its shims, and what is measured.

Drawn where a job tells of its pinion. The stack at the head sits where the job says; the metal
below it makes room, so that the pinion itself stays in mesh:

        head           behind the race    between head and cone   under the flange
     ┌───┴───┐            ║▒│ │▒║              ║▒│▌▌│▒║                ║▒│ │▒║
     │ cone  │            ╟▌┘ └▌╢              ║▒│ │▒║               ▌▌╟─┘ └─╢▌▌
     │ cup   │            ╟─┐ ┌─╢              ╟─┘ └─╢               ══╬═┐ ┌═╬══

Lengths are in drawing units from the meeting of the axes, as in `section`.
"""

from __future__ import annotations

from dataclasses import dataclass

from desktop.section_parts import (
    BOTTOM,
    HALF_WIDE,
    PINION_SHAFT,
    TOP,
    Point,
    Shape,
    Side,
    box,
    pinion_faces,
    pinion_gear,
)
from solver.job import BEHIND_RACE, FLANGE, UNDER_CONE

FLOOR = 176.0  # of the cavity; lower than without a pinion, to show the shoulder
SNOUT, BORE, LAND, TAIL_BORE = 68.0, 44.0, 33.0, 40.0  # radii about the pinion's axis
CONE_TALL, TAIL_TALL = 30.0, 26.0
CUP_LOWER = 8.0  # than the cone, seen from the head
SPIGOT, CARTRIDGE, CARTRIDGE_TALL = 58.0, 108.0, 15.0
HEAD, SPACER = "head", "spacer"  # keys of `Stations.rings`


@dataclass(frozen=True, slots=True)
class PinionSaid:
    """What a job says of its pinion, besides its seats, that a drawing shows."""

    spacer: str = ""  # 'solid', 'crush', or '' where it does not say yet
    face: str = ""  # that the mounting distance is measured to: 'shoulder', 'nose' or ''
    wanted_um: float | None = None  # mounting distance, once it is known


@dataclass(frozen=True, slots=True)
class PinionParts:
    """A pinion as drawn."""

    sits: str  # one of solver.job.SITS, '' where the job does not say yet
    spacer: str  # 'solid', 'crush' or ''
    face: str  # 'shoulder', 'nose' or ''
    head: Side
    shims: Side  # at a solid spacer


@dataclass(frozen=True, slots=True)
class Ring:
    """The room of a stack about the pinion's axis: its radii, and how far down it reaches."""

    near: float
    far: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Stations:
    """How far down the pinion's axis everything stands."""

    cone: float  # top of the head bearing's cone
    cup: float
    seat: float  # of the head bearing in the metal
    tail: float  # top of the tail bearing's cone
    end: float
    rings: dict[str, Ring]


def stations(parts: PinionParts) -> Stations:
    """Place the parts down the pinion's axis. parts: as drawn. Returns where they stand."""
    _, back = pinion_faces()
    room = {parts.sits: parts.head.room}
    cone = back + room.get(UNDER_CONE, 0.0)
    cone_end = cone + CONE_TALL
    cup_end = cone_end + CUP_LOWER
    seat = cup_end + room.get(BEHIND_RACE, 0.0)
    flange = BOTTOM + room.get(FLANGE, 0.0)
    tail = max(seat + 24.0, cone_end + 30.0 + parts.shims.room)
    if parts.sits == FLANGE:
        tail = max(tail, flange + CARTRIDGE_TALL - 12.0)
    rings = {
        BEHIND_RACE: Ring(LAND, BORE - 1, cup_end, seat),
        UNDER_CONE: Ring(PINION_SHAFT + 1, LAND, back, cone),
        FLANGE: Ring(SPIGOT + 2, CARTRIDGE - 1, BOTTOM, flange),
    }
    found = {SPACER: Ring(PINION_SHAFT + 1, 31.0, tail - parts.shims.room, tail)}
    if parts.sits:
        found[HEAD] = rings[parts.sits]
    return Stations(cone, cone + CUP_LOWER, seat, tail, tail + TAIL_TALL + 38.0, found)


def housing_about(parts: PinionParts, at: Stations) -> list[Shape]:
    """Draw the housing down to the pinion's tail, and its bores. parts, at: of it."""
    low = at.tail + TAIL_TALL + 8.0
    if parts.sits == FLANGE:
        return [box(-HALF_WIDE, TOP, HALF_WIDE, BOTTOM, fill="housing", hatch=1)]
    corners = ((HALF_WIDE, TOP), (HALF_WIDE, BOTTOM), (SNOUT, BOTTOM), (SNOUT, low))
    outline = (*corners, *((-x, y) for x, y in reversed(corners)))
    return [Shape(outline, fill="housing", hatch=1)]


def pinion_hole(parts: PinionParts, at: Stations) -> list[Shape]:
    """Draw the hole for the pinion, with its cartridge where it has one. parts, at: of it."""
    low = at.tail + TAIL_TALL + 8.0
    shapes = _cartridge(at, low) if parts.sits == FLANGE else []
    step = at.tail - 5.0  # the tail bearing's race sits there
    half = (
        (BORE, FLOOR),
        (BORE, at.seat),
        (LAND, at.seat),
        (LAND, step),
        (TAIL_BORE, step),
        (TAIL_BORE, low),
    )
    outline = (*half, *((-x, y) for x, y in reversed(half)))
    mouths = ((BORE, FLOOR), (TAIL_BORE, low))
    open_ends = [Shape(((-x, y), (x, y)), edge="sunk") for x, y in mouths]
    return [*shapes, Shape(outline, fill="sunk"), *open_ends]


def _cartridge(at: Stations, low: float) -> list[Shape]:
    """The cartridge that carries both bearings: spigot in the housing, flange under its shims."""
    flange = at.rings[HEAD].bottom
    under = flange + CARTRIDGE_TALL
    half = (
        (SPIGOT, FLOOR),
        (SPIGOT, flange),
        (CARTRIDGE, flange),
        (CARTRIDGE, under),
        (SPIGOT, under),
        (SPIGOT, low),
    )
    hole = Shape(
        ((-SPIGOT, FLOOR), (SPIGOT, FLOOR), (SPIGOT, BOTTOM), (-SPIGOT, BOTTOM)), fill="sunk"
    )
    outline = (*half, *((-x, y) for x, y in reversed(half)))
    shapes = [hole, Shape(outline, fill="housing", hatch=-1)]
    for way in (-1.0, 1.0):
        x = way * 88.0
        shapes.append(box(x - 8, under, x + 8, under + 8, fill="bearing"))
        shapes.append(Shape(((x, BOTTOM - 22), (x, under + 12)), edge="edge", dash=True))
    return shapes


def pinion_metal(parts: PinionParts, at: Stations) -> list[Shape]:
    """Draw pinion, bearings, spacer, flange and nut. parts, at: of it. Returns the shapes."""
    shapes = pinion_gear(at.end)
    for way in (-1.0, 1.0):
        shapes += _bearing(way, at.cone, (30.0, 26.0), (40.0, 35.0), BORE, CONE_TALL, CUP_LOWER)
        shapes += _bearing(way, at.tail, (25.0, 29.0), (33.0, 37.0), TAIL_BORE, TAIL_TALL, -5.0)
        shapes += _spacer(way, parts, at)
        foot = at.tail + TAIL_TALL
        hub = (
            (PINION_SHAFT, foot),
            (31.0, foot),
            (31.0, foot + 13),
            (56.0, foot + 13),
            (56.0, foot + 21),
            (PINION_SHAFT, foot + 21),
        )
        shapes.append(_half(way, hub, "carrier"))
        inner, outer = sorted((way * PINION_SHAFT, way * 30.0))
        shapes.append(box(inner, foot + 21, outer, foot + 33, fill="bearing"))
    return shapes


def _half(way: float, points: tuple[Point, ...], fill: str) -> Shape:
    """One half of a ring about the pinion's axis. way: -1 to the left, +1 to the right."""
    return Shape(tuple((way * r, y) for r, y in points), fill=fill)


def _bearing(
    way: float, top: float, inner: Point, outer: Point, bore: float, tall: float, lower: float
) -> list[Shape]:
    """A taper roller bearing on the pinion: cone, cup and roller of one half.

    inner, outer: radii of the two races at the top and the bottom; lower: the cup than the cone.
    """

    def race(ends: Point, start: float, share: float) -> Point:
        return ends[0] + share * (ends[1] - ends[0]), start + share * tall

    ends = race(inner, top, 0.0), race(inner, top, 1.0)
    cone = ((PINION_SHAFT, top), *ends, (PINION_SHAFT, top + tall))
    start = top + lower
    cup = ((bore, start), race(outer, start, 0.0), race(outer, start, 1.0), (bore, start + tall))
    roller = tuple(race(inner, top, s) for s in (0.16, 0.88))
    roller += tuple(race(outer, top + lower / 2, s) for s in (0.88, 0.16))
    return [_half(way, cone, "bearing"), _half(way, cup, "bearing"), _half(way, roller, "gear")]


def _spacer(way: float, parts: PinionParts, at: Stations) -> list[Shape]:
    """The spacer between the bearings: a tube, or a sleeve with the bulge that is crushed."""
    top, bottom = at.cone + CONE_TALL, at.rings[SPACER].top
    if parts.spacer != "crush":
        tube = ((PINION_SHAFT, top), (26.0, top), (26.0, bottom), (PINION_SHAFT, bottom))
        return [_half(way, tube, "carrier")]
    bulge, middle = sleeve_bulge(at)
    half, wall = min(16.0, (bottom - top) / 3), 5.0
    bent = ((25.0, middle - half), (bulge, middle), (25.0, middle + half))
    outside = ((25.0, top), *bent, (25.0, bottom))
    inside = tuple((r - wall, y) for r, y in reversed(outside))
    return [_half(way, (*outside, *inside), "carrier")]


def sleeve_bulge(at: Stations) -> Point:
    """Find where a crush spacer bulges most. at: of the pinion. Returns its radius and place."""
    return LAND - 1, (at.cone + CONE_TALL + at.rings[SPACER].top) / 2
