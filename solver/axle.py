"""What a job's results are: functions of its unknowns and affine in its stacks.

                 x: unknowns [(d,)]                    S: true thickness of each seat's stack
carrier          clearance, gap, ratio, pinch share    wheel side, plain side
pinion           bare distance D, give, heights        pinion head, and the spacer where it is solid

depth      d = D + give - t_h S_h - wanted             plus: the pinion stands too far out
float      e = E + S_b - k S_h                         k = 1 with the head's stack behind the race
backlash     - r_h t_h (S_h - S_h then)                the pinion coming in closes it
line       sum a_i q_i + sum b_s S_s                   q: dimensions of parts; any seats

D is the mounting distance with no shims and no preload, E the end float with no shims. All but the
carrier's two are plain sums.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from solver.drawer import Drawer
from solver.job import PINION_HEAD, PINION_SPACER, Job, Stack
from solver.line import Dimension, Line, growth_name, stack_growth
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
OLD_BUILD = "old build"


@dataclass(frozen=True, slots=True, eq=False)
class Sum:
    """A plain sum: along · x + by_stack · S + constant."""

    along: np.ndarray  # slopes by the unknowns [(d,)]
    by_stack: np.ndarray  # by the true stacks [(seats,)]
    constant: float = 0.0  # [µm]

    def at(self, x: np.ndarray, stacks_um: np.ndarray) -> np.ndarray:
        """Its value [µm, (n,)]. x: unknowns [(d,)]; stacks_um: true stacks [µm, (n, seats)]."""
        return np.asarray(self.along @ x + stacks_um @ self.by_stack + self.constant)


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
    dimensions: tuple[Dimension, ...] = ()
    lines: tuple[Line, ...] = ()
    names: tuple[str, ...] = ()  # of the seats
    sums: dict[str, Sum] = field(default_factory=dict)  # results that are plain sums

    @property
    def seats(self) -> int:
        """How many seats there are."""
        return len(self.signs)

    @property
    def ties(self) -> tuple[tuple[tuple[int, ...], str], ...]:
        """Groups of seats, one or two each, with the result that ties them together.

        The carrier's two by the pinch; else the first two seats of a sum that are still free. ''
        where a seat stands alone.
        """
        found: list[tuple[tuple[int, ...], str]] = [((0, 1), "pinch")] if self.carrier else []
        free = list(range(2 if self.carrier else 0, self.seats))
        for name, one in self.sums.items():
            pair = tuple(at for at in free if one.by_stack[at])[:2]
            if len(pair) == 2:
                found.append((pair, name))
                free = [at for at in free if at not in pair]
        return (*found, *(((at,), "") for at in free))

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Seats that a result ties together, one or two each."""
        return tuple(group for group, _ in self.ties)

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
        one = self.sums[result]
        return Surface(
            one.at(x, stacks_um),
            np.broadcast_to(one.along, (len(stacks_um), len(x))),
            np.broadcast_to(one.by_stack, stacks_um.shape),
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

    def reads(self, of: str, *, loaded: bool, celsius: float, width: int) -> Sum | None:
        """What a reading follows.

        of: what was read; loaded: of the pinion, with its bearings under preload; celsius: of the
        parts [°C]; width: unknowns. Returns: the sum; None for a reading of the carrier.
        """
        line = next((line for line in self.lines if line.name == of), None)
        if line is not None:
            return self._line_sum(line, celsius, width)
        if any(one.name == of for one in self.dimensions):
            only = Line(of, ((of, 1.0),), ())
            return self._line_sum(only, celsius, width)
        if self.head < 0:
            return None
        return self._pinion_reads(of, loaded=loaded, width=width)

    def _pinion_reads(self, of: str, *, loaded: bool, width: int) -> Sum | None:
        by_stack = np.zeros(self.seats)
        give = (GIVE, 1.0 if loaded else 0.0)
        if of == "axis to seat":
            return Sum(self.along((BARE_DISTANCE, 1.0), (HEAD_HEIGHT, 1.0), width=width), by_stack)
        if of in ("head height", "old head height"):
            name = HEAD_HEIGHT if of == "head height" else OLD_HEIGHT
            return Sum(self.along((name, 1.0), (GIVE, -give[1]), width=width), by_stack)
        by_stack[self.head] = -float(self.signs[self.head])
        if of == "mounting distance":
            return Sum(self.along((BARE_DISTANCE, 1.0), give, width=width), by_stack)
        if of == OLD_BUILD:
            terms = [(BARE_DISTANCE, 1.0), (GIVE, 1.0)]
            if OLD_HEIGHT in self.places:
                terms += [(HEAD_HEIGHT, 1.0), (OLD_HEIGHT, -1.0)]
            return Sum(self.along(*terms, width=width), by_stack)
        return self.sums["pinion end float"] if of == "pinion end float" else None

    def _line_sum(self, line: Line, celsius: float, width: int) -> Sum:
        """A line at a temperature [°C]."""
        along = self.along(*line.terms, width=width)
        for metal, grown_um in line.growths_um(self.dimensions, celsius).items():
            along[self.places[growth_name(metal)]] += grown_um
        by_stack = np.zeros(self.seats)
        for seat, factor in line.seats:
            by_stack[self.names.index(seat)] += factor * stack_growth(celsius)
        return Sum(along, by_stack)

    def sums_of(self, width: int) -> dict[str, Sum]:
        """The results that are plain sums, by name. width: unknowns."""
        found: dict[str, Sum] = {}
        if self.head >= 0:
            by_stack = np.zeros(self.seats)
            by_stack[self.head] = -float(self.signs[self.head])
            along = self.along((BARE_DISTANCE, 1.0), (GIVE, 1.0), width=width)
            found["depth"] = Sum(along, by_stack, -self.wanted_um)
        if self.spacer >= 0:
            by_stack = np.zeros(self.seats)
            by_stack[self.head], by_stack[self.spacer] = -self.couples, 1.0
            found["pinion end float"] = Sum(self.along((BARE_FLOAT, 1.0), width=width), by_stack)
        return found | {line.name: self._line_sum(line, line.celsius, width) for line in self.lines}


def axle_of(job: Job, drawer: Drawer, unknowns: Unknowns) -> Axle:
    """Say what a job's results are. job, drawer: as read; unknowns: theirs. Returns: the Axle."""
    names = tuple(seat.name for seat in job.seats)
    places = {one.name: at for at, one in enumerate(unknowns.items) if one.kind == "quantity"}
    limited = {limit.result for limit in job.limits}
    known = (*RESULTS, *(line.name for line in job.lines))
    found = Axle(
        job.carrier,
        tuple(seat.sign for seat in job.seats),
        tuple(result for result in known if result in limited),
        places,
        dimensions=job.dimensions,
        lines=job.lines,
        names=names,
    )
    if job.pinion is not None:
        then = stack_known(job.pinion.fitted or Stack(PINION_HEAD), drawer, unknowns)
        found = replace(
            found,
            head=names.index(PINION_HEAD),
            spacer=names.index(PINION_SPACER) if PINION_SPACER in names else -1,
            wanted_um=job.pinion.wanted_um,
            couples=job.pinion.couples,
            then_um=then[0],
            then_lean=then[1],
        )
    return replace(found, sums=found.sums_of(len(unknowns)))
