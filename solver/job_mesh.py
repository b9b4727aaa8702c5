"""What a job says of the mesh: teeth, transfer ratio, pinch share, where a backlash is read."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.job import DIRECTIONS, Mesh, Seat, Spot, Teeth
from solver.job_table import FAULTY, Page
from solver.teeth import spot_factor, transfer_ratio_from_teeth, wheel_pitch_deg
from solver.units import said

USUAL_RATIO = (0.75, 0.25)  # common practice, no source
LEAST_GEAR_RATIO = 2.5  # below it the usual ratio says nothing
USUAL_SHARE, SHARE_WITHIN, SHARE_WITHIN_COVER = 0.5, 0.25, 0.35
TEETH_WITHIN_SHARE = 0.15  # of the ratio from the teeth, until a trial fit speaks
UNUSED_MESH = Mesh(*USUAL_RATIO, USUAL_SHARE, SHARE_WITHIN)  # of a job about the pinion alone
SPOT_KEYS = ("read", "radius", "radius_within", "lever_angle", "out_of_line", "on")
_KEYS = ("transfer_ratio", "pinch_share", "teeth", "ratio", "member", "edge_radius")
_TEETH_KEYS = (
    "pressure_angle",
    "coast_pressure_angle",
    "spiral_angle",
    "pitch_angle",
    "pinion_teeth",
    "wheel_teeth",
    "shaft_angle",
    "within",
)


@dataclass(frozen=True, slots=True)
class Ground:
    """What the file says of the teeth, before limits and readings are placed on them."""

    page: Page
    member: str = "wheel"
    gear_ratio: float | None = None
    teeth: Teeth | None = None
    teeth_given: bool = False  # even where they are faulty
    within_share: float | None = None  # of the ratio from the teeth, as the file states it
    edge_um: float | None = None


def read_ground(page: Page) -> Ground:
    """Read what the mesh stands on. page: its table, maybe empty. Returns: teeth and radius."""
    page.only(_KEYS)
    member = page.choice("member", ("wheel", "pinion"), "wheel")
    way_out = "write wheel teeth divided by pinion teeth"
    gear_ratio = page.number("ratio", 0.05, 50.0, way_out) if page.has("ratio") else None
    edge_um = None
    if page.has("edge_radius"):
        edge_um = page.length("edge_radius", low_um=0.0, above=True)
    inner = page.page("teeth", "a table of angles")
    given = page.has("teeth")
    if inner is None:
        return Ground(page, member, gear_ratio, None, given, None, edge_um)
    teeth, of_teeth, share = _read_teeth(inner, member)
    return Ground(page, member, gear_ratio or of_teeth, teeth, given, share, edge_um)


def _read_teeth(page: Page, member: str) -> tuple[Teeth, float | None, float | None]:
    """Teeth of the member that moves, gear ratio if counted, spread of the ratio if stated."""
    page.only(_TEETH_KEYS)
    drive = page.angle("pressure_angle", 5.0, 45.0)
    if not page.has("coast_pressure_angle"):
        page.notes.assumed.append("coast pressure angle as the drive's")
    coast = page.angle("coast_pressure_angle", 5.0, 45.0, drive)
    spiral = page.angle("spiral_angle", 0.0, 55.0)
    gear_ratio = None
    counted = page.has("pinion_teeth") or page.has("wheel_teeth")
    if counted and page.has("pitch_angle"):
        way_out = "take out the pitch angle or the numbers of teeth"
        page.fault("pitch_angle", "numbers of teeth as well", "one of the two", way_out)
    if counted:
        pinion = page.whole("pinion_teeth", 1, 500, 0)
        wheel = page.whole("wheel_teeth", 1, 500, 0)
        if not page.has("shaft_angle"):
            page.notes.assumed.append("shafts at 90 degrees")
        shaft = page.angle("shaft_angle", 30.0, 150.0, 90.0)
        pitch = wheel_pitch_deg(pinion, wheel, shaft) if pinion and wheel else FAULTY
        gear_ratio = wheel / pinion if pinion and wheel else None
        pitch = shaft - pitch if member == "pinion" else pitch
    elif page.has("pitch_angle"):
        pitch = page.angle("pitch_angle", 1.0, 120.0)
    else:
        way_out = "write pitch_angle, or pinion_teeth and wheel_teeth"
        page.missing("pitch_angle", "an angle", way_out)
        pitch = FAULTY
    share = None
    if page.has("within"):
        way_out = "write a share of the ratio, such as 0.15"
        share = page.number("within", 0.0, 1.0, way_out, open_=True)
    elif member == "pinion":
        way_out = "write within = 0.4, say: the taper of its teeth is left out"
        page.missing("within", "a spread for a pinion's ratio", way_out)
    return Teeth(drive, coast, pitch, spiral), gear_ratio, share


def read_spot(page: Page, ground: Ground) -> Spot:
    """Read where and how a backlash is stated or read.

    page: of a limit or a reading; ground: what is known of the teeth. Returns: the spot.
    """
    read = page.choice("read", DIRECTIONS, DIRECTIONS[0])
    radius = page.length("radius", low_um=0.0, above=True) if page.has("radius") else None
    within = page.length("radius_within", 0.0, low_um=0.0)
    if within and radius is None:
        page.fault("radius_within", "no radius", "the radius it is about", "write radius as well")
    if radius is not None and within >= radius:
        found = said(page.table["radius_within"])
        page.fault("radius_within", found, "less than the radius", "mend one of the two")
    lever = page.angle("lever_angle", -60.0, 60.0, 0.0)
    out_of_line = page.angle("out_of_line", -30.0, 30.0, 0.0)
    off_tooth = page.choice("on", ("tooth", "lever"), "tooth") == "lever"
    if read != DIRECTIONS[0] and not ground.teeth_given:
        way_out = "add teeth to [mesh], or read it along the rotation"
        page.fault("read", said(read), "the teeth, to compare it by", way_out)
    if read != DIRECTIONS[0] and off_tooth:
        page.fault("read", f"{said(read)} on a lever", "along the rotation there", "correct one")
    if off_tooth and not page.has("radius"):
        way_out = "write how far the dial is from the wheel's axis"
        page.missing("radius", "a radius, for a dial on a lever", way_out)
    if radius is not None and ground.edge_um is None:
        way_out = "add edge_radius to [mesh]: from the axis to the tooth edge"
        page.fault("radius", said(page.table["radius"]), "a tooth edge to compare it by", way_out)
    if out_of_line and not ground.teeth_given:
        page.notes.assumed.append("tooth at 35 degrees, for a plunger out of line")
    if radius is not None and not within and page.has("of"):
        page.notes.assumed.append("radius of a dial taken as exact")
    if lever:
        page.notes.assumed.append("angle of a dial's lever within 5 degrees")
    return Spot(read, radius, within, lever, out_of_line, off_tooth)


def read_mesh(ground: Ground, limit_spot: Spot, seats: tuple[Seat, ...]) -> Mesh:
    """Read the transfer ratio and the pinch share, or what stands in for them.

    ground: what is known of the teeth; limit_spot: where the backlash's limit is stated; seats.
    Returns: the mesh, its ratio as the limit states backlash. A ratio in the file is taken so; one
    from the teeth, or the usual one, is turned from the tooth edge to where the limit is stated.
    """
    page, notes = ground.page, ground.page.notes
    if page.has("transfer_ratio"):
        ratio, ratio_within = _pair(page, "transfer_ratio", 0.01, 10.0)
    else:
        ratio, ratio_within = _ratio_without_trial(ground)
        factor = _factor(limit_spot, ground)
        ratio, ratio_within = ratio * factor, ratio_within * factor
    if page.has("pinch_share"):
        share, share_within = _pair(page, "pinch_share", 0.0, 1.0)
    else:
        covered = any(seat.under == "cover" for seat in seats)
        share, share_within = USUAL_SHARE, SHARE_WITHIN_COVER if covered else SHARE_WITHIN
        notes.assumed.append(f"pinch share {share:g} within {share_within:g}")
    return Mesh(ratio, ratio_within, share, share_within, ground.teeth, ground.edge_um)


def _ratio_without_trial(ground: Ground) -> tuple[float, float]:
    """Transfer ratio along the rotation at the tooth edge, from the teeth or as usual."""
    notes = ground.page.notes
    if ground.teeth is not None:
        ratio = transfer_ratio_from_teeth(ground.teeth)
        within = ratio * (ground.within_share or TEETH_WITHIN_SHARE)
        if ground.within_share is None:
            words = f"transfer ratio {ratio:.3f} within {within:.3f}"
            notes.assumed.append(f"{words} (from the teeth, 15 % either way)")
        return ratio, within
    if ground.teeth_given:
        return FAULTY, FAULTY
    way_out = "give transfer_ratio from a trial fit, or the teeth"
    if ground.member == "pinion":
        ground.page.missing("transfer_ratio", "one for a pinion, which has no usual one", way_out)
    elif ground.gear_ratio is not None and ground.gear_ratio < LEAST_GEAR_RATIO:
        wanted = f"one for a gear ratio of {ground.gear_ratio:.3g}: the usual one holds from 2.5 up"
        ground.page.missing("transfer_ratio", wanted, way_out)
    else:
        words = f"transfer ratio {USUAL_RATIO[0]:g} within {USUAL_RATIO[1]:g}"
        notes.assumed.append(words)
    return USUAL_RATIO


def _factor(spot: Spot, ground: Ground) -> float:
    try:
        return spot_factor(spot, ground.teeth, ground.edge_um)
    except ValueError:  # noted where the spot was read
        return FAULTY


def _pair(page: Page, key: str, low: float, high: float) -> tuple[float, float]:
    """A value and its spread, as { value = …, within = … }."""
    inner = page.page(key, "a value with its spread") if isinstance(page.table[key], dict) else None
    if inner is None:
        found = said(page.table[key])
        way_out = f"write {key} = {{ value = …, within = … }}: nothing is known exactly"
        page.fault(key, found, "a value with its spread", way_out)
        return FAULTY, FAULTY
    inner.only(("value", "within"))
    value = inner.number("value", low, high, "check the decimal point")
    most = value if key == "transfer_ratio" and math.isfinite(value) else 1.0
    way_out = "write the most it may be off, such as 0.1: nothing is known exactly"
    return value, inner.number("within", 0.0, most, way_out, open_=True)
