"""How the stacks of a plan look and read in the drawing."""

from __future__ import annotations

from desktop.section_parts import STACK_MOST, Side
from desktop.section_pinion import PinionParts, PinionSaid
from solver.job import CARRIER_SEATS, PINION_HEAD, PINION_SEATS, PINION_SPACER, Seat
from solver.plan import Plan, SeatStack
from solver.report_words import bare_length, length

PINION_MOST = 44.0  # the thickest stack where those of a pinion are drawn too
SHIM_LEAST = 3.0  # thinnest shim as drawn, or it could not be seen


def sides_as_drawn(seats: tuple[Seat, ...], plan: Plan | None) -> tuple[dict[str, Side], float]:
    """Turn the stacks of a plan into shims as drawn, one scale for every seat.

    seats: of the job; plan: or None. Returns: every seat there can be by its name, one that the
    job has not without shims; and drawing units to a µm (0 without a plan).
    """
    own = (*CARRIER_SEATS, *PINION_SEATS)  # those of lines are drawn elsewhere
    stacks = {one.seat: one for one in plan.stacks if one.seat in own} if plan else {}
    thickest = max((stack.thickness_um for stack in stacks.values()), default=0.0)
    most = PINION_MOST if any(seat.name in PINION_SEATS for seat in seats) else STACK_MOST
    per_um = most / thickest if thickest else 0.0
    sides = {}
    for name in own:
        seat = next((seat for seat in seats if seat.name == name), None)
        stack = stacks.get(name)
        shims = _each(stack, per_um) if seat and stack else ()
        sides[name] = Side(seat.under if seat else "", shims, planned=stack is not None)
    return sides, per_um


def pinion_as_drawn(
    seats: tuple[Seat, ...], sides: dict[str, Side], said: PinionSaid | None
) -> PinionParts | None:
    """Put together what is drawn of a pinion.

    seats: of the job; sides: as drawn; said: what the job says of it. Returns None where it tells
    of none.
    """
    if said is None:
        return None
    sits = next((seat.under for seat in seats if seat.name == PINION_HEAD), "")
    return PinionParts(sits, said.spacer, said.face, sides[PINION_HEAD], sides[PINION_SPACER])


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
    bare = bare_length(stack.thickness_um, unit, True)
    short = (f"{name}  {total}", f"{word} {bare}", total)
    return (f"{name}  {sum_words(stack, unit)}", *short)


def sum_words(stack: SeatStack, unit: str) -> str:
    """Say a stack as the sum of its parts. stack: of a plan; unit: as shown. Returns text."""
    if not stack.pieces:
        return "no shim"
    total = length(stack.thickness_um, unit, True)
    parts = [
        (f"{p.count} x " if p.count > 1 else "") + bare_length(p.thickness_um, unit, True)
        for p in stack.pieces
    ]
    if stack.pieces[0].count == 1 and len(parts) == 1:
        return total
    thick = sum(p.count * _as_shown(p.thickness_um, unit) for p in stack.pieces)
    equals = "=" if abs(thick - _as_shown(stack.thickness_um, unit)) < 1e-6 else "≈"
    return f"{' + '.join(parts)} {equals} {total}"


def beside_words(stack: SeatStack | None, name: str, unit: str) -> tuple[tuple[str, ...], ...]:
    """Say a stack of the pinion in two lines at falling width, for the first that fits.

    stack: of a plan, or None; name: of its seat as shown; unit: as shown. Returns lines: the name
    and the sum of its parts, the name and the total, one word and the total, the total alone.
    """
    word = name.split()[-1].capitalize()
    if stack is None:
        return (name, "no plan yet"), (word, "no plan yet"), ("no plan yet",)
    total = length(stack.thickness_um, unit, True) if stack.pieces else "no shim"
    return (name, sum_words(stack, unit)), (name, total), (word, total), (total,)


def _as_shown(length_um: float, unit: str) -> float:
    """What a length reads as; rounded parts do not always add up to the rounded total."""
    return float(bare_length(length_um, unit, True))
