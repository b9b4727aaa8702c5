"""What is known of the drawer's pieces: which unknown each leans on, and its own spread.

A piece's true thickness is what the drawer states, less its tool's common error, less its own
error. A piece that was in a trial keeps its own error as an unknown, so that a plan that keeps the
piece is surer; the wheel side takes the pieces of a lot from the front of its row, the plain side
from the back, so that the same piece stays on its side:

    lot of 5:   [1] [2] [3] [4] [5]
    wheel side:  1 -> 2 -> ...     plain side:  5 -> 4 -> ...

The pinion's head takes them from the middle up, its spacer from the middle down. The seats of a
line take turns: front, back, middle up, middle down.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer, Lot
from solver.job import PINION_HEAD, PINION_SPACER, PLAIN_SIDE, WHEEL_SIDE, Job, Stack
from solver.line import COLD_C, GROWTH_WITHIN, Dimension, growth_name
from solver.mechanics import QUANTITY_NAMES
from solver.spread import Spread

WAYS = (WHEEL_SIDE, PLAIN_SIDE, PINION_HEAD, PINION_SPACER)  # front, back, middle up and down
BARE_DISTANCE, GIVE = "bare mounting distance", "give under preload"
HEAD_HEIGHT, OLD_HEIGHT = "head height", "old head height"
PINION_RATIO, BARE_FLOAT = "pinion's ratio", "bare pinion float"


@dataclass(frozen=True, slots=True)
class Unknown:
    """One unknown of the estimate, with its prior: around a centre, rectangular as a rule."""

    name: str
    centre: float
    within: float | None  # None: the readings alone settle it
    kind: str  # 'quantity', 'tool', 'piece', 'lot' or 'stack'
    drawn: Dimension | None = None  # whose tolerance the prior is

    @property
    def spread(self) -> Spread:
        """The prior. Errors: a ValueError where there is none."""
        if self.within is None:
            raise ValueError(f"nothing is known of {self.name} beforehand")
        if self.drawn is not None and self.drawn.shape == "normal":
            return Spread(self.centre, 0.0, self.drawn.u_um)
        if self.drawn is not None and self.drawn.shape == "triangular":
            return Spread(self.centre, self.within / 2.0, 0.0, second_um=self.within / 2.0)
        return Spread(self.centre, self.within, 0.0)


@dataclass(frozen=True, slots=True)
class Unknowns:
    """Every unknown of a job with its drawer, in order; its quantities first, a carrier's four."""

    items: tuple[Unknown, ...]
    index: dict[str, int]
    ends: tuple[str, ...] = WAYS  # seats that take a lot's pieces from each of the four ends

    def tool(self, name: str) -> int:
        """Place of a tool's common error. name: of the tool. Returns -1 for no tool."""
        return self.index.get(f"tool {name}", -1)

    def __len__(self) -> int:
        return len(self.items)


def pieces_taken(lot: Lot, seat: str, count: int, ends: tuple[str, ...] = WAYS) -> range:
    """Numbers of the pieces that a seat takes from a lot.

    lot; seat: its name; count: pieces; ends: seats by the end they take from. Returns: 1-based
    range.
    """
    end = ends.index(seat) % len(WAYS) if seat in ends else 0
    if end == 1:
        return range(lot.count - count + 1, lot.count + 1)
    if end == 2:
        first = min(lot.count // 2 + 1, lot.count - count + 1)
        return range(first, first + count)
    if end == 3:
        last = max(lot.count // 2, count)
        return range(last - count + 1, last + 1)
    return range(1, count + 1)


def _stack_name(stack: Stack) -> str:
    return f"stack {stack.seat} {stack.thickness_um:.3f} {stack.within_um:.3f}"


def list_unknowns(job: Job, drawer: Drawer) -> Unknowns:
    """Name everything that the readings and the pieces leave open.

    job, drawer: as read. Returns: the quantities, a common error for each tool in use, an error
    for each piece, lot or stack that was in a trial.
    """
    mesh = job.mesh
    found: list[Unknown] = []
    if job.carrier:
        found = [
            Unknown(QUANTITY_NAMES[0], 0.0, None, "quantity"),
            Unknown(QUANTITY_NAMES[1], 0.0, None, "quantity"),
            Unknown(QUANTITY_NAMES[2], mesh.ratio, mesh.ratio_within, "quantity"),
            Unknown(QUANTITY_NAMES[3], mesh.share, mesh.share_within, "quantity"),
        ]
    found += _of_pinion(job)
    found += _of_lines(job)
    others = tuple(seat.name for seat in job.seats if seat.name not in WAYS)
    ends = (*WAYS, *others)
    used = {reading.tool.name for reading in job.readings if reading.tool}
    used |= {lot.tool for lot in drawer.lots if lot.tool and lot.count}
    found += [
        Unknown(f"tool {tool.name}", 0.0, tool.within_um, "tool")
        for tool in job.tools
        if tool.name in used and tool.within_um > 0
    ]
    for stack in job.trial_stacks:
        if stack.within_um > 0:
            found.append(Unknown(_stack_name(stack), 0.0, stack.within_um, "stack"))
        for lot_id, count in stack.lots:
            found += _trial_pieces(drawer.lot(lot_id), stack.seat, count, ends)
    items = tuple({unknown.name: unknown for unknown in found}.values())
    return Unknowns(items, {unknown.name: place for place, unknown in enumerate(items)}, ends)


def _of_lines(job: Job) -> list[Unknown]:
    """Dimensions of parts, and how right the metals' expansions are where anything is warm."""
    found = [
        Unknown(
            one.name,
            one.drawn_um or 0.0,
            None if one.drawn_um is None else one.within_um,
            "quantity",
            one,
        )
        for one in job.dimensions
    ]
    names = {one.name for one in job.dimensions}
    metals = {one.name: one.metal for one in job.dimensions if one.metal}
    warm = {line.name for line in job.lines if line.celsius != COLD_C}
    warm |= {one.of for one in job.readings if one.celsius not in (None, COLD_C)}
    of = [name for line in job.lines if line.name in warm for name, _ in line.terms]
    grown = dict.fromkeys(metals[name] for name in (*of, *sorted(warm & names)) if name in metals)
    return found + [Unknown(growth_name(one), 1.0, GROWTH_WITHIN, "quantity") for one in grown]


def _of_pinion(job: Job) -> list[Unknown]:
    """The pinion's quantities, as far as the job needs them."""
    pinion = job.pinion
    if pinion is None:
        return []
    found = [
        Unknown(BARE_DISTANCE, 0.0, None, "quantity"),
        Unknown(GIVE, pinion.give_um, pinion.give_within_um, "quantity"),
    ]
    measured = pinion.carried is not None and pinion.carried.bearing == "measured"
    if measured or any(one.of in ("axis to seat", "head height") for one in job.readings):
        found.append(Unknown(HEAD_HEIGHT, 0.0, None, "quantity"))
    if measured:
        found.append(Unknown(OLD_HEIGHT, 0.0, None, "quantity"))
    if job.carrier:
        found.append(Unknown(PINION_RATIO, pinion.ratio, pinion.ratio_within, "quantity"))
    if any(seat.name == PINION_SPACER for seat in job.seats):
        found.append(Unknown(BARE_FLOAT, 0.0, None, "quantity"))
    return found


def _trial_pieces(lot: Lot, seat: str, count: int, ends: tuple[str, ...]) -> list[Unknown]:
    if not lot.tool:
        return [Unknown(f"lot {lot.id}", 0.0, lot.within_um, "lot")]
    return [
        Unknown(f"piece {lot.id} #{number}", 0.0, lot.within_um, "piece")
        for number in pieces_taken(lot, seat, count, ends)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What is known of k pieces of one lot in one seat."""

    lean: np.ndarray  # [µm of true thickness per unit of each unknown, (d,)]
    own_um2: float  # variance of what no unknown explains [µm²]
    shared_u_um: float  # per piece: a common error with the same lot in the other seat [µm]


def known_of(lot: Lot, seat: str, count: int, unknowns: Unknowns) -> Known:
    """Say what is known of `count` pieces of a lot in a seat.

    lot; seat: its name; count: pieces; unknowns: of the job. Returns: how the stack leans on the
    unknowns, and its own variance: count u² for measured pieces, (count u)² for unmeasured ones,
    which are all off by the same amount; what burr and curl add is each piece's own.
    """
    lean = np.zeros(len(unknowns))
    u2 = lot.within_um**2 / 3.0
    lifted = count * lot.lift_um**2 / 12.0  # each piece's own
    tool = unknowns.tool(lot.tool) if lot.tool else -1
    if tool >= 0:
        lean[tool] = -count
    if not lot.tool:
        place = unknowns.index.get(f"lot {lot.id}")
        if place is None:
            return Known(lean, count**2 * u2 + lifted, lot.within_um / 3.0**0.5)
        lean[place] = -count
        return Known(lean, lifted, 0.0)
    free = 0
    for number in pieces_taken(lot, seat, count, unknowns.ends):
        place = unknowns.index.get(f"piece {lot.id} #{number}")
        if place is None:
            free += 1
        else:
            lean[place] = -1.0
    return Known(lean, free * u2 + lifted, 0.0)


def stack_known(stack: Stack, drawer: Drawer, unknowns: Unknowns) -> tuple[float, np.ndarray]:
    """Thickness of what was in a seat, and how it leans on the unknowns.

    stack; drawer; unknowns. Returns: (nominal thickness [µm], lean [(d,)]).
    """
    lean = np.zeros(len(unknowns))
    nominal = stack.thickness_um
    if stack.within_um > 0:
        lean[unknowns.index[_stack_name(stack)]] = -1.0
    for lot_id, count in stack.lots:
        lot = drawer.lot(lot_id)
        nominal += count * lot.thickness_um
        lean += known_of(lot, stack.seat, count, unknowns).lean
    return nominal, lean
