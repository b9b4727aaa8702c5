"""How thick a piece of unmeasured shim stock may really be."""

from __future__ import annotations

# (from [mm], tolerance [mm], tolerance as a share of the thickness): ISO 9445-1, stainless
# cold-rolled narrow strip, normal class. Other metals have other standards.
_TABLE_MM = (
    (0.05, 0.0, 0.10),
    (0.10, 0.010, 0.0),
    (0.15, 0.015, 0.0),
    (0.20, 0.015, 0.0),
    (0.25, 0.017, 0.0),
    (0.30, 0.020, 0.0),
)
TABLE_UM = (50.0, 400.0)  # what the table covers
BELOW_SHARE, ABOVE_SHARE = 0.10, 0.05  # its own first and last shares, carried on past its ends


def strip_within_um(thickness_um: float) -> float:
    """The most that strip of a nominal thickness may be off.

    thickness_um: nominal [µm], above 0. Returns: half-width [µm].
    Limits: 0.05 to 0.40 mm; below it a tenth of the thickness, above it a twentieth, which are the
    table's own shares at its ends and no standard's word. Source: ISO 9445-1, normal class.
    """
    if thickness_um < TABLE_UM[0]:
        return BELOW_SHARE * thickness_um
    if thickness_um >= TABLE_UM[1]:
        return ABOVE_SHARE * thickness_um
    thickness_mm = thickness_um / 1000.0
    within_mm = 0.0
    for start, fixed, share in _TABLE_MM:
        if thickness_mm >= start - 1e-9:  # a thickness on the line takes the wider tolerance
            within_mm = fixed + share * thickness_mm
    return within_mm * 1000.0


def in_table(thickness_um: float) -> bool:
    """Whether the standard's table covers a thickness. thickness_um: nominal [µm]. Returns it."""
    return TABLE_UM[0] <= thickness_um <= TABLE_UM[1]
