"""What a job's results are: functions of its unknowns and affine in its stacks.

                 x: unknowns [(d,)]                    S: true thickness of each seat's stack
carrier          clearance, gap, ratio, pinch share    wheel side, plain side
pinion           bare distance D, give, heights        pinion head, and the spacer where it is solid

depth      d = D + give - t_h S_h - wanted             plus: the pinion stands too far out
float      e = E + S_b - k S_h                         k = 1 with the head's stack behind the race
backlash     - r_h t_h (S_h - S_h then)                the pinion coming in closes it

D is the mounting distance with no shims and no preload, E the end float with no shims.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.job import PINION_HEAD, PINION_SPACER, Job, Stack
from solver.mechanics import Surface, backlash, pinch
from solver.pieces import (
    BARE_DISTANCE,
    BARE_FLOAT,
    GIVE,
    HEAD_HEIGHT,
    OLD_HEIGHT,
    PINION_RATIO,
    Unknowns,
    stack_known,
)

CARRIER_RESULTS = ("backlash", "pinch")
RESULTS = (*CARRIER_RESULTS, "depth", "pinion end float")


@dataclass(frozen=True, slots=True, eq=False)
class Axle:
    """Where each quantity and each seat of a job stands, and what its results are."""

    carrier: bool
    signs: tuple[int, ...]  # of the seats, in the job's order
    results: tuple[str, ...]
    places: dict[str, int]  # of the unknowns
    head: int = -1  # place among the seats
    spacer: int = -1
    wanted_um: float = 0.0  # mounting distance of the pinion
    couples: float = 0.0  # k above
    then_um: float = 0.0  # stack at the pinion's head while the carrier was read
    then_lean: np.ndarray | None = None  # [(d,)]

    @property
    def seats(self) -> int:
        """How many seats there are."""
        return len(self.signs)

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Seats that a result ties together: the carrier's two, the pinion's one or two."""
        sides = ((0, 1),) if self.carrier else ()
        pinion = tuple(at for at in (self.head, self.spacer) if at >= 0)
        return (*sides, pinion) if pinion else sides

    def along(self, *terms: tuple[str, float], width: int) -> np.ndarray:
        """Slopes by the unknowns [(d,)] of a sum. terms: (name, factor); width: unknowns."""
        slope = np.zeros(width)
        for name, factor in terms:
            slope[self.places[name]] += factor
        return slope

    def surface(
        self, result: str, x: np.ndarray, stacks_um: np.ndarray, follows: float | None = None
    ) -> Surface:
        """One result with its slopes.

        result: its name; x: unknowns [(d,)]; stacks_um: true stacks [µm, (n, seats)]; follows: of
        a backlash, as in `mechanics.backlash`. Returns: the Surface, its slopes by every unknown
        [(n, d)] and every stack [(n, seats)].
        """
        if result in CARRIER_RESULTS:
            return self._of_carrier(result, x, stacks_um, follows)
        count, width = len(stacks_um), len(x)
        by_stack = np.zeros(self.seats)
        by_stack[self.head] = -float(self.signs[self.head])
        if result == "depth":
            along = self.along((BARE_DISTANCE, 1.0), (GIVE, 1.0), width=width)
            constant = -self.wanted_um
        else:
            along, constant = self.along((BARE_FLOAT, 1.0), width=width), 0.0
            by_stack[self.head], by_stack[self.spacer] = -self.couples, 1.0
        value = along @ x + stacks_um @ by_stack + constant
        return Surface(
            value,
            np.broadcast_to(along, (count, width)),
            np.broadcast_to(by_stack, stacks_um.shape),
        )

    def _of_carrier(
        self, result: str, x: np.ndarray, stacks_um: np.ndarray, follows: float | None
    ) -> Surface:
        """Pinch or backlash, whose slopes stand for every unknown and stack."""
        sides, signs = stacks_um[:, :2], (self.signs[0], self.signs[1])
        found = (
            pinch(x[:4], sides, signs)
            if result == "pinch"
            else backlash(x[:4], sides, signs, follows)
        )
        if self.seats == 2 and len(x) == 4:
            return found
        by_unknown = np.zeros((len(stacks_um), len(x)))
        by_unknown[:, :4] = found.by_quantity
        by_stack = np.zeros(stacks_um.shape)
        by_stack[:, :2] = found.by_stack
        value = found.value
        if result == "backlash" and self.head >= 0 and self.then_lean is not None:
            place, sign = self.places[PINION_RATIO], float(self.signs[self.head])
            more_um = stacks_um[:, self.head] - self.then_um - float(self.then_lean @ x)
            value = value - x[place] * sign * more_um
            by_unknown[:, place] -= sign * more_um
            by_unknown += x[place] * sign * self.then_lean
            by_stack[:, self.head] = -x[place] * sign
        return Surface(value, by_unknown, by_stack)

    def reads(self, of: str, *, loaded: bool, width: int) -> tuple[np.ndarray, np.ndarray]:
        """What a reading of the pinion follows: slopes by unknown [(d,)] and by stack [(seats,)].

        of: what was read; loaded: with its bearings under preload; width: unknowns.
        """
        by_stack = np.zeros(self.seats)
        give = (GIVE, 1.0 if loaded else 0.0)
        if of == "axis to seat":
            return self.along((BARE_DISTANCE, 1.0), (HEAD_HEIGHT, 1.0), width=width), by_stack
        if of in ("head height", "old head height"):
            name = HEAD_HEIGHT if of == "head height" else OLD_HEIGHT
            return self.along((name, 1.0), (GIVE, -give[1]), width=width), by_stack
        by_stack[self.head] = -float(self.signs[self.head])
        if of == "mounting distance":
            return self.along((BARE_DISTANCE, 1.0), give, width=width), by_stack
        if of == "old build":
            terms = [(BARE_DISTANCE, 1.0), (GIVE, 1.0)]
            if OLD_HEIGHT in self.places:
                terms += [(HEAD_HEIGHT, 1.0), (OLD_HEIGHT, -1.0)]
            return self.along(*terms, width=width), by_stack
        by_stack[self.head], by_stack[self.spacer] = -self.couples, 1.0
        return self.along((BARE_FLOAT, 1.0), width=width), by_stack


def axle_of(job: Job, drawer: Drawer, unknowns: Unknowns) -> Axle:
    """Say what a job's results are. job, drawer: as read; unknowns: theirs. Returns: the Axle."""
    names = tuple(seat.name for seat in job.seats)
    places = {one.name: at for at, one in enumerate(unknowns.items) if one.kind == "quantity"}
    signs = tuple(seat.sign for seat in job.seats)
    limited = {limit.result for limit in job.limits}
    results = tuple(result for result in RESULTS if result in limited)
    if job.pinion is None:
        return Axle(job.carrier, signs, results, places)
    then = stack_known(job.pinion.fitted or Stack(PINION_HEAD), drawer, unknowns)
    return Axle(
        job.carrier,
        signs,
        results,
        places,
        names.index(PINION_HEAD),
        names.index(PINION_SPACER) if PINION_SPACER in names else -1,
        job.pinion.wanted_um,
        job.pinion.couples,
        then[0],
        then[1],
    )
