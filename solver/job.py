"""What a job says, as frozen types; lengths in µm, angles in degrees. Read by `job_file`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

WHEEL_SIDE, PLAIN_SIDE = "wheel side", "plain side"
QUANTITIES = ("total clearance", "mesh gap")  # what the readings have to settle
FITTED_SEATS = {  # readings taken with shims in, and the seats whose shims enter them
    "plain gap": (WHEEL_SIDE,),
    "travel to mesh": (WHEEL_SIDE,),
    "end float": (WHEEL_SIDE, PLAIN_SIDE),
    "backlash": (WHEEL_SIDE, PLAIN_SIDE),
}
READABLE = (*QUANTITIES, *FITTED_SEATS, "far gap in mesh")
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

    result: str  # 'backlash' or 'pinch'
    low_um: float
    high_um: float
    spot: Spot = Spot()
    counted: str = "total"  # pinch: how its limit was stated; low_um and high_um are totals
    example: bool = False  # marked EXAMPLE in the file: not from any manual


@dataclass(frozen=True, slots=True)
class Seat:
    """A place where shims go."""

    name: str
    under: str  # 'bearing' or 'cover'
    least: int
    most: int

    @property
    def sign(self) -> int:
        """+1 where more shim is more pinch (under a bearing), -1 where less (under a cover)."""
        return 1 if self.under == "bearing" else -1


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

    def limit(self, result: str) -> Limit:
        """The limit of a result. result: 'backlash' or 'pinch'."""
        return next(limit for limit in self.limits if limit.result == result)
