r"""What the teeth say: transfer ratio, and how a backlash read elsewhere compares.

Along the rotation, at the tooth edge, is where backlash counts as 1:

      rotation ->
      ----------->  along the rotation              1
         \   tooth at the spiral angle
          \  square to the tooth in plan           cos(spiral)
           \ square to the flank                   cos(pressure) cos(spiral)
"""

from __future__ import annotations

import math

from solver.job import DIRECTIONS, Spot, Teeth

LEVER_WITHIN_DEG = 5.0  # what the eye makes of a lever's angle; common practice, no source
UNKNOWN_SPIRAL_DEG = 35.0  # where the teeth are not known: the usual spiral, and the worse case


def transfer_ratio_from_teeth(teeth: Teeth) -> float:
    """Backlash along the rotation at the tooth edge per axial move of the member.

    teeth: angles of the member that moves [degrees]. Returns: ratio [µm per µm].
    Limits: leaves out the taper of the teeth, small for a wheel and not for a pinion.
    Source: own algebra, not published (tan drive + tan coast) sin pitch / cos spiral; the straight
    form for equal angles is recalled from gear handbooks. Test: table of check values, section 4.
    """
    flanks = _tan(teeth.drive_deg) + _tan(teeth.coast_deg)
    return flanks * math.sin(math.radians(teeth.pitch_deg)) / _cos(teeth.spiral_deg)


def wheel_pitch_deg(pinion_teeth: int, wheel_teeth: int, shaft_deg: float = 90.0) -> float:
    """Pitch angle of the wheel from the numbers of teeth.

    pinion_teeth, wheel_teeth: counts; shaft_deg: angle between the shafts [degrees].
    Returns: the angle [degrees]. Source: geometry of rolling cones.
    """
    shaft = math.radians(shaft_deg)
    across = pinion_teeth / wheel_teeth + math.cos(shaft)
    return math.degrees(math.atan2(math.sin(shaft), across))


def spot_factor(spot: Spot, teeth: Teeth | None, edge_radius_um: float | None) -> float:
    """How a reading taken at a spot compares with backlash along the rotation at the tooth edge.

    spot: where and how; teeth: None where not known; edge_radius_um: of the tooth edge [µm], None
    where not known. Returns: factor [µm read per µm of backlash].
    Raises: ValueError where the spot needs teeth or radius that are not known.
    """
    factor = 1.0
    if spot.read != DIRECTIONS[0]:
        if teeth is None:
            raise ValueError(f"{spot.read!r} needs the teeth")
        factor *= _cos(teeth.spiral_deg)
        if spot.read == DIRECTIONS[2]:  # which flank the plunger rests on is not asked
            factor *= _cos((teeth.drive_deg + teeth.coast_deg) / 2.0)
    if spot.radius_um is not None:
        if edge_radius_um is None:
            raise ValueError("a radius needs the radius of the tooth edge")
        factor *= spot.radius_um / edge_radius_um
    return factor / _cos(spot.lever_deg)  # a lever-type indicator reads high: true = read cos


def spot_doubt(spot: Spot) -> float:
    """How far a reading may be off by where the dial stood [share of it, standard uncertainty].

    spot: where and how. Returns 0 for a tooth edge along the rotation. The radius as far as it is
    said to be known, a lever's angle within 5 degrees. Source: first-order law, rectangular.
    """
    radius = spot.radius_within_um / spot.radius_um if spot.radius_um else 0.0
    lever = 0.0
    if spot.lever_deg:
        steep = math.radians(abs(spot.lever_deg))
        lever = math.tan(steep) * math.radians(LEVER_WITHIN_DEG)
    return math.hypot(radius, lever) / math.sqrt(3.0)


def out_of_line_band(out_of_line_deg: float, teeth: Teeth | None) -> tuple[float, float]:
    """Between what a plunger out of line may read, as shares of the truth.

    out_of_line_deg: how far it leans in plan, either way [degrees]; teeth: None where not known,
    then as for a tooth at 35 degrees. Returns: (least, most). Raises: ValueError where the plunger
    would lie along the tooth. Source: own algebra; 20 degrees on a 35 degree tooth, 0.85 and 1.43.
    """
    spiral = UNKNOWN_SPIRAL_DEG if teeth is None else teeth.spiral_deg
    if spiral + abs(out_of_line_deg) >= 89.0:
        raise ValueError(f"{out_of_line_deg} degrees out of line is along the tooth")
    one = _cos(spiral) / _cos(spiral - out_of_line_deg)
    other = _cos(spiral) / _cos(spiral + out_of_line_deg)
    return min(one, other, 1.0), max(one, other, 1.0)


def _tan(angle_deg: float) -> float:
    return math.tan(math.radians(angle_deg))


def _cos(angle_deg: float) -> float:
    return math.cos(math.radians(angle_deg))
