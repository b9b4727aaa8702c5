"""What a job says, as frozen types; lengths in µm, angles in degrees. Read by `job_file`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from solver.bench_notes import NOTHING_NOTED, BenchNotes
from solver.crush import Crush
from solver.line import Dimension, Line
from solver.pattern_rules import Pattern

WHEEL_SIDE, PLAIN_SIDE = "wheel side", "plain side"
PINION_HEAD, PINION_SPACER = "pinion head", "pinion spacer"
CARRIER_SEATS, PINION_SEATS = (WHEEL_SIDE, PLAIN_SIDE), (PINION_HEAD, PINION_SPACER)
QUANTITIES = ("total clearance", "mesh gap")  # what the readings have to settle
FITTED_SEATS = {  # readings taken with shims in, and the seats whose shims enter them
    "plain gap": (WHEEL_SIDE,),
    "travel to mesh": (WHEEL_SIDE,),
    "end float": (WHEEL_SIDE, PLAIN_SIDE),
    "backlash": (WHEEL_SIDE, PLAIN_SIDE),
    "mounting distance": (PINION_HEAD,),
    "pinion end float": (PINION_SPACER, PINION_HEAD),
}
CARRIER_READABLE = (
    *QUANTITIES,
    "plain gap",
    "travel to mesh",
    "end float",
    "backlash",
    "far gap in mesh",
)
PINION_READABLE = (
    "axis to seat",
    "head height",
    "old head height",
    "mounting distance",
    "pinion end float",
)
READABLE = (*CARRIER_READABLE, *PINION_READABLE)
LOADABLE = ("head height", "old head height", "mounting distance")  # read with or without preload
DIRECTIONS = ("along the rotation", "square to the tooth", "square to the flank")


@dataclass(frozen=True, slots=True)
class Spot:
    """Where and how a backlash is read; the tooth edge along the rotation unless it says so."""

    read: str = DIRECTIONS[0]
    radius_um: float | None = None  # of the dial's plunger from the wheel's axis
    radius_within_um: float = 0.0  # how well that radius is known, at most
    lever_deg: float = 0.0  # lever-type indicator: its arm's angle to the surface
    out_of_line_deg: float = 0.0  # plunger out of line: spread only, no correction
    off_tooth: bool = False  # on a lever or flange, not on a tooth


@dataclass(frozen=True, slots=True)
class Limit:
    """A window that a result must lie in; minus or plus infinity where the job says 'no limit'."""

    result: str  # 'backlash', 'pinch', 'depth', 'pinion end float' or that of a line
    low_um: float
    high_um: float
    spot: Spot = Spot()
    counted: str = "total"  # pinch: how its limit was stated; low_um and high_um are totals
    example: bool = False  # marked EXAMPLE in the file: not from any manual


@dataclass(frozen=True, slots=True)
class Seat:
    """A place where shims go."""

    name: str
    under: (
        str  # 'bearing' or 'cover'; of the pinion one of `SITS`, or 'spacer'; of a line `IN_LINE`
    )
    least: int
    most: int
    effect: str = ""  # of a line: what more shim does, in words

    @property
    def sign(self) -> int:
        """+1 where more shim is more pinch (under a bearing), -1 where less (under a cover).

        At the pinion's head +1 where more shim brings the pinion in, -1 where out; at its spacer
        +1, more shim being more end float.
        """
        return -1 if self.under in ("cover", FLANGE) else 1


IN_LINE = "line"  # its sign stands in each line
BEHIND_RACE, UNDER_CONE, FLANGE = "head bearing race", "head bearing cone", "cartridge flange"
SITS = (BEHIND_RACE, UNDER_CONE, FLANGE)  # where the stack at the pinion's head can sit


@dataclass(frozen=True, slots=True)
class Teeth:
    """The wheel's teeth, for the transfer ratio."""

    drive_deg: float  # pressure angle of the drive flank
    coast_deg: float
    pitch_deg: float  # pitch angle of the wheel
    spiral_deg: float  # at the tooth edge


@dataclass(frozen=True, slots=True)
class Mesh:
    """How an axial move of the wheel becomes backlash, and where the pinch is taken up."""

    ratio: float  # transfer ratio at the tooth edge along the rotation, or as the limit states it
    ratio_within: float
    share: float  # pinch share
    share_within: float
    teeth: Teeth | None = None
    edge_radius_um: float | None = None  # of the tooth edge at which the limit is stated


@dataclass(frozen=True, slots=True)
class Tool:
    """What a reading was taken with."""

    name: str
    within_um: float  # error common to every reading with it, at most (rectangular)
    repeat_um: float  # standard deviation of one reading by the same hand
    step_um: float  # smallest division
    joint_um: float  # what a joint between stacked leaves may add, at most
    kind: str  # 'feelers', 'dial', 'micrometer', 'calliper', 'other'


@dataclass(frozen=True, slots=True)
class Stack:
    """What is in one seat while a reading is taken: a thickness, or pieces of the drawer."""

    seat: str
    thickness_um: float = 0.0  # of the whole stack, unless it is made of lots
    within_um: float = 0.0
    lots: tuple[tuple[str, int], ...] = ()  # (lot id, pieces)


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing measured, in one of five ways: values, goes with or without stops, a bound."""

    number: int  # place in the file, from 1
    of: str
    tool: Tool | None
    values_um: tuple[float, ...] = ()
    goes_um: tuple[float, ...] = ()
    stops_um: float | None = None
    at_least_um: float | None = None  # thickest leaf in the set goes
    at_most_um: float | None = None  # none to be felt, jammed
    leaves: int = 1
    within_um: float = 0.0
    fitted: tuple[Stack, ...] = ()
    spot: Spot = Spot()
    note: str = ""
    around_um: tuple[float, ...] = ()  # backlash at equal steps of a turn of the wheel
    celsius: float | None = None  # temperature of the parts, 20 unless said [°C]
    turn_deg: float | None = None  # how far the wheel was turned from the first of those teeth
    loaded: bool = False  # pinion: read with its bearings under preload

    @property
    def repeats_um(self) -> tuple[float, ...]:
        """What was read again and again [µm, (n,)]; none for a bracket or a bound."""
        return () if self.stops_um is not None else self.values_um or self.goes_um

    def stack(self, seat: str) -> Stack:
        """The stack that was in a seat; an empty one where nothing was. seat: its name."""
        return next((s for s in self.fitted if s.seat == seat), Stack(seat))


@dataclass(frozen=True, slots=True)
class Layout:
    """How the axle is drawn; the numbers do not depend on it."""

    wheel: str = "left"
    shims: str = "outside"  # outside or inside the bearings


@dataclass(frozen=True, slots=True)
class Warmth:
    """Metals and temperature: what grows how far."""

    housing_per_k: float  # expansion
    carrier_per_k: float
    width_um: float  # between the bearing seats
    working_c: float | None = None  # temperature at work [°C]


WHERES = ("tightest", "mean", "all round")


@dataclass(frozen=True, slots=True)
class Round:
    """How the backlash wanders round the wheel, as its limit states it."""

    cosine_um: float  # of the first harmonic, from the first tooth on
    sine_um: float
    u_um: float  # standard uncertainty of either
    tight_deg: float  # turn from the first tooth to the tight spot
    teeth: int  # positions read
    where: str  # 'tightest', 'mean' or 'all round': where the limit of the backlash applies
    most_um: float  # limit of the spread, infinite without one
    readings: tuple[int, ...]  # numbers in the file

    @property
    def half_um(self) -> float:
        """Run-out: how far the backlash wanders from its mean, either way [µm]."""
        return float((self.cosine_um**2 + self.sine_um**2) ** 0.5)

    def wander_um(self, turn_deg: float) -> float:
        """How far the backlash lies above its mean [µm]. turn_deg: from the first tooth."""
        turn = math.radians(turn_deg)
        return self.cosine_um * math.cos(turn) + self.sine_um * math.sin(turn)

    @property
    def spread_um(self) -> float:
        """Loosest less tightest [µm]."""
        return 2.0 * self.half_um


@dataclass(frozen=True, slots=True)
class Mark:
    """What is etched on a gear: by how much its mounting distance differs from the drawn one."""

    value: float
    unit_um: float  # of one step of the mark
    outward: bool  # whether plus means further from the other gear's axis

    @property
    def um(self) -> float:
        """By how much the mounting distance is larger than drawn [µm]."""
        return self.value * self.unit_um * (1.0 if self.outward else -1.0)


@dataclass(frozen=True, slots=True)
class Carried:
    """The old build, which ran well: its stack and marks, and how right it was."""

    stack: Stack
    marks: tuple[Mark, ...]
    within_um: float  # how far off its depth may have been
    bearing: str  # 'kept', 'measured' or 'new'
    bearing_within_um: float = 0.0  # 'new': how much the bearings may differ in height


@dataclass(frozen=True, slots=True)
class Pinion:
    """Where the pinion has to stand, and how it is shimmed there."""

    sits: str  # one of `SITS`
    measured_to: str  # 'shoulder' or 'nose': face that mounting distance and head height mean
    nominal_um: float | None  # mounting distance as drawn; None where only the old build is known
    marks: tuple[Mark, ...] = ()
    give_um: float = 0.0  # how far preload moves it out
    give_within_um: float = 0.0
    carried: Carried | None = None
    fitted: Stack | None = None  # at the head while the carrier was read
    ratio: float = 0.0  # by how much the backlash closes where the pinion comes in by one
    ratio_within: float = 0.0
    wheel_marks: tuple[Mark, ...] = ()
    etched_backlash_um: float | None = None

    @property
    def wanted_um(self) -> float:
        """Mounting distance wanted: as drawn, with what is etched on the pinion [µm]."""
        return (self.nominal_um or 0.0) + sum(mark.um for mark in self.marks)

    @property
    def couples(self) -> float:
        """How much end float a pinion on a solid spacer loses for each thickness at its head [1].

        1 with the stack behind the race, 0 between head and cone or under a cartridge's flange.
        """
        return 1.0 if self.sits == BEHIND_RACE else 0.0


@dataclass(frozen=True, slots=True)
class Ready:
    """What is done before the crush spacer is crushed."""

    head: Stack | None  # at the pinion's head, as fitted
    done: tuple[str, ...]  # ticks that are set


@dataclass(frozen=True, slots=True)
class Costs:
    """What money and time are worth; in cents of whatever the currency is."""

    hour_cents: int  # of an hour at the bench
    redo_cents: int  # of having to strip and build it again
    patience_days: int | None  # the latest day that a parcel may come
    currency: str
    offers_path: Path | None
    sheets_path: Path | None


@dataclass(frozen=True, slots=True)
class Job:
    """Everything a job file says, checked."""

    title: str
    unit: str  # 'mm', 'um', 'in' or 'thou'
    drawer_path: Path | None
    wanted_chance: float
    seats: tuple[Seat, ...]
    limits: tuple[Limit, ...]
    mesh: Mesh
    tools: tuple[Tool, ...]
    readings: tuple[Reading, ...]  # those left out are not here
    left_out: tuple[int, ...] = ()  # numbers of readings switched off
    assumed: tuple[str, ...] = ()
    words: str = "UK"
    layout: Layout = Layout()
    warmth: Warmth | None = None  # where housing and carrier are of different metals
    wheel: Round | None = None  # where the backlash was read round the wheel
    pinion: Pinion | None = None
    ready: Ready | None = None
    costs: Costs | None = None
    pattern: Pattern | None = None  # what the marking compound showed
    crush: Crush | None = None  # its crush spacer, where that is what holds the pinion's bearings
    bench: BenchNotes = NOTHING_NOTED  # for the bench sheet and the template
    dimensions: tuple[Dimension, ...] = ()  # of the parts in its lines
    lines: tuple[Line, ...] = ()

    @property
    def axle(self) -> bool:
        """Whether the job is about a carrier or a pinion at all; else it is about lines alone."""
        return self.carrier or self.pinion is not None

    @property
    def trial_of(self) -> str:
        """What is read on a trial fit: a word for a reading's `of`."""
        if self.carrier:
            return "backlash"
        return "mounting distance" if self.axle else self.lines[0].name

    @property
    def carrier(self) -> bool:
        """Whether the job is about the carrier (too); else about the pinion alone."""
        return any(seat.name == WHEEL_SIDE for seat in self.seats)

    def line(self, name: str) -> Line | None:
        """The line whose result has a name; None for the axle's own results. name."""
        return next((line for line in self.lines if line.name == name), None)

    def seats_read(self, of: str) -> tuple[str, ...]:
        """The seats whose shims enter a reading. of: what is read."""
        line = self.line(of)
        if line is not None:
            return tuple(seat for seat, _ in line.seats)
        return () if any(one.name == of for one in self.dimensions) else FITTED_SEATS.get(of, ())

    @property
    def shift_um(self) -> float:
        """By how much the backlash that its limit is about is less than the mean [µm]."""
        return self.wheel.half_um if self.wheel and self.wheel.where == "tightest" else 0.0

    @property
    def held_um(self) -> tuple[float, float]:
        """Window that the mean backlash has to lie in, so that its limit is met [µm]."""
        limit = self.limit("backlash")
        low, high = limit.low_um + self.shift_um, limit.high_um + self.shift_um
        if self.wheel and self.wheel.where == "all round":
            low, high = low + self.wheel.half_um, high - self.wheel.half_um
        return low, high

    @property
    def trial_stacks(self) -> tuple[Stack, ...]:
        """Every stack that was in a seat while something was read, or in the old build."""
        found = [stack for reading in self.readings for stack in reading.fitted]
        if self.pinion is not None:
            carried = self.pinion.carried
            found += [one for one in (self.pinion.fitted, carried and carried.stack) if one]
        return tuple(found)

    def limit(self, result: str) -> Limit:
        """The limit of a result. result: 'backlash', 'pinch', 'depth' or 'pinion end float'."""
        return next(limit for limit in self.limits if limit.result == result)

    def window_um(self, result: str) -> tuple[float, float]:
        """Window that a result is searched in [µm]. result: its name."""
        if result == "backlash" and self.carrier:
            return self.held_um
        limit = self.limit(result)
        return limit.low_um, limit.high_um
