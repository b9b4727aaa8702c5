"""A small outline of the axle for the bench sheet: which stack is where; not to scale.

Built about the middle of a box 66 mm wide and 26 mm tall, wheel on the left, and mirrored where it
is on the right. Shims are black.

    housing ▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒            ▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒
            ▒▌⊠ ┌wheel──────┐ ⊠▐▒          ◣ ⊠▌    spacer    ▐⊠
     shims ▌  ──│  carrier  │──  ▐           ══════════════════ nut
            ▒▌⊠ └wheel──────┘ ⊠▐▒          ◤ ⊠▌    spacer    ▐⊠
            ▒▒▒▒▒▒▒▒pinion▒▒▒▒▒▒▒            ▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒
"""

from __future__ import annotations

from solver.job import FLANGE, UNDER_CONE, WHEEL_SIDE, Layout, Pinion, Seat
from solver.paper import Area, Item, Line, Point, box

WIDE_MM, TALL_MM = 66.0, 27.0
_HOUSING, _METAL = 0.82, 0.95  # grey
_SHIM_MM = 1.4


def carrier_outline(seats: tuple[Seat, ...], layout: Layout) -> tuple[Item, ...]:
    """Draw the carrier in its housing.

    seats: of the carrier; layout: where the wheel is and on which side of the bearings the shims
    are. Returns: shapes about (0, 0) [mm].
    """
    left = layout.wheel == "left"
    items: list[Item] = [
        Area(box(-29.0, -12.5, 29.0, 12.5), _HOUSING),
        Area(box(-17.0, -9.5, 17.0, 9.5), 1.0),
        Area(box(-24.6, -2.2, 24.6, 2.2), _METAL),
        Area(box(-14.0, -5.2, 14.0, 5.2), _METAL),
    ]
    for up in (-1.0, 1.0):  # the crown wheel's teeth point at where the axes meet
        rim = ((-9.5, up * 9.1), (-4.8, up * 9.1), (-3.4, up * 6.4), (-9.5, up * 4.4))
        items.append(Area(rim, 0.75, 0.3))
    pinion = ((-3.2, 6.6), (3.2, 6.6), (4.6, 9.3), (-4.6, 9.3))
    items += [Area(box(-2.4, 9.3, 2.4, 13.4), _METAL), Area(pinion, 0.75, 0.3)]
    for seat in seats:
        way = -1.0 if seat.name == WHEEL_SIDE else 1.0
        items += _side(seat, way, inside=layout.shims == "inside")
    items.append(Line(((-31.0, 0.0), (31.0, 0.0)), 0.15, dashed=True))
    return tuple(items if left else (_mirrored(item) for item in items))


def _side(seat: Seat, way: float, *, inside: bool) -> list[Item]:
    """Bearing and shims of one side. way: -1 left."""
    inner = 17.0 + _SHIM_MM if inside and seat.under == "bearing" else 17.0
    outer = inner + 6.0
    if seat.under == "cover":
        shims, top = (29.0, 29.0 + _SHIM_MM), 8.0
    else:
        shims = (17.0, inner) if inside else (outer, outer + _SHIM_MM)
        top = 6.2
    drawn: list[Item] = []
    for up in (-1.0, 1.0):
        drawn += _bearing(way * inner, way * outer, up * 2.2, up * 6.2)
        drawn.append(Area(box(way * shims[0], up * 2.6, way * shims[1], up * top), 0.0, 0.1))
    if seat.under == "cover":
        drawn.append(Area(box(way * shims[1], -8.6, way * (shims[1] + 2.0), 8.6), _METAL, 0.3))
    return drawn


def pinion_outline(pinion: Pinion, *, solid: bool) -> tuple[Item, ...]:
    """Draw the pinion in its bearings. pinion; solid: on a spacer with shims. Returns: shapes."""
    cone, flange = pinion.sits == UNDER_CONE, pinion.sits == FLANGE
    head = -17.0 + (_SHIM_MM if cone else 0.0)
    items: list[Item] = []
    for up in (-1.0, 1.0):
        items.append(Area(box(head, up * 6.2, 18.0, up * 11.0), _HOUSING))
        items.append(Area(box(head + 6.0, up * 5.0, 12.0, up * 6.4), _HOUSING, 0.0))
        if flange:
            items.append(Area(box(18.0, up * 6.2, 18.0 + _SHIM_MM, up * 12.5), 0.0, 0.1))
            items.append(Area(box(19.4, up * 5.4, 22.0, up * 12.5), _METAL, 0.3))
    items.append(Area(((-28.0, -9.5), (-17.0, -5.6), (-17.0, 5.6), (-28.0, 9.5)), 0.9, 0.3))
    items.append(Area(box(-17.0, -2.2, 27.0, 2.2), _METAL))
    items.append(Area(box(23.0, -4.0, 27.0, 4.0), _METAL, 0.3))
    for up in (-1.0, 1.0):
        items += _bearing(head, head + 6.0, up * 2.2, up * 6.2)
        items += _bearing(12.0, 18.0, up * 2.2, up * 6.2)
        if not flange:
            at = (-17.0, head) if cone else (head + 6.0, head + 6.0 + _SHIM_MM)
            low = 2.4 if cone else 4.2
            items.append(Area(box(at[0], up * low, at[1], up * 6.2), 0.0, 0.1))
        end = 12.0 - (_SHIM_MM if solid else 0.0)
        start = head + 6.0 + (0.0 if cone or flange else _SHIM_MM)
        items.append(Area(box(start, up * 2.2, end, up * 3.4), 0.7))
        if solid:
            items.append(Area(box(end, up * 2.2, 12.0, up * 4.4), 0.0, 0.1))
    items.append(Line(((-31.0, 0.0), (31.0, 0.0)), 0.15, dashed=True))
    return tuple(items)


def _bearing(left: float, right: float, top: float, bottom: float) -> list[Item]:
    """A bearing as drawings show it: a box with its diagonals."""
    return [
        Area(box(left, top, right, bottom), 1.0, 0.3),
        Line(((left, top), (right, bottom)), 0.2),
        Line(((left, bottom), (right, top)), 0.2),
    ]


def moved(item: Item, x_mm: float, y_mm: float, scale: float) -> Item:
    """Put a shape elsewhere. item: a line or an area; x_mm, y_mm: of its origin; scale [1]."""
    assert isinstance(item, Area | Line)
    points: tuple[Point, ...] = tuple((x_mm + x * scale, y_mm + y * scale) for x, y in item.points)
    if isinstance(item, Area):
        return Area(points, item.grey, item.edge_mm)
    return Line(points, item.wide_mm, item.dashed)


def _mirrored(item: Item) -> Item:
    assert isinstance(item, Area | Line)
    points = tuple((-x, y) for x, y in item.points)
    if isinstance(item, Area):
        return Area(points, item.grey, item.edge_mm)
    return Line(points, item.wide_mm, item.dashed)
