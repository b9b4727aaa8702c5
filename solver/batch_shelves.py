"""One drawer for a batch: lots that nothing tells apart put on one shelf, and parted again.

Pieces of measured lots that are equal in thickness and in what is known of them are alike for
every assembly; a lot that was never measured, or that was in a trial, stays alone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.columns import ticks
from solver.drawer import Drawer, Lot
from solver.job import Job
from solver.plan import Piece, Plan, SeatStack


@dataclass(frozen=True, slots=True)
class Shelves:
    """A drawer whose like lots are one, and what each was."""

    drawer: Drawer
    lots: tuple[tuple[Lot, ...], ...]  # of each lot of that drawer, those that it stands for

    @property
    def stock(self) -> tuple[int, ...]:
        """Pieces of each."""
        return tuple(lot.count for lot in self.drawer.lots)

    @property
    def places(self) -> dict[str, int]:
        """Place of each lot by its id."""
        return {lot.id: at for at, lot in enumerate(self.drawer.lots)}


def put_on_shelves(drawer: Drawer, jobs: tuple[Job, ...]) -> Shelves:
    """Put like lots together.

    drawer: as read; jobs: all that share it. Returns: Shelves, in the drawer's order, without lots
    of which nothing is left.
    """
    tried = {lot for job in jobs for stack in job.trial_stacks for lot, _ in stack.lots}
    groups: dict[object, list[Lot]] = {}
    for lot in drawer.lots:
        alone = not lot.tool or lot.id in tried
        known = (lot.within_um, lot.tool, lot.lift_um)
        key = lot.id if alone else (ticks(lot.thickness_um), *known, frozenset(lot.fits))
        if lot.count or lot.id in tried:
            groups.setdefault(key, []).append(lot)
    lots = tuple(tuple(group) for group in groups.values())
    merged = [replace(one[0], count=sum(lot.count for lot in one)) for one in lots]
    return Shelves(Drawer(tuple(merged), drawer.assumed), lots)


def take_from(shelves: Shelves, plans: tuple[Plan | None, ...]) -> tuple[Plan | None, ...]:
    """Say which lots the pieces of every plan come from.

    shelves; plans: over them, None where there is none. Returns: plans over the drawer's own lots;
    what one seat takes comes from one lot where one has it all. Raises: ValueError where the plans
    together take more than there is.
    """
    left = {lot.id: lot.count for group in shelves.lots for lot in group}
    places = shelves.places

    def taken(piece: Piece) -> list[Piece]:
        group, want, found = shelves.lots[places[piece.id]], piece.count, []
        order = sorted(group, key=lambda lot: -left[lot.id])
        enough = [lot for lot in group if left[lot.id] >= want]
        for lot in enough[:1] or order:
            take = min(want, left[lot.id])
            if take:
                found.append(Piece(lot.id, take, lot.thickness_um))
                left[lot.id] -= take
                want -= take
        if want:
            raise ValueError(f"{piece.id}: {want} more than there are")
        return found

    def parted(plan: Plan) -> Plan:
        stacks = (
            SeatStack(one.seat, tuple(part for piece in one.pieces for part in taken(piece)))
            for one in plan.stacks
        )
        return Plan(tuple(stacks))

    return tuple(plan and parted(plan) for plan in plans)
