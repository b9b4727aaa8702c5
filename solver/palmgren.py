"""How a roller bearing answers to a crush, and a nut to a turn: line contact and screw thread."""

from __future__ import annotations

import numpy as np

DEFLECTION_EXPONENT = 0.9  # Palmgren: deflection goes as load ^ 0.9
LINE_CONTACT = 1.0 / DEFLECTION_EXPONENT  # and so load as deflection ^ (10/9)


def load_ratio(
    crush: np.ndarray | float, exponent: np.ndarray | float = LINE_CONTACT
) -> np.ndarray:
    """How many times the load grows where the crush grows so many times.

    crush: this crush over that one [1], at least 0; exponent: 10/9 for line contact alone [1].
    Returns: load over load, and torque over torque as far as it is linear in the load.
    Source: Palmgren's formula turned round; starting torque linear in the load: NSK E1102, p. 65.
    """
    return np.asarray(crush**exponent)


def nut_advance_um(pitch_um: float, turn_deg: float) -> float:
    """How far a nut moves along its thread. pitch_um; turn_deg. Returns: advance [µm].

    Source: pitch over 360 degrees (ISO 261, ASME B1.1 for the pitches).
    """
    return pitch_um * turn_deg / 360.0
