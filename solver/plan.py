"""What goes in each seat."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Piece:
    """Like pieces of one lot in one seat."""

    id: str
    count: int
    thickness_um: float  # of one piece, as the drawer states it


@dataclass(frozen=True, slots=True)
class SeatStack:
    """The pieces in one seat."""

    seat: str
    pieces: tuple[Piece, ...]

    @property
    def thickness_um(self) -> float:
        """Thickness of the stack, as the drawer states its pieces [µm]."""
        return sum(piece.count * piece.thickness_um for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Plan:
    """A stack for every seat of the job, in the job's order of seats."""

    stacks: tuple[SeatStack, ...]

    @property
    def shims(self) -> int:
        """Number of pieces, all seats together."""
        return sum(piece.count for stack in self.stacks for piece in stack.pieces)

    def stack(self, seat: str) -> SeatStack:
        """The stack of one seat. seat: its name."""
        return next(stack for stack in self.stacks if stack.seat == seat)
