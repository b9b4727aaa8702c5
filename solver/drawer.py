"""The shims on hand: lots of like pieces; lengths in µm. Read by `drawer_file`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lot:
    """A row of the drawer: like pieces, with a count."""

    id: str
    thickness_um: float
    count: int
    within_um: float  # the most a piece can be wrong by on its own (rectangular)
    tool: str = ""  # whose common error its thickness shares; blank: never measured
    fits: tuple[str, ...] = ()  # seats; empty: any
    note: str = ""
    within_assumed: bool = False  # taken from the strip tolerance
    lift_um: float = 0.0  # what burr and curl may add to each piece, its half in the thickness


@dataclass(frozen=True, slots=True)
class Drawer:
    """What is on hand, in the order of the file."""

    lots: tuple[Lot, ...]
    assumed: tuple[str, ...] = ()

    def lot(self, lot_id: str) -> Lot:
        """The lot with an id. lot_id: as in the drawer. Raises: KeyError."""
        for lot in self.lots:
            if lot.id == lot_id:
                return lot
        raise KeyError(lot_id)
