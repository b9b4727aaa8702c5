"""Small pictures made in memory: rounded boxes, discs and marks, smooth at the edges.

Written as PNG by hand, because an image library takes longer to start than all of these to make.
"""

from __future__ import annotations

import math
import struct
import tkinter as tk
import zlib
from functools import cache

Rgba = tuple[int, int, int, int]
SPAN_PX = 240  # Tk tiles the middle of an image: the wider, the fewer tiles to paint


@cache
def rgb(colour: str) -> tuple[int, int, int]:
    """Split a colour. colour: '#RRGGBB'. Returns its three parts, 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _png(rows: list[bytes], width: int) -> bytes:
    """Rows of RGBA to a PNG file. Source: ISO/IEC 15948, filter 0, colour type 6."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, len(rows), 8, 6, 0, 0, 0)
    body = zlib.compress(b"".join(b"\0" + row for row in rows), 1)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def _cover(distance_px: float) -> float:
    """How much of a pixel a shape covers, its edge at a signed distance (positive: outside)."""
    return min(1.0, max(0.0, 0.5 - distance_px))


def _blend(fill: str | None, edge: str | None, inside: float, outside: float) -> bytes:
    """One pixel: the fill where `inside` covers it, the edge between that and `outside`."""
    if outside <= 0:
        return b"\0\0\0\0"
    top = rgb(fill) if fill else (0, 0, 0)
    rim = rgb(edge) if edge else top
    part_fill = inside if fill else 0.0
    part_rim = max(outside - inside, 0.0) if edge else max(outside - inside, 0.0) * bool(fill)
    alpha = part_fill + part_rim
    if alpha <= 0:
        return b"\0\0\0\0"
    mix = (round((a * part_fill + b * part_rim) / alpha) for a, b in zip(top, rim, strict=True))
    return bytes((*mix, round(255 * min(alpha, 1.0))))


@cache
def _box_png(
    size: tuple[int, int],
    radius: float,
    fill: str | None,
    edge: str | None,
    edge_px: float,
    ground: str | None = None,
) -> bytes:
    width, height = size
    under = rgb(ground) if ground else None
    corner = min(math.ceil(radius + edge_px) + 1, width // 2, height // 2)

    def pixel(x: int, y: int) -> bytes:
        dx = max(radius - (min(x, width - 1 - x) + 0.5), 0.0)
        dy = max(radius - (min(y, height - 1 - y) + 0.5), 0.0)
        if dx or dy:
            distance = math.hypot(dx, dy) - radius
        else:
            distance = -min(x + 0.5, y + 0.5, width - x - 0.5, height - y - 0.5)
        made = _blend(fill, edge, _cover(distance + edge_px), _cover(distance))
        if under is None or made[3] in (0, 255):
            return made
        part = made[3] / 255
        mix = (round(a * part + b * (1 - part)) for a, b in zip(made[:3], under, strict=True))
        return bytes((*mix, 255))

    rows: list[bytes] = []
    middle = b""
    for y in range(height):
        if corner < y < height - corner and middle:
            rows.append(middle)
            continue
        if 2 * y >= height:
            rows.append(rows[height - 1 - y])
            continue
        left = [pixel(x, y) for x in range(corner)]
        row = b"".join(left) + pixel(width // 2, y) * (width - 2 * corner)
        row += b"".join(reversed(left))
        rows.append(row)
        if corner <= y < height - corner:
            middle = row
    return _png(rows, width)


def rounded_box(
    master: tk.Misc,
    *,
    size: tuple[int, int],
    radius: float,
    fill: str | None,
    edge: str | None = None,
    edge_px: float = 0.0,
    ground: str | None = None,
) -> tk.PhotoImage:
    """Draw a box with rounded corners on nothing.

    master: any widget; size: [px]; radius: of its corners [px]; fill, edge: '#RRGGBB' or None for
    none; edge_px: width of the edge [px]; ground: '#RRGGBB' that its rim is smoothed towards, and
    no pixel half clear, or None. Half clear pixels cost Tk on X11 a round trip for every tile: a
    window without them was painted in three quarters of the time. Returns: the picture; the caller
    must keep it.
    """
    data = _box_png(size, radius, fill, edge, edge_px, ground)
    return tk.PhotoImage(master=master, data=data)


def disc(
    master: tk.Misc,
    *,
    diameter: int,
    fill: str | None,
    edge: str | None = None,
    edge_px: float = 0.0,
) -> tk.PhotoImage:
    """Draw a disc on nothing.

    master: any widget; diameter: [px]; fill, edge: '#RRGGBB' or None; edge_px: [px].
    Returns: the picture; the caller must keep it.
    """
    data = _box_png((diameter, diameter), diameter / 2, fill, edge, edge_px)
    return tk.PhotoImage(master=master, data=data)


def lit_disc(
    master: tk.Misc, *, diameter: int, fill: str, gap: str, ring: str, ring_px: float
) -> tk.PhotoImage:
    """Draw a disc with a ring round it, a gap between.

    master: any widget; diameter: of the disc [px]; fill, gap, ring: '#RRGGBB'; ring_px: [px].
    Returns: the picture, 4 ring widths wider than the disc; the caller must keep it.
    """
    size = diameter + round(4 * ring_px)
    middle = size / 2
    rows = []
    for y in range(size):
        row = b""
        for x in range(size):
            far = math.hypot(x + 0.5 - middle, y + 0.5 - middle)
            if far < diameter / 2 + 1:
                row += _blend(fill, gap, _cover(far - diameter / 2), 1.0)
            else:
                row += _blend(gap, ring, _cover(far - middle + ring_px), _cover(far - middle))
        rows.append(row)
    return tk.PhotoImage(master=master, data=_png(rows, size))
