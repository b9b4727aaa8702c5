"""Where a pinion's shims, dimensions and badges are in the section; in its drawing units."""

from __future__ import annotations

from dataclasses import dataclass

from desktop.section_parts import BOTTOM, CAVITY, Box, Point, Side, pinion_faces
from desktop.section_pinion import (
    BORE,
    CARTRIDGE,
    CONE_TALL,
    FLOOR,
    HEAD,
    SNOUT,
    SPACER,
    PinionParts,
    Ring,
    Stations,
    sleeve_bulge,
)
from solver.job import FLANGE, PINION_HEAD, PINION_SPACER

CRUSH_SPACER = "crush spacer"
DEPTH_AT = 62.0  # where the mounting distance is dimensioned
BESIDE = 16.0  # how far out of the metal the stacks are dimensioned


@dataclass(frozen=True, slots=True)
class Beside:
    """Where the stack of a seat of the pinion is dimensioned, beside the metal."""

    seat: str
    near: float  # of the ring that the extension lines start from, negative to the left
    line: float  # where the dimension line stands
    top: float
    bottom: float
    clear: float  # below this there is no metal beside the line
    sleeve: bool = False  # a crush spacer, which has a name and no stack


@dataclass(frozen=True, slots=True)
class Depth:
    """Where the mounting distance is dimensioned, from the wheel's axis down to a face."""

    line: float
    face: float
    foot: float  # on the pinion, where the extension line starts
    floor: float  # of the cavity, under what is written
    wall: float


def _stacks(parts: PinionParts, at: Stations) -> list[tuple[str, Side, Ring, float]]:
    """Name, side, room and way (left or right) of each stack that the job places."""
    sides = ((HEAD, PINION_HEAD, parts.head, -1.0), (SPACER, PINION_SPACER, parts.shims, 1.0))
    return [
        (name, side, at.rings[key], way)
        for key, name, side, way in sides
        if side.under and key in at.rings
    ]


def pinion_boxes(parts: PinionParts, at: Stations) -> tuple[Box, ...]:
    """Place the pinion's shims, left and right of its axis. parts, at: of it. Returns them."""
    boxes = []
    for name, side, ring, _ in _stacks(parts, at):
        top = ring.top
        for tall in side.shims if side.planned else (side.room,):
            for near, far in ((-ring.far, -ring.near), (ring.near, ring.far)):
                boxes.append(Box(name, near, top, far, top + tall, not side.planned, down=True))
            top += tall
    return tuple(boxes)


def pinion_beside(parts: PinionParts, at: Stations) -> tuple[Beside, ...]:
    """Place what is dimensioned beside the metal: the head left, the spacer right. parts, at."""
    reach = BESIDE + (CARTRIDGE if parts.sits == FLANGE else SNOUT)
    found = [
        Beside(name, way * ring.far, way * reach, ring.top, ring.bottom, BOTTOM)
        for name, _, ring, way in _stacks(parts, at)
    ]
    if parts.spacer == "crush":
        bulge, middle = sleeve_bulge(at)
        found.append(Beside(CRUSH_SPACER, bulge, reach, middle, middle, BOTTOM, sleeve=True))
    return tuple(found)


def pinion_depth(parts: PinionParts) -> Depth | None:
    """Place the mounting distance. parts: of the pinion. Returns None where its face is unsaid."""
    nose, back = pinion_faces()
    if not parts.face:
        return None
    return Depth(DEPTH_AT, nose if parts.face == "nose" else back, 30.0, FLOOR, CAVITY)


def pinion_spots(at: Stations) -> dict[str, tuple[Point, Point]]:
    """Find the spot and the badge of every reading of the pinion. at: of it."""
    roller = at.cone + 0.45 * CONE_TALL
    low = at.end - 14.0
    return {
        "mounting distance": ((DEPTH_AT, 90.0), (DEPTH_AT + 44.0, 98.0)),
        "axis to seat": ((-0.9 * BORE, at.seat), (-86.0, low)),
        "head height": ((34.0, roller), (100.0, 192.0)),
        "old head height": ((-34.0, roller), (-100.0, 192.0)),
        "pinion end float": ((28.0, at.end - 11.0), (86.0, low)),
    }
