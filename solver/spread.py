"""What one reading says and how widely it may be off: a centre, a rectangular and a normal part."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from solver.job import Reading, Tool
from solver.wheel_round import fit_harmonic, scatter_round_um2

POOLED_FREEDOM = 10  # how many repeats the tool's own `repeat` counts for
HAND_FREEDOM = 3  # the same, where all readings with a tool are asked together
FEW_REPEATS = 8  # fewer say nothing of a drift
CHI2_99 = (6.635, 9.210, 11.345, 13.277, 15.086, 16.812, 18.475, 20.090, 21.666, 23.209)


@dataclass(frozen=True, slots=True)
class Spread:
    """A centre with its error: uniform within ±half_um plus normal of sd_um.

    A second uniform of ±second_um on top makes a triangle of two equal ones (GUM 4.3.9).
    """

    centre_um: float
    half_um: float
    sd_um: float
    scattered: bool = False  # the repeats scatter more than their tool is said to
    drifting: bool = False  # each repeat follows the one before
    repeats_u_um: float = 0.0  # the part of u_um that comes from repeats
    freedom: float = math.inf  # degrees of freedom of that part
    second_um: float = 0.0

    @property
    def u_um(self) -> float:
        """Standard uncertainty [µm]; a rectangular of half-width a has a/sqrt(3)."""
        return math.sqrt((self.half_um**2 + self.second_um**2) / 3.0 + self.sd_um**2)


def chi2_99(freedom: int) -> float:
    """99 % point of chi-square. freedom: >= 1. Source: Wilson-Hilferty above ten, tables below."""
    if freedom <= len(CHI2_99):
        return CHI2_99[freedom - 1]
    return float(freedom * (1 - 2 / (9 * freedom) + 2.3263479 * math.sqrt(2 / (9 * freedom))) ** 3)


def lag_one(values: tuple[float, ...]) -> float:
    """How much each value follows the one before: autocorrelation at lag one.

    values: in the order they were taken [(n,)]. Returns: -1 to 1; 0 where all are equal.
    Source: NIST/SEMATECH e-Handbook 1.3.5.12; tested against the certified value of Mavro (StRD).
    """
    mean = math.fsum(values) / len(values)
    off = [value - mean for value in values]
    squares = math.fsum(one * one for one in off)
    follows = math.fsum(one * two for one, two in pairwise(off))
    return follows / squares if squares else 0.0


def of_repeats(values_um: tuple[float, ...], repeat_um: float, step_um: float) -> Spread:
    """Mean of repeats with their pooled spread, never less than the division allows.

    values_um: repeats [µm, (n,)]; repeat_um: the tool's standard deviation [µm]; step_um: its
    smallest division [µm]. Source: pooled as GUM H.5.2.5, resolution as GUM F.2.2.1.
    """
    count = len(values_um)
    mean = math.fsum(values_um) / count
    squares = math.fsum((value - mean) ** 2 for value in values_um)
    pooled = (POOLED_FREEDOM * repeat_um**2 + squares) / (POOLED_FREEDOM + count - 1)
    scattered = count > 1 and squares / repeat_um**2 > chi2_99(count - 1)
    # under no drift the autocorrelation lies within 2/sqrt(n) about 95 times of 100
    drifting = count >= FEW_REPEATS and lag_one(values_um) > 2.0 / math.sqrt(count)
    if pooled / count >= step_um**2 / 12.0:
        sd = math.sqrt(pooled / count)
        freedom = float(POOLED_FREEDOM + count - 1)
        return Spread(mean, 0.0, sd, scattered, drifting, sd, freedom)
    return Spread(mean, step_um / 2.0, 0.0, scattered, drifting)


def scatter_um2(tool: Tool, readings: tuple[Reading, ...]) -> float:
    """Variance of one reading with a tool, as all the repeats taken with it say together [µm²].

    tool; readings: of the job, those with other tools are passed over. Rounding to the division
    scatters, too. Source: pooled as GUM H.5.2.5; resolution as GUM F.2.2.1; that the tool's word
    counts for three repeats is our own, from the calibration of the chances.
    """
    squares = HAND_FREEDOM * (tool.repeat_um**2 + tool.step_um**2 / 12.0)
    freedom = HAND_FREEDOM
    for reading in readings:
        if reading.tool != tool:
            continue
        if reading.around_um:
            squares += fit_harmonic(reading.around_um).squares
            freedom += len(reading.around_um) - 3
        elif reading.repeats_um:
            mean = math.fsum(reading.repeats_um) / len(reading.repeats_um)
            squares += math.fsum((value - mean) ** 2 for value in reading.repeats_um)
            freedom += len(reading.repeats_um) - 1
    return squares / freedom


def of_bracket(goes_um: float, stops_um: float, repeat_um: float) -> Spread:
    """Between the leaf that goes and the leaf that stops. goes_um, stops_um, repeat_um [µm]."""
    return Spread((goes_um + stops_um) / 2.0, (stops_um - goes_um) / 2.0, repeat_um)


def of_round(values_um: tuple[float, ...], tool: Tool) -> Spread:
    """Mean of readings round the wheel; its run-out is no scatter.

    values_um: at equal steps of a turn [µm, (n,)]; tool. Source: pooled as GUM H.5.2.5 about the
    first harmonic.
    """
    count, found = len(values_um), fit_harmonic(values_um)
    freedom = count - 3
    scattered = freedom > 0 and found.squares / tool.repeat_um**2 > chi2_99(freedom)
    sd = math.sqrt(scatter_round_um2(values_um, tool.repeat_um, tool.step_um) / count)
    return Spread(found.mean, 0.0, sd, scattered, False, sd, float(POOLED_FREEDOM + freedom))


def of_reading(reading: Reading) -> Spread:
    """What a reading says, with the play of its stacked leaves and its own `within`.

    Returns: the spread, without the common error of its tool, which is an unknown of its own.
    A one-sided reading has its bound as centre and its tool's repeat as softness.
    """
    tool = reading.tool or Tool("", 0.0, 0.0, 0.0, 0.0, "other")
    if reading.at_least_um is not None or reading.at_most_um is not None:
        bound = reading.at_most_um if reading.at_least_um is None else reading.at_least_um
        assert bound is not None
        base = Spread(bound, 0.0, max(tool.repeat_um, 0.1))
    elif reading.around_um:
        base = of_round(reading.around_um, tool)
    elif reading.stops_um is not None:
        base = of_bracket(max(reading.goes_um), reading.stops_um, tool.repeat_um)
    elif reading.goes_um:
        shifted = tuple(value + tool.step_um / 2.0 for value in reading.goes_um)
        base = of_repeats(shifted, tool.repeat_um, tool.step_um)
    elif reading.tool is None:
        base = Spread(math.fsum(reading.values_um) / len(reading.values_um), 0.0, 0.0)
    else:
        base = of_repeats(reading.values_um, tool.repeat_um, tool.step_um)
    return widened(base, reading.within_um, joints=reading.leaves - 1, joint_um=tool.joint_um)


def widened(base: Spread, within_um: float, *, joints: int, joint_um: float) -> Spread:
    """Add a reading's own rectangular error and the joints between its stacked leaves.

    base: without them; within_um [µm]; joints: number of them; joint_um: the most that each
    adds [µm]. A joint opens the stack by 0 to joint_um, so the gap is larger than the
    leaves' sum by half of it on average; the joints of one stack open alike. Source: a trade
    article on the build-up of feeler leaves, ten of which had 0.17 to 0.28 thou in every joint.
    """
    centre = base.centre_um + joints * joint_um / 2.0
    extra = (joints * joint_um) ** 2 / 12.0
    if base.half_um == 0.0:
        sd = math.sqrt(base.sd_um**2 + extra)
        return replace(base, centre_um=centre, half_um=within_um, sd_um=sd)
    sd = math.sqrt(base.sd_um**2 + extra + within_um**2 / 3.0)
    return replace(base, centre_um=centre, sd_um=sd)
