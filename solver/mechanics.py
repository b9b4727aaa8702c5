"""The results of a carrier as functions of its quantities and stacks, with their derivatives.

         wheel side                                plain side
housing |### S_w |bearing|== carrier with wheel ==|bearing| S_p ###| housing
                          <- mesh gap g: the wheel backs away from the pinion this way

pinch    p = t_w S_w + t_p S_p - C          t = +1 shims under a bearing, -1 under a cover
backlash b = r (g - t_w S_w + share p)      while p >= 0
         r (g - t_w S_w + p) ... r (g - t_w S_w)      with end float, p < 0: both ends count
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

CLEARANCE, GAP, RATIO, SHARE = range(4)  # the first unknowns of every carrier, in this order
QUANTITY_NAMES = ("total clearance", "mesh gap", "transfer ratio", "pinch share")


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """One result as a value with its slopes."""

    value: np.ndarray  # [µm, (n,)]
    by_quantity: np.ndarray  # [µm per unit of each quantity, (n, 4)]
    by_stack: np.ndarray  # [µm per µm of true stack, (n, 2)]


def pinch(quantities: np.ndarray, stacks_um: np.ndarray, signs: tuple[int, int]) -> Surface:
    """Pinch of the side bearings; negative is end float.

    quantities: C [µm], g [µm], r, share [(4,)]; stacks_um: true stacks [µm, (n, 2)];
    signs: +1 under a bearing, -1 under a cover, for wheel side and plain side.
    Returns: pinch in total with its slopes. Source: sum of lengths.
    """
    signed = stacks_um * np.array(signs)
    count = len(stacks_um)
    slopes = np.zeros((count, 4))
    slopes[:, CLEARANCE] = -1.0
    by_stack = np.broadcast_to(np.array(signs, float), (count, 2))
    return Surface(signed.sum(axis=1) - quantities[CLEARANCE], slopes, by_stack)


def backlash(
    quantities: np.ndarray, stacks_um: np.ndarray, signs: tuple[int, int], follows: float | None
) -> Surface:
    """Backlash where the wheel sits `follows` times the pinch away from its seat.

    quantities, stacks_um, signs: as for `pinch`; follows: None takes the pinch share (bearings
    pinched); with end float 1 puts the wheel hard towards the pinion, 0 hard away from it.
    Returns: backlash as its limit is stated, with its slopes. Source: design of the carrier, the
    sketch at the head of this file.
    """
    ratio = quantities[RATIO]
    squeeze = pinch(quantities, stacks_um, signs)
    share = quantities[SHARE] if follows is None else follows
    travel = quantities[GAP] - signs[0] * stacks_um[:, 0] + share * squeeze.value
    slopes = ratio * share * squeeze.by_quantity
    slopes[:, GAP] += ratio
    slopes[:, RATIO] += travel
    if follows is None:
        slopes[:, SHARE] += ratio * squeeze.value
    by_stack = ratio * share * squeeze.by_stack
    by_stack[:, 0] -= ratio * signs[0]
    return Surface(ratio * travel, slopes, by_stack)


def backlash_range_um(
    ratio: np.ndarray | float,
    travel_um: np.ndarray | float,
    pinch_um: np.ndarray | float,
    share: np.ndarray | float,
) -> tuple[np.ndarray, np.ndarray]:
    """Least and most backlash over the positions that the carrier can take.

    ratio: transfer ratio; travel_um: g - t_w S_w [µm]; pinch_um [µm]; share: pinch share; all of
    one shape. Returns: (least, most) [µm]; equal while the bearings are pinched.
    """
    squeezed = ratio * (travel_um + share * np.maximum(pinch_um, 0.0))
    float_um = np.minimum(pinch_um, 0.0)
    return squeezed + ratio * float_um, squeezed + 0.0 * float_um
