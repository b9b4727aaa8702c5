"""Warm readings brought to 20 °C, and what pinch and backlash become at working temperature.

    housing of another metal than the carrier:  free clearance grows by
    width * (expansion of housing - expansion of carrier) * (temperature - 20 °C)

The wheel's side of the pinion has its share of that; the rest is on the plain side. Lengths and
limits are those at 20 °C (ISO 1).
"""

from __future__ import annotations

import math
from dataclasses import replace

from solver.findings import Answer, Warm
from solver.job import PINION_READABLE, Reading, Warmth
from solver.mechanics import backlash_range_um
from solver.metals import (
    EXPANSION_WITHIN,
    THERMOMETER_WITHIN_K,
    WHEEL_SHARE,
    WHEEL_SHARE_WITHIN,
)
from solver.spread import Spread

COLD_C = 20.0  # ISO 1
ROOT3 = math.sqrt(3.0)


def growth_um(warmth: Warmth, celsius: float) -> float:
    """How much larger the free clearance is than at 20 °C [µm]. warmth; celsius [°C].

    Source: linear expansion.
    """
    return warmth.width_um * _difference(warmth) * (celsius - COLD_C)


def growth_u_um(warmth: Warmth, celsius: float) -> float:
    """Say how well that growth is known: both metals' expansion, and the temperature.

    warmth; celsius [°C]. Returns: standard uncertainty [µm].
    """
    either = math.hypot(warmth.housing_per_k, warmth.carrier_per_k) * EXPANSION_WITHIN
    metals = warmth.width_um * either * (celsius - COLD_C)
    read = warmth.width_um * _difference(warmth) * THERMOMETER_WITHIN_K
    return math.hypot(metals, read) / ROOT3


def _difference(warmth: Warmth) -> float:
    return warmth.housing_per_k - warmth.carrier_per_k


def cooled(
    spread: Spread, reading: Reading, warmth: Warmth, factor: float, ratio: float, share: float
) -> Spread:
    """Bring a warm reading to 20 °C.

    spread: as read [µm]; reading; warmth; factor: how a backlash reading compares with its limit's
    [1]; ratio, share: transfer ratio and pinch share as known beforehand. Returns: the spread at
    20 °C, wider by what is not known of the growth. Limits: first order, ratio and share as given.
    """
    if reading.celsius is None or reading.of in PINION_READABLE:
        return spread
    grown = growth_um(warmth, reading.celsius)
    of_growth, by_side = {
        "total clearance": (1.0, 0.0),
        "plain gap": (1.0, 0.0),
        "end float": (1.0, 0.0),
        "mesh gap": (WHEEL_SHARE, 1.0),
        "travel to mesh": (WHEEL_SHARE, 1.0),
        "far gap in mesh": (1.0 - WHEEL_SHARE, 1.0),
        "backlash": (factor * ratio * (WHEEL_SHARE - share), factor * ratio),
    }[reading.of]
    sd = math.hypot(
        spread.sd_um,
        of_growth * growth_u_um(warmth, reading.celsius),
        by_side * grown * WHEEL_SHARE_WITHIN / ROOT3,
    )
    return replace(spread, centre_um=spread.centre_um - of_growth * grown, sd_um=sd)


def at_work(answer: Answer) -> Warm | None:
    """What the plan's pinch and backlash become at working temperature.

    answer: finished. Returns: the Warm; None without a plan or a working temperature. Limits:
    estimates as they stand, standard uncertainties to first order; the teeth's own growth is left
    out (it is a few µm).
    """
    warmth, verdict = answer.job.warmth, answer.verdict
    if warmth is None or warmth.working_c is None or verdict is None:
        return None
    grown = growth_um(warmth, warmth.working_c)
    doubt = growth_u_um(warmth, warmth.working_c)
    ratio, share = (answer.estimates[at].value for at in (2, 3))
    lash, squeeze = (
        next(one for one in verdict.results if one.name == name) for name in ("backlash", "pinch")
    )
    mean_lash = lash.predicted_um + answer.job.shift_um
    travel = mean_lash / ratio - share * max(squeeze.predicted_um, 0.0)
    pinch = squeeze.predicted_um - grown
    least, most = backlash_range_um(ratio, travel + WHEEL_SHARE * grown, pinch, share)
    by_side = ratio * grown * WHEEL_SHARE_WITHIN / ROOT3
    return Warm(
        warmth.working_c,
        grown,
        pinch,
        math.hypot(squeeze.u_um, doubt),
        float(least) - answer.job.shift_um,
        float(most) - answer.job.shift_um,
        math.hypot(lash.u_um, ratio * (WHEEL_SHARE - share) * doubt, by_side),
    )
