"""What can be bought and cut, and what money and time are worth, as frozen types; lengths in µm."""

from __future__ import annotations

from dataclasses import dataclass

from solver.drawer import Lot


@dataclass(frozen=True, slots=True)
class Pack:
    """Pieces that are bought together; a row without a pack is one of its own."""

    name: str
    seller: str
    lots: tuple[Lot, ...]  # its pieces, as they would lie in the drawer
    price_cents: int
    days: int  # until it is here


@dataclass(frozen=True, slots=True)
class CutSheet:
    """A sheet of shim stock that pieces can be cut from."""

    lot: Lot  # a piece of it: its count is what is left, its thickness half the lift thicker
    price_cents: int  # of a piece
    minutes: float  # to cut, burr and measure it

    @property
    def bare_um(self) -> float:
        """Thickness of the sheet itself, without what burr and curl add [µm]."""
        return self.lot.thickness_um - self.lot.lift_um / 2.0


@dataclass(frozen=True, slots=True)
class Market:
    """Everything on offer."""

    packs: tuple[Pack, ...] = ()
    delivery_cents: tuple[tuple[str, int], ...] = ()  # of each seller, once an order
    sheets: tuple[CutSheet, ...] = ()
    assumed: tuple[str, ...] = ()

    def delivery(self, seller: str) -> int:
        """What a seller asks for the way, in cents. seller: its name."""
        return dict(self.delivery_cents).get(seller, 0)
