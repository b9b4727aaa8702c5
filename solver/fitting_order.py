"""In which order the pieces of a seat go in, and what they lie between."""

from __future__ import annotations

from solver.job import BEHIND_RACE, FLANGE, IN_LINE, UNDER_CONE, Layout, Seat
from solver.plan import Piece, SeatStack

_BETWEEN = {  # what the first piece lies against, and the last
    BEHIND_RACE: ("race", "housing"),
    UNDER_CONE: ("pinion head", "cone"),
    FLANGE: ("housing", "flange"),
    "spacer": ("spacer", "bearing"),
    "cover": ("housing", "cover"),
    IN_LINE: ("one face", "the other"),
}


def fitting_order(stack: SeatStack) -> tuple[Piece, ...]:
    """Put the pieces of a seat in order, thin ones between thick ones.

    stack: of a plan. Returns: single pieces, each of count 1, from the one face to the other: the
    two thickest outside, the next two inside them, the thinnest in the middle. Where there are only
    two, the thicker comes first. Source: common practice, no source.
    """
    single = [
        Piece(piece.id, 1, piece.thickness_um) for piece in stack.pieces for _ in range(piece.count)
    ]
    thick_first = sorted(single, key=lambda piece: (-piece.thickness_um, piece.id))
    return (*thick_first[0::2], *reversed(thick_first[1::2]))


def lies_between(seat: Seat, layout: Layout) -> tuple[str, str]:
    """Name what a seat's stack lies between. seat; layout: of the job. Returns (first, last)."""
    if seat.under == "bearing":
        return ("carrier", "bearing") if layout.shims == "inside" else ("bearing", "housing")
    return _BETWEEN[seat.under]
