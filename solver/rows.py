"""Everything known, one row each: readings, priors, common errors; rows are independent."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from solver.axle import OLD_BUILD, Axle, Sum
from solver.drawer import Drawer
from solver.job import PINION_HEAD, Job, Reading, Spot, Teeth
from solver.line import COLD_C
from solver.mechanics import CLEARANCE, GAP, RATIO, backlash, pinch
from solver.metals import THERMOMETER_WITHIN_K
from solver.pieces import Unknowns, stack_known
from solver.spread import Spread, of_reading
from solver.teeth import out_of_line_band, spot_doubt, spot_factor
from solver.warmth import cooled


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One independent thing known: value = h(unknowns) + error."""

    label: str
    of: str  # what was read, or 'prior'
    spread: Spread  # [µm], or bare for the prior of a ratio or share
    readings: tuple[int, ...]  # numbers in the file; several where brackets were intersected
    place: int  # unknown that leans in with weight one: the tool, or the prior's own; -1 none
    factor: float  # how the reading compares with the result as its limit states it
    stacks_um: np.ndarray  # [µm, (seats,)] nominal stacks that were in
    lean: np.ndarray  # [(seats, d)] how they lean on the unknowns
    side: int = 0  # 0 a value; +1 at least the centre, -1 at most
    bracket: bool = False  # between a leaf that goes and one that stops
    loaded: bool = False  # of the pinion: read under preload
    celsius: float = COLD_C  # of a line's parts
    follows: Sum | None = None  # what it reads, where that is a plain sum

    def predict(self, x: np.ndarray, axle: Axle) -> tuple[float, np.ndarray]:
        """What the row should read. x: unknowns [(d,)]; axle: of the job. Returns: (h, dh/dx)."""
        slope = np.zeros(len(x))
        if self.place >= 0:
            slope[self.place] = 1.0
        common = x[self.place] if self.place >= 0 else 0.0
        if self.of == "prior":
            return float(common), slope
        if self.follows is not None:
            stacks = self.stacks_um + self.lean @ x
            slope += self.follows.along + self.follows.by_stack @ self.lean
            return float(self.follows.at(x, stacks[None, :])[0] + common), slope
        sides = (self.stacks_um[:2] + self.lean[:2] @ x)[None, :]
        signs = axle.signs[0], axle.signs[1]
        value, by_quantity, by_stack = _read(self.of, x[:4], sides, signs)
        slope[:4] += self.factor * by_quantity
        slope += self.factor * (by_stack @ self.lean[:2])
        return float(self.factor * value + common), slope

    def float_u_um(self, x: np.ndarray, axle: Axle) -> float:
        """Spread of a backlash read while the carrier still floats [µm]; 0 when pinched."""
        if self.of != "backlash" or self.follows is not None:
            return 0.0
        sides = (self.stacks_um[:2] + self.lean[:2] @ x)[None, :]
        loose = min(float(pinch(x[:4], sides, (axle.signs[0], axle.signs[1])).value[0]), 0.0)
        return float(self.factor * x[RATIO] * -loose / 12.0**0.5)


def _read(
    of: str, quantities: np.ndarray, stacks_um: np.ndarray, signs: tuple[int, int]
) -> tuple[float, np.ndarray, np.ndarray]:
    """A reading's true value with its slopes by the quantities and the two stacks."""
    if of == "backlash":
        loose = pinch(quantities, stacks_um, signs).value[0] < 0
        surface = backlash(quantities, stacks_um, signs, 0.5 if loose else None)
        return float(surface.value[0]), surface.by_quantity[0], surface.by_stack[0]
    by_quantity, by_stack = np.zeros(4), np.zeros(2)
    if of in ("total clearance", "plain gap", "end float", "far gap in mesh"):
        by_quantity[CLEARANCE] = 1.0
    if of in ("mesh gap", "travel to mesh"):
        by_quantity[GAP] = 1.0
    if of == "far gap in mesh":
        by_quantity[GAP] = -1.0
    if of in ("plain gap", "end float", "travel to mesh"):
        by_stack[0] = -signs[0]
    if of == "end float":
        by_stack[1] = -signs[1]
    return float(by_quantity @ quantities + by_stack @ stacks_um[0]), by_quantity, by_stack


def list_rows(job: Job, drawer: Drawer, unknowns: Unknowns, axle: Axle) -> tuple[Row, ...]:
    """Turn a job into rows: its readings in the file's order, then what is known beforehand.

    job, drawer: as read; unknowns, axle: theirs. Returns: rows; brackets of one thing are one row.
    """
    spot = job.limit("backlash").spot if job.carrier else Spot()
    rows = [_reading_row(reading, job, drawer, unknowns, axle, spot) for reading in job.readings]
    several = len({reading.of for reading in job.readings}) < len(job.readings)
    if several:
        rows = [replace(row, label=f"{row.label} (reading {row.readings[0]})") for row in rows]
    seats = len(job.seats)
    nothing = np.zeros((seats, len(unknowns)))
    if job.pinion is not None and job.pinion.carried is not None:
        rows.append(_old_build(job, drawer, unknowns, axle))
    for place, unknown in enumerate(unknowns.items):
        if unknown.within is None:
            continue
        label = unknown.name
        if unknown.kind == "tool":
            label = f"{unknown.name.removeprefix('tool ')} (common error)"
        if any(one.name == unknown.name for one in job.dimensions):
            label = f"{unknown.name} as drawn"
        spread = unknown.spread
        rows.append(Row(label, "prior", spread, (), place, 1.0, np.zeros(seats), nothing))
    return tuple(_intersected(rows))


def _reading_row(
    reading: Reading, job: Job, drawer: Drawer, unknowns: Unknowns, axle: Axle, limit_spot: Spot
) -> Row:
    spread = of_reading(reading)
    factor = 1.0
    celsius = COLD_C if reading.celsius is None else reading.celsius
    follows = axle.reads(reading.of, loaded=reading.loaded, celsius=celsius, width=len(unknowns))
    if follows is not None:
        spread = _warm(spread, reading, axle, len(unknowns))
    elif reading.of == "backlash":
        teeth, edge = job.mesh.teeth, job.mesh.edge_radius_um
        factor = spot_factor(reading.spot, teeth, edge) / spot_factor(limit_spot, teeth, edge)
        spread = _crooked(spread, reading.spot, teeth)
    if job.wheel is not None and follows is None:
        spread = _referred(spread, reading, job, factor)
    if job.warmth is not None and follows is None:
        spread = cooled(spread, reading, job.warmth, factor, job.mesh.ratio, job.mesh.share)
    stacks = [stack_known(reading.stack(seat.name), drawer, unknowns) for seat in job.seats]
    side = (reading.at_least_um is not None) - (reading.at_most_um is not None)
    return Row(
        reading.of,
        reading.of,
        spread,
        (reading.number,),
        unknowns.tool(reading.tool.name) if reading.tool else -1,
        factor,
        np.array([nominal for nominal, _ in stacks]),
        np.array([lean for _, lean in stacks]),
        side,
        reading.stops_um is not None,
        reading.loaded,
        COLD_C if follows is None else celsius,
        follows,
    )


def _warm(spread: Spread, reading: Reading, axle: Axle, width: int) -> Spread:
    """Widen what was read of warm parts of a line by what the thermometer leaves open."""
    if reading.celsius is None or reading.celsius == COLD_C:
        return spread
    hotter, here = (
        axle.reads(reading.of, loaded=False, celsius=celsius, width=width)
        for celsius in (reading.celsius + THERMOMETER_WITHIN_K, reading.celsius)
    )
    assert hotter is not None and here is not None
    moved = float((hotter.along - here.along).sum())
    return replace(spread, sd_um=math.hypot(spread.sd_um, moved / 3.0**0.5))


def _old_build(job: Job, drawer: Drawer, unknowns: Unknowns, axle: Axle) -> Row:
    """What the old build says of the pinion's seat: it stood right, within what is said of it."""
    pinion = job.pinion
    assert pinion is not None and pinion.carried is not None
    carried = pinion.carried
    wanted_um = (pinion.nominal_um or 0.0) + sum(mark.um for mark in carried.marks)
    wide, narrow = sorted((carried.within_um, carried.bearing_within_um), reverse=True)
    spread = Spread(wanted_um, wide, narrow / 3.0**0.5)
    nominal, lean = np.zeros(len(job.seats)), np.zeros((len(job.seats), len(unknowns)))
    at = next(at for at, seat in enumerate(job.seats) if seat.name == PINION_HEAD)
    nominal[at], lean[at] = stack_known(carried.stack, drawer, unknowns)
    follows = axle.reads(OLD_BUILD, loaded=True, celsius=COLD_C, width=len(unknowns))
    return Row(OLD_BUILD, OLD_BUILD, spread, (), -1, 1.0, nominal, lean, follows=follows)


def _referred(spread: Spread, reading: Reading, job: Job, factor: float) -> Spread:
    """Refer what was read at one spot of the wheel to the mean round it.

    Gaps wander by the backlash over the transfer ratio. A gap read nobody knows where may lie
    anywhere between the tight spot and the loose one: run-out over the square root of two.
    """
    wheel, ratio = job.wheel, job.mesh.ratio
    assert wheel is not None
    if reading.of == "backlash":
        per, doubt = factor, 0.0
    elif reading.of in ("mesh gap", "travel to mesh", "far gap in mesh"):
        per = -1.0 / ratio if reading.of == "far gap in mesh" else 1.0 / ratio
        doubt = job.mesh.ratio_within / ratio / 3.0**0.5
    else:
        return spread
    if reading.turn_deg is None:
        lost = 0.0 if reading.of == "backlash" else per * wheel.half_um / 2.0**0.5
        return replace(spread, sd_um=float(np.hypot(spread.sd_um, lost)))
    shift = per * wheel.wander_um(reading.turn_deg)
    sd = math.hypot(spread.sd_um, shift * doubt, per * wheel.u_um)
    return replace(spread, centre_um=spread.centre_um - shift, sd_um=sd)


def _crooked(spread: Spread, spot: Spot, teeth: Teeth | None) -> Spread:
    """Widen a reading by where its dial stood; out of line there is no correction, only spread."""
    doubt = abs(spread.centre_um) * spot_doubt(spot)
    spread = replace(spread, sd_um=math.hypot(spread.sd_um, doubt))
    if not spot.out_of_line_deg:
        return spread
    low, high = out_of_line_band(spot.out_of_line_deg, teeth)
    half = abs(spread.centre_um) * max(high - 1.0, 1.0 - low)
    if half <= spread.half_um:
        return replace(spread, sd_um=float(np.hypot(spread.sd_um, half / 3.0**0.5)))
    sd = float(np.hypot(spread.sd_um, spread.half_um / 3.0**0.5))
    return replace(spread, half_um=half, sd_um=sd)


def _intersected(rows: list[Row]) -> list[Row]:
    """Intersect the brackets of one thing, by one tool, into one row where they overlap."""
    kept: list[Row] = []
    for row in rows:
        partner = next((at for at, other in enumerate(kept) if _same_bracket(row, other)), None)
        if partner is None:
            kept.append(row)
            continue
        other = kept[partner]
        low = max(row.spread.centre_um - row.spread.half_um, _low(other))
        high = min(row.spread.centre_um + row.spread.half_um, _high(other))
        if low >= high:
            kept.append(row)
            continue
        spread = replace(other.spread, centre_um=(low + high) / 2.0, half_um=(high - low) / 2.0)
        kept[partner] = replace(other, spread=spread, readings=other.readings + row.readings)
    return kept


def _low(row: Row) -> float:
    return row.spread.centre_um - row.spread.half_um


def _high(row: Row) -> float:
    return row.spread.centre_um + row.spread.half_um


def _same_bracket(one: Row, two: Row) -> bool:
    return (
        one.bracket
        and two.bracket
        and one.of == two.of
        and one.place == two.place
        and one.factor == two.factor
        and one.loaded == two.loaded
        and one.celsius == two.celsius
        and one.spread.sd_um == two.spread.sd_um
        and bool(np.array_equal(one.stacks_um, two.stacks_um))
        and bool(np.array_equal(one.lean, two.lean))
    )
