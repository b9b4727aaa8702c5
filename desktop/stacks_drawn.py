"""How the stacks of a plan look and read in the drawing."""

from __future__ import annotations

from desktop.section_parts import STACK_MOST, Side
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Seat
from solver.plan import Plan, SeatStack
from solver.report_words import bare_length, length

SHIM_LEAST = 3.0  # thinnest shim as drawn, or it could not be seen


def sides_as_drawn(seats: tuple[Seat, ...], plan: Plan | None) -> tuple[dict[str, Side], float]:
    """Turn the stacks of a plan into shims as drawn, one scale for both sides.

    seats: of the job; plan: or None. Returns: the sides by name, and drawing units to a µm (0
    without a plan).
    """
    stacks = {stack.seat: stack for stack in plan.stacks} if plan else {}
    thickest = max((stack.thickness_um for stack in stacks.values()), default=0.0)
    per_um = STACK_MOST / thickest if thickest else 0.0
    sides = {}
    for name in (WHEEL_SIDE, PLAIN_SIDE):
        seat = next((seat for seat in seats if seat.name == name), None)
        stack = stacks.get(name)
        shims = _each(stack, per_um) if seat and stack else ()
        sides[name] = Side(seat.under if seat else "", shims, planned=stack is not None)
    return sides, per_um


def _each(stack: SeatStack, per_um: float) -> tuple[float, ...]:
    """Every single shim of a stack, thick enough to be seen."""
    return tuple(
        max(piece.thickness_um * per_um, SHIM_LEAST)
        for piece in stack.pieces
        for _ in range(piece.count)
    )


def stack_words(stack: SeatStack | None, name: str, unit: str) -> tuple[str, ...]:
    """Say a stack at falling length, for the first that fits.

    stack: of a plan, or None; name: of its side as shown; unit: 'mm', 'um', 'in' or 'thou'.
    Returns texts: with the sum of its parts, with the total, with one word and a bare total, the
    total alone.
    """
    word = name.split()[0]
    if stack is None:
        return (f"{name}: no plan yet",) * 2 + ("no plan yet",) * 2
    if not stack.pieces:
        return (f"{name}: no shim",) * 2 + (f"{word}: none", "no shim")
    total = length(stack.thickness_um, unit, True)
    parts = [
        (f"{p.count} x " if p.count > 1 else "") + bare_length(p.thickness_um, unit, True)
        for p in stack.pieces
    ]
    bare = bare_length(stack.thickness_um, unit, True)
    short = (f"{name}  {total}", f"{word} {bare}", total)
    if stack.pieces[0].count == 1 and len(parts) == 1:
        return (short[0], *short)
    thick = sum(p.count * _as_shown(p.thickness_um, unit) for p in stack.pieces)
    equals = "=" if abs(thick - _as_shown(stack.thickness_um, unit)) < 1e-6 else "≈"
    return (f"{name}  {' + '.join(parts)} {equals} {total}", *short)


def _as_shown(length_um: float, unit: str) -> float:
    """What a length reads as; rounded parts do not always add up to the rounded total."""
    return float(bare_length(length_um, unit, True))
